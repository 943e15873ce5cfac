"""Each batch as it was measured and as it is fitted, drawn in percent of its plot, and what is left below."""

from __future__ import annotations

from typing import Any

import numpy as np

from optichill.arrays import Array
from optichill.owned.calibrate.fit import FittedBatch
from optichill.report.tradeoff.charts import Axis
from optichill.report.tradeoff.details import on_scale

MOST_MARKS = 150
"""Marks of a batch: past it one in some is drawn (OWN: more run into each other)."""

LEAST_OFF = 1.0
"""Degrees that the plot of what is left spans each way, at least: less is not seen on a thermometer."""


def chart(batch: FittedBatch, units: str) -> dict[str, Any]:
    """One batch: measured, fitted and as it was thought before, and what is left; begins : the reading that
    the fit takes as its start."""
    end = float(batch.time[-1]) / 60.0
    x = Axis(0.0, max(end, 1.0))
    seen = batch.curve_time <= 60.0 * x.high * 1.0001
    curves = {"fitted": batch.curve_fitted, "before": batch.curve_before}
    all_of_it = np.concatenate(
        [batch.measured, batch.batch.log.wort[:1], *(c[seen] for c in curves.values())]
    )
    low, high = (on_scale(float(T), units) for T in (all_of_it.min(), all_of_it.max()))
    y = Axis(low - 0.05 * (high - low), high + 0.03 * (high - low))
    scale = 1.8 if units == "us" else 1.0
    off = (batch.measured - batch.fitted) * scale
    far = max(float(np.abs(off[batch.used]).max(initial=0.0)) * 1.15, LEAST_OFF)
    below = Axis(-far, far)
    every = -(-batch.time.size // MOST_MARKS)
    marks = [
        {
            "x": x.at(float(batch.time[i]) / 60.0),
            "y": round(100.0 - y.at(on_scale(float(batch.measured[i]), units)), 2),
            "off": round(100.0 - below.at(float(np.clip(off[i], -far, far))), 2),
            "used": bool(batch.used[i]),
        }
        for i in range(batch.time.size)
        if i % every == 0 or not batch.used[i]
    ]
    log = batch.batch.log
    begins = [] if log.time[0] >= batch.time[0] - 1.0 else [(float(log.time[0]), float(log.wort[0]))]
    return {
        "every": every,
        "begins": [
            {"x": x.at(t / 60.0), "y": round(100.0 - y.at(on_scale(T, units)), 2), "used": True}
            for t, T in begins
        ],
        "x_ticks": x.ticks(6),
        "y_ticks": [(round(100.0 - at, 2), words) for at, words in y.ticks(6)],
        "off_ticks": [(round(100.0 - at, 2), words) for at, words in below.ticks(5)],
        "zero": round(100.0 - below.at(0.0), 2),
        "marks": marks,
        "lines": {name: _path(x, y, batch.curve_time, c, units) for name, c in curves.items()},
        "names": _names(x, y, batch, units),
        "slips": not bool(batch.used.all()),
    }


def _path(x: Axis, y: Axis, time: Array, T: Array, units: str) -> str:
    """A curve up to the end of the plot, in percent."""
    minutes = time / 60.0
    inside = minutes <= x.high
    at = np.append(minutes[inside], x.high) if minutes[-1] > x.high else minutes[inside]
    points = [
        f"{x.at(float(m)):g},{100.0 - y.at(on_scale(float(np.interp(m, minutes, T)), units)):.2f}" for m in at
    ]
    return "M" + "L".join(points)


def _names(x: Axis, y: Axis, batch: FittedBatch, units: str) -> list[dict[str, Any]]:
    """Names of the two curves, where they are farthest apart, the upper one's above and the other's below."""
    minutes = np.linspace(0.42, 0.85, 40) * x.high
    fitted, before = (
        np.interp(minutes, batch.curve_time / 60.0, curve)
        for curve in (batch.curve_fitted, batch.curve_before)
    )
    at = int(np.argmax(np.abs(fitted - before)))
    fitted_above = fitted[at] >= before[at]
    return [
        {
            "words": words,
            "x": x.at(float(minutes[at])),
            "y": round(100.0 - y.at(on_scale(float(T[at]), units)), 2),
            "above": above,
        }
        for words, T, above in (
            ("fitted", fitted, fitted_above),
            ("as thought before", before, not fitted_above),
        )
    ]


def finding(batch: FittedBatch, units: str) -> str:
    """What the figure shows, in words."""
    off, scale = batch.measured - batch.fitted, 1.8 if units == "us" else 1.0
    degree = "°F" if units == "us" else "°C"
    used = np.flatnonzero(batch.used)
    worst = int(used[np.argmax(np.abs(off[used]))]) if used.size else 0
    log = batch.batch.log
    first, last = (f"{on_scale(float(log.wort[i]), units):.0f} {degree}" for i in (0, -1))
    side = "above" if off[worst] > 0.0 else "below"
    long = f"{(log.time[-1] - log.time[0]) / 60.0:.0f} min"
    return (
        f"Measured from {first} to {last} in {long}. The readings lie within "
        f"{abs(off[worst]) * scale:.1f} {degree} of the fit, farthest {side} it at minute "
        f"{batch.time[worst] / 60.0:.0f}; on average {batch.misses * scale:.1f} {degree} off."
    )


SEEN = {"coil": "wort beside the turns", "top": "wort near the surface", "stirred": "wort, stirred"}
"""What a thermometer saw, by where it hung."""

MOST_ROWS = 40
"""Readings in the table below a figure; of a dense log an even choice."""


def readings(batch: FittedBatch, units: str) -> list[tuple[str, str, str, str]]:
    """Rows of minute, measured, fitted and what is left, as text."""
    every, scale = -(-batch.time.size // MOST_ROWS), 1.8 if units == "us" else 1.0
    rows = []
    log = batch.batch.log
    if log.time[0] < batch.time[0] - 1.0:  # what the fit begins with
        first = f"{on_scale(float(log.wort[0]), units):.1f}"
        rows.append((f"{log.time[0] / 60.0:.1f}".removesuffix(".0"), first, "", "where it begins"))
    for i in range(0, batch.time.size, every):
        off = round(float(batch.measured[i] - batch.fitted[i]) * scale, 1) + 0.0  # no -0.0
        slip = "" if batch.used[i] else ", a slip"
        rows.append(
            (
                f"{batch.time[i] / 60.0:.1f}".removesuffix(".0"),
                f"{on_scale(float(batch.measured[i]), units):.1f}",
                f"{on_scale(float(batch.fitted[i]), units):.1f}",
                f"{off:+.1f}{slip}",
            )
        )
    return rows
