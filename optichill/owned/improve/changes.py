"""One thing changed about a brewhouse or a coil, as lines of the two files that say it.

A change is made to what the files hold, and read again by the models that read the files, so that what is
told of it is what the files would say. Values that are chosen are chosen as text, rounded as a person would
write them.
"""

from __future__ import annotations

import copy
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

from optichill.display import FOOT, INCH, POUND, US_GALLON, inch_fraction
from optichill.errors import InputFaults
from optichill.files.coil_file import as_drawn
from optichill.files.faults import Findings
from optichill.files.in_python import coil_of, plain
from optichill.files.reading import Inputs, check_plan, with_remarks
from optichill.model.brewhouse import Brewhouse
from optichill.model.fields import KELVIN

BREWHOUSE, COIL = "brewhouse", "coil"
"""The two files."""


@dataclass(frozen=True)
class Edit:
    """One line of a file. table : as the file names it, entries of a list counted from 1 ("cooling[2]"), ""
    at the top; value : as it is to be written, None where the line goes; a list of tables at the top stands
    in place of all of that name ("cooling", "coil.layer"), in blocks of their own."""

    file: str
    table: str
    key: str
    value: Any

    @property
    def lines(self) -> tuple[str, ...]:
        """The lines to write; none where one goes."""
        if self.value is None:
            return ()
        if isinstance(self.value, list) and not self.table:
            return tuple(line for table in self.value for line in _block(self.key, table))
        return (f"{self.key} = {toml(self.value)}",)


@dataclass(frozen=True)
class Change:
    """What is done, as edits that belong together. kind : of what sort; told : figures and words' keys that
    its sentence needs, SI; buys : money for what the lists have of it, None where they do not have it;
    hours : of work, once; risks : what may be spoilt [money]."""

    kind: str
    edits: tuple[Edit, ...]
    told: Mapping[str, Any] = field(default_factory=dict)
    buys: float | None = 0.0
    hours: float = 0.0
    risks: float = 0.0

    @property
    def places(self) -> frozenset[tuple[str, str, str]]:
        """What it changes; two changes that share one do not go together."""
        found = {(e.file, e.table, e.key) for e in self.edits}
        return frozenset(found | {(e.file, e.table.split("[")[0], "") for e in self.edits if "[" in e.table})

    def clashes(self, other: Change) -> bool:
        """Whether both want the same line, or one writes anew what the other has a line in."""
        whole = {(e.file, e.key, "") for c in (self, other) for e in c.edits if isinstance(e.value, list)}
        mine, yours = self.places, other.places
        return bool(mine & yours - {p for p in mine if p[2] == ""}) or bool(whole & (mine | yours))


def changed(inputs: Inputs, edits: Sequence[Edit]) -> Inputs | None:
    """What was read, with the edits made and everything checked anew; None where the files would be refused.

    Examples
    --------
    >>> from optichill.files.reading import load
    >>> then = changed(load(), [Edit("brewhouse", "wort", "mixing", "steady")])
    >>> then.brewhouse.wort.mixing
    'steady'
    >>> changed(load(), [Edit("brewhouse", "kettle", "inside_height", "9 m")]) is None
    True
    """
    tables: dict[str, Any] = {BREWHOUSE: plain(inputs.brewhouse), COIL: plain(inputs.coil)}
    for edit in edits:
        _make(tables[edit.file], edit)
    try:
        brewhouse = inputs.brewhouse
        if any(edit.file == BREWHOUSE for edit in edits):
            brewhouse = Brewhouse.model_validate(tables[BREWHOUSE])
        coil = None if inputs.coil is None else coil_of(tables[COIL])
        faults = Findings()
        check_plan(brewhouse, inputs.stock, "", {(): 0}, faults)
        return None if faults else with_remarks(replace(inputs, brewhouse=brewhouse, coil=coil))
    except (InputFaults, ValueError):  # also where the kettle says that the coil cannot stand so
        return None


def _make(tables: dict[str, Any], edit: Edit) -> None:
    """One edit, in the tables of its file."""
    names = [name for name in (*edit.table.split("."), *edit.key.split(".")) if name and name != COIL]
    place, own = tables, names.pop()
    for name in names:
        key, _, number = name.partition("[")
        place = place.setdefault(key, {})
        place = place[int(number[:-1]) - 1] if number else place
    for name in {own, *_FIELDS.get(own, ())}:
        place.pop(name, None)
    if edit.value is not None:
        place[own] = copy.deepcopy(edit.value)


