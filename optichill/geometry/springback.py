"""What a coil does when it is let go, and its two states: on the form, and relaxed.

Symbols: d_o, d_i outside and inside diameter [m]; Y flow stress, E Young's modulus [Pa]; R_i bend radius of
the centre line on the form [m]; D_f form diameter [m]; k = R_i / R_relaxed [-], 1 without springback, 0 when
the tube straightens fully.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from optichill.arrays import Array, floats
from optichill.geometry.helix import turn_length
from optichill.materials import Material


def flow_stress(metal: Material, rewound: bool = False) -> float:
    """Stress that governs springback: of soft tube, or half hard and wound a second time.

    Parameters
    ----------
    metal : Material
    rewound : bool

    Returns
    -------
    float [Pa]

    Examples
    --------
    >>> from optichill.materials import COPPER
    >>> flow_stress(COPPER) / 1e6, flow_stress(COPPER, rewound=True) / 1e6
    (100.0, 200.0)
    """
    return metal.yield_rewound if rewound else metal.yield_effective


def strongest(metal: Material, rewound: bool = False) -> float:
    """The same where the tube springs most: the upper end of the metal's band.

    Parameters
    ----------
    metal : Material
    rewound : bool

    Returns
    -------
    float [Pa]

    Examples
    --------
    >>> from optichill.materials import COPPER
    >>> strongest(COPPER) > flow_stress(COPPER), strongest(COPPER, True) > flow_stress(COPPER, True)
    (True, True)
    """
    return (metal.rewound_band if rewound else metal.yield_band)[1]


def second_moment_of_area(d_o: ArrayLike, d_i: ArrayLike) -> Array:
    """I = pi (d_o^4 - d_i^4) / 64.

    Parameters
    ----------
    d_o, d_i : array_like [m]
        Outside diameter; bore.

    Returns
    -------
    Array [m4], broadcast shape

    Examples
    --------
    10 x 1 mm, in mm4: pi/64 x 5904:

    >>> f"{1e12 * second_moment_of_area(0.010, 0.008):.1f}"
    '289.8'
    """
    d_o, d_i = floats(d_o, d_i)
    return np.pi * (d_o**4 - d_i**4) / 64.0


def full_plastic_moment(d_o: ArrayLike, d_i: ArrayLike, Y: ArrayLike) -> Array:
    """M_p = Y (d_o^3 - d_i^3) / 6: the bending moment with the whole section yielding.

    Parameters
    ----------
    d_o, d_i : array_like [m]
        Outside diameter; bore.
    Y : array_like [Pa]
        Flow stress.

    Returns
    -------
    Array [N m], broadcast shape

    Examples
    --------
    10 x 1 mm soft copper: 100 MPa x 488 mm3 / 6:

    >>> f"{full_plastic_moment(0.010, 0.008, 100e6):.2f}"
    '8.13'
    """
    d_o, d_i, Y = floats(d_o, d_i, Y)
    return Y * (d_o**3 - d_i**3) / 6.0


def _solid_bar_moment(d: Array, y_e: Array, Y: Array) -> Array:
    """Moment of a solid round bar whose core of half height y_e is still elastic [N m]."""
    r = d / 2.0
    u = np.minimum(y_e / r, 1.0)
    w = np.sqrt(1.0 - u * u)
    core = r**4 / 8.0 * (np.arcsin(u) - u * w * (1.0 - 2.0 * u * u))
    rim = r**3 * w**3 / 3.0
    moment: Array = 4.0 * Y * (core / y_e + rim)
    return moment


def bending_moment(d_o: ArrayLike, d_i: ArrayLike, R_i: ArrayLike, Y: ArrayLike, E: ArrayLike) -> Array:
    """Moment that holds a tube at radius R_i, elastic-ideally plastic, plane sections.

    The elastic core reaches y_e = Y R_i / E from the neutral axis; stress rises evenly to Y there and
    stays. Integrated over the ring in closed form it tends to M_p for tight bends and equals E I / R_i
    as soon as y_e reaches d_o/2. Plasticity of bent bars, textbook (M).

    Parameters
    ----------
    d_o, d_i, R_i : array_like [m]
        Outside diameter; bore; centre line radius on the form.
    Y, E : array_like [Pa]
        Flow stress; Young's modulus.

    Returns
    -------
    Array [N m], broadcast shape

    Examples
    --------
    10 x 1 mm soft copper: nearly M_p = 8.13 round a pot, E I/R = 33.9/10 round a circle of 10 m:

    >>> bending_moment(0.010, 0.008, [0.12, 10.0], 100e6, 117e9).round(2).tolist()
    [8.13, 3.39]
    """
    d_o, d_i, R_i, Y, E = floats(d_o, d_i, R_i, Y, E)
    y_e = Y * R_i / E
    return _solid_bar_moment(d_o, y_e, Y) - _solid_bar_moment(d_i, y_e, Y)


def springback_ratio(d_o: ArrayLike, d_i: ArrayLike, R_i: ArrayLike, Y: ArrayLike, E: ArrayLike) -> Array:
    """k = R_i / R_relaxed = 1 - R_i M / (E I).

    Unloading is elastic. k is 0 as long as the tube bends elastically (it springs straight again) and
    nears 1 for tight bends in soft tube. Not the formula for sheet with the wall as thickness, which is
    far off for tube (0.67 instead of 0.97).

    Parameters
    ----------
    d_o, d_i, R_i : array_like [m]
        Outside diameter; bore; centre line radius on the form.
    Y, E : array_like [Pa]
        Flow stress; Young's modulus.

    Returns
    -------
    Array [-], broadcast shape, 0 to 1

    Examples
    --------
    3/8 in soft copper on a 203 mm form grows 1.9 to 3.8 % over the band of its flow stress:

    >>> k = springback_ratio(0.009525, 0.007905, (0.203 + 0.009525) / 2, [69e6, 140e6], 117e9)
    >>> (100 * growth(k)).round(1).tolist()
    [1.9, 3.8]
    """
    R_i, E = floats(R_i, E)
    M = bending_moment(d_o, d_i, R_i, Y, E)
    return 1.0 - R_i * M / (E * second_moment_of_area(d_o, d_i))


def growth(k: ArrayLike) -> Array:
    """Share by which the mean diameter grows when the coil is let go, 1/k - 1.

    Parameters
    ----------
    k : array_like [-]
        `springback_ratio`, above 0.

    Returns
    -------
    Array [-], k's shape

    Examples
    --------
    >>> round(float(growth(0.8)), 6)
    0.25
    """
    (k,) = floats(k)
    return 1.0 / k - 1.0


def mean_diameter_on_form(D_f: ArrayLike, d_o: ArrayLike) -> Array:
    """Mean coil diameter while the tube lies on the form, D_f + d_o.

    Parameters
    ----------
    D_f, d_o : array_like [m]
        Form; outside diameter of the tube.

    Returns
    -------
    Array [m], broadcast shape

    Examples
    --------
    >>> float(mean_diameter_on_form(0.24, 0.01))
    0.25
    """
    D_f, d_o = floats(D_f, d_o)
    return D_f + d_o


def relaxed_mean_diameter(D_f: ArrayLike, d_o: ArrayLike, k: ArrayLike) -> Array:
    """Mean coil diameter once it is let go, (D_f + d_o) / k. Physics and fit use this one.

    Parameters
    ----------
    D_f, d_o : array_like [m]
        Form; outside diameter of the tube.
    k : array_like [-]
        `springback_ratio`.

    Returns
    -------
    Array [m], broadcast shape

    Examples
    --------
    >>> round(float(relaxed_mean_diameter(0.24, 0.01, 0.97)), 4)
    0.2577
    """
    return mean_diameter_on_form(D_f, d_o) / np.asarray(k, dtype=np.float64)


ROUNDS = 4
"""Steps from a relaxed diameter back to the form: each leaves less than a twentieth of what was off."""


def widest_mean_diameter(
    D: ArrayLike, d_o: ArrayLike, d_i: ArrayLike, Y: ArrayLike, Y_most: ArrayLike, E: ArrayLike
) -> Array:
    """Mean diameter to which a coil that is planned to be D wide opens, where its tube springs most.

    Parameters
    ----------
    D, d_o, d_i : array_like [m]
        Mean diameter as it is planned; outside diameter of the tube; bore.
    Y, Y_most, E : array_like [Pa]
        Flow stress as it is reckoned with, and at the upper end of its band; Young's modulus.

    Returns
    -------
    Array [m], broadcast shape

    Examples
    --------
    The same as from the form of `springback_ratio`, with both strengths of the metal:

    >>> on_form = 0.203 + 0.009525
    >>> k = springback_ratio(0.009525, 0.007905, on_form / 2, [100e6, 140e6], 117e9)
    >>> planned, wide = on_form / k
    >>> bool(abs(widest_mean_diameter(planned, 0.009525, 0.007905, 100e6, 140e6, 117e9) - wide) < 1e-8)
    True
    """
    (D,) = floats(D)
    on_form = D
    for _ in range(ROUNDS):
        on_form = springback_ratio(d_o, d_i, on_form / 2.0, Y, E) * D
    return on_form / springback_ratio(d_o, d_i, on_form / 2.0, Y_most, E)


def form_diameter(D_relaxed: ArrayLike, d_o: ArrayLike, k: ArrayLike) -> Array:
    """Form that gives the relaxed mean diameter, k D - d_o; the inverse of `relaxed_mean_diameter`.

    Parameters
    ----------
    D_relaxed, d_o : array_like [m]
        Wanted mean diameter; outside diameter of the tube.
    k : array_like [-]
        `springback_ratio` on that form.

    Returns
    -------
    Array [m], broadcast shape

    Examples
    --------
    >>> round(float(form_diameter(0.25, 0.01, 0.96)), 4)
    0.23
    """
    D_relaxed, d_o, k = floats(D_relaxed, d_o, k)
    return k * D_relaxed - d_o


def turns_on_form(N: ArrayLike, k: ArrayLike) -> Array:
    """Turns to wind for N relaxed turns, N / k: letting go unwinds the coil a little.

    Parameters
    ----------
    N, k : array_like [-]
        Relaxed turns; `springback_ratio`.

    Returns
    -------
    Array [-], broadcast shape

    Examples
    --------
    >>> round(float(turns_on_form(9.7, 0.97)), 6)
    10.0
    """
    N, k = floats(N, k)
    return N / k


def relaxed_turns(N_form: ArrayLike, k: ArrayLike) -> Array:
    """Turns that are left of N_form wound turns, k N_form.

    Parameters
    ----------
    N_form, k : array_like [-]
        Turns on the form; `springback_ratio`.

    Returns
    -------
    Array [-], broadcast shape

    Examples
    --------
    >>> round(float(relaxed_turns(10.0, 0.97)), 6)
    9.7
    """
    N_form, k = floats(N_form, k)
    return k * N_form


def pitch_on_form(p: ArrayLike, k: ArrayLike) -> Array:
    """Pitch on the form for a relaxed pitch p, k p: same tube, same height, more turns.

    Parameters
    ----------
    p : array_like [m]
        Relaxed pitch.
    k : array_like [-]
        `springback_ratio`.

    Returns
    -------
    Array [m], broadcast shape

    Examples
    --------
    >>> round(float(pitch_on_form(0.020, 0.95)), 4)
    0.019
    """
    p, k = floats(p, k)
    return k * p


def turn_length_on_form(D_f: ArrayLike, d_o: ArrayLike, p: ArrayLike, k: ArrayLike) -> Array:
    """Tube in one turn on the form, sqrt((pi (D_f + d_o))^2 + (k p)^2): the marks' spacing.

    Parameters
    ----------
    D_f, d_o, p : array_like [m]
        Form; outside diameter of the tube; relaxed pitch.
    k : array_like [-]
        `springback_ratio`.

    Returns
    -------
    Array [m], broadcast shape

    Examples
    --------
    pi x 0.25 m round and 14.55 mm up:

    >>> round(float(turn_length_on_form(0.24, 0.01, 0.015, 0.97)), 4)
    0.7855
    """
    return turn_length(mean_diameter_on_form(D_f, d_o), pitch_on_form(p, k))


def form_height_needed(N: ArrayLike, k: ArrayLike, d_o: ArrayLike, spare: float = 0.5) -> Array:
    """Length of form under N/k turns wound touching, with spare for clocking.

    Parameters
    ----------
    N, k : array_like [-]
        Relaxed turns; `springback_ratio`.
    d_o : array_like [m]
        Outside diameter of the tube.
    spare : float [-]
        Turns wound besides.

    Returns
    -------
    Array [m], broadcast shape

    Examples
    --------
    10 turns, a half, and the tube itself:

    >>> round(float(form_height_needed(9.7, 0.97, 0.010)), 4)
    0.115
    """
    (d_o,) = floats(d_o)
    return (turns_on_form(N, k) + spare) * d_o + d_o
