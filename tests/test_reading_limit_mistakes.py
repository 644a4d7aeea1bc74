"""What a limit can have wrong, and the whole message for it."""

from __future__ import annotations

from pathlib import Path

import pytest
from reading_support import COSTING, message_of, request_of

MISTAKES: list[tuple[str, str, str]] = [
    (
        "amount-unknown",
        '@[amounts]\n"cocoa buter" = { max = 30 }\n',
        'brief.toml:4 amounts."cocoa buter": no such ingredient; nearest: cocoa-butter',
    ),
    (
        "amount-far",
        '@[amounts]\n"unobtainium" = { max = 30 }\n',
        (
            "brief.toml:4 amounts.unobtainium: no such ingredient; add it in a sheet of "
            "your own ([shelf] sheets)"
        ),
    ),
    (
        "amount-unknown-key",
        "@[amounts]\nbeeswax = { maximum = 30 }\n",
        "brief.toml:4 amounts.beeswax.maximum: unknown key; write max",
    ),
    (
        "amount-exactly-key",
        "@[amounts]\nbeeswax = { exactly = 30 }\n",
        ("brief.toml:4 amounts.beeswax.exactly: unknown key; known here: min, max, firm, or_none"),
    ),
    (
        "amount-cross",
        "@[amounts]\nbeeswax = { min = 6, max = 2.5 }\n",
        "brief.toml:4 amounts.beeswax: min 6 is above max 2.5; swap them or change one",
    ),
    (
        "amount-text",
        "@[amounts]\nbeeswax = '3 %'\n",
        (
            'brief.toml:4 amounts.beeswax: the text "3 %" where a number is needed; '
            "write 3, without quotes"
        ),
    ),
    (
        "min-text",
        '@[amounts]\nbeeswax = { min = "30" }\n',
        (
            'brief.toml:4 amounts.beeswax.min: the text "30" where a number is needed; '
            "write 30, without quotes"
        ),
    ),
    (
        "bool",
        "@[amounts]\nbeeswax = true\n",
        ("brief.toml:4 amounts.beeswax: true where a number is needed; write 30 or { max = 30 }"),
    ),
    (
        "min-bool",
        "@[amounts]\nbeeswax = { min = false }\n",
        "brief.toml:4 amounts.beeswax.min: false where a number is needed; write 30",
    ),
    (
        "nan",
        "@[amounts]\nbeeswax = { min = nan }\n",
        ("brief.toml:4 amounts.beeswax.min: not a finite number; write a plain number such as 30"),
    ),
    (
        "inf",
        "@[properties]\nvitamin_e = { max = inf }\n",
        (
            "brief.toml:4 properties.vitamin_e.max: not a finite number; write a plain "
            "number such as 30"
        ),
    ),
    (
        "huge",
        "@[properties]\nvitamin_e = { max = 1e10 }\n",
        (
            "brief.toml:4 properties.vitamin_e.max: a number beyond 1,000,000,000; check "
            "it, and write a smaller one"
        ),
    ),
    (
        "huge2",
        "@[properties]\nvitamin_e = { max = 1e999999999999999999999 }\n",
        (
            "brief.toml:4 properties.vitamin_e.max: not a finite number; write a plain "
            "number such as 30"
        ),
    ),
    (
        "digits",
        "@[properties]\nvitamin_e = { max = 0.12345678901234567 }\n",
        ("brief.toml:4 properties.vitamin_e.max: a number with more than 15 digits; write fewer"),
    ),
    (
        "decimals",
        "@[properties]\nvitamin_e = { max = 1e-20 }\n",
        ("brief.toml:4 properties.vitamin_e.max: a number with more than 15 decimals; write fewer"),
    ),
    (
        "negative",
        "@[amounts]\nbeeswax = { min = -1 }\n",
        ("brief.toml:4 amounts.beeswax.min: -1 is no percentage of the formula; write 0 to 100"),
    ),
    (
        "above",
        "@[totals]\nbutter = { max = 101 }\n",
        ("brief.toml:4 totals.butter.max: 101 is no percentage of the formula; write 0 to 100"),
    ),
    (
        "exact-above",
        "@[amounts]\nbeeswax = 120\n",
        "brief.toml:4 amounts.beeswax: 120 is no percentage of the formula; write 0 to 100",
    ),
    (
        "empty",
        "@[amounts]\nbeeswax = {}\n",
        "brief.toml:4 amounts.beeswax: neither min nor max; write { max = 30 }",
    ),
    (
        "only-firm",
        "@[totals]\nbutter = { firm = true }\n",
        "brief.toml:4 totals.butter: neither min nor max; write { min = 3, max = 6 }",
    ),
    (
        "firm-text",
        "@[totals]\nbutter = { min=3, firm = 'yes' }\n",
        (
            'brief.toml:4 totals.butter.firm: the text "yes" where true or false is '
            "needed; write true"
        ),
    ),
    (
        "or-none-total",
        "@[totals]\nbutter = { min=3, or_none = true }\n",
        "brief.toml:4 totals.butter.or_none: unknown key; known here: min, max, firm",
    ),
    (
        "amount-twice",
        '@[amounts]\nbeeswax = 3\n"Cera alba" = { max = 4 }\n',
        ('brief.toml:5 amounts."Cera alba": the same as "beeswax"; put both limits in one table'),
    ),
    (
        "amount-list",
        "@[amounts]\nbeeswax = [2, 6]\n",
        ("brief.toml:4 amounts.beeswax: a list where a number is needed; write 30 or { max = 30 }"),
    ),
    (
        "amount-date",
        "@[amounts]\nbeeswax = 2026-01-02\n",
        (
            "brief.toml:4 amounts.beeswax: a date or time where a number is needed; write "
            "30 or { max = 30 }"
        ),
    ),
    (
        "amounts-number",
        "amounts = 3\n@",
        (
            "brief.toml:1 amounts: a number where a table is needed; write [amounts] and "
            "lines such as name = { max = 30 }"
        ),
    ),
    (
        "left-out-needed",
        "@[shelf]\nleave_out=['beeswax']\n[amounts]\nbeeswax={min=2}\n",
        (
            "brief.toml:6 amounts.beeswax.min: beeswax stands in shelf.leave_out, so none "
            "may be used; remove it from one"
        ),
    ),
    (
        "not-used-needed",
        "@[shelf]\nuse=['cocoa-butter']\n[amounts]\nbeeswax=2\n",
        (
            "brief.toml:6 amounts.beeswax: beeswax does not stand in shelf.use, so none "
            "may be used; add it there"
        ),
    ),
    (
        "no-price-needed",
        "@[amounts]\nlavender-oil=0.8\n",
        (
            "brief.toml:4 amounts.lavender-oil: lavender-oil has no price; add a row to "
            "the price list"
        ),
    ),
    (
        "total-unknown",
        "@[totals]\nbuter = { min=3 }\n",
        "brief.toml:4 totals.buter: no such kind, group or ingredient; nearest: butter",
    ),
    (
        "ratio-one",
        "@[ratios]\nbutter = { min=3 }\n",
        ('brief.toml:4 ratios.butter: not a ratio of two; write "one:other", as in "butter:oil"'),
    ),
    (
        "ratio-three",
        '@[ratios]\n"butter:oil:wax" = { min=3 }\n',
        (
            'brief.toml:4 ratios."butter:oil:wax": not a ratio of two; write '
            '"one:other", as in "butter:oil"'
        ),
    ),
    (
        "ratio-self",
        '@[ratios]\n"butter:Butter" = { min=3 }\n',
        (
            'brief.toml:4 ratios."butter:Butter": a ratio of butter to itself; name two '
            "different ones"
        ),
    ),
    (
        "ratio-unknown",
        '@[ratios]\n"butter:oils" = { min=3 }\n',
        (
            'brief.toml:4 ratios."butter:oils": "oils": no such kind, group or '
            "ingredient; nearest: oil"
        ),
    ),
    (
        "ratio-negative",
        '@[ratios]\n"butter:oil" = { min=-3 }\n',
        'brief.toml:4 ratios."butter:oil".min: -3 is below 0; write 0 or more',
    ),
    (
        "ratio-twice",
        '@[ratios]\n"butter:oil" = { min=3 }\n"Butter : oil" = 3\n',
        (
            'brief.toml:5 ratios."Butter : oil": the same as "butter:oil"; put both '
            "limits in one table"
        ),
    ),
    (
        "property-unknown",
        "@[properties]\nsolid_fat_21C = { min=3 }\n",
        "brief.toml:4 properties.solid_fat_21C: no such property; nearest: solid_fat_20C",
    ),
    (
        "cost-negative",
        "@[properties]\ncost = { max=-3 }\n",
        "brief.toml:4 properties.cost.max: -3 is below 0; write 0 or more",
    ),
    (
        "either-use",
        "@[[either]]\nof = ['beeswax', 'cocoa-butter']\nuse = 'only one'\n",
        (
            'brief.toml:5 either.use: no such choice: "only one"; write "exactly one" or '
            '"at most one"'
        ),
    ),
    (
        "weighing-unknown",
        "@[weighing]\nstap = 0.5\n",
        "brief.toml:4 weighing.stap: unknown key; write step",
    ),
    (
        "weighing-steps-number",
        "@[weighing]\nsteps = 0.5\n",
        "brief.toml:4 weighing.steps: a number where a table is needed; "
        'write [weighing.steps] and "lavender-oil" = 0.05',
    ),
    (
        "step",
        "@[weighing]\nstep = 0.3\n",
        ("brief.toml:4 weighing.step: 100 % is not a whole number of steps of 0.3; write 0.5 or 1"),
    ),
    (
        "step-finer-than-any-scale",
        "@[weighing]\nstep = 1e-9\n[weighing.steps]\nbeeswax = 5e-7\n",
        (
            "brief.toml:4 weighing.step: 0.000000001 is finer than 0.000001 % and no scale; "
            "write 0.5\n"
            "brief.toml:6 weighing.steps.beeswax: 0.0000005 is finer than 0.000001 % and no scale; "
            "write 0.5"
        ),
    ),
    (
        "step0",
        "@[weighing]\nstep = 0\nsmallest = -1\n",
        (
            "brief.toml:4 weighing.step: 0 is not above 0 and up to 100; write 0.5\n"
            "brief.toml:5 weighing.smallest: -1 is not above 0 and up to 100; write 0.5"
        ),
    ),
    (
        "max-ing",
        "@[weighing]\nmax_ingredients = 2.5\n",
        (
            "brief.toml:4 weighing.max_ingredients: 2.5 is not a whole number above 0; "
            "write for instance 7"
        ),
    ),
    (
        "max-ing-text",
        "@[weighing]\nmax_ingredients = 'seven'\n",
        (
            'brief.toml:4 weighing.max_ingredients: the text "seven" where a number is '
            "needed; write a number without quotes or signs"
        ),
    ),
]

