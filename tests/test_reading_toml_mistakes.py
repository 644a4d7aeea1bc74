"""What makes a brief no TOML, and the whole message for it."""

from __future__ import annotations

from pathlib import Path

import pytest
from reading_support import COSTING, message_of, small_book

from optimiser.provenance import InputError
from optimiser.reading import read_request

MISTAKES: list[tuple[str, str | bytes, str]] = [
    (
        "toml-quotes",
        "@[amounts]\nmango butter = 3\n",
        (
            "brief.toml:4: `=` is missing after the name; a name with blanks or signs "
            'needs quotes, as in "mango butter" = 30'
        ),
    ),
    (
        "toml-percent",
        "@[amounts]\nbeeswax = 3 %\n",
        "brief.toml:4: a percent sign; write 3 instead of 3 %",
    ),
    (
        "toml-percent-in-braces",
        "@[totals]\npowder = { min = 2%, max = 5% }\n",
        "brief.toml:4: a percent sign; write 2 instead of 2%",
    ),
    (
        "toml-percent-and-comma",
        "@[totals]\npowder = { min = 2,5 % }\n",
        "brief.toml:4: a percent sign; write 2.5 instead of 2,5 %",
    ),
    (
        "toml-percent-in-a-text",
        '@[totals]\n"2% of it" = 3 g\n',
        (
            "brief.toml:4: something is left over after the value; write numbers with a "
            "point and without unit, as in max = 2.5"
        ),
    ),
    (
        "toml-curly",
        "name = \u201cGardener\u2019s\u201d\n@",
        'brief.toml:1: curly quotes; write straight ones, as in "GBP"',
    ),
    (
        "toml-curly-name",
        "@[amounts]\n\u201emango butter\u201c = 3\n",
        'brief.toml:4: curly quotes; write straight ones, as in "GBP"',
    ),
    (
        "toml-curly-list",
        "@[shelf]\nuse = [\u2018beeswax\u2019]\n",
        'brief.toml:4: curly quotes; write straight ones, as in "GBP"',
    ),
    (
        "toml-curly-in-a-text",
        'name = "Gardener\u2019s" x\n@',
        (
            "brief.toml:1: something is left over after the value; write numbers with a "
            "point and without unit, as in max = 2.5"
        ),
    ),
    (
        "toml-comma",
        "@[amounts]\nbeeswax = 2,5\n",
        "brief.toml:4: a decimal comma; write a point, as in max = 2.5",
    ),
    (
        "toml-inline-comma",
        "@[amounts]\nbeeswax = { min = 2,5 }\n",
        "brief.toml:4: a decimal comma; write a point, as in max = 2.5",
    ),
    (
        "toml-novalue",
        "@[amounts]\nbeeswax =\n",
        (
            "brief.toml:4: the value is missing or not one; write a number (2.5), text in "
            'quotes ("GBP"), true, a list or { min = 2 }'
        ),
    ),
    (
        "toml-twice",
        "@[amounts]\nbeeswax = 3\nbeeswax = 4\n",
        "brief.toml:5: this name has a value already, further up; keep one of the two",
    ),
    (
        "toml-table-twice",
        "@[amounts]\nbeeswax = 3\n[amounts]\n",
        ("brief.toml:5: this table stands here a second time; move its lines into the first one"),
    ),
    (
        "toml-open-text",
        'name = "x\n@',
        'brief.toml:1: the text is not closed; end it with "',
    ),
    (
        "toml-open-list",
        "@[shelf]\nuse = ['beeswax'\n",
        'brief.toml:4: the list is not closed; write ["one", "other"], with commas between',
    ),
    (
        "toml-open-inline",
        "@[amounts]\nbeeswax = { min = 2\n",
        (
            "brief.toml:4: the table in braces is not closed; write numbers with a point, "
            "as in { min = 2.5, max = 6 }"
        ),
    ),
    (
        "toml-inline-twice",
        "@[amounts]\nbeeswax = { min = 2, min = 3 }\n",
        "brief.toml:4: a name stands twice in the braces; keep one of the two",
    ),
    (
        "toml-header",
        "@[amounts\nbeeswax = 3\n",
        "brief.toml:3: the table's name is not closed with ]",
    ),
    (
        "toml-junk",
        "@beeswax\n",
        (
            "brief.toml:3: `=` is missing after the name; a name with blanks or signs "
            'needs quotes, as in "mango butter" = 30'
        ),
    ),
    (
        "toml-long",
        "@[amounts]\nbeeswax = " + "9" * 5000 + "\n",
        "brief.toml:4: a number of more than 1,000 digits; write fewer",
    ),
    (
        "toml-deep",
        "x = " + "[" * 3000 + "]" * 3000 + "\n",
        ("brief.toml: a number is too long or brackets are nested too deep; write plain values"),
    ),
    (
        "toml-backslash",
        '[costing]\nprices = "C:\\prices.csv"\n',
        "brief.toml:2: a backslash in quotes; write / between folders",
    ),
    (
        "toml-colon",
        "@[amounts]\nbeeswax: 3\n",
        "brief.toml:4: a colon after beeswax; write = instead",
    ),
    (
        "toml-colon-after-style",
        'style: "whipped-butter"\n@',
        "brief.toml:1: a colon after style; write = instead",
    ),
    (
        "toml-colon-in-braces",
        '@[ratios]\n"butter:oil" = { min: 2 }\n',
        "brief.toml:4: a colon after min; write = instead",
    ),
    (
        "toml-colon-after-quotes",
        '@[amounts]\n"mango butter": 2\n',
        'brief.toml:4: a colon after "mango butter"; write = instead',
    ),
    (
        "toml-colon-in-a-name",
        '@[ratios]\n"butter:oil" = 2 x\n',
        (
            "brief.toml:4: something is left over after the value; write numbers with a "
            "point and without unit, as in max = 2.5"
        ),
    ),
    (
        "toml-bare-text",
        "name = Gardener\n@",
        (
            "brief.toml:1: the value is missing or not one; write a number (2.5), text in "
            'quotes ("GBP"), true, a list or { min = 2 }'
        ),
    ),
    (
        "latin1",
        b'name = "Karit\xe9"\n',
        "brief.toml:1: a letter that is not UTF-8; save the brief as plain text in UTF-8",
    ),
    (
        "utf16",
        b"\xff\xfen\x00a\x00m\x00e\x00=\x00'\x00x\x00'\x00\n\x00",
        "brief.toml: UTF-16 text; save the brief as plain text in UTF-8",
    ),
    (
        "zip",
        b"PK\x03\x04...",
        (
            "brief.toml: this is a workbook or another zip file, not a brief; a brief is a "
            "plain text file ending in .toml"
        ),
    ),
]


@pytest.mark.parametrize(
    ("text", "message"),
    [(text, message) for _, text, message in MISTAKES],
    ids=[name for name, _, _ in MISTAKES],
)
def test_toml_mistake_is_told(tmp_path: Path, text: str | bytes, message: str) -> None:
    """Every mistake in a brief is told with its line, key path and what to write."""
    content = text.replace("@", COSTING) if isinstance(text, str) else text
    assert message_of(tmp_path, {"brief.toml": content}) == message


@pytest.mark.parametrize("name", ["prices.csv", "prices.CSV", "stock.xlsx", "old.xls"])
def test_a_table_in_the_place_of_the_brief_is_told(tmp_path: Path, name: str) -> None:
    """The two files changed about: not what is no TOML in a table, but where it belongs."""
    (tmp_path / name).write_text("ingredient,pack,price\nbeeswax,1 kg,3\n")
    with pytest.raises(InputError) as caught:
        read_request(tmp_path / name, book=small_book())
    assert str(caught.value) == (
        f"{name}: a table where the brief belongs; the brief comes first, a file ending in .toml"
    )
