"""One chill, worked the slow way: an independent scalar model to hold optichill's arrays against.

Nothing here comes from optichill. The correlations are those of the general-purpose libraries ht and
fluids where they have them, water is CoolProp's, and the rest is written out with `math` alone. The chill
is marched in time with `solve_ivp`; along the tube the water is marched with classical Runge-Kutta; at
every point the temperatures of the tube's surfaces come from their own heat balance.

Left out: ice, stages, several layers or branches, and wort stranded above the coil. SI, kelvin.
"""

from __future__ import annotations

import functools
import math
from dataclasses import dataclass
from typing import NamedTuple

import fluids
import ht
import numpy as np
from CoolProp.CoolProp import PropsSI
from scipy.constants import g, sigma
from scipy.integrate import solve_ivp
from scipy.interpolate import CubicSpline
from scipy.optimize import brentq

PRESSURE = 2e5  # keeps water liquid at 100 degC; no property used here feels the difference to 1 bar
SPEED_OF_WORD = {"left alone": 0.0, "steady": 0.05, "whirlpool pump": 0.06, "vigorous": 0.15}
SHARE_OF_NOW_AND_THEN = 0.25
FOULING_CLEAN = 2e-5  # dirt of clean water alone, round a pre-cooling coil
LONGEST = 6 * 3600.0


class OutOfReach(Exception):
    """The target is not reached within six hours."""


@dataclass(frozen=True)
class Truth:
    """What nobody knows of a batch, as it really is: at the medians of the priors unless told otherwise.

    Multipliers [-] on films, friction, the kettle's loss, the wort's speed, the share of time it is stirred,
    the tap's pressure and open flow, a pump's head (with it the flow, by its root), and the wort's mass;
    phi_still, phi_moving: what touching turns leave of a film [-]; fouling [m2K/W]; exchange with stranded
    wort [W/m2K].
    """

    still: float = 0.85
    phi_still: float = 0.44
    phi_moving: float = 0.64
    moving: float = 1.0
    inner: float = 1.0
    friction: float = 1.0
    fouling: float = 4e-5
    exchange: float = 150.0
    loss: float = 1.0
    speed: float = 1.0
    share: float = 1.0
    pressure: float = 1.0
    open_flow: float = 1.0
    pump: float = 1.0
    mass: float = 1.0


@dataclass(frozen=True)
class Case:
    """One coil in one kettle on one tap [m, kg, s, K, Pa]; `mixing` is a word or a cross-flow speed [m/s]."""

    d_o: float = 9.525e-3
    d_i: float = 7.905e-3
    k_tube: float = 339.0
    tube_density: float = 8940.0
    tube_heat_capacity: float = 385.0
    D_c: float = 0.25
    pitch: float = 14e-3
    wetted_length: float = 12.0
    tube_length: float = 15.0
    plato: float = 12.0
    volume_hot: float = 19.9e-3
    T_start: float = 371.15
    T_target: float = 298.15
    T_in: float = 285.15
    T_ambient: float = 293.15
    mixing: str | float = "left alone"
    p_static: float = 3e5
    V_open: float = 12e-3 / 60.0
    hose_bore: float = 12.7e-3
    outlet_hose_length: float = 3.0
    kettle_diameter: float = 0.36
    lid: bool = False
    kettle_metal_mass: float | None = None
    truth: Truth = Truth()

    @property
    def motions(self) -> tuple[tuple[float, float], ...]:
        """Shares of the time and the cross-flow speed [m/s] in each."""
        if self.mixing == "now and then":
            stirred = min(SHARE_OF_NOW_AND_THEN * self.truth.share, 1.0)
            return (1.0 - stirred, 0.0), (stirred, SPEED_OF_WORD["steady"] * self.truth.speed)
        speed = SPEED_OF_WORD[self.mixing] if isinstance(self.mixing, str) else self.mixing
        return ((1.0, speed * self.truth.speed),)