WRITTEN: dict[str, str] = {
    "%2": "2, without quotes",
    "2%": "2, without quotes",
    "5 Prozent": "5, without quotes",
    "about 3": "3, without quotes",
    "ca. 2,5 %": "2.5, without quotes",
    "<= 4": "4, without quotes",
    "2 or 3": "a number without quotes or signs",
    "2-3": "a number without quotes or signs",
    "about 1,234": "a number without quotes or signs",
    "a little": "a number without quotes or signs",
    "3 to a pot, 5 g": "a number without quotes or signs",
    "20 g": "a number without quotes or signs",
    "minus 3": "a number without quotes or signs",
    "about -3": "a number without quotes or signs",
}
"""Texts where a percentage belongs, and what is offered: only a number that stands there."""


@pytest.mark.parametrize("written", WRITTEN)
def test_the_number_in_a_text_is_offered(tmp_path: Path, written: str) -> None:
    """No number is made up, since she might copy it."""
    brief = f'{COSTING}[totals]\npowder = {{ min = "{written}" }}\n'
    assert message_of(tmp_path, {"brief.toml": brief}) == (
        f'brief.toml:4 totals.powder.min: the text "{written}" where a number is needed; '
        f"write {WRITTEN[written]}"
    )


FRACTIONS: dict[str, list[str]] = {
    '[amounts]\n"cocoa-butter" = 0.35': [
        "brief.toml:4: cocoa-butter 0.35 is 0.35 %; write 35 if 35 % is meant"
    ],
    "[amounts]\nbeeswax = { min = 0.05, max = 0.1 }": [
        "brief.toml:4: beeswax min 0.05 is 0.05 %; write 5 if 5 % is meant",
        "brief.toml:4: beeswax max 0.1 is 0.1 %; write 10 if 10 % is meant",
    ],
    "[totals]\npowder = { max = 0.5 }": [
        "brief.toml:4: powder max 0.5 is 0.5 %; write 50 if 50 % is meant"
    ],
    '[groups]\nhard = ["beeswax", "cocoa-butter"]\n[totals]\nhard = { max = 0.125 }': [
        "brief.toml:6: hard max 0.125 is 0.125 %; write 12.5 if 12.5 % is meant"
    ],
    '[totals]\n"sweet-almond-oil" = { max = 0.5 }': [
        "brief.toml:4: sweet-almond-oil max 0.5 is 0.5 %; write 50 if 50 % is meant"
    ],
    "[amounts]\nbeeswax = { max = 0 }": [],
    "[amounts]\nbeeswax = { max = 1 }": [],
    '[amounts]\n"lavender-oil" = { max = 0.5 }': [],
    '[amounts]\n"corn-starch" = { max = 0.5 }': [],
    "[totals]\nfragrance = { max = 0.5 }": [],
    '[groups]\nscented = ["beeswax", "lavender-oil"]\n[totals]\nscented = { max = 0.5 }': [],
    '[ratios]\n"butter:oil" = { max = 0.5 }': [],
    "[properties]\nvitamin_e = { max = 0.5 }": [],
}
"""Bounds, and what is told of those that may be fractions."""


@pytest.mark.parametrize("limits", FRACTIONS)
def test_a_likely_fraction_is_told(tmp_path: Path, limits: str) -> None:
    """A third of a percent of cocoa butter is seldom meant; half a percent of a scent is."""
    read = request_of(tmp_path, {"brief.toml": f"{COSTING}{limits}\n"})
    assert list(read.remarks) == FRACTIONS[limits]


@pytest.mark.parametrize(
    ("text", "message"),
    [(text, message) for _, text, message in MISTAKES],
    ids=[name for name, _, _ in MISTAKES],
)
def test_limit_mistake_is_told(tmp_path: Path, text: str, message: str) -> None:
    """Every mistake in a brief is told with its line, key path and what to write."""
    assert message_of(tmp_path, {"brief.toml": text.replace("@", COSTING)}) == message
