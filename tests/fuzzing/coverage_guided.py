"""Feed the readers with inputs that a coverage-guided fuzzer makes up, for as long as you like.

    pip install atheris
    python tests/fuzzing/coverage_guided.py recipe.txt -max_total_time=300 -timeout=10

The first argument is a file name of `hostile_support.READERS`; for a workbook the bytes are
its first sheet, as XML, within an otherwise sound file. The others are those of libFuzzer; a
folder among them keeps the inputs that reached something new. A fault, or an input that takes
more than -timeout seconds, ends the run and leaves the input in a file `crash-...`.
"""

from __future__ import annotations

import io
import sys
import tempfile
import zipfile
from pathlib import Path

import atheris

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

with atheris.instrument_imports(include=["optimiser", "tomllib"]):
    import openpyxl  # noqa: F401
    from hostile_support import PRICES, checked
    from openpyxl import Workbook

    import optimiser.reading

EXAMPLES = Path(__file__).resolve().parents[2] / "examples" / "quillfern"
SHEET = "xl/worksheets/sheet1.xml"

SEEDS = {
    "brief.toml": sorted(EXAMPLES.glob("*.toml")),
    "prices.csv": [EXAMPLES / "prices.csv"],
    "own.csv": [EXAMPLES / "our_bench.csv", EXAMPLES / "infusions.csv"],
    "certificates.csv": [EXAMPLES / "scent_certificates.csv"],
    "scenarios.csv": [EXAMPLES / "harvest_scenarios.csv"],
    "recipe.csv": [EXAMPLES / "old_hand_butter.csv"],
    "recipe.txt": [EXAMPLES / "old_hand_butter.csv"],
}
"""What each run starts from."""

SMALL = {
    "brief.toml": b'[costing]\nprices = "prices.csv"\n[amounts]\nbeeswax = { min = 2, max = 6 }\n'
    b'[batch]\nsize = "2 kg"\n[jar]\nnet = "120 g"\npackaging = ["jar"]\n',
    "prices.csv": PRICES.encode() + b'jar,"1,000 jars",12\n',
    "own.csv": b"ingredient,kind,vitamin_e,drop point (C),inci_name,ci_number\n"
    b"Marula oil,oil,12.5,3,Tocopherol 70; Squalane 30,CI 77891\n",
    "certificates.csv": b"ingredient,constituent,percent,category,at_most\n"
    b"lavender-oil,Linalool,30,5A,2\n",
    "scenarios.csv": b"scenario,cocoa-butter,beeswax\nas it is,18.56,8.86\n",
    "recipe.csv": b"ingredient,percent,grams\nbeeswax,40,4\nmango-butter,60,6\n",
    "recipe.txt": b"beeswax 40 %\nMango kernel butter: 60 %\ntotal 100\n",
}


def workbook_parts() -> dict[str, bytes]:
    """The parts of a small workbook."""
    book = Workbook()
    book.active.append(["ingredient", "pack", "price", "vitamin_e", "percent", "constituent"])
    book.active.append(["beeswax", "1 kg", 9.5, 0.5, 40, "Citral"])
    book.active.append(["mango-butter", "1 kg", "9,50", "1 %", 60, "Linalool"])
    stream = io.BytesIO()
    book.save(stream)
    with zipfile.ZipFile(stream) as packed:
        return {part: packed.read(part) for part in packed.namelist()}


def packed(parts: dict[str, bytes]) -> bytes:
    """A workbook of these parts."""
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w") as book:
        for part, data in parts.items():
            book.writestr(part, data)
    return stream.getvalue()


def main() -> None:
    """Run until the time is over or a fault is found."""
    name, rest = sys.argv[1], sys.argv[2:]
    parts = workbook_parts()
    seeds = [path.read_bytes() for path in SEEDS.get(name, ())] + [SMALL.get(name, parts[SHEET])]
    with tempfile.TemporaryDirectory() as folder, tempfile.TemporaryDirectory() as start:
        for number, seed in enumerate(seeds):
            (Path(start) / f"seed-{number}").write_bytes(seed)
        optimiser.reading.read_book()

        def one_input(data: bytes) -> None:
            whole = packed({**parts, SHEET: data}) if name.endswith(".xlsx") else data
            checked(Path(folder), name, whole)

        corpus = [one for one in rest if not one.startswith("-")]
        options = [one for one in rest if one.startswith("-")]
        atheris.Setup([sys.argv[0], *options, *corpus, start], one_input)
        atheris.Fuzz()


if __name__ == "__main__":
    main()
