"""`formulate`: the cheapest formula of a brief."""

from __future__ import annotations

import sys
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING

from optimiser.answers.cheapest import SECONDS, Cheapest, cheapest
from optimiser.brief import Request
from optimiser.present.answer_json import as_text, cheapest_document
from optimiser.present.output import check_outputs, note_unwritten, write_whole
from optimiser.provenance import InputError, Mistake, Origin
from optimiser.reading import Problem, read_plain_number, read_request

if TYPE_CHECKING:
    # Loaded only where they are asked for.
    from optimiser.answers.near_recipe import NearRecipe
    from optimiser.answers.room import Room
    from optimiser.present.page import Section


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
    answers: list[Answered] = []
    writers = _writers(lambda: answers[0])
    inputs = [brief, *([] if asked.recipe is None else [asked.recipe])]
    check_outputs(out, writers, inputs)
    slack = None if asked.within is None else _slack(asked.within)
    points = _points(asked)
    request = read_request(brief)
    check_outputs(out, writers, [*inputs, *request.files])
    answer = cheapest(request, seconds, _tell)
    answers.append(_with_more(answer, request, asked.recipe, slack, points))
    texts = [(path, writers[path.suffix.lower()]()) for path in out]
    for path, text in texts:
        if text is None:
            note_unwritten(path)
        else:
            write_whole(path, text)
    told = writers[".json" if as_json else ""]() or ""
    return told, 0 if answer.status == "optimal" else 1


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
    plain = text.strip().removesuffix("%").rstrip()
    value = _number(plain, "--within", "2%")
    if 0 < value < 1 and plain == text.strip():
        problem = f"{text} can be read in two ways; write {text}% or {value * 100:f}%"
        raise InputError([Mistake(Origin("--within"), problem)])
    if not 0 <= value <= 100:
        problem = f"{text} is not from 0 to 100%; nothing costs less than the cheapest"
        raise InputError([Mistake(Origin("--within"), problem)])
    return Fraction(value) / 100


def _points(asked: Asked) -> Fraction | None:
    """How far a recipe may move, in points.

    Raises:
        InputError: It is no number from 0 to 200, or one of the two options is missing.
    """
    if asked.recipe is None and asked.points is None:
        return None
    if asked.recipe is None:
        raise InputError([Mistake(Origin("--points"), "from which recipe? Add --from FORMULA")])
    value = _number("5" if asked.points is None else asked.points, "--points", "5")
    if not 0 <= value <= 200:
        raise InputError([Mistake(Origin("--points"), f"{asked.points} is not from 0 to 200")])
    return Fraction(value)


def _number(text: str, option: str, example: str) -> Decimal:
    try:
        return read_plain_number(text, f"write for instance {example}")
    except Problem as problem:
        raise InputError([Mistake(Origin(option), str(problem))]) from None


def _tell(line: str) -> None:
    sys.stderr.write(f"{line}\n")
    sys.stderr.flush()


def _writers(answered: Callable[[], Answered]) -> dict[str, Callable[[], str | None]]:
    """How to write the answer, by the ending of a file; "" is the terminal."""

    def answer() -> Cheapest:
        return answered().cheapest

    def sections() -> list[Section]:
        from optimiser.present.room_words import NO_ROOM, near_section, room_section

        found, more = answered(), []
        if found.near is not None:
            more.append(near_section(found.near))
        if found.wants_room:
            more.append(NO_ROOM if found.room is None else room_section(found.room))
        return more

    def has_more() -> bool:
        return answered().near is not None or answered().wants_room

    def model(form: str) -> str:
        from optimiser.pulp_model import as_text as model_text

        return model_text(answer().stated_model, form)

    def formula() -> str | None:
        from optimiser.present.formula_csv import formula_text

        near = answered().near
        measures = answer().measures if near is None else near.measures
        if measures is None:
            return None
        return formula_text(measures)

    def terminal() -> str:
        from optimiser.present.console import cheapest_text

        text = cheapest_text(answer())
        if not has_more():
            return text
        from optimiser.present.page import section_lines

        lines = [line for section in sections() for line in ["", *section_lines(section)]]
        return text + "\n".join(lines) + "\n"

    def markdown() -> str:
        from optimiser.present.markdown import cheapest_markdown

        text = cheapest_markdown(answer())
        if not has_more():
            return text
        from optimiser.present.page import section_markdown

        return text + "\n".join(line for s in sections() for line in section_markdown(s)) + "\n"

    def document() -> str:
        found, whole = answered(), cheapest_document(answer())
        if has_more():
            from optimiser.present.room_words import near_document, room_document

            whole |= {} if found.near is None else {"near": near_document(found.near)}
            if found.wants_room:
                none = {"status": "infeasible"}
                whole["room"] = none if found.room is None else room_document(found.room)
        return as_text(whole)

    return {
        "": terminal,
        ".json": document,
        ".csv": formula,
        ".md": markdown,
        ".lp": lambda: model("lp"),
        ".mps": lambda: model("mps"),
    }
