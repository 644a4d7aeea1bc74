"""What the other tables of a brief can have wrong, and the whole message for it."""

from __future__ import annotations

from pathlib import Path

import pytest
from reading_support import COSTING, message_of

MISTAKES: list[tuple[str, str, str]] = [
    (
        "unknown-top",
        "colour = 'red'\n@",
        (
            "brief.toml:1 colour: unknown key; known here: name, style, use, costing, shelf, "
            "groups, amounts, totals, ratios, properties, skin, weighing, either, "
            "natural_variation, character, price_spread, batch, jar, define"
        ),
    ),
    (
        "table-misspelt",
        "@[amount]\nbeeswax = 3\n",
        "brief.toml:3 amount: unknown key; write amounts",
    ),
    (
        "costing-missing",
        "name='x'\n",
        'brief.toml costing: missing; write [costing] and prices = "prices.csv"',
    ),
    (
        "prices-missing",
        "[costing]\ncurrency='GBP'\n",
        'brief.toml costing.prices: missing; write prices = "prices.csv"',
    ),
    (
        "prices-number",
        "[costing]\nprices=3\n",
        (
            "brief.toml:2 costing.prices: a number where a list of texts is needed; write "
            '"prices.csv"'
        ),
    ),
    (
        "prices-empty",
        "[costing]\nprices=[]\n",
        'brief.toml:2 costing.prices: an empty list; write "prices.csv"',
    ),
    (
        "prices-no-file",
        "[costing]\nprices='price.csv'\n",
        ('brief.toml:2 costing.prices: there is no file "price.csv"; check its name and folder'),
    ),
    (
        "prices-folder",
        "[costing]\nprices='.'\n",
        'brief.toml:2 costing.prices: "." is a folder; name a file in it',
    ),
    (
        "prices-ods",
        "[costing]\nprices='prices.ods'\n",
        (
            'brief.toml:2 costing.prices: "prices.ods" is a file ending in ".ods"; '
            "save it as .csv or .xlsx"
        ),
    ),
    (
        "prices-noend",
        "[costing]\nprices='prices'\n",
        (
            'brief.toml:2 costing.prices: "prices" is a file without an ending; save it '
            "as .csv or .xlsx"
        ),
    ),
    (
        "prices-twice",
        "[costing]\nprices=['prices.csv','prices.csv']\n",
        'brief.toml:2 costing.prices: "prices.csv" is named twice; name it once',
    ),
    (
        "nul",
        '[costing]\nprices="a\\u0000.csv"\n',
        ("brief.toml:2 costing.prices: a sign that cannot be seen, U+0000; type the text anew"),
    ),
    (
        "costing-unknown",
        "[costing]\nprices='prices.csv'\ncurency='GBP'\n",
        "brief.toml:3 costing.curency: unknown key; write currency",
    ),
    (
        "currency-long",
        "[costing]\nprices='prices.csv'\ncurrency='British pounds sterling'\n",
        'brief.toml:3 costing.currency: too long for a currency; write "GBP"',
    ),
    (
        "currency-number",
        "[costing]\nprices='prices.csv'\ncurrency=3\n",
        ('brief.toml:3 costing.currency: a number where text in quotes is needed; write "GBP"'),
    ),
    (
        "name-number",
        "name=3\n@",
        'brief.toml:1 name: a number where text in quotes is needed; write "Hand butter"',
    ),
    (
        "name-empty",
        "name=' '\n@",
        'brief.toml:1 name: empty text; write for instance "Hand butter"',
    ),
    (
        "style-unknown",
        "style='whiped-butter'\n@",
        "brief.toml:1 style: no such style; write whipped-butter or balm",
    ),
    (
        "style-unknown2",
        "style='zzz'\n@",
        "brief.toml:1 style: no such style; write whipped-butter or balm",
    ),
    (
        "style-list",
        "style=['balm']\n@",
        'brief.toml:1 style: a list where text in quotes is needed; write "whipped-butter"',
    ),
    (
        "use-text-unknown",
        "@[shelf]\nuse=['cocoa buter','beeswax']\n",
        'brief.toml:4 shelf.use: "cocoa buter": no such ingredient; nearest: cocoa-butter',
    ),
    (
        "use-number",
        "@[shelf]\nuse=3\n",
        (
            "brief.toml:4 shelf.use: a number where a list of texts is needed; write "
            '["mango-butter", "kokum-butter"]'
        ),
    ),
    (
        "use-item",
        "@[shelf]\nuse=['beeswax',3]\n",
        (
            "brief.toml:4 shelf.use: a number where text in quotes is needed; write "
            '["mango-butter", "kokum-butter"]'
        ),
    ),
    (
        "use-empty",
        "@[shelf]\nuse=[]\n",
        (
            'brief.toml:4 shelf.use: an empty list; write ["mango-butter", '
            '"kokum-butter"], or remove the line'
        ),
    ),
    (
        "use-ambiguous",
        "@[shelf]\nuse=['Butyrospermum parkii butter']\n",
        (
            'brief.toml:4 shelf.use: "Butyrospermum parkii butter": several ingredients '
            "have this name; write shea-butter-refined or shea-butter-unrefined"
        ),
    ),
    (
        "use-twice",
        "@[shelf]\nuse=['beeswax','Cera Alba']\n",
        'brief.toml:4 shelf.use: "Cera Alba" is "beeswax" again; name it once',
    ),
    (
        "use-twice2",
        "@[shelf]\nuse=['beeswax','beeswax']\n",
        'brief.toml:4 shelf.use: "beeswax" is named twice; name it once',
    ),
    (
        "use-leave",
        "@[shelf]\nuse=['beeswax']\nleave_out=['Beeswax']\n",
        "brief.toml:5 shelf.leave_out: beeswax stands in shelf.use too; remove it from one",
    ),
    (
        "use-unpriced",
        "@[shelf]\nuse=['beeswax',\n'hazelnut-oil']\n",
        (
            "brief.toml:5 shelf.use: hazelnut-oil has no price; add a row to the price "
            "list or remove it here"
        ),
    ),
    (
        "sheet-none",
        "@[shelf]\nsheets=['own.csv']\n[amounts]\nbaobab-oil = 3\n",
        'brief.toml:4 shelf.sheets: there is no file "own.csv"; check its name and folder',
    ),
    (
        "shelf-unknown",
        "@[shelf]\nusing=['beeswax']\n",
        "brief.toml:4 shelf.using: unknown key; known here: use, leave_out, sheets, certificates",
    ),
    (
        "group-kind-limited",
        "@[groups]\nbutter=['cocoa-butter']\n[totals]\nbutter = 30\n[ratios]\n'butter:oil' = 2\n",
        'brief.toml:4 groups.butter: "butter" is a kind already; choose another name',
    ),
    (
        "group-kind",
        "@[groups]\nButter=['cocoa-butter']\n",
        'brief.toml:4 groups.Butter: "Butter" is a kind already; choose another name',
    ),
    (
        "group-property",
        "@[groups]\n\"vitamin e\"=['cocoa-butter']\n",
        ('brief.toml:4 groups."vitamin e": "vitamin e" is a property already; choose another name'),
    ),
    (
        "group-ingredient",
        "@[groups]\nbeeswax=['cocoa-butter']\n",
        ('brief.toml:4 groups.beeswax: "beeswax" is an ingredient already; choose another name'),
    ),
    (
        "group-colon",
        "@[groups]\n\"a:b\"=['cocoa-butter']\n",
        (
            'brief.toml:4 groups."a:b": a group\'s name has letters, no colon and one line; '
            "write nut_oils"
        ),
    ),
    (
        "group-member",
        "@[groups]\nnut_oils=['walnut oil']\n",
        ('brief.toml:4 groups.nut_oils: "walnut oil": no such ingredient; nearest: hazelnut-oil'),
    ),
    (
        "group-empty",
        "@[groups]\nnut_oils=[]\n",
        (
            'brief.toml:4 groups.nut_oils: an empty list; write ["mango-butter", '
            '"kokum-butter"], or remove the line'
        ),
    ),
    (
        "group-same",
        "@[groups]\nnut_oils=['hazelnut-oil']\nNut-Oils=['hazelnut-oil']\n",
        'brief.toml:5 groups.Nut-Oils: the same name as "nut_oils"; choose another name',
    ),
    (
        "groups-text",
        "groups='x'\n@",
        (
            'brief.toml:1 groups: the text "x" where a table is needed; write [groups] '
            'and nut_oils = ["hazelnut-oil"]'
        ),
    ),
    (
        "cautious-unknown",
        "@[natural_variation]\ncautious = ['vitamin_f']\n",
        (
            'brief.toml:4 natural_variation.cautious: "vitamin_f": no such property; '
            "nearest: vitamin_e"
        ),
    ),
    (
        "cautious-cost",
        "@[natural_variation]\ncautious = ['cost']\n",
        ("brief.toml:4 natural_variation.cautious: cost has no natural variation; remove it here"),
    ),
    (
        "cautious-twice",
        "@[natural_variation]\ncautious = ['vitamin_e','Vitamin E']\n",
        'brief.toml:4 natural_variation.cautious: "Vitamin E" is named twice; name it once',
    ),
    (
        "define-shipped",
        "@[define.vitamin_e]\nunit='mg'\n",
        (
            "brief.toml:3 define.vitamin_e: vitamin_e is defined by the ingredient data; "
            "remove this table"
        ),
    ),
    (
        "define-none",
        "@[define.drop_point]\nunit='C'\n",
        (
            'brief.toml:3 define.drop_point: no sheet has a column "drop_point"; rename '
            "it or remove this"
        ),
    ),
    (
        "define-over",
        "@[define.drop_point]\nover='fats'\n",
        (
            'brief.toml:3 define.drop_point: no sheet has a column "drop_point"; rename '
            "it or remove this\n"
            "brief.toml:4 define.drop_point.over: no such phase; nearest: fat"
        ),
    ),
    (
        "define-unknown",
        "@[define.drop_point]\nphase='fat'\n",
        (
            'brief.toml:3 define.drop_point: no sheet has a column "drop_point"; rename '
            "it or remove this\n"
            "brief.toml:4 define.drop_point.phase: unknown key; known here: unit, over"
        ),
    ),
    (
        "define-flat",
        "@[define]\ndrop_point='C'\n",
        (
            'brief.toml:4 define.drop_point: the text "C" where a table is needed; write '
            '[define.drop_point] and unit = "C"'
        ),
    ),
    (
        "several",
        "style='blam'\n@[amounts]\n\"cocoa buter\" = { max = 300 }\nbeeswax={mn=3}\n",
        (
            "brief.toml:1 style: no such style; write whipped-butter or balm\n"
            'brief.toml:5 amounts."cocoa buter": no such ingredient; nearest: cocoa-butter\n'
            'brief.toml:5 amounts."cocoa buter".max: 300 is no percentage of the '
            "formula; write 0 to 100\n"
            "brief.toml:6 amounts.beeswax.mn: unknown key; write min"
        ),
    ),
    (
        "empty-brief",
        "",
        'brief.toml costing: missing; write [costing] and prices = "prices.csv"',
    ),
]


