"""A design worked out in full: all that a screen, a file or a sheet may want to know about one coil."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from optichill.arrays import Index
from optichill.geometry import helix, risers
from optichill.layouts import LAYOUTS, Layout
from optichill.model.coil import Coil, CoilLayer
from optichill.model.stock import Form, Tube
from optichill.problem.bill import billed
from optichill.problem.coil_id import file_risers
from optichill.problem.windings import Winding
from optichill.problem.worth import worth_of
from optichill.rating import change_over, otherwise
from optichill.rating.chilled_coil import stranded_share, time_checks
from optichill.rating.likely import Samples
from optichill.rating.prediction import (
    FINE,
    ChangeOver,
    LimitLine,
    MoreIce,
    Prediction,
    known,
    limit_lines,
    prediction,
)
from optichill.rating.remedies import more_ice, with_loose_ice
from optichill.search import change_over_of_rows
from optichill.search.evaluate import Rows, bought, chill_of, chilled, coils, cut_from, jobs, rows
from optichill.search.ids import id_of, named_forms
from optichill.search.lifetime import lifetime_of
from optichill.search.ranking import Levels, points_of
from optichill.search.sampled import samples_of, samples_one_by_one
from optichill.search.space import Space
from optichill.thermal import cooldown
from optichill.thermal.batch import Scenario
from optichill.thermal.cooldown import Chill, Ends
from optichill.thermal.march import March
from optichill.thermal.march import march as march_in_time
from optichill.thermal.performance_curve import finely
from optichill.workshop import cost, difficulty
from optichill.workshop.lifetime import Lifetime

ENUMERATED, EXPLORED = "enumerated", "explored"
"""Origin of a coil that follows from the lists, and of one that lies beyond them."""


@dataclass(frozen=True)
class Design:
    """One buildable coil with everything about it; lengths [m] of the relaxed coil, mass [kg] and
    holds_water [m3] of it with its trim cut off, displaces [m3] of the tube as cut. Of two layers the
    sizes are the outer one's, and `inner` is the winding of the other, own_gap and own_turns are its own;
    valve : share of the full flow; bought : rolls of tube to take,
    that of the winding first, which gives the longer of two tubes; cut_from : the roll of each layer; life :
    what it costs over its life; hard_terms : what its difficulty is made of; origin : enumerated, of the
    lists; or explored, beyond them."""

    rank: int
    id: str
    layout: str
    winding: Winding
    inner: Winding | None
    inner_diameter: float | None
    gap: float
    turns: float
    own_gap: float
    own_turns: float
    valve_share: float
    bought: tuple[Tube, ...]
    cut_from: tuple[Tube, ...]
    mean_diameter: float
    springback: float
    height: float
    lowest: float
    hot_level: float
    cold_level: float
    across: float
    wetted_length: float
    wet_share: float
    tube_length: float
    inner_length: float
    inner_risers: float
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
    life: Lifetime
    difficulty: float
    hard_terms: Mapping[str, float]
    reasons: tuple[str, ...]
    limits: tuple[LimitLine, ...]
    near_variants: int
    origin: str = ENUMERATED

    @property
    def to_make(self) -> tuple[float, ...]:
        """Diameters of the forms that have to be made [m], the inner layer's first."""
        on = _wound_on(self.winding, self.inner, LAYOUTS[self.layout])
        return tuple(w.form.outer_diameter for w in reversed(on) if w.form.made)

    @property
    def layers(self) -> tuple[tuple[float, float], ...]:
        """Turns and pitch [m] of each layer, the outer one first."""
        outer = self.turns, self.pitch
        own = self.own_turns, self.own_gap + self.winding.tube.outer_diameter
        return (outer,) if self.inner is None else (outer, own)

    @property
    def pitch(self) -> float:
        """Pitch, centre to centre [m]."""
        return self.gap + self.winding.tube.outer_diameter

    @property
    def rolls(self) -> int:
        """How many rolls of tube are taken."""
        return len(self.bought)

    @property
    def offcut(self) -> float:
        """What is left of the rolls [m]."""
        return sum(tube.length for tube in self.bought) - self.tube_length

    @property
    def goals(self) -> dict[str, float]:
        """The four goals by name, as designs are compared by them."""
        return self._goals(self.prediction.chill_time, self.prediction.water)

    @property
    def told(self) -> dict[str, float]:
        """The four goals by name, as a person is told them."""
        return self._goals(self.prediction.told.time, self.prediction.told.water)

    def _goals(self, time: float | None, water: float | None) -> dict[str, float]:
        time, water = (np.inf if x is None else x for x in (time, water))
        return {"chill_time": time, "cost": self.bill.total, "water": water, "difficulty": self.difficulty}


