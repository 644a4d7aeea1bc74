"""The folder that `start` makes: its brief works, and its notes do as they say."""

from __future__ import annotations

from pathlib import Path

from optimiser.answers.cheapest import cheapest
from optimiser.commands.start import run
from optimiser.reading import read_request


def lines_of_notes(folder: Path, first: str, count: int) -> str:
    """Some indented lines of the notes, the first of which begins as given."""
    lines = [line.strip() for line in (folder / "notes.md").read_text(encoding="utf-8").split("\n")]
    begin = next(i for i, line in enumerate(lines) if line.startswith(first))
    return "\n".join(lines[begin : begin + count]) + "\n"


def test_the_sheet_of_the_notes_lets_its_ingredient_in(tmp_path: Path) -> None:
    """The own sheet and the price row of the notes, typed as they stand, work with the brief."""
    run(tmp_path, False, [])
    sheet = lines_of_notes(tmp_path, "ingredient,kind", 2)
    (tmp_path / "my_ingredients.csv").write_text(sheet, encoding="utf-8")
    prices = tmp_path / "prices.csv"
    row = lines_of_notes(tmp_path, "Marula oil,my supplier", 1)
    prices.write_text(prices.read_text(encoding="utf-8") + row, encoding="utf-8")
    brief = tmp_path / "brief.toml"
    text = brief.read_text(encoding="utf-8")
    assert "[shelf]\n" in text
    brief.write_text(
        text.replace("[shelf]\n", '[shelf]\nsheets = ["my_ingredients.csv"]\n')
        + '\n[natural_variation]\ncautious = ["vitamin_e"]\n',
        encoding="utf-8",
    )
    answer = cheapest(read_request(brief))
    assert "marula-oil" in answer.formulation.model.columns
    assert not answer.left_out
    assert answer.certificate.proven
