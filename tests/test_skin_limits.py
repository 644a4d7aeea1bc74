"""Limits on skin: rows of the model from scents, certificates and uses, against worked checks."""

from __future__ import annotations

import json
from decimal import Decimal
from fractions import Fraction
from pathlib import Path

import pytest
from formulation_support import ROOT

from optimiser.answers.cheapest import cheapest
from optimiser.answers.checked import all_held
from optimiser.answers.measures import Blend
from optimiser.answers.on_skin import on_skin
from optimiser.brief import Family, Request
from optimiser.formulation import formulated
from optimiser.ingredient import Kind
from optimiser.provenance import InputError
from optimiser.pulp_model import as_text
from optimiser.reading import read_book, read_request
from optimiser.reading.skin_tables import with_skin_tables
from optimiser.skin import CATEGORIES, Counted, RuleKind
from optimiser.skin_content import counted
from optimiser.statements import limit_statement, quantity_said
from optimiser.tables import frames

PRICES = """ingredient,pack,price
coconut-oil,1 kg,5
corn-starch,1 kg,3
bergamot-oil,100 g,40
lemon-oil,100 g,10
lemongrass-oil,100 g,12
clove-bud-oil,100 g,13
lavender-oil,100 g,15
peppermint-oil,100 g,9
retinyl-palmitate,100 g,30
"""

CERTIFICATES = """ingredient,constituent,percent,category,at_most
lemongrass-oil,Citral,80,,
clove-bud-oil,Eugenol,85,,
"""


KNOWN = "1, 2, 3, 4, 5A, 5B, 5C, 5D, 6, 7A, 7B, 8, 9, 10A, 10B, 11A, 11B and 12"
"""The product categories of the IFRA Standards, Amendment 49 and later (from memory)."""


def request(
    folder: Path,
    amounts: str,
    use: str = 'use = "body, leave-on"',
    certificates: str = "",
    more: str = "",
    sheet: str = "",
) -> Request:
    """A brief that fixes some scents in coconut oil and starch."""
    (folder / "prices.csv").write_text(PRICES + ("my-accord,100 g,20\n" if sheet else ""))
    shelf = ""
    if certificates or sheet:
        shelf = "[shelf]\n"
    if certificates:
        (folder / "certificates.csv").write_text(certificates)
        shelf += 'certificates = ["certificates.csv"]\n'
    if sheet:
        (folder / "own.csv").write_text(sheet)
        shelf += 'sheets = ["own.csv"]\n'
    (folder / "brief.toml").write_text(
        f'{use}\n[costing]\nprices = "prices.csv"\n{shelf}[amounts]\n{amounts}\n{more}\n'
    )
    return read_request(folder / "brief.toml")


def level(asked: Request, shares: dict[str, str], of: str) -> Fraction:
    """The level of a limit on skin in some shares, the rest being coconut oil."""
    exact = {name: Fraction(share) for name, share in shares.items()}
    blend = Blend.at(asked, {**exact, "coconut-oil": 100 - sum(exact.values())})
    found = {one.limit.of: one.level for one in on_skin(asked, blend.ingredients, blend.x)}
    return found.get(of, Fraction(0))


def active(asked: Request) -> list[str]:
    """The keys of the limits that the cheapest formula just meets."""
    return [one.row.statement.key for one in cheapest(asked).active_limits]


# worked checks


def test_bergamot_with_lemon_is_just_at_the_limit(tmp_path):
    """0.2 % bergamot of 0.4 and 1.0 % lemon of 2.0 fill the sum of ratios exactly.

    IFRA Standards 087 and 092 (second-hand): phototoxic oils in a leave-on, sum of each over
    its own limit at most 1.
    """
    asked = request(tmp_path, "bergamot-oil = 0.2\nlemon-oil = 1")
    assert level(asked, {"bergamot-oil": "0.2", "lemon-oil": "1"}, "phototoxic_oils") == 1
    assert "skin.phototoxic_oils.max" in active(asked)
    over = request(tmp_path, "bergamot-oil = 0.2001\nlemon-oil = 1")
    answer = cheapest(over)
    assert answer.status == "infeasible"
    clashing = {clash.row.statement.key for clash in answer.explanation.conflicts[0]}
    assert "skin.phototoxic_oils.max" in clashing


