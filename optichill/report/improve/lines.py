"""A change to a coil that somebody owns, as lines to write into its files, or as the command that does it."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby
from pathlib import Path

from optichill.errors import shown
from optichill.files.reading import Inputs, is_packaged
from optichill.owned.improve.changes import COIL, Edit
from optichill.owned.improve.ranked import Found
from optichill.report.typed import typed


def written(f: Found, coil: str, inputs: Inputs) -> list[str]:
    """The lines that make it so, or the command."""
    if f.change.kind == "another coil":
        return [saving(inputs, f.change.told["design"].id)]
    tables = groupby(f.change.edits, lambda e: (e.file, e.table))
    return [line for _, edits in tables for line in _lines(list(edits), coil, inputs)]


def _lines(edits: Sequence[Edit], coil: str, inputs: Inputs) -> list[str]:
    """Of one table: what goes, and what is written."""
    first = edits[0]
    file, gone = _file(first, coil, inputs), [e.key for e in edits if e.value is None]
    if not first.table:
        return [f"{file}, {_in_place_of(first, inputs)}", *first.lines]
    name, _, number = first.table.partition("[")
    place = f"{file} [[{name}]] number {number[:-1]}" if number else f"{file} [{name}]"
    lines = [f"{place} take out {', '.join(gone)}"] if gone else []
    for e in edits:
        lines += [f"{place if n == 0 else ' ' * len(place)} {line}" for n, line in enumerate(e.lines)]
    return lines


def _in_place_of(edit: Edit, inputs: Inputs) -> str:
    """Where blocks go, and which go out for them."""
    if edit.file != COIL:
        return f"in place of each [[{edit.key}]] there is:"
    there = inputs.coil is not None and len(inputs.coil.layers) > 1
    return "both [[coil.layer]] go out, and in their place stand:" if there else "below all that is there:"


def _file(edit: Edit, coil: str, inputs: Inputs) -> str:
    """The file's name, without its folder."""
    if edit.file == COIL:
        return shown(Path(coil).name)
    path = inputs.brewhouse.path
    return "brewhouse" if path is None else shown(path.name)


def saving(inputs: Inputs, coil_id: str) -> str:
    """The command that writes the file of an id."""
    path = inputs.brewhouse.path
    given = None if path is None or is_packaged(path) else path
    return typed("recommend", given, "--save-coil", NO_FILE, "--coil", coil_id)


NO_FILE = "coil.toml"
"""What a coil that is found is kept in."""
