"""The words that `declare` takes; what is heavy is loaded when it runs."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from optimiser.commands.leaving import AsJson, Out, say


def declare(
    formula: Annotated[
        Path, typer.Argument(help="A brief (TOML) or a recipe.", metavar="BRIEF|FORMULA")
    ],
    region: Annotated[str, typer.Option(help="Where it is sold: eu, uk or us.")],
    brief: Annotated[
        Path | None, typer.Option(help="For a recipe: a brief with sheets, certificates, use.")
    ] = None,
    use: Annotated[
        list[str] | None, typer.Option(help='Where it goes, as in "body, leave-on".')
    ] = None,
    net: Annotated[str | None, typer.Option(help="Net weight of a jar, as in '120 g'.")] = None,
    as_json: AsJson = False,
    out: Out = None,
    time_limit: Annotated[
        float, typer.Option(help="Seconds to search among weighable formulas.", min=0.1)
    ] = 5.0,
) -> None:
    """Draft ingredient declaration and cautions."""
    from optimiser.commands.declare import Asked, run

    say(*run(Asked(formula, region, brief, use or (), net, time_limit), as_json, out or []))
