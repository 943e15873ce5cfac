"""The screen of `predict`: what the coil does, minute by minute, and what to warn of."""

from __future__ import annotations

import numpy as np

from optichill.inputs.load import Inputs
from optichill.report import words
from optichill.report.screen import (
    about,
    entry,
    kettle_line,
    not_sure,
    take_care,
    warnings,
)
from optichill.report.warnings import does_not_go_in, of_given
from optichill.search.given import Given
from optichill.search.setting import Setting
from optichill.units import show, turns

ROWS = 13
STEPS = (1, 2, 3, 5, 10, 15, 30, 60)
"""Minutes between rows of the cool-down."""


def screen(given: Given, inputs: Inputs, setting: Setting) -> list[str]:
    """All lines."""
    lines = [inputs.first_line, "", *kettle_line(setting), *_coil(given, setting)]
    outside = does_not_go_in(given, setting)
    if outside:
        lines += entry("DOES NOT GO IN", f"{outside}. The rest is worked out as if it did.")
    lines += _outcome(given, setting)
    lines += ["", *_curve(given, setting), ""]
    lines += _check(given)
    lines += entry("WARNING", *of_given(given, setting))
    lines += not_sure(inputs) + warnings(inputs)
    lines += take_care()
    return lines


def _coil(given: Given, setting: Setting) -> list[str]:
    c, u = given.coil, setting.brewhouse.units
    gap = c.pitch - c.outer_diameter
    spaced = "touching" if gap < 5e-4 else f"{show(gap, 'gap', u)} open between turns"
    return entry(
        "YOUR COIL",
        f"{c.material}, {show(c.outer_diameter, 'tube', u)} outside, {show(c.wall, 'wall', u)} wall; "
        f"{turns(c.turns)} turns, {spaced}; "
        f"{words.rough(c.mean_diameter + c.outer_diameter, u)} across, {words.rough(c.height, u)} tall",
        f"{show(given.tube_length, 'long_length', u)} of tube, "
        f"{show(given.wetted_length, 'long_length', u)} of it in the wort when cold",
    )


def _outcome(given: Given, setting: Setting) -> list[str]:
    p, house = given.prediction, setting.brewhouse
    u = house.units
    if p.chill_time is None:
        closest = show(given.closest, "temperature", u)
        target = show(setting.scenario.T_target, "temperature", u)
        lines = entry("TIME", f"{target} is out of reach: after 6 hours the wort is still at {closest}")
    else:
        lines = entry(
            "TIME",
            f"about {about(p.chill_time)}   keep stirring: {about(p.steady)}   "
            f"leave it alone: {about(p.left_alone)}   (no coil at this flow could need less than "
            f"{about(p.limit_time)})",
        )
        lines += entry(
            "WATER",
            f"about {show(p.water, 'volume', u)}; {_scalding(given, u)}",
        )
    drop = show(p.pressure_drop, "pressure", u)
    valve = ", valve part closed" if given.throttled else ""
    lines += entry("FLOW", f"{show(p.flow, 'flow', u)} at the start{valve}; the coil takes {drop}")
    return lines


def _scalding(given: Given, units: str) -> str:
    if given.scalding <= 0.0:
        start = words.degrees(given.prediction.outlet_start, units)
        return f"what stood in the coil comes out near boiling, then {start}"
    litres = show(given.scalding, "volume", units)
    return f"the first {litres} come out scalding: catch them for cleaning up"


def _curve(given: Given, setting: Setting) -> list[str]:
    """The cool-down at whole minutes, so few rows that they stay on the screen, and the end."""
    u, curve = setting.brewhouse.units, given.curve
    end = float(curve.time[-1])
    step = next((s for s in STEPS if end / 60.0 / s <= ROWS), STEPS[-1])
    minutes = [*np.arange(0.0, end / 60.0 - 0.3 * step, step).tolist(), end / 60.0]
    lines = [f"{'':{13}}{'minutes':>8}  {'wort':>9}  {'water out':>9}  {'flow':>11}"]
    for m in minutes:
        wort, outlet, flow = (
            float(np.interp(60.0 * m, curve.time, column))
            for column in (curve.wort, curve.outlet, curve.flow)
        )
        lines.append(
            f"{'':{13}}{m:8.0f}  {words.degrees(wort, u):>9}  {words.degrees(outlet, u):>9}  "
            f"{show(flow, 'flow', u):>11}"
        )
    return lines


def _check(given: Given) -> list[str]:
    if given.difference is None:
        return []
    off = max(100.0 * abs(given.difference), 0.01)
    return entry("CHECKED", f"worked out a second way, in steps of time, it agrees within {off:.2f} %")
