"""The screen of `predict`: what the coil does, minute by minute, and what to warn of."""

from __future__ import annotations

import numpy as np

from optichill.inputs.load import Inputs
from optichill.report.screen import (
    about,
    entry,
    kettle_line,
    not_sure,
    take_care,
    warnings,
)
from optichill.report.warnings import of_given
from optichill.search.given import Given
from optichill.search.setting import Setting
from optichill.units import show, turns

ROWS = 10


def screen(given: Given, inputs: Inputs, setting: Setting) -> list[str]:
    """All lines."""
    lines = [inputs.first_line, "", *kettle_line(setting), *_coil(given, setting)]
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
        f"{show(c.mean_diameter + c.outer_diameter, 'length', u)} across, {show(c.height, 'length', u)} tall",
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
        start = show(given.prediction.outlet_start, "temperature", units)
        return f"the first comes out at {start}"
    litres = show(given.scalding, "volume", units)
    return f"the first {litres} come out scalding: catch them for cleaning up"


def _curve(given: Given, setting: Setting) -> list[str]:
    """A dozen rows of the cool-down at even steps of time."""
    u, curve = setting.brewhouse.units, given.curve
    every = np.linspace(0, curve.time.size - 1, ROWS + 1).round().astype(int)
    lines = [f"{'':{13}}{'minutes':>8}  {'wort':>9}  {'water out':>9}  {'flow':>11}"]
    for i in every.tolist():
        wort, outlet = (show(float(T[i]), "temperature", u) for T in (curve.wort, curve.outlet))
        flow = show(float(curve.flow[i]), "flow", u)
        lines.append(f"{'':{13}}{curve.time[i] / 60:8.1f}  {wort:>9}  {outlet:>9}  {flow:>11}")
    return lines


def _check(given: Given) -> list[str]:
    if given.difference is None:
        return []
    return entry(
        "CHECKED",
        f"marched through time the chill takes {100 * abs(given.difference):.4f} % "
        f"{'more' if given.difference > 0 else 'less'}; "
        f"the heat balance closes to {abs(given.energy.closure):.0e}",
    )