def test_lemongrass_at_80_percent_citral_is_over_5a(tmp_path):
    """0.5 % lemongrass with 80 % citral brings 0.40 %, over 0.15 % (IFRA 5A, Standard 021)."""
    asked = request(tmp_path, "lemongrass-oil = 0.5", certificates=CERTIFICATES)
    assert level(asked, {"lemongrass-oil": "0.5"}, "citral") == Fraction("0.4")
    answer = cheapest(asked)
    assert answer.status == "infeasible"
    keys = {clash.row.statement.key for clash in answer.explanation.conflicts[0]}
    assert keys == {"amounts.lemongrass-oil", "skin.citral.max"}
    eased = {way.row.statement.key for way in answer.explanation.ways_out}
    assert eased == {"amounts.lemongrass-oil"}, "a limit on skin is never offered for change"


def test_clove_at_85_percent_eugenol_is_within_5a(tmp_path):
    """0.5 % clove bud with 85 % eugenol brings 0.425 %, within the 0.64 % of IFRA 5A (035)."""
    asked = request(tmp_path, "clove-bud-oil = 0.5", certificates=CERTIFICATES)
    assert level(asked, {"clove-bud-oil": "0.5"}, "eugenol") == Fraction("0.425")
    assert cheapest(asked).status == "optimal"


def test_vitamin_a_counts_palmitate_as_retinol(tmp_path):
    """Regulation (EU) 2024/996: palmitate counts 0.546 of its weight, in all 0.05 % on the body."""
    asked = request(tmp_path, "")
    found = level(asked, {"retinyl-palmitate": "0.09"}, "vitamin_a")
    assert found == Fraction("0.09") * Fraction("0.546")
    assert cheapest(request(tmp_path, "retinyl-palmitate = 0.0915")).status == "optimal"
    assert cheapest(request(tmp_path, "retinyl-palmitate = 0.0916")).status == "infeasible"


def test_a_limit_adds_up_over_all_sources(tmp_path):
    """Citral of lemon and of lemongrass are one sum, each at its highest content."""
    asked = request(tmp_path, "")
    content = asked.book.constituents
    both = level(asked, {"lemon-oil": "1", "lemongrass-oil": "0.1"}, "citral")
    expected = content["lemon-oil"]["Citral"].high + content["lemongrass-oil"]["Citral"].high / 10
    assert both == Fraction(expected) / 100


def test_a_limit_on_skin_that_binds_has_its_price(tmp_path):
    """With more scent asked for than citral allows, the cheapest mix sits on the limit."""
    asked = request(
        tmp_path, "peppermint-oil = { max = 0.5 }", more="[totals]\nfragrance = { min = 2.6 }"
    )
    answer = cheapest(asked)
    found = [one for one in answer.active_limits if one.row.statement.key.startswith("skin.")]
    assert found
    assert all(one.eased is None for one in found)
    assert "skin_limits.csv" in found[0].row.statement.origin.file


# uses


@pytest.mark.parametrize(
    ("use", "bound"),
    [
        ('use = "body, leave-on"', "0.15"),
        ('use = "feet, leave-on"', "0.15"),
        ('use = "Body leave on"', "0.15"),
        ('use = "baby, leave-on"', "0.051"),
        ('use = "lips"', "0.11"),
        ('use = ["body, leave-on", "lips"]', "0.11"),
        ('use = "body, rinse-off"', "0.15"),
        ('use = "body, rinse-off, leaves no film"', "1.2"),
    ],
)
def test_the_lowest_limit_of_all_uses_holds(tmp_path, use, bound):
    """A label that names several uses keeps all of them; an oily rinse-off leaves a film."""
    asked = request(tmp_path, "", use)
    limits = {one.of: one.value for one in asked.brief.limits if one.family is Family.SKIN}
    assert limits["citral"] == Decimal(bound)


