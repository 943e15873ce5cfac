"""Where a key stands in a TOML text."""

from __future__ import annotations

import tomllib

import pytest
from hypothesis import given
from hypothesis import strategies as st

from optichill.files.reading import packaged
from optichill.files.toml_lines import key_lines, line_of

TEXT = '''\
# a comment with [brackets] and = signs
name = "a # not a comment"

[kettle]
inside_diameter = "36 cm"   # [not.a.table]
"mouth" = '35 cm'
part = [
  { what = "well", where = "wall" },   # one
  { what = "dip ] tube" },
]
note = """
[cooling]
fake = 1
"""

[[cooling]]
source = "tap"
until = "35 degC"

[[cooling]]
source = "ice bath"
[cooling.precooler]
wall = "1 mm"

[limits]
chill_time = { within = "30 min", chance = 0.9 }
a.b.c = 3
'''


@pytest.mark.parametrize(
    ("path", "needle"),
    [
        (("name",), "name ="),
        (("kettle",), "[kettle]"),
        (("kettle", "inside_diameter"), "inside_diameter"),
        (("kettle", "mouth"), '"mouth"'),
        (("kettle", "part", 0, "what"), "well"),
        (("kettle", "part", 1, "what"), "dip"),
        (("cooling", 0), "[[cooling]]"),
        (("cooling", 0, "until"), "until"),
        (("cooling", 1, "source"), '"ice bath"'),
        (("cooling", 1, "precooler", "wall"), "wall = "),
        (("limits", "chill_time", "chance"), "chance"),
        (("limits", "a", "b", "c"), "a.b.c"),
    ],
)
def test_line_of_a_key(path: tuple[str | int, ...], needle: str) -> None:
    lines = TEXT.splitlines()
    first = next(n for n, line in enumerate(lines, start=1) if needle in line)
    assert key_lines(TEXT)[path] == first


def test_text_inside_strings_is_no_key() -> None:
    assert not any("fake" in path for path in key_lines(TEXT))


def test_an_absent_key_is_at_its_table() -> None:
    lines = key_lines(TEXT)
    assert line_of(lines, ("kettle", "inside_height")) == lines[("kettle",)]
    assert line_of(lines, ("wort", "volume")) == 1


def _paths(value: object, path: tuple[str | int, ...] = ()) -> set[tuple[str | int, ...]]:
    found = {path}
    if isinstance(value, dict):
        for key, inner in value.items():
            found |= _paths(inner, (*path, key))
    if isinstance(value, list):
        for place, inner in enumerate(value):
            found |= _paths(inner, (*path, place))
    return found


@pytest.mark.parametrize("name", ["brewhouse.toml", "us/brewhouse.toml"])
def test_finds_what_the_standard_reader_finds_in_the_examples(name: str) -> None:
    text = packaged(name).read_text(encoding="utf-8")
    assert set(key_lines(text)) == _paths(tomllib.loads(text))


_SCALARS = st.sampled_from(
    ['"a"', "'b'", "1", "-2.5", "true", "2026-11-01", '"""x\n[y]\n"""', "'''k = 1\n'''", '"\\"#"', "07:30:00"]
)
_VALUES = st.recursive(
    _SCALARS,
    lambda inner: (
        st.lists(inner, max_size=3).map(lambda v: "[ # c\n" + ",\n".join(v) + "\n]")
        | st.lists(inner, max_size=2).map(
            lambda v: "{" + ", ".join(f"k{n} = {x}" for n, x in enumerate(v)) + "}"
        )
    ),
    max_leaves=6,
)


_HEADERS = st.sampled_from(["t", "u.v", '"q r"', "[w]", "[w.x]"])


@given(st.lists(st.tuples(_HEADERS, st.lists(_VALUES, max_size=3))))
def test_finds_what_the_standard_reader_finds(tables: list[tuple[str, list[str]]]) -> None:
    text = ""
    for header, values in tables:
        text += f"[{header}]\n" + "".join(f"key{n}.d = {value} # x\n" for n, value in enumerate(values))
    try:
        read = tomllib.loads(text)
    except tomllib.TOMLDecodeError:  # a table given twice
        return
    assert set(key_lines(text)) == _paths(read)
