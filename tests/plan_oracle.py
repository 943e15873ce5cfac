"""One whole cooling plan, worked the slow way: stages, layers, two zones of wort, baths, ice and pumps.

Nothing here comes from optichill. Correlations, properties and the kettle's numbers are those of oracle.py
(on ht, fluids and CoolProp); this module adds what one tap stage on one helix does not need. It marches in
time with `solve_ivp`, one number at a time, and stops where two zones of wort meet or part. SI, kelvin; `h`
counts from liquid water at 0 degC. Constants without a source are OWN.

Where a plan could be read in two ways: the valve is set in the first stage that flows, whatever its return,
and acts in all stages that go to the drain; a pump's first and last line in V^2 go on beyond its points; two
tubes side by side have an entry and an outlet change each; layers in series share one mean temperature for
their friction; `drained` is what flows to the drain, a bucket's fillings are not in it; the kettle's wall
is wetted up to the sum of both zones' volumes; a stage whose `until` is reached already takes no time.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import asdict, dataclass, replace
from functools import cached_property, partial
from typing import NamedTuple

import numpy as np
import oracle
from CoolProp.CoolProp import PropsSI
from oracle import OutOfReach, f_inside, f_straight, h_inside, h_outside, water, water_temperature, wort
from scipy.constants import g
from scipy.constants import sigma as stefan_boltzmann
from scipy.integrate import solve_ivp
from scipy.optimize import brentq

L_ICE = 333.55e3  # CRC Handbook, from memory
T_ICE = 273.15
H_O_ICE_MOVED, H_O_ICE_STILL = 1200.0, 500.0  # film round a pre-cooling coil [W/m2K]
K_PATH, K_TEES, K_EXIT = 4 * 0.25 + 2 * 0.08, 2 * 2.0, 1.0  # bends and unions; two branches; hose's end
H_ZERO = PropsSI("H", "T", 273.15, "P", oracle.PRESSURE, "Water")


def h(T: float) -> float:
    return water("H", T) - H_ZERO


def T_of(enthalpy: float, guess: float) -> float:
    return water_temperature(enthalpy + H_ZERO, guess)


# --- what is given -------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Pump:
    """Points (flow [m3/s], head [m]) by rising flow, straight lines in V^2 between; hose before and after."""

    points: tuple[tuple[float, float], ...] = ((0.0, 3.5), (2e-4, 0.0))
    lift: float = 0.0
    hose_bore: float = 12.7e-3
    hose_each_way: float = 1.5

    def pressure(self, V: float, T_in: float) -> float:
        pairs = list(zip(self.points, self.points[1:], strict=False))
        (V_a, H_a), (V_b, H_b) = next((pair for pair in pairs if V <= pair[1][0]), pairs[-1])
        head = H_a + (H_b - H_a) * (V**2 - V_a**2) / (V_b**2 - V_a**2)
        return water("D", T_in) * g * (head - self.lift)


@dataclass(frozen=True)
class Stage:
    """One entry of the plan: tap | bucket | ice bath | precooled tap | hold (which reads `seconds` alone).

    `until` is on the mass mean, None = the target. `pump` None = the case's tap. `T_water`: tap, or bucket
    and bath as filled, and their make-up; None = the case's T_in. `T_fill`: ice water round a precooler as
    filled, None = T_water. `back`: the water returns to its bucket, not to the drain. `stirred`: the ice
    water round a precooler is kept moving. `precooler`: its tube, D_c and tube_length. Masses [kg].
    `UA_ice`: what all the ice lets in [W/K], less as it melts; None = all heat at once, the bath at 0 degC.
    """

    source: str = "tap"
    until: float | None = None
    pump: Pump | None = None
    T_water: float | None = None
    T_fill: float | None = None
    m_water: float = 10.0
    ice: float = 0.0
    UA_ice: float | None = None
    back: bool = False
    refills: int = 0
    stirred: bool = False
    precooler: oracle.Case = oracle.Case(D_c=0.2, tube_length=7.6)
    seconds: float = 0.0

    def __post_init__(self) -> None:
        if self.source not in ("tap", "bucket", "ice bath", "precooled tap", "hold"):
            raise ValueError(f"source {self.source!r}: tap, bucket, ice bath, precooled tap or hold")
        if self.back and self.source not in ("bucket", "ice bath"):
            raise ValueError(f"back: a {self.source} has no bucket to return to")
        if self.refills and not (self.back and self.source == "bucket"):
            raise ValueError("refills: only for a bucket whose water comes back")

    @property
    def has_ice(self) -> bool:
        return self.source in ("ice bath", "precooled tap")

    @cached_property
    def filled(self) -> float:
        """Heat of the water as filled in [J]."""
        return self.m_water * h(self.T_water if self.T_fill is None else self.T_fill)

    @property
    def melts_slowly(self) -> bool:
        return self.has_ice and self.UA_ice is not None

    @property
    def settled(self) -> float:
        """Ice [kg] that has melted before the stage begins: it stands in its water beforehand."""
        return min(self.ice, self.filled / L_ICE) if self.has_ice else 0.0

    def bath(self, E: float, melted: float) -> tuple[float, float]:
        """Temperature [K] of the water drawn, or of the bath once it took E [J]; ice melted [kg], which is
        asked only of ice that melts slowly."""
        if not (self.has_ice or self.back):
            return self.T_water, 0.0
        if not self.melts_slowly:
            melted = min((self.filled + E) / L_ICE, self.ice) if self.has_ice else 0.0
            if self.has_ice and melted < self.ice:
                return T_ICE, melted
        melted = min(melted, self.ice)
        left = max(self.filled + E - melted * L_ICE, 0.0)  # a trial step may melt more than there is heat
        return T_of(left / (self.m_water + melted), self.T_water), melted

    def melting(self, T_bath: float, melted: float) -> float:
        """Ice that melts [kg/s]: a lump keeps its shape, so that its surface goes with (mass)^(2/3)."""
        if not self.melts_slowly or melted >= self.ice:
            return 0.0
        surface = (1.0 - melted / self.ice) ** (2.0 / 3.0)
        return self.UA_ice * surface * (T_bath - T_ICE) / L_ICE


@dataclass(frozen=True)
class Helix:
    D_c: float = 0.2
    pitch: float = 14e-3
    wetted_length: float = 6.0
    tube_length: float = 7.5


class Layer(NamedTuple):
    tube: oracle.Case
    film_factor: float
    speed_factor: float


@dataclass(frozen=True)
class Case(oracle.Case):
    """An oracle.Case (its D_c, pitch and lengths: the only or the outer helix) with layers and a plan.

    `inner`: the other helix when layout is nested (water enters it first) or parallel. `layer_factor` on both
    outside films, None = by the distance. `sigma`: share of the wort above the top wetted turn, which counts
    when the wort is left alone. `valve_share`: part of the full flow. `segments` along each path.
    """

    layout: str = "single"
    inner: Helix | None = None
    layer_factor: float | None = None
    inner_speed_factor: float = 0.7
    sigma: float = 0.0
    stages: tuple[Stage, ...] = (Stage(),)
    valve_share: float = 1.0
    segments: int = 24
    rtol: float = 1e-7

    def __post_init__(self) -> None:
        if self.layout not in ("single", "nested", "parallel"):
            raise ValueError(f"layout {self.layout!r}: single, nested or parallel")
        if (self.layout == "single") != (self.inner is None):
            raise ValueError("inner: a second helix for nested and parallel, none for single")
        if not (0.0 <= self.sigma < 1.0 and 0.0 < self.valve_share <= 1.0):
            raise ValueError("sigma is in [0, 1), valve_share in (0, 1]")

    @cached_property
    def plan(self) -> tuple[Stage, ...]:
        return tuple(s if s.T_water is not None else replace(s, T_water=self.T_in) for s in self.stages)

    @cached_property
    def paths(self) -> tuple[tuple[Layer, ...], ...]:
        """The layers that each share of the water runs through, in order."""
        if self.inner is None:
            return ((Layer(self, 1.0, 1.0),),)
        apart = (self.D_c - self.inner.D_c) / 2.0 / self.d_o
        by_distance = 0.85 + 0.15 * min(max((apart - 1.5) / 1.5, 0.0), 1.0)
        factor = by_distance if self.layer_factor is None else self.layer_factor
        alone = replace(self, layout="single", inner=None, **asdict(self.inner))
        inner, outer = Layer(alone, factor, self.inner_speed_factor), Layer(self, factor, 1.0)
        return ((inner,), (outer,)) if self.layout == "parallel" else ((inner, outer),)


class Result(NamedTuple):
    """Times [s] (`chill_time` without holds), water to the drain [m3], heat [J], closure relative to the heat
    that left wort and metal; tuples: one value a stage (`bath_end`: the last filling's, nan in a hold).
    `flow_start` [m3/s], cold at the inlet, and `T_out_start`: the first stage that flows."""

    chill_time: float
    wall_time: float
    drained: float
    heat_to_coolant: float
    heat_to_ambient: float
    T1: float
    T2: float
    flow_start: float
    T_out_start: float
    closure: float
    stage_time: tuple[float, ...]
    ice_melted: tuple[float, ...]
    bath_end: tuple[float, ...]


# --- the flow ------------------------------------------------------------------------------------------


def dynamic(m_dot: float, bore: float, T: float) -> float:
    return 0.5 * (4.0 * m_dot / (math.pi * bore**2)) ** 2 / water("D", T)


def friction(m_dot: float, bore: float, length: float, T: float, D_c: float | None = None) -> float:
    """Of a helix, or without D_c of a straight smooth hose [Pa]."""
    Re = 4.0 * m_dot / (math.pi * bore * water("V", T))
    f = f_inside(Re, bore / D_c) if D_c else f_straight(Re)
    return f * length / bore * dynamic(m_dot, bore, T)


def path_drop(case: Case, path: Sequence[Layer], bore: float, m_dot: float, T: float) -> float:
    """Entry and outlet change, bends, unions, tees, and the helices in series [Pa]."""
    small, large = sorted((case.d_i, bore))
    b2 = (small / large) ** 2
    drop = (0.5 * (1.0 - b2) + (1.0 - b2) ** 2) * dynamic(m_dot, small, T)
    drop += (K_PATH + (K_TEES if case.layout == "parallel" else 0.0)) * dynamic(m_dot, case.d_i, T)
    coil = sum(friction(m_dot, case.d_i, t.tube_length, T, t.D_c) for t, _, _ in path)
    return drop + case.truth.friction * coil


def left_for_coil(case: Case, stage: Stage, R_v: float, m_dot: float, T_in: float, T_mean: float) -> float:
    """What supply, hoses, valve and precooler leave for the coil [Pa]."""
    V = m_dot / water("D", T_in)
    if stage.pump:
        bore, length = stage.pump.hose_bore, stage.pump.hose_each_way
        stronger = case.truth.pump
        p = stronger * stage.pump.pressure(V / math.sqrt(stronger), T_in) - friction(
            m_dot, bore, length, T_in
        )
    else:
        bore, length = case.hose_bore, case.outlet_hose_length
        truth = case.truth
        p = case.p_static * truth.pressure * (1.0 - (V / (case.V_open * truth.open_flow)) ** 2)
    if stage.source == "precooled tap":
        c = stage.precooler
        p -= friction(m_dot, c.d_i, c.tube_length, stage.T_water, c.D_c)
    return p - R_v * V**2 - friction(m_dot, bore, length, T_mean) - K_EXIT * dynamic(m_dot, bore, T_mean)


def flows(case: Case, stage: Stage, R_v: float, T_in: float, T_outs: Sequence[float]) -> list[float]:
    """Mass flow of each path [kg/s]: one pressure drop across all, their sum through hose and supply."""
    bore = stage.pump.hose_bore if stage.pump else case.hose_bore
    means, low, high = [0.5 * (T_in + T) for T in T_outs], 1e-6, 2.0

    def side_by_side(first: float) -> tuple[list[float], float]:
        drop, found = path_drop(case, case.paths[0], bore, first, means[0]), [first]
        for path, T in zip(case.paths[1:], means[1:], strict=True):
            excess = lambda m, p=path, T=T: path_drop(case, p, bore, m, T) - drop  # noqa: E731
            found.append(brentq(excess, low / 10.0, high * 10.0, rtol=1e-11))
        return found, drop

    def surplus(first: float) -> float:
        m, drop = side_by_side(first)
        T_mean = sum(m_i * T for m_i, T in zip(m, means, strict=True)) / sum(m)
        return left_for_coil(case, stage, R_v, sum(m), T_in, T_mean) - drop

    if surplus(low) <= 0.0:
        raise OutOfReach(f"{stage.source}: no flow, the supply does not lift the water")
    return side_by_side(brentq(surplus, low, high, rtol=1e-11))[0]


def precooled(stage: Stage, m_dot: float, T_bath: float, guess: float) -> float:
    """Tap water after the precooler [K]: 1 - exp(-NTU) of the way to the ice water."""
    c, h_o, T_in = stage.precooler, H_O_ICE_MOVED if stage.stirred else H_O_ICE_STILL, guess
    R = 1.0 / h_o + oracle.FOULING_CLEAN + c.d_o / (2.0 * c.k_tube) * math.log(c.d_o / c.d_i)
    for _ in range(50):
        T = 0.5 * (stage.T_water + T_in)
        U = 1.0 / (R + c.d_o / c.d_i / h_inside(c, m_dot, T, T))
        NTU = U * math.pi * c.d_o * c.tube_length / (m_dot * water("C", T))
        last, T_in = T_in, stage.T_water + (1.0 - math.exp(-NTU)) * (T_bath - stage.T_water)
        if abs(T_in - last) < 1e-9:
            return T_in
    raise ValueError("the precooler's outlet did not settle")


# --- heat along the tube -------------------------------------------------------------------------------


def local_U(layer: Layer, m_dot: float, T: float, T_c: float, v: float, x: float) -> tuple[float, float]:
    """U [W/m2K] on the outside area and x = (T_surface - T_c)/(T - T_c), by secants from a guess of x: what
    passes the outside film passes wall and inside film."""
    tube, dT = layer.tube, T - T_c
    R = tube.truth.fouling + tube.d_o / (2.0 * tube.k_tube) * math.log(tube.d_o / tube.d_i)

    def excess(x: float) -> tuple[float, float]:
        flux = h_outside(tube, T, T_c + x * dT, v) * layer.film_factor * (1.0 - x) * dT
        rise = x * dT - flux * R  # from the water to the wall's inside
        h_i = h_inside(tube, m_dot, T_c, T_c + dT * min(max(rise / dT, 0.0), 1.0))
        return flux - h_i * tube.d_i / tube.d_o * rise, flux

    a, b = x, x + 1e-3 * (0.5 - x)
    (y_a, _), (y_b, flux) = excess(a), excess(b)
    for _ in range(40):
        if y_b == y_a or abs(y_b) <= 1e-9 * abs(flux):
            return flux / dT, b
        new = b - y_b * (b - a) / (y_b - y_a)
        a, y_a, b = b, y_b, min(max(new, 0.5 * b), 0.5 * (1.0 + b))
        y_b, flux = excess(b)
    raise ValueError("the tube's surface temperature did not settle")


def along(layer: Layer, m_dot: float, T: float, T_c: float, v: float, segments: int) -> float:
    """The water after one helix, wort the same all along: midpoint rule in ln|T - T_c|."""
    tube, dT = layer.tube, T - T_c
    if abs(dT) < 1e-9:
        return T_c
    dz, x, y, side = tube.wetted_length / segments, 0.3, math.log(abs(dT)), math.copysign(1.0, dT)

    def slope(y: float, x: float) -> tuple[float, float]:
        T_here = T - side * max(math.exp(y), 1e-3)  # nearer, rounding blurs the balance; U stays the same
        U, x = local_U(layer, m_dot, T, T_here, v * layer.speed_factor, x)
        return -math.pi * tube.d_o * U / (m_dot * water("C", T_here)), x

    for _ in range(segments):
        first, x = slope(y, x)
        middle, x = slope(y + 0.5 * dz * first, x)
        y += dz * middle
    return T - side * math.exp(y)


class Coil(NamedTuple):
    heat: float
    m_dot: float
    T_in: float
    T_out: float


class Circuit:
    """One stage's water through the coil; the last answer is the next guess."""

    def __init__(self, case: Case, stage: Stage, R_v: float) -> None:
        self.case, self.stage, self.R_v = case, stage, 0.0 if stage.back else R_v
        self.T_in, self.ratios = stage.T_water, [0.4] * len(case.paths)
        self.precools = stage.source == "precooled tap"

    def inlet(self, m_dot: float, T_bath: float) -> float:
        return precooled(self.stage, m_dot, T_bath, self.T_in) if self.precools else T_bath

    def uses(self, coil: Coil) -> tuple[float, float]:
        """Heat into bucket or bath [W], water to the drain [m3/s]."""
        if self.stage.back:
            return coil.heat, 0.0
        # Make-up of a bath that is drained, or tap water that is cooled; nothing where T_in is T_water.
        cooled = coil.m_dot * (h(self.stage.T_water) - h(coil.T_in))
        return cooled, coil.m_dot / water("D", coil.T_in)

    def heat(self, path: Sequence[Layer], m_dot: float, T_in: float, T: float) -> float:
        Q, segments = 0.0, -(-self.case.segments // len(path))
        for share, v in self.case.motions:
            T_c = T_in
            for layer in path:
                T_c = along(layer, m_dot, T, T_c, v, segments)
            Q += share * m_dot * (h(T_c) - h(T_in))
        return Q

    def at(self, T: float, T_bath: float) -> Coil:
        """Flow, inlet, outlets and heat, found together: each depends a little on the others."""
        case, T_in = self.case, self.T_in if self.precools else self.inlet(0.0, T_bath)
        T_outs = [T_in + ratio * (T - T_in) for ratio in self.ratios]
        for _ in range(50):
            last, m = [T_in, *T_outs], flows(case, self.stage, self.R_v, T_in, T_outs)
            T_in = self.inlet(sum(m), T_bath)
            Q = [self.heat(path, m_i, T_in, T) for path, m_i in zip(case.paths, m, strict=True)]
            T_outs = [T_of(h(T_in) + q / m_i, T_in) for q, m_i in zip(Q, m, strict=True)]
            # A wrong outlet comes back some forty times smaller: the flow hardly feels it.
            if max(abs(a - b) for a, b in zip(last, [T_in, *T_outs], strict=True)) < 2e-6:
                break
        else:
            raise ValueError("flow and outlet temperature did not settle")
        self.T_in = T_in
        if abs(T - T_in) > 1e-3:
            self.ratios = [(T_out - T_in) / (T - T_in) for T_out in T_outs]
        return Coil(sum(Q), sum(m), T_in, T_of(h(T_in) + sum(Q) / sum(m), T_outs[0]))


def valve(case: Case, stage: Stage) -> float:
    """R_v [Pa/(m3/s)^2] that leaves `valve_share` of the stage's full flow at the start, the water's mean at
    0.75 T_in + 0.25 T_start, T_in as it is at full flow."""
    circuit, T_in = Circuit(case, stage, 0.0), stage.T_water

    def total(R_v: float) -> float:
        return sum(flows(case, stage, R_v, T_in, [0.5 * (T_in + case.T_start)] * len(case.paths)))

    for _ in range(20):
        T_in = circuit.inlet(total(0.0), stage.bath(0.0, stage.settled)[0])
    goal = case.valve_share * total(0.0)
    most = left_for_coil(case, stage, 0.0, 1e-6, T_in, T_in) / (goal / water("D", T_in)) ** 2
    return brentq(lambda R_v: total(R_v) - goal, 0.0, most, rtol=1e-10)


# --- the kettle and the march --------------------------------------------------------------------------


class March:
    """The chill on its way. State y: T1, T2, E of the bath, drained, heat to coolant, heat to the room,
    ice melted."""

    def __init__(self, case: Case) -> None:
        length = case.tube_length + (case.inner.tube_length if case.inner else 0.0)
        self.case, self.sigma = case, case.sigma if case.motions == ((1.0, 0.0),) else 0.0
        self.M, self.area = oracle.wort_mass(case), math.pi * case.kettle_diameter**2 / 4.0
        self.C_kettle = oracle.metal_heat_capacity(replace(case, tube_length=0.0))
        self.C_coil = oracle.metal_heat_capacity(replace(case, tube_length=length)) - self.C_kettle
        self.y = np.array([case.T_start, case.T_start, 0.0, 0.0, 0.0, 0.0, 0.0])

    def mean(self, y: np.ndarray) -> float:
        return float((1.0 - self.sigma) * y[0] + self.sigma * y[1])

    def losses(self, T1: float, T2: float) -> tuple[float, float]:
        """Heat to the room from below and from above [W]: the wall by shares, the surface from above."""
        c, s = self.case, self.sigma
        volume = self.M * ((1.0 - s) / wort(T1, c.plato).rho + s / wort(T2, c.plato).rho)
        level = volume / self.area

        def wall(T: float) -> float:
            dT = T - c.T_ambient
            flux = 1.42 * (abs(dT) / level) ** 0.25 * dT + 0.25 * stefan_boltzmann * (T**4 - c.T_ambient**4)
            return flux * math.pi * c.kettle_diameter * level

        dT = T2 - c.T_ambient
        top = 8.0 * dT if c.lid else 130.0 * max(water("p_sat", T2) / 1e3 - 1.2, 0.0) + 14.0 * dT
        below, above = (1.0 - s) * wall(T1), s * wall(T2) + top * self.area
        return c.truth.loss * below, c.truth.loss * above

    def slopes(self, circuit: Circuit | None, one: bool, _: float, y: np.ndarray) -> list[float]:
        """dy/dt, the zones each for itself or as `one`."""
        T1, T2, E, melted = (float(y[i]) for i in (0, 1, 2, 6))
        s, plato = self.sigma, self.case.plato
        T_bath = circuit.stage.bath(E, melted)[0] if circuit else T1
        coil = circuit.at(T1, T_bath) if circuit else Coil(0.0, 0.0, T1, T1)
        below, above = self.losses(T1, T2)
        down = self.case.truth.exchange * self.area * (T2 - T1)
        C1 = (1.0 - s) * (self.M * wort(T1, plato).cp + self.C_kettle) + self.C_coil
        C2 = s * (self.M * wort(T2, plato).cp + self.C_kettle)
        first = -(coil.heat + below - down) / C1
        second = -(above + down) / C2 if s else 0.0
        if one:
            first = second = -(coil.heat + below + above) / (C1 + C2)
        bath, V = circuit.uses(coil) if circuit else (0.0, 0.0)
        melting = circuit.stage.melting(T_bath, melted) if circuit else 0.0
        return [first, second, bath, V, coil.heat, below + above, melting]

    def parting(self, circuit: Circuit | None, y: np.ndarray) -> float:
        """How much faster the lower zone would cool than the upper one [K/s]."""
        first, second = self.slopes(circuit, False, 0.0, y)[:2]
        return second - first

    def events(self, circuit: Circuit | None, goal: float, one: bool) -> list[Callable[..., float]]:
        """The goal, and where the zones meet or part: both stop the march."""

        def reached(_: float, y: np.ndarray) -> float:
            return self.mean(y) - goal if circuit else 1.0

        def zones(_: float, y: np.ndarray) -> float:
            if not self.sigma:
                return 1.0
            return self.parting(circuit, y) if one else float(y[1] - y[0])

        for event, direction in ((reached, -1), (zones, 1 if one else -1)):
            vars(event).update(terminal=True, direction=direction)
        return [reached, zones]

    def go_through(self, circuit: Circuit | None, goal: float, seconds: float) -> float:
        """March to the mean `goal`, or for the `seconds` of a hold; returns the time it took."""
        t, rtol = 0.0, self.case.rtol
        atol = rtol * np.array([1.0, 1.0, 1e4, 1e-3, 1e4, 1e4, 1.0])
        one = not self.sigma or bool(self.y[1] <= self.y[0] and self.parting(circuit, self.y) < 0.0)
        for _ in range(60):
            slopes, events = partial(self.slopes, circuit, one), self.events(circuit, goal, one)
            march = solve_ivp(slopes, (t, seconds), self.y, "LSODA", events=events, rtol=rtol, atol=atol)
            t, self.y = float(march.t[-1]), march.y[:, -1].copy()
            if march.status == 0 and circuit:
                raise OutOfReach(f"{circuit.stage.source}: {goal:.2f} K not within {seconds / 3600:.0f} h")
            if march.status == 0 or len(march.t_events[0]):
                return t
            one = not one
            self.y[:2] = self.mean(self.y) if one else self.y[:2]
        raise ValueError(f"zones meet and part without end, or {march.message}")

    def through(self, stage: Stage, R_v: float) -> float:
        """One stage, from fresh water and ice to its goal; returns its time."""
        self.y[2], self.y[6] = 0.0, stage.settled
        if stage.source == "hold":
            return self.go_through(None, 0.0, stage.seconds)
        goal, start, parts = stage.until or self.case.T_target, self.mean(self.y), stage.refills + 1
        t, ratio = 0.0, ((goal - stage.T_water) / (start - stage.T_water)) if parts > 1 else 0.0
        for i in range(1, parts + 1):
            part = goal if i == parts else stage.T_water + (start - stage.T_water) * ratio ** (i / parts)
            if self.mean(self.y) > part:
                self.y[2] = 0.0
                t += self.go_through(Circuit(self.case, stage, R_v), part, oracle.LONGEST)
        return t

    def released(self) -> float:
        """Heat that has left wort and metal since the start, by its own quadrature [J]."""
        x, weights = np.polynomial.legendre.leggauss(16)
        heat = self.C_coil * (self.case.T_start - float(self.y[0]))
        for share, T in ((1.0 - self.sigma, float(self.y[0])), (self.sigma, float(self.y[1]))):
            half = 0.5 * (self.case.T_start - T)
            cp = [wort(float(T + half * (1.0 + x_i)), self.case.plato).cp for x_i in x]
            heat += share * half * (self.M * float(weights @ cp) + 2.0 * self.C_kettle)
        return heat


def run(case: Case) -> Result:
    """The whole plan. OutOfReach: a stage takes more than six hours, or nothing flows."""
    first, march, each = next(s for s in case.plan if s.source != "hold"), March(case), []
    R_v = valve(case, first) if case.valve_share < 1.0 else 0.0
    for stage in case.plan:
        if stage is first:
            start = Circuit(case, stage, R_v).at(float(march.y[0]), stage.bath(0.0, stage.settled)[0])
        t = march.through(stage, R_v)
        T_bath, melted = stage.bath(float(march.y[2]), float(march.y[6]))
        each.append((t, melted, math.nan if stage.source == "hold" else T_bath))
    T1, T2, _, drained, coolant, room, _ = (float(v) for v in march.y)
    times, ice_melted, bath_end = zip(*each, strict=True)
    held = sum(t for t, stage in zip(times, case.plan, strict=True) if stage.source == "hold")
    closure = abs(march.released() / (coolant + room) - 1.0)
    ends = drained, coolant, room, T1, T2 if march.sigma else T1
    flow_start = start.m_dot / water("D", start.T_in)
    return Result(
        sum(times) - held, sum(times), *ends, flow_start, start.T_out, closure, times, ice_melted, bath_end
    )