def test_a_tighter_rule_of_law_goes_before_the_trade(tmp_path):
    """Isoeugenol: 0.02 % by Annex III 73 is below the 0.027 % of IFRA 5A."""
    asked = request(tmp_path, "")
    limit = next(one for one in asked.brief.limits if one.of == "isoeugenol")
    assert limit.value == Decimal("0.02")
    assert limit.firm


def test_phototoxic_oils_do_not_bind_what_is_rinsed_off(tmp_path):
    """The sum of ratios holds on skin in the sun, so not where nothing stays."""
    asked = request(tmp_path, "bergamot-oil = 1", 'use = "body, rinse-off, leaves no film"')
    assert cheapest(asked).status == "optimal"


def test_without_a_use_nothing_is_held_and_it_is_said(tmp_path):
    """A brief that names no use is answered without these rows, and told so."""
    answer = cheapest(request(tmp_path, "lemongrass-oil = 0.5", use=""))
    assert answer.status == "optimal"
    assert any(
        "limits on skin for scents are not held" in one for one in answer.formulation.remarks
    )


def test_own_bound_takes_the_place_of_the_rule(tmp_path):
    """[skin] tightens a limit; a bound above the rule stands too, and is told."""
    tight = request(tmp_path, "", more="[skin]\ncitral = { max = 0.05 }")
    assert [one.value for one in tight.brief.limits if one.of == "citral"] == [Decimal("0.05")]
    wide = request(tmp_path, "", more="[skin]\ncitral = { max = 0.5 }")
    assert any("above the 0.15 of IFRA Standard 021" in one for one in wide.remarks)


# certificates


def test_a_certificate_replaces_all_that_is_shipped_for_its_scent(tmp_path):
    """After a certificate for lemongrass only what it states is counted of it."""
    asked = request(tmp_path, "", certificates=CERTIFICATES)
    assert set(asked.book.constituents["lemongrass-oil"]) == {"Citral"}
    assert asked.book.constituents["lemongrass-oil"]["Citral"].status == "own"
    assert len(asked.book.constituents["lemon-oil"]) > 1


def test_maxima_of_certificates_are_summed_as_ratios(tmp_path):
    """Half of one maximum and half of another fill the sum; more is impossible."""
    sheet = (
        "ingredient,constituent,percent,category,at_most\n"
        "lavender-oil,Linalool,40,IFRA 5A,2\npeppermint-oil,Menthol,50,5a,1\n"
    )
    asked = request(tmp_path, "lavender-oil = 1\npeppermint-oil = 0.5", certificates=sheet)
    assert "skin.certificates_5A.max" in active(asked)
    more = request(tmp_path, "lavender-oil = 1\npeppermint-oil = 0.501", certificates=sheet)
    assert cheapest(more).status == "infeasible"


ACCORD = "ingredient,kind\nmy-accord,fragrance\n"
ITS_MAXIMUM = "ingredient,constituent,percent,category,at_most\nmy-accord,,,5A,2\n"


def test_a_scent_that_nobody_describes_is_left_out(tmp_path):
    """A fragrance without constituents and certificate is never counted as nothing."""
    answer = cheapest(request(tmp_path, "", sheet=ACCORD))
    assert [(one.ingredient, one.missing, one.needed_by) for one in answer.left_out] == [
        ("my-accord", "constituents", "use")
    ]