# --- properties ----------------------------------------------------------------------------------------


class Liquid(NamedTuple):
    """Properties at one temperature: density, viscosity, conductivity, heat capacity, expansion."""

    rho: float
    mu: float
    k: float
    cp: float
    beta: float

    @property
    def Pr(self) -> float:
        return self.cp * self.mu / self.k


T_LOW, T_STEP, T_HIGH = 273.2, 0.2, 386.0


@functools.cache
def _spline(key: str) -> list[tuple[float, float, float, float]]:
    """Cubic pieces through CoolProp every 0.2 K: CoolProp to better than 1e-7, fifty times as fast."""
    T = np.arange(T_LOW, T_HIGH, T_STEP)
    if key == "p_sat":
        y = np.array([PropsSI("P", "T", t, "Q", 0, "Water") for t in T])
    else:
        y = np.array([PropsSI(key, "T", t, "P", PRESSURE, "Water") for t in T])
    return [(a, b, c, d) for a, b, c, d in CubicSpline(T, y).c.T.tolist()]


def water(key: str, T: float) -> float:
    pieces = _spline(key)
    i = int((T - T_LOW) / T_STEP)
    if not 0 <= i < len(pieces):
        raise ValueError(f"water at {T:.2f} K is outside the oracle's range")
    x = T - (T_LOW + i * T_STEP)
    a, b, c, d = pieces[i]
    return ((a * x + b) * x + c) * x + d


def water_enthalpy(T: float) -> float:
    return water("H", T)


def water_temperature(h: float, guess: float) -> float:
    """The temperature at which water has the enthalpy h, by Newton."""
    T = guess
    for _ in range(50):
        step = (h - water_enthalpy(T)) / water("C", T)
        T += step
        if abs(step) < 1e-9:
            return T
    raise ValueError("enthalpy of water not inverted")


SUCROSE = (
    (385.1761, 135.3705, 40.9299, -3.9643, 13.4853, -17.2890),
    (-46.2720, -7.1720, 1.1597, 5.1126, 17.5254),
    (59.7712, 7.2491, 12.3630, -35.4791),
    (-47.2207, -21.6977, 27.6301),
    (18.3184, 12.3081),
)
"""kg/m3 above water's density, ICUMSA Specification and Standard SPS-4 (from memory): a row for each power of
(T_C - 20)/100 from 0, in it the powers of the mass fraction from 1."""


def sucrose_density(T: float, percent: float) -> float:
    """Density of a sucrose solution [kg/m3] by ICUMSA's polynomial; its tables go from 0 to 80 degC."""
    x, t = percent / 100.0, (T - 293.15) / 100.0
    return water("D", T) + sum(
        c * x ** (i + 1) * t**j for j, row in enumerate(SUCROSE) for i, c in enumerate(row)
    )


def wort(T: float, plato: float) -> Liquid:
    """Wort by the formulas of sugar solutions on water; expansion is water's, never below 5e-5 1/K."""
    x = plato / 100.0
    rho = sucrose_density(T, plato)
    thicker = plato / (39.4 - 0.4625 * plato) / (1.0 + 0.0054 * (T - 293.15))
    return Liquid(
        rho=rho,
        mu=water("V", T) * math.exp(thicker),
        k=water("L", T) * (1.0 - 0.0056 * plato),
        cp=(1.0 - x) * water("C", T) + 1870.0 * x,
        beta=max(water("ISOBARIC_EXPANSION_COEFFICIENT", T), 5e-5),
    )


# --- inside the helix ----------------------------------------------------------------------------------


