"""Answers that show themselves as pages in a notebook.

The answers know no presentation; a running notebook is told how to show them instead.
"""

from __future__ import annotations

import html
import sys
from importlib.util import find_spec

from optimiser.answers.cheapest import Cheapest
from optimiser.answers.repricing import Repricing
from optimiser.present.output import DRAWN_WITH

FRAME = '<iframe srcdoc="{page}" style="width:100%;height:44rem;border:0" title="{title}"></iframe>'


def show_answers() -> None:
    """Register with the notebook this runs in; nothing where it runs in none."""
    ipython = sys.modules.get("IPython")
    shell = None if ipython is None else ipython.get_ipython()
    if shell is None:
        return
    formatter = shell.display_formatter.formatters["text/html"]
    for kind in (Cheapest, Repricing):
        formatter.for_type(kind, framed)


def framed(answer: Cheapest | Repricing) -> str | None:
    """The page in a frame of its own; None where what it is made with is not installed."""
    if not all(map(find_spec, DRAWN_WITH)):
        return None
    from optimiser.present.formula_page import cheapest_page
    from optimiser.present.page_html import page_html
    from optimiser.present.reprice_page import repricing_pictured

    page = cheapest_page(answer) if isinstance(answer, Cheapest) else repricing_pictured(answer)
    return FRAME.format(page=html.escape(page_html(page)), title=html.escape(page.title))