@pytest.mark.parametrize(
    ("certificates", "missing"),
    [
        ("", "nobody gives its constituents, which use needs"),
        (
            "ingredient,category,at_most\nmy-accord,5A,0\n",
            "it lacks a certificate that allows it in 5A, which use needs",
        ),
    ],
)
def test_a_scent_asked_for_in_vain_is_sent_to_its_certificate(tmp_path, certificates, missing):
    """No figure in an own sheet describes a scent."""
    asked = request(tmp_path, "my-accord = 1", sheet=ACCORD, certificates=certificates)
    with pytest.raises(InputError) as caught:
        formulated(asked)
    (mistake,) = caught.value.mistakes
    assert mistake.problem == (
        f"my-accord cannot be used: {missing}; copy the supplier's certificate into a sheet under "
        "[shelf] certificates"
    )


def test_a_scent_left_out_is_told_with_where_its_figures_go(tmp_path, optimiser):
    """The heading and the line, alone and beside one that lacks another figure."""
    request(tmp_path, "", sheet=ACCORD)
    out = optimiser("formulate", tmp_path / "brief.toml")[1]
    told = (
        "Left out for want of a figure constituents (needed by use; [shelf] certificates can give "
        "this): my-accord"
    )
    assert told in " ".join(out.split())
    request(tmp_path, "", sheet=ACCORD, more="[properties]\nvitamin_e = { min = 0 }\n")
    out = optimiser("formulate", tmp_path / "brief.toml")[1]
    assert "Left out for want of a figure; a sheet of your own can give it" in out


def test_a_scent_known_by_its_maximum_shares_the_limits_of_others(tmp_path):
    """At half its maximum it may hold half of every constituent's limit, so others get half."""
    asked = request(tmp_path, "", sheet=ACCORD, certificates=ITS_MAXIMUM)
    assert level(asked, {"my-accord": "1"}, "citral") == Fraction("0.15") / 2
    accord = asked.book.ingredients["my-accord"]
    assert counted(asked.book, "certificates_5A", [accord]) == (Fraction(1, 2),)
    assert any(
        "only its certificate's maxima" in one for one in cheapest(asked).formulation.remarks
    )


def test_a_certificate_of_zero_keeps_a_scent_out(tmp_path):
    """What a certificate does not allow in the category cannot be used."""
    none = ITS_MAXIMUM.replace(",2\n", ",0\n")
    answer = cheapest(request(tmp_path, "", sheet=ACCORD, certificates=none))
    assert answer.left_out[0].missing == "a certificate that allows it in 5A"


def test_geranial_and_neral_are_citral(tmp_path):
    """A certificate that states the two isomers states citral."""
    sheet = (
        "ingredient,constituent,percent\nlemongrass-oil,Geranial,44\nlemongrass-oil,Neral,33\n"
        "lemongrass-oil,d-Limonene,3\n"
    )
    asked = request(tmp_path, "", certificates=sheet)
    stated = asked.book.constituents["lemongrass-oil"]
    assert {name: one.high for name, one in stated.items()} == {"Citral": 77, "Limonene": 3}


