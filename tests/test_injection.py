"""Names that carry markup, formulas, escapes or syntax are names in every form of an answer.

Each form is read back by a reader of its own kind, and has the structure that it has with
plain names: not one element, link, formula, line or row more.
"""

from __future__ import annotations

import csv
import json
import re
import socket
import subprocess
import sys
import zipfile
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, fields, replace
from pathlib import Path

import highspy
import pytest
from every_command import COMMANDS, Called, Workshop, workshop
from formulation_support import Command
from markdown_it import MarkdownIt
from openpyxl import Workbook, load_workbook
from report_support import Read, check

HOSTILE = {
    "HTML": "</title></p></svg><script>alert(1)</script><img src=x onerror=alert(1)> \"'&",
    "CSS": "</style><link rel=stylesheet href=//x.invalid/a.css>@import url(http://x.invalid)",
    "SVG": "]]><svg onload=alert(1)><use href='http://x.invalid/a.svg#b'/><!-- a",
    "entities": "<!DOCTYPE a [<!ENTITY x SYSTEM 'file:///etc/hostname'>]>&x; &lt;b&gt; a",
    "Markdown": "**b** [x](http://x.invalid) ![i](http://x.invalid/i.png) `c` | d ~~e~~ # f",
    "formula": "=cmd|' /C calc'!A0",
    "plus": "+1+cmd|' /C calc'!A0",
    "minus": '-1+HYPERLINK("http://x.invalid","y")',
    "at": "@SUM(1+1)*cmd|' /C calc'!A0",
    "tab before a formula": "\t=1+1",
    "terminal": "a\x1b[31mb\x1b]8;;http://x.invalid\x07c\x1b]8;;\x07\x9b31m\x08\x7f\x1bPq",
    "direction": "a\u202eb\u2066c\u200fd\u2028e\u2029f\u0085g\ufeffh",
    "LP": "a\nSubject To\n r9: c0000 >= 1\nBounds\n c0000 free\nEnd\n\\ b",
    "MPS": "a\nROWS\n N other\nCOLUMNS\n    c0000 other 1\nENDATA\n* b",
    "TOML": '"]\n[costing]\nprices = "x.csv"\n# a',
    "CSV": 'a,b;c\td"e\r\n"f',
    "JSON": '","status":"optimal","a":"\\u0041\\',
    "templates": "{bound} {0} {bound.__class__} {{7*7}} {% raw %} %s %(x)s ${HOME} $x^2$ $(id)",
}

EVERYTHING = "=1+1 {} </b>".format(" ".join(HOSTILE.values()))
"""All of it in one name."""

NO_FILE = re.compile(r"[/\x00]" if sys.platform != "win32" else r"[^\w .-]")


def called(hostile: str) -> Called:
    """A workshop in which everything is called so, as far as the reading lets it."""
    plain = Called()
    names = {field.name: f"{hostile} {getattr(plain, field.name)}" for field in fields(plain)}
    return replace(
        plain,
        **names
        | {
            # A currency is short, a group has no colon, a heading's brackets hold a unit, and
            # in INCI names signs separate, and brackets stand for what is missing.
            "currency": hostile[:12].strip(),
            "unit": hostile[:20].strip(),
            "group": names["group"].replace(":", ""),
            "property": names["property"].replace("(", ""),
            "inci_name": re.sub(r"[][;%,]", "", names["inci_name"]),
            "file": NO_FILE.sub("", hostile)[:60].strip(),
        },
    )


def all_forms(made: Workshop, name: str) -> tuple[list[str], dict[str, Path]]:
    """The words that ask for a command with all its forms, and where these will be."""
    out = made.folder / "out"
    out.mkdir(exist_ok=True)
    paths = {form: out / f"{name}{form}" for form in COMMANDS[name].forms}
    return COMMANDS[name].on(made), paths


@dataclass(frozen=True)
class Answered:
    """What a command printed and wrote."""

    said: Called
    status: int
    printed: str
    aside: str
    files: dict[str, Path]


def answered(
    command: Command, folder: Path, name: str, said: Called, without: tuple[str, ...] = ()
) -> Answered:
    folder.mkdir(exist_ok=True)
    words, paths = all_forms(workshop(folder, said), name)
    paths = {form: path for form, path in paths.items() if form not in without}
    outs = [word for path in paths.values() for word in ("--out", str(path))]
    status, printed, aside = command(*words, *outs)
    assert status == COMMANDS[name].status, aside
    return Answered(said, status, printed, aside, paths)


