"""How hard is the coil to build, 0 to 10, and why.

score = 10 [1 - prod(1 - w_i s_i)], each s_i held to 0..1: bounded, rising in every term, and one bad factor
is not averaged away. Weights and scales are our own judgement (OWN): they order builds, their decimals mean
nothing.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from optichill.arrays import Array, floats

WEIGHTS: dict[str, float] = {
    "kink margin": 0.70,
    "winding effort": 0.60,
    "layers": 0.35,
    "tight bends": 0.30,
    "length": 0.30,
    "joints": 0.30,
    "form": 0.20,
    "gap control": 0.15,
    "springback": 0.15,
    "riser inside": 0.12,
    "strips": 0.10,
}
TERMS = tuple(WEIGHTS)

JOINTS = {"solder": 1.0, "braze": 1.5, "compression": 0.25, "hose and clamp": 0.1, "barb": 0.1}
FORMS = {"on the shelf": 0.0, "packed": 0.5, "to be made": 1.0}
GAPS = {"touching": 0.0, "laced": 0.15, "spacers": 0.4, "graded": 1.0}
STRIPS_IN_FULL = 12.0
"""So many of the thickest strips that stand fill their term: a dozen, the fewest that a coil takes. They are
half as much again as the form to be made that strips count as anyway: each is sawn, planed to one thickness
and tied, thick ones tip under the tube, and more are more (OWN judgement: nobody has timed it)."""
TOOL_RELIEF = 0.4
"""A fitting tool takes this share of the tight bends' difficulty: without it a bender would look a burden."""

BANDS = ("first build", "careful beginner", "practised", "workshop")
BAND_LIMITS = (3.5, 5.5, 7.5)
"""A score below the first limit is the first band, and so on."""


@dataclass(frozen=True)
class Job:
    """What makes a build hard. Fields are scalars or shape (N,).

    rho_coil : winding margin R / R_free of the coil on its form; the smallest with layers [-].
    rho_bends : the same for riser bends made freehand; infinite with a bender or a spring.
    moment : full plastic moment of the tube [N m].
    layers : `Layout.hardness` [-].
    bends : sum of `bend_factor` over all bends, tool or not [-].
    tool_fits : a lever bender or spring for this tube is at hand.
    length : tube handled, the cut length [m].
    joints : sum of JOINTS over all joints made [-].
    form, gap : FORMS[...] and GAPS[...] [-].
    growth : share by which the coil grows when let go, 1/k - 1 [-].
    riser_inside : a riser climbs inside the turns.
    strips : those between two layers, as so many of the thickest that stand [-]; 0 without any.

    Examples
    --------
    Nothing hard about it but 30 m of tube, which fill their term of 0.30:

    >>> job = Job(rho_coil=2.0, moment=5.0, length=30.0, growth=0.01)
    >>> round(float(score(difficulty_terms(job))), 6)
    3.0
    """

    rho_coil: ArrayLike
    moment: ArrayLike
    length: ArrayLike
    growth: ArrayLike
    rho_bends: ArrayLike = np.inf
    layers: ArrayLike = 0.0
    bends: ArrayLike = 0.0
    tool_fits: ArrayLike = True
    joints: ArrayLike = 0.0
    form: ArrayLike = 0.0
    gap: ArrayLike = 0.0
    riser_inside: ArrayLike = False
    strips: ArrayLike = 0.0


def bend_factor(K_r: ArrayLike, d_o: ArrayLike, t: ArrayLike, R: ArrayLike, angle: ArrayLike) -> Array:
    """Hardness of one bend, F_b = (2 K_r + 0.2 d_o/t + B/180) / (R/d_o), B in degrees.

    OWN use of a published rule for rotary-draw bending (M).

    Parameters
    ----------
    K_r : array_like [-]
        The metal's `bend_hardness`.
    d_o, t, R : array_like [m]
        Outside diameter; wall; centre line radius.
    angle : array_like [rad]
        Bent through, B.

    Returns
    -------
    Array [-], broadcast shape

    Examples
    --------
    10 x 1 mm copper, square, 4 d_o: (4 + 2 + 0.5)/4:

    >>> round(float(bend_factor(2.0, 0.010, 0.001, 0.040, np.pi / 2)), 6)
    1.625
    """
    K_r, d_o, t, R, angle = floats(K_r, d_o, t, R, angle)
    return (2.0 * K_r + 0.2 * d_o / t + angle / np.pi) * d_o / R


def difficulty_terms(job: Job) -> Array:
    """w_i s_i of every term, in the order of TERMS, each from 0 to its weight. OWN.

    Parameters
    ----------
    job : Job

    Returns
    -------
    Array [-], shape (11,) or (11, N)

    Examples
    --------
    A margin of 1.1 is half way from 1.5 to 0.7, so half of 0.70:

    >>> job = Job(rho_coil=1.1, moment=5.0, length=5.0, growth=0.01)
    >>> dict(zip(TERMS, difficulty_terms(job).round(3).tolist()))["kink margin"]
    0.35
    """
    rho_coil, rho_bends, moment, length = floats(job.rho_coil, job.rho_bends, job.moment, job.length)
    bends, growth = floats(job.bends, job.growth)
    relief = np.where(np.asarray(job.tool_fits, dtype=bool), TOOL_RELIEF, 1.0)
    severities = (
        (1.5 - np.minimum(rho_coil, rho_bends)) / 0.8,
        (moment - 5.0) / 30.0,
        job.layers,
        relief * bends / 21.0,
        (length - 5.0) / 25.0,
        np.asarray(job.joints, dtype=np.float64) / 6.0,
        job.form,
        job.gap,
        (100.0 * growth - 1.0) / 7.0,
        job.riser_inside,
        np.asarray(job.strips, dtype=np.float64) / STRIPS_IN_FULL,
    )
    shape = np.broadcast_shapes(*(np.shape(s) for s in severities))
    terms = np.empty((len(TERMS), *shape))
    for i, (weight, severity) in enumerate(zip(WEIGHTS.values(), severities, strict=True)):
        terms[i] = weight * np.clip(np.asarray(severity, dtype=np.float64), 0.0, 1.0)
    return terms


