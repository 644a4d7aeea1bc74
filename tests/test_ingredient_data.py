"""The shipped tables: their shape, and their figures against sources outside them."""

from __future__ import annotations

import csv
import math
import re
from decimal import Decimal
from importlib.resources import files

import pytest

STATUSES = {"published", "transcription", "recalled", "derived", "estimate", "definition"}
KINDS = {
    "butter",
    "oil",
    "wax",
    "powder",
    "antioxidant",
    "fragrance",
    "colour",
    "exfoliant",
    "other",
}
FAT_KINDS = {"butter", "oil", "wax"}
STYLES = {"whipped-butter", "set-butter", "balm", "lotion-bar", "stick", "oil-scrub"}
TEMPERATURES = (10, 20, 25, 30, 32, 35, 40)
MOLAR_MASS = {  # g/mol of the free acid
    "caprylic": 144.21,
    "capric": 172.26,
    "lauric": 200.32,
    "myristic": 228.37,
    "palmitic": 256.42,
    "palmitoleic": 254.41,
    "stearic": 284.48,
    "oleic": 282.46,
    "linoleic": 280.45,
    "linolenic": 278.43,
    "arachidic": 312.53,
    "gondoic": 310.51,
    "behenic": 340.58,
    "erucic": 338.57,
}
IODINE_PER_ACID = {  # AOCS Cd 1c-85, per percent of the acid
    "palmitoleic": 0.950,
    "oleic": 0.860,
    "linoleic": 1.732,
    "linolenic": 2.616,
    "gondoic": 0.785,
    "erucic": 0.723,
}
NUMBER = re.compile(r"-?\d+(\.\d+)?")

HEADERS = {
    "ingredients.csv": "ingredient common_name inci_name cas kind allergen_note status source note",
    "other_names.csv": "name ingredient note",
    "figures.csv": "ingredient property low typical high unit status source locator note",
    "properties.csv": "property title unit over rule trust step printed meaning source",
    "starting_limits.csv": "style family of end value unit status note",
    "softening_pairs.csv": "first second status source note",
    "cautions.csv": "when of text source status stands_on",
    "sources.csv": "source citation year",
    "constituents.csv": "ingredient constituent low typical high status source note",
    "skin_limits.csv": (
        "limit title of parts but_not categories value rule source locator status note caution"
    ),
    "allergens.csv": "name covers list leave_on rinse_off source status note",
    "colours.csv": "name ci_number ingredient status source note",
    "origins.csv": "ingredient origin how food_lists status source note",
    "label_questions.csv": "ingredient question status source",
    "label_rules.csv": "regions says when text status source",
    "method.csv": (
        "style order phase adds only_with step low_C high_C low_minutes high_minutes status note"
    ),
    "fill_tolerances.csv": "scheme title from_g to_g value unit source locator status",
}


def read(table):
    text = files("ingredient_data").joinpath(table).read_text(encoding="utf-8")
    return list(csv.DictReader(text.splitlines()))


INGREDIENTS = {row["ingredient"]: row for row in read("ingredients.csv")}
PROPERTIES = {row["property"]: row for row in read("properties.csv")}
SOURCES = {row["source"]: row for row in read("sources.csv")}
ROWS = read("figures.csv")
FIGURES = {(row["ingredient"], row["property"]): row for row in ROWS}


def value(ingredient, figure, end="typical"):
    return float(FIGURES[ingredient, figure][end])


def acids(ingredient):
    return {acid: value(ingredient, acid) for acid in MOLAR_MASS if (ingredient, acid) in FIGURES}


def iodine_value_from_acids(ingredient):
    return sum(IODINE_PER_ACID.get(acid, 0) * share for acid, share in acids(ingredient).items())


def saponification_value_from_acids(ingredient):
    shares = acids(ingredient)
    moles = sum(share / MOLAR_MASS[acid] for acid, share in shares.items())
    mean_acid = sum(shares.values()) / moles
    return 3 * 56106 / (3 * mean_acid + 38.05)


# shape