_FIELDS = {
    "layer": ("layers",),
    "return": ("return_",),
    "volume": ("smallest_volume",),
}
"""Keys as the models name them, which a key of the file stands for."""


# --- as a file has it -----------------------------------------------------------------------------


def toml(value: Any) -> str:
    """A value as TOML has it, on one line.

    Examples
    --------
    >>> toml({"with": "paddle", "seconds_a_minute": 30, "brisk": True})
    '{ with = "paddle", seconds_a_minute = 30, brisk = true }'
    """
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, Mapping):
        return f"{{ {', '.join(f'{key} = {toml(inner)}' for key, inner in value.items())} }}"
    if isinstance(value, list):
        return f"[{', '.join(map(toml, value))}]"
    if isinstance(value, str):
        escaped = value.replace("\\", "\\\\").replace('"', '\\"')
        return f'"{escaped}"'
    return f"{value:.10g}"


def _block(name: str, table: Mapping[str, Any]) -> list[str]:
    """A table of a list, with the tables in it after its own keys."""
    plainly = {key: value for key, value in table.items() if not isinstance(value, Mapping)}
    lines = [f"[[{name}]]", *(f"{key} = {toml(value)}" for key, value in plainly.items())]
    for key, inner in table.items():
        if isinstance(inner, Mapping):
            lines += [f"[{name}.{key}]", *(f"{k} = {toml(value)}" for k, value in inner.items())]
    return lines


_KINDS = {
    "until": "temperature",
    "water_temperature": "temperature",
    "water": "volume",
    "bucket": "volume",
    "ice": "mass",
    "weight": "mass",
    "hold": "time",
    "flow": "flow",
    "lift": "length",
    **dict.fromkeys(
        ("outer_diameter", "wall", "mean_diameter", "pitch", "lowest_turn_height", "riser_length_in",
         "riser_length_out", "riser_bend_radius", "outside_across", "inside_across", "string_round",
         "overall_height", "bought_length", "feet_height", "hangs_below_rim"),
        "length",
    ),
}  # fmt: skip
"""Of the keys of a stage and of a coil those that are quantities."""

_METRIC = {"volume": (1e-3, "L"), "mass": (1.0, "kg"), "time": (60.0, "min")}
_US = {"volume": (US_GALLON, "gal"), "mass": (POUND, "lb"), "time": (60.0, "min")}


def quantity(value: float, kind: str, units: str) -> str:
    """An SI value as a file has it, to ten digits; in the other units where it was said in those.

    Examples
    --------
    >>> quantity(0.0254, "length", "metric"), quantity(308.15, "temperature", "us")
    ('25.4 mm', '95 degF')
    >>> quantity(0.010, "volume", "us"), quantity(2.5 * US_GALLON, "volume", "us")
    ('10 L', '2.5 gal')
    """
    if kind == "length":
        return stated(value, units)
    if kind == "temperature":
        return f"{value * 1.8 - 459.67:.10g} degF" if units == "us" else f"{value - KELVIN:.10g} degC"
    if kind == "flow":
        return f"{value * 6e4:.10g} L/min"
    both = (_US, _METRIC) if units == "us" else (_METRIC, _US)
    said = [f"{value / size:.10g} {name}" for size, name in (table[kind] for table in both)]
    return said[1] if len(said[0]) > LONG_FIGURE >= len(said[1]) else said[0]


LONG_FIGURE = 9
"""Letters of an amount from which on nobody wrote it so (OWN)."""


def table_of(model: Any, units: str) -> dict[str, Any]:
    """A model's table as a file would have it, all that was stated of it.

    Examples
    --------
    >>> from optichill.model.cooling import CoolingStage
    >>> table_of(CoolingStage(source="bucket", water=0.020, return_="drain"), "metric")
    {'source': 'bucket', 'water': '20 L', 'return': 'drain'}
    """
    return _told(plain(model), units)


def _told(raw: Mapping[str, Any], units: str) -> dict[str, Any]:
    names = {"return_": "return", "layers": "layer", "with_": "with"}
    return {names.get(key, key): _value(key, value, units) for key, value in raw.items()}


def _value(key: str, value: Any, units: str) -> Any:
    if isinstance(value, Mapping):
        return _told(value, units)
    if isinstance(value, list):
        return [_value(key, inner, units) for inner in value]
    written = isinstance(value, str | bool) or key not in _KINDS
    return value if written else quantity(float(value), _KINDS[key], units)


