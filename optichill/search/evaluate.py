"""Rows of the space into numbers: geometry, cost and difficulty first (cheap), then the chill.

Only here do physics and workshop meet for rows of a space.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TypeVar

import numpy as np

from optichill.arrays import Array, Index, Mask
from optichill.geometry import helix, riser_bends, springback
from optichill.model.stock import Tube
from optichill.problem.bill import wire
from optichill.problem.checks import Checks
from optichill.problem.mates import NONE
from optichill.problem.placement import Placement, Shape, fit_checks, place_coils
from optichill.rating.chilled_coil import chill_checks, physical
from optichill.search.cut import Cut, cut
from optichill.search.ruled_out import WINDING_LEAST
from optichill.search.space import Space
from optichill.thermal.batch import Scenario
from optichill.thermal.coil_performance import SEARCH, Coils, Numerics
from optichill.thermal.cooldown import Chill, StageEnd, chill
from optichill.workshop import cost, difficulty
from optichill.workshop.fittings import to_pay

Part = TypeVar("Part", Shape, Placement)


@dataclass(frozen=True)
class Rows:
    """Designs by row number, all arrays of shape (designs,); SI, cost in the list's currency. own_gap,
    own_turns : of the inner layer; valve: share of the full flow; rolls, mate, mate_outer : as in `Cut`."""

    number: Index
    setup: Index
    gap: Array
    turns: Array
    own_gap: Array
    own_turns: Array
    valve_share: Array
    shape: Shape
    placement: Placement
    height: Array
    rolls: Array
    mate: Index
    mate_outer: Mask
    cost: Array
    difficulty: Array
    checks: Checks

    def __len__(self) -> int:
        return int(self.number.size)


def rows(space: Space, numbers: Index) -> Rows:
    """Geometry, cost, difficulty and every limit that needs no chill."""
    setups, basis = space.setups, space.basis
    setup, gap, turns, valve_share = space.decode(numbers)
    alike = space.own_gap is None  # both layers
    own_gap, own_turns = (gap, turns) if alike else space.inner(numbers)
    d_o = setups.get("d_o", setup)
    two = setups.two(setup)
    some = bool(two.any())
    shape = Shape(
        d_o,
        setups.get("d_i", setup),
        setups.get("D_c", setup),
        d_o + gap,
        turns,
        setups.get("R_b", setup),
        D_in=np.where(two, setups.inside("D_c", setup), 0.0) if some else None,
        parallel=setups.trait("tees", setup) if some else None,
        pitch_in=d_o + own_gap if some and not alike else None,
        turns_in=own_turns if some and not alike else None,
        D_c_wide=setups.get("D_c_wide", setup),
    )
    placement = place_coils(basis, shape, beside=space.beside)
    height = helix.helix_height(shape.pitch, turns, d_o)
    if not alike:
        height = np.maximum(height, helix.helix_height(d_o + own_gap, own_turns, d_o))
    tubes = cut(setups, setup, shape, placement)
    lacing, feet = wire(basis, d_o, placement.lowest, turns, shape.pitch)
    if some:
        inner = lacing, feet
        if not alike:
            inner = wire(basis, d_o, placement.lowest, own_turns, shape.inner_pitch)
        lacing, feet = (a + np.where(two, b, 0.0) for a, b in zip((lacing, feet), inner, strict=True))
    total = cost.total_cost(
        setups.fixed_cost(setup)
        + tubes.more
        + sum((to_pay(p.price or 0.0, p.owned) for p in basis.pumps), 0.0),
        0.0,
        setups.get("lacing_pieces", setup),
        setups.get("lacing_per_metre", setup),
        lacing,
        setups.get("feet_per_metre", setup),
        feet,
    )
    inside = basis.brewhouse.workshop.riser == "inside"
    job_ = setups.job(setup, placement.tube_length, np.maximum(gap, own_gap), inside)
    hard = difficulty.score(difficulty.difficulty_terms(job_))
    checks = fit_checks(basis, shape, placement)
    _workshop_checks(checks, space, setup, shape, tubes)
    limits = basis.brewhouse.limits
    checks.at_most("budget", total, limits.budget)
    checks.at_most("difficulty", hard, limits.difficulty)
    return Rows(
        numbers,
        setup,
        gap,
        turns,
        own_gap,
        own_turns,
        valve_share,
        shape,
        placement,
        height,
        tubes.rolls,
        tubes.mate,
        tubes.mate_outer,
        total,
        hard,
        checks,
    )


def jobs(space: Space, r: Rows) -> list[difficulty.Job]:
    """What makes each design hard to build, for the reasons in words."""
    inside = space.basis.brewhouse.workshop.riser == "inside"
    all_ = space.setups.job(r.setup, r.placement.tube_length, np.maximum(r.gap, r.own_gap), inside)
    columns = {name: np.broadcast_to(getattr(all_, name), (len(r),)) for name in all_.__dataclass_fields__}
    return [difficulty.Job(**{name: of[i] for name, of in columns.items()}) for i in range(len(r))]


def bought(space: Space, r: Rows, i: int) -> tuple[Tube, ...]:
    """Rolls that one row takes, that of the longer tube first."""
    tube, mate = space.wound(int(r.setup[i]))[0].tube, _mate(space, r, i)
    return (tube,) * int(r.rolls[i]) if mate is None else (tube, mate)


def cut_from(space: Space, r: Rows, i: int) -> tuple[Tube, ...]:
    """The roll of each layer of one row, of the outer one first."""
    outer, inner, _ = space.wound(int(r.setup[i]))
    if inner is None:
        return (outer.tube,)
    mate = _mate(space, r, i) or outer.tube
    return (mate, outer.tube) if r.mate_outer[i] else (outer.tube, mate)


def _mate(space: Space, r: Rows, i: int) -> Tube | None:
    of, place = space.setups.of, int(r.mate[i])
    return None if place == NONE else of.mates.tubes[of.tool_of[space.setups.outer[r.setup[i]]]][place]


def _workshop_checks(checks: Checks, space: Space, setup: Index, shape: Shape, tubes: Cut) -> None:
    """Limits of tube, form and tool."""
    setups, turns, d_o = space.setups, shape.turns, shape.d_o
    on_form = springback.mean_diameter_on_form(setups.inside("D_form", setup), d_o)
    checks.at_most("stock_length", tubes.from_one, setups.get("roll", setup))
    checks.at_least("winding_radius", on_form / 2.0, WINDING_LEAST * setups.get("R_free", setup))
    R_b_least = np.minimum(setups.get("R_b_least", setup), riser_bends.NEVER)
    checks.at_least("riser_bend", setups.get("R_b", setup), R_b_least)
    needed = springback.form_height_needed(turns, setups.get("springback", setup), d_o)
    height = setups.get("form_height", setup)
    if shape.D_in is not None:
        inner = springback.form_height_needed(shape.inner_turns, setups.inside("springback", setup), d_o)
        inner_height = setups.inside("form_height", setup)
        # The form that is shorter of what it needs decides; under an outer layer over strips there is none.
        crossing = setups.trait("crossing", setup)
        tighter = shape.layered & (crossing | (inner_height / inner < height / needed))
        needed, height = np.where(tighter, inner, needed), np.where(tighter, inner_height, height)
    checks.at_most("form_height", needed, height)


def coils(space: Space, r: Rows, keep: Index) -> Coils:
    """The kept rows as the physics sees them; all of them two tubes in parallel, or none."""
    setups, setup = space.setups, r.setup[keep]
    per_length = setups.get("metal_per_length", setup)
    shape, placement = _taken(r.shape, keep), _taken(r.placement, keep)
    return physical(
        space.basis, shape, placement, setups.get("conductivity", setup), per_length, r.valve_share[keep]
    )


def _taken(what: Part, keep: Index) -> Part:
    """The chosen designs of a shape or a standing."""
    columns = {n: getattr(what, n) for n in what.__dataclass_fields__}
    return replace(what, **{n: v[keep] for n, v in columns.items() if v is not None})


def taken(r: Rows, some: Index) -> Rows:
    """The chosen rows, their limits left behind: they hold."""
    columns = {n: getattr(r, n)[some] for n in ("number", "setup", "gap", "turns", "valve_share")}
    columns |= {
        n: getattr(r, n)[some] for n in ("height", "rolls", "mate", "mate_outer", "cost", "difficulty")
    }
    return replace(r, **columns, shape=_taken(r.shape, some), placement=_taken(r.placement, some))


def chilled(
    space: Space,
    r: Rows,
    keep: Index,
    numerics: Numerics = SEARCH,
    scenario: Scenario | None = None,
) -> tuple[Chill, Checks]:
    """The chill of the kept rows, and the limits that hang on it; in another `scenario` if given."""
    scenario = scenario or space.basis.scenario
    result = chill_of(space, r, keep, numerics, scenario)
    return result, checks_of(space, r, keep, result, scenario)


def checks_of(space: Space, r: Rows, keep: Index, result: Chill, scenario: Scenario) -> Checks:
    """The limits that hang on a chill of the kept rows."""
    kept = None
    if space.sureness is not None:
        tees = r.shape.on_tees[keep]
        kept = np.empty(keep.size)
        for some in (np.flatnonzero(~tees), np.flatnonzero(tees)):
            if some.size:
                known = result.take(some)
                kept[some] = known.time * space.sureness.ratio(coils(space, r, keep[some]), known)
    return chill_checks(space.basis, scenario, result, kept)


BLOCK = 8192
"""Coils walked through a plan in steps at once: every step of a coil is kept to the end of a stage."""

NODES_AT_ONCE = 12_288
"""Wort temperatures of all coils that are worked out at once: so many stay in a processor's own memory, and
more take half as long again."""


def chill_of(space: Space, r: Rows, keep: Index, numerics: Numerics, scenario: Scenario) -> Chill:
    """The chill of the kept rows, those of two tubes worked out apart from the rest."""
    tees = r.shape.on_tees[keep]
    most = BLOCK if scenario.in_steps else NODES_AT_ONCE // (numerics.nodes or 3)
    places = [
        some[start : start + most]
        for some in (np.flatnonzero(~tees), np.flatnonzero(tees))
        for start in range(0, some.size, most)
    ]
    if len(places) <= 1:
        return chill(coils(space, r, keep), scenario, numerics)
    parts = [chill(coils(space, r, keep[p]), scenario.take(p), numerics) for p in places]
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