@pytest.mark.parametrize(
    ("text", "message"),
    [
        (
            "ingredient,constituent,percent\nlavender-oil,Linalol,40\n",
            'certificates.csv:2 constituent: no such constituent: "Linalol"; nearest: Linalool',
        ),
        (
            "ingredient,constituent,percent\nlavender-oil,Linalool,140\n",
            "certificates.csv:2 percent: 140 is no percentage; write 0 to 100",
        ),
        (
            "ingredient,constituent,percent\nlavender-oil,Linalool,\n",
            "certificates.csv:2 percent: no percent beside the constituent; write the most that "
            "is stated",
        ),
        (
            "ingredient,constituent,percent\nlavender-oil,,30\n",
            "certificates.csv:2 constituent: no constituent beside the percent",
        ),
        (
            "ingredient,constituent,percent\nlavender-oil,Linalool,trace\n",
            'certificates.csv:2 percent: "trace" is not a number; write it like 12.5',
        ),
        (
            "ingredient,constituent,percent\nlavender-oil,Linalool,3\nlavender-oil,linalool,4\n",
            "certificates.csv:3 constituent: Linalool stands in row 2 too; keep one row",
        ),
        (
            "ingredient,constituent,percent\nlavander-oil,Linalool,3\n",
            'certificates.csv:2 ingredient: "lavander-oil": no such ingredient; nearest: '
            "lavender-oil, lavandin-oil-grosso, lavandin-oil-abrial",
        ),
        (
            "ingredient,constituent,percent\nlavender-oil,,\n",
            "certificates.csv:2 ingredient: write a constituent and its percent, or a category "
            "and at_most",
        ),
        (
            "ingredient,category,at_most\nlavender-oil,5X,0.2\n",
            f'certificates.csv:2 category: no such category: "5X"; known are {KNOWN}',
        ),
        (
            "ingredient,category,at_most\nlavender-oil,5A and 5,0.2\n",
            f'certificates.csv:2 category: no such category: "5"; known are {KNOWN}',
        ),
        (
            "ingredient,category,at_most\nlavender-oil,body lotion,0.2\n",
            f'certificates.csv:2 category: "body lotion" names no category; known are {KNOWN}',
        ),
    ],
)
def test_mistakes_in_certificates(tmp_path, text, message):
    """Each is told with its row and what to write."""
    with pytest.raises(InputError) as caught:
        request(tmp_path, "", certificates=text)
    assert str(caught.value.mistakes[0]) == message


@pytest.mark.parametrize(
    ("use", "more", "message"),
    [
        (
            'use = "hair"',
            "",
            'brief.toml:1 use: no such use: "hair"; write "body, leave-on", "face, leave-on", '
            '"hands, leave-on", "baby, leave-on", "lips, leave-on", "body, rinse-off", '
            '"body, rinse-off, leaves no film" or "feet, leave-on"',
        ),
        (
            "use = 5",
            "",
            'brief.toml:1 use: a number where a list of texts is needed; write "body, leave-on"',
        ),
        ("use = []", "", 'brief.toml:1 use: an empty list; write use = "body, leave-on"'),
        (
            "",
            "[skin]\ncitrol = { max = 1 }",
            "brief.toml:7 skin.citrol: no such limit on skin; nearest: citral",
        ),
        (
            "",
            "[skin]\ncitral = { max = 101 }",
            "brief.toml:7 skin.citral.max: 101 is no percentage of the formula; write 0 to 100",
        ),
        (
            "",
            "[skin]\ncitral = 0.1",
            "brief.toml:7 skin.citral: a number where a table is needed; write { max = 0.1 }",
        ),
    ],
)
def test_mistakes_in_the_brief(tmp_path, use, more, message):
    """Uses and own bounds that are none are told with what there is."""
    with pytest.raises(InputError) as caught:
        request(tmp_path, "", use, more=more)
    assert str(caught.value.mistakes[0]) == message


# the shipped tables


def test_every_limit_on_skin_has_one_bound_for_each_category_and_rule():
    """No rule contradicts itself, and its categories are known."""
    book = with_skin_tables(read_book())
    seen = set()
    for row in book.skin_limits:
        for category in row.categories:
            key = (row.id, category, row.rule, row.locator)
            assert key not in seen
            assert category in CATEGORIES
            seen.add(key)
        assert row.value >= 0
        assert row.locator


def test_every_scent_but_five_has_constituents():
    """Those without need a certificate; each listed one stands in the ingredients."""
    book = with_skin_tables(read_book())
    scents = {one.id for one in book.ingredients.values() if one.kind is Kind.FRAGRANCE}
    assert scents - book.constituents.keys() == {
        "lime-oil",
        "bitter-orange-oil",
        "angelica-root-oil",
        "cumin-oil",
        "rue-oil",
    }
    assert book.constituents.keys() <= book.ingredients.keys()


