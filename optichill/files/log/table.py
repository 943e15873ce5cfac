"""A measured cool-down, from a table that a logger or a person wrote (CSV), or from a line of readings."""

from __future__ import annotations

import csv
import math
import os
from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from pathlib import Path

import numpy as np

from optichill.arrays import Array
from optichill.errors import InputFault, shown
from optichill.files.log.blocks import LOOKED_AT, Blocks, read_to
from optichill.files.log.cells import BadCell, Clock, Decimals, yes_or_no
from optichill.files.log.checks import (
    MANY,
    SLIPS,
    Expected,
    finished,
    kelvin,
    possible,
    too_cold,
    why_impossible,
)
from optichill.files.log.header import Column, columns
from optichill.files.log.lines import MAKER, lines_of
from optichill.files.log.points import looks_like_points, read_points
from optichill.model.cooldown_log import CooldownLog

MOST_FAULTS = 200
MOST_FLOW = 2e-3  # m3/s: a hundred times a kitchen tap's
MINUTES = {"s": 1.0, "min": 60.0}
FLOWS = {"L_min": 1.0 / 6e4, "gpm": 3.785411784e-3 / 60.0}
OTHERS = ("outlet", "inlet", "flow", "stirred")
NO_FIGURE = {"", "#", " ", "\t"}
"""How a row begins that may be blank, or a remark."""

APART = 3.0
"""Temperatures that differ by more [K] at one and the same time are no two readings of one wort."""


def read_log(
    given: str | Path, expected: Expected, faults: list[InputFault], number: int = 1
) -> CooldownLog | None:
    """A log as it is given: readings in one line, else a file; None where there are faults.

    number : which of several it is, for the name of a line of readings.
    """
    text = str(given)
    if not os.path.exists(text) and looks_like_points(text):
        return read_points(text, expected, faults, number)
    if not text.strip():
        faults.append(InputFault("--log", 0, "file", "", "empty", MAKER))
        return None
    before = len(faults)
    table = _Table(text, faults, expected)
    table.read(Path(text))
    if len(faults) > before:
        return None
    return table.log()