def Nu_inside(Re: float, Pr: float, r: float) -> float:
    """Schmidt's laminar form, Gnielinski's turbulent one, and a straight line in Re between their ends."""

    def laminar(Re: float) -> float:
        m = 0.5 + 0.2903 * r**0.194
        return 3.66 + 0.08 * (1.0 + 0.8 * r**0.9) * Re**m * Pr ** (1.0 / 3.0)

    def turbulent(Re: float) -> float:
        e = (0.3164 / Re**0.25 + 0.03 * math.sqrt(r)) / 8.0
        return e * Re * Pr / (1.0 + 12.7 * math.sqrt(e) * (Pr ** (2.0 / 3.0) - 1.0))

    Re_crit, Re_end = fluids.helical_transition_Re_Schmidt(r, 1.0), 22000.0
    if Re <= Re_crit:
        return laminar(Re)
    if Re >= Re_end:
        return turbulent(Re)
    share = (Re - Re_crit) / (Re_end - Re_crit)
    return (1.0 - share) * laminar(Re_crit) + share * turbulent(Re_end)


def f_inside(Re: float, r: float) -> float:
    """Darcy: the larger of White's laminar and Ito's turbulent form."""
    return max(fluids.helical_laminar_fd_White(Re, r, 1.0), 0.304 / Re**0.25 + 0.029 * math.sqrt(r))


def h_inside(case: Case, m_dot: float, T: float, T_wall: float) -> float:
    mu, k, cp = water("V", T), water("L", T), water("C", T)
    Re, Pr = 4.0 * m_dot / (math.pi * case.d_i * mu), cp * mu / k
    Pr_wall = water("C", T_wall) * water("V", T_wall) / water("L", T_wall)
    Nu = Nu_inside(Re, Pr, case.d_i / case.D_c) * case.truth.inner
    return Nu * (Pr / Pr_wall) ** 0.14 * k / case.d_i


# --- outside it ----------------------------------------------------------------------------------------


def spacing(s: float, phi_1: float) -> float:
    return 1.0 if s >= 2.0 else 1.0 - (1.0 - phi_1) * (2.0 - s) ** 1.5


def h_outside(case: Case, T: float, T_surface: float, speed: float) -> float:
    """Free and forced convection on one turn, joined by the cube rule, at the film temperature."""
    film = wort(0.5 * (T + T_surface), case.plato)
    s, truth = case.pitch / case.d_o, case.truth
    Gr = g * film.beta * abs(T - T_surface) * case.d_o**3 * (film.rho / film.mu) ** 2
    still = ht.Nu_horizontal_cylinder_Churchill_Chu(film.Pr, Gr) * truth.still * spacing(s, truth.phi_still)
    moving = 0.0
    if speed > 0.0:
        Re = film.rho * speed * case.d_o / film.mu
        moving = ht.Nu_cylinder_Churchill_Bernstein(Re, film.Pr) * truth.moving * spacing(s, truth.phi_moving)
    return (still**3 + moving**3) ** (1.0 / 3.0) * film.k / case.d_o


def local_U(case: Case, m_dot: float, T: float, T_c: float, speed: float, guess: float) -> float:
    """U on the outside area [W/m2K] from wort at T to water at T_c, with both surfaces in balance."""
    R = case.truth.fouling + case.d_o / (2.0 * case.k_tube) * math.log(case.d_o / case.d_i)
    ratio, flux = case.d_o / case.d_i, guess * (T - T_c)
    h_o, h_i = h_outside(case, T, 0.5 * (T + T_c), speed), h_inside(case, m_dot, T_c, T_c)
    for _ in range(100):
        h_o = h_outside(case, T, T - flux / h_o, speed)
        h_i = h_inside(case, m_dot, T_c, min(T_c + flux * ratio / h_i, T))
        U = 1.0 / (1.0 / h_o + R + ratio / h_i)
        last, flux = flux, U * (T - T_c)
        if abs(flux - last) <= 1e-8 * abs(flux):
            return U
    raise ValueError("the tube's surface temperature did not settle")


