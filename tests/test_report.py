"""Answers as pages: self-contained, inert, described, and the same each time."""

from __future__ import annotations

import re
import sys
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace
from xml.etree import ElementTree

import pytest
from formulation_support import ANSWERED, IMPOSSIBLE, INGREDIENTS, ROOT, Command, small_request
from report_support import CASES, EXAMPLE, SVG, Read, check

from optimiser.answers.cheapest import cheapest
from optimiser.present.formula_page import cheapest_page
from optimiser.present.page_html import page_html
from optimiser.present.pictures.change_bars import (
    ShareChange,
    TraitChange,
    share_changes,
    trait_changes,
)
from optimiser.present.pictures.cost_strip import Strip, cost_strip
from optimiser.present.pictures.formula_bars import Bar, Group, formula_bars
from optimiser.present.pictures.gauges import Gauge, Standing, gauges
from optimiser.present.pictures.scales import mark_said, round_marks
from optimiser.present.pictures.solid_fat_curve import Solid, solid_fat_curve
from optimiser.present.pictures.sweep_curve import Curve, Point, Swept, sweep_curve

RENDERED = ROOT / "examples/reports/whipped_hand_butter.html"

HOSTILE = (
    "</text></svg><script>alert(1)</script> $x^2$ \"'& \u05e9\u05de\u05df \U0001f9f4 {{ 7 * 7 }}"
)


def page_of(path: Path) -> str:
    from optimiser.reading import read_request

    return page_html(cheapest_page(cheapest(read_request(path))))


def words_only(text: str) -> str:
    """A page without the lines of its drawings, which differ between versions of Matplotlib."""
    kept = re.sub(
        r"<(?:path|g|/g|defs|/defs|use|clipPath|/clipPath|rect|pattern)\b[^>]*>", "", text
    )
    kept = re.sub(r'(<text) style="[^"]*" x="[^"]*" y="[^"]*"', r"\1", kept)
    return re.sub(r"\s+", " ", kept)


@pytest.mark.parametrize("path", [*ANSWERED, *IMPOSSIBLE], ids=lambda path: path.stem)
def test_a_page_of_every_example(path: Path) -> None:
    """Self-contained, well-formed, described; with pictures where there is a formula."""
    read = check(page_of(path))
    assert bool(read.pictures) == (path in ANSWERED)


@pytest.mark.parametrize("case", CASES)
def test_a_page_says_what_the_terminal_says(case: str, optimiser: Command, tmp_path: Path) -> None:
    """Every word of the terminal answer stands in the page, with pictures; twice the same."""
    words, pictures = CASES[case]
    path, again = tmp_path / "a.html", tmp_path / "b.html"
    code, printed, err = optimiser(*words, "--out", path)
    assert code in (0, 1), err
    read = check(path.read_text("utf-8"))
    assert len(read.pictures) == pictures
    said = set(re.findall(r"[\w.]+", " ".join(read.words)))
    assert set(re.findall(r"[\w.]+", printed)) - said == set()
    assert optimiser(*words, "--out", again)[0] == code
    assert path.read_bytes() == again.read_bytes()


