"""An answer as titled sections of paragraphs, lists, tables and pictures, and its plain forms."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from optimiser.present.console import columns, heading, wrapped
from optimiser.present.markdown import inert, table


@dataclass(frozen=True, slots=True)
class Paragraph:
    """Some sentences."""

    text: str


@dataclass(frozen=True, slots=True)
class Footnote(Paragraph):
    """A note to the table above, of no use without it."""


@dataclass(frozen=True, slots=True)
class Items:
    """Sentences one below the other."""

    texts: Sequence[str]


@dataclass(frozen=True, slots=True)
class Table:
    """Rows below headings; the columns in `right` are flush right.

    Attributes:
        head: Its headings.
        rows: Its cells as text.
        right: Positions of the columns of numbers.
    """

    head: Sequence[str]
    rows: Sequence[Sequence[str]]
    right: Sequence[int] = ()


@dataclass(frozen=True, slots=True)
class Entry:
    """A statement, and the sentences that explain it."""

    term: str
    texts: Sequence[str]


@dataclass(frozen=True, slots=True)
class Entries:
    """Statements one below the other, each with its sentences."""

    entries: Sequence[Entry]


@dataclass(frozen=True, slots=True)
class Picture:
    """A drawing; where none can be shown, its description stands for it.

    Attributes:
        svg: The drawing, one `<svg>` element with its title and description inside.
        title: What it shows.
        description: The numbers that it shows, in sentences.
    """

    svg: str
    title: str
    description: str


Part = Paragraph | Items | Table | Entries | Picture


@dataclass(frozen=True, slots=True)
class Section:
    """Parts under a title."""

    title: str
    parts: Sequence[Part]


@dataclass(frozen=True, slots=True)
class Page:
    """A titled answer."""

    title: str
    sections: Sequence[Section]


def page_text(page: Page) -> str:
    """A page for a terminal: 80 columns, legible without colour."""
    lines = heading(page.title)
    for section in page.sections:
        lines += [*section_lines(section), ""]
    return "\n".join(lines[:-1] if lines[-1] == "" else lines) + "\n"


def section_lines(section: Section) -> list[str]:
    """A section for a terminal."""
    lines = wrapped(section.title) if section.title else []
    indent = "  " if section.title else ""
    parts = [part for part in section.parts if not isinstance(part, Picture)]
    for number, part in enumerate(parts):
        if isinstance(part, Table):
            lines += [""] if number else []
            lines += columns([part.head, *part.rows], part.right, indent)
            continue
        if number and isinstance(parts[number - 1], Table):
            lines.append("")
        if isinstance(part, Items):
            for text in part.texts:
                lines += wrapped(text, f"{indent}- ", f"{indent}  ")
        elif isinstance(part, Entries):
            for entry in part.entries:
                lines += wrapped(entry.term, indent, f"{indent}  ")
                lines += [line for text in entry.texts for line in wrapped(text, f"{indent}  ")]
        else:
            lines += wrapped(part.text, indent)
    return lines


def page_markdown(page: Page) -> str:
    """A page as Markdown."""
    lines = [f"# {inert(page.title)}"]
    for section in page.sections:
        lines += section_markdown(section)
    return "\n".join(lines) + "\n"


def section_markdown(section: Section) -> list[str]:
    """A section as Markdown."""
    lines = ["", f"## {inert(section.title)}"] if section.title else []
    for part in section.parts:
        lines.append("")
        if isinstance(part, Table):
            lines += table(part.head, part.rows, part.right)
        elif isinstance(part, Items):
            lines += [f"- {inert(text)}" for text in part.texts]
        elif isinstance(part, Entries):
            lines += [
                f"- **{inert(entry.term)}**: {inert(' '.join(entry.texts))}"
                for entry in part.entries
            ]
        elif isinstance(part, Picture):
            lines.append(inert(f"{part.title}: {part.description}"))
        else:
            lines.append(inert(part.text))
    return lines
