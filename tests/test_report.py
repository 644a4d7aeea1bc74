"""Answers as pages: self-contained, inert, described, and the same each time."""

from __future__ import annotations

import re
import sys
from dataclasses import replace
from html.parser import HTMLParser
from pathlib import Path

import pytest
from formulation_support import ANSWERED, IMPOSSIBLE, INGREDIENTS, ROOT, Command, small_request

from optimiser.answers.cheapest import cheapest
from optimiser.present.formula_page import cheapest_page
from optimiser.present.page_html import page_html

EXAMPLE = ROOT / "examples/quillfern/whipped_hand_butter.toml"
RENDERED = ROOT / "examples/reports/whipped_hand_butter.html"

SVG = "http://www.w3.org/2000/svg"

NEVER_CLOSED = {"meta", "br", "hr", "img", "link", "input"}

HOSTILE = (
    "</text></svg><script>alert(1)</script> $x^2$ \"'& \u05e9\u05de\u05df \U0001f9f4 {{ 7 * 7 }}"
)


class Read(HTMLParser):
    """What a page is made of: elements, words, ids and headings."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.open: list[str] = []
        self.elements: list[tuple[str, dict[str, str | None]]] = []
        self.headings: list[int] = []
        self.words: list[str] = []
        self.pictures: list[dict[str, str]] = []
        self.feed(text)
        self.close()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.elements.append((tag, dict(attrs)))
        if tag not in NEVER_CLOSED:
            self.open.append(tag)
        if re.fullmatch("h[1-6]", tag):
            self.headings.append(int(tag[1]))
        if tag == "svg":
            self.pictures.append({"title": "", "desc": "", "words": ""})

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.elements.append((tag, dict(attrs)))

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag, f"{tag} is not what was opened last"

    def handle_data(self, data: str) -> None:
        self.words.append(data)
        if "svg" in self.open:
            inside = self.open[-1] if self.open[-1] in ("title", "desc") else "words"
            self.pictures[-1][inside] += data


def page_of(path: Path) -> str:
    from optimiser.reading import read_request

    return page_html(cheapest_page(cheapest(read_request(path))))


def check(text: str) -> Read:
    """What holds for every page; the page as it was read."""
    read = Read(text)
    assert read.open == [], "every element is closed"
    addresses = re.findall(r"[a-z]+://[^\s\"'<>)]+", text)
    assert set(addresses) <= {SVG}
    names = {name for name, _ in read.elements}
    assert not names & {"script", "link", "img", "iframe", "object", "embed", "base", "form"}
    for name, attributes in read.elements:
        assert not any(key.startswith("on") for key in attributes), name
        assert attributes.get("href", "#").startswith("#")
        assert attributes.get("src") is None
    assert "@import" not in text
    assert re.findall(r"url\((?!#)", text) == []
    ids = [a["id"] for _, a in read.elements if "id" in a]
    assert len(ids) == len(set(ids))
    assert set(re.findall(r"url\(#([^)]+)\)", text)) <= set(ids)
    assert read.headings[0] == 1
    assert read.headings.count(1) == 1
    steps = zip(read.headings, read.headings[1:], strict=False)
    assert all(later <= earlier + 1 for earlier, later in steps)
    for name, attributes in read.elements:
        if name == "svg":
            assert attributes["role"] == "img"
            assert set((attributes["aria-labelledby"] or "").split()) <= set(ids)
    for picture in read.pictures:
        assert picture["title"].strip()
        assert re.search(r"\d", picture["desc"]), "a description says the numbers"
    return read


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


def test_a_page_says_what_the_terminal_says(optimiser: Command, tmp_path: Path) -> None:
    """Every word of the terminal answer stands in the page."""
    path = tmp_path / "a.html"
    _, printed, _ = optimiser("formulate", EXAMPLE, "--out", path)
    said = set(re.findall(r"[\w.]+", " ".join(Read(path.read_text("utf-8")).words)))
    assert set(re.findall(r"[\w.]+", printed)) - said == set()


def test_the_same_page_each_time(optimiser: Command, tmp_path: Path) -> None:
    """Two runs write the same bytes."""
    one, other = tmp_path / "one.html", tmp_path / "other.html"
    assert optimiser("formulate", EXAMPLE, "--out", one, "--out", other)[0] == 0
    first = one.read_bytes()
    assert optimiser("formulate", EXAMPLE, "--out", one)[0] == 0
    assert one.read_bytes() == other.read_bytes() == first


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
