"""Draft declarations, against the rules of order and the thresholds of the law.

EU and UK: Regulation (EC) 1223/2009, Article 19 (1) (g) and Annex III; US: 21 CFR 701.3.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from decimal import Decimal
from fractions import Fraction

import pytest

from optimiser.answers.measures import Blend, measured
from optimiser.commands.recipes import bare_request
from optimiser.ingredient import Book, Ingredient, Kind
from optimiser.label import Region
from optimiser.present.net_weight import net_weight
from optimiser.provenance import Origin
from optimiser.reading import read_book
from optimiser.reading.inci import ci_numbers, inci_parts
from optimiser.reading.label_tables import with_label_tables
from optimiser.reading.skin_tables import with_skin_tables
from optimiser.skin import Constituent, Use
from optimiser.workshop.declaration import Declaration, declared
from optimiser.workshop.ingredient_list import Place

BOOK = with_label_tables(with_skin_tables(read_book()))
HERE = Origin("own.csv", 2)
EUROPE = (Region.EU, Region.UK)


def own(identifier: str, inci: str, kind: Kind = Kind.OTHER, ci: str = "") -> Ingredient:
    """An ingredient of the maker's own."""
    name = identifier.replace("-", " ").capitalize()
    numbers = ci_numbers(ci) if ci else ()
    return Ingredient(identifier, name, inci, "", kind, {}, "", HERE, inci_parts(inci), numbers)


def with_own(
    *ingredients: Ingredient, content: Mapping[str, Mapping[str, str]] | None = None
) -> Book:
    """The book with own ingredients, and certificates of some: percent by constituent."""
    certificates = {
        of: {
            name: Constituent(name, None, None, Decimal(high), "own", "own.csv", HERE)
            for name, high in stated.items()
        }
        for of, stated in (content or {}).items()
    }
    return replace(
        BOOK,
        ingredients=BOOK.ingredients | {one.id: one for one in ingredients},
        constituents={**BOOK.constituents, **certificates},
    )


def draft(
    shares: Mapping[str, str],
    region: Region = Region.EU,
    *uses: Use,
    book: Book = BOOK,
    net: str = "",
) -> Declaration:
    """The declaration of some shares, the rest being sunflower oil."""
    exact = {name.replace("_", "-"): Fraction(share) for name, share in shares.items()}
    rest = 100 - sum(exact.values())
    exact["sunflower-oil"] = exact.get("sunflower-oil", Fraction(0)) + rest
    asked = bare_request(book)
    request = replace(asked, brief=replace(asked.brief, uses=uses))
    net_g = Fraction(net) if net else None
    return declared(request, "Draft", measured(Blend.at(request, exact)), region, net_g)


def names(answer: Declaration, *places: Place) -> list[str]:
    """The names of the list, or of some parts of it."""
    return [line.name for line in answer.lines if not places or line.place in places]


# order


@pytest.mark.parametrize("region", EUROPE)
def test_the_head_falls_and_what_is_below_one_percent_follows(region: Region) -> None:
    """Article 19: falling weight; below 1 % after those of 1 % and more."""
    found = draft(
        {"beeswax": "8", "cocoa-butter": "30", "kaolin": "0.9", "silica-spherical": "0.4"}
    )
    assert names(found, Place.ORDERED) == [
        "Helianthus Annuus Seed Oil",
        "Theobroma Cacao Seed Butter",
        "Cera Alba",
    ]
    assert names(found, Place.FREE) == ["Kaolin", "Silica"]
    assert found.text == (
        "Ingredients: Helianthus Annuus Seed Oil, Theobroma Cacao Seed Butter, Cera Alba, Kaolin, "
        "Silica"
    )


