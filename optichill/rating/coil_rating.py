"""One coil that exists or is planned: how it stands, how it chills, and what to warn of."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from itertools import groupby

import numpy as np

from optichill.arrays import Array, Index
from optichill.geometry import helix, risers
from optichill.layouts import LAYOUTS
from optichill.model.coil import Coil
from optichill.model.stock import MATCH
from optichill.problem.basis import DesignBasis
from optichill.problem.checks import Checks
from optichill.problem.draws import Draws
from optichill.problem.placement import Placement, Shape, fit_checks, place_coils
from optichill.problem.riser_tools import riser_tools
from optichill.problem.widest import widest
from optichill.problem.worth import worth_of
from optichill.rating import change_over, otherwise
from optichill.rating.chilled_coil import chill_checks, physical, time_checks
from optichill.rating.hours import worked_out
from optichill.rating.likely import Samples, samples
from optichill.rating.prediction import (
    FINE,
    ChangeOver,
    LimitLine,
    Prediction,
    known,
    limit_lines,
    prediction,
)
from optichill.rating.remedies import Remedy, more_ice, warm_tap_remedies, with_loose_ice
from optichill.thermal import by_scipy, cooldown
from optichill.thermal.batch import Scenario
from optichill.thermal.coil_performance import SEARCH, CoilPerformance, Coils, Numerics
from optichill.thermal.march import March, MarchedPiece, heat_given_up, march
from optichill.thermal.performance_curve import MANY_FILLS
from optichill.thermal.sources import Source
from optichill.thermal.validity import Use, uses

PRECISE = Numerics(nodes=16, segments=8, sweeps=2, exact=True, steps=12.0)
"""For one coil there is time: within 0.01 % of a converged run."""

POINTS, FEWEST_POINTS = 61, 5
"""Points of the whole cool-down curve, and of the shortest stage."""


@dataclass(frozen=True)
class CoolDownCurve:
    """The cool-down by the clock, holds included: time [s], wort temperature (mass mean) and that of the wort
    stranded above the coil, of water coming in and going out [K], flow [m3/s], number of the stage; arrays of
    shape (points,). NaN where no water runs."""

    time: Array
    wort: Array
    top: Array
    outlet: Array
    source: Array
    flow: Array
    stage: Array


@dataclass(frozen=True)
class Energy:
    """Heat [J] given up by wort and metal, taken by water and room; closure: what is left, as a share."""

    wort: float
    metal: float
    coolant: float
    ambient: float
    closure: float


@dataclass(frozen=True, kw_only=True)
class QuickRating:
    """One coil on one basis, as far as a search knows it too. stranded: share of the wort above it;
    valve_share: of the full flow that its valve lets through; drawn: the coil in all draws."""

    coil: Coil
    prediction: Prediction
    limits: tuple[LimitLine, ...]
    wet_share: float
    stranded: float
    tube_length: float
    wetted_length: float
    valve_share: float
    drawn: Samples = field(repr=False, compare=False)
    uses: tuple[Use, ...] = ()

    @property
    def throttled(self) -> bool:
        """Whether its valve holds water back."""
        return self.valve_share < 1.0


@dataclass(frozen=True, kw_only=True)
class Rating(QuickRating):
    """One coil on one basis, worked out. closest: the coldest that the wort came to [K], after
    closest_after [s] by the clock; end: where the march ended [K]; scalding: water down the drain [m3] that
    comes out scalding."""

    curve: CoolDownCurve
    energy: Energy
    closest: float
    closest_after: float
    end: float
    scalding: float
    warm_tap_remedies: tuple[Remedy, ...] = ()


def quick_rating(basis: DesignBasis, coil: Coil) -> QuickRating:
    """How the coil stands and how long it chills, without the march in time: a tenth of the work."""
    return _glance(basis.of_measured(coil), coil)[0]


def rate(basis: DesignBasis, coil: Coil) -> Rating:
    """How the coil chills the batch; whatever limit it breaks is only told."""
    basis = basis.of_measured(coil)
    seen, one, scenario = _glance(basis, coil)
    # Out of reach there is no time to check: only how close it gets is wanted, and that takes many steps.
    meets = seen.prediction.chill_time is not None
    # Many fillings are marched one by one: each need not be told to the millionth.
    close = 1e-5 if any(source.fills >= MANY_FILLS for source in scenario.sources) else 1e-6
    numerics, rtol = (PRECISE, close) if meets else (FINE, 1e-4)
    run = march(one, scenario, numerics, rtol=rtol, integrate=by_scipy.run)
    if not meets and np.isfinite(run.time[0]):
        run = march(one, scenario, PRECISE, rtol=close, integrate=by_scipy.run)
    curve = _curve(one, scenario, run)
    closest, after, end = _coldest(one, scenario, run)
    own = {name: getattr(seen, name) for name in QuickRating.__dataclass_fields__}
    told = own["prediction"] = seen.prediction.beside(run, 0)
    own["limits"] = told.told_in(seen.limits)
    own["uses"] = tuple(uses(CoilPerformance(one, scenario, PRECISE), curve.wort[:, None]))
    return Rating(
        **own,
        curve=curve,
        energy=_energy(one, scenario, run),
        closest=closest,
        closest_after=after,
        end=end,
        scalding=_scalding(one, scenario, run),
        warm_tap_remedies=warm_tap_remedies(basis, one) if told.chill_time is None else (),
    )


def in_another(basis: DesignBasis, made_for: DesignBasis, coil: Coil) -> QuickRating:
    """A coil that was made for one kettle in another: at the height at which that one has its coils, its
    risers long enough for both rims, its valve open."""
    shape, _ = placed(basis, coil)
    there = place_coils(basis, shape, beside=(made_for,))
    tees = LAYOUTS[coil.layout].tees
    whole = float(there.riser_in[0] + there.riser_out[0])
    longer = 0.25 * (float(there.inner_risers[0]) - whole) if tees else 0.0
    changed = {
        "lowest_turn_height": float(there.lowest[0]),
        "riser_length_in": float(there.riser_in[0]) + longer,
        "riser_length_out": float(there.riser_out[0]) + longer,
        "flow": None,
    }
    return quick_rating(basis, coil.model_copy(update=changed))


def standing_checks(basis: DesignBasis, coil: Coil, shape: Shape, placement: Placement) -> Checks:
    """What is only a matter of room, of a coil that stands in the kettle."""
    checks = fit_checks(basis, shape, placement)
    if coil.riser_bend_radius is None:
        checks.drop("riser_gap", "riser_height")  # risers that exist are where they are
    checks.forgive(AS_WRITTEN)
    return checks


AS_WRITTEN = 1e-5
"""A coil file has hundredths of a millimetre: by less no room is too small [m]."""


def _glance(basis: DesignBasis, coil: Coil) -> tuple[QuickRating, Coils, Scenario]:
    """With the coil as the physics has it, and its plan with the change-over set."""
    shape, placement, one = in_kettle(basis, coil)
    scenario, found = switched(basis, one)
    result, ends = worked_out(one, scenario, PRECISE), cooldown.ends(one, scenario, PRECISE)
    # What else could be done is told in whole minutes: the search's finest numerics do.
    others = otherwise.chills(basis, scenario, result, lambda other: worked_out(one, other, FINE))
    checks = standing_checks(basis, coil, shape, placement)
    checks.merge(chill_checks(basis, scenario, result))
    drawn = samples(Draws.of(basis, scenario), one)
    checks.merge(time_checks(basis, result, drawn))
    (likely,) = drawn.likely(basis.brewhouse.limits.chill_time, basis.brewhouse.limits.water)
    told = prediction(basis, result, others, ends, 0)
    if told.earlier is not None:
        stopped = samples(Draws.of(basis, otherwise.scenarios(basis, scenario)["earlier"]), one)
        told = told.stopped_early(stopped.likely(None)[0])
    loose = with_loose_ice(scenario)
    if loose is not None:
        told = replace(told, loose_ice=known(worked_out(one, loose, FINE).time[0]))
    short = more_ice(worth_of(basis), scenario, result, 0, lambda other: worked_out(one, other, FINE))
    seen = QuickRating(
        coil=coil,
        prediction=replace(
            told, switch=found, winter=_winter(basis, one, scenario), likely=likely, more_ice=short
        ),
        limits=limit_lines(checks)[0],
        wet_share=float(placement.wet_share[0]),
        stranded=float(one.of_design("stranded")[0]),
        tube_length=float(placement.tube_length[0]),
        wetted_length=float(placement.wetted[0]),
        valve_share=float(one.of_design("valve_share")[0]),
        drawn=drawn,
    )
    return seen, one, scenario


def in_kettle(basis: DesignBasis, coil: Coil) -> tuple[Shape, Placement, Coils]:
    """The coil where it stands, as the physics has it, its valve set."""
    shape, placement = placed(basis, coil)
    metal = coil.metal
    per_length = helix.metal_area(shape.d_o, shape.d_i) * metal.density * metal.heat_capacity
    one = physical(basis, shape, placement, np.array([metal.conductivity]), per_length, np.ones(1))
    return shape, placement, _throttled(basis.scenario, one, coil.flow)


def run_at_medians(basis: DesignBasis, coil: Coil, change_over: float | None) -> float | None:
    """Time of one run with all that is uncertain at its median [s], None where it is out of reach: to compare
    coils that are nearly the same. change_over : temperature [K] where the plan leaves it free."""
    one = in_kettle(basis, coil)[2]
    free = basis.switch is not None and change_over is not None
    scenario = basis.with_change_over(np.array([change_over])) if free else basis.scenario
    return known(worked_out(one, scenario, SEARCH).time[0])


def idea_of_time(basis: DesignBasis, coil: Coil) -> float:
    """The same where its plan changes over best for it [s], inf where it is out of reach."""
    one = in_kettle(basis, coil)[2]
    return float(worked_out(one, switched(basis, one)[0], SEARCH).time[0])


def switched(basis: DesignBasis, one: Coils) -> tuple[Scenario, ChangeOver | None]:
    """The scenario with its free switch where this coil costs least over its life."""
    if basis.switch is None:
        return basis.scenario, None

    def chill_at(which: Index, until: Array) -> cooldown.Chill:
        return cooldown.chill(one.take(which), basis.with_change_over(until), SEARCH)

    found = change_over.best_change_overs(basis, 1, chill_at)
    at = float(change_over.settled(basis, found)[0])
    told = ChangeOver(at, float(found.low[0]), float(found.high[0])) if np.isfinite(found.best[0]) else None
    return basis.with_change_over(at), told


def _winter(basis: DesignBasis, one: Coils, scenario: Scenario) -> tuple[float | None, float | None] | None:
    """Time and water on the colder season's tap, where two are told."""
    if basis.winter is None:
        return None
    winter = basis.winter
    if basis.switch is not None:
        winter = basis.with_change_over(scenario.stages[basis.switch].until or 0.0, winter)
    cold = worked_out(one, winter, PRECISE)
    return known(cold.time[0]), known(cold.water[0])


