"""Random briefs from a seed, one family of difficulty after another.

Bounds are set around a formula that is drawn first, with more or less slack, so that many
briefs can be met and many that cannot are near to it.
"""

from __future__ import annotations

import random
from collections.abc import Callable
from dataclasses import dataclass, field, replace
from decimal import ROUND_CEILING, ROUND_FLOOR, Decimal
from fractions import Fraction

from scale.outside import Numbers
from scale.scents import with_scents
from scale.stated import Stated

from optimiser.brief import COST, Brief, End, Family, Limit, Request
from optimiser.ingredient import Book, Figure, Ingredient, Kind, Over, Property, Rule, Trust
from optimiser.price import Offer
from optimiser.provenance import Origin

TABLE = Origin("figures.csv", 2)
KINDS = (Kind.BUTTER, Kind.OIL, Kind.WAX, Kind.POWDER, Kind.BUTTER, Kind.OIL, Kind.OTHER)
QUANTITIES = (
    ("spread", Over.PRODUCT, Rule.MASS),
    ("grip", Over.PRODUCT, Rule.MASS),
    ("snap", Over.FAT, Rule.MASS),
    ("melt", Over.FAT, Rule.MASS),
    ("density", Over.PRODUCT, Rule.VOLUME),
    ("fat_density", Over.FAT, Rule.VOLUME),
)
COLLECTIVES = ("butter", "oil", "wax", "powder", "other", "fine", "plain", "twin", "empty")
"""Kinds and groups; `twin` has the members of `fine`, `empty` has none that may be used."""


