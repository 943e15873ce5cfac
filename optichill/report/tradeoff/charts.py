"""What the page draws: fields of marks in percent of their plot, so that they fit any width with no script.

Everything that does not move is drawn here: axes, marks, limits, and what stands out before anything is
chosen. The script only moves what it is asked to: it reads the same ends and counts in the same percent.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal
from typing import Any

import numpy as np

SHAPES = (
    "M-5.5,0a5.5,5.5 0 1,0 11,0a5.5,5.5 0 1,0 -11,0z",
    "M-5,-5h10v10h-10z",
    "M0,-6.5 6,5.5H-6z",
    "M0,-7.5 6,0 0,7.5 -6,0z",
)
"""Outline of a mark by band of work: circle, square, triangle, diamond [px]."""

PLUS = "M-3,0H3M0,-3V3"
"""Drawn in the mark of a coil that lies beyond the lists [px]."""

BETTER = {"time": "quicker", "cost": "cheaper", "water": "less water", "work": "easier"}
MARKS_MOST = 1200
"""Marks of a chart: past it one in some is drawn, all can be chosen (OWN: what stays quick to redraw)."""


@dataclass(frozen=True)
class Axis:
    """What an axis spans, in the unit of its goal; at : where a value stands [%], up from the lower end."""

    low: float
    high: float

    def at(self, value: float) -> float:
        return round(100.0 * (value - self.low) / (self.high - self.low), 2)

    def ticks(self, most: int) -> list[tuple[float, str]]:
        """Round values that fall on the axis: where [%], and as text."""
        return [(self.at(v), words) for v, words in round_values(self.low, self.high, most)]


def round_values(low: float, high: float, most: int) -> list[tuple[float, str]]:
    """At most so many values 1, 2 or 5 x 10^n apart, from low to high."""
    rough = (high - low) / max(most, 1)
    power = 10.0 ** math.floor(math.log10(rough))
    step = next(s * power for s in (1.0, 2.0, 5.0, 10.0) if s * power >= rough * (1.0 - 1e-9))
    decimals = max(0, -math.floor(math.log10(step) + 1e-9))
    first, last = math.ceil(low / step - 1e-9), math.floor(high / step + 1e-9)
    return [(k * step, f"{k * step:.{decimals}f}") for k in range(first, last + 1)]


def varies(data: dict[str, Any], key: str) -> bool:
    """Whether a goal, as it is read, differs between any two coils."""
    goal = by_key(data)[key]
    return len({shown(design[key], goal) for design in data["designs"]}) > 1


def fields(data: dict[str, Any]) -> list[dict[str, Any]]:
    """The charts of marks: time against cost, and against water where water differs."""
    if not varies(data, "time"):
        return []
    return [_field(data, key) for key in ("cost", "water") if varies(data, key)]


def _field(data: dict[str, Any], key: str) -> dict[str, Any]:
    goals = by_key(data)
    across, up = goals["time"], goals[key]
    x, y = _axis(data, across), _axis(data, up, above=0.1)
    coils = [d for d in firsts(data["designs"])]
    every = -(-len(coils) // MARKS_MOST)
    # A valve costs nothing to shut: for water every setting counts.
    walked = steps(data["designs"] if key == "water" else coils, key)
    line, drawn = {d["id"] for d in walked}, {d["id"] for d in coils}
    marks = [
        (d, x.at(d["time"]), round(100.0 - y.at(d[key]), 2), d["id"] in line)
        for i, d in enumerate(coils)
        if i % every == 0 or d["id"] in line or d["rank"]
    ]
    return {
        "key": key,
        "x": x,
        "y": y,
        "across": across,
        "up": up,
        "x_ticks": x.ticks(6),
        "y_ticks": [(round(100.0 - at, 2), words) for at, words in y.ticks(6)],
        "x_least": _least(x, across),
        "y_least": None if (at := _least(y, up)) is None else round(100.0 - at, 2),
        "marks": marks,
        "one_in": every,
        "line": path([(x.at(d["time"]), 100.0 - y.at(d[key])) for d in walked]),
        "shut": [
            (d, x.at(d["time"]), round(100.0 - y.at(d[key]), 2)) for d in walked if d["id"] not in drawn
        ],
        "labels": _labels(data, walked, key, x, y),
        "finding": findings(data)[key],
    }


def _axis(data: dict[str, Any], goal: dict[str, Any], above: float = 0.06) -> Axis:
    """All coils and the physical limit, whatever is left, so that nothing jumps."""
    low, high = extent(data, goal["key"])
    if goal["least"] is not None:
        low = min(low, float(goal["least"]))
    span = (high - low) or max(abs(high), 1.0)
    return Axis(max(0.0, low - 0.07 * span) if low >= 0.0 else low - 0.07 * span, high + above * span)


def _least(axis: Axis, goal: dict[str, Any]) -> float | None:
    return None if goal["least"] is None else axis.at(float(goal["least"]))


def firsts(designs: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """Of each physical coil the setting of its valve that every other paper numbers, else with the valve open
    where that is here, else the one that ranks best."""
    seen: dict[int, dict[str, Any]] = {}
    for design in sorted(designs, key=lambda d: (not d["rank"], bool(d["setting"]))):
        seen.setdefault(design["coil"], design)
    kept = {id(design) for design in seen.values()}
    return [design for design in designs if id(design) in kept]


def steps(designs: list[dict[str, Any]], key: str) -> list[dict[str, Any]]:
    """The quickest, then each next slower one that has less of the other goal."""
    found: list[dict[str, Any]] = []
    for design in sorted(designs, key=lambda d: (d["time"], d[key])):
        if not found or design[key] < found[-1][key]:
            found.append(design)
    return found


def path(points: list[tuple[float, float]]) -> str:
    """A line of steps through points in percent, from the upper edge to the right one."""
    if not points:
        return ""
    (x0, y0), rest = points[0], points[1:]
    return f"M{x0:g},0V{y0:.2f}" + "".join(f"H{x:g}V{y:.2f}" for x, y in rest) + "H100"


def _set_so(words: str, design: dict[str, Any]) -> str:
    """With how the valve stands, where that is not as the other chart has it."""
    return f"{words} ({design['setting']})" if design["setting"] else words


def _labels(
    data: dict[str, Any], line: list[dict[str, Any]], key: str, x: Axis, y: Axis
) -> list[dict[str, Any]]:
    """Names of the few marks that a person looks for: words, where [%]."""
    named: dict[str, list[str]] = {}
    named.setdefault(line[0]["id"], []).append(_set_so("quickest", line[0]))
    least = "cheapest" if key == "cost" else "least water of all"
    named.setdefault(line[-1]["id"], []).append(_set_so(least, line[-1]))
    if data["shortlist"]:
        named.setdefault(data["shortlist"][0], []).insert(0, "chosen")
    by_id = {d["id"]: d for d in data["designs"]}
    return [
        {
            "words": ", ".join(words),
            "x": x.at(by_id[name]["time"]),
            "y": round(100.0 - y.at(by_id[name][key]), 2),
        }
        for name, words in named.items()
    ]


# --- one coil's chill --------------------------------------------------------------------------------------


def curve(data: dict[str, Any]) -> dict[str, Any] | None:
    """The cool-down of the first coil: what is shown until another is chosen, or where scripts are off."""
    one = data["details"].get(data["shortlist"][0]) if data["shortlist"] else None
    if one is None or not one["curve"]["minutes"]:
        return None
    minutes, wort = one["curve"]["minutes"], one["curve"]["wort"][: len(one["curve"]["minutes"])]
    x = Axis(0.0, max(minutes[-1], 1.0))
    low, high = min([*wort, data["target"]]), max(wort)
    y = Axis(low - 0.04 * ((high - low) or 1.0), high)
    points = [f"{x.at(m):g},{100.0 - y.at(T):.2f}" for m, T in zip(minutes, wort, strict=True)]
    return {
        "line": "M" + "L".join(points),
        "x_ticks": x.ticks(6),
        "y_ticks": [(round(100.0 - at, 2), words) for at, words in y.ticks(5)],
        "target": round(100.0 - y.at(data["target"]), 2),
        "changes": [(x.at(m), words) for m, words in one["changes"]],
    }


# --- in words ----------------------------------------------------------------------------------------------


def findings(data: dict[str, Any]) -> dict[str, str]:
    """What each chart shows, said in words."""
    goals = by_key(data)
    time, cost, water = goals["time"], goals["cost"], goals["water"]
    return {
        "cost": _ends(data, time, cost, "costs", "cheapest"),
        "water": _ends(data, time, water, "uses", "thriftiest"),
    }


def _ends(data: dict[str, Any], time: dict[str, Any], other: dict[str, Any], verb: str, most: str) -> str:
    designs = data["designs"] if other["key"] == "water" else firsts(data["designs"])
    quick = min(designs, key=lambda d: (d["time"], d[other["key"]]))
    spare = min(designs, key=lambda d: (d[other["key"]], d["time"]))
    low, high = (f([d[other["key"]] for d in designs]) for f in (min, max))
    said = (
        f"{_capital(other['label'])} from {shown(low, other)} to {measured(high, other)}; the quickest, "
        f"{measured(quick['time'], time)}, {verb} {measured(quick[other['key']], other)}; the {most}, "
        f"{measured(spare[other['key']], other)}, takes {measured(spare['time'], time)}."
    )
    limits = [f"Red: {goal['least_words']}." for goal in (time, other) if goal["least"] is not None]
    return " ".join([said, *limits])


def by_key(data: dict[str, Any]) -> dict[str, dict[str, Any]]:
    """The goals by their key."""
    return {goal["key"]: goal for goal in data["goals"]}


def extent(data: dict[str, Any], key: str) -> tuple[float, float]:
    """Least and most of a goal over all designs."""
    values = np.array([float(design[key]) for design in data["designs"]])
    return float(values.min()), float(values.max())


def shown(value: float, goal: dict[str, Any]) -> str:
    """A goal's value with its decimals, halves upwards: as the page's script writes it too."""
    step = Decimal(1).scaleb(-int(goal["decimals"]))
    return str(Decimal(float(value)).quantize(step, rounding=ROUND_HALF_UP))


def measured(value: float, goal: dict[str, Any]) -> str:
    """A goal's value with its unit."""
    return f"{shown(value, goal)} {goal['unit']}"


def _capital(words: str) -> str:
    return words[:1].upper() + words[1:]
