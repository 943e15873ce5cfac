"""A design worked out in full: all that a screen, a file or a sheet may want to know about one coil."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from optichill.build import cost, difficulty, helix
from optichill.materials import MATERIALS
from optichill.physics import cooldown
from optichill.physics.cooldown import Chill, Coils, Ends, Numerics
from optichill.physics.water import Array
from optichill.search.evaluate import Rows, chilled, coils, job, rows
from optichill.search.limits import Checks
from optichill.search.rank import Levels, score
from optichill.search.setting import Setting
from optichill.search.space import Index, Space, Winding, fittings

FINE = Numerics(nodes=12, segments=4, sweeps=2, exact=True)
"""For what is shown: within 0.06 % of a converged run, and as the march in time computes it."""


@dataclass(frozen=True)
class LimitLine:
    """One limit of one design, SI."""

    name: str
    value: float
    limit: float
    margin: float
    holds: bool


@dataclass(frozen=True)
class Prediction:
    """The chill of one design, SI; None where it is not known or out of reach. `marched_time` is that of the
    march in time."""

    chill_time: float | None
    left_alone: float | None
    steady: float | None
    water: float | None
    flow: float
    pressure_drop: float
    outlet_start: float
    U_start: float
    U_end: float
    limit_time: float | None
    limit_water: float | None
    marched_time: float | None = None


@dataclass(frozen=True)
class Design:
    """One buildable coil with everything about it; lengths [m] of the relaxed coil, holds_water and displaces
    [m3] of the tube as cut."""

    rank: int
    id: str
    winding: Winding
    gap: float
    turns: float
    mean_diameter: float
    springback: float
    height: float
    lowest: float
    across: float
    wetted_length: float
    tube_length: float
    riser_in: float
    riser_out: float
    mass: float
    holds_water: float
    displaces: float
    stranded: float
    submergence: float
    wall_gap: float
    prediction: Prediction
    bill: cost.Bill
    score: float
    difficulty: float
    reasons: tuple[str, ...]
    limits: tuple[LimitLine, ...]
    near_variants: int

    @property
    def pitch(self) -> float:
        """Pitch, centre to centre [m]."""
        return self.gap + self.winding.tube.outer_diameter

    @property
    def offcut(self) -> float:
        """What is left of the roll [m]."""
        return self.winding.tube.length - self.tube_length

    @property
    def goals(self) -> dict[str, float]:
        """The four goals by name."""
        p = self.prediction
        time = np.inf if p.chill_time is None else p.chill_time
        water = np.inf if p.water is None else p.water
        return {"chill_time": time, "cost": self.bill.total, "water": water, "difficulty": self.difficulty}


def designs(everything: Space, numbers: Index, by: Levels | None, near_variants: Index) -> tuple[Design, ...]:
    """Full designs of the rows, in the given order."""
    setting = everything.setting
    r = rows(everything, numbers)
    all_rows = np.arange(len(r))
    result, physical = chilled(everything, r, all_rows, FINE)
    r.checks.merge(physical)
    c = coils(everything, r, all_rows)
    predictions = _predictions(setting, c, result)
    goals = np.stack([result.time, r.cost, result.water, r.difficulty], axis=1)
    points = score(goals, by) if by is not None else np.full(len(r), np.nan)
    return tuple(
        _design(everything, r, i, predictions[i], float(points[i]), int(near_variants[i]))
        for i in range(len(r))
    )


def _predictions(setting: Setting, c: Coils, result: Chill) -> list[Prediction]:
    alone = cooldown.chill(c, setting.mixed("left alone"), FINE)
    steady = cooldown.chill(c, setting.mixed("steady"), FINE)
    ends = cooldown.ends(c, setting.scenario, FINE)
    return [prediction(result, alone, steady, ends, i) for i in range(len(c))]


def prediction(
    result: Chill, alone: Chill, steady: Chill, ends: Ends, i: int, marched: float | None = None
) -> Prediction:
    """The chill of coil number i, from its results as stirred, left alone and stirred all the time."""
    return Prediction(
        chill_time=known(result.time[i]),
        left_alone=known(alone.time[i]),
        steady=known(steady.time[i]),
        water=known(result.water[i]),
        flow=float(ends.flow_start[i]),
        pressure_drop=float(ends.pressure_drop[i]),
        outlet_start=float(ends.outlet_start[i]),
        U_start=float(ends.U_start[i]),
        U_end=float(ends.U_end[i]),
        limit_time=known(result.limit_time[i]),
        limit_water=known(result.limit_water[i]),
        marched_time=marched,
    )


def known(value: float | np.floating) -> float | None:
    """The number, or None where it is out of reach or unknown."""
    return float(value) if np.isfinite(value) else None


def _design(
    everything: Space, r: Rows, i: int, prediction: Prediction, points: float, near_variants: int
) -> Design:
    setting, pair = everything.setting, int(r.pair[i])
    w, standing = everything.windings[pair], r.standing
    tube, gap, length = w.tube, float(r.gap[i]), float(standing.tube_length[i])
    d_i = float(helix.inside_diameter(tube.outer_diameter, tube.wall))
    density = MATERIALS[tube.material].density
    return Design(
        rank=i + 1,
        id=design_id(w, gap, float(r.turns[i])),
        winding=w,
        gap=gap,
        turns=float(r.turns[i]),
        mean_diameter=float(r.shape.D_c[i]),
        springback=float(everything.pairs.springback[pair]),
        height=float(r.height[i]),
        lowest=float(standing.lowest[i]),
        across=float(helix.coil_across(r.shape.D_c[i], tube.outer_diameter)),
        wetted_length=float(standing.wetted[i]),
        tube_length=length,
        riser_in=float(standing.riser_in[i]),
        riser_out=float(standing.riser_out[i]),
        mass=float(helix.tube_mass(tube.outer_diameter, d_i, length, density)),
        holds_water=float(helix.bore_volume(d_i, length)),
        displaces=float(helix.outer_volume(tube.outer_diameter, length)),
        stranded=float(stranded_share(standing.cold_level[i], standing.top[i], tube.outer_diameter)),
        submergence=float(r.checks.rows["submergence"].value[i]),
        wall_gap=float(r.checks.rows["wall"].value[i]),
        prediction=prediction,
        bill=_bill(setting, w, float(r.height[i]), gap > 0.0),
        score=points,
        difficulty=float(r.difficulty[i]),
        reasons=tuple(difficulty.reasons(job(everything, r, i))),
        limits=limit_lines(r.checks, i),
        near_variants=near_variants,
    )


def stranded_share(level: ArrayLike, top: ArrayLike, d_o: ArrayLike) -> Array:
    """Share of the wort that stands above the top turn, where plumes do not reach it [-]."""
    level, top, d_o = helix.floats(level, top, d_o)
    return np.clip((level - top - d_o / 2.0) / level, 0.0, 1.0)


def design_id(w: Winding, gap: float, turns: float) -> str:
    """Name of a design that follows from its content alone."""
    tool = w.tool.kind if w.tool.bender is None else w.tool.bender.bender_id
    content = f"{w.tube.stock_id}|{w.form.form_id}|{w.wraps}|{tool}|{gap:.6f}|{turns:.3f}|single"
    return hashlib.sha256(content.encode()).hexdigest()[:10]


def limit_lines(checks: Checks, i: int) -> tuple[LimitLine, ...]:
    """The limits of one design, in the order of LIMITS."""
    broken = checks.broken()
    lines = []
    for row, name in enumerate(checks.names):
        check = checks.rows[name]
        value, margin = float(check.value[i]), float(check.margin[i])
        bound = float(np.broadcast_to(check.bound, check.value.shape)[i])
        lines.append(LimitLine(name, value, bound, margin, not bool(broken[row, i])))
    return tuple(lines)


def _bill(setting: Setting, w: Winding, height: float, laced: bool) -> cost.Bill:
    tube, form = w.tube, w.form
    purchases = [
        cost.Purchase(tube.description or tube.stock_id, tube.price or 0.0, tube.owned, "roll"),
        cost.Purchase(f"form: {form.description or form.form_id}", form.price or 0.0, form.owned),
    ]
    if w.tool.bender is not None:
        bender = w.tool.bender
        purchases.append(
            cost.Purchase(f"{bender.kind} bender {bender.bender_id}", bender.price or 0.0, bender.owned)
        )
    ends = cost.cheapest_end_set(fittings(setting.stock), tube.outer_diameter)
    return cost.itemised_bill(purchases, ends, height, laced)