def test_exactly_one_percent_is_ordered_in_europe_and_free_in_the_us() -> None:
    """Article 19 says less than 1 %, 21 CFR 701.3 (f) says not more than 1 %."""
    shares = {"kaolin": "1", "silica-spherical": "1.001", "corn-starch": "0.999"}
    for region in EUROPE:
        found = draft(shares, region)
        assert names(found, Place.FREE) == ["Zea Mays Starch"]
        assert names(found, Place.ORDERED)[1:] == ["Silica", "Kaolin"]
    found = draft(shares, Region.US)
    assert names(found, Place.FREE) == ["Kaolin", "Zea Mays Starch"]
    assert names(found, Place.ORDERED)[1:] == ["Silica"]


def test_colours_stand_last_whatever_they_weigh() -> None:
    """By CI number in Europe, by name in the US, after the allergens."""
    shares = {
        "titanium-dioxide": "5",
        "iron-oxide-red": "0.2",
        "lavender-oil": "0.5",
        "kaolin": "2",
    }
    found = draft(shares)
    assert names(found)[-2:] == ["CI 77891", "CI 77491"]
    assert names(found, Place.COLOUR) == ["CI 77891", "CI 77491"]
    assert names(found).index("Linalool") < names(found).index("CI 77891")
    assert names(draft(shares, Region.US))[-2:] == ["Titanium Dioxide", "Iron Oxides"]


def test_equal_names_are_merged_before_they_are_placed() -> None:
    """Two grades of one INCI name are one name, placed by their sum."""
    shares = {"sunflower-oil-high-oleic": "20", "cocoa-butter": "35", "beeswax": "27"}
    found = draft(shares)  # the other 18 are sunflower oil of the usual grade
    assert names(found)[0] == "Helianthus Annuus Seed Oil"
    first = found.lines[0]
    assert first.percent == 38
    assert dict(first.sources) == {"sunflower-oil": 18, "sunflower-oil-high-oleic": 20}
    iron = draft({"iron-oxide-red": "0.3", "iron-oxide-black": "0.1"}, Region.US)
    assert names(iron, Place.COLOUR) == ["Iron Oxides"]


def test_splitting_a_blend_changes_the_order() -> None:
    """The oil of an antioxidant blend joins the same oil elsewhere and overtakes another."""
    shares = {"guard": "10", "squalane": "30", "sesame-oil": "24", "cocoa-butter": "10"}
    blend = own("guard", "Squalane 60; Tocopherol 38; Sesamum Indicum Seed Oil 2")
    found = draft({**shares, "olive-oil": "25.5"}, book=with_own(blend))
    by_name = {line.name: line.percent for line in found.lines}
    assert by_name["Squalane"] == 36
    assert by_name["Tocopherol"] == Fraction("3.8")
    assert by_name["Sesamum Indicum Seed Oil"] == Fraction("24.2")
    whole = own("guard", "Guard Blend")
    before = names(draft({**shares, "olive-oil": "25.5"}, book=with_own(whole)))
    assert before.index("Guard Blend") < before.index("Helianthus Annuus Seed Oil")
    assert "Guard Blend" not in names(found)


def test_a_blend_that_is_off_by_a_rounding_still_weighs_what_it_weighs() -> None:
    """The parts share out the blend exactly."""
    blend = own("guard", "Squalane 60.03; Tocopherol 40")
    found = draft({"guard": "2"}, book=with_own(blend))
    assert sum(line.percent for line in found.lines) == 100


def test_unknown_proportions_are_asked_for_and_not_guessed() -> None:
    """At 1 % and more nothing tells where the parts belong; below, any order will do."""
    book = with_own(own("guard", "Tocopherol; Squalane"))
    found = draft({"guard": "3"}, book=book)
    assert "[Tocopherol and Squalane: in which proportion?]" in names(found)
    assert any("Guard: the proportions of its parts" in text for text in found.needs)
    found = draft({"guard": "0.4"}, book=book)
    assert names(found, Place.FREE) == ["Squalane", "Tocopherol"]
    assert not any(line.is_settled for line in found.lines if line.place is Place.FREE)
    assert any("Guard: the proportions of its parts" in text for text in found.needs)


