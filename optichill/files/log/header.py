"""The header of a cool-down log: what each column holds, and in which unit."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

from optichill.errors import InputFault, shown
from optichill.spellings import meaning

COLUMNS: dict[str, tuple[str, ...]] = {
    "time": ("time_s", "time_min"),
    "clock": ("clock",),
    "wort": ("wort_degC", "wort_degF"),
    "outlet": ("outlet_degC", "outlet_degF"),
    "inlet": ("inlet_degC", "inlet_degF"),
    "flow": ("flow_L_min", "flow_gpm"),
    "stirred": ("stirred",),
}
"""What is read, and how its column is called, with the unit."""

ALLOWED = "time_s, time_min or clock, with wort_degC or wort_degF; outlet_, inlet_degC, flow_L_min, stirred"
UNITS = {"s": "s", "min": "min", "degC": "degC", "degF": "degF", "L/min": "L_min", "gpm": "gpm"}
"""Units by their own name, and as they stand in the name of a column."""

_HEAD = re.compile(r"(time|wort|outlet|inlet|flow)[\s_,]*[(\[]?\s*(.*?)\s*[)\]]?", re.IGNORECASE)


@dataclass(frozen=True)
class Column:
    """One column that is read. place : from 0; name : as the contract has it; given : as the file has it."""

    what: str
    place: int
    name: str
    given: str

    @cached_property
    def unit(self) -> str:
        """ "s", "min", "degC", "degF", "L_min", "gpm", or "" of what has none."""
        return self.name.partition("_")[2]


def columns(
    header: Sequence[str], line: int, name: str, faults: list[InputFault], remarks: list[str]
) -> dict[str, Column]:
    """Columns by what they hold; empty, with faults, where a log cannot be read from them."""
    found: dict[str, list[Column]] = {}
    others, bare = [], []
    for place, cell in enumerate(header):
        what, called = _meant(cell)
        if called:
            found.setdefault(what, []).append(Column(what, place, called, cell))
        elif what:
            bare.append((what, cell))
        elif cell:
            others.append(cell)
    before = len(faults)
    for what, cell in bare:
        if what not in found:
            reason = "its unit is missing or not known"
            names = (*COLUMNS[what], *(COLUMNS["clock"] if what == "time" else ()))
            faults.append(InputFault(name, line, cell, "", reason, " or ".join(names)))
    _one_of_each(found, line, name, faults, remarks)
    _needed(found, [what for what, _ in bare], line, name, faults)
    if len(faults) > before:
        return {}
    read_as = [f"{shown(c[0].given)} as {c[0].name}" for c in found.values() if c[0].given != c[0].name]
    if read_as:
        remarks.append(f"read {', '.join(read_as)}")
    if others:
        remarks.append(f"columns that are not read: {shown(', '.join(others), 200)}")
    return {what: cells[0] for what, cells in found.items()}


def _meant(cell: str) -> tuple[str, str]:
    """What a column holds and its name in the contract; no name where its unit is none, nothing at all where
    it is another column."""
    plain = cell.strip()
    for what, names in COLUMNS.items():
        for name in names:
            if plain.lower() == name.lower():
                return what, name
    head = _HEAD.fullmatch(plain)
    if head is None:
        return "", ""
    what, unit = head[1].lower(), meaning(re.sub("(?i)l_min$", "L/min", head[2]))
    name = f"{what}_{UNITS.get(unit, '')}"
    if name in COLUMNS[what]:
        return what, name
    # "wort" alone, or with a unit that nobody knows, is surely meant; "wort top" may be anything.
    return (what, "") if not head[2] or unit or len(head[2]) <= 3 else ("", "")


def _one_of_each(
    found: dict[str, list[Column]], line: int, name: str, faults: list[InputFault], remarks: list[str]
) -> None:
    for what, cells in found.items():
        if len(cells) > 1:
            told = ", ".join(c.given for c in cells)
            reason = f"{what} stands in {len(cells)} columns: {told}"
            faults.append(
                InputFault(name, line, cells[1].given, "", reason, "one of them; rename the others")
            )
    if "time" in found and "clock" in found:
        remarks.append(f"{found['time'][0].name} is read, clock is not")
        found.pop("clock")


def _needed(
    found: dict[str, list[Column]], bare: list[str], line: int, name: str, faults: list[InputFault]
) -> None:
    if not {"time", "clock"} & {*found, *bare}:
        faults.append(InputFault(name, line, "time", "", "the column is missing", ALLOWED))
    if "wort" not in {*found, *bare}:
        faults.append(InputFault(name, line, "wort", "", "the column is missing", ALLOWED))
