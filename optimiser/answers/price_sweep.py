"""One price swept: between which prices which formula is the cheapest, exactly."""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction

from optimiser.answers.measures import Blend, Measures, measured
from optimiser.answers.price_ranges import cost_rows
from optimiser.formulation import WHOLE, Formulation
from optimiser.linear_model import Coefficients, LinearModel, Sense
from optimiser.postoptimal.cost_sweep import CostPiece, cost_pieces
from optimiser.provenance import InputError, Mistake, Origin
from optimiser.solve import settle


@dataclass(frozen=True, eq=False)
class PricePiece:
    """Between two prices one formula is the cheapest.

    Attributes:
        start: The lower price per kg.
        end: The higher price per kg.
        percent: The share of the swept ingredient.
        cost_at_start: Money per kg of the formula at the lower price.
        cost_at_end: At the higher price; straight in between.
        measures: The formula; its own cost is that at today's prices.
        staying_at_start: What the formula in use costs at the lower price; None without one.
        staying_at_end: What it costs at the higher price.
    """

    start: Fraction
    end: Fraction
    percent: Fraction
    cost_at_start: Fraction
    cost_at_end: Fraction
    measures: Measures
    staying_at_start: Fraction | None
    staying_at_end: Fraction | None


@dataclass(frozen=True, eq=False)
class PriceSweep:
    """The cheapest formula as a function of one price, the others unchanged.

    Attributes:
        ingredient: Its id.
        today: Its price per kg before the sweep.
        start: The lowest price of the sweep.
        end: The highest price of the sweep.
        pieces: In rising order of the price; they end early where the cost limit is passed,
            and there are none where no formula meets the other limits.
        impossible_above: The price above which no formula keeps to the limit on the cost;
            None where there is none within the sweep.
    """

    ingredient: str
    today: Fraction
    start: Fraction
    end: Fraction
    pieces: tuple[PricePiece, ...]
    impossible_above: Fraction | None


def price_sweep(
    formulation: Formulation,
    ingredient: str,
    start: Fraction,
    end: Fraction,
    in_use: Blend | None = None,
) -> PriceSweep:
    """Sweep one price.

    Args:
        formulation: The request as a model.
        ingredient: Its id.
        start: The lowest price per kg.
        end: The highest price per kg, above the lowest.
        in_use: A formula to cost beside, or None.

    Raises:
        InputError: The ingredient may not be used, or the brief asks for a least cost.
        UnsettledError: The exact arithmetic came to no end.
    """
    model, cap = without_cost_limits(formulation)
    if ingredient not in model.columns:
        problem = "it is not on the shelf of this brief, so its price changes nothing"
        raise InputError([Mistake(Origin("--sweep", None, ingredient), problem)])
    j = model.columns.index(ingredient)
    today = formulation.offers[j].price_per_kg
    none = PriceSweep(ingredient, today, start, end, (), None)
    if settle(model)[1].x is None:
        return none
    direction = Coefficients.sparse({j: Fraction(1, WHOLE)}, len(model.columns))
    pieces = cost_pieces(model.with_cost(j, 0), direction, start, end)
    kept = [cut for piece in pieces if (cut := _within(piece, cap)) is not None]
    reached = kept[-1].end if kept else start
    staying = None if in_use is None else Blend.at(formulation.request, in_use.shares)
    base = None if staying is None else staying.cost_per_kg

    def stays(price: Fraction) -> Fraction | None:
        if base is None or staying is None:
            return None
        share = staying.shares.get(ingredient, Fraction(0))
        return base + share * (price - today) / WHOLE

    return replace(
        none,
        pieces=tuple(
            PricePiece(
                start=piece.start,
                end=piece.end,
                percent=piece.x[j],
                cost_at_start=piece.cost_at_start,
                cost_at_end=piece.cost_at_end,
                measures=measured(Blend.of(formulation, piece.x)),
                staying_at_start=stays(piece.start),
                staying_at_end=stays(piece.end),
            )
            for piece in kept
        ),
        impossible_above=None if kept and reached == end else reached,
    )


def without_cost_limits(formulation: Formulation) -> tuple[LinearModel, Fraction | None]:
    """The model without limits on the cost itself, and the most it may cost, None for any.

    A price moves such a limit as well as the cost. A ceiling never changes which formula is
    cheapest, only whether that one is still allowed. A floor does, and is refused.

    Raises:
        InputError: The brief asks for a least cost.
    """
    rows = cost_rows(formulation)
    model = formulation.model
    floors = [i for i in rows if model.rows[i].sense is not Sense.AT_MOST]
    if floors:
        problem = "a least cost cannot be kept while prices move; take it out of the brief"
        raise InputError([Mistake(model.rows[i].statement.origin, problem) for i in floors])
    cap = min((Fraction(model.bound[i]) for i in rows), default=None)
    return model.without_rows(rows), cap


def _within(piece: CostPiece, cap: Fraction | None) -> CostPiece | None:
    """The part of a piece that costs no more than a cap; the cost never falls with a price."""
    if cap is None or piece.cost_at_end <= cap:
        return piece
    if piece.cost_at_start >= cap:
        return None
    rise = (piece.cost_at_end - piece.cost_at_start) / (piece.end - piece.start)
    end = piece.start + (cap - piece.cost_at_start) / rise
    return replace(piece, end=end, cost_at_end=cap)