@dataclass
class Drawing:
    """A request in the making.

    Attributes:
        rng: Where chance comes from.
        digits: Decimals of figures, prices and bounds.
        span: How far figures of different ingredients are apart, in powers of ten.
        slack: Sizes of the gaps between the first formula and a bound.
        is_tied: Whether ingredients share prices and figures.
        zeros: Chance that an ingredient is not in the first formula.
    """

    rng: random.Random
    digits: int = 1
    span: int = 0
    slack: tuple[str, ...] = ("0", "0.5", "2", "10", "-1")
    is_tied: bool = False
    zeros: float = 0.3
    ingredients: list[Ingredient] = field(default_factory=list)
    offers: list[Offer] = field(default_factory=list)
    groups: dict[str, tuple[str, ...]] = field(default_factory=dict)
    limits: dict[str, Limit] = field(default_factory=dict)

    def number(self, low: float, high: float) -> Decimal:
        scale = Decimal(10) ** self.rng.randint(-self.span, self.span) if self.span else 1
        drawn = Decimal(self.rng.randint(int(low * 10**self.digits), int(high * 10**self.digits)))
        return drawn.scaleb(-self.digits) * scale

    def figure(self, of: str) -> Figure:
        if "density" in of:
            typical = Decimal(self.rng.randint(80, 260)).scaleb(-2)
            ends = [typical - Decimal("0.05"), typical + Decimal("0.05")]
        else:
            typical = self.number(-20 if of == "grip" else 0, 90)
            ends = [typical - self.rng.randint(0, 3), typical + self.rng.randint(0, 3)]
        return Figure(ends[0], typical, ends[1], "published", "somewhere", TABLE)

    def shelve(self, count: int) -> None:
        """Ingredients with all figures, one offer or two each, and groups."""
        for k in range(count):
            kind = KINDS[k] if k < 4 else self.rng.choice(KINDS)
            name = f"m{k}"
            figures = {of: self.figure(of) for of, _, _ in QUANTITIES}
            if self.is_tied and k and self.rng.random() < 0.6:
                figures = dict(self.rng.choice(self.ingredients).figures)
            self.ingredients.append(
                Ingredient(name, name.upper(), "", "", kind, figures, "", TABLE)
            )
            self.price(name)
        names = [one.id for one in self.ingredients]
        fine = tuple(self.rng.sample(names, max(1, count // 3)))
        rest = [name for name in names if name not in fine]
        self.groups = {
            "fine": fine,
            "twin": fine,
            "plain": tuple(self.rng.sample(rest, max(1, len(rest) // 2))),
            "empty": ("nowhere",),
        }

    def price(self, name: str) -> None:
        if self.is_tied and self.offers and self.rng.random() < 0.6:
            old = self.rng.choice(self.offers)
            self.offers.append(replace(old, ingredient=name))
            return
        for _ in range(self.rng.choice((1, 1, 1, 2))):
            kg = Fraction(self.rng.choice(("1", "0.25", "5", "1/3", "0.4535")))
            price = max(self.number(1, 40), Decimal("0.0001"))
            delivery = Decimal(self.rng.choice(("0", "0", "3.2")))
            self.offers.append(
                Offer(name, "", "pack", kg, price, delivery, "", None, "", Origin("prices.csv", 2))
            )

    def request(self, **brief: object) -> Request:
        said = Brief(
            name="random",
            file="brief.toml",
            style=None,
            currency="GBP",
            use=None,
            leave_out=(),
            groups=self.groups,
            limits=tuple(self.limits.values()),
        )
        nowhere = Ingredient("nowhere", "Nowhere", "", "", Kind.COLOUR, {}, "", TABLE)
        book = Book(
            ingredients={one.id: one for one in (*self.ingredients, nowhere)},
            properties={of: quantity(of, over, rule) for of, over, rule in QUANTITIES},
        )
        return Request(replace(said, **brief), book, tuple(self.offers))  # type: ignore[arg-type]

    def mixture(self) -> Numbers:
        """The first formula: whole percentages that add up to 100."""
        count = len(self.ingredients)
        weights = [
            0 if self.rng.random() < self.zeros else self.rng.randint(1, 9) for _ in range(count)
        ]
        weights[self.rng.randrange(count)] += 1
        shares = [100 * w // sum(weights) for w in weights]
        shares[shares.index(max(shares))] += 100 - sum(shares)
        return tuple(Fraction(share) for share in shares)

    def limit(self, family: Family, of: str, end: End, at: Numbers, slack: Decimal) -> None:
        """A limit around the level of a mixture, once for each key."""
        key = f"{family.value}.{of}" + ("" if end is End.EXACTLY else f".{end.value}")
        exact = f"{family.value}.{of}"
        if key in self.limits or exact in self.limits:
            return
        bare = Limit(family, of, end, Decimal(1), key, Origin("brief.toml", 7, key))
        stated = Stated(self.request())
        stated.limits[key] = bare
        level = stated.level(key, at)
        if level is None:
            level = Fraction(self.rng.randint(0, 3))
        if family is Family.RATIOS or "density" in of:
            slack = slack / 20
        gap = {End.MIN: -slack, End.MAX: slack, End.EXACTLY: Decimal(0)}[end]
        bound = rounded(level, self.digits + 2, end) + gap
        if family is not Family.PROPERTIES or of == COST:
            bound = max(bound, Decimal(0))
        if "density" in of:
            bound = max(bound, Decimal("0.1"))
        firm = self.rng.random() < 0.1
        self.limits[key] = replace(bare, value=bound, firm=firm)

    def limit_at_random(self, at: Numbers, families: tuple[str, ...] = ()) -> None:
        what = self.rng.choice(families or ("amounts", "totals", "ratios", "properties", "cost"))
        end = self.rng.choice((End.MIN, End.MAX))
        family, of = Family.PROPERTIES, COST
        if what == "amounts":
            family, of = Family.AMOUNTS, self.rng.choice(self.ingredients).id
        elif what == "totals":
            family = Family.TOTALS
            of = self.rng.choice((*COLLECTIVES, self.rng.choice(self.ingredients).id))
        elif what == "ratios":
            family, of = Family.RATIOS, ":".join(self.rng.sample(COLLECTIVES, 2))
        elif what == "volume":
            of = self.rng.choice(("density", "fat_density"))
        elif what == "fat":
            of = self.rng.choice(("snap", "melt", "fat_density"))
        elif what == "properties":
            of = self.rng.choice(QUANTITIES)[0]
        elif what == "cost":
            end = self.rng.choice((End.MAX, End.MAX, End.MAX, End.MIN))
        slack = Decimal(self.rng.choice(self.slack))
        self.limit(family, of, end, at, slack)


def quantity(of: str, over: Over, rule: Rule) -> Property:
    return Property(of, of, "", over, rule, Trust.EXACT, "", Decimal("0.1"), True, TABLE)


def rounded(level: Fraction, digits: int, end: End) -> Decimal:
    """A level with so many decimals, on the side that lets the formula in."""
    scaled = level * 10**digits
    way = ROUND_FLOOR if end is End.MIN else ROUND_CEILING
    whole = (Decimal(scaled.numerator) / Decimal(scaled.denominator)).to_integral_value(way)
    return whole.scaleb(-digits)


def plain(rng: random.Random) -> Request:
    """Limits of every kind."""
    return around(Drawing(rng))


def around(drawing: Drawing, *families: str, fewest: int = 2, most: int = 7) -> Request:
    """So many limits around a first formula, some of given families before the others."""
    rng = drawing.rng
    if not drawing.ingredients:
        drawing.shelve(rng.randint(3, 8))
    at = drawing.mixture()
    for _ in range(rng.randint(2, 3) if families else 0):
        drawing.limit_at_random(at, families)
    for _ in range(rng.randint(fewest, most)):
        drawing.limit_at_random(at)
    return drawing.request()


def degenerate(rng: random.Random) -> Request:
    """Whole numbers, and many limits through the same formula."""
    return around(Drawing(rng, digits=0, slack=("0",)), fewest=4, most=10)


def ratios(rng: random.Random) -> Request:
    """Ratios of which the denominator is empty, ruled out or allowed to vanish."""
    drawing = Drawing(rng, zeros=0.6)
    drawing.shelve(rng.randint(3, 7))
    at = drawing.mixture()
    for _ in range(rng.randint(1, 2)):
        of = rng.choice(COLLECTIVES)
        key = f"totals.{of}.max"
        if rng.random() < 0.5:
            where = Origin("brief.toml", 3, key)
            drawing.limits[key] = Limit(Family.TOTALS, of, End.MAX, Decimal(0), key, where)
    for _ in range(rng.randint(1, 4)):
        drawing.limit_at_random(at, ("ratios",))
    return around(drawing, "ratios", fewest=0, most=4)


def nearly(rng: random.Random) -> Request:
    """Just possible or just not: a hair between a formula and many limits."""
    hairs = ("0", "1e-9", "-1e-9", "0", "1e-6", "-1e-6", "3")
    drawing = Drawing(rng, digits=2, slack=hairs)
    return around(drawing, fewest=5, most=10)


def tied(rng: random.Random) -> Request:
    """Ingredients of one price and the same figures."""
    return around(Drawing(rng, digits=0, is_tied=True), fewest=1, most=5)


def badly_scaled(rng: random.Random) -> Request:
    """Figures and prices from a ten-thousandth to a million."""
    return around(Drawing(rng, digits=2, span=4, slack=("0", "1e-4", "0.1", "5")))


def duplicates(rng: random.Random) -> Request:
    """The same limit said twice: as an amount and a total, of two groups with one list."""
    drawing = Drawing(rng)
    drawing.shelve(rng.randint(3, 7))
    at = drawing.mixture()
    one = rng.choice(drawing.ingredients).id
    slack = Decimal(rng.choice(drawing.slack))
    for end in rng.sample((End.MIN, End.MAX), rng.randint(1, 2)):
        drawing.limit(Family.AMOUNTS, one, end, at, slack)
        drawing.limit(Family.TOTALS, one, end, at, slack)
        drawing.limit(Family.TOTALS, "fine", end, at, slack)
        drawing.limit(Family.TOTALS, "twin", end, at, slack)
    for of in ("fine:plain", "twin:plain"):
        drawing.limit(Family.RATIOS, of, End.MAX, at, slack)
    return around(drawing, fewest=1, most=4)


def equalities(rng: random.Random) -> Request:
    """Exact amounts, totals, ratios and means; and `min` with the same `max`."""
    drawing = Drawing(rng)
    drawing.shelve(rng.randint(4, 8))
    at = drawing.mixture()
    for one in rng.sample(drawing.ingredients, rng.randint(1, 2)):
        drawing.limit(Family.AMOUNTS, one.id, End.EXACTLY, at, Decimal(0))
    choices = (
        (Family.TOTALS, "fine"),
        (Family.RATIOS, "butter:oil"),
        (Family.PROPERTIES, "snap"),
        (Family.PROPERTIES, "spread"),
        (Family.PROPERTIES, COST),
    )
    family, of = rng.choice(choices)
    drawing.limit(family, of, End.EXACTLY, at, Decimal(0))
    family, of = rng.choice(choices)
    for end in (End.MIN, End.MAX):
        drawing.limit(family, of, end, at, Decimal(0))
    return around(drawing, fewest=0, most=4)


def cost_caps(rng: random.Random) -> Request:
    """Ceilings and floors of the cost with other limits."""
    return around(Drawing(rng, slack=("0", "0.01", "1", "4", "-1")), "cost")


def fat_means(rng: random.Random) -> Request:
    """Means over the fat phase, where there may be little or no fat."""
    return around(Drawing(rng, zeros=0.5), "fat")


def volumes(rng: random.Random) -> Request:
    """Densities, of which the volumes add up."""
    return around(Drawing(rng), "volume")


def on_skin(rng: random.Random) -> Request:
    """Scents with constituents, certificates or neither, under limits on skin."""
    drawing = Drawing(rng)
    drawing.shelve(rng.randint(3, 5))
    return with_scents(around(drawing, fewest=1, most=4), rng)


def shelves(rng: random.Random) -> Request:
    """Missing figures, what may not be used, cautious figures."""
    drawing = Drawing(rng)
    drawing.shelve(rng.randint(4, 8))
    asked = around(drawing)
    poorer = {}
    for name, one in asked.book.ingredients.items():
        figures = {of: f for of, f in one.figures.items() if rng.random() < 0.93}
        poorer[name] = replace(one, figures=figures)
    names = [one.id for one in drawing.ingredients]
    use = tuple(rng.sample(names, len(names) - 1)) if rng.random() < 0.3 else None
    gone = tuple(rng.sample(names, 1)) if rng.random() < 0.3 else ()
    where = Origin("brief.toml", 9)
    cautious = {of: where for of, _, _ in QUANTITIES if rng.random() < 0.5}
    brief = replace(asked.brief, use=use, leave_out=gone, cautious=cautious)
    return replace(asked, brief=brief, book=replace(asked.book, ingredients=poorer))


def crowded(rng: random.Random) -> Request:
    """Many limits and ingredients of every kind together."""
    drawing = Drawing(rng, digits=rng.randint(0, 3), is_tied=rng.random() < 0.3)
    drawing.shelve(rng.randint(8, 14))
    return around(drawing, "fat", "volume", "ratios", fewest=6, most=14)


FAMILIES: dict[str, Callable[[random.Random], Request]] = {
    "plain": plain,
    "degenerate": degenerate,
    "ratios": ratios,
    "nearly infeasible": nearly,
    "tied": tied,
    "badly scaled": badly_scaled,
    "duplicates": duplicates,
    "equalities": equalities,
    "cost caps": cost_caps,
    "means over the fat": fat_means,
    "volumes": volumes,
    "limits on skin": on_skin,
    "shelves": shelves,
    "crowded": crowded,
}


def drawn(seed: int, place: int) -> tuple[str, Request]:
    """The brief at a place of a seed's endless list, and its family."""
    family = list(FAMILIES)[place % len(FAMILIES)]
    return family, FAMILIES[family](random.Random(f"{seed} {place}"))