def placed(basis: DesignBasis, coil: Coil) -> tuple[Shape, Placement]:
    """The coil where its file says it stands, with its own risers; of two tubes on tees each has both."""
    R_b = coil.riser_bend_radius or _usual_bend(basis, coil)
    columns = (coil.outer_diameter, coil.bore, coil.mean_diameter, coil.pitch, coil.turns, R_b)
    shape = replace(Shape(*(np.array([v]) for v in columns)), D_c_wide=widest(basis, coil))
    tees = LAYOUTS[coil.layout].tees
    if len(coil.layers) == 2:
        inner = coil.layers[1]
        shape = replace(
            shape,
            D_in=np.array([inner.mean_diameter]),
            parallel=np.array([tees]),
            pitch_in=np.array([inner.pitch]),
            turns_in=np.array([inner.turns]),
        )
    placement = place_coils(basis, shape, coil.lowest_turn_height)
    outer, inner_turns = shape.layer_lengths
    own = coil.riser_length_in + coil.riser_length_out
    inner_length = risers.tube_length(inner_turns, own) if tees else np.zeros(1)
    whole = inner_length + risers.tube_length(outer + (0.0 if tees else inner_turns) + shape.crossing, own)
    bought = np.array([coil.bought_length]) if coil.bought_length else whole
    return shape, replace(
        placement,
        riser_in=np.array([coil.riser_length_in]),
        riser_out=np.array([coil.riser_length_out]),
        inner_risers=np.array([own if tees else 0.0]),
        tube_length=bought,
        inner_length=inner_length * bought / whole,
        wetted=np.minimum(
            placement.wetted, outer + inner_turns + shape.crossing + own * (2.0 if tees else 1.0)
        ),
    )


