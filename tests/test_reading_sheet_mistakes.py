"""What an own sheet can have wrong, and the whole message for it."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

import pytest
from reading_support import COSTING, message_of

from optimiser.reading import own_sheets

MISTAKES: list[tuple[str, str, str]] = [
    (
        "empty",
        "",
        "own.csv: nothing stands in it; the first row must name ingredient",
    ),
    (
        "no-ingredient",
        "name,vitamin_e\nbeeswax,3\n",
        ('own.csv: no column `ingredient`; add it to the headings, which are "name", "vitamin_e"'),
    ),
    (
        "headings",
        "ingredient,vitamin_e\n",
        "own.csv: no rows below the headings; write one for each ingredient",
    ),
    (
        "kind",
        "ingredient,kind\nMarula oil,fatty\n",
        (
            'own.csv:2 kind: "fatty" is no kind; write butter, oil, wax, powder, '
            "antioxidant, fragrance, colour, exfoliant or other"
        ),
    ),
    (
        "twice",
        "ingredient,vitamin_e\nMarula oil,3\nmarula-oil,4\n",
        'own.csv:3 ingredient: "marula-oil" stands in row 2 too; keep one row',
    ),
    (
        "no-name",
        "ingredient,vitamin_e\n,4\n",
        "own.csv:2 ingredient: no ingredient in this row; fill it in or delete the row",
    ),
    (
        "ambiguous",
        "ingredient,vitamin_e\nButyrospermum parkii butter,4\n",
        (
            "own.csv:2 ingredient: several ingredients have this name; write "
            "shea-butter-refined or shea-butter-unrefined"
        ),
    ),
    (
        "total",
        "ingredient,vitamin_e\nMarula oil,4\nSumme,4\n",
        "own.csv:3 ingredient: a total is no ingredient; delete this row",
    ),
    (
        "kind-name",
        "ingredient,vitamin_e\nOil,4\n",
        'own.csv:2 ingredient: "Oil" is a kind, not an ingredient; name it more closely',
    ),
    (
        "unseen-name",
        "ingredient,vitamin_e\nMaru\u200bla oil,4\n",
        'own.csv:2 ingredient: "Maru\\u200Bla oil" has a sign that cannot be seen, U+200B; type it '
        "anew",
    ),
    (
        "unseen-heading",
        "ingredient,drop\u200bpoint\nbeeswax,4\n",
        'own.csv:1 drop\\u200Bpoint: "drop\\u200Bpoint" has a sign that cannot be seen, U+200B; '
        "type it anew",
    ),
    (
        "signs",
        "ingredient,vitamin_e\n???,4\n",
        'own.csv:2 ingredient: "???" can be no ingredient\'s name; use letters and digits',
    ),
    (
        "too-like",
        'ingredient,vitamin_e\n"Cocoa, butter",4\n',
        (
            'own.csv:2 ingredient: "Cocoa, butter" is too like cocoa-butter; write that, '
            "or another name"
        ),
    ),
    (
        "cost",
        "ingredient,cost\nbeeswax,4\n",
        "own.csv:1 cost: cost comes from the price list; remove the column or rename it",
    ),
    (
        "kind-heading",
        "ingredient,butter\nbeeswax,4\n",
        "own.csv:1 butter: butter is a kind, not a property; rename the column",
    ),
    (
        "sign-heading",
        "ingredient,°\nbeeswax,4\n",
        'own.csv:1 °: "°" can be no property\'s name; use letters and digits',
    ),
    (
        "same-property",
        "ingredient,vitamin_e,Vitamin E\nbeeswax,4,5\n",
        'own.csv: two columns are headed "vitamin_e"; rename or delete one',
    ),
    (
        "unit",
        "ingredient,vitamin_e (mg/kg)\nbeeswax,4\n",
        (
            "own.csv:1 vitamin_e (mg/kg): in mg/kg, but vitamin_e is known in mg/100 g; "
            "convert the figures"
        ),
    ),
    (
        "word",
        "ingredient,drop_point\nbeeswax,hot\n",
        'own.csv:2 drop_point: "hot" is not a number; write it like 12.5',
    ),
    (
        "currency",
        "ingredient,drop_point\nbeeswax,£4\n",
        "own.csv:2 drop_point: £4 has a currency sign; write it like 12.5",
    ),
    (
        "percent-of-milligrams",
        "ingredient,vitamin_e\nbeeswax,70%\n",
        "own.csv:2 vitamin_e: 70% is a percentage where mg/100 g is needed; "
        "write the figure in mg/100 g",
    ),
    (
        "more-than-itself",
        "ingredient,vitamin_e\nbeeswax,950000\n",
        "own.csv:2 vitamin_e: vitamin_e is more than the ingredient's own weight; "
        "write it in mg/100 g",
    ),
    (
        "percent-of-nothing",
        "ingredient,drop_point\nbeeswax,70 %\n",
        "own.csv:2 drop_point: 70 % is a percentage where a plain number is needed; write it like "
        '12.5, or head the column "drop_point (%)"',
    ),
    (
        "more-than-itself-of-own",
        "ingredient,assay (mg/100g)\nbeeswax,100001\n",
        "own.csv:2 assay (mg/100g): assay is more than the ingredient's own weight; "
        "write it in mg/100g",
    ),
    (
        "density-word",
        "ingredient,density\nbeeswax,heavy\n",
        'own.csv:2 density: "heavy" is not a number; write it like 0.915',
    ),
    (
        "heading-cut-short",
        "ingredient,solid fat 20\nbeeswax,3\n",
        "own.csv:1 solid fat 20: no such property; nearest: solid_fat_20C; to keep it as a "
        "property of your own, add [define.solid_fat_20] to the brief",
    ),
    (
        "inci",
        "ingredient,inci\nbeeswax,Cera Alba\n",
        "own.csv:1 inci: no such property; nearest: inci_name; to keep it as a property of your "
        "own, add [define.inci] to the brief",
    ),
    (
        "slip-of-a-heading",
        "ingredient,vitamine_e\nbeeswax,3\n",
        "own.csv:1 vitamine_e: no such property; nearest: vitamin_e; to keep it as a property "
        "of your own, add [define.vitamine_e] to the brief",
    ),
    (
        "negative",
        "ingredient,vitamin_e\nbeeswax,-4\n",
        "own.csv:2 vitamin_e: vitamin_e is never below 0; write 0 or more",
    ),
    (
        "percent",
        "ingredient,solid_fat_20C\nbeeswax,140\n",
        "own.csv:2 solid_fat_20C: solid_fat_20C is at most 100 %; write 0 to 100",
    ),
    (
        "density",
        "ingredient,density\nbeeswax,0\n",
        "own.csv:2 density: density is always above 0; write it in g/ml",
    ),
    (
        "density-in-kg-a-cubic-metre",
        "ingredient,density\nbeeswax,912\n",
        ("own.csv:2 density: 912 g/ml is no density of an ingredient; if it is kg/m3 write 0.912"),
    ),
    (
        "density-too-high",
        "ingredient,density\nbeeswax,9.6\n",
        "own.csv:2 density: 9.6 g/ml is no density of an ingredient; write it like 0.92",
    ),
    (
        "density-too-low",
        "ingredient,density\ncorn starch,0.15\n",
        (
            "own.csv:2 density: 0.15 g/ml is no density of an ingredient; write it like 0.92, "
            "that of a powder without the air in it"
        ),
    ),
    (
        "ambiguous-number",
        'ingredient,drop_point\nbeeswax,"61,500"\n',
        'own.csv:2 drop_point: "61,500" can be read in two ways; write 61500 or 61.5000',
    ),
    (
        "short",
        "ingredient,vitamin_e\nbeeswax\n",
        "own.csv:2: 1 cell under 2 headings; add the separators of the empty cells",
    ),
]


@pytest.mark.parametrize(
    ("content", "message"),
    [(content, message) for _, content, message in MISTAKES],
    ids=[name for name, _, _ in MISTAKES],
)
def test_own_sheet_mistake_is_told(tmp_path: Path, content: str, message: str) -> None:
    """Every mistake in an own sheet is told with its row, column and what to write."""
    brief = COSTING + "[shelf]\nsheets = 'own.csv'\n"
    assert message_of(tmp_path, {"brief.toml": brief, "own.csv": content}) == message


@pytest.mark.parametrize("heading", ["vitamine_e", "solid fat 20", "Vitamine E!"])
def test_a_definition_keeps_a_likely_slip(tmp_path: Path, heading: str) -> None:
    """The table that the message says to add makes the column a property of its own."""
    files: dict[str, str | bytes] = {"own.csv": f"ingredient,{heading}\nbeeswax,3\n"}
    brief = COSTING + "[shelf]\nsheets = 'own.csv'\n"
    refusal = message_of(tmp_path, {"brief.toml": brief, **files})
    table = refusal.partition("add [")[2].partition("]")[0]
    assert message_of(tmp_path, {"brief.toml": f"{brief}[{table}]\n", **files}) == ""


def test_many_new_names_are_read_in_bounded_time(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Only the first of very many new names are compared with the known ones."""
    compared = 0

    def counted(name: str, spellings: Iterable[object], like_enough: float) -> list[str]:
        nonlocal compared
        compared += bool(list(spellings))
        return []

    monkeypatch.setattr(own_sheets, "nearest", counted)
    rows = "".join(f"lot {number},{number}\n" for number in range(19_990))
    brief = COSTING + "[shelf]\nsheets = 'own.csv'\n"
    content = "ingredient,drop_point\n" + rows
    assert message_of(tmp_path, {"brief.toml": brief, "own.csv": content}) == ""
    assert compared == own_sheets.MOST_COMPARED


@pytest.mark.parametrize("density", ["0.7", "0.81", "3.2", "5.2", "5.61", "7.7"])
def test_densities_of_ingredients_stand(tmp_path: Path, density: str) -> None:
    """Light silicones, squalane, mica, iron oxide, zinc oxide and bismuth oxychloride.

    The oxides as in the CRC Handbook of Chemistry and Physics (from memory).
    """
    brief = COSTING + "[shelf]\nsheets = 'own.csv'\n"
    content = f"ingredient,density\nbeeswax,{density}\n"
    assert message_of(tmp_path, {"brief.toml": brief, "own.csv": content}) == ""
