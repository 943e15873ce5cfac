"""The screen of `predict`: what the coil does, minute by minute, and what to warn of."""

from __future__ import annotations

import numpy as np

from optichill.display import plural, show
from optichill.fabrication.work_plan import WorkPlan
from optichill.files.reading import Inputs
from optichill.layouts import LAYOUTS
from optichill.problem.basis import DesignBasis
from optichill.problem.limits import LIMITS
from optichill.rating.coil_rating import QuickRating, Rating
from optichill.rating.prediction import Prediction
from optichill.rating.remedies import that_lead_there
from optichill.report import calibrated, ranges
from optichill.report.no_fit import numbered_ways
from optichill.report.otherwise import about, stirred
from optichill.report.paper import entry
from optichill.report.screen import (
    agreement,
    kettle_line,
    not_sure,
    plan_lines,
    take_care,
    time_lines,
    warnings,
)
from optichill.report.sheet.phrases import turns_words
from optichill.report.warnings import does_not_go_in, of_coil
from optichill.report.words import by_hand, limit_words, plan_words
from optichill.report.words.sentences import sentence

ROWS = 13
STEPS = (1, 2, 3, 5, 10, 15, 30, 60)
"""Minutes between rows of the cool-down."""


def screen(rating: Rating, inputs: Inputs, plan: WorkPlan) -> list[str]:
    """All lines; plan: of the work that the same coil takes."""
    basis = plan.basis
    lines = [inputs.first_line, "", *kettle_line(basis), *coil_lines(rating, plan)]
    outside = does_not_go_in(rating, plan)
    if outside:
        lines += entry("DOES NOT GO IN", "", f"{outside} The rest is worked out as if it did.")
    lines += _outcome(rating, basis)
    lines += ["", *_curve(rating, basis), *_of_one_run(rating.prediction), ""]
    lines += _check(rating)
    lines += entry("WARNING", *map(sentence, of_coil(plan, rating)))
    lines += not_sure(inputs) + warnings(inputs)
    lines += take_care(basis)
    return lines


def _gap(gap: float, basis: DesignBasis) -> str:
    """The gap between turns [m], as finely as the warning about it where it is too small."""
    wanted, u = basis.brewhouse.workshop.smallest_gap, basis.brewhouse.units
    if gap < 5e-4:
        return "touching"
    told = show(gap, "gap", u)
    if gap < wanted:
        told, _ = limit_words.told_apart(LIMITS["gap"], gap, wanted, basis)
    return f"{told} open between turns"


def coil_lines(rating: QuickRating, plan: WorkPlan) -> list[str]:
    """YOUR COIL: its tube, its turns, its length and its id."""
    c, u = rating.coil, plan.basis.brewhouse.units
    spaced = f", {_gap(c.pitch - c.outer_diameter, plan.basis)}" if c.turns > 1.0 else ""
    layout = inner = ""
    if len(c.layers) > 1:
        layout = f"{LAYOUTS[c.layout].called}; "
        two = c.layers[1]
        across = show(two.mean_diameter + c.outer_diameter, "length", u)
        gap = _gap(two.pitch - c.outer_diameter, plan.basis)
        own = f", {gap}" if two.turns > 1.0 and gap not in spaced else ""
        inner = f" (inner: {plural(turns_words(two.turns))}{own}, {across} across)"
    return entry(
        "YOUR COIL",
        f"{layout}{c.material}, {show(c.outer_diameter, 'tube', u)} outside, {show(c.wall, 'wall', u)} wall; "
        f"{plural(turns_words(c.turns))}{spaced}; "
        f"{show(c.mean_diameter + c.outer_diameter, 'length', u)} across, "
        f"{show(c.height, 'length', u)} tall{inner}",
        f"{show(rating.tube_length, 'long_length', u)} of tube, "
        f"{show(rating.wetted_length, 'long_length', u)} of it in the wort when cold; coil {plan.coil_id}",
        *calibrated.of_coil(plan.basis.calibration, c),
    )


