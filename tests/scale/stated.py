"""A request as a linear programme, worked out anew from the brief and the figures.

Nothing of `formulation`, `linear_model` or `pulp_model` is used: what may be used, at which
price, and what each limit says stand here a second time, from their definitions, so that a
fault of formulation shows as a disagreement.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from fractions import Fraction

from scale.outside import Line, Numbers, Programme, dot

from optimiser.brief import COST, End, Family, Limit, Request
from optimiser.ingredient import Ingredient, Kind, Over, Rule
from optimiser.skin import Counted, RuleKind

WHOLE = Fraction(100)
SIDES = {End.MIN: ">=", End.MAX: "<=", End.EXACTLY: "="}
FATS = (Kind.BUTTER, Kind.OIL, Kind.WAX)
TOTAL = "total"


class Stated:
    """What a request asks.

    Attributes:
        request: The request.
        shelf: What may be used, by id in their order.
        names: Their ids.
        prices: Money per kg of each.
    """

    def __init__(self, request: Request) -> None:
        self.request = request
        self.limits = {limit.key: limit for limit in request.brief.limits}
        assert len(self.limits) == len(request.brief.limits), "two limits of one key"
        offers = self._lowest_prices()
        wanted = list(offers) if request.brief.use is None else list(request.brief.use)
        ids = sorted(i for i in set(wanted) if i in offers and i not in request.brief.leave_out)
        known = [request.book.ingredients[i] for i in ids]
        self.shelf = [one for one in known if not self._is_unfit(one)]
        self.names = [one.id for one in self.shelf]
        self.prices = tuple(offers[name] for name in self.names)
        self.priced = set(offers)

    def _lowest_prices(self) -> dict[str, Fraction]:
        found: dict[str, Fraction] = {}
        for offer in self.request.offers:
            per_kg = (Fraction(offer.price) + Fraction(offer.delivery)) / offer.pack_kg
            found[offer.ingredient] = min(per_kg, found.get(offer.ingredient, per_kg))
        return found

    def _is_unfit(self, one: Ingredient) -> bool:
        """Whether a figure that a limit needs is missing, or a scent is unknown or ruled out."""
        for limit in self.request.brief.limits:
            if limit.family is Family.PROPERTIES and limit.of != COST:
                over = self.request.book.properties[limit.of].over
                is_counted = over is Over.PRODUCT or one.kind in FATS
                if is_counted and limit.of not in one.figures:
                    return True
        has_limits_on_skin = any(x.family is Family.SKIN for x in self.request.brief.limits)
        if one.kind is not Kind.FRAGRANCE or not has_limits_on_skin:
            return False
        maxima = self.request.book.certified.get(one.id, {})
        wanted = {c for use in self.request.brief.uses for c in use.categories}
        if any(c in maxima and maxima[c].percent == 0 for c in wanted):
            return True
        is_described = one.id in self.request.book.constituents
        return not is_described and not (wanted and wanted <= set(maxima))

    def refusals(self) -> bool:
        """Whether the request cannot be stated at all, which is the maker's mistake."""
        brief = self.request.brief
        unpriced = any(name not in self.priced for name in brief.use or ())
        in_vain = any(
            limit.family is Family.AMOUNTS
            and limit.end is not End.MAX
            and limit.value > 0
            and limit.of not in self.names
            for limit in brief.limits
        )
        return unpriced or in_vain or not self.shelf

    def parts(self, limit: Limit) -> tuple[Numbers, Numbers | None, Fraction]:
        """What a limit measures: a sum over a weight, sum / (constant + weight . x)."""
        none = Fraction(1)
        if limit.family is Family.RATIOS:
            one, other = limit.of.split(":")
            return self._members(one), self._members(other), Fraction(0)
        if limit.family is Family.SKIN:
            return tuple(self._on_skin(limit, one) for one in self.shelf), None, none
        if limit.family is not Family.PROPERTIES:
            return self._members(limit.of), None, none
        if limit.of == COST:
            return self.prices, None, WHOLE
        return self._property(limit)

    def _members(self, name: str) -> Numbers:
        group = self.request.brief.groups.get(name, ())
        return tuple(
            Fraction(name in (one.id, one.kind.value) or one.id in group) for one in self.shelf
        )

    def _property(self, limit: Limit) -> tuple[Numbers, Numbers | None, Fraction]:
        quantity = self.request.book.properties[limit.of]
        counts = [quantity.over is Over.PRODUCT or one.kind in FATS for one in self.shelf]
        figures = []
        for one, is_counted in zip(self.shelf, counts, strict=True):
            figure = one.figures.get(limit.of)
            if not is_counted or figure is None:
                figures.append(Fraction(0))
                continue
            worst = {End.MIN: figure.low, End.MAX: figure.high, End.EXACTLY: figure.typical}
            is_cautious = limit.of in self.request.brief.cautious
            figures.append(Fraction(worst[limit.end] if is_cautious else figure.typical))
        mass = tuple(Fraction(is_counted) for is_counted in counts)
        if quantity.rule is Rule.VOLUME:
            # A gram takes 1/density of volume; the blend's density is mass over volume.
            volume = tuple(
                m / number if m else Fraction(0) for m, number in zip(mass, figures, strict=True)
            )
            return mass, volume, Fraction(0)
        if quantity.over is Over.FAT:
            return tuple(figures), mass, Fraction(0)
        return tuple(figures), None, WHOLE

    def _on_skin(self, limit: Limit, one: Ingredient) -> Fraction:
        book = self.request.book
        maxima = book.certified.get(one.id, {})
        if limit.of.startswith("certificates_"):
            category = limit.of.removeprefix("certificates_")
            most = Fraction(maxima[category].percent) if category in maxima else Fraction(0)
            return 1 / most if most else Fraction(0)
        rows = [row for row in book.skin_limits if row.id == limit.of]
        if rows[0].of is Counted.INGREDIENTS:
            own = rows[0].parts.get(one.id)
            if own is not None:
                return 1 / Fraction(own) if own else Fraction(0)
            # A blend of which only a certificate tells may hold oils that count here.
            if one.kind is not Kind.FRAGRANCE or one.id in book.constituents:
                return Fraction(0)
        elif one.id in rows[0].but_not:
            return Fraction(0)
        if one.id in book.constituents:
            holds = book.constituents[one.id]
            found = [
                Fraction(w) * Fraction(holds[name].high)
                for name, w in rows[0].parts.items()
                if name in holds
            ]
            return sum(found, Fraction(0)) / WHOLE
        most_it_holds = [
            Fraction(row.value) / Fraction(maxima[category].percent)
            for row in rows
            for category in row.categories
            if row.rule is RuleKind.IFRA and category in maxima and maxima[category].percent
        ]
        return min(most_it_holds, default=Fraction(0))

    def line(self, limit: Limit, bound: Fraction) -> Line:
        """A limit as a line: sum - bound * weight against bound * constant."""
        top, bottom, constant = self.parts(limit)
        if bottom is not None:
            top = tuple(a - bound * b for a, b in zip(top, bottom, strict=True))
        return Line(limit.key, top, SIDES[limit.end], bound * constant)

    def programme(
        self,
        bounds: Mapping[str, Fraction] | None = None,
        price: tuple[str, Fraction] | None = None,
        without: Collection[str] = (),
        only: Collection[str] | None = None,
    ) -> Programme:
        """The whole request, some bounds or one price moved, some limits left out."""
        bounds = bounds or {}
        before = self.prices
        if price is not None:
            self.prices = tuple(
                price[1] if name == price[0] else p
                for name, p in zip(self.names, before, strict=True)
            )
        try:
            lines = [Line(TOTAL, (Fraction(1),) * len(self.names), "=", WHOLE)]
            lines += [
                self.line(limit, bounds.get(key, Fraction(limit.value)))
                for key, limit in self.limits.items()
                if key not in without and (only is None or key in only)
            ]
            return Programme(tuple(p / WHOLE for p in self.prices), tuple(lines))
        finally:
            self.prices = before

    def is_ratio(self, key: str) -> bool:
        """Whether a limit is over something that a formula may hold none of."""
        return self.parts(self.limits[key])[1] is not None

    def weight(self, key: str, x: Numbers) -> Fraction:
        _, bottom, constant = self.parts(self.limits[key])
        return constant + (Fraction(0) if bottom is None else dot(bottom, x))

    def level(self, key: str, x: Numbers) -> Fraction | None:
        """What a formula measures; None where there is nothing to measure it over."""
        weight = self.weight(key, x)
        return dot(self.parts(self.limits[key])[0], x) / weight if weight else None