def test_constituents_that_limits_name_are_spelled_as_in_the_scents():
    """A limit on a constituent that some scent holds finds it under the same name."""
    book = with_skin_tables(read_book())
    held = {name for stated in book.constituents.values() for name in stated}
    limited = {
        part for row in book.skin_limits if row.of is Counted.CONSTITUENTS for part in row.parts
    }
    folded = {name.casefold() for name in held}
    assert {part for part in limited if part.casefold() in folded} <= held
    assert len(limited & held) >= 12


def test_a_handbook_maximum_is_told_and_not_held(tmp_path):
    """Peppermint above the 5.4 % that Tisserand and Young 2014 advise is a caution, no conflict."""
    answer = cheapest(request(tmp_path, "peppermint-oil = 6"))
    assert answer.status == "optimal"
    assert any("more than the 5.4 % that Tisserand" in one for one in answer.measures.cautions)
    assert all(
        one.rule is None or one.rule.rule is not RuleKind.ADVICE for one in answer.measures.on_skin
    )


def test_the_command_shows_what_comes_on_the_skin(tmp_path, optimiser):
    """The answer has a table of levels, its JSON the same numbers."""
    request(tmp_path, "lavender-oil = 0.6")
    status, out, _ = optimiser("formulate", tmp_path / "brief.toml")
    assert status == 0
    assert "On skin (body, leave-on)" in out
    # However long the name of the folder is, it stays in one piece.
    assert all(len(line) <= 80 for line in out.replace(str(tmp_path), "").splitlines())
    _, out, _ = optimiser("formulate", tmp_path / "brief.toml", "--json")
    told = json.loads(out)["on_skin"]
    table = frames(cheapest(read_request(tmp_path / "brief.toml")))["on_skin"]
    assert list(table["limit"]) == [one["limit"] for one in told]
    assert list(table["level"]) == [one["level"] for one in told]
    assert told[0]["limit"] == "skin.citral.max"
    assert told[0]["status"] == "transcription"


def test_the_model_file_of_limits_on_skin_is_as_kept(tmp_path):
    """The LP file that other solvers read stays as it is in `golden/`, sentences included."""
    formulation = formulated(request(tmp_path, "lemon-oil = 1", certificates=CERTIFICATES))
    kept = Path(__file__).parent / "golden" / "skin_limits.lp"
    assert as_text(formulation.model, "lp") == kept.read_text(encoding="utf-8")


def test_isomers_of_a_certificate_count_with_their_substance(tmp_path):
    """Damascones are rose ketones, cis-isoeugenol is isoeugenol, D-citronellol citronellol."""
    sheet = (
        "ingredient,constituent,percent\nlavender-oil,Beta-Damascone,1\n"
        "lavender-oil,Alpha-Damascone,2\nlavender-oil,Cis-Isoeugenol,4\n"
        "lavender-oil,D-Citronellol,60\n"
    )
    asked = request(tmp_path, "lavender-oil = 1", certificates=sheet)
    shares = {"lavender-oil": "1"}
    assert level(asked, shares, "rose_ketones") == Fraction("0.03")
    assert level(asked, shares, "isoeugenol") == Fraction("0.04")
    assert level(asked, shares, "citronellol") == Fraction("0.6")
    assert cheapest(asked).status == "infeasible"


def test_a_certificate_cell_may_name_several_categories(tmp_path):
    """`5A, 5B` holds for both; a category in which nothing is held here is told."""
    sheet = 'ingredient,category,at_most\nlavender-oil,"5A, 5B and 11",0.1\n'
    asked = request(tmp_path, "lavender-oil = 1", certificates=sheet)
    assert set(asked.book.certified["lavender-oil"]) == {"5A", "5B"}
    assert any('the category "11" is not used' in one for one in asked.remarks)
    assert cheapest(asked).status == "infeasible"


