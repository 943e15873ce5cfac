"""The same plan marched in time: the check on the quadrature, and the cool-down curve.

Water used, heat into the water and heat lost are carried as states of their own, so that the energy
balance is closed against wort and metal by quantities that were computed another way.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from optichill.arrays import Array, Mask
from optichill.properties import wort
from optichill.thermal import runge_kutta
from optichill.thermal.batch import Scenario
from optichill.thermal.coil_performance import CoilPerformance, Coils, Numerics
from optichill.thermal.cooldown import LONGEST
from optichill.thermal.hot_risers import Draw, drawing
from optichill.thermal.performance_curve import MANY_FILLS, Ask, asked, finely
from optichill.thermal.runge_kutta import Integrate, Run
from optichill.thermal.sources import Source, Stage
from optichill.thermal.stepping import short_of_cold
from optichill.thermal.stratification import StratifiedWort

CHECK = Numerics(segments=10, sweeps=2, exact=True)

FIRST_STEP = 0.4
"""Of the time that a filling took, for the next one: it takes about as long."""

STATES = ("T_1", "T_top", "E", "water", "coolant", "ambient")
"""Wort round the coil and stranded above it [K], heat in the bath [J], water that went through the coil [m3],
heat into the coolant and into the room [J]."""

SLOWED = [STATES.index(name) for name in STATES if name != "water"]
"""What goes on more slowly where kettle and coil take longer than is worked out; water runs as fast."""


@dataclass(frozen=True)
class MarchedPiece:
    """One stage, or one filling of it, as marched. number: of the stage, from 1; source None in a hold.

    at gives all STATES, shape (states, designs, times), at times [s] from the piece's beginning; time [s]
    each coil took, shape (designs,).
    """

    number: int
    source: Source | None
    at: Callable[[Array], Array]
    time: Array


@dataclass(frozen=True)
class March:
    """Result of a march; arrays of shape (designs,).

    time [s] without holds and water [m3] to the target, inf where it is not reached in 6 h; T_end and T_top
    [K] where the march ended (mass mean, and stranded above the coil), ice [kg] melted, coolant, ambient [J]
    heat that went into the water and into the room up to there; pieces in order.
    """

    time: Array
    water: Array
    T_end: Array
    T_1: Array
    T_top: Array
    ice: Array
    coolant: Array
    ambient: Array
    pieces: tuple[MarchedPiece, ...]


def march(
    coils: Coils,
    scenario: Scenario,
    numerics: Numerics = CHECK,
    *,
    rtol: float = 1e-7,
    longest: float = LONGEST,
    ask: Ask = asked,
    integrate: Integrate = runge_kutta.run,
) -> March:
    """March all coils together, stage by stage, each stage until the slowest is through, at most `longest`.

    Parameters
    ----------
    coils : Coils
        Shape (designs,), or (2, designs) of two tubes in parallel.
    scenario : Scenario
        The batch, its kettle and its plan.
    numerics : Numerics
        How finely the coils are asked.
    rtol : float [-]
        Of each step.
    longest : float [s]
        Most that a stage is marched; what takes longer than 6 h is out of reach.
    ask : Ask
        How the coils are asked what they do: anew at every step, or out of a fine or a coarse curve.
    integrate : Integrate
        What goes from step to step: our own `runge_kutta.run`, or scipy's, `by_scipy.run`.

    Returns
    -------
    March
        Arrays of shape (designs,), and the cool-down curve in pieces.

    Raises
    ------
    PropertyRange
        Water, start or target outside the water table.

    Examples
    --------
    The same plan by quadrature over temperature takes the same time, to a hundredth; and what wort and metal
    gave up is what water and room took:

    >>> from optichill.thermal.batch import Mixing, one_tap
    >>> from optichill.thermal.cooldown import chill
    >>> from optichill.thermal.supply import Supply
    >>> coil = Coils.of(
    ...     d_o=0.009525, d_i=0.007905, k=339.0, D_c=0.25, pitch=0.014, wetted_length=15.0, tube_length=15.0,
    ...     metal_capacity=1140.0)
    >>> steady = Supply(1e9, 1e9 / (8e-3 / 60) ** 2, hose_bore=0.0127)  # 8 L/min through anything
    >>> batch = Scenario(
    ...     volume=0.020, plato=12.0, T_start=371.15, T_target=298.15, T_ambient=293.15, kettle_diameter=0.36,
    ...     stages=one_tap(285.15, steady), mixing=Mixing.of("steady"))
    >>> run = march(coil, batch, Numerics(segments=2, exact=True, solve_flow=False), rtol=1e-5)
    >>> bool(abs(run.time / chill(coil, batch).time - 1.0) < 0.01)
    True
    >>> wort_heat, metal_heat = heat_given_up(coil, batch, run)
    >>> bool(abs((run.coolant + run.ambient) / (wort_heat + metal_heat) - 1.0) < 1e-4)
    True
    """
    n = len(coils)
    stranded = coils.of_design("stranded") if scenario.mixing.still else np.zeros(n)
    apart = bool((stranded > 0.0).any())
    formulas = StratifiedWort(scenario, stranded, coils.summed("metal_capacity"), apart=apart)
    y = np.zeros((len(STATES), n))
    y[:2] = scenario.T_start
    often = short_of_cold(scenario)
    time, filled, ice, pieces = np.zeros(n), np.zeros(n), np.zeros(n), []
    for number, stage in enumerate(scenario.stages, 1):
        y[2] = 0.0
        begins = _mean(y, stranded)
        source = stage.source
        kernel = None if source is None else CoilPerformance(coils, scenario, numerics, source)
        heat = None if kernel is None else drawing(kernel, ask(kernel, often=often), often=often)
        # Coils that are looked up stand in wort that is looked up.
        anew = ask in (asked, finely) and (source is None or source.fills < MANY_FILLS)
        zones = replace(formulas, exact=anew)
        step = None
        for aim in _aims(stage, scenario, begins):
            piece, y = _marched(heat, zones, stage, aim, y, number, rtol, step, longest, integrate)
            pieces.append(piece)
            step = FIRST_STEP * float(piece.time.min()) or None
            if stage.source is not None:
                time = time + piece.time
                if kernel is not None and heat is not None:
                    ice += np.where(aim < begins, _melted(heat, kernel.source, y), 0.0)
                y[2] = 0.0 if stage.source.fills > 1 else y[2]
        if stage.source is not None:
            filled += np.where(aim < begins, stage.source.filled, 0.0)
    T_end = _mean(y, stranded)
    water = np.where(np.isfinite(time), y[3] + filled, np.inf)
    time = np.where(time <= LONGEST, time, np.inf)
    return March(time, water, T_end, y[0], y[1], ice, y[4], y[5], tuple(pieces))


def _mean(y: Array, stranded: Array) -> Array:
    """Mass-mean wort temperature."""
    return np.asarray((1.0 - stranded) * y[0] + stranded * y[1])


def _melted(heat: Draw, source: Source, y: Array) -> Array:
    """Ice melted [kg] in the state a stage ends in."""
    if source.bath is None or source.bath.ice == 0.0:
        return np.zeros(y.shape[1])
    T_1, T_top, E = y[:3]
    drawn = heat(T_1, T_top, E)
    T_in, G = drawn.T_in, (drawn.Q + drawn.Q_top) / (T_1 - drawn.T_in)
    T_bath = T_in if source.returns else source.bath_temperature(E, drawn.V, G, T_1)
    return source.bath.melted(E, T_bath)


def _aims(stage: Stage, scenario: Scenario, begins: Array) -> list[Array]:
    """Mass-mean temperatures to march to, one for each filling; of a hold one that is never met."""
    if stage.source is None:
        return [np.full_like(begins, -np.inf)]
    aim = np.broadcast_to(scenario.T_target if stage.until is None else stage.until, begins.shape)
    if stage.source.fills == 1:
        return [aim]
    coldest = stage.source.coldest + 1e-3
    return stage.source.changes(begins, np.maximum(np.minimum(aim, begins), coldest))


def _marched(
    heat: Draw | None,
    zones: StratifiedWort,
    stage: Stage,
    aim: Array,
    start: Array,
    number: int,
    rtol: float,
    step: float | None,
    longest: float,
    integrate: Integrate,
) -> tuple[MarchedPiece, Array]:
    """March one stage, or one filling, from `start`, shape (states, designs), beginning with a step [s] where
    one is known to suit; where it ended too."""
    n, source, share = start.shape[1], stage.source, zones.stranded
    ahead = _mean(start, share) > aim
    longest = longest if source is not None else stage.hold
    if not ahead.any() or longest <= 0.0:
        return MarchedPiece(
            number, source, lambda t: np.repeat(start[..., None], t.size, -1), np.zeros(n)
        ), start
    # Absolute tolerances on the scale of each state: kelvin, joules, cubic metres.
    atol = rtol * np.repeat([1.0, 1.0, 1e6, 0.01, 1e6, 1e6], n)
    run = integrate(
        lambda flat: _rates(heat, source, zones, flat.reshape(len(STATES), n)).ravel(),
        start.ravel(),
        longest,
        rtol=rtol,
        atol=atol,
        first=step,
        gap=lambda flat: _mean(flat.reshape(len(STATES), n), share) - aim,
    )
    time, y = _ended(run, ahead, start, source is None)
    return MarchedPiece(number, source, lambda t: run.at(t).reshape(len(STATES), n, -1), time), y


def _rates(heat: Draw | None, source: Source | None, zones: StratifiedWort, y: Array) -> Array:
    """Time derivatives of all STATES."""
    T_1, T_top, E = y[:3]
    out = np.zeros_like(y)
    Q = Q_top = np.zeros_like(T_1)
    if heat is not None and source is not None:
        Q, Q_top, V, m_dot, T_in, _ = heat(T_1, T_top, E)
        out[2] = source.into_bath(Q + Q_top, m_dot, T_in)
        out[3] = 0.0 if source.returns else V
        out[4] = Q + Q_top
    below, top = zones.rates(T_1, T_top, Q, Q_top)
    out[0], out[1] = -below, -top
    out[5] = zones.loss(T_1, T_top)
    if heat is not None:
        out[SLOWED] /= zones.scenario.factors.own
    return out


def _ended(run: Run, ahead: Mask, start: Array, held: bool) -> tuple[Array, Array]:
    """Time each coil took and the state it was in: at its own crossing, or at the end of the march; held : a
    hold has no aim."""
    last = run.y[-1].reshape(start.shape)
    if held:
        return np.full(ahead.size, run.t[-1]), last
    there = np.isfinite(run.crossed)
    each = np.arange(ahead.size)
    at_crossing = run.at_crossing.reshape(-1, *start.shape)[each, :, each].T
    time = np.where(ahead, run.crossed, 0.0)
    return time, np.where(ahead, np.where(there, at_crossing, last), start)


def heat_given_up(coils: Coils, scenario: Scenario, run: March) -> tuple[Array, Array]:
    """Heat given up by wort and by metal [J] from T_start to where the march ended, by its own quadrature."""
    stranded = coils.of_design("stranded") if scenario.mixing.still else np.zeros(len(coils))
    x, w = np.polynomial.legendre.leggauss(12)
    wort_heat, metal = np.zeros(len(coils)), np.zeros(len(coils))
    for share, T_end in ((1.0 - stranded, run.T_1), (stranded, run.T_top)):
        span = scenario.T_start - T_end
        T = T_end + 0.5 * span * (x[:, None] + 1.0)
        wort_heat += (
            share
            * scenario.factors.mass
            * scenario.mass
            * 0.5
            * span
            * (w[:, None] * wort.heat_capacity(T, scenario.plato)).sum(0)
        )
        metal += share * scenario.kettle_capacity * span
    return wort_heat, metal + coils.summed("metal_capacity") * (scenario.T_start - run.T_1)
