"""Dates of quotes."""

from __future__ import annotations

from pathlib import Path

import pytest
from reading_support import request_of

from optimiser.reading.dates import is_date, is_day


@pytest.mark.parametrize(
    "text",
    ["2026-11-02", "2026/11/02", "02/11/2026", "11/30/2026", "2.11.26", "2 Nov 2026"]
    + ["2nd November 2026", "Nov 2, 2026", "November 2026", "2026-11", "11/2026", "29/02/2028"]
    + ["2026-11-02T09:30:00Z", "02-Nov-26"],
)
def test_a_date_in_any_common_way_is_one(text: str) -> None:
    """Days and months are known in numbers and in words, either way round."""
    assert is_date(text)


@pytest.mark.parametrize(
    "text", ["31/02/2026", "29/02/2026", "2026-13-01", "last week", "45000", "2026", "31 Apr 2026"]
)
def test_no_date_is_none(text: str) -> None:
    """Days that there are not, and words, are no dates."""
    assert not is_date(text)


@pytest.mark.parametrize(
    "text",
    ["05/01/2026", "2026-01-05", "5-1", "13/1", "1/13", "05-Jan", "Jan-05", "1. Mai", "5 März"]
    + ["1er mai", "5 de enero", "1 maart", "3 Sept", "29/2", "5 mayo", "luglio 5"],
)
def test_a_day_without_a_year_is_a_day(text: str) -> None:
    """What a spreadsheet makes of a pack such as `5-1`, in the six languages of totals."""
    assert is_day(text)


@pytest.mark.parametrize(
    "text", ["5 kg", "1 l", "32/1", "30/2", "1 set", "2 x 500 g", "5", "1.5", "5 oz", "12 jars"]
)
def test_a_pack_is_no_day(text: str) -> None:
    """Weights, volumes and pieces are not."""
    assert not is_day(text)


@pytest.mark.parametrize(
    ("dates", "remarks"),
    [
        (["2026-11-02", "", "2 Nov 2026"], []),
        (
            ["2026-11-02", "31/02/2026", ""],
            ['quoted_on in row 3, "31/02/2026", is no date; write it like 2026-11-02'],
        ),
        (
            ["soon", "later", "2026-11-02"],
            ['quoted_on in row 2, "soon", is no date, nor in 1 more row; write it like 2026-11-02'],
        ),
        (
            ["soon", "later", "then"],
            [
                'quoted_on in row 2, "soon", is no date, nor in 2 more rows; '
                "write it like 2026-11-02"
            ],
        ),
    ],
)
def test_no_date_is_kept_and_told_once(
    tmp_path: Path, dates: list[str], remarks: list[str]
) -> None:
    """No answer rests on the date of a quote, so that a wrong one is remarked and kept."""
    rows = "".join(f"beeswax,{kg} kg,3,{one}\n" for kg, one in enumerate(dates, start=1))
    content = "ingredient,pack,price,quoted_on\n" + rows
    request = request_of(tmp_path, {"prices.csv": content})
    assert [offer.quoted_on for offer in request.offers] == dates
    assert list(request.remarks) == [f"prices.csv: {remark}" for remark in remarks]
