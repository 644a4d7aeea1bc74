"""What all pictures share: a sheet to draw on, its inks, and the way to inline SVG.

A picture is 380 units wide, so that on a phone a unit is a pixel and its words stay as large
as those around it. It is drawn in stand-in colours, which become the page's own colours, so
that a dark page or a printer decides what they look like.
"""

from __future__ import annotations

import io
import re
import unicodedata
import warnings
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from typing import Any
from xml.etree import ElementTree

import matplotlib
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.font_manager import FontProperties
from matplotlib.patches import Circle, Polygon, Rectangle
from matplotlib.textpath import text_to_path

WIDTH = 380.0
POINTS_PER_INCH = 72

INK, QUIET, LINE = "#010101", "#020202", "#030303"
ACCENT, SOFT, PAPER = "#040404", "#050505", "#060606"
"""Stand-ins for words, lesser words, thin lines, the accent, its pale tint and the paper."""

PAGE_COLOURS = {
    INK: "var(--ink)",
    QUIET: "var(--quiet)",
    LINE: "var(--line)",
    ACCENT: "var(--accent)",
    SOFT: "var(--soft)",
    PAPER: "var(--paper)",
}

LARGE, TEXT, SMALL = 13.0, 12.0, 11.0
"""Sizes of words, in units."""

CUT, LEAST_KEPT = "\u2026", 4
"""What stands for the rest of words that are too long, and how many signs always stay."""

SVG = "http://www.w3.org/2000/svg"
LINK = "{http://www.w3.org/1999/xlink}href"

FONT = re.compile(r"font: (?:(\d+|bold) )?([\d.]+)px [^;]+")
FAMILY = re.compile(r"font-family: [^;]+;? ?")
LONG_NUMBER = re.compile(r"-?\d+\.\d{2,}")

METADATA = ("Date", "Creator", "Format", "Type")
"""What Matplotlib would note in a file, the day among it; a picture has none of it."""

SETTINGS = {
    "svg.fonttype": "none",
    "text.parse_math": False,
    "text.usetex": False,
    "font.family": ["DejaVu Sans"],
    "font.size": TEXT,
    "path.simplify": False,
    "hatch.linewidth": 1.0,
    "text.color": INK,
}

TURNING = frozenset("\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069\u200e\u200f\u061c")
"""Signs that turn the direction of the text after them."""


def clean(text: str) -> str:
    """Text on one line without signs that a page would act on; every other sign stays."""
    kept = (
        sign
        for sign in " ".join(text.split())
        if sign not in TURNING and unicodedata.category(sign) not in ("Cc", "Cs")
    )
    return "".join(kept)


def width_of(text: str, size: float = TEXT, weight: str = "normal") -> float:
    """How wide words are, in units; most fonts of a page are narrower than the one measured."""
    font = FontProperties(family="DejaVu Sans", size=size, weight=weight)
    shown = clean(text)
    return float(text_to_path.get_text_width_height_descent(shown, font, ismath=False)[0])


def fitting(text: str, units: float, size: float = TEXT) -> str:
    """Text cut to a width; the whole of it stands in the picture's description."""
    text = clean(text)
    if width_of(text, size) <= units:
        return text
    # A longer beginning is wider, so that halving finds the longest that fits.
    fits, wide = LEAST_KEPT, len(text)
    while wide - fits > 1:
        half = (fits + wide) // 2
        if width_of(f"{text[:half]}{CUT}", size) <= units:
            fits = half
        else:
            wide = half
    return f"{text[:fits].rstrip()}{CUT}"


@contextmanager
def sheet(height: float) -> Iterator[Axes]:
    """A blank sheet of 380 units by a height, y downwards from the top left corner.

    What is drawn on it becomes SVG by `svg_of` while the sheet is open.
    """
    # A maker's own settings of Matplotlib change nothing here.
    settings: dict[Any, Any] = {
        name: value
        for name, value in matplotlib.rcParamsDefault.items()
        if not name.startswith(("backend", "toolbar", "interactive"))
    }
    with matplotlib.rc_context(settings | SETTINGS), warnings.catch_warnings():
        # The page brings the fonts; that the one measured with lacks a sign does not matter.
        warnings.filterwarnings("ignore", message="Glyph .* missing from")
        warnings.filterwarnings("ignore", message="Matplotlib currently does not support")
        figure = Figure(figsize=(WIDTH / POINTS_PER_INCH, height / POINTS_PER_INCH))
        figure.patch.set_visible(False)
        axes = figure.add_axes((0.0, 0.0, 1.0, 1.0))
        axes.set_axis_off()
        axes.set_xlim(0, WIDTH)
        axes.set_ylim(height, 0)
        yield axes


def line(
    axes: Axes,
    xs: Sequence[float],
    ys: Sequence[float],
    colour: str = INK,
    width: float = 1.0,
    dashes: Sequence[float] | None = None,
    above: float = 2.0,
) -> None:
    """A line through some points; what lies `above` more is drawn later."""
    axes.plot(
        xs,
        ys,
        color=colour,
        linewidth=width,
        linestyle="solid" if dashes is None else (0, tuple(dashes)),
        solid_capstyle="butt",
        solid_joinstyle="round",
        dash_capstyle="butt",
        clip_on=False,
        zorder=above,
    )


