"""A page as HTML: one file that opens without a network, prints, and fits a phone."""

from __future__ import annotations

from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup

from optimiser.present.page import Page, Part, Picture, Table
from optimiser.present.pictures.canvas import clean

FOLDER = "present/templates"

MOST_UNBROKEN = 14
"""A table with more rows may be continued on the next sheet of paper."""

MOST_NUMBERS, MOST_WORDS = 4, 3
"""A table with more columns, or more of words alone, is shown row by row on a narrow screen."""


def page_html(page: Page) -> str:
    """A page as one self-contained HTML document."""
    return rendered("page.html", page=page)


def rendered(template: str, **values: object) -> str:
    """One self-contained HTML document of a template."""
    environment = Environment(
        loader=PackageLoader("optimiser", FOLDER),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        keep_trailing_newline=True,
    )
    environment.filters["clean"] = clean
    environment.filters["drawn"] = _drawn
    environment.tests["a"] = _is_a
    environment.tests["wide"] = _is_wide
    return environment.get_template(template).render(most_unbroken=MOST_UNBROKEN, **values)


def _drawn(picture: Picture) -> Markup:
    """A drawing of our own, whose words are escaped already."""
    return Markup(picture.svg)


def _is_a(part: Part, name: str) -> bool:
    return any(kind.__name__ == name for kind in type(part).__mro__)


def _is_wide(table: Table) -> bool:
    return len(table.head) > (MOST_NUMBERS if table.right else MOST_WORDS)