def test_the_rendered_example_is_fresh(
    optimiser: Command, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The page in the examples is what the command writes."""
    monkeypatch.chdir(ROOT)
    path = tmp_path / "a.html"
    assert optimiser("formulate", EXAMPLE.relative_to(ROOT), "--out", path)[0] == 0
    assert words_only(path.read_text("utf-8")) == words_only(RENDERED.read_text("utf-8"))


def test_hostile_names_are_inert_and_whole() -> None:
    """Markup, templates, formulas, quotes and other scripts come out as the signs they are."""
    book = tuple(replace(i, common_name=f"{i.id} {HOSTILE}") for i in INGREDIENTS)
    asked = small_request(
        ("amounts.hard-butter.min", "20"),
        ("totals.<b>&group.max", "50"),
        groups={"<b>&group": ("soft-butter", "light-oil")},
        ingredients=book,
        name=f"Balm {HOSTILE}",
        currency="<i>",
    )
    text = page_html(cheapest_page(cheapest(asked)))
    read = check(text)
    words = " ".join(read.words)
    assert f"Balm {HOSTILE}" in words
    assert f"hard-butter {HOSTILE}" in words
    assert f"hard-butter {HOSTILE}" in read.pictures[0]["desc"]
    assert any("hard-butter </text>" in picture["words"] for picture in read.pictures)
    assert "49" not in words.replace("7 * 7", "")
    assert "<b>" not in text
    assert "<i>" not in text


POINTS = [Point(0, HOSTILE, 1, "1"), Point(4, "4", 2, "2"), Point(9, "9", 3, "3")]

PICTURES: dict[str, Callable[[], tuple[str, str]]] = {
    "formula_bars": lambda: formula_bars("a", "1", [Group(HOSTILE, "1", [Bar(HOSTILE, 1, "1")])]),
    "gauges": lambda: gauges(
        "a", "1", [Gauge(HOSTILE, HOSTILE, 1, 2, 0, 3, HOSTILE, "3", Standing.MISSED, HOSTILE)]
    ),
    "sweep_curve": lambda: sweep_curve(
        "a",
        "1",
        Swept(HOSTILE, HOSTILE, -1, 9, 2, HOSTILE, Curve(HOSTILE, POINTS), Curve(HOSTILE, POINTS)),
    ),
    "cost_strip": lambda: cost_strip(
        "a", "1", HOSTILE, [Strip(HOSTILE, 1, 2, 3, 3, 4, 5, ("2", "3", "4"))]
    ),
    "share_changes": lambda: share_changes(
        "a", "1", [ShareChange(HOSTILE, 0, 2, "none", HOSTILE), ShareChange("b", 1, 0, "1", "-")]
    ),
    "trait_changes": lambda: trait_changes("a", "1", [TraitChange(HOSTILE, HOSTILE, 99, "+99")]),
    "solid_fat_curve": lambda: solid_fat_curve(
        "a", "1", [Solid(10, 1, 2, 3, HOSTILE), Solid(40, 0, 0, 0, "0", 0, 1)]
    ),
}


@pytest.mark.parametrize(
    ("low", "high"), [(13.21, 13.21), (0.0, 0.0), (5.0, 5.0000001), (3.0, 8.0)]
)
def test_marks_of_a_scale_are_short_and_cover_it(low: float, high: float) -> None:
    """Also where everything costs the same, marks are round and apart."""
    marks = round_marks(low, high)
    assert marks[0] <= low <= high <= marks[-1]
    assert marks[0] < marks[-1]
    assert all(len(mark_said(mark)) <= 5 for mark in marks)


@pytest.mark.parametrize("name", PICTURES)
def test_a_picture_is_inert_whatever_it_is_told(name: str) -> None:
    """Words from outside stay words in the drawing, and stand whole in its description."""
    svg, description = PICTURES[name]()
    root = ElementTree.fromstring(svg)
    kinds = {element.tag.removeprefix(f"{{{SVG}}}") for element in root.iter()}
    allowed = {"svg", "title", "desc", "g", "path", "text", "defs", "pattern", "rect", "use"}
    assert kinds <= allowed
    assert HOSTILE in (root.findtext(f"{{{SVG}}}desc") or "")
    assert HOSTILE in description
    assert not re.findall(r"#[0-9a-f]{6}", svg), "every colour is the page's own"
    assert "font-family" not in svg


def test_signs_that_turn_text_or_ring_are_dropped() -> None:
    """What would flip the words after a name, and control signs, do not reach the page."""
    asked = small_request(
        ("amounts.hard-butter.min", "20"), name="A\u202eB\u0007\x1b[31mC\u2066 \ud800D"
    )
    text = page_html(cheapest_page(cheapest(asked)))
    assert "<h1>AB[31mC D</h1>" in text


@pytest.mark.parametrize("missing", ["jinja2", "matplotlib"])
def test_what_is_missing_is_said_before_anything_is_computed(
    missing: str, optimiser: Command, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """One message that says what to install, status 2, and nothing read."""
    monkeypatch.setitem(sys.modules, missing, None)
    files = [tmp_path / "a.html", tmp_path / "b.html"]
    code, printed, err = optimiser(
        "formulate", tmp_path / "no-such-brief.toml", "--out", files[0], "--out", files[1]
    )
    assert (code, printed) == (2, "")
    assert len(err.splitlines()) == 1
    assert "pip install 'optimiser[report]'" in err


def test_other_forms_do_not_need_them(
    optimiser: Command, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Without the extra every other form is written."""
    for name in ("jinja2", "matplotlib"):
        monkeypatch.setitem(sys.modules, name, None)
    assert optimiser("formulate", EXAMPLE, "--out", tmp_path / "a.md")[0] == 0


class Formatter:
    """What a notebook shows a kind of value with."""

    def __init__(self) -> None:
        self.known: dict[type, Callable[[object], str | None]] = {}

    def for_type(self, kind: type, show: Callable[[object], str | None]) -> None:
        self.known[kind] = show


def test_an_answer_shows_itself_in_a_notebook(monkeypatch: pytest.MonkeyPatch) -> None:
    """The page in a frame of its own, and the plain record where the extra is missing."""
    import optimiser

    formatter = Formatter()
    display = SimpleNamespace(formatters={"text/html": formatter})
    shell = SimpleNamespace(display_formatter=display)
    notebook = SimpleNamespace(get_ipython=lambda: shell)
    monkeypatch.setitem(sys.modules, "IPython", notebook)
    answer = optimiser.formulate(EXAMPLE)
    shown = formatter.known[type(answer)](answer)
    assert shown is not None
    frame = Read(shown).elements[0][1]
    assert frame["title"] == "Quillfern whipped hand butter"
    assert check(frame["srcdoc"] or "").pictures
    moved = optimiser.reprice(EXAMPLE, price=["cocoa-butter=+25%"])
    assert "what prices do" in (formatter.known[type(moved)](moved) or "")
    monkeypatch.setitem(sys.modules, "matplotlib", None)
    assert formatter.known[type(answer)](answer) is None