def designs(
    everything: Space,
    numbers: Index,
    by: Levels | None,
    near_variants: Index,
    *,
    march: bool = False,
    drawn: Samples | None = None,
) -> tuple[Design, ...]:
    """Full designs of the rows, in the given order; march adds the time of a march in time, and has each in
    all draws as `predict` has it; drawn : the rows in all draws, where that is known."""
    basis = everything.basis
    r = rows(everything, numbers)
    every = np.arange(len(r))
    found_at = change_over_of_rows.one_by_one if march else change_over_of_rows.of_rows
    switches = found_at(everything, numbers) if basis.switch is not None else None
    scenario = basis.scenario
    if switches is not None:
        scenario = basis.with_change_over(change_over.settled(basis, switches))
    result, physical = chilled(everything, r, every, FINE, scenario)
    if drawn is None and march and scenario.in_steps:
        drawn = samples_one_by_one(everything, r, scenario)
    drawn = drawn or samples_of(everything, r, every, scenario)
    physical.merge(time_checks(basis, result, drawn))
    r.checks.merge(physical)
    likely = drawn.likely(basis.brewhouse.limits.chill_time, basis.brewhouse.limits.water)
    found = _predictions(everything, r, scenario, result, switches, march)
    stop = np.flatnonzero([p.earlier is not None for p in found])
    if stop.size:
        stopped = samples_of(everything, r, stop, otherwise.scenarios(basis, scenario)["earlier"])
        for i, spans in zip(stop.tolist(), stopped.likely(None), strict=True):
            found[i] = found[i].stopped_early(spans)
    predictions = [replace(p, likely=spans) for p, spans in zip(found, likely, strict=True)]
    goals = np.stack([result.time, r.cost, result.water, r.difficulty], axis=1)
    life = lifetime_of(everything, r, drawn)
    points = points_of(goals, life, by)
    hard, limits = jobs(everything, r), limit_lines(r.checks)
    return tuple(
        _design(
            everything,
            r,
            i,
            predictions[i],
            float(points[i]),
            life.take(i),
            hard[i],
            limits[i],
            int(near_variants[i]),
        )
        for i in range(len(r))
    )


def _predictions(
    everything: Space,
    r: Rows,
    scenario: Scenario,
    result: Chill,
    switches: change_over.ChangeOvers | None,
    march: bool,
) -> list[Prediction]:
    basis, every = everything.basis, np.arange(len(r))
    others = otherwise.chills(
        basis, scenario, result, lambda other: chill_of(everything, r, every, FINE, other)
    )
    cold = None
    if basis.winter is not None:
        until = None if switches is None else change_over.settled(basis, switches)
        winter = basis.winter if until is None else basis.with_change_over(until, basis.winter)
        cold = chill_of(everything, r, every, FINE, winter)
    loose = with_loose_ice(scenario)
    cubes = None if loose is None else chill_of(everything, r, every, FINE, loose).time
    start, marched = _ends_and_march(everything, r, scenario, march)
    return [
        replace(
            _beside(marched[i], prediction(basis, result, others, start, i)),
            switch=None if switches is None else _switch(switches, i),
            loose_ice=None if cubes is None else known(cubes[i]),
            more_ice=_more_ice(everything, r, scenario, result, i),
            winter=None if cold is None else (known(cold.time[i]), known(cold.water[i])),
        )
        for i in range(len(r))
    ]


def _more_ice(everything: Space, r: Rows, scenario: Scenario, result: Chill, i: int) -> MoreIce | None:
    """Each design is short of ice of its own: those that are, are worked out one by one."""
    alone = np.array([i])
    worth = worth_of(everything.basis)
    return more_ice(
        worth, scenario.take(alone), result, i, lambda other: chill_of(everything, r, alone, FINE, other)
    )


def _ends_and_march(
    everything: Space, r: Rows, scenario: Scenario, march: bool
) -> tuple[Ends, list[tuple[March, int] | None]]:
    """Start and end of each design's chill, and the march it is in with its place there; single tubes and two
    on tees apart."""
    tees = r.shape.on_tees
    columns = np.full((len(Ends.__dataclass_fields__), len(r)), np.nan)
    marched: list[tuple[March, int] | None] = [None] * len(r)
    for places in (np.flatnonzero(~tees), np.flatnonzero(tees)):
        if not places.size:
            continue
        c, own = coils(everything, r, places), scenario.take(places)
        columns[:, places] = list(vars(cooldown.ends(c, own, FINE)).values())
        if march:
            run = march_in_time(c, own, FINE, rtol=1e-5, ask=finely)
            for place, i in enumerate(places.tolist()):
                marched[i] = run, place
    return Ends(*columns), marched


def _beside(marched: tuple[March, int] | None, told: Prediction) -> Prediction:
    """A prediction with its march, where there is one."""
    return told if marched is None else told.beside(*marched)


def _switch(found: change_over.ChangeOvers, i: int) -> ChangeOver | None:
    at = float(found.best[i])
    return ChangeOver(at, float(found.low[i]), float(found.high[i])) if np.isfinite(at) else None