@pytest.mark.parametrize("table", HEADERS)
def test_a_table_is_plain_utf8_with_its_header_and_full_rows(table):
    """A table opens in a spreadsheet: known header, no ragged row, line ends LF, no padding."""
    raw = files("ingredient_data").joinpath(table).read_bytes()
    assert b"\r" not in raw
    assert not raw.startswith(b"\xef\xbb\xbf")
    lines = list(csv.reader(raw.decode("utf-8").splitlines()))
    assert lines[0] == HEADERS[table].split()
    for line in lines[1:]:
        assert len(line) == len(lines[0]), line
        assert all(cell == cell.strip() for cell in line), line


@pytest.mark.parametrize("table", HEADERS)
def test_no_row_stands_twice(table):
    """Every row of a table differs from every other."""
    rows = [tuple(row.values()) for row in read(table)]
    assert len(rows) == len(set(rows))


def test_one_settled_figure_for_each_ingredient_and_property():
    """No property of an ingredient has two figures, and both are known."""
    assert len(FIGURES) == len(ROWS)
    measured = {ingredient for ingredient, _ in FIGURES}
    assert measured <= set(INGREDIENTS)
    # Pastes and resinoids that nobody measured for this; they are weighed as scents.
    assert set(INGREDIENTS) - measured == {
        "vanilla-extract-co2",
        "benzoin-resinoid-siam",
        "benzoin-resinoid-sumatra",
    }
    assert {figure for _, figure in FIGURES} == set(PROPERTIES)


def test_names_are_unambiguous_in_any_case():
    """An id or a common name means one ingredient; an INCI name is never another's common name."""
    owner = {}
    for ingredient, row in INGREDIENTS.items():
        for name in {ingredient.casefold(), row["common_name"].casefold()}:
            assert owner.setdefault(name, ingredient) == ingredient, name
    for ingredient, row in INGREDIENTS.items():
        assert owner.get(row["inci_name"].casefold(), ingredient) == ingredient


def test_an_everyday_name_is_no_other_name_and_says_why_it_is_used():
    """It is no id, common name or INCI name, its ingredients exist, and every row has a note."""
    taken = {name.casefold() for name in INGREDIENTS}
    for column in ("common_name", "inci_name"):
        taken |= {row[column].casefold() for row in INGREDIENTS.values()}
    several = {}
    for row in read("other_names.csv"):
        assert row["name"].casefold().replace(" ", "-") not in taken
        assert row["name"].casefold() not in taken
        assert row["ingredient"] in INGREDIENTS
        assert row["note"]
        several.setdefault(row["name"], []).append(row)
    for name, rows in several.items():
        on_purpose = all(row["note"].startswith("ambiguous on purpose") for row in rows)
        assert on_purpose == (len(rows) > 1), name


def test_ingredients_are_well_formed():
    """Ids are kebab-case, common names fit a terminal, kinds are known, CAS check digits hold."""
    for ingredient, row in INGREDIENTS.items():
        assert re.fullmatch(r"[a-z0-9]+(-[a-z0-9]+)*", ingredient)
        assert 0 < len(row["common_name"]) <= 28
        assert row["inci_name"]
        assert row["kind"] in KINDS
        if row["cas"]:
            assert re.fullmatch(r"\d{2,7}-\d{2}-\d", row["cas"]), ingredient
            *digits, check = (int(char) for char in row["cas"] if char != "-")
            weighted = sum(n * digit for n, digit in enumerate(reversed(digits), start=1))
            assert weighted % 10 == check, (ingredient, row["cas"])


def test_the_ids_do_not_clash_with_properties_or_kinds():
    """A name in a brief is an ingredient, a property or a kind, never two of them."""
    assert not set(INGREDIENTS) & set(PROPERTIES)
    assert not set(INGREDIENTS) & KINDS
    assert not set(PROPERTIES) & KINDS


