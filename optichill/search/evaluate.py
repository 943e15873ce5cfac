"""Rows of the space into numbers: geometry, cost and difficulty first (cheap), then the chill.

The only place that joins physics and build.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from optichill.build import bending, cost, difficulty, helix
from optichill.build.helix import Array
from optichill.inputs.wishes import Limits
from optichill.physics.cooldown import SEARCH, Chill, Coils, Numerics, Scenario, chill
from optichill.search.limits import Checks
from optichill.search.space import Index, Space
from optichill.search.standing import Shape, Standing, fit_checks, stand


@dataclass(frozen=True)
class Rows:
    """Designs by row number, all arrays of shape (designs,); SI, cost in the list's currency."""

    number: Index
    pair: Index
    gap: Array
    turns: Array
    shape: Shape
    standing: Standing
    height: Array
    cost: Array
    difficulty: Array
    checks: Checks

    def __len__(self) -> int:
        return int(self.number.size)


def rows(space: Space, numbers: Index) -> Rows:
    """Geometry, cost, difficulty and every limit that needs no chill."""
    pairs, setting = space.pairs, space.setting
    pair, gap, turns = space.decode(numbers)
    d_o = pairs.d_o[pair]
    shape = Shape(d_o, pairs.d_i[pair], pairs.D_c[pair], d_o + gap, turns, pairs.R_b[pair])
    standing = stand(setting, shape)
    height = helix.helix_height(shape.pitch, turns, d_o)
    total = cost.total_cost(
        pairs.fixed_cost[pair],
        0.0,
        0.0,
        0.0,
        pairs.lacing_pieces[pair],
        pairs.lacing_per_height[pair],
        height,
        gap > 0.0,
    )
    hard = difficulty.score(difficulty.difficulty_terms(_jobs(space, pair, gap, standing)))
    checks = fit_checks(setting, shape, standing)
    _workshop_checks(checks, space, pair, turns, standing)
    limits = setting.brewhouse.limits
    if limits.budget is not None:
        checks.at_most("budget", total, limits.budget)
    if limits.difficulty is not None:
        checks.at_most("difficulty", hard, limits.difficulty)
    return Rows(numbers, pair, gap, turns, shape, standing, height, total, hard, checks)


def job(space: Space, r: Rows, i: int) -> difficulty.Job:
    """What makes one design hard to build, for the reasons in words."""
    jobs = _jobs(space, r.pair, r.gap, r.standing)
    one = {name: np.broadcast_to(getattr(jobs, name), (len(r),))[i] for name in jobs.__dataclass_fields__}
    return difficulty.Job(**one)


def _jobs(space: Space, pair: Index, gap: Array, standing: Standing) -> difficulty.Job:
    pairs = space.pairs
    k = pairs.springback[pair]
    return difficulty.Job(
        rho_coil=bending.winding_margin((pairs.D_form[pair] + pairs.d_o[pair]) / 2.0, pairs.R_free[pair]),
        moment=pairs.moment[pair],
        length=standing.tube_length,
        growth=bending.growth(k),
        rho_bends=pairs.rho_bends[pair],
        bends=pairs.bends[pair],
        tool_fits=pairs.tool_fits[pair],
        joints=pairs.joints[pair],
        form=pairs.form_term[pair],
        gap=np.where(gap > 0.0, difficulty.GAPS["laced"], difficulty.GAPS["touching"]),
        riser_inside=space.setting.brewhouse.workshop.riser == "inside",
    )


def _workshop_checks(checks: Checks, space: Space, pair: Index, turns: Array, standing: Standing) -> None:
    """Limits of tube, form and tool."""
    pairs = space.pairs
    d_o, k = pairs.d_o[pair], pairs.springback[pair]
    on_form = bending.mean_diameter_on_form(pairs.D_form[pair], d_o)
    # Half a turn more than wanted goes on the form: it lets the risers be brought to their side.
    spare = 0.5 * np.pi * on_form
    checks.at_most("stock_length", standing.tube_length + spare, pairs.roll[pair])
    checks.at_least("winding_radius", on_form / 2.0, WINDING_LEAST * pairs.R_free[pair])
    checks.at_least("riser_bend", pairs.R_b[pair], np.minimum(pairs.R_b_least[pair], 10.0))
    checks.at_most("form_height", bending.form_height_needed(turns, k, d_o), pairs.form_height[pair])


WINDING_LEAST = 0.7
"""Smallest radius over the free winding radius that a filled or roller-wound coil may have."""


def coils(space: Space, r: Rows, keep: Index) -> Coils:
    """The kept rows as the physics sees them."""
    pairs, pair = space.pairs, r.pair[keep]
    length = r.standing.tube_length[keep]
    return Coils(
        d_o=pairs.d_o[pair],
        d_i=pairs.d_i[pair],
        k=pairs.conductivity[pair],
        D_c=pairs.D_c[pair],
        pitch=r.shape.pitch[keep],
        wetted_length=r.standing.wetted[keep],
        tube_length=length,
        metal_capacity=pairs.metal_per_length[pair] * length,
    )


def chilled(
    space: Space,
    r: Rows,
    keep: Index,
    numerics: Numerics = SEARCH,
    scenario: Scenario | None = None,
) -> tuple[Chill, Checks]:
    """The chill of the kept rows, and the limits that hang on it; otherwise stirred by another `scenario`."""
    scenario = scenario or space.setting.scenario
    result = chill(coils(space, r, keep), scenario, numerics)
    return result, chill_checks(space.setting.brewhouse.limits, scenario, result)


def chill_checks(limits: Limits, scenario: Scenario, result: Chill) -> Checks:
    """chill_time, target and water. A chill that never ends breaks `target`, not the others."""
    checks = Checks(result.time.shape)
    reached = np.isfinite(result.time)
    # How close it gets is found for the few designs that are shown; here only whether it does.
    checks.at_most("target", np.where(reached, scenario.T_target, np.inf), scenario.T_target)
    for name, value, bound in (
        ("chill_time", result.time, limits.chill_time),
        ("water", result.water, limits.water),
    ):
        if bound is not None:
            checks.at_most(name, np.where(reached, value, 0.0), bound)
    return checks