@pytest.mark.parametrize(
    ("text", "message"),
    [(text, message) for _, text, message in MISTAKES],
    ids=[name for name, _, _ in MISTAKES],
)
def test_brief_mistake_is_told(tmp_path: Path, text: str, message: str) -> None:
    """Every mistake in a brief is told with its line, key path and what to write."""
    assert message_of(tmp_path, {"brief.toml": text.replace("@", COSTING)}) == message


@pytest.mark.parametrize(
    ("brief", "message"),
    [
        (
            '[groups]\n"a\\nb" = ["beeswax"]\n',
            'brief.toml:2 groups."a\\u000Ab": a group\'s name has letters, no colon and one line; '
            "write nut_oils",
        ),
        (
            '[groups]\n"nut\\u200boils" = ["beeswax"]\n',
            'brief.toml:2 groups."nut\\u200Boils": a sign that cannot be seen, U+200B; type the '
            "name anew",
        ),
        (
            'name = "Balm\\u001b[2J"\n',
            "brief.toml:1 name: a sign that cannot be seen, U+001B; type the text anew",
        ),
        (
            'name = "Balm"\n"\\u202ename" = 3\n',
            'brief.toml:2 "\\u202Ename": unknown key; write name',
        ),
    ],
)
def test_signs_that_cannot_be_seen_are_shown(tmp_path: Path, brief: str, message: str) -> None:
    """No sign of a brief commands the terminal, turns a line or hides in a name."""
    assert message_of(tmp_path, {"brief.toml": brief + COSTING}) == message