def steering(text: str) -> set[str]:
    """Signs by which a terminal is steered or a text is turned."""
    return {sign for sign in text if not sign.isprintable()} - {"\n"}


def structure_html(path: Path) -> object:
    """Elements with the names of their attributes, and the rules of the style."""
    text = path.read_text("utf-8")
    # What is said of addresses and rules there may be said, as the words that it is.
    text = re.sub(r"://(?!www\.w3\.org/2000/svg)|@import|url\((?!#)", "", text)
    read: Read = check(text)
    rules = re.findall("(?s)<style>.*?</style>", text)
    return rules, [(name, sorted(attributes)) for name, attributes in read.elements]


def structure_markdown(path: Path) -> object:
    """Blocks as a reader of Markdown sees them, and what stands inside lines."""
    text = path.read_text("utf-8")
    assert steering(text) == set()
    tokens = MarkdownIt("commonmark").enable("table").enable("strikethrough").parse(text)
    inline = Counter(child.type for token in tokens for child in token.children or ())
    return [token.type for token in tokens], {
        kind: count for kind, count in inline.items() if kind not in ("text", "softbreak")
    }


def structure_json(path: Path) -> object:
    """The types at every depth, without keys, of which some are names."""
    text = path.read_text("utf-8")
    assert steering(text) == set()

    def shape(value: object) -> object:
        if isinstance(value, dict):
            return [shape(inner) for inner in value.values()]
        if isinstance(value, list):
            return [shape(inner) for inner in value]
        return type(value).__name__

    return shape(json.loads(text))


def structure_csv(path: Path) -> object:
    """The number of cells in each row; a cell that a spreadsheet would run is a failure."""
    text = path.read_text("utf-8")
    assert steering(text) == set()
    rows = list(csv.reader(text.splitlines()))
    for row in rows:
        for cell in row:
            assert not re.match(r"\s*[=@+]|\s*-(?![\d.]+(e-?\d+)?$)", cell), cell
    return [len(row) for row in rows]


def structure_workbook(path: Path) -> object:
    """Sheets, which cells are formulas, and parts of the file; nothing leads outside."""
    with zipfile.ZipFile(path) as parts:
        names = sorted(parts.namelist())
        for name in names:
            text = parts.read(name).decode("utf-8")
            assert "<hyperlink" not in text
            assert 'TargetMode="External"' not in text
    book = load_workbook(path)
    return names, [
        [sheet.title, *([cell.coordinate, cell.value] for row in sheet for cell in row
                        if cell.data_type == "f")]
        for sheet in book
    ]  # fmt: skip


def structure_model(path: Path) -> object:
    """What HiGHS reads: sizes and the cost of the optimum."""
    text = path.read_text("utf-8")
    assert steering(text) == set()
    highs = highspy._Highs()  # Highs() prints a banner
    highs.setOptionValue("output_flag", False)
    assert highs.readModel(str(path)) == highspy.HighsStatus.kOk
    highs.run()
    cost = highs.getInfo().objective_function_value
    return highs.getNumCol(), highs.getNumRow(), f"{cost:.9g}"


STRUCTURE = {
    ".html": structure_html,
    ".md": structure_markdown,
    ".json": structure_json,
    ".csv": structure_csv,
    ".xlsx": structure_workbook,
    ".lp": structure_model,
    ".mps": structure_model,
}


