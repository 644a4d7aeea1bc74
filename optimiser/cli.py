"""The command line: words in, words out, an exit status.

0 an answer; 1 the brief cannot be met (the explanation is the output); 2 the input is
wrong (messages on standard error); 3 a fault of the tool. Heavy packages are imported
inside the commands that use them, so that help and mistakes come at once.
"""

from __future__ import annotations

import io
import sys
from pathlib import Path
from typing import Annotated, NoReturn, TextIO

import typer

from optimiser.commands.batch_command import batch
from optimiser.commands.declare_command import declare
from optimiser.commands.leaving import (
    ANSWERED,
    FAULT,
    STOPPED,
    WRONG_INPUT,
    AsJson,
    ClosedStream,
    Out,
    not_printed,
    say,
    stopped_said,
)
from optimiser.present.aside import say_aside, visible
from optimiser.provenance import InputError, Mistake, Origin

app = typer.Typer(
    name="optimiser",
    help="Find the cheapest skin butter, balm or scrub formula within a maker's limits, "
    "see what holds it there, and have it proven.",
    add_completion=False,
    no_args_is_help=True,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
)


def _version(asked: bool) -> None:
    if asked:
        from optimiser import __version__

        say(f"optimiser {__version__}\n", ANSWERED)


@app.callback()
def common(
    version: Annotated[
        bool, typer.Option("--version", callback=_version, is_eager=True, help="Print the version.")
    ] = False,
) -> None:
    """Take the options before a command."""


@app.command()
def formulate(
    brief: Annotated[Path, typer.Argument(help="The brief, a TOML file.", metavar="BRIEF")],
    as_json: AsJson = False,
    out: Out = None,
    time_limit: Annotated[
        float, typer.Option(help="Seconds to search among weighable formulas.", min=0.1)
    ] = 5.0,
    within: Annotated[
        str | None, typer.Option(help="Also the room to move for so much more, as in 2%.")
    ] = None,
    recipe: Annotated[
        Path | None,
        typer.Option("--from", "--in-use", help="Also the cheapest that stays near this recipe."),
    ] = None,
    points: Annotated[
        str | None, typer.Option(help="How far it may move in all (default 5 points).")
    ] = None,
) -> None:
    """The cheapest formula, and what holds it there."""
    from optimiser.commands.formulate import Asked, run

    say(*run(brief, as_json, out or [], time_limit, Asked(within, recipe, points)))


@app.command()
def assess(
    brief: Annotated[Path, typer.Argument(help="The brief, a TOML file.", metavar="BRIEF")],
    formula: Annotated[
        Path, typer.Argument(help="The recipe: a table or pasted lines.", metavar="FORMULA")
    ],
    as_json: AsJson = False,
    out: Out = None,
    time_limit: Annotated[
        float, typer.Option(help="Seconds to search among weighable formulas.", min=0.1)
    ] = 5.0,
) -> None:
    """An existing recipe held against the brief."""
    from optimiser.commands.assess import run

    say(*run(brief, formula, as_json, out or [], time_limit))


@app.command()
def substitute(
    brief: Annotated[Path, typer.Argument(help="The brief, a TOML file.", metavar="BRIEF")],
    gone: Annotated[list[str], typer.Option("--gone", help="What is no longer to be had.")],
    also_gone: Annotated[
        list[str] | None, typer.Option(help="What else may not be used, used so far or not.")
    ] = None,
    only: Annotated[
        str | None, typer.Option(help="What may newly come in, separated by commas.")
    ] = None,
    recipe: Annotated[
        Path | None,
        typer.Option(
            "--from", "--in-use", help="The recipe in use; else the brief's cheapest formula."
        ),
    ] = None,
    keep_within: Annotated[
        str | None, typer.Option(help="Points by which the rest may move (default 2).")
    ] = None,
    cost_cap: Annotated[
        str | None, typer.Option(help="The most that a kg of the formula may cost.")
    ] = None,
    max_changes: Annotated[
        int | None, typer.Option(help="How many other ingredients may move.", min=0)
    ] = None,
    as_json: AsJson = False,
    out: Out = None,
) -> None:
    """Without an ingredient: closest, and cheapest."""
    from optimiser.commands.substitute import run

    say(
        *run(
            brief,
            gone,
            also_gone or [],
            only,
            recipe,
            keep_within,
            cost_cap,
            max_changes,
            as_json,
            out or [],
        )
    )


@app.command()
def reprice(
    brief: Annotated[Path, typer.Argument(help="The brief, a TOML file.", metavar="BRIEF")],
    price: Annotated[
        list[str] | None,
        typer.Option(help="NAME=12.40 or NAME=+10%, of an ingredient, kind or group."),
    ] = None,
    prices: Annotated[Path | None, typer.Option(help="Another price list altogether.")] = None,
    sweep: Annotated[
        list[str] | None, typer.Option(help="An ingredient whose price is swept.")
    ] = None,
    sweep_limit: Annotated[
        str | None, typer.Option(help="A limit whose bound is swept, by its key path.")
    ] = None,
    start: Annotated[str | None, typer.Option("--from", help="Where the sweep starts.")] = None,
    end: Annotated[str | None, typer.Option("--to", help="Where the sweep ends.")] = None,
    spread: Annotated[
        str | None, typer.Option(help="Scenarios: how far prices move, as in 15%.")
    ] = None,
    draws: Annotated[
        int | None, typer.Option(help="How many scenarios to draw (default 10,000).")
    ] = None,
    seed: Annotated[
        int | None, typer.Option(help="The same seed, the same scenarios (default 1).", min=0)
    ] = None,
    together: Annotated[
        str | None, typer.Option(help="Correlation of prices within a kind, 0 to 1.")
    ] = None,
    scenarios: Annotated[
        Path | None, typer.Option(help="Scenarios: a column an ingredient, a row a scenario.")
    ] = None,
    at_most: Annotated[
        int | None, typer.Option(help="Cheapest when at most so many prices rise.", min=0)
    ] = None,
    in_use: Annotated[
        Path | None, typer.Option(help="The recipe in use; else the brief's cheapest formula.")
    ] = None,
    as_json: AsJson = False,
    out: Out = None,
    time_limit: Annotated[
        float, typer.Option(help="Seconds to search among weighable formulas.", min=0.1)
    ] = 5.0,
) -> None:
    """What price changes do."""
    from optimiser.commands.reprice import Asked, run

    asked = Asked(
        price=price or (),
        prices=prices,
        sweep=_single(sweep, "--sweep"),
        sweep_limit=sweep_limit,
        start=start,
        end=end,
        spread=spread,
        draws=draws,
        seed=seed,
        together=together,
        scenarios=scenarios,
        at_most=at_most,
        in_use=in_use,
        time_limit=time_limit,
    )
    say(*run(brief, asked, as_json, out or []))


