"""Small wrong changes to a source: each is one mutant.

A mutant replaces one span of the text. The kinds are the usual ones of mutation testing (after
DeMillo, Lipton and Sayward, "Hints on test data selection", Computer 11(4), 1978, and the
operator set that Offutt et al., ACM TOSEM 5(2), 1996, found sufficient: relational, logical,
arithmetic, unary insertion or removal, absolute value) with statements left out, constants moved
by one and the pairs min/max, any/all and floor/ceil. Words are left alone: they are not the
mathematics.
"""

from __future__ import annotations

import ast
from dataclasses import dataclass

RELATIONS = {
    ast.Lt: ("<", "<="),
    ast.LtE: ("<=", "<"),
    ast.Gt: (">", ">="),
    ast.GtE: (">=", ">"),
    ast.Eq: ("==", "!="),
    ast.NotEq: ("!=", "=="),
    ast.Is: ("is", "is not"),
    ast.IsNot: ("is not", "is"),
    ast.In: ("in", "not in"),
    ast.NotIn: ("not in", "in"),
}
ARITHMETIC = {
    ast.Add: ("+", "-"),
    ast.Sub: ("-", "+"),
    ast.Mult: ("*", "/"),
    ast.Div: ("/", "*"),
    ast.FloorDiv: ("//", "/"),
    ast.Mod: ("%", "*"),
    ast.Pow: ("**", "*"),
    ast.BitOr: ("|", "&"),
    ast.BitAnd: ("&", "|"),
}
PAIRS = {
    "min": "max",
    "max": "min",
    "any": "all",
    "all": "any",
    "floor": "ceil",
    "ceil": "floor",
    "floordiv": "truediv",
    "gcd": "lcm",
    "lcm": "gcd",
}
WITHOUT_EFFECT = {"strict", "frozen", "slots", "repr", "compare", "kw_only", "eq", "order"}
"""Keywords whose flag checks what cannot happen or shapes a record, not a result."""


@dataclass(frozen=True)
class Mutant:
    """One wrong change: `text` stands where `was` stood, at a span of the source's bytes."""

    path: str
    function: str
    line: int
    kind: str
    begin: int
    end: int
    was: str
    text: str

    @property
    def name(self) -> str:
        """What tells it apart, as long as the source is the same."""
        return f"{self.path}:{self.line}:{self.begin}:{self.kind}:{self.text[:40]}"

    def applied(self, source: bytes) -> bytes:
        """The source with the change."""
        return source[: self.begin] + self.text.encode() + source[self.end :]