def along_the_tube(case: Case, m_dot: float, T: float, speed: float, segments: int) -> float:
    """The outlet temperature, wort the same all along: d ln(T - T_c)/dz = -pi d_o U(z) / (m_dot c).

    The logarithm cannot overshoot the wort's temperature, however long the tube.
    """
    dz = case.wetted_length / segments
    y, U = math.log(T - case.T_in), 500.0

    def slope(y: float, guess: float) -> tuple[float, float]:
        T_c = T - math.exp(y)
        U = local_U(case, m_dot, T, T_c, speed, guess)
        return -math.pi * case.d_o * U / (m_dot * water("C", T_c)), U

    for _ in range(segments):
        a, U = slope(y, U)
        b, U = slope(y + 0.5 * dz * a, U)
        c, U = slope(y + 0.5 * dz * b, U)
        d, U = slope(y + dz * c, U)
        y += dz / 6.0 * (a + 2.0 * b + 2.0 * c + d)
    return T - math.exp(y)


# --- the flow ------------------------------------------------------------------------------------------


def f_straight(Re: float) -> float:
    return max(64.0 / Re, 0.3164 / Re**0.25)


def pressure_taken(case: Case, m_dot: float, T_mean: float) -> float:
    """From the hose's end to the open air: entry, coil, bends, unions, outlet, outlet hose [Pa]."""
    rho, mu = water("D", T_mean), water("V", T_mean)

    def head(bore: float) -> float:
        return 0.5 * rho * (4.0 * m_dot / (math.pi * bore**2 * rho)) ** 2

    def Re(bore: float) -> float:
        return 4.0 * m_dot / (math.pi * bore * mu)

    small, large = sorted((case.d_i, case.hose_bore))
    b2 = (small / large) ** 2
    joints = (0.5 * (1.0 - b2) + (1.0 - b2) ** 2) * head(small)
    fittings = (4 * 0.25 + 2 * 0.08) * head(case.d_i)
    f = f_inside(Re(case.d_i), case.d_i / case.D_c) * case.truth.friction
    coil = f * case.tube_length / case.d_i * head(case.d_i)
    K_hose = f_straight(Re(case.hose_bore)) * case.outlet_hose_length / case.hose_bore + 1.0
    return joints + fittings + coil + K_hose * head(case.hose_bore)


def mass_flow(case: Case, T_mean: float) -> float:
    """The tap's own curve, p = p_static (1 - (V/V_open)^2) on cold water, against what the coil takes."""
    rho_cold, V_open = water("D", case.T_in), case.V_open * case.truth.open_flow
    p_static = case.p_static * case.truth.pressure

    def left(V: float) -> float:
        return p_static * (1.0 - (V / V_open) ** 2) - pressure_taken(case, V * rho_cold, T_mean)

    return rho_cold * brentq(left, 1e-3 * V_open, V_open, rtol=1e-10)


class Coil(NamedTuple):
    """The coil at one wort temperature: heat [W], water [m3/s] as the tap gives it, outlet [K]."""

    heat: float
    V: float
    T_out: float


def coil_at(case: Case, T: float, segments: int, guess: float) -> Coil:
    """Flow, outlet and heat, found together: the flow depends on how warm the water gets."""
    T_out, h_in = guess, water_enthalpy(case.T_in)
    for _ in range(50):
        m_dot = mass_flow(case, 0.5 * (case.T_in + T_out))
        heat = 0.0
        for share, speed in case.motions:
            heat += share * m_dot * (water_enthalpy(along_the_tube(case, m_dot, T, speed, segments)) - h_in)
        last, T_out = T_out, water_temperature(h_in + heat / m_dot, T_out)
        if abs(T_out - last) < 1e-6:
            return Coil(heat, m_dot / water("D", case.T_in), T_out)
    raise ValueError("flow and outlet temperature did not settle")


# --- the kettle ----------------------------------------------------------------------------------------


def wort_mass(case: Case) -> float:
    return wort(case.T_start, case.plato).rho * case.volume_hot * case.truth.mass