def test_properties_are_well_formed():
    """Every property says how it blends, in terms the records know, and has one plain sentence."""
    for row in PROPERTIES.values():
        assert row["over"] in {"product", "fat"}
        assert row["rule"] in {"mass", "volume"}
        assert row["trust"] in {"exact", "approximate"}
        assert Decimal(row["step"]) > 0
        assert row["title"]
        assert row["meaning"].endswith(".")


def test_figures_are_ordered_plain_decimals_in_the_unit_of_their_property():
    """low <= typical <= high, no exponents, and the unit of the property."""
    for key, row in FIGURES.items():
        ends = [row["low"], row["typical"], row["high"]]
        assert all(NUMBER.fullmatch(end) for end in ends), key
        low, typical, high = (Decimal(end) for end in ends)
        assert low <= typical <= high, key
        assert row["unit"] == PROPERTIES[row["property"]]["unit"], key
        assert row["status"] in STATUSES, key


def test_a_zero_is_explained():
    """A typical value of zero is never a gap: its note says why it is zero."""
    for key, row in FIGURES.items():
        if Decimal(row["typical"]) == 0:
            assert row["note"], key


def test_an_estimate_says_so_in_its_note_or_locator():
    """What nobody measured carries the reasoning behind it."""
    for key, row in FIGURES.items():
        if row["status"] == "estimate":
            assert row["note"] or row["locator"], key


def test_a_figure_without_a_range_says_so():
    """Equal ends are either a definition, an explained zero, or marked as without a range."""
    for key, row in FIGURES.items():
        if row["low"] == row["typical"] == row["high"] and Decimal(row["typical"]) != 0:
            assert row["status"] == "definition" or "range" in row["note"], key


def test_figures_over_the_fat_belong_to_the_fat():
    """Only butters, oils and waxes have figures that are averaged over the fat phase."""
    for ingredient, figure in FIGURES:
        if PROPERTIES[figure]["over"] == "fat":
            assert INGREDIENTS[ingredient]["kind"] in FAT_KINDS, (ingredient, figure)


def test_every_source_is_cited_and_every_citation_exists():
    """Sources named in any table or note exist, and none is left over."""
    named = {
        row["source"]
        for table in HEADERS
        if "source" in HEADERS[table].split() and table != "sources.csv"
        for row in read(table)
    }
    assert named <= set(SOURCES)
    prose = " ".join(row["locator"] + " " + row["note"] for row in ROWS)
    for source in set(SOURCES) - named:
        assert re.search(rf"(?<![\w-]){re.escape(source)}(?![\w-])", prose), source
    assert all(row["citation"] for row in SOURCES.values())


def test_a_share_lies_between_0_and_100():
    """Percentages are possible; only solid fat and free oil may go below 0, by their meaning."""
    for (ingredient, figure), row in FIGURES.items():
        if row["unit"] == "%":
            assert Decimal(row["high"]) <= 100, (ingredient, figure)
            if not figure.startswith(("solid_fat", "free_oil")):
                assert Decimal(row["low"]) >= 0, (ingredient, figure)


def test_the_shelf_is_well_covered():
    """Enough butters and oils carry vitamin E, and every butter has its solid fat curve."""
    kinds = {ingredient: row["kind"] for ingredient, row in INGREDIENTS.items()}
    with_e = [ingredient for ingredient in INGREDIENTS if (ingredient, "vitamin_e") in FIGURES]
    assert sum(kinds[ingredient] == "butter" for ingredient in with_e) >= 8
    assert sum(kinds[ingredient] == "oil" for ingredient in with_e) >= 15
    for ingredient, kind in kinds.items():
        if kind == "butter":
            for temperature in TEMPERATURES:
                assert (ingredient, f"solid_fat_{temperature}C") in FIGURES


# styles, pairs, cautions


def test_starting_limits_name_known_styles_kinds_and_ends():
    """A starting limit can be read as a limit of a brief, and stands once."""
    rows = read("starting_limits.csv")
    assert {row["style"] for row in rows} == STYLES
    keys = [(row["style"], row["family"], row["of"], row["end"]) for row in rows]
    assert len(keys) == len(set(keys))
    for row in rows:
        assert row["family"] == "totals"
        assert row["of"] in KINDS - {"other"}
        assert row["end"] in {"min", "max"}
        assert 0 <= Decimal(row["value"]) <= 100
        assert row["status"] == "common practice, no source" or row["status"] in STATUSES