def length(metres: float, units: str, *, up: bool = False) -> str:
    """A length as somebody writes it who measures it off: whole millimetres or 16ths of an inch, to the side
    that keeps a bound.

    Examples
    --------
    >>> length(0.02976, "metric"), length(0.02976, "metric", up=True), length(0.0301, "us")
    ('29 mm', '30 mm', '1 1/8 in')
    """
    whole = math.ceil if up else math.floor
    if units != "us":
        return f"{whole(metres * 1e3 + (-HAIR if up else HAIR))} mm"
    return inch_fraction(whole(metres / INCH * 16 + (-HAIR if up else HAIR)) * INCH / 16.0)


def long_length(metres: float, units: str) -> str:
    """A long piece of tube as it is told to a shop: up to hundredths of a metre, or tenths of a foot.

    Examples
    --------
    >>> long_length(27.337, "metric"), long_length(27.337, "us")
    ('27.34 m', '89.7 ft')
    """
    size, parts, name = (FOOT, 10, "ft") if units == "us" else (1.0, 100, "m")
    return f"{math.ceil(metres / size * parts - HAIR) / parts:.10g} {name}"


def written_in(told: Mapping[str, Any], units: str) -> str:
    """The system in which the sizes of a table stand, those of the brewhouse where none tells.

    Examples
    --------
    >>> written_in({"pitch": "14 mm", "turns": 9.0}, "us"), written_in({"turns": 9.0}, "us")
    ('metric', 'us')
    """
    ends = [text.split()[-1] for text in told.values() if isinstance(text, str) and text.strip()]
    metric, us = (sum(end in names for end in ends) for names in (("mm", "cm", "m"), ("in", "ft")))
    return units if metric == us else "metric" if metric > us else "us"


def hose(metres: float, units: str) -> str:
    """A hose as it is cut: down to tenths of a metre or to half feet.

    Examples
    --------
    >>> hose(3.77, "metric"), hose(3.77, "us")
    ('3.7 m', '12 ft')
    """
    size, parts, name = (FOOT, 2, "ft") if units == "us" else (1.0, 10, "m")
    return f"{math.floor(metres / size * parts + HAIR) / parts:.10g} {name}"


def stated(metres: float, units: str) -> str:
    """A size that stands in the file, or is a tube's, as it was most likely said: in fractions of an inch
    where it is some, else in millimetres or inches as drawn.

    Examples
    --------
    >>> stated(0.247, "metric"), stated(0.2635250, "us"), stated(0.01, "us"), stated(0.0006096, "us")
    ('247 mm', '10 3/8 in', '10 mm', '0.024 in')
    """
    parts = metres / INCH * 64
    if units == "us" and abs(parts - round(parts)) < 1e-4:
        return inch_fraction(metres, 64)
    thousandths = metres / INCH * 1000
    if units == "us" and abs(thousandths - round(thousandths)) < 1e-4:
        return f"{round(thousandths) / 1000:.10g} in"
    return f"{as_drawn(metres)} mm"


def wall(metres: float, units: str) -> str:
    """A wall as a caliper reads it.

    Examples
    --------
    >>> wall(0.00098765, "metric"), wall(0.00061, "us")
    ('0.99 mm', '0.024 in')
    """
    size, parts, name = (INCH, 1000, "in") if units == "us" else (1e-3, 100, "mm")
    return f"{round(metres / size * parts) / parts:.10g} {name}"


HAIR = 1e-6
"""Of a step: what is whole but for rounding stays."""


def degrees(T: float, units: str) -> str:
    """A temperature [K] as a thermometer is read: to whole degrees.

    Examples
    --------
    >>> degrees(308.4, "metric"), degrees(308.4, "us")
    ('35 degC', '95 degF')
    """
    return f"{T * 1.8 - 459.67:.0f} degF" if units == "us" else f"{T - KELVIN:.0f} degC"


def ice(kilograms: float, units: str) -> str:
    """Ice as it is weighed out, to a tenth up.

    Examples
    --------
    >>> ice(6.54, "metric"), ice(2.0, "us")
    ('6.6 kg', '4.5 lb')
    """
    size, name = (POUND, "lb") if units == "us" else (1.0, "kg")
    return f"{math.ceil(10.0 * kilograms / size - HAIR) / 10.0:.10g} {name}"


def flow(cubic: float, units: str) -> str:
    """A flow [m3/s] as a bucket and a clock tell it: to a tenth of a litre a minute.

    Examples
    --------
    >>> flow(3.33e-3 / 60, "metric"), flow(3.33e-3 / 60, "us")
    ('3.3 L/min', '0.88 gpm')
    """
    if units == "us":
        return f"{round(cubic / US_GALLON * 60.0, 2):.10g} gpm"
    return f"{round(cubic * 6e4, 1):.10g} L/min"
