"""The tables `batch` and `jar` of a brief: what they mean, and every mistake in them."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction
from pathlib import Path

import pytest
from reading_support import COSTING, message_of, request_of

from optimiser.production import BatchPlan, JarPlan

BATCH = """\
[batch]
size = "2 kg"
scale = "0.1 g"
loss = 3
hours = 2.5
hourly_rate = 15.00
overhead = 6.00
version = "3"
shelf_months = 12
"""

JAR = """\
[jar]
volume = "120 ml"
filled = 95
overrun = 40
spread = "0.8 g"
packaging = ["jar 120 ml", "lid", "label"]
price = 9.50
margin = 60
"""


def plans(folder: Path, text: str) -> tuple[BatchPlan, JarPlan]:
    brief = request_of(folder, {"brief.toml": COSTING + text}).brief
    return brief.batch, brief.jar


def wrong(folder: Path, text: str) -> str:
    # A key without a table has to stand first.
    whole = COSTING + text if text.startswith("[") else text + COSTING
    return message_of(folder, {"brief.toml": whole})


class TestMeaning:
    def test_a_batch(self, tmp_path: Path) -> None:
        """Weights in grams, money and hours as typed."""
        batch, _ = plans(tmp_path, BATCH)
        assert (batch.size_g, batch.division_g, batch.loss) == (2000, Fraction(1, 10), 3)
        assert (batch.hours, batch.hourly_rate, batch.overhead) == (Decimal("2.5"), 15, 6)
        assert (batch.version, batch.shelf_months) == ("3", 12)
        assert str(batch.origins["size"]) == "brief.toml:4 batch.size"

    def test_a_jar(self, tmp_path: Path) -> None:
        """One piece of each item of a list."""
        _, jar = plans(tmp_path, JAR)
        assert (jar.net_g, jar.volume_ml, jar.filled, jar.overrun) == (None, 120, 95, 40)
        assert jar.spread_g == Fraction(4, 5)
        assert jar.packaging == {"jar 120 ml": 1, "lid": 1, "label": 1}
        assert (jar.price, jar.margin) == (Decimal("9.50"), 60)

    def test_packaging_as_counts(self, tmp_path: Path) -> None:
        """A table says how many of each."""
        _, jar = plans(tmp_path, '[jar]\nnet = "4 oz"\n[jar.packaging]\nlabel = 2\n"jar" = 1\n')
        assert jar.packaging == {"label": 2, "jar": 1}
        assert jar.net_g == 4 * Fraction("28.349523125")

    def test_a_brief_without_them(self, tmp_path: Path) -> None:
        """Nothing is assumed while reading."""
        assert plans(tmp_path, "") == (BatchPlan(), JarPlan())


MISTAKES = [
    ("[batch]\nsize = 2\n", "batch.size: a number where text in quotes is needed; write \"2 kg\""),
    ('[batch]\nsize = "2"\n', 'batch.size: "2" has no unit; write 2 kg or 2 g'),
    ('[batch]\nsize = "0 g"\n', 'batch.size: "0 g" is not above 0; write it like 2 kg'),
    ('[batch]\nsize = "2 l"\n', 'batch.size: "2 l" is a volume; write a weight like 2 kg'),
    ('[batch]\nsize = "2000 kg"\n', 'batch.size: "2000 kg" is more than a tonne; check the unit'),
    ("[batch]\nloss = 100\n",
     "batch.loss: 100 is not from 0 to below 100 percent; write for instance 3"),
    ("[batch]\nloss = -1\n",
     "batch.loss: -1 is not from 0 to below 100 percent; write for instance 3"),
    ("[batch]\noverhead = -6\n",
     "batch.overhead: -6 is not 0 or more; write for instance 6.00"),
    ("[batch]\nhours = 2\n",
     "batch.hours: hourly_rate is missing beside it; labour is hours times it"),
    ("[batch]\nhourly_rate = 15\n",
     "batch.hourly_rate: hours is missing beside it; labour is hours times it"),
    ("[batch]\nshelf_months = 1.5\n",
     "batch.shelf_months: 1.5 is not a whole number of months from 1 to 120; write for instance "
     "12"),
    ('[batch]\nscales = "1 g"\n', "batch.scales: unknown key; write scale"),
    ('batch = "2 kg"\n', 'batch: the text "2 kg" where a table is needed; write [batch] and size = '
     '"2 kg"'),
    ('[jar]\nnet = "120 ml"\n', 'jar.net: "120 ml" is a volume; write a weight like 120 g'),
    ('[jar]\nvolume = "120 g"\n',
     'jar.volume: a weight; write volume = "120 ml", or net = "120 g"'),
    ('[jar]\nnet = "120 g"\nvolume = "120 ml"\n',
     "jar.volume: net stands there too; keep net in g, or volume in ml"),
    ('[jar]\nvolume = "120 ml"\nfilled = 0\n',
     "jar.filled: 0 is not above 0 to 100 percent; write for instance 95"),
    ("[jar]\noverrun = -5\n",
     "jar.overrun: -5 is not from 0 to 400 percent; write for instance 40"),
    ("[jar]\nprice = 0\n", "jar.price: 0 is not above 0; write for instance 9.50"),
    ("[jar]\nmargin = 100\n",
     "jar.margin: 100 is not from 0 to below 100 percent; write for instance 60"),
    ('[jar]\nspread = "0,8"\n', 'jar.spread: "0,8" has no unit; write 0,8 kg or 0,8 g'),
    ("[jar]\npackaging = 3\n",
     'jar.packaging: a number where a list of texts is needed; write ["jar 120 ml", "lid", '
     '"label"], or [jar.packaging] and label = 2'),
    ('[jar]\npackaging = ["lid", "Lid"]\n',
     "jar.packaging: Lid stands twice; write [jar.packaging] and its count"),
    ("[jar.packaging]\nlid = 1.5\n",
     "jar.packaging.lid: 1.5 is not a whole number from 1 to 1000; write for instance 2"),
]  # fmt: skip


@pytest.mark.parametrize(("text", "said"), MISTAKES, ids=lambda text: text.split(":")[0][:30])
def test_a_mistake_says_where_and_what_to_write(tmp_path: Path, text: str, said: str) -> None:
    """One message with file, line, key path and what to write instead."""
    told = wrong(tmp_path, text)
    assert "\n" not in told
    place, _, rest = told.partition(" ")
    assert place.startswith("brief.toml:")
    assert rest == said


def test_every_mistake_is_told(tmp_path: Path) -> None:
    """Two tables, three mistakes, three messages in the order of the file."""
    told = wrong(tmp_path, '[batch]\nsize = "2"\nloss = 200\n[jar]\nprice = 0\n')
    keys = [line.split()[1] for line in told.splitlines()]
    assert keys == ["batch.size:", "batch.loss:", "jar.price:"]
