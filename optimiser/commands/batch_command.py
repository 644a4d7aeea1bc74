"""The words that `batch` takes; what is heavy is loaded when it runs."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from optimiser.commands.leaving import AsJson, Out, say


def batch(
    source: Annotated[
        Path | None,
        typer.Argument(help="The brief, or a recipe to make.", metavar="BRIEF|FORMULA"),
    ] = None,
    size: Annotated[str | None, typer.Option(help="What is weighed in, as in '2 kg'.")] = None,
    jars: Annotated[
        int | None, typer.Option(help="How many jars to fill; the batch follows.", min=1)
    ] = None,
    net: Annotated[
        str | None, typer.Option(help="What a jar is to hold, as in '120 g', or its volume.")
    ] = None,
    scale: Annotated[
        str | None, typer.Option(help="The division of the scale, as in '0.1 g'.")
    ] = None,
    loss: Annotated[
        str | None, typer.Option(help="What stays in bowls, in percent, as in 3%.")
    ] = None,
    price: Annotated[str | None, typer.Option(help="What a jar is sold at.")] = None,
    margin: Annotated[
        str | None, typer.Option(help="What is to stay of the price, as in 60%.")
    ] = None,
    brief: Annotated[
        Path | None, typer.Option(help="With a recipe: the brief with prices and jar.")
    ] = None,
    batches: Annotated[
        list[str] | None,
        typer.Option("--batch", help="BRIEF='2 kg', more than once: several batches at once."),
    ] = None,
    as_json: AsJson = False,
    out: Out = None,
    time_limit: Annotated[
        float, typer.Option(help="Seconds to search among weighable formulas.", min=0.1)
    ] = 5.0,
) -> None:
    """Weigh sheet, jars, fill, shopping, and what a jar costs."""
    from optimiser.commands.batch import run
    from optimiser.commands.batch_options import Typed

    typed = Typed(size, jars, net, scale, loss, price, margin, brief, batches or (), time_limit)
    say(*run(source, typed, as_json, out or []))