def test_scents_are_one_word_placed_by_their_sum() -> None:
    """Parfum, on lips Aroma; Fragrance and Flavor in the US."""
    shares = {"lavender-oil": "0.7", "patchouli-oil": "0.6", "kaolin": "1.2"}
    found = draft(shares)
    assert names(found, Place.ORDERED) == ["Helianthus Annuus Seed Oil", "Parfum", "Kaolin"]
    assert "Lavandula Angustifolia Oil" not in found.text
    assert "Aroma" in names(draft(shares, Region.UK, Use.LIPS))
    assert "Parfum" in names(draft(shares, Region.UK, Use.LIPS, Use.BODY))
    assert "Fragrance" in names(draft(shares, Region.US))
    assert "Flavor" in names(draft(shares, Region.US, Use.LIPS))


def test_a_pearl_of_several_parts_lists_each_number() -> None:
    """A part without a CI number is no colourant and stands with the ingredients."""
    pearl = own(
        "pearl", "Synthetic Fluorphlogopite 70; Titanium Dioxide 25; Tin Oxide 5", Kind.COLOUR
    )
    found = draft({"pearl": "4"}, book=with_own(pearl))
    assert names(found, Place.COLOUR) == ["CI 77891", "CI 77861"]
    assert "Synthetic Fluorphlogopite" in names(found, Place.ORDERED)
    iron = own("bronze", "Mica 60; Iron Oxides 40", Kind.COLOUR)
    found = draft({"bronze": "1"}, book=with_own(iron))
    assert "[CI number of Iron Oxides]" in found.text
    assert any(text.startswith("Bronze: Iron Oxides in it: its CI number") for text in found.needs)
    told = own("bronze", "Mica 60; Iron Oxides 40", Kind.COLOUR, "77019; 77491; 77499")
    found = draft({"bronze": "1"}, book=with_own(told))
    assert names(found, Place.COLOUR) == ["CI 77019", "CI 77491", "CI 77499"]
    assert not any("CI number" in text for text in found.needs)


# allergens


def sums(answer: Declaration) -> dict[str, Fraction]:
    """Percent by name of the allergens that are above their threshold."""
    return {one.allergen.name: one.percent for one in answer.declared}


SCENTS = (own("first-scent", "", Kind.FRAGRANCE), own("second-scent", "", Kind.FRAGRANCE))


def certified(first: str, second: str = "0") -> Book:
    """Two scents with so much linalool."""
    stated = {"first-scent": {"Linalool": first}, "second-scent": {"Linalool": second}}
    return with_own(*SCENTS, content=stated)


def test_two_sources_cross_the_threshold_together() -> None:
    """0.0006 and 0.0006 % are each below 0.001 %, their sum is not."""
    book = certified("0.6", "0.6")
    assert sums(draft({"first-scent": "0.1"}, book=book)) == {}
    found = draft({"first-scent": "0.1", "second-scent": "0.1"}, book=book)
    assert sums(found) == {"Linalool": Fraction("0.0012")}
    assert "Linalool" in names(found, Place.ALLERGEN)
    (linalool,) = found.declared
    assert [share.percent for share in linalool.shares] == [Fraction("0.0006")] * 2


def test_at_the_threshold_itself_nothing_is_declared() -> None:
    """Annex III says exceeding 0.001 %."""
    at, above = certified("1"), certified("1.000001")
    assert sums(draft({"first-scent": "0.1"}, book=at)) == {}
    assert list(sums(draft({"first-scent": "0.1"}, book=above))) == ["Linalool"]


@pytest.mark.parametrize(
    ("uses", "is_declared"),
    [
        ((), True),
        ((Use.BODY,), True),
        ((Use.RINSED,), True),  # a water-free scrub leaves a film
        ((Use.RINSED_CLEAN,), False),
        ((Use.RINSED_CLEAN, Use.HANDS), True),
    ],
)
def test_the_threshold_goes_by_the_use(uses: tuple[Use, ...], is_declared: bool) -> None:
    """0.01 % counts only for what is rinsed off and leaves nothing."""
    found = draft({"first-scent": "0.1"}, Region.EU, *uses, book=certified("9"))
    assert ("Linalool" in sums(found)) == is_declared
    assert any("the use, such as" in text for text in found.needs) == (not uses)


