"""`formulate`: the cheapest formula of a brief."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING

from optimiser.answers.cheapest import SECONDS, Cheapest, cheapest
from optimiser.brief import Request
from optimiser.present.answer_json import as_text, cheapest_document
from optimiser.present.aside import say_aside
from optimiser.present.output import check_outputs, write_answers
from optimiser.provenance import InputError, Mistake, Origin
from optimiser.reading import read_request

if TYPE_CHECKING:
    # Loaded only where they are asked for.
    from optimiser.answers.near_recipe import NearRecipe
    from optimiser.answers.room import Room
    from optimiser.present.page import Section

POINTS = Fraction(5)
"""How far a recipe may move unless it is said."""


@dataclass(frozen=True, slots=True)
class Asked:
    """What else was typed; see the help of the command.

    Attributes:
        within: Part of the cost that may be spent on top, such as `2%`.
        recipe: A recipe to stay near.
        points: How far all of its shares together may move.
    """

    within: str | None = None
    recipe: Path | None = None
    points: str | None = None


@dataclass(frozen=True, eq=False)
class Answered:
    """The cheapest formula, and what else was asked of it."""

    cheapest: Cheapest
    wants_room: bool = False
    room: Room | None = None
    near: NearRecipe | None = None

    @property
    def has_more(self) -> bool:
        """Whether anything else was asked."""
        return self.near is not None or self.wants_room


def run(
    brief: Path,
    as_json: bool,
    out: Sequence[Path],
    seconds: float = SECONDS,
    asked: Asked | None = None,
) -> tuple[str, int]:
    """Answer a brief; write the files asked for.

    Args:
        brief: The brief's file.
        as_json: Whether the text is JSON.
        out: Files to write besides.
        seconds: Time limit of a search among weighable formulas.
        asked: What else was asked, or None.

    Raises:
        InputError: The brief, what it refers to, an option or an output is wrong.
    """
    asked = Asked() if asked is None else asked
    inputs = [brief, *([] if asked.recipe is None else [asked.recipe])]
    check_outputs(out, FORMS, inputs)
    slack = None if asked.within is None else _slack(asked.within)
    points = _points(asked)
    request = read_request(brief)
    check_outputs(out, FORMS, [*inputs, *request.files])
    found = cheapest(request, seconds, _tell)
    answer = _with_more(found, request, asked.recipe, slack, points)
    write_answers(out, lambda form: FORMS[form](answer))
    told = _json(answer) if as_json else _terminal(answer)
    return told, 0 if found.status == "optimal" else 1


def _with_more(
    answer: Cheapest,
    request: Request,
    recipe: Path | None,
    slack: Fraction | None,
    points: Fraction | None,
) -> Answered:
    """The answer with what else was asked; loaded only then."""
    room = near = None
    if slack is not None:
        from optimiser.answers.room import room_to_move

        room = room_to_move(request, slack)
    if recipe is not None and points is not None:
        from optimiser.answers.near_recipe import near_recipe
        from optimiser.commands.recipes import recipe_shares

        near = near_recipe(request, recipe_shares(recipe, request.book)[0], points)
    return Answered(answer, slack is not None, room, near)


def _slack(text: str) -> Fraction:
    """A part of the cost, written in percent.

    Raises:
        InputError: It is no percentage from 0 to 100.
    """
    from optimiser.commands.option_numbers import percent_of

    value = percent_of(text, "--within", "2%")
    if not 0 <= value <= 100:
        problem = f"{text} is not from 0 to 100%; nothing costs less than the cheapest"
        raise InputError([Mistake(Origin("--within"), problem)])
    return Fraction(value) / 100


def _points(asked: Asked) -> Fraction | None:
    """How far a recipe may move, in points.

    Raises:
        InputError: It is no number from 0 to 200, or the recipe is missing.
    """
    if asked.recipe is None and asked.points is not None:
        raise InputError([Mistake(Origin("--points"), "from which recipe? Add --from FORMULA")])
    if asked.points is None:
        return None if asked.recipe is None else POINTS
    from optimiser.commands.option_numbers import number_of

    value = number_of(asked.points, "--points", "5")
    if not 0 <= value <= 200:
        raise InputError([Mistake(Origin("--points"), f"{asked.points} is not from 0 to 200")])
    return Fraction(value)


def _tell(line: str) -> None:
    say_aside(f"{line}\n")


def _sections(answer: Answered) -> list[Section]:
    """What else was asked, as sections."""
    if not answer.has_more:
        return []
    from optimiser.present.room_words import NO_ROOM, near_section, room_section

    found = [] if answer.near is None else [near_section(answer.near)]
    if answer.wants_room:
        found.append(NO_ROOM if answer.room is None else room_section(answer.room))
    return found


def _json(answer: Answered) -> str:
    document = cheapest_document(answer.cheapest)
    if answer.has_more:
        from optimiser.present.room_words import near_document, room_document

        document |= {} if answer.near is None else {"near": near_document(answer.near)}
        if answer.wants_room:
            none = {"status": "infeasible"}
            document["room"] = none if answer.room is None else room_document(answer.room)
    return as_text(document)


def _terminal(answer: Answered) -> str:
    from optimiser.present.console import cheapest_text

    text = cheapest_text(answer.cheapest)
    if not answer.has_more:
        return text
    from optimiser.present.page import section_lines

    lines = [line for section in _sections(answer) for line in ["", *section_lines(section)]]
    return text + "\n".join(lines) + "\n"


def _markdown(answer: Answered) -> str:
    from optimiser.present.markdown import cheapest_markdown

    text = cheapest_markdown(answer.cheapest)
    if not answer.has_more:
        return text
    from optimiser.present.page import section_markdown

    lines = [line for section in _sections(answer) for line in section_markdown(section)]
    return text + "\n".join(lines) + "\n"


def _formula(answer: Answered) -> str | None:
    """The formula near the recipe where one was asked for, else the cheapest."""
    from optimiser.present.formula_csv import formula_text

    measures = answer.cheapest.measures if answer.near is None else answer.near.measures
    return None if measures is None else formula_text(measures)


def _workbook(answer: Answered) -> bytes:
    from optimiser.present.answer_workbook import cheapest_workbook

    return cheapest_workbook(answer.cheapest, answer.room, answer.near)


def _page(answer: Answered) -> str:
    from optimiser.present.formula_page import cheapest_page
    from optimiser.present.page_html import page_html

    page = cheapest_page(answer.cheapest)
    return page_html(replace(page, sections=[*page.sections, *_sections(answer)]))


def _model(form: str) -> Callable[[Answered], str]:
    def text(answer: Answered) -> str:
        from optimiser.pulp_model import as_text as model_text

        return model_text(answer.cheapest.stated_model, form)

    return text


FORMS: Mapping[str, Callable[[Answered], str | bytes | None]] = {
    ".json": _json,
    ".csv": _formula,
    ".xlsx": _workbook,
    ".md": _markdown,
    ".html": _page,
    ".lp": _model("lp"),
    ".mps": _model("mps"),
}
"""How to write the answer, by the ending of a file."""
