"""`formulate`: the cheapest formula of a brief."""

from __future__ import annotations

import sys
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path

from optimiser.answers.cheapest import SECONDS, Cheapest, cheapest
from optimiser.present.answer_json import as_text, cheapest_document
from optimiser.present.output import check_outputs, write_answers
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
    check_outputs(out, FORMS, [brief])
    request = read_request(brief)
    check_outputs(out, FORMS, request.files)
    answer = cheapest(request, seconds, _tell)
    write_answers(out, lambda form: FORMS[form](answer))
    told = _json(answer) if as_json else _terminal(answer)
    return told, 0 if answer.status == "optimal" else 1


def _tell(line: str) -> None:
    sys.stderr.write(f"{line}\n")
    sys.stderr.flush()


def _json(answer: Cheapest) -> str:
    return as_text(cheapest_document(answer))


def _terminal(answer: Cheapest) -> str:
    from optimiser.present.console import cheapest_text

    return cheapest_text(answer)


def _markdown(answer: Cheapest) -> str:
    from optimiser.present.markdown import cheapest_markdown

    return cheapest_markdown(answer)


def _formula(answer: Cheapest) -> str | None:
    from optimiser.present.formula_csv import formula_text

    return None if answer.measures is None else formula_text(answer.measures)


def _workbook(answer: Cheapest) -> bytes:
    from optimiser.present.answer_workbook import cheapest_workbook

    return cheapest_workbook(answer)


def _model(form: str) -> Callable[[Cheapest], str]:
    def text(answer: Cheapest) -> str:
        from optimiser.pulp_model import as_text as model_text

        return model_text(answer.stated_model, form)

    return text


FORMS: Mapping[str, Callable[[Cheapest], str | bytes | None]] = {
    ".json": _json,
    ".csv": _formula,
    ".xlsx": _workbook,
    ".md": _markdown,
    ".lp": _model("lp"),
    ".mps": _model("mps"),
}
"""How to write the answer, by the ending of a file."""