def test_the_highest_content_counts() -> None:
    """Lavender of 20 to 45 % linalool (European Pharmacopoeia) is counted at 45."""
    found = draft({"lavender-oil": "0.6"})
    assert sums(found)["Linalool"] == Fraction("0.6") * 45 / 100


def test_isomers_add_up_or_the_sum_is_stated() -> None:
    """Alpha- and beta-pinene together are Pinene; of citral and its isomers the more counts."""
    stated = {
        "first-scent": {"Alpha-Pinene": "2", "Beta-Pinene": "3", "Citral": "4", "Neral": "1"},
        "second-scent": {"Citral": "1", "Geranial": "2", "Neral": "2"},
    }
    book = with_own(*SCENTS, content=stated)
    assert sums(draft({"first-scent": "1"}, book=book)) == {
        "Pinene": Fraction("0.05"),
        "Citral": Fraction("0.04"),
    }
    assert sums(draft({"second-scent": "1"}, book=book)) == {"Citral": Fraction("0.04")}


def test_a_listed_oil_counts_as_itself_and_never_beyond_all_of_it() -> None:
    """Vanillin is listed and states 100 % of itself: it counts once."""
    assert sums(draft({"vanillin": "0.1"})) == {"Vanillin": Fraction("0.1")}
    lemon = own("own-lemon", "Citrus Limon (Lemon) Peel Oil", Kind.FRAGRANCE)
    found = draft({"own-lemon": "0.2"}, book=with_own(lemon))
    assert sums(found) == {"Citrus Limon Peel Oil": Fraction("0.2")}
    mixed = own("scented-oil", "Squalane 90; Lavandula Angustifolia Oil 10", Kind.OIL)
    found = draft({"scented-oil": "1"}, book=with_own(mixed))
    assert sums(found) == {"Lavandula Oil/Extract": Fraction("0.1")}


def test_allergens_of_what_is_no_scent_count_too() -> None:
    """An infused oil with stated linalool adds to the sum."""
    stated = {"infusion": {"Linalool": "0.01"}}
    book = with_own(own("infusion", "Squalane", Kind.OIL), content=stated)
    assert sums(draft({"infusion": "50"}, book=book)) == {"Linalool": Fraction("0.005")}


def test_great_britain_has_the_first_list_and_the_us_none_in_the_text() -> None:
    """The list of 2023 is the EU's; US lists name no allergen, though all are worked out."""
    shares = {"lavender-oil": "0.6"}
    assert {"Linalyl Acetate", "Lavandula Oil/Extract"} <= set(sums(draft(shares)))
    british = draft(shares, Region.UK)
    assert "Linalool" in names(british)
    assert not any(one.allergen.is_later for one in british.allergens)
    american = draft(shares, Region.US)
    assert names(american, Place.ALLERGEN) == []
    assert sums(american) == sums(draft(shares))


def test_an_ingredient_that_is_an_allergen_is_named_once() -> None:
    """Benzyl alcohol that is weighed in stands in the list already."""
    found = draft({"keeper": "0.8"}, book=with_own(own("keeper", "Benzyl Alcohol")))
    assert names(found).count("Benzyl Alcohol") == 1
    assert "Benzyl Alcohol" in sums(found)


# what is missing


def test_a_scent_without_a_certificate_is_told() -> None:
    """Nothing is assumed of it; a shipped one asks for the supplier's figures all the same."""
    book = with_own(*SCENTS, content={"second-scent": {"Linalool": "1"}})
    told = " ".join(draft({"first-scent": "1"}, book=book).needs)
    assert "certificate of First scent ([shelf] certificates): nobody states constituents" in told
    told = " ".join(draft({"lavender-oil": "1"}).needs)
    assert "certificate of Lavender oil ([shelf] certificates): figures on file" in told
    assert "certificate" not in " ".join(draft({"second-scent": "1"}, book=book).needs)