@pytest.mark.parametrize("style", sorted(STYLES))
def test_a_style_can_be_made_without_its_optional_parts(style):
    """The least of all parts fits in 100 %, and the parts the style lives from can fill it."""
    rows = [row for row in read("starting_limits.csv") if row["style"] == style]
    low = {row["of"]: Decimal(row["value"]) for row in rows if row["end"] == "min"}
    high = {row["of"]: Decimal(row["value"]) for row in rows if row["end"] == "max"}
    assert all(low.get(kind, 0) <= high[kind] for kind in high)
    assert sum(low.values()) <= 100
    assert set(low) <= {"butter", "oil", "wax", "exfoliant"}
    living = {"butter", "oil", "wax", "exfoliant"}
    assert sum(high[kind] for kind in living) >= 100


def test_softening_pairs_are_two_families_of_known_fats():
    """Both sides of a pair are known fats and share none."""
    for row in read("softening_pairs.csv"):
        first, second = set(row["first"].split()), set(row["second"].split())
        assert first
        assert second
        assert not first & second
        for ingredient in first | second:
            assert INGREDIENTS[ingredient]["kind"] in FAT_KINDS
        assert row["status"] in STATUSES
        assert row["note"]


def test_cautions_apply_to_something_known():
    """A caution is tied to a kind, ingredients, a style or a property with a number."""
    for row in read("cautions.csv"):
        of = row["of"].split()
        if row["when"] == "always":
            assert not of
        elif row["when"] == "kind":
            assert len(of) == 1
            assert of[0] in KINDS
        elif row["when"] in ("ingredient", "origin"):
            assert of
            assert set(of) <= set(INGREDIENTS)
        elif row["when"] == "style":
            assert of[0] in STYLES
        else:
            assert row["when"] == "property_above"
            assert of[0] in PROPERTIES
            assert Decimal(of[1]) > 0
        assert row["text"].endswith(".")


def test_cautions_claim_nothing_and_end_by_deferring():
    """No caution says that a product is safe, compliant or free of something."""
    rows = read("cautions.csv")
    claims = (
        r"\b(is safe|safe for|compliant|complies|hypoallergenic|allergen-free|free of|free from)\b"
    )
    assert not any(re.search(claims, row["text"], re.IGNORECASE) for row in rows)
    last = rows[-1]
    assert last["when"] == "always"
    for word in ("local law", "suppliers' documents", "safety assessor"):
        assert word in last["text"]


@pytest.mark.parametrize(
    "ingredient",
    ["sweet-almond-oil", "hazelnut-oil", "macadamia-oil", "sesame-oil", "wheat-germ-oil"]
    + ["colloidal-oatmeal", "beeswax", "shea-butter-refined", "coconut-oil", "argan-oil"],
)
def test_origins_to_flag_are_flagged(ingredient):
    """What comes from a nut, sesame, wheat, oats or bees says so in tables and in a caution."""
    assert INGREDIENTS[ingredient]["allergen_note"]
    cautions = [row for row in read("cautions.csv") if row["when"] == "origin"]
    assert any(ingredient in row["of"].split() for row in cautions)
    assert any(row["ingredient"] == ingredient for row in read("origins.csv"))


# against the outside


@pytest.mark.parametrize(
    ("ingredient", "low", "high"),
    [
        ("cocoa-butter", 32, 38),
        ("sesame-oil", 104, 120),
        ("sunflower-oil", 118, 141),
        ("sunflower-oil-high-oleic", 78, 90),
        ("safflower-oil-high-oleic", 80, 100),
        ("rice-bran-oil", 90, 115),
        ("grapeseed-oil", 128, 150),
        ("olive-oil", 75, 94),
        ("palm-kernel-oil", 14.1, 21),
        ("babassu-oil", 10, 18),
        ("hazelnut-oil", 81, 95),
        ("camellia-oil", 82, 87.1),
    ],
)
def test_iodine_value_computed_from_the_acids_meets_the_specification(ingredient, low, high):
    """AOCS Cd 1c-85 on the fatty acids, in the range of CXS 210, trade (cocoa) or Hu 2018."""
    assert low <= iodine_value_from_acids(ingredient) <= high