@dataclass
class _Table:
    """One file while it is read."""

    name: str
    faults: list[InputFault]
    expected: Expected
    columns: dict[str, Column] = field(default_factory=dict)
    others: list[Column | None] | None = None
    width: int = 0
    remarks: list[str] = field(default_factory=list)
    decimals: Decimals = field(default_factory=lambda: Decimals(","))
    clock: Clock = field(default_factory=Clock)
    blocks: Blocks = field(default_factory=lambda: Blocks(5))
    before: tuple[float, float, int] | None = None  # time [s], wort [K] and line of the reading before
    written: tuple[list[float], list[float]] = field(default_factory=lambda: ([], []))
    slips: list[InputFault] = field(default_factory=list)  # the first that no wort can be
    spoilt: int = 0
    empty: int = 0
    twice: list[InputFault] = field(default_factory=list)
    cut_short: InputFault | None = None

    def read(self, path: Path) -> None:
        """Header and rows; faults are added."""
        lines = lines_of(path, self.name, self.faults)
        head = next((h for h in _numbered(lines) if h[1].strip(" ,;\t\r\n") and h[1][0] != "#"), None)
        if head is None:
            if not self.faults:
                what = "time_min,wort_degC and a reading a line"
                self.faults.append(InputFault(self.name, 0, "file", "", "empty", what))
            return
        at, header = head
        separator = next((s for s in ";\t" if s in header and "," not in header), ",")
        self.decimals = Decimals(separator)
        try:
            names = [" ".join(c.split()) for c in next(csv.reader([header], delimiter=separator))]
        except csv.Error:
            names = [header.strip()]
        if len(names) < 2:
            self._fault(at, "header", shown(header), *self._no_table(path, names[0]))
            return
        self.width = len(names)
        self.columns = columns(names, at, self.name, self.faults, self.remarks)
        if not self.columns:
            return
        self._rows(csv.reader(lines, strict=True, delimiter=separator), at)
        if self.cut_short is not None and self.cut_short.line != self.last:
            self.faults.append(self.cut_short)

    last: int = 0

    def _no_table(self, path: Path, first: str) -> tuple[str, str]:
        """Why a file with one column is no log."""
        allowed = "time_min,wort_degC in the first line, and a reading a line below"
        if path.suffix == ".toml" or first.startswith("["):
            return "a brewhouse or coil file, not a cool-down log", allowed
        return "one column: no time with its temperature", allowed

    def _rows(self, reader: Iterator[list[str]], before: int) -> None:
        line = before
        try:
            for cells in reader:
                line += 1  # of a log: a cell has no line breaks
                if len(self.faults) >= MOST_FAULTS:
                    return
                if (not cells or cells[0][:1] in NO_FIGURE) and _says_nothing(cells):
                    continue
                self.last = line
                if len(cells) != self.width and not self._right_width(cells, line):
                    continue
                self._row(cells, line)
        except csv.Error as error:
            self._fault(line + 1, "row", "", f"not a CSV row: {error}", 'close every "')

    def _right_width(self, cells: list[str], line: int) -> bool:
        """Whether a row has as many cells as the header, empty ones at its end not counted."""
        while len(cells) > self.width and not cells[-1].strip():
            cells.pop()
        if len(cells) == self.width:
            return True
        reason = f"{len(cells)} cells, the header has {self.width}"
        fault = InputFault(self.name, line, "row", "", reason, "one value a cell")
        if self.cut_short is None and len(cells) < self.width:
            self.cut_short = fault  # the last row of a logger that lost its power
        else:
            self.faults.append(fault)
        return False

    def _row(self, cells: list[str], line: int) -> None:
        """One reading, into its block."""
        column = self.columns.get("time") or self.columns["clock"]
        wort = self.columns["wort"]
        try:
            time = self._time(cells[column.place], line, column)
            column = wort
            number = self.decimals.number(cells[wort.place], line, sure=True)
        except BadCell as bad:
            self._fault(line, column.given, cells[column.place], bad.reason, bad.allowed)
            return
        if math.isnan(time) or math.isnan(number):
            self.empty += 1
            return
        T = kelvin(number, wort.unit)
        if not self._in_order(time, T, line, cells):
            return
        if not possible(T):
            self.spoilt += 1
            if len(self.slips) < MOST_FAULTS:
                reason, allowed = why_impossible(number, wort.unit), "what wort in an open kettle can have"
                if "is it" in reason:
                    allowed = f"{'wort_degF' if wort.unit == 'degC' else 'wort_degC'} in the header"
                self.slips.append(InputFault(self.name, line, wort.given, cells[wort.place], reason, allowed))
            return
        self.before = (time, T, line)
        if len(self.written[0]) < LOOKED_AT:
            self.written[0].append(time)
            self.written[1].append(number)
        self.blocks.add(time, (T, *self._others(cells, line)))

    def _time(self, cell: str, line: int, column: Column) -> float:
        if column.what == "clock":
            return self.clock.seconds(cell) if cell.strip() else math.nan
        return self.decimals.number(cell, line, sure=False) * MINUTES[column.unit]

    def _in_order(self, time: float, T: float, line: int, cells: list[str]) -> bool:
        """Whether a reading comes after the one before; of two at one time that differ a fault is kept."""
        if self.before is None or time > self.before[0]:
            return True
        column = self.columns.get("time") or self.columns["clock"]
        earlier = self.before[2]
        if time < self.before[0]:
            reason = f"earlier than line {earlier}"
            self._fault(line, column.given, cells[column.place], reason, "times in order; one batch a log")
            return False
        if abs(T - self.before[1]) > APART and len(self.twice) < MOST_FAULTS:
            reason = f"the time of line {earlier} again, with another temperature"
            self.twice.append(
                InputFault(self.name, line, column.given, cells[column.place], reason, "a time of its own")
            )
        return True

    def _others(self, cells: list[str], line: int) -> tuple[float, ...]:
        """Outlet and inlet [K], flow [m3/s], stirred; NaN where nothing was read."""
        others = self.others
        if others is None:
            others = self.others = [self.columns.get(what) for what in OTHERS]
        return tuple([math.nan if c is None else self._other(c, cells, line) for c in others])

    def _other(self, column: Column, cells: list[str], line: int) -> float:
        cell = cells[column.place]
        try:
            if column.what == "stirred":
                return yes_or_no(cell)
            number = self.decimals.number(cell, line, sure=column.what != "flow")
        except BadCell as bad:
            self._fault(line, column.given, cell, bad.reason, bad.allowed)
            return math.nan
        if math.isnan(number):
            return number
        if column.what == "flow":
            flow = number * FLOWS[column.unit]
            if not 0.0 <= flow <= MOST_FLOW:
                self._fault(line, column.given, cell, "no flow of a hose", "0 to 120 L/min, 0 to 31 gpm")
            return flow
        T = kelvin(number, column.unit)
        if not possible(T):
            self._fault(line, column.given, cell, why_impossible(number, column.unit), "what water can have")
        return T

    def _fault(self, line: int, key: str, given: str, reason: str, allowed: str) -> None:
        self.faults.append(InputFault(self.name, line, key, given.strip(), reason, allowed))

    # --- what was read, as a log ---------------------------------------------------------------------------

    def log(self) -> CooldownLog | None:
        """The log, or None and its faults."""
        time, rows = self.blocks.arrays()
        wort, column = self.columns["wort"], self.columns.get("time") or self.columns["clock"]
        if not self._spared() or self._are_twice(time.size):
            return None
        self._remark_on_form()
        clocked = column.what == "clock"
        finest = self.clock.finest if clocked else 0.1
        step = read_to([t - self.written[0][0] for t in self.written[0]], 60.0, finest) if time.size else 60.0
        if clocked and time.size:
            time = time - time[0]
        time = self._middle_of_stamps(time)
        log = CooldownLog(
            name=self.name,
            time=time,
            wort=rows[0],
            outlet=_read(rows[1]),
            inlet=_read(rows[2]),
            flow=_read(rows[3]),
            stirred=_read(rows[4]),
            clock=step,
            thermometer=read_to(self.written[1], 1.0, 0.1) / (1.8 if wort.unit == "degF" else 1.0),
            remarks=tuple(self.remarks),
            date=self.clock.date,
        )
        return finished(log, self.name, (column.given, wort.given), wort.unit, self.expected, self.faults)

    def _spared(self) -> bool:
        """Whether readings that no wort can have are few enough to be slips; else they are faults."""
        if not self.spoilt:
            return True
        all_of_it = self.blocks.count + self.spoilt
        if all_of_it < MANY or self.spoilt > max(SLIPS * all_of_it, 1.0):
            self.faults += self._in_the_other_unit() or self.slips
            return False
        first = self.slips[0]
        some = f"{self.spoilt} readings that no wort can have are" if self.spoilt > 1 else "a reading is"
        self.remarks.append(f"{some} left out: line {first.line}, {shown(first.given)}")
        return True

    def _in_the_other_unit(self) -> list[InputFault]:
        """The first of them alone, where all readings make sense in the other unit of temperature."""
        first, wort = self.slips[0], self.columns["wort"]
        if "is it" in first.reason:
            return [first]
        other = "degC" if wort.unit == "degF" else "degF"
        numbers = [*self.written[1], *(self.decimals.number(s.given, s.line, sure=True) for s in self.slips)]
        there = [kelvin(number, other) for number in numbers]
        if not all(map(possible, there)) or too_cold(max(there), other, self.expected):
            return []
        reason = f"{first.reason} in {wort.unit}, and all readings make sense in {other}: is it {other}?"
        return [replace(first, reason=reason, allowed=f"wort_{other} in the header")]

    def _are_twice(self, blocks: int) -> bool:
        """Whether times stand twice that should not: where many share each, the clock is only coarse."""
        if self.twice and 2 * self.blocks.shared < blocks:
            self.faults += self.twice
        return bool(self.faults)

    def _middle_of_stamps(self, time: Array) -> Array:
        """Readings that share each minute of a coarse clock stand for its middle."""
        if time.size < 3 or 2 * self.blocks.shared < time.size or self.blocks.count < 3 * time.size:
            return time
        step = float(np.diff(time).min())
        self.remarks.append(f"readings that share a time are taken for one, {step / 2:.0f} s later")
        return time + 0.5 * step

    def _remark_on_form(self) -> None:
        """What was read otherwise than a plain CSV."""
        sign = " and commas before decimals" if "," in self.decimals.first else ""
        between = {";": "semicolons", "\t": "tabs"}.get(self.decimals.separator)
        if between or sign:
            self.remarks.append(f"read with {between or 'commas'} between cells{sign}")
        if self.empty:
            rows = f"{self.empty} rows" if self.empty > 1 else "a row"
            self.remarks.append(f"{rows} without a time or a temperature left out")
        if self.cut_short is not None:
            self.remarks.append("the last row, which is not whole, left out")


def _says_nothing(cells: list[str]) -> bool:
    """Whether a row is blank or a remark."""
    return not any(cells) or cells[0].startswith("#") or not "".join(cells).strip()


def _numbered(lines: Iterator[str]) -> Iterator[tuple[int, str]]:
    yield from enumerate(lines, 1)


def _read(values: Array) -> Array | None:
    """A column, None where nothing was read in it."""
    return values if np.isfinite(values).any() else None


def with_batch(
    log: CooldownLog, *, place: str | None, volume: float | None, volume_by: str | None
) -> CooldownLog:
    """The log with what is said of its batch, as in CooldownLog; None leaves what it has."""
    return replace(
        log,
        place=place or log.place,
        volume=log.volume if volume is None else volume,
        volume_by=volume_by or log.volume_by,
    )