def _outcome(rating: Rating, basis: DesignBasis) -> list[str]:
    p, brewhouse = rating.prediction, basis.brewhouse
    u = brewhouse.units
    if p.chill_time is None:
        ways = numbered_ways(that_lead_there(rating.warm_tap_remedies), basis)
        lines = entry("TIME", _not_reached(rating.closest, rating.closest_after, rating.end, basis))
        lines += entry("WAYS OUT", *(ways or [NO_WAY_OUT] if rating.warm_tap_remedies else []))
    else:
        lines = entry(
            "TIME",
            f"{ranges.time(p)}, {stirred(p, brewhouse.wort, u)}   (no coil at this flow "
            f"could need less than {about(p.limit_time)})",
        )
        lines += time_lines(p, basis)
        lines += plan_lines(p, basis)
        if p.water:
            enough = ranges.enough_water(p, brewhouse.limits, u)
            lines += entry(
                "WATER", f"{ranges.water(p, u)}; {_scalding(rating, basis)}", *filter(None, [enough])
            )
    drop = show(p.pressure_drop, "pressure", u)
    valve = f", valve part closed: {by_hand.bucket_time(p.flow, u)}" if rating.throttled else ""
    lines += entry("FLOW", f"{show(p.flow, 'flow', u)} at the start{valve}; the coil takes {drop}")
    return lines


NO_WAY_OUT = "neither ice nor a fridge helps this coil as it stands; `optichill improve` says what may"
"""Where none of the ways out leads anywhere."""
WARMER = 0.5
"""How much warmer wort may end than it was at best before it is worth a word [K]."""


def _not_reached(closest: float, after: float, end: float, basis: DesignBasis) -> str:
    """That the target is not met; out of reach only where the water itself is no colder; and where a bath
    warms the wort again, how cold it was [K] after how long [s]."""
    u, target = basis.brewhouse.units, basis.scenario.T_target
    goal, still = (show(T, "temperature", u) for T in (target, closest))
    still = f"just above {goal}" if still == goal else still
    if end - closest > WARMER:
        return f"{goal} is not reached: at best {still} after {about(after)}, then the bath warms it again"
    if target <= basis.scenario.sources[-1].coldest:
        return f"{goal} is out of reach: after 6 hours the wort is still at {still}"
    return f"{goal} is not reached in 6 hours: the wort is then still at {still}"


def _scalding(rating: Rating, basis: DesignBasis) -> str:
    units = basis.brewhouse.units
    if rating.scalding <= 0.0:
        return plan_words.first_out(rating.prediction.outlet_start, basis)
    litres = show(rating.scalding, "volume", units)
    return f"the first {litres} come out scalding: catch them for cleaning up"


def _curve(rating: Rating, basis: DesignBasis) -> list[str]:
    """The cool-down at whole minutes, so few rows that they stay on the screen, and the end."""
    u, curve = basis.brewhouse.units, rating.curve
    end = float(curve.time[-1])
    step = next((s for s in STEPS if end / 60.0 / s <= ROWS), STEPS[-1])
    minutes = [*np.arange(0.0, end / 60.0 - max(0.3 * step, 0.5), step).tolist(), end / 60.0]
    apart = bool((curve.top - curve.wort > 0.5).any())
    running = curve.source[np.isfinite(curve.source)]
    baths = running.size > 0 and float(np.ptp(running)) > 0.5
    names = ["wort", *(["at the top"] if apart else []), *(["water in"] if baths else []), "water out"]
    stages = len(set(curve.stage.tolist())) > 1
    head = f"{'':{13}}{'minutes':>8}  " + "  ".join(f"{n:>10}" for n in names) + f"  {'flow':>11}"
    lines = [head + ("  stage" if stages else "")]
    for m in minutes:
        at = 60.0 * m
        columns = [
            curve.wort,
            *([curve.top] if apart else []),
            *([curve.source] if baths else []),
            curve.outlet,
        ]
        told = [_told(float(np.interp(at, curve.time, c)), u) for c in columns]
        flow = float(np.interp(at, curve.time, curve.flow))
        # A stage ends where the next begins: the row belongs to the one that is running.
        place = min(int(np.searchsorted(curve.time, at, side="right")), curve.stage.size) - 1
        row = f"{'':{13}}{m:8.0f}  " + "  ".join(f"{t:>10}" for t in told)
        row += f"  {show(flow, 'flow', u) if flow > 0.0 else '-':>11}"
        lines.append(row + (f"  {int(curve.stage[place]):5d}" if stages else ""))
    return lines


def _of_one_run(p: Prediction) -> list[str]:
    """Where the curve ends elsewhere than what is most likely: why."""
    if p.chill_time is None or about(p.chill_time) == about(p.told.time):
        return []
    return entry("", "(one run, with all that is uncertain at its middle)")


def _told(T: float, units: str) -> str:
    return by_hand.degrees(T, units) if np.isfinite(T) else "-"


def _check(rating: Rating) -> list[str]:
    said = agreement([rating.prediction])
    return entry("CHECKED", f"worked out a second way, in steps of time, it {said}") if said else []
