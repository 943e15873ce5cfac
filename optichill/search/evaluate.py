"""Rows of the space into numbers: geometry, cost and difficulty first (cheap), then the chill.

The only place that joins physics and build.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TypeVar

import numpy as np

from optichill.arrays import Array, Index
from optichill.geometry import bending, helix
from optichill.problem.limits import Checks
from optichill.problem.placement import Shape, Standing, fit_checks, stand
from optichill.problem.windings import PARALLEL
from optichill.rating.chilled_coil import chill_checks, for_designs, physical
from optichill.search.space import WINDING_LEAST, Space
from optichill.thermal.batch import Scenario
from optichill.thermal.coil_performance import SEARCH, Coils, Numerics
from optichill.thermal.cooldown import Chill, StageEnd, chill
from optichill.workshop import cost, difficulty

Part = TypeVar("Part", Shape, Standing)


@dataclass(frozen=True)
class Rows:
    """Designs by row number, all arrays of shape (designs,); SI, cost in the list's currency. valve: share of
    the full flow; rolls: of tube to buy."""

    number: Index
    pair: Index
    gap: Array
    turns: Array
    valve: Array
    shape: Shape
    standing: Standing
    height: Array
    rolls: Array
    cost: Array
    difficulty: Array
    checks: Checks

    def __len__(self) -> int:
        return int(self.number.size)


def rows(space: Space, numbers: Index) -> Rows:
    """Geometry, cost, difficulty and every limit that needs no chill."""
    pairs, setting = space.pairs, space.setting
    pair, gap, turns, valve = space.decode(numbers)
    d_o = pairs.get("d_o", pair)
    two = pairs.two(pair)
    some = bool(two.any())
    shape = Shape(
        d_o,
        pairs.get("d_i", pair),
        pairs.get("D_c", pair),
        d_o + gap,
        turns,
        pairs.get("R_b", pair),
        D_in=np.where(two, pairs.inside("D_c", pair), 0.0) if some else None,
        parallel=pairs.layout[pair] == PARALLEL if some else None,
    )
    standing = stand(setting, shape)
    height = helix.helix_height(shape.pitch, turns, d_o)
    rolls = _rolls(space, pair, shape, standing)
    total = cost.total_cost(
        pairs.fixed_cost(pair) + (rolls - 1.0) * pairs.get("roll_price", pair),
        0.0,
        0.0,
        sum((cost.to_pay(p.price or 0.0, p.owned) for p in setting.pumps), 0.0),
        pairs.get("lacing_pieces", pair),
        pairs.get("lacing_per_height", pair),
        height * (1.0 + two),
        gap > 0.0,
    )
    inside = setting.brewhouse.workshop.riser == "inside"
    job_ = pairs.job(pair, standing.tube_length, gap, inside)
    hard = difficulty.score(difficulty.difficulty_terms(job_))
    checks = fit_checks(setting, shape, standing)
    _workshop_checks(checks, space, pair, shape, standing)
    limits = setting.brewhouse.limits
    if limits.budget is not None:
        checks.at_most("budget", total, limits.budget)
    if limits.difficulty is not None:
        checks.at_most("difficulty", hard, limits.difficulty)
    return Rows(numbers, pair, gap, turns, valve, shape, standing, height, rolls, total, hard, checks)


def job(space: Space, r: Rows, i: int) -> difficulty.Job:
    """What makes one design hard to build, for the reasons in words."""
    inside = space.setting.brewhouse.workshop.riser == "inside"
    jobs = space.pairs.job(r.pair, r.standing.tube_length, r.gap, inside)
    one = {name: np.broadcast_to(getattr(jobs, name), (len(r),))[i] for name in jobs.__dataclass_fields__}
    return difficulty.Job(**one)


def _spares(space: Space, pair: Index) -> tuple[Array, Array]:
    """Half a turn more than wanted goes on each form: it lets the risers be brought to their side. Of the
    outer and of the inner layer [m], 0 without one."""
    pairs = space.pairs
    d_o = pairs.get("d_o", pair)
    outer = 0.5 * np.pi * bending.mean_diameter_on_form(pairs.get("D_form", pair), d_o)
    inner = 0.5 * np.pi * bending.mean_diameter_on_form(pairs.inside("D_form", pair), d_o)
    return outer, np.where(pairs.two(pair), inner, 0.0)


def _rolls(space: Space, pair: Index, shape: Shape, standing: Standing) -> Array:
    """Rolls of tube to buy: two where two tubes do not come out of one."""
    if shape.D_in is None:
        return np.ones(pair.size)
    outer, inner = _spares(space, pair)
    pieces = np.stack([standing.tube_length - standing.inner_length + outer, standing.inner_length + inner])
    needed = cost.rolls_needed(pieces, space.pairs.get("roll", pair), space.pairs.get("roll_owned", pair))
    return np.where(shape.on_tees, needed, 1.0)


def _workshop_checks(checks: Checks, space: Space, pair: Index, shape: Shape, standing: Standing) -> None:
    """Limits of tube, form and tool."""
    pairs, turns, d_o = space.pairs, shape.turns, shape.d_o
    on_form = bending.mean_diameter_on_form(pairs.inside("D_form", pair), d_o)
    checks.at_most("stock_length", _from_one_roll(space, pair, shape, standing), pairs.get("roll", pair))
    checks.at_least("winding_radius", on_form / 2.0, WINDING_LEAST * pairs.get("R_free", pair))
    checks.at_least("riser_bend", pairs.get("R_b", pair), np.minimum(pairs.get("R_b_least", pair), 10.0))
    needed = bending.form_height_needed(turns, pairs.get("springback", pair), d_o)
    height = pairs.get("form_height", pair)
    if shape.D_in is not None:
        inner = bending.form_height_needed(turns, pairs.inside("springback", pair), d_o)
        inner_height = pairs.inside("form_height", pair)
        # The form that is shorter of what it needs decides.
        tighter = shape.layered & (inner_height / inner < height / needed)
        needed, height = np.where(tighter, inner, needed), np.where(tighter, inner_height, height)
    checks.at_most("form_height", needed, height)


def _from_one_roll(space: Space, pair: Index, shape: Shape, standing: Standing) -> Array:
    """Tube that must come out of one roll, spare half turns included [m]."""
    outer, inner = _spares(space, pair)
    if shape.D_in is None:
        return standing.tube_length + outer
    longer = np.maximum(standing.tube_length - standing.inner_length + outer, standing.inner_length + inner)
    own = space.pairs.get("roll_owned", pair).astype(bool)
    return np.where(shape.on_tees & ~own, longer, standing.tube_length + outer + inner)


def coils(space: Space, r: Rows, keep: Index) -> Coils:
    """The kept rows as the physics sees them; all of them two tubes in parallel, or none."""
    pairs, pair = space.pairs, r.pair[keep]
    per_length = pairs.get("metal_per_length", pair)
    shape, standing = _taken(r.shape, keep), _taken(r.standing, keep)
    return physical(
        space.setting, shape, standing, pairs.get("conductivity", pair), per_length, r.valve[keep]
    )


def _taken(what: Part, keep: Index) -> Part:
    """The chosen designs of a shape or a standing."""
    columns = {n: getattr(what, n) for n in what.__dataclass_fields__}
    return replace(what, **{n: v[keep] for n, v in columns.items() if v is not None})


def chilled(
    space: Space,
    r: Rows,
    keep: Index,
    numerics: Numerics = SEARCH,
    scenario: Scenario | None = None,
) -> tuple[Chill, Checks]:
    """The chill of the kept rows, and the limits that hang on it; in another `scenario` if given."""
    scenario = scenario or space.setting.scenario
    result = chill_of(space, r, keep, numerics, scenario)
    return result, chill_checks(space.setting, scenario, result)


BLOCK = 8192
"""Coils walked through a plan in steps at once: every step of a coil is kept to the end of a stage."""


def chill_of(space: Space, r: Rows, keep: Index, numerics: Numerics, scenario: Scenario) -> Chill:
    """The chill of the kept rows, those of two tubes worked out apart from the rest."""
    tees = r.shape.on_tees[keep]
    in_steps = scenario.mixing.still or any(source.bath is not None for source in scenario.sources)
    most = BLOCK if in_steps else max(keep.size, 1)
    places = [
        some[start : start + most]
        for some in (np.flatnonzero(~tees), np.flatnonzero(tees))
        for start in range(0, some.size, most)
    ]
    if len(places) <= 1:
        return chill(coils(space, r, keep), scenario, numerics)
    parts = [chill(coils(space, r, keep[p]), for_designs(scenario, p), numerics) for p in places]
    return _merged(parts, places)


def _merged(parts: list[Chill], places: list[Index]) -> Chill:
    """Chills of different designs as one, in the designs' own order."""

    def woven(columns: list[Array]) -> Array:
        out = np.empty(sum(p.size for p in places))
        for column, place in zip(columns, places, strict=True):
            out[place] = column
        return out

    stages = tuple(
        StageEnd(*(woven([getattr(s, n) for s in ends]) for n in StageEnd.__dataclass_fields__))
        for ends in zip(*(p.stages for p in parts), strict=True)
    )
    names = [n for n in Chill.__dataclass_fields__ if n != "stages"]
    return Chill(**{n: woven([getattr(p, n) for p in parts]) for n in names}, stages=stages)
