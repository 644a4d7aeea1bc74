"""The picture of imports, held to by reading the source."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest
from formulation_support import ROOT

PACKAGE = ROOT / "optimiser"
FILES = sorted(PACKAGE.rglob("*.py"))

TRADE = (
    "provenance",
    "skin",
    "label",
    "inci",
    "ingredient",
    "skin_content",
    "price",
    "production",
    "brief",
    "reading",
)
"""What the maker says, lowest first; these know no matrices."""

MATHEMATICS = (
    "provenance",
    "linear_model",
    "exact",
    "pulp_model",
    "solve",
    "conflicts",
    "repair",
    "postoptimal",
)
"""Rows, columns and proofs, lowest first; these know no ingredients."""

ABOVE = (
    "statements",
    "formulation",
    "weighable_model",
    "answers",
    "workshop",
    "tables",
    "present",
    "commands",
    "cli",
    "__main__",
)
"""What joins the two, lowest first; each may use everything below it."""

NEVER_READS = ("statements", "formulation", "weighable_model", "answers", "tables")
"""Answers are functions of records; who reads files is above them."""

SOLVER = {"pulp", "highspy"}

MOST_LINES = 350


def layer(path: Path) -> str:
    """The layer of a file: its name, or the name of its package."""
    return path.relative_to(PACKAGE).with_suffix("").parts[0]


def imports(path: Path) -> Iterator[tuple[str, int]]:
    """Every module that a file imports anywhere in it, with the line."""
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            yield from ((name.name, node.lineno) for name in node.names)
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{path}:{node.lineno} relative import"
            assert node.module is not None
            yield node.module, node.lineno


def may_import(name: str) -> set[str]:
    """The layers below a layer, and itself."""
    if name in TRADE:
        return set(TRADE[: TRADE.index(name) + 1])
    if name in MATHEMATICS:
        return set(MATHEMATICS[: MATHEMATICS.index(name) + 1])
    below = {*TRADE, *MATHEMATICS, *ABOVE[: ABOVE.index(name) + 1]}
    return below - {"reading"} if name in NEVER_READS else below


def own_imports(path: Path) -> Iterator[tuple[str, str, int]]:
    """The layers of this package that a file imports, the modules and lines."""
    for module, line in imports(path):
        head, _, rest = module.partition(".")
        if head == "optimiser" and rest:
            yield rest.split(".")[0], module, line


@pytest.mark.parametrize("path", FILES, ids=lambda path: str(path.relative_to(PACKAGE)))
def test_imports_point_one_way(path: Path) -> None:
    """No file imports from a layer above its own."""
    name = layer(path)
    if name in ("__init__", "starter"):
        return_to_the_top = (
            {"answers", "commands", "present", "reading", "tables"} if name == "__init__" else set()
        )
        assert {found for found, _, _ in own_imports(path)} <= return_to_the_top
        return
    assert name in {*TRADE, *MATHEMATICS, *ABOVE}, f"{name} has no place in the picture of imports"
    allowed = may_import(name)
    upwards = [f"line {line}: {m}" for found, m, line in own_imports(path) if found not in allowed]
    assert upwards == []


def test_no_circles_within_a_layer() -> None:
    """Files of one package do not import each other in a circle."""
    edges = {
        ".".join(("optimiser", *path.relative_to(PACKAGE).with_suffix("").parts)): {
            module for _, module, _ in own_imports(path)
        }
        for path in FILES
    }
    done: set[str] = set()

    def visit(name: str, behind: tuple[str, ...]) -> None:
        assert name not in behind, " imports ".join((*behind, name))
        if name not in done:
            for module in edges.get(name, ()):
                visit(module, (*behind, name))
            done.add(name)

    for name in edges:
        visit(name, ())


def test_only_one_file_knows_the_solver() -> None:
    """PuLP and HiGHS are imported by `pulp_model` alone."""
    users = {layer(path) for path in FILES for m, _ in imports(path) if m.split(".")[0] in SOLVER}
    assert users == {"pulp_model"}


def test_pandas_is_loaded_by_tables_only_and_only_when_asked() -> None:
    """Outside type checking, pandas is imported inside the functions of `tables`."""
    for path in FILES:
        tree = ast.parse(path.read_text(encoding="utf-8"))
        inside = {
            node
            for function in ast.walk(tree)
            if isinstance(function, ast.FunctionDef)
            for node in ast.walk(function)
        } | {
            node
            for block in ast.walk(tree)
            if isinstance(block, ast.If) and ast.unparse(block.test) == "TYPE_CHECKING"
            for node in ast.walk(block)
        }
        for node in ast.walk(tree):
            if not isinstance(node, ast.Import):
                continue
            if any(name.name.split(".")[0] == "pandas" for name in node.names):
                assert layer(path) in ("tables", "__init__"), path
                assert node in inside, f"{path}:{node.lineno}"


def test_only_pages_load_what_they_are_made_with() -> None:
    """Templates and plots are known to the page and the pictures alone."""
    users = {
        (module.split(".")[0], str(path.relative_to(PACKAGE).parent / path.stem))
        for path in FILES
        for module, _ in imports(path)
        if module.split(".")[0] in ("jinja2", "markupsafe", "matplotlib")
    }
    assert {place for module, place in users if module != "matplotlib"} == {"present/page_html"}
    assert all(place.startswith("present/pictures/") for m, place in users if m == "matplotlib")


def test_pictures_know_no_answers() -> None:
    """A picture is drawn from plain records that are handed in."""
    for path in FILES:
        if path.parent.name == "pictures":
            known = {module for _, module, _ in own_imports(path)}
            assert all(module.startswith("optimiser.present.pictures.") for module in known), path


def calls(path: Path) -> Iterator[tuple[str, int]]:
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Call):
            yield ast.unparse(node.func), node.lineno


@pytest.mark.parametrize("path", FILES, ids=lambda path: str(path.relative_to(PACKAGE)))
def test_nothing_prints(path: Path) -> None:
    """Words go out through the command line, never by `print`."""
    assert [line for name, line in calls(path) if name in ("print", "pprint.pprint")] == []


@pytest.mark.parametrize("path", FILES, ids=lambda path: str(path.relative_to(PACKAGE)))
def test_only_presentation_formats_numbers(path: Path) -> None:
    """How many decimals a number has in print is chosen in `present` alone."""
    if layer(path) == "present":
        return
    tree = ast.parse(path.read_text(encoding="utf-8"))
    specs = [
        (ast.literal_eval(node.format_spec.values[0]), node.lineno)
        for node in ast.walk(tree)
        if isinstance(node, ast.FormattedValue)
        and isinstance(node.format_spec, ast.JoinedStr)
        and isinstance(node.format_spec.values[0], ast.Constant)
    ]
    assert [
        (spec, line) for spec, line in specs if spec.startswith(".") and spec[-1] in "f%e"
    ] == []


@pytest.mark.parametrize("path", FILES, ids=lambda path: str(path.relative_to(PACKAGE)))
def test_no_file_is_long(path: Path) -> None:
    """A file that grows past 350 lines is two files."""
    assert len(path.read_text(encoding="utf-8").splitlines()) < MOST_LINES


def test_the_picture_has_no_place_for_what_is_gone() -> None:
    """Every layer of the picture but the planned workshop is there."""
    there = {layer(path) for path in FILES}
    assert {*TRADE, *MATHEMATICS, *ABOVE} - there <= {"workshop"}
