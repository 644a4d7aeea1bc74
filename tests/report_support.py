"""Reading pages back, and the commands whose pages are looked at."""

from __future__ import annotations

import re
from html.parser import HTMLParser
from pathlib import Path

from formulation_support import ROOT

SVG = "http://www.w3.org/2000/svg"

NEVER_CLOSED = {"meta", "br", "hr", "img", "link", "input", "col"}


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


def in_quillfern(name: str) -> Path:
    return ROOT / "examples/quillfern" / name


EXAMPLE = in_quillfern("whipped_hand_butter.toml")
BALM = in_quillfern("gardeners_balm.toml")

CASES: dict[str, tuple[tuple[object, ...], int]] = {
    "formulate": (("formulate", EXAMPLE), 4),
    "formulate weighable": (("formulate", in_quillfern("market_tin_balm.toml")), 4),
    "formulate impossible": (("formulate", in_quillfern("summer_parcel_butter.toml")), 0),
    "assess": (("assess", EXAMPLE, in_quillfern("old_hand_butter.csv")), 5),
    "assess impossible": (
        (
            "assess",
            in_quillfern("summer_parcel_butter.toml"),
            in_quillfern("old_hand_butter.csv"),
        ),
        4,
    ),
    "substitute": (("substitute", EXAMPLE, "--gone", "shea-butter-refined"), 6),
    "substitute impossible": (
        ("substitute", BALM, "--gone", "beeswax", "--only", "corn-starch"),
        0,
    ),
    "reprice price": (("reprice", EXAMPLE, "--price", "cocoa-butter=+25%"), 1),
    "reprice nothing": (("reprice", EXAMPLE, "--price", "beeswax=+1%"), 0),
    "reprice sweep": (("reprice", EXAMPLE, "--sweep", "cocoa-butter"), 1),
    "reprice flat": (("reprice", EXAMPLE, "--sweep", "beeswax"), 1),
    "reprice limit": (("reprice", EXAMPLE, "--sweep-limit", "totals.powder.max"), 1),
    "reprice scenarios": (
        ("reprice", BALM, "--spread", "20%", "--draws", "200", "--at-most", "2"),
        1,
    ),
    "reprice table": (
        ("reprice", EXAMPLE, "--scenarios", in_quillfern("harvest_scenarios.csv")),
        1,
    ),
    "formulate room": (
        (
            *("formulate", EXAMPLE, "--within", "2%"),
            *("--from", in_quillfern("old_hand_butter.csv"), "--points", "150"),
        ),
        4,
    ),
    "tradeoff": (("tradeoff", EXAMPLE, "cost", "vitamin_e"), 1),
    "tradeoff of two means": (("tradeoff", EXAMPLE, "solid_fat_32C", "solid_fat_20C"), 1),
    "compare": (
        (
            "compare",
            *(in_quillfern("old_hand_butter.csv"),) * 2,
            *("--brief", EXAMPLE),
        ),
        0,
    ),
    "batch": (("batch", EXAMPLE), 0),
    "several batches": (("batch", "--batch", f"{EXAMPLE}=1 kg", "--batch", BALM), 0),
    "ingredients": (("ingredients",), 0),
    "ingredient": (("ingredients", "cocoa-butter"), 0),
}
"""Commands, and how many pictures their page has."""