@pytest.mark.parametrize(
    ("ingredient", "low", "high"),
    [
        ("coconut-oil", 248, 265),
        ("babassu-oil", 245, 256),
        ("palm-kernel-oil", 230, 254),
        ("sesame-oil", 186, 195),
        ("rice-bran-oil", 180, 199),
        ("sunflower-oil", 187, 194),
        ("safflower-oil-high-oleic", 186, 194),
        ("olive-oil", 184, 196),
        ("cocoa-butter", 188, 198),
        ("caprylic-capric-triglyceride", 310, 360),
    ],
)
def test_saponification_value_from_the_molar_mass_meets_the_specification(ingredient, low, high):
    """56106 x 3 over the mean molar mass of the glyceride, within CXS 210, CXS 33 or Ph. Eur."""
    computed = saponification_value_from_acids(ingredient)
    assert low <= computed <= high
    assert value(ingredient, "saponification_value") == pytest.approx(computed, rel=0.03)


USDA_TOCOPHEROLS = {  # SR26, NDB number: alpha, beta, gamma, delta in mg/100 g, None if not given
    "olive-oil": ("04053", 14.35, 0.11, 0.83, 0.0),
    "coconut-oil": ("04047", 0.09, 0.0, 0.2, 0.0),
    "palm-oil": ("04055", 15.94, 0.0, 0.0, 0.0),
    "sunflower-oil": ("04506", 41.08, None, None, None),
    "sunflower-oil-high-oleic": ("04584", 41.08, None, None, None),
    "safflower-oil": ("04510", 34.1, None, None, None),
    "wheat-germ-oil": ("04038", 149.4, None, None, None),
    "rice-bran-oil": ("04037", 32.3, None, None, None),
    "sweet-almond-oil": ("04529", 39.2, None, None, None),
    "cocoa-butter": ("04501", 1.8, None, None, None),
}


@pytest.mark.parametrize("ingredient", USDA_TOCOPHEROLS)
def test_vitamin_e_follows_the_usda_tocopherols(ingredient):
    """Alpha + 0.5 beta + 0.1 gamma + 0.03 delta of USDA SR26, as typed here from its table."""
    number, alpha, beta, gamma, delta = USDA_TOCOPHEROLS[ingredient]
    expected = alpha + 0.5 * (beta or 0) + 0.1 * (gamma or 0) + 0.03 * (delta or 0)
    assert value(ingredient, "vitamin_e") == pytest.approx(expected, abs=0.006)
    assert number.lstrip("0") in FIGURES[ingredient, "vitamin_e"]["locator"]


def test_vitamin_e_of_the_additives_follows_their_chemistry():
    """Acetate by 0.67 (older IU) and 0.45 (IOM 2000) mg a mg; mixed tocopherols by their shares."""
    acetate = "dl-alpha-tocopheryl-acetate"
    assert value(acetate, "vitamin_e") == 67000
    assert value(acetate, "vitamin_e", "low") == 45000
    assert value(acetate, "vitamin_e", "high") <= 100000 * 430.71 / 472.74
    poorest = 700 * (10 + 0.1 * 58 + 0.03 * 32)
    richest = 700 * (20 + 0.5 * 5 + 0.1 * 55 + 0.03 * 20)
    assert value("mixed-tocopherols-70", "vitamin_e", "low") == pytest.approx(poorest, rel=0.01)
    assert value("mixed-tocopherols-70", "vitamin_e", "high") == pytest.approx(richest, rel=0.01)


