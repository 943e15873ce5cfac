"""Kettles of the tests' own making: many at once, by formulas that are not the program's.

Nothing of optichill's physics is here. Still wort: Nu = C Ra^(1/3). Moving wort: Zukauskas' powers of Re.
Both joined by the fourth power. Inside: Re^0.8 Pr^0.4 with Schmidt's factor of a helix. Water by Vogel's and
Ramires' formulas. Each film is set to what `oracle.py` (ht, fluids, CoolProp) has at one usual place, so that
the truth differs in how it goes with temperature, speed, flow and tube, and not by a blunder. How wort is
stirred wanders, and breaks off. Marched by plain steps of time. SI, kelvin; arrays of shape (twins,).
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

import numpy as np
import oracle

STEP = 5.0
SEGMENTS = 4
Array = np.ndarray


def viscosity(T: Array) -> Array:
    """Of water [Pa s], Vogel's equation."""
    return 2.414e-5 * 10.0 ** (247.8 / (T - 140.0))


def conductivity(T: Array) -> Array:
    """Of water [W/mK] (Ramires et al. 1995, from memory)."""
    x = T / 298.15
    return 0.6065 * (-1.48445 + 4.12292 * x - 1.63866 * x**2)


def expansion(T: Array) -> Array:
    """Of water [1/K], a line and a bend through handbook values at 10, 30 and 70 degC (from memory)."""
    t = T - 273.15
    return 1e-6 * (-20.0 + 12.2 * t - 0.065 * t**2 + 0.0002 * t**3)


@dataclass(frozen=True)
class Tube:
    """A coil in its kettle; wetted_length and stranded may be each twin's own."""

    d_o: float
    d_i: float
    k: float
    D_c: float
    pitch: float
    wetted_length: Array | float
    tube_length: float
    capacity: float
    stranded: Array | float


@dataclass(frozen=True)
class Cellar:
    """Kettle, batch and tap."""

    mass: float
    plato: float
    T_start: float
    T_ambient: float
    diameter: float
    capacity: float
    T_tap: float
    pressure: float
    open_flow: float
    hose_bore: float


def spacing(s: float, phi: Array) -> Array:
    """What turns near each other leave of a film: a straight line to twice the tube's width."""
    return 1.0 - (1.0 - phi) * max(2.0 - s, 0.0)


class Films:
    """Constants of the films, set at one place each."""

    def __init__(self, plato: float) -> None:
        x = plato / 100.0
        self.plato, self.cp = plato, (1.0 - x) * 4186.0 + 1870.0 * x
        self.rho = 1000.0 * (1.0 + 0.004 * plato)
        usual = oracle.Case(plato=plato, pitch=0.05, truth=oracle.Truth(still=1.0))
        T, T_s = np.array([313.15]), np.array([300.15])
        self.still = self.moving = self.inner = 1.0
        d = np.array([usual.d_o])
        still = oracle.h_outside(usual, T[0], T_s[0], 0.0)
        self.still = still / self.of_still(d, T, T_s)[0]
        whole = oracle.h_outside(usual, T[0], T_s[0], 0.06)
        moving = (whole**4 - still**4) ** 0.25
        self.moving = moving / self.of_moving(d, 0.5 * (T + T_s), np.array([0.06]))[0]
        m_dot = np.array([0.13])
        inside = oracle.h_inside(usual, 0.13, 298.15, 308.15)
        self.inner = inside / self.of_water(m_dot, np.array([298.15]), usual.d_i, usual.D_c)[0]

    def wort(self, T: Array) -> tuple[Array, Array, Array]:
        """Kinematic viscosity [m2/s], conductivity [W/mK] and Prandtl number."""
        mu = viscosity(T) * np.exp(self.plato / (39.4 - 0.4625 * self.plato))
        k = conductivity(T) * (1.0 - 0.0056 * self.plato)
        return mu / self.rho, k, mu * self.cp / k

    def of_still(self, d: Array, T: Array, T_s: Array) -> Array:
        nu, k, Pr = self.wort(0.5 * (T + T_s))
        Gr = 9.81 * np.maximum(expansion(0.5 * (T + T_s)), 3e-5) * np.maximum(T - T_s, 0.01) * d**3 / nu**2
        return self.still * 0.12 * (Gr * Pr) ** (1.0 / 3.0) * k / d

    def of_moving(self, d: Array, T: Array, speed: Array) -> Array:
        nu, k, Pr = self.wort(T)
        Re = np.maximum(speed, 1e-6) * d / nu
        return self.moving * np.maximum(0.51 * Re**0.5, 0.26 * Re**0.6) * Pr**0.37 * k / d

    def of_water(self, m_dot: Array, T: Array, d: float, D_c: float) -> Array:
        mu, k = viscosity(T), conductivity(T)
        Re, Pr = 4.0 * m_dot / (np.pi * d * mu), 4186.0 * mu / k
        r = d / D_c
        return self.inner * 0.023 * Re**0.8 * Pr**0.4 * (1.0 + 3.6 * (1.0 - r) * r**0.8) * k / d