def _usual_bend(basis: DesignBasis, coil: Coil) -> float:
    """Bend radius of risers the coil file does not tell [m]: by the tool at hand, else four diameters."""
    for tube in basis.stock.tubing:
        if abs(tube.outer_diameter - coil.outer_diameter) < MATCH and tube.material == coil.material:
            return riser_tools(tube, basis.stock)[0].radius
    return 4.0 * coil.outer_diameter


def _throttled(scenario: Scenario, one: Coils, flow: float | None) -> Coils:
    """The coil with its valve closed until `flow` [m3/s] runs at the start; as it is, where it cannot."""
    if flow is None:
        return one
    # The valve acts on water that goes down the drain: the first such stage is where it is set.
    drained = [s for s in scenario.stages if s.source is not None and not s.source.returns]
    if not drained:
        return one
    scenario = replace(scenario, stages=(replace(drained[0], until=None),))
    full = float(cooldown.ends(one, scenario, PRECISE).flow_start[0])
    if flow >= full:
        return one
    share = flow / full
    for _ in range(3):  # the share is set at a mean water temperature of its own: a step or two settle it
        one = replace(one, valve_share=np.full_like(one.valve_share, share))
        share *= flow / float(cooldown.ends(one, scenario, PRECISE).flow_start[0])
    return one