class _Finder(ast.NodeVisitor):
    """Walks a tree and collects mutants; annotations, decorators and documentation are skipped."""

    def __init__(self, path: str, source: bytes) -> None:
        self.path = path
        self.source = source
        self.function = ""
        self.found: list[Mutant] = []
        self.starts = [0]
        for line in source.splitlines(keepends=True):
            self.starts.append(self.starts[-1] + len(line))

    def span(self, node: ast.AST) -> tuple[int, int]:
        """Begin and end of a node in bytes."""
        begin = self.starts[node.lineno - 1] + node.col_offset
        return begin, self.starts[node.end_lineno - 1] + node.end_col_offset

    def text(self, node: ast.AST) -> str:
        begin, end = self.span(node)
        return self.source[begin:end].decode()

    def add(self, node: ast.AST, kind: str, text: str) -> None:
        begin, end = self.span(node)
        was = self.source[begin:end].decode()
        self.found.append(
            Mutant(self.path, self.function, node.lineno, kind, begin, end, was, text)
        )

    def between(self, kind: str, left: ast.AST, right: ast.AST, pair: tuple[str, str]) -> None:
        """The sign between two operands, past brackets."""
        begin, end = self.span(left)[1], self.span(right)[0]
        gap = self.source[begin:end].decode()
        was, text = pair
        if gap.count(was) != 1 and not (was in ("is", "in", "and", "or") and was in gap.split()):
            return
        at = begin + len(gap[: gap.index(was)].encode())
        line = left.end_lineno + gap[: gap.index(was)].count("\n")
        self.found.append(
            Mutant(self.path, self.function, line, kind, at, at + len(was), was, text)
        )

    def visit_FunctionDef(self, node: ast.FunctionDef) -> None:
        for default in (*node.args.defaults, *node.args.kw_defaults):
            if default is not None:
                self.visit(default)
        outer, self.function = self.function, self.function or node.name
        for statement in node.body:
            self.visit(statement)
        self.function = outer

    def visit_ClassDef(self, node: ast.ClassDef) -> None:
        for statement in node.body:
            self.visit(statement)

    def visit_AnnAssign(self, node: ast.AnnAssign) -> None:
        if node.value is not None:
            self.visit(node.value)

    def visit_Compare(self, node: ast.Compare) -> None:
        operands = [node.left, *node.comparators]
        for left, operator, right in zip(operands, node.ops, operands[1:], strict=False):
            self.between("relation", left, right, RELATIONS[type(operator)])
        self.generic_visit(node)

    def visit_BinOp(self, node: ast.BinOp) -> None:
        words = isinstance(node.left, ast.Constant) and isinstance(node.left.value, str)
        if type(node.op) in ARITHMETIC and not words:
            self.between("arithmetic", node.left, node.right, ARITHMETIC[type(node.op)])
        self.generic_visit(node)

    def visit_BoolOp(self, node: ast.BoolOp) -> None:
        pair = ("and", "or") if isinstance(node.op, ast.And) else ("or", "and")
        for left, right in zip(node.values, node.values[1:], strict=False):
            self.between("logic", left, right, pair)
        self.generic_visit(node)

    def visit_UnaryOp(self, node: ast.UnaryOp) -> None:
        if isinstance(node.op, (ast.USub, ast.Not)):
            self.add(
                node,
                "sign" if isinstance(node.op, ast.USub) else "logic",
                f"({self.text(node.operand)})",
            )
        self.generic_visit(node)

    def visit_Constant(self, node: ast.Constant) -> None:
        if isinstance(node.value, bool):
            self.add(node, "flag", str(not node.value))
        elif isinstance(node.value, (int, float)):
            self.add(node, "constant", repr(node.value + 1))

    def visit_JoinedStr(self, node: ast.JoinedStr) -> None:
        """Words, and places inside them, are left alone."""

    def visit_keyword(self, node: ast.keyword) -> None:
        if node.arg not in WITHOUT_EFFECT:
            self.generic_visit(node)

    def visit_Name(self, node: ast.Name) -> None:
        if node.id in ("min", "max", "any", "all"):
            self.add(node, "pair", PAIRS[node.id])

    def visit_Attribute(self, node: ast.Attribute) -> None:
        if node.attr in PAIRS:
            end = self.span(node)[1]
            begin = end - len(node.attr)
            change = (begin, end, node.attr, PAIRS[node.attr])
            self.found.append(Mutant(self.path, self.function, node.end_lineno, "pair", *change))
        self.generic_visit(node)

    def visit_Call(self, node: ast.Call) -> None:
        if isinstance(node.func, ast.Name) and len(node.args) == 1:
            if node.func.id == "abs":
                self.add(node, "absolute", f"({self.text(node.args[0])})")
            if node.func.id == "sorted":
                self.add(node, "order", f"list({self.text(node.args[0])})")
            if node.func.id == "reversed":
                self.add(node, "order", f"iter({self.text(node.args[0])})")
        self.generic_visit(node)

    def visit_If(self, node: ast.If) -> None:
        if self.text(node.test) == "TYPE_CHECKING":
            return
        self.condition(node.test)
        self.generic_visit(node)

    def visit_IfExp(self, node: ast.IfExp) -> None:
        self.condition(node.test)
        self.generic_visit(node)

    def visit_comprehension(self, node: ast.comprehension) -> None:
        for test in node.ifs:
            self.add(test, "condition", "True")
            self.add(test, "condition", "False")
        self.generic_visit(node)

    def condition(self, test: ast.expr) -> None:
        self.add(test, "condition", "True")
        self.add(test, "condition", "False")

    def visit_Expr(self, node: ast.Expr) -> None:
        if isinstance(node.value, ast.Constant):
            return
        if isinstance(node.value, ast.Call):
            self.add(node, "statement", "pass")
        self.generic_visit(node)

    def visit_AugAssign(self, node: ast.AugAssign) -> None:
        self.add(node, "statement", "pass")
        if type(node.op) in ARITHMETIC:
            was, text = ARITHMETIC[type(node.op)]
            pair = (f"{was}=", f"{text}=")
            self.between("arithmetic", node.target, node.value, pair)
        self.generic_visit(node)

    def visit_Raise(self, node: ast.Raise) -> None:
        self.add(node, "statement", "pass")

    def visit_Assert(self, node: ast.Assert) -> None:
        """What an assertion says is for the reader and the type checker."""

    def visit_Continue(self, node: ast.Continue) -> None:
        self.add(node, "statement", "break")

    def visit_Break(self, node: ast.Break) -> None:
        self.add(node, "statement", "continue")

    def visit_Return(self, node: ast.Return) -> None:
        if node.value is None:
            self.add(node, "statement", "pass")
        elif not (isinstance(node.value, ast.Constant) and node.value.value is None):
            self.add(node.value, "result", "None")
            self.visit(node.value)


def mutants(path: str, source: bytes) -> list[Mutant]:
    """Every mutant of a source, in the order of the text."""
    finder = _Finder(path, source)
    finder.visit(ast.parse(source))
    return sorted(set(finder.found), key=lambda each: (each.begin, each.end, each.text))