@pytest.mark.parametrize(
    "ingredient", [name for name, row in INGREDIENTS.items() if row["kind"] in FAT_KINDS]
)
def test_solid_fat_falls_as_it_gets_warmer(ingredient):
    """A fat melts and never sets on warming: typical and high fall from 10 to 40 C."""
    known = [f"solid_fat_{t}C" for t in TEMPERATURES if (ingredient, f"solid_fat_{t}C") in FIGURES]
    assert len(known) >= 6
    for end in ("typical", "high"):
        curve = [value(ingredient, figure, end) for figure in known]
        assert curve == sorted(curve, reverse=True), end


@pytest.mark.parametrize(
    ("ingredient", "temperature", "low", "high"),
    [
        ("cocoa-butter", 35, 0, 5),
        ("murumuru-butter", 10, 75, 85),
        ("tucuma-butter", 35, 0, 1),
        ("coconut-oil", 30, 0, 0),
        ("palm-oil", 10, 45, 55),
        ("mango-butter", 40, 0, 3),
    ],
)
def test_solid_fat_meets_the_values_read(ingredient, temperature, low, high):
    """Anchors: Jiangnan 2023, Authorea 435323, a coconut and a palm sheet, Kouassi (mango)."""
    assert low <= value(ingredient, f"solid_fat_{temperature}C") <= high


def test_kokum_is_less_solid_than_cocoa_butter_in_a_cool_room():
    """China Oils and Fats 2024: kokum 10 to 20 points below cocoa butter at room temperature."""
    gap = value("cocoa-butter", "solid_fat_20C") - value("kokum-butter", "solid_fat_20C")
    assert 10 <= gap <= 20


@pytest.mark.parametrize(
    ("temperature", "k"), [(20, 0.011), (25, 0.032), (30, 0.093), (32, 0.144), (35, 0.290)]
)
def test_liquid_oil_dissolves_solid_fat_on_the_low_side(temperature, k):
    """Ideal solubility with Tm 43 C and 151 kJ/mol gives k, and oil counts minus 100 k at worst."""
    exponent = 151000 / 8.314462 * (1 / 316.15 - 1 / (273.15 + temperature))
    solubility = math.exp(exponent)
    ratio = solubility / (1 - solubility)
    assert ratio == pytest.approx(k, abs=0.0006)
    for ingredient, row in INGREDIENTS.items():
        if row["kind"] == "oil":
            figure = FIGURES[ingredient, f"solid_fat_{temperature}C"]
            assert float(figure["low"]) == pytest.approx(-100 * ratio, abs=0.06)
            assert Decimal(figure["typical"]) == Decimal(figure["high"]) == 0


def test_free_oil_of_butters_is_what_is_not_solid_at_skin_temperature():
    """Free oil at 32 C is 100 less the solid fat, end by end, and never above 100."""
    for ingredient, row in INGREDIENTS.items():
        if row["kind"] == "butter":
            for end, other in (("low", "high"), ("typical", "typical"), ("high", "low")):
                solid = max(0, value(ingredient, "solid_fat_32C", other))
                assert value(ingredient, "free_oil_32C", end) == pytest.approx(100 - solid)


def test_powders_take_up_oil():
    """Oil taken up counts as negative free oil, within 25 to 350 g per 100 g of any powder."""
    for ingredient, row in INGREDIENTS.items():
        if row["kind"] == "powder" and (ingredient, "free_oil_32C") in FIGURES:
            assert value(ingredient, "free_oil_32C", "low") >= -350
            assert value(ingredient, "free_oil_32C", "high") <= -25


@pytest.mark.parametrize(
    "ingredient",
    [
        *("sunflower-oil", "sunflower-oil-high-oleic", "grapeseed-oil", "sweet-almond-oil"),
        *("apricot-kernel-oil", "olive-oil", "rice-bran-oil", "safflower-oil", "sesame-oil"),
        *("safflower-oil-high-oleic", "macadamia-oil", "camellia-oil", "hemp-seed-oil"),
        *("wheat-germ-oil", "argan-oil", "peach-kernel-oil", "caprylic-capric-triglyceride"),
    ],
)
def test_density_follows_lunds_relation(ingredient):
    """Lund (JAOCS 1999, 76:1415): sg 15/15 = 0.8475 + 0.00030 SV + 0.00014 IV, within 0.008."""
    sv, iv = value(ingredient, "saponification_value"), value(ingredient, "iodine_value")
    at_20_c = (0.8475 + 0.00030 * sv + 0.00014 * iv) * 0.9991 - 5 * 0.00064
    assert value(ingredient, "density") == pytest.approx(at_20_c, abs=0.008)