def _curve(one: Coils, scenario: Scenario, run: March) -> CoolDownCurve:
    lasts = [_lasts(piece, scenario) for piece in run.pieces]
    total, start = max(sum(lasts), 1e-9), 0.0
    columns: list[list[Array]] = []
    for number, pieces in groupby(zip(run.pieces, lasts, strict=True), lambda pair: pair[0].number):
        walked: list[Array] = []
        for piece, last in pieces:
            source = piece.source
            if last <= 0.0 and (columns or walked):
                continue
            n = max(FEWEST_POINTS, round(POINTS * last / total)) if last > 0.0 else 1
            t = np.linspace(0.0, last, n)
            walked.append(np.vstack([start + t, piece.at(t)[:3, 0]]))
            start += last
        if walked:
            columns.append(_stretch(one, scenario, number, source, np.hstack(walked)))
    return CoolDownCurve(*(np.concatenate(stretches) for stretches in zip(*columns, strict=True)))


def _stretch(
    one: Coils, scenario: Scenario, number: int, source: Source | None, walked: Array
) -> list[Array]:
    """The curve's columns for one stage with all its fillings, the coil asked once; walked: time [s], both
    zones of the wort [K] and heat in the bath [J], in rows."""
    t, T_1, T_top, E = walked
    outlet, coming, flow = *np.full((2, t.size), np.nan), np.zeros(t.size)
    if source is not None:
        e = CoilPerformance(one, scenario, PRECISE, source).at(T_1[:, None], E[:, None], T_top[:, None])
        outlet, flow = e.T_out[:, 0], e.V[:, 0]
        coming = np.broadcast_to(e.T_in[:, 0] if e.T_in.ndim > 1 else e.T_in, t.shape)
    share = one.of_design("stranded")[0] if scenario.mixing.still else 0.0
    wort = (1.0 - share) * T_1 + share * T_top
    return [t, wort, T_top, outlet, coming, flow, np.full(t.size, float(number))]


FINELY = 15.0
"""Step in which the coldest point of a cool-down is looked for [s]."""


def _coldest(one: Coils, scenario: Scenario, run: March) -> tuple[float, float, float]:
    """The coldest that the wort comes to [K], after how long [s], and how it ends [K]; stages after one that
    never ends are not begun."""
    share = one.of_design("stranded")[0] if scenario.mixing.still else 0.0
    best, after, start, end = np.inf, 0.0, 0.0, scenario.T_start
    for piece in run.pieces:
        last = _lasts(piece, scenario)
        t = np.linspace(0.0, last, max(2, int(last / FINELY)))
        T_1, T_top = piece.at(t)[:2, 0]
        wort = (1.0 - share) * T_1 + share * T_top
        coldest, end = int(wort.argmin()), float(wort[-1])
        if wort[coldest] < best:
            best, after = float(wort[coldest]), start + float(t[coldest])
        start += last
        if not np.isfinite(piece.time[0]):
            break
    return best, after, end


def _lasts(piece: MarchedPiece, scenario: Scenario) -> float:
    """How long a piece lasts [s], one that never ends to the longest that is looked at."""
    time = float(piece.time[0])
    return time if np.isfinite(time) else cooldown.LONGEST


SCALDS = 333.15
"""Water from here on scalds within seconds [K] (CP: 60 degC)."""


def _scalding(one: Coils, scenario: Scenario, run: March) -> float:
    """Water down the drain that comes out scalding at first [m3]."""
    total = 0.0
    for piece in run.pieces:
        last = _lasts(piece, scenario)
        if piece.source is None or piece.source.returns or last <= 0.0:
            continue
        t = np.linspace(0.0, last, POINTS)
        T_1, T_top, E = piece.at(t)[:3, 0]
        kernel = CoilPerformance(one, scenario, PRECISE, piece.source)
        e = kernel.at(T_1[:, None], E[:, None], T_top[:, None])
        total += float(np.trapezoid(np.where(e.T_out[:, 0] >= SCALDS, e.V[:, 0], 0.0), t))
    return total


def _energy(one: Coils, scenario: Scenario, run: March) -> Energy:
    wort, metal = (float(np.atleast_1d(q)[0]) for q in heat_given_up(one, scenario, run))
    coolant, ambient = float(run.coolant[0]), float(run.ambient[0])
    return Energy(wort, metal, coolant, ambient, (wort + metal - coolant - ambient) / max(wort + metal, 1e-9))
