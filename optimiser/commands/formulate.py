"""`formulate`: the cheapest formula of a brief."""

from __future__ import annotations

import sys
from collections.abc import Callable, Sequence
from pathlib import Path

from optimiser.answers.cheapest import SECONDS, Cheapest, cheapest
from optimiser.present.answer_json import as_text, cheapest_document
from optimiser.present.output import check_outputs, note_unwritten, write_whole
from optimiser.reading import read_request


def run(
    brief: Path, as_json: bool, out: Sequence[Path], seconds: float = SECONDS
) -> tuple[str, int]:
    """Answer a brief; write the files asked for.

    Args:
        brief: The brief's file.
        as_json: Whether the text is JSON.
        out: Files to write besides.
        seconds: Time limit of a search among weighable formulas.

    Raises:
        InputError: The brief, what it refers to, or an output is wrong.
    """
    answers: list[Cheapest] = []
    writers = _writers(lambda: answers[0])
    check_outputs(out, writers, [brief])
    request = read_request(brief)
    check_outputs(out, writers, request.files)
    answers.append(cheapest(request, seconds, _tell))
    answer = answers[0]
    texts = [(path, writers[path.suffix.lower()]()) for path in out]
    for path, text in texts:
        if text is None:
            note_unwritten(path)
        else:
            write_whole(path, text)
    told = writers[".json" if as_json else ""]() or ""
    return told, 0 if answer.status == "optimal" else 1


def _tell(line: str) -> None:
    sys.stderr.write(f"{line}\n")
    sys.stderr.flush()


def _writers(answer: Callable[[], Cheapest]) -> dict[str, Callable[[], str | None]]:
    """How to write the answer, by the ending of a file; "" is the terminal."""

    def model(form: str) -> str:
        from optimiser.pulp_model import as_text as model_text

        return model_text(answer().stated_model, form)

    def formula() -> str | None:
        from optimiser.present.formula_csv import formula_text

        measures = answer().measures
        if measures is None:
            return None
        return formula_text(measures)

    def terminal() -> str:
        from optimiser.present.console import cheapest_text

        return cheapest_text(answer())

    def markdown() -> str:
        from optimiser.present.markdown import cheapest_markdown

        return cheapest_markdown(answer())

    def page() -> str:
        from optimiser.present.formula_page import cheapest_page
        from optimiser.present.page_html import page_html

        return page_html(cheapest_page(answer()))

    return {
        "": terminal,
        ".json": lambda: as_text(cheapest_document(answer())),
        ".csv": formula,
        ".md": markdown,
        ".html": page,
        ".lp": lambda: model("lp"),
        ".mps": lambda: model("mps"),
    }