def score(terms: ArrayLike) -> Array:
    """Difficulty 0 to 10, 10 [1 - prod(1 - terms)].

    Parameters
    ----------
    terms : array_like [-]
        `difficulty_terms`, shape (n,) or (n, N).

    Returns
    -------
    Array [-], shape () or (N,)

    Examples
    --------
    1 - 0.5 x 0.6 of ten:

    >>> round(float(score([0.5, 0.4])), 6)
    7.0
    """
    (terms,) = floats(terms)
    left: Array = np.prod(1.0 - terms, axis=0)
    return 10.0 * (1.0 - left)


def band(difficulty: ArrayLike) -> NDArray[np.str_]:
    """The score in words.

    Parameters
    ----------
    difficulty : array_like [-]
        `score`.

    Returns
    -------
    array of str, difficulty's shape
        One of BANDS; "unknown" where it is NaN.

    Examples
    --------
    >>> band([3.4, 3.5, 6.0, 9.0]).tolist()
    ['first build', 'careful beginner', 'practised', 'workshop']
    """
    (difficulty,) = floats(difficulty)
    known = [difficulty < limit for limit in BAND_LIMITS] + [difficulty >= BAND_LIMITS[-1]]
    return np.select(known, BANDS, default="unknown")


def band_limit(words: str) -> float:
    """The score below which a build is in the named band or an easier one; 10 for "workshop".

    Parameters
    ----------
    words : str
        One of BANDS.

    Returns
    -------
    float [-]

    Raises
    ------
    KeyError
        For another word.

    Examples
    --------
    >>> band_limit("careful beginner")
    5.5
    """
    return dict(zip(BANDS, (*BAND_LIMITS, 10.0), strict=True))[words]


# --- reasons, for one design ---------------------------------------------------------------------

WORTH_SAYING = 0.03
"""Terms below this are not worth a sentence (OWN)."""


PACKED, MADE = "the form has to be packed out first", "the form has to be made first"
STRIPS = "strips have to be planed for the outer layer"
"""What has to be done first to what a coil is wound on."""


def _kink_reason(job: Job) -> str:
    """Which kink threatens, and what helps."""
    if float(np.min(job.rho_bends)) < float(np.min(job.rho_coil)):
        return "bends to the rim made by hand, close to the kink limit: a bending spring or bender helps"
    if float(np.min(job.rho_coil)) < 1.0:
        return "close to the kink limit: wind it round a grooved roller or fill it"
    return "not far from the kink limit: try the bend on a scrap piece first"


def _sentences(job: Job, layers: str, form: str) -> dict[str, str]:
    """The sentence of every term for this build."""
    return {
        "kink margin": _kink_reason(job),
        "winding effort": "stiff tube: it takes strength, or a second person, to pull it round the form",
        "layers": layers,
        "tight bends": "the bends up to the rim"
        + ("" if np.all(job.tool_fits) else " without a fitting tool"),
        "length": "a long tube to handle: someone must hold the roll",
        "joints": "the joints at the ends",
        "form": form,
        "gap control": "keeping the gap between the turns even",
        "springback": "the coil springs open when it is let go: wind, release, then measure",
        "riser inside": "a riser up the inside, where no tool reaches",
        "strips": "thick strips, or many, to saw, plane and tie one by one",
    }


def reasons(
    job: Job, most: int = 3, layers: str = "more layers than one", form: str = "the form has to be made ready"
) -> list[str]:
    """Why one design is hard, in plain words, the largest term first.

    Equal terms keep the order of TERMS; terms below WORTH_SAYING and all beyond `most` are left out.

    Parameters
    ----------
    job : Job
        Scalar fields.
    most : int
    layers : str
        The words for that term, `Layout.hard_part`.
    form : str
        Likewise: what has to be done to what it is wound on, `PACKED`, `MADE` or `STRIPS`.

    Returns
    -------
    list of str

    Examples
    --------
    >>> reasons(Job(rho_coil=2.0, moment=5.0, length=30.0, growth=0.01))
    ['a long tube to handle: someone must hold the roll']
    """
    terms = difficulty_terms(job).reshape(len(TERMS), -1)[:, 0]
    sentences = _sentences(job, layers, form)
    order = sorted(range(len(TERMS)), key=lambda i: -float(terms[i]))
    return [sentences[TERMS[i]] for i in order if terms[i] >= WORTH_SAYING][:most]


def effort(moment: float) -> str:
    """The same sentence for a tube alone that is hard to pull round the form; empty for one that is not.

    Parameters
    ----------
    moment : float [N m]
        Full plastic moment of the tube.

    Returns
    -------
    str

    Examples
    --------
    >>> effort(3.0), effort(12.0)[:10]
    ('', 'stiff tube')
    """
    return "".join(reasons(Job(rho_coil=np.inf, moment=moment, length=0.0, growth=0.0)))
