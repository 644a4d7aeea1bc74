"""What a price list may mean otherwise than it says: what is told, and what is used."""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path

import pytest
from reading_support import message_of, request_of

from optimiser.price import cheapest_offers
from optimiser.reading import packaging, repeated_rows

HEAD = "ingredient,pack,price\n"


def remarks_of(folder: Path, prices: str) -> tuple[str, ...]:
    """What is told of a price list."""
    return request_of(folder, {"prices.csv": prices}).remarks


class TestPackagingNamedLikeAnIngredient:
    """A misspelt ingredient whose pack is a number of jars must not vanish silently."""

    def test_is_told_with_the_ingredient(self, tmp_path: Path) -> None:
        """The row, the name and what to write."""
        rows = "beeswax,1 kg,9\nshea butter refnd,5 jars,45.00\n"
        assert remarks_of(tmp_path, HEAD + rows) == (
            'prices.csv:3: "shea butter refnd" in 5 jars is taken as packaging; for '
            "shea-butter-refined or shea-butter-unrefined write a weight",
        )

    def test_a_part_of_the_name_is_enough(self, tmp_path: Path) -> None:
        """`cocoa` is an ingredient's name cut short."""
        (told,) = remarks_of(tmp_path, HEAD + "beeswax,1 kg,9\ncocoa,5 jars,45.00\n")
        assert told.endswith("is taken as packaging; for cocoa-butter write a weight")

    @pytest.mark.parametrize(
        "item",
        ["jar 120 ml", "lid", "Amber jar, 60 ml", "label", "shea butter label", "bag"]
        + ["Butyrospermum Parkii Butter tin", "Prunus Amygdalus Dulcis lid"],
    )
    def test_ordinary_packaging_is_not(self, tmp_path: Path, item: str) -> None:
        """What is called like no ingredient is packaging."""
        rows = f'beeswax,1 kg,9\n"{item}",24 pieces,12\n'
        assert remarks_of(tmp_path, HEAD + rows) == ()

    def test_very_many_names_are_compared_in_bounded_time(
        self, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        """A list of packaging alone can have 20,000 rows."""
        compared = []
        monkeypatch.setattr(packaging, "nearest", lambda *given: compared.append(given) or [])
        rows = "".join(f"lot {number},5 jars,3\n" for number in range(5_000))
        remarks_of(tmp_path, f"{HEAD}beeswax,1 kg,9\n{rows}")
        assert len(compared) == packaging.MOST_COMPARED


class TestRowsThatStateTheSamePack:
    """The same thing, supplier and pack twice: which row is used is told."""

    def test_two_prices(self, tmp_path: Path) -> None:
        """Both, and the cheaper one; the same weight counts, however it is written."""
        asked = request_of(
            tmp_path,
            {
                "prices.csv": "ingredient,supplier,pack,price,delivery\nbeeswax,Hollin,5 kg,48,2\n"
                "beeswax,hollin,5000 g,45.50,3\n"
            },
        )
        assert asked.remarks == (
            'prices.csv:2: beeswax from "Hollin", 5 kg, stands in prices.csv:3 too, for 50 and '
            "48.5; the cheapest, prices.csv:3, is used",
        )
        assert cheapest_offers(asked.offers)["beeswax"].price == Decimal("45.50")

    def test_one_price(self, tmp_path: Path) -> None:
        """A row copied by accident."""
        rows = "beeswax,5 kg,48\nbeeswax,5 kg,48.00\nbeeswax,5 kg,48\n"
        assert remarks_of(tmp_path, HEAD + rows) == (
            "prices.csv:2: beeswax, 5 kg, stands in prices.csv:3 and prices.csv:4 too, at the same "
            "price; the first, prices.csv:2, is used",
        )

    def test_packaging_too(self, tmp_path: Path) -> None:
        """Pieces are counted, not weighed."""
        rows = "beeswax,1 kg,9\nlid,24 pieces,3\nlid,24 lids,2\n"
        (told,) = remarks_of(tmp_path, HEAD + rows)
        assert told.startswith("prices.csv:3: lid, 24 pieces, stands in prices.csv:4 too, for 3")

    @pytest.mark.parametrize(
        "rows",
        [
            "beeswax,Hollin,5 kg,48\nbeeswax,Wray,5 kg,48\n",
            "beeswax,Hollin,5 kg,48\nbeeswax,Hollin,1 kg,12\n",
            "beeswax,Hollin,5 kg,48\ncocoa-butter,Hollin,5 kg,48\n",
        ],
    )
    def test_another_supplier_pack_or_thing_is_no_repetition(
        self, tmp_path: Path, rows: str
    ) -> None:
        """An ingredient may have several rows."""
        assert remarks_of(tmp_path, "ingredient,supplier,pack,price\n" + rows) == ()

    def test_of_very_many_some_are_told(self, tmp_path: Path) -> None:
        """A list pasted twice tells a screenful."""
        rows = "".join(f"lid {number},24 pieces,3\n" for number in range(100))
        told = remarks_of(tmp_path, f"{HEAD}beeswax,1 kg,9\n{rows}{rows}")
        assert len(told) == repeated_rows.MOST_TOLD + 1
        assert told[-1] == (
            "prices.csv: 80 more packs stand in several rows; the cheapest row is used"
        )


COLUMNS = {
    "postage": ("3.50", 'no column "delivery", so delivery is counted as 0; '),
    "Versand": ("€3", 'no column "delivery", so delivery is counted as 0; '),
    "least order": (
        "25",
        'no column "minimum_order", so no supplier\'s least order is counted; ',
    ),
    "free above": (
        "80",
        'no column "free_delivery_from", so no delivery is counted as free; ',
    ),
    "on hand": ("2 kg", 'no column "in_stock", so nothing is counted as in stock; '),
    "money": ("GBP", 'no column "currency", so the currency is taken from the brief; '),
    "vendor": ("Hollin & Wray", 'no column "supplier", so no row has a supplier; '),
    "notes": ("3", ""),
    "colour": ("pale", ""),
}


@pytest.mark.parametrize("heading", COLUMNS)
def test_a_column_that_is_not_used_tells_what_is_counted_instead(
    tmp_path: Path, heading: str
) -> None:
    """A cost without its delivery would be told as proven, and be too low."""
    cell, instead = COLUMNS[heading]
    told = remarks_of(tmp_path, f"ingredient,pack,price,{heading}\nbeeswax,1 kg,9,{cell}\n")
    assert f'prices.csv: {instead}the column "{heading}" is not used' in told


def test_nothing_is_counted_instead_where_the_known_column_stands_too(tmp_path: Path) -> None:
    """Then the other column is a note."""
    content = "ingredient,pack,price,delivery,postage\nbeeswax,1 kg,9,3,4\n"
    assert remarks_of(tmp_path, content) == ('prices.csv: the column "postage" is not used',)
    assert message_of(tmp_path, {"prices.csv": content}) == ""