def _design(
    everything: Space,
    r: Rows,
    i: int,
    prediction: Prediction,
    points: float,
    life: Lifetime,
    hard: difficulty.Job,
    limits: tuple[LimitLine, ...],
    near_variants: int,
) -> Design:
    setups, setup, placement = everything.setups, int(r.setup[i]), r.placement
    w, inner, layout = everything.wound(setup)
    tube, gap, length = w.tube, float(r.gap[i]), float(placement.tube_length[i])
    d_i = float(helix.inside_diameter(tube.outer_diameter, tube.wall))
    made = length - 2.0 * risers.TRIM * layout.tubes  # the trim is cut off
    place = np.array([setup])
    return Design(
        rank=i + 1,
        id=id_of(everything, r, i),
        layout=layout.name,
        winding=w,
        inner=inner,
        inner_diameter=float(r.shape.innermost[i]) if inner is not None else None,
        gap=gap,
        turns=float(r.turns[i]),
        own_gap=float(r.own_gap[i]),
        own_turns=float(r.own_turns[i]),
        valve_share=float(r.valve_share[i]),
        bought=bought(everything, r, i),
        cut_from=cut_from(everything, r, i),
        mean_diameter=float(r.shape.D_c[i]),
        springback=float(setups.get("springback", place)[0]),
        height=float(r.height[i]),
        lowest=float(placement.lowest[i]),
        hot_level=float(placement.hot_level[i]),
        cold_level=float(placement.cold_level[i]),
        across=float(helix.coil_across(r.shape.D_c[i], tube.outer_diameter)),
        wetted_length=float(placement.wetted[i]),
        wet_share=float(placement.wet_share[i]),
        tube_length=length,
        inner_length=float(placement.inner_length[i]),
        inner_risers=float(placement.inner_risers[i]),
        riser_in=float(placement.riser_in[i]),
        riser_out=float(placement.riser_out[i]),
        mass=float(helix.tube_mass(tube.outer_diameter, d_i, made, tube.metal.density)),
        holds_water=float(helix.bore_volume(d_i, made)),
        displaces=float(helix.outer_volume(tube.outer_diameter, length)),
        stranded=float(stranded_share(placement.chilled_level[i], placement.top[i], r.shape.d_o[i])),
        submergence=float(r.checks.rows["submergence"].value[i]),
        wall_gap=float(r.checks.rows["wall"].value[i]),
        prediction=prediction,
        bill=billed(
            everything.basis,
            tube,
            w.tool,
            [on.form for on in _wound_on(w, inner, layout)],
            layout.tubes,
            bought(everything, r, i),
            float(placement.lowest[i]),
            [
                (float(turns[i]), float(pitch[i]))
                for turns, pitch in ((r.turns, r.shape.pitch), (r.own_turns, r.shape.inner_pitch))
            ][: layout.layers],
        ),
        score=points,
        life=life,
        difficulty=float(r.difficulty[i]),
        hard_terms=dict(zip(difficulty.TERMS, difficulty.difficulty_terms(hard).tolist(), strict=True)),
        reasons=tuple(difficulty.reasons(hard, layers=layout.hard_part, form=_made_ready(w, inner, layout))),
        limits=prediction.told_in(limits),
        near_variants=near_variants,
        origin=EXPLORED if everything.explored(r.number[[i]])[0] else ENUMERATED,
    )


def _wound_on(w: Winding, inner: Winding | None, layout: Layout) -> list[Winding]:
    """Windings that take a form; where one tube makes both layers the outer one lies over strips."""
    if inner is None:
        return [w]
    return [inner] if layout.crossing else [w, inner]


def _made_ready(w: Winding, inner: Winding | None, layout: Layout) -> str:
    """What has to be done first to what a coil is wound on, where anything has."""
    if any(on.form.made for on in _wound_on(w, inner, layout)):
        return difficulty.MADE
    return difficulty.STRIPS if layout.crossing else difficulty.PACKED


def as_coil(d: Design) -> Coil:
    """The coil of a design, as `--save-coil` writes it."""
    tube = d.winding.tube
    sizes: dict[str, Any] = {"mean_diameter": d.mean_diameter, "pitch": d.pitch, "turns": d.turns}
    forms = [_told(form) for form in named_forms(d.winding, d.inner, LAYOUTS[d.layout])]
    rolls = [None if roll is tube else roll.stock_id for roll in d.cut_from]
    if d.inner is not None:
        across = (d.mean_diameter, d.inner_diameter or 0.0)
        sizes = {
            "layer": tuple(
                CoilLayer(mean_diameter=D, pitch=pitch, turns=turns, stock_id=roll, **form)
                for D, (turns, pitch), form, roll in zip(across, d.layers, forms, rolls, strict=True)
            )
        }
    riser_in, riser_out = file_risers(d.layout, d.riser_in, d.riser_out, d.inner_risers)
    if d.valve_share < 1.0:
        sizes["flow"] = d.prediction.flow
    return Coil(
        material=tube.material,
        outer_diameter=tube.outer_diameter,
        wall=tube.wall,
        layout=d.layout,
        lowest_turn_height=d.lowest,
        riser_length_in=riser_in,
        riser_length_out=riser_out,
        riser_bend_radius=d.winding.tool.radius,
        stock_id=tube.stock_id,
        **forms[0],
        **sizes,
    )


def _told(form: Form | None) -> dict[str, Any]:
    """How a coil file tells what turns are wound on."""
    if form is None:
        return {}
    return {"form_to_make": form.outer_diameter} if form.made else {"form_id": form.form_id}