WITHOUT_FULL_ACIDS = {
    "castor-oil": "ricinoleic acid has no property",
    "meadowfoam-oil": "docosadienoic acid has no property",
    "squalane": "no fatty acids",
    "cetyl-alcohol": "no fatty acids",
    "beeswax": "not published",
    "candelilla-wax": "not published",
    "carnauba-wax": "not published",
}


def test_fatty_acids_sum_to_about_100():
    """The typical acids of a fat sum to 96 to 101 %, the exceptions being named with a reason."""
    for ingredient, row in INGREDIENTS.items():
        if row["kind"] in FAT_KINDS and ingredient not in WITHOUT_FULL_ACIDS:
            assert 96 <= sum(acids(ingredient).values()) <= 101, ingredient


@pytest.mark.parametrize(
    ("total", "parts"),
    [
        ("saturated", "caprylic capric lauric myristic palmitic stearic arachidic behenic"),
        ("monounsaturated", "palmitoleic oleic gondoic erucic"),
        ("polyunsaturated", "linoleic linolenic"),
    ],
)
def test_sums_of_acids_are_the_sums_of_their_rows(total, parts):
    """A sum of acids agrees with its rows within 1 %: caproic acid, say, has no row."""
    apart = {"castor-oil", "meadowfoam-oil", "stearic-acid"}
    for ingredient, figure in FIGURES:
        if figure == total and INGREDIENTS[ingredient]["kind"] != "wax" and ingredient not in apart:
            rows = sum(acids(ingredient).get(part, 0) for part in parts.split())
            assert value(ingredient, total) == pytest.approx(rows, abs=1.0), ingredient


def test_oxidation_index_is_the_cox_value_of_the_acids():
    """(one double bond + 10.3 linoleic + 21.6 linolenic) / 100, from the acids of each fat."""
    apart = {"castor-oil", "meadowfoam-oil", "stearic-acid"}
    for ingredient, row in INGREDIENTS.items():
        if row["kind"] in {"butter", "oil"} and ingredient not in apart:
            share = acids(ingredient)
            single = ("palmitoleic", "oleic", "gondoic", "erucic")
            index = sum(share.get(acid, 0) for acid in single)
            index += 10.3 * share.get("linoleic", 0) + 21.6 * share.get("linolenic", 0)
            found = value(ingredient, "oxidation_index")
            assert found == pytest.approx(index / 100, abs=0.1 if "hemp" in ingredient else 0.01), (
                ingredient
            )


def test_oxidation_ranks_oils_as_the_trade_knows_them():
    """Rosehip and hemp before sunflower, sunflower before olive, olive before coconut."""
    order = ["rosehip-oil", "sunflower-oil", "sweet-almond-oil", "olive-oil", "coconut-oil"]
    ranks = [value(ingredient, "oxidation_index") for ingredient in order]
    assert ranks == sorted(ranks, reverse=True)


def test_lauric_fats_are_lauric():
    """Belitz, Food Chemistry, Table 14.8: lauric fats hold 45 to 47 % lauric acid."""
    lauric = {i for i in INGREDIENTS if (i, "lauric") in FIGURES and value(i, "lauric") > 30}
    named = {"coconut-oil", "palm-kernel-oil", "babassu-oil", "murumuru-butter", "tucuma-butter"}
    assert lauric == named


def test_the_readme_counts_the_rows():
    """The table of contents in the README gives the true number of rows of each table."""
    readme = files("ingredient_data").joinpath("README.md").read_text(encoding="utf-8")
    for table in HEADERS:
        assert f"| `{table}` | {len(read(table))} |" in readme, table