def kettle_loss(case: Case, T: float) -> float:
    """Heat lost by the wort's surface or lid and by the wall up to the wort's level [W]."""
    area = math.pi * case.kettle_diameter**2 / 4.0
    level = wort_mass(case) / wort(T, case.plato).rho / area
    dT = T - case.T_ambient
    if case.lid:
        top = 8.0 * dT
    else:
        top = 130.0 * max(water("p_sat", T) / 1e3 - 1.2, 0.0) + 14.0 * dT
    wall = 1.42 * (abs(dT) / level) ** 0.25 * dT + 0.25 * sigma * (T**4 - case.T_ambient**4)
    return case.truth.loss * (top * area + wall * math.pi * case.kettle_diameter * level)


def metal_heat_capacity(case: Case) -> float:
    """Kettle and coil [J/K]; a kettle of unknown mass is 1 mm of stainless up to the hot wort's level."""
    kettle = case.kettle_metal_mass
    if kettle is None:
        floor = math.pi * case.kettle_diameter**2 / 4.0
        wetted_wall = math.pi * case.kettle_diameter * case.volume_hot / floor
        kettle = 7930.0 * 1e-3 * (floor + wetted_wall)
    section = math.pi / 4.0 * (case.d_o**2 - case.d_i**2)
    coil = case.tube_density * section * case.tube_length * case.tube_heat_capacity
    return kettle * 500.0 + coil


# --- the chill -----------------------------------------------------------------------------------------


def chill(case: Case, *, segments: int = 8, rtol: float = 1e-5) -> dict[str, float]:
    """March one chill in time from T_start to T_target.

    Returns time_s, water_m3, and the state at the start: T_out_start [K], flow_start [m3/s],
    heat_start [W], loss_start [W], U_start [W/m2K] (outside wetted area, log-mean difference);
    also heat_coil_J and heat_loss_J, carried along for the energy balance, and stored_J, the heat
    that left wort and metal by their own heat capacities.
    """
    M, C_metal = wort_mass(case), metal_heat_capacity(case)
    outlet = [0.5 * (case.T_in + case.T_start)]

    def rates(_: float, y: np.ndarray) -> list[float]:
        T = float(y[0])
        coil = coil_at(case, T, segments, outlet[0])
        outlet[0] = coil.T_out
        loss = kettle_loss(case, T)
        C = M * wort(T, case.plato).cp + C_metal
        return [-(coil.heat + loss) / C, coil.V, coil.heat, loss]

    def done(_: float, y: np.ndarray) -> float:
        return y[0] - case.T_target

    done.terminal = True
    scale = [rtol, rtol * case.volume_hot, rtol * 1e6, rtol * 1e6]
    march = solve_ivp(
        rates, (0.0, LONGEST), [case.T_start, 0.0, 0.0, 0.0], events=done, rtol=rtol, atol=scale
    )
    if march.status != 1:
        raise OutOfReach(f"target not reached in {LONGEST / 3600:.0f} h: {march.message}")
    end = march.y_events[0][0]
    start = coil_at(case, case.T_start, segments, outlet[0])
    warm, cool = case.T_start - case.T_in, case.T_start - start.T_out
    area = math.pi * case.d_o * case.wetted_length
    T = np.linspace(case.T_target, case.T_start, 2001)
    cp = np.array([wort(float(t), case.plato).cp for t in T])
    return {
        "time_s": float(march.t_events[0][0]),
        "water_m3": float(end[1]),
        "T_out_start": start.T_out,
        "flow_start": start.V,
        "heat_start": start.heat,
        "loss_start": kettle_loss(case, case.T_start),
        "U_start": start.heat * math.log(warm / cool) / (warm - cool) / area,
        "heat_coil_J": float(end[2]),
        "heat_loss_J": float(end[3]),
        "stored_J": M * float(np.trapezoid(cp, T)) + C_metal * (case.T_start - case.T_target),
    }
