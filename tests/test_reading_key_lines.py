"""The lines of keys in a TOML text."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass, field

import pytest
from hypothesis import given
from hypothesis import strategies as st

from optimiser.reading.key_lines import KeyPath, key_lines

SAMPLE = '''# a comment with [brackets] and "quotes
name = """
not = "a key"
[not.a.table]
""" # behind it
"two words" = 'its'
a.b."c.d" = { x = 1, "y#" = [1, { z = "}" }], w = 'a}b' }

[shelf]   # comment
use = [   # more
  "one", # ["
  """two
lines""",
  [ 1,
    2 ],
]
"say \\"hi\\"" = 1979-05-27 07:32:00
[deep."er".one]
k = """it's"""
[[many]]
x = 1
[many.sub]
y = 2
[[many]]
x = 3
'''


def lines_of(text: str) -> dict[KeyPath, int]:
    return key_lines(text, tomllib.loads(text))


def test_every_form_of_key_is_found() -> None:
    """Strings, comments, lists over lines, dotted keys and tables of every form are told apart."""
    assert lines_of(SAMPLE) == {
        ("name",): 2,
        ("two words",): 6,
        ("a",): 7,
        ("a", "b"): 7,
        ("a", "b", "c.d"): 7,
        ("a", "b", "c.d", "x"): 7,
        ("a", "b", "c.d", "y#"): 7,
        ("a", "b", "c.d", "y#", 0): 7,
        ("a", "b", "c.d", "y#", 1): 7,
        ("a", "b", "c.d", "y#", 1, "z"): 7,
        ("a", "b", "c.d", "w"): 7,
        ("shelf",): 9,
        ("shelf", "use"): 10,
        ("shelf", "use", 0): 11,
        ("shelf", "use", 1): 12,
        ("shelf", "use", 2): 14,
        ("shelf", "use", 2, 0): 14,
        ("shelf", "use", 2, 1): 15,
        ("shelf", 'say "hi"'): 17,
        ("deep",): 18,
        ("deep", "er"): 18,
        ("deep", "er", "one"): 18,
        ("deep", "er", "one", "k"): 19,
        ("many",): 20,
        ("many", 0): 20,
        ("many", 0, "x"): 21,
        ("many", 0, "sub"): 22,
        ("many", 0, "sub", "y"): 23,
        ("many", 1): 24,
        ("many", 1, "x"): 25,
    }


@pytest.mark.parametrize(
    "text",
    [
        'a = """x"""\nb = 1',
        'a = """x\\""""\nb = 1',
        'a = """"x"""""\nb = 1',
        "a = ''''x'''''\nb = 1",
        'a = "\\\\"\nb = 1',
        "a = ''\nb = 1",
        'a = ""\nb = 1',
        "a = [] # ]\nb = 1",
        "a = {}\nb = 1",
        "a = [[], [[]]]\nb = 1",
        "a = 1e5 # = 3\nb = 1",
        "a = [1,2,]\nb = 1",
        '"a#" = 1\nb = 1',
        "a = 07:32:00\n\tb = 1",
        "a.1.c = true\nb=1",
    ],
)
def test_what_ends_a_value_is_seen(text: str) -> None:
    """A key behind a difficult value stands on the second line."""
    assert lines_of(text)[("b",)] == 2


def test_another_structure_gives_no_lines() -> None:
    """Where the keys are not those of the standard reader no line is given at all."""
    assert key_lines("a = 1\n", {"b": 1}) == {}
    assert key_lines("a =\n", {"a": 1}) == {}


@dataclass
class Written:
    """A TOML text as it grows, with the lines of its keys as they are written."""

    text: str = ""
    lines: dict[KeyPath, int] = field(default_factory=dict)

    def add(self, piece: str) -> None:
        self.text += piece

    def note(self, path: KeyPath) -> None:
        self.lines.setdefault(path, self.text.count("\n") + 1)


NASTY = st.text(alphabet="ab=[]{}#,.\"' \\é", max_size=8)
KEYS = st.text(alphabet="ab1-_ .#[]='\"é", min_size=1, max_size=4)
GAPS = st.sampled_from(["", " ", "\n", " # x = [1\n", "\n  \n"])
VALUES = st.recursive(
    st.integers() | st.booleans() | NASTY,
    lambda inner: (
        st.lists(inner, max_size=3) | st.dictionaries(KEYS, inner, min_size=1, max_size=3)
    ),
    max_leaves=8,
)


def key_text(key: str, draw: st.DataObject) -> str:
    bare = all(letter.isascii() and (letter.isalnum() or letter in "-_") for letter in key)
    if bare and draw.draw(st.booleans()):
        return key
    if "'" not in key and draw.draw(st.booleans()):
        return f"'{key}'"
    return '"' + key.replace("\\", "\\\\").replace('"', '\\"') + '"'


def put_text(value: str, draw: st.DataObject, into: Written) -> None:
    basic = value.replace("\\", "\\\\").replace('"', '\\"')
    forms = [f'"{basic}"', f'"""\n{basic}"""', f'"""\n\n{basic}\n"""']
    if "'" not in value:
        forms += [f"'{value}'", f"'''\n{value}\n'''"]
    into.add(draw.draw(st.sampled_from(forms)))


def put_value(value: object, path: KeyPath, draw: st.DataObject, into: Written) -> None:
    if isinstance(value, bool):
        into.add(str(value).lower())
    elif isinstance(value, int):
        into.add(str(value))
    elif isinstance(value, str):
        put_text(value, draw, into)
    elif isinstance(value, list):
        into.add("[")
        for place, item in enumerate(value):
            into.add(draw.draw(GAPS))
            into.note((*path, place))
            put_value(item, (*path, place), draw, into)
            into.add(draw.draw(GAPS) + ",")
        into.add(draw.draw(GAPS) + "]")
    else:
        assert isinstance(value, dict)
        into.add("{ ")
        for place, (key, item) in enumerate(value.items()):
            into.add(", " if place else "")
            into.note((*path, key))
            into.add(key_text(key, draw) + " = ")
            put_value(item, (*path, key), draw, into)
        into.add(" }")


@given(
    tables=st.dictionaries(KEYS, st.dictionaries(KEYS, VALUES, max_size=3), max_size=4),
    draw=st.data(),
)
def test_lines_are_those_written(tables: dict[str, dict[str, object]], draw: st.DataObject) -> None:
    """Whatever is written, each key is found on the line on which it was put."""
    into = Written()
    for name, entries in tables.items():
        into.add(draw.draw(st.sampled_from(["", "\n", "# [x]\n"])))
        into.note((name,))
        into.add(f"[ {key_text(name, draw)} ] # y = 1\n")
        for key, value in entries.items():
            into.note((name, key))
            into.add(f"{key_text(key, draw)} = ")
            put_value(value, (name, key), draw, into)
            into.add("  # 'end\n")
    tomllib.loads(into.text)
    assert lines_of(into.text) == into.lines