def box(
    axes: Axes,
    x: float,
    y: float,
    width: float,
    height: float,
    fill: str | None = ACCENT,
    edge: str | None = None,
    hatch: str | None = None,
    above: float = 1.0,
) -> None:
    """A rectangle from its top left corner."""
    axes.add_patch(
        Rectangle(
            (x, y),
            width,
            height,
            facecolor=fill or "none",
            edgecolor=edge or "none",
            linewidth=1.0 if edge else 0.0,
            hatch=hatch,
            clip_on=False,
            zorder=above,
        )
    )


def shape(
    axes: Axes, points: Sequence[tuple[float, float]], fill: str = ACCENT, above: float = 3.0
) -> None:
    """A filled shape with straight sides."""
    axes.add_patch(
        Polygon(
            list(points), closed=True, facecolor=fill, linewidth=0.0, clip_on=False, zorder=above
        )
    )


def dot(axes: Axes, x: float, y: float, radius: float, fill: str, edge: str | None = None) -> None:
    """A round mark."""
    axes.add_patch(
        Circle(
            (x, y),
            radius,
            facecolor=fill,
            edgecolor=edge or "none",
            linewidth=1.6 if edge else 0.0,
            clip_on=False,
            zorder=4,
        )
    )


def words(
    axes: Axes,
    x: float,
    y: float,
    text: str,
    size: float = TEXT,
    colour: str = INK,
    align: str = "left",
    weight: str = "normal",
) -> None:
    """Words on a base line; never read as a formula."""
    axes.text(
        x,
        y,
        clean(text),
        fontsize=size,
        color=colour,
        ha=align,
        va="baseline",
        fontweight=weight,
        parse_math=False,
        zorder=5,
    )


def svg_of(axes: Axes, name: str, title: str, description: str) -> str:
    """What is drawn on a sheet as one `<svg>` element to stand in a page.

    Args:
        axes: The sheet.
        name: A name that no other picture of the page has; it begins every id.
        title: What the picture shows.
        description: Its numbers in sentences, for those who do not see it.
    """
    figure = axes.get_figure(root=True)
    assert figure is not None
    written = io.StringIO()
    with matplotlib.rc_context({"svg.hashsalt": name}):
        figure.savefig(written, format="svg", metadata=dict.fromkeys(METADATA))
    root = ElementTree.fromstring(written.getvalue())
    _undress(root)
    _name_ids(root, name)
    for element in root.iter():
        _in_page_colours(element)
    heading, told = ElementTree.Element(f"{{{SVG}}}title"), ElementTree.Element(f"{{{SVG}}}desc")
    heading.text, told.text = clean(title), clean(description)
    heading.attrib["id"], told.attrib["id"] = f"{name}-title", f"{name}-desc"
    root[:0] = [heading, told]
    root.attrib = {
        "viewBox": root.attrib["viewBox"],
        "role": "img",
        "aria-labelledby": f"{name}-title {name}-desc",
    }
    ElementTree.register_namespace("", SVG)
    return ElementTree.tostring(root, encoding="unicode")


def _undress(root: ElementTree.Element) -> None:
    """Take out the metadata, and the style that would hold for the whole page."""
    for parent in list(root.iter()):
        for child in list(parent):
            if child.tag in (f"{{{SVG}}}metadata", f"{{{SVG}}}style"):
                parent.remove(child)
    for parent in list(root.iter()):
        for child in list(parent):
            if child.tag == f"{{{SVG}}}defs" and not len(child):
                parent.remove(child)


def _name_ids(root: ElementTree.Element, name: str) -> None:
    """Keep only the ids that something refers to, named after the picture and numbered."""
    links = re.compile(r"url\(#([^)]+)\)")
    used: dict[str, str] = {}

    def new(old: str) -> str:
        return used.setdefault(old, f"{name}-{len(used) + 1}")

    for element in root.iter():
        if LINK in element.attrib:
            element.attrib["href"] = "#" + new(element.attrib.pop(LINK).removeprefix("#"))
        for key, value in element.attrib.items():
            element.attrib[key] = links.sub(lambda found: f"url(#{new(found[1])})", value)
    for element in root.iter():
        old = element.attrib.pop("id", None)
        if old in used:
            element.attrib["id"] = used[old]


def _in_page_colours(element: ElementTree.Element) -> None:
    """The page's colours and fonts for stand-ins, and coordinates to a tenth of a unit."""
    for key in ("d", "x", "y", "width", "height", "transform"):
        if key in element.attrib:
            element.attrib[key] = LONG_NUMBER.sub(_tenth, element.attrib[key])
    if element.attrib.get("transform", "").startswith("rotate(-0 "):
        del element.attrib["transform"]
    for key in ("fill", "stroke"):
        colour = element.attrib.pop(key, None)
        if colour is not None:
            rest = element.attrib.get("style", "")
            element.attrib["style"] = f"{key}: {colour}; {rest}".rstrip("; ")
    style = element.attrib.get("style")
    if style is None:
        return
    style = FAMILY.sub("", FONT.sub(_font, style))
    for stand_in, colour in PAGE_COLOURS.items():
        style = style.replace(stand_in, colour)
    element.attrib["style"] = style


def _tenth(found: re.Match[str]) -> str:
    number = round(float(found[0]), 1)
    return f"{number:g}" if number else "0"


def _font(found: re.Match[str]) -> str:
    weight = f"font-weight: {found[1]}; " if found[1] else ""
    return f"{weight}font-size: {float(found[2]):g}px"