def test_what_else_is_missing_is_told() -> None:
    """INCI name, what a tocopherol is thinned with, net weight, and what no formula can tell."""
    nameless = own("my-powder", "")
    found = draft({"my-powder": "5", "mixed-tocopherols-70": "0.5"}, book=with_own(nameless))
    assert "[INCI name of My powder]" in found.text
    told = " ".join(found.needs)
    assert "My powder: its INCI name" in told
    assert "Mixed tocopherols 70 %: ask the supplier in which oil it is thinned" in told
    assert "the net weight of a jar" in told
    assert [line.is_settled for line in found.lines] == [True, False, False]
    assert any(rule.text == "batch code" for rule in found.rules_needed)
    split = replace(
        BOOK.ingredients["mixed-tocopherols-70"], parts=inci_parts("Tocopherol 70; A 30")
    )
    book = replace(BOOK, ingredients={**BOOK.ingredients, split.id: split})
    assert "thinned" not in " ".join(draft({"mixed-tocopherols-70": "0.5"}, book=book).needs)


@pytest.mark.parametrize("name", ["Tocopherol, Squalane", "Tocopherol (and) Squalane"])
def test_a_name_that_looks_like_several_is_pointed_out(name: str) -> None:
    """A supplier's list in one cell is not taken for a name in silence."""
    found = draft({"guard": "1"}, book=with_own(own("guard", name)))
    assert any("looks like several names" in text for text in found.needs)


def test_origins_are_told_by_region() -> None:
    """Almond is on both lists, told as the law of the region was read; soy is to be asked for."""
    shares = {"sweet-almond-oil": "10", "mixed-tocopherols-70": "1", "coconut-oil": "5"}
    for region, status in ((Region.US, "published"), (Region.EU, "recalled")):
        made = {one.ingredient: one for _, one in draft(shares, region).made_from}
        assert made["sweet-almond-oil"].status == status
        assert made["mixed-tocopherols-70"].how == "often made from"
        assert made["coconut-oil"].food_lists == frozenset()


def test_cautions_are_told_once_and_for_whom() -> None:
    """Origins stand by themselves; rules of the EU are no caution elsewhere."""
    shares = {"sweet-almond-oil": "10", "lemongrass-oil": "0.5", "bergamot-oil": "0.2"}
    found = draft(shares, Region.EU, Use.BODY)
    assert any("Patch test" in text for text in found.label_cautions)
    assert any("keep treated skin out of the sun" in text for text in found.label_cautions)
    assert any("Hot fat burns" in text for text in found.workshop_cautions)
    both = [*found.label_cautions, *found.workshop_cautions]
    assert not any("almond" in text for text in both)
    assert not any("2026/909" in text for text in both)
    assert any("2026/909 restricts citral" in rule.text for rule in found.notes)
    assert not any("2026/909" in rule.text for rule in draft(shares, Region.US, Use.BODY).notes)


# net weight


@pytest.mark.parametrize(
    ("grams", "eu", "us"),
    [
        ("120", "120 g", "Net Wt 4.2 oz (120 g)"),  # 4.2329 oz
        ("7.5", "7.5 g", "Net Wt 0.26 oz (7.5 g)"),  # 0.26455 oz
        ("113.3980925", "113 g", "Net Wt 4 oz (113 g)"),  # exactly 4 oz
        ("113.39", "113 g", "Net Wt 3.9 oz (113 g)"),
        ("453.59237", "453 g", "Net Wt 16 oz (1 lb, 453 g)"),
        ("1500", "1.5 kg", "Net Wt 52.9 oz (3 lb 4.9 oz, 1.5 kg)"),
    ],
)
def test_the_net_weight_is_never_rounded_up(grams: str, eu: str, us: str) -> None:
    """The international ounce is 28.349523125 g; a label promises no more than there is."""
    assert net_weight(Fraction(grams), Region.EU) == eu
    assert net_weight(Fraction(grams), Region.US) == us