@pytest.fixture
def sealed(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """Nothing is fetched and nothing is run."""
    import optimiser.present.pictures  # noqa: F401  # Matplotlib lists the fonts by a program

    def none(*_: object, **__: object) -> None:
        raise AssertionError("something was to be run or fetched")

    for name in ("subprocess.Popen", "os.system", "os.posix_spawn", "socket.socket.connect",
                 "socket.getaddrinfo", "urllib.request.urlopen"):  # fmt: skip
        monkeypatch.setattr(name, none)
    assert socket.getaddrinfo is none  # type: ignore[comparison-overlap]
    return


def compare_all(hostile: Answered, plain: Answered) -> None:
    """All forms of an answer with hostile names are built like those with plain ones."""
    assert steering(hostile.printed) == set()
    assert steering(hostile.aside) == set()
    assert hostile.aside.count("\n") == plain.aside.count("\n")
    for form, path in hostile.files.items():
        assert path.exists() == plain.files[form].exists()
        if path.exists():
            found, wanted = STRUCTURE[form](path), STRUCTURE[form](plain.files[form])
            assert found == wanted, form


@pytest.mark.usefixtures("sealed")
@pytest.mark.parametrize("name", [name for name in COMMANDS if "{" in str(COMMANDS[name].words)])
def test_every_form_of_every_command(name: str, optimiser: Command, tmp_path: Path) -> None:
    """Everything at once in every name changes no form's structure."""
    plain = answered(optimiser, tmp_path / "plain", name, Called())
    hostile = answered(optimiser, tmp_path / "hostile", name, called(EVERYTHING))
    compare_all(hostile, plain)


@pytest.mark.usefixtures("sealed")
@pytest.mark.parametrize("kind", HOSTILE)
@pytest.mark.parametrize("name", ["formulate", "compare", "declare"])
def test_each_by_itself(name: str, kind: str, optimiser: Command, tmp_path: Path) -> None:
    """What is hostile at the beginning of a name, or only without the rest, is inert too."""
    without = (".html", ".xlsx") if name != "formulate" else (".xlsx",)
    plain = answered(optimiser, tmp_path / "plain", name, Called(), without)
    hostile = answered(optimiser, tmp_path / "hostile", name, called(HOSTILE[kind]), without)
    compare_all(hostile, plain)


@pytest.mark.parametrize("kind", HOSTILE)
def test_names_come_through_whole(kind: str, optimiser: Command, tmp_path: Path) -> None:
    """In JSON a name is what was written; in a page and a workbook all that can be shown."""
    it = replace(Called(), brief=HOSTILE[kind].strip(), ingredient=f"a {HOSTILE[kind]} a")
    made = answered(optimiser, tmp_path, "formulate", it, (".lp", ".mps"))
    assert json.loads(made.files[".json"].read_text("utf-8"))["brief"] == it.brief
    seen = "".join("".join(it.brief.split()).split("\ufeff"))
    seen = "".join(sign for sign in seen if sign.isprintable())
    words = "".join(Read(made.files[".html"].read_text("utf-8")).words)
    assert seen in "".join("".join(words.split()).split("\ufeff"))
    title = load_workbook(made.files[".xlsx"])["Answer"]["A1"]
    assert title.data_type == "s"
    kept = "".join(title.value.split()).replace("\ufffd", "")  # where a sign cannot be kept
    assert seen in "".join(sign for sign in kept if sign.isprintable())


@pytest.mark.parametrize("kind", HOSTILE)
def test_messages_are_one_line_each(kind: str, optimiser: Command, tmp_path: Path) -> None:
    """A file of such a name with a mistake in it is told in one line, without escapes."""
    name = NO_FILE.sub("", HOSTILE[kind])[:60].strip()
    brief = tmp_path / f"{name}.toml"
    brief.write_text('name = "a"\nuse = 3\n[costing]\nprices = "none.csv"\n', encoding="utf-8")
    code, printed, err = optimiser("formulate", brief)
    assert (code, printed) == (2, "")
    assert steering(err) == set()
    assert err.count("\n") == 2
    code, _, err = optimiser("formulate", tmp_path / f"{name} none.toml")
    assert (code, err.count("\n"), steering(err)) == (2, 1, set())
    made = workshop(tmp_path)
    code, _, err = optimiser("formulate", made.impossible, "--out", tmp_path / f"{name}.csv")
    assert (code, err.count("\n"), steering(err)) == (1, 1, set())
    assert "is not written: there is no formula" in err


@pytest.mark.usefixtures("sealed")
@pytest.mark.parametrize(
    "prices",
    ["http://x.invalid/prices.csv", "file:///etc/hostname", "//x.invalid/share/a.csv", "|id",
     "$(id).csv", "`id`.csv", "~/prices.csv", "prices.csv;id", "-", "/dev/stdin"],
)  # fmt: skip
def test_a_price_list_is_a_file_and_nothing_else(
    prices: str, optimiser: Command, tmp_path: Path
) -> None:
    """No address is fetched, no word is run, no sign stands for another file."""
    brief = tmp_path / "a.toml"
    brief.write_text(f'name = "a"\n[costing]\nprices = "{prices}"\n', encoding="utf-8")
    code, _, err = optimiser("formulate", brief)
    assert code == 2
    assert err.startswith("a.toml:3 costing.prices: ")


def test_only_what_is_named_is_read(optimiser: Command, tmp_path: Path) -> None:
    """A brief may name a file outside its folder; it is read and no answer goes there."""
    made = workshop(tmp_path)
    (tmp_path / "elsewhere").mkdir()
    brief = tmp_path / "elsewhere" / "a.toml"
    text = made.brief.read_text("utf-8")
    for name in ("own prices.csv", "own sheet.csv"):
        text = text.replace(f'"{name}"', f'"../{name}"')
    brief.write_text(text, encoding="utf-8")
    before = {path: path.read_bytes() for path in tmp_path.iterdir() if path.is_file()}
    assert optimiser("formulate", brief, "--out", brief.with_suffix(".csv"))[0] == 0
    assert {path: path.read_bytes() for path in before} == before
    assert sorted(path.name for path in brief.parent.iterdir()) == ["a.csv", "a.toml"]


def spoilt(path: Path, part: str, found: str, put: str) -> None:
    """Replace a text in one part of a workbook."""
    with zipfile.ZipFile(path) as parts:
        contents = {name: parts.read(name).decode("utf-8") for name in parts.namelist()}
    assert found in contents[part]
    contents[part] = contents[part].replace(found, put, 1)
    with zipfile.ZipFile(path, "w") as parts:
        for name, text in contents.items():
            parts.writestr(name, text)


LAUGHS = "".join(f'<!ENTITY l{n} "{f"&l{n - 1};" * 10 if n else "ha" * 50}">' for n in range(10))


@pytest.mark.usefixtures("sealed")
@pytest.mark.parametrize(
    "declared",
    ['<!ENTITY x SYSTEM "file:///etc/hostname">', '<!ENTITY x SYSTEM "http://x.invalid/a">',
     f'{LAUGHS}<!ENTITY x "&l9;">'],
    ids=["file", "address", "many"],
)  # fmt: skip
def test_a_workbook_reaches_for_nothing(declared: str, optimiser: Command, tmp_path: Path) -> None:
    """Entities of a workbook lead nowhere, and do not grow beyond measure."""
    made = workshop(tmp_path)
    book = Workbook()
    with (tmp_path / "own prices.csv").open(encoding="utf-8", newline="") as file:
        for row in csv.reader(file):
            book.active.append(row)
    path = tmp_path / "prices.xlsx"
    book.save(path)
    text = made.brief.read_text("utf-8").replace("own prices.csv", "prices.xlsx")
    made.brief.write_text(text, encoding="utf-8")
    assert optimiser("formulate", made.brief)[0] == 0
    sheet = "xl/worksheets/sheet1.xml"
    spoilt(path, sheet, "<worksheet", f"<!DOCTYPE worksheet [{declared}]><worksheet")
    spoilt(path, sheet, "Larkmoor Oils", "Lark &x; Oils")
    code, printed, err = optimiser("formulate", made.brief)
    host = Path("/etc/hostname")
    if host.exists() and host.read_text().strip():
        assert host.read_text().strip() not in printed.replace(str(tmp_path), "") + err
    assert code in (0, 2), err
    assert len(printed) + len(err) < 20_000


def test_nothing_is_run_or_fetched_by_a_whole_process(tmp_path: Path) -> None:
    """Python itself reports whatever a command starts, connects to or looks up."""
    made = workshop(tmp_path, called(HOSTILE["templates"]))
    script = (
        "import sys\n"
        "kinds = ('socket.connect', 'socket.getaddrinfo', 'subprocess.Popen', 'os.system',\n"
        "         'os.exec', 'os.posix_spawn', 'urllib.Request', 'webbrowser.open', 'exec_file')\n"
        "def heard(event, told):\n"
        "    # Matplotlib lists the fonts of a machine once, by fc-list.\n"
        "    if event in kinds and 'fc-list' not in str(told):\n"
        "        sys.__stderr__.write(f'heard {event} {told}\\n')\n"
        "sys.addaudithook(heard)\n"
        "from optimiser.__main__ import run\n"
        "run()\n"
    )
    words, paths = all_forms(made, "formulate")
    outs = [word for path in paths.values() for word in ("--out", str(path))]
    done = subprocess.run(
        [sys.executable, "-c", script, *words, *outs], capture_output=True, check=False
    )
    assert (done.returncode, done.stderr) == (0, b"")