@app.command()
def tradeoff(
    brief: Annotated[Path, typer.Argument(help="The brief, a TOML file.", metavar="BRIEF")],
    one: Annotated[str, typer.Argument(help="What is to be best, such as cost.", metavar="ONE")],
    other: Annotated[
        str, typer.Argument(help="What it is set against, such as vitamin_e.", metavar="OTHER")
    ],
    most: Annotated[
        bool | None, typer.Option("--most/--least", help="Whether most or least of ONE is best.")
    ] = None,
    as_json: AsJson = False,
    out: Out = None,
) -> None:
    """How much of one buys how much of the other."""
    from optimiser.commands.tradeoff import run

    say(*run(brief, one, other, most, as_json, out or []))


@app.command()
def compare(
    formulas: Annotated[
        list[Path], typer.Argument(help="Two or more recipes.", metavar="FORMULA...")
    ],
    brief: Annotated[
        Path | None, typer.Option(help="A brief, for its prices, sheets and limits.")
    ] = None,
    as_json: AsJson = False,
    out: Out = None,
) -> None:
    """Formulas side by side, and what would be noticed."""
    from optimiser.commands.compare import run

    say(*run(formulas, brief, as_json, out or []))


app.command()(declare)
app.command()(batch)


@app.command()
def ingredients(
    name: Annotated[
        str | None, typer.Argument(help="One ingredient: id, common or INCI name.")
    ] = None,
    as_json: AsJson = False,
    out: Out = None,
) -> None:
    """Ingredient figures with their sources."""
    from optimiser.commands.ingredients import run

    say(*run(name, as_json, out or []))


@app.command()
def start(
    folder: Annotated[Path, typer.Argument(help="A new or empty folder.", metavar="FOLDER")],
    as_json: AsJson = False,
    out: Out = None,
) -> None:
    """A folder to begin from: brief, price list, notes."""
    from optimiser.commands.start import run

    say(*run(folder, as_json, out or []))


def _single(values: list[str] | None, option: str) -> str | None:
    """The one value of an option that may be given once; more are not dropped in silence."""
    if values and len(values) > 1:
        raise InputError([Mistake(Origin(option), "one at a time; run the others after it")])
    return values[0] if values else None


def main() -> NoReturn:
    """Run the command line and leave with an exit status."""
    for name in ("stdout", "stderr"):
        stream = getattr(sys, name)
        if stream is None:  # closed by the caller
            setattr(sys, name, ClosedStream() if name == "stdout" else io.StringIO())
        elif isinstance(stream, io.TextIOWrapper):
            # A console that cannot show a sign of a name shows its escape.
            stream.reconfigure(errors="backslashreplace")
    status, aside = _run(sys.stdout)
    say_aside(aside)
    sys.exit(status)


def _run(console: TextIO) -> tuple[int, str]:
    """Run the command line; the exit status, and what is to be told on standard error."""
    try:
        app()
    except InputError as problem:
        return WRONG_INPUT, _lines(problem)
    except KeyboardInterrupt:
        return STOPPED, stopped_said()
    except SystemExit as leaving:
        status = leaving.code if isinstance(leaving.code, int) else WRONG_INPUT
        if sys.stdout is not console:
            # Typer puts a wrapper there, and leaves with 1, where nobody reads its help.
            return ANSWERED, ""
        return status, stopped_said() if status == STOPPED else ""
    except OSError as problem:
        if problem.filename is None:
            # A stream has no file name: Typer's help or its message was not taken.
            return WRONG_INPUT, _lines(not_printed(problem.strerror or str(problem)))
        return FAULT, _fault_text(problem)
    except Exception as fault:  # noqa: BLE001  # the last line of defence: say it is ours
        return FAULT, _fault_text(fault)
    return ANSWERED, ""


def _lines(problem: InputError) -> str:
    return "".join(f"{visible(str(mistake))}\n" for mistake in problem.mistakes)


def _fault_text(fault: Exception) -> str:
    """What to report when the tool itself fails, without a traceback."""
    frame = fault.__traceback__
    while frame is not None and frame.tb_next is not None:
        frame = frame.tb_next
    place = ""
    if frame is not None:
        file = Path(frame.tb_frame.f_code.co_filename).name
        place = f" at {file}:{frame.tb_lineno}"
    return (
        f"A fault of the tool, not of your files: {type(fault).__name__}: {fault}{place}\n"
        "Nothing was changed. Please report it with the brief and the price list.\n"
    )