def flow(tube: Tube, cellar: Cellar, truth: Mapping[str, Array]) -> Array:
    """Water that runs [kg/s], its mean taken as 25 degC, by bisection."""
    mu = viscosity(np.array(298.15))
    low, high = np.full(truth["still"].shape, 1e-3), np.full(truth["still"].shape, 1.0)
    for _ in range(60):
        m = 0.5 * (low + high)
        Re = 4.0 * m / (np.pi * tube.d_i * mu)
        head = 0.5 * (4.0 * m / (np.pi * tube.d_i**2)) ** 2 / 1000.0
        f = 0.3164 / Re**0.25 * np.maximum(Re * (tube.d_i / tube.D_c) ** 2, 1.0) ** 0.05
        Re_h = 4.0 * m / (np.pi * cellar.hose_bore * mu)
        hose = 0.3164 / Re_h**0.25 * 3.0 / cellar.hose_bore + 1.0
        taken = head * (f * truth["friction"] * tube.tube_length / tube.d_i + 2.2)
        taken += hose * 0.5 * (4.0 * m / (np.pi * cellar.hose_bore**2)) ** 2 / 1000.0
        left = cellar.pressure * truth["pressure"]
        left = left * (1.0 - (m / 1000.0 / (cellar.open_flow * truth["open_flow"])) ** 2)
        low, high = np.where(left > taken, m, low), np.where(left > taken, high, m)
    return low


Stirring = Callable[[int], Array]
"""The wort's speed [m/s] in each step."""