@pytest.mark.parametrize("category", [*KNOWN.replace(" and ", ", ").split(", "), "11"])
def test_every_category_of_a_certificate_may_stand(tmp_path, category):
    """A certificate is copied whole; what is not held here is told, and does no harm."""
    sheet = f"ingredient,category,at_most\nlavender-oil,{category},0.1\n"
    asked = request(tmp_path, "", certificates=sheet)
    told = any(f'the category "{category}" is not used' in one for one in asked.remarks)
    assert told is (category not in CATEGORIES)


def test_a_brief_in_the_place_of_certificates_is_told(tmp_path):
    """What belongs there is told."""
    brief = tmp_path / "brief.toml"
    brief.write_text('[costing]\nprices = "prices.csv"\n[shelf]\ncertificates = "brief.toml"\n')
    (tmp_path / "prices.csv").write_text(PRICES)
    with pytest.raises(InputError) as caught:
        read_request(brief)
    assert str(caught.value) == (
        'brief.toml:4 shelf.certificates: "brief.toml" is a brief; a sheet of certificates belongs '
        "here, a file ending in .csv or .xlsx"
    )


def test_a_category_may_be_explained_in_words(tmp_path):
    """`5A (body lotion)` is 5A, and the words are told."""
    sheet = "ingredient,category,at_most\nlavender-oil,5A (body lotion),0.1\n"
    asked = request(tmp_path, "", certificates=sheet)
    assert set(asked.book.certified["lavender-oil"]) == {"5A"}
    assert any('the category "(body" is not used' in one for one in asked.remarks)


def test_a_recipe_with_what_a_certificate_does_not_allow_is_not_met(tmp_path):
    """Zero percent allowed: whoever holds the recipe against the brief hears it."""
    sheet = "ingredient,category,at_most\nlavender-oil,5A,0\n"
    asked = request(tmp_path, "", certificates=sheet)
    blend = Blend.at(asked, {"lavender-oil": Fraction(1), "coconut-oil": Fraction(99)})
    failed = [check for check in all_held(blend) if check.is_met is False]
    assert [check.offending for check in failed] == [("lavender-oil",)]


def test_limited_constituents_that_a_certificate_drops_are_told(tmp_path):
    """A certificate for lemongrass that says nothing of geraniol counts none, and says so."""
    asked = request(tmp_path, "", certificates=CERTIFICATES)
    assert any("lemongrass-oil does not state" in one for one in asked.remarks)


def test_a_scent_known_by_its_maximum_may_be_phototoxic(tmp_path):
    """Its certificate leaves room for phototoxic oils up to their limit, so it shares that."""
    asked = request(tmp_path, "", sheet=ACCORD, certificates=ITS_MAXIMUM)
    assert level(asked, {"my-accord": "1"}, "phototoxic_oils") == Fraction(1, 2)


@pytest.mark.parametrize("command", ["batch", "assess", "compare"])
def test_recipes_hear_of_limits_on_skin_that_nobody_holds(tmp_path, optimiser, command):
    """Without a use every command on a recipe with a scent says that nothing is held."""
    request(tmp_path, "", use="")
    recipe = tmp_path / "recipe.csv"
    recipe.write_text("ingredient,percent\ncoconut-oil,99\nlavender-oil,1\n")
    brief = tmp_path / "brief.toml"
    words = {
        "batch": ("batch", recipe, "--brief", brief, "--size", "1 kg"),
        "assess": ("assess", brief, recipe),
        "compare": ("compare", recipe, recipe, "--brief", brief),
    }[command]
    assert "limits on skin for scents are not held" in " ".join(optimiser(*words)[1].split())


def test_what_a_limit_on_skin_is_on_is_said_as_in_its_sentence() -> None:
    """The words for the quantity alone begin the sentence of the limit."""
    request = read_request(ROOT / "examples" / "quillfern" / "citrus_body_butter.toml")
    told = [limit for limit in request.brief.limits if limit.family is Family.SKIN]
    assert len(told) > 5
    for limit in told:
        sentence = limit_statement(request, limit).statement.render(Fraction(limit.value))
        assert sentence.startswith(quantity_said(request, limit))