def cool(
    tube: Tube, cellar: Cellar, truth: Mapping[str, Array], stirring: Stirring, longest: float = 5400.0
) -> tuple[Array, Array, Array]:
    """Times [s], wort round the coil and mass mean [K] of all twins; shape (twins, steps + 1)."""
    films, n = Films(cellar.plato), truth["still"].size
    m_dot = flow(tube, cellar, truth)
    T_in, area = cellar.T_tap + truth["tap"], np.pi / 4.0 * cellar.diameter**2
    s = tube.pitch / tube.d_o
    near_still, near_moving = spacing(s, truth["phi_still"]), spacing(s, truth["phi_moving"])
    fixed = truth["fouling"] + tube.d_o / (2.0 * tube.k) * np.log(tube.d_o / tube.d_i)
    d, piece = np.full(n, tube.d_o), np.pi * tube.d_o * tube.wetted_length / SEGMENTS
    mass = cellar.mass * truth["mass"]
    depth = mass / films.rho / area
    T_1, T_2 = np.full(n, cellar.T_start), np.full(n, cellar.T_start)
    share = np.where(stirring(0) <= 0.0, tube.stranded, 0.0) * truth["still_all_along"]
    surface = [np.full(n, 0.5 * (cellar.T_start + cellar.T_tap)) for _ in range(SEGMENTS)]
    inner = [t.copy() for t in surface]
    out_1, out_mean = [T_1], [T_1]
    steps = int(longest / STEP)
    C_whole = mass * films.cp + cellar.capacity
    for i in range(steps):
        speed = stirring(i)
        T_c, Q = T_in.copy(), np.zeros(n)
        for j in range(SEGMENTS):
            still = films.of_still(d, T_1, surface[j]) * truth["still"] * near_still
            moving = films.of_moving(d, 0.5 * (T_1 + surface[j]), speed) * truth["moving"] * near_moving
            h_o = (still**4 + np.where(speed > 0.0, moving, 0.0) ** 4) ** 0.25
            h_i = films.of_water(m_dot, T_c, tube.d_i, tube.D_c) * truth["inner"]
            h_i = h_i * (viscosity(T_c) / viscosity(inner[j])) ** 0.11
            U = 1.0 / (1.0 / h_o + fixed + tube.d_o / tube.d_i / h_i)
            flux = U * (T_1 - T_c)
            surface[j] = 0.5 * (surface[j] + T_1 - flux / h_o)
            inner[j] = 0.5 * (inner[j] + T_c + flux * tube.d_o / tube.d_i / h_i)
            warmed = (T_1 - T_c) * -np.expm1(-U * piece / (m_dot * 4186.0))
            Q, T_c = Q + m_dot * 4186.0 * warmed, T_c + warmed
        p_sat = 0.6112 * np.exp(17.62 * (T_2 - 273.15) / (T_2 - 30.03))
        air = 135.0 * np.maximum(p_sat - 1.2, 0.0) + 13.0 * (T_2 - cellar.T_ambient)
        wall = 9.0 * np.pi * cellar.diameter * depth
        above = truth["loss"] * (air * area + share * wall * (T_2 - cellar.T_ambient))
        below = truth["loss"] * (1.0 - share) * wall * (T_1 - cellar.T_ambient)
        down = truth["exchange"] * area * (T_2 - T_1)
        two = (share > 0.0) & (T_2 > T_1 - 1e-9)
        C_1, C_2 = (1.0 - share) * C_whole + tube.capacity, np.maximum(share, 1e-9) * C_whole
        one = (Q + above + below) / (C_whole + tube.capacity)
        fall_1 = np.where(two, (Q + below - down) / C_1, one) / truth["own"]
        fall_2 = (
            np.where(two, np.minimum((above + down) / C_2, (T_2 - T_1) / STEP + fall_1), one) / truth["own"]
        )
        T_1, T_2 = T_1 - STEP * fall_1, T_2 - STEP * fall_2
        T_2 = np.where(share > 0.0, T_2, T_1)
        out_1.append(T_1)
        out_mean.append((1.0 - share) * T_1 + share * T_2)
    return STEP * np.arange(steps + 1), np.stack(out_1, 1), np.stack(out_mean, 1)


def time_to(time: Array, T: Array, aim: float) -> Array:
    """When each twin is at `aim` [K], inf where it never is [s]."""
    under = T <= aim
    first = under.argmax(axis=1)
    rows = np.arange(len(T))
    before = np.maximum(first - 1, 0)
    hot, cold = T[rows, before], T[rows, first]
    at = time[before] + (time[first] - time[before]) * (hot - aim) / np.maximum(hot - cold, 1e-9)
    return np.where(under.any(axis=1), at, np.inf)


def wandering(
    rng: np.random.Generator, n: int, speed: Array, share: Array | float, *, breaks: bool
) -> Stirring:
    """A spoon that tires and is changed over: the logarithm of the speed wanders by 0.2 from minute to
    minute. Now and then: spells of about a minute. breaks : somebody goes away for a minute."""
    steps, hold = 2000, np.exp(-STEP / 60.0)
    drift = np.zeros((steps, n))
    for i in range(1, steps):
        drift[i] = hold * drift[i - 1] + np.sqrt(1.0 - hold**2) * rng.normal(0.0, 0.2, n)
    going = speed * np.exp(drift - 0.02)
    if np.any(np.asarray(share) < 1.0):
        spell = int(60.0 / STEP)
        period = np.maximum(np.round(spell / np.asarray(share)), spell).astype(int)
        phase = rng.integers(0, 1000, n)
        going = np.where((np.arange(steps)[:, None] + phase) % period < spell, going, 0.0)
    if breaks:
        begins = rng.integers(int(60 / STEP), int(420 / STEP), n)
        i = np.arange(steps)[:, None]
        going = np.where((i >= begins) & (i < begins + int(60 / STEP)), 0.0, going)
    return lambda i: going[min(i, steps - 1)]
