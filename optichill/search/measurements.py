"""Which measurement is worth making before buying: what it gains, in money over the coil's life.

Whoever has a reading builds the coil that then costs least on average. What that gains is the expected
value of sample information: each coil's cost is regressed on the simulated reading, with its noise, and the
least of the fitted costs stands against the least of the means (Strong, Oakley & Brennan 2014, Medical
Decision Making 34(3) 311-326; Strong, Oakley, Brennan & Breeze 2015, 35(5) 570-583; M). What chance alone
would gain is taken off: the same with what the reading leaves unexplained, shuffled.

Each draw stands for four readings, equal shares of the noise: from one set of draws to another a gain then
differs by a fourteenth (tests/search/test_measurements.py). What a coil has of its own is noise of a timed
batch, and no more: nobody can know it before buying. The mouth decides nothing but whether a coil goes in: it
is a question only where one passes it by less than a tape may err. What does not go in costs its roll and its
work again; what a wider mouth would let in besides is not looked at.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import lru_cache
from statistics import NormalDist

import numpy as np

from optichill.arrays import Array
from optichill.model.stock import Tube
from optichill.problem.uncertain import flow_prior, tap_prior
from optichill.problem.worth import worth_of
from optichill.search.change_over_of_rows import plan_of_rows
from optichill.search.evaluate import bought
from optichill.search.evaluate import coils as coils_of
from optichill.search.lifetime import in_every_draw
from optichill.search.regret import InQuestion
from optichill.search.sampled import ratio
from optichill.thermal.coil_performance import SEARCH
from optichill.thermal.cooldown import LONGEST, chill
from optichill.thermal.deviates import COLUMNS, DRAWS, deviates
from optichill.thermal.priors import PRIORS

EACH = 4
"""Readings of each draw, equal shares of their noise: 2048 points in all."""

DEGREE = 3
SHUFFLES = 8
SEED = 20261128
HAIR = 1e-9  # of what a coil costs, by which rounding must not gain


@dataclass(frozen=True)
class Reading:
    """One thing that can be measured. value, noise : in one measure, shape (draws,), or one number for the
    noise; total : what the coils cost over their life, shape (draws, coils); tube : whose price or wall."""

    name: str
    value: Array
    noise: Array | float
    total: Array
    tube: Tube | None = None


@dataclass(frozen=True)
class Measurement:
    """What a measurement is worth. other : chance that another coil than the first then costs less; gain : on
    average [money over the coil's life]; seconds : waiting of a batch that counts as much [s], None where
    waiting counts for nothing."""

    name: str
    tube: Tube | None
    other: float
    gain: float
    seconds: float | None


def measurements(coils: InQuestion) -> tuple[Measurement, ...]:
    """All that can be measured, what gains most first."""
    minute = worth_of(coils.space.basis).minute
    gains: dict[tuple[str, Tube | None], list[tuple[float, float]]] = {}
    for x in readings(coils):  # some dozen
        gains.setdefault((x.name, x.tube), []).append(gain_of(x.total, x.value, x.noise))
    mouth = _mouth(coils)
    if mouth is not None:
        gains["mouth", None] = [mouth]
    found = []
    for (name, tube), each in gains.items():
        gain, other = (float(mean) for mean in np.mean(each, axis=0))
        found.append(Measurement(name, tube, other, gain, 60.0 * gain / minute if minute > 0.0 else None))
    return tuple(sorted(found, key=lambda m: -m.gain))


def readings(coils: InQuestion) -> Iterator[Reading]:
    """What can be measured here, with what it would read in every draw; a batch with each of the shown coils,
    for any coil tells of stirring, films and dirt, some more and some less."""
    basis, total = coils.space.basis, coils.life.total
    beliefs = basis.beliefs(basis.scenario.mixing)
    own = beliefs.spread
    for time in np.minimum(coils.drawn.time[:, : coils.shown], LONGEST).T:
        yield Reading("batch", np.log(time), np.hypot(own, PRIORS["clock"].sd / time), total)
    z = dict(zip(COLUMNS, beliefs.deviates(deviates()).T, strict=True))
    known = {"mass": (PRIORS["mass"], PRIORS["weighed"])}
    if basis.brewhouse.tap is not None:
        known["open_flow"] = flow_prior(basis.brewhouse), PRIORS["open_flow"]
        known["tap"] = tap_prior(basis.brewhouse), PRIORS["tap"]
    for name, (prior, told) in known.items():
        yield Reading(name, z[name], told.sd / prior.sd, total)
    yield from _of_tubes(coils)


def _of_tubes(coils: InQuestion) -> Iterator[Reading]:
    """Prices that nobody looked up, and walls; each tube's is its own."""
    r, life = coils.rows, coils.life
    of = [coils.space.wound(s)[0].tube for s in r.setup.tolist()]
    rolls = [bought(coils.space, r, i) for i in range(len(r))]
    thicker = _thicker(coils)
    every = np.arange(len(r))
    z = np.random.default_rng(SEED).permutation(bell(DRAWS))
    for tube in dict.fromkeys([*of, *(tube for tubes in rolls for tube in tubes)]):
        mine = np.array([t is tube for t in of], dtype=np.float64)
        if tube.checked is None and not tube.owned:
            many = np.array([tubes.count(tube) for tubes in rolls], dtype=np.float64)
            paid = many * tube.cost + mine * life.spoiling
            dearer = PRIORS["price"].at(z)
            total = life.total + (dearer - dearer.mean())[:, None] * paid
            yield Reading("price", z, 0.0, total, tube)
        if not mine.any():  # a second roll has the wall of the first
            continue
        drawn = coils.drawn.like(every, *(by ** (mine * z[:, None]) for by in thicker))
        yield Reading("wall", z, 0.0, in_every_draw(coils.space, r, drawn).total, tube)


SURELY = 3.0
"""Standard deviations by which a coil surely passes the mouth."""


def _mouth(coils: InQuestion) -> tuple[float, float] | None:
    """What knowing the mouth gains, and how often; None where every coil surely passes it. Nothing else hangs
    on it, so that no fit is needed."""
    r, sd = coils.rows, PRIORS["mouth"].sd
    check = r.checks.rows.get("mouth")
    if check is None or (check.margin >= SURELY * sd).all():
        return None
    every = (bought(coils.space, r, i) for i in range(len(r)))
    roll = np.array([sum(tube.cost for tube in tubes) for tubes in every])
    lost = roll + np.asarray(coils.life.work).reshape(-1, len(r)).mean(axis=0)
    stuck = check.margin + sd * bell(DRAWS)[:, None] < 0.0
    total = coils.life.total.mean(axis=0) + lost * stuck
    return _gained(total), float((total[:, 0] > total.min(axis=1)).mean())


def _thicker(coils: InQuestion) -> tuple[Array, Array, Array]:
    """Time, water drained and ice by the medians with walls a standard deviation thicker, as multiples."""
    space, r = coils.space, coils.rows
    scenario = plan_of_rows(space, r.number)
    out = np.ones((3, len(r)))
    for some in (np.flatnonzero(~r.shape.on_tees), np.flatnonzero(r.shape.on_tees)):
        if some.size:
            usual = coils_of(space, r, some)
            wall = (1.0 + PRIORS["wall"].sd) * (usual.d_o - usual.d_i)
            both = (replace(usual, d_i=usual.d_o - wall), usual)
            thick, thin = (chill(c, scenario.take(some), SEARCH) for c in both)
            out[0, some] = ratio(thick.time, thin.time)
            out[1, some] = ratio(thick.water - thick.filled, thin.water - thin.filled)
            out[2, some] = ratio(thick.ice, thin.ice)
    return out[0], out[1], out[2]


def gain_of(total: Array, value: Array, noise: Array | float, seed: int = SEED) -> tuple[float, float]:
    """What a reading gains, and how often it does.

    Parameters
    ----------
    total : Array [money], shape (draws, coils)
        What coils cost in every draw.
    value : Array, shape (draws,)
        What is measured.
    noise : Array or float, in the measure of `value`
        Standard deviation of what the reading adds by itself.
    seed : int
        Of the shuffles.

    Returns
    -------
    gain [money], chance [-]
        How much less the least coil costs on average once the reading is known, never below 0; how often that
        is another than the first.

    Examples
    --------
    Two coils that cost the same on average, apart by a standard deviation of 10 that is known in full: ten
    times the unit normal loss at 0, 0.399 (Raiffa & Schlaifer 1961, M):

    >>> z = bell(512)
    >>> gain, other = gain_of(np.stack([0.0 * z, 10.0 * z], axis=1), z, 0.0)
    >>> round(gain, 2), round(other, 2)
    (3.99, 0.5)
    """
    draws, designs = total.shape
    if np.ptp(value) == 0.0 or designs < 2:
        return 0.0, 0.0
    shares = bell(EACH)[:, None]
    read = (value + noise * shares / shares.std()).ravel()
    basis, _ = np.linalg.qr(np.vander((read - read.mean()) / read.std(), DEGREE + 1))
    in_draws = basis.reshape(EACH, draws, -1).sum(axis=0)
    means, apart = total.mean(axis=0), total - total.mean(axis=0)
    told = basis @ (in_draws.T @ apart)
    left = apart - told.reshape(EACH, draws, -1).mean(axis=0)
    rng = np.random.default_rng(seed)
    shuffled = (left[rng.permutation(draws)] for _ in range(SHUFFLES))
    by_chance = np.mean([_gained(means + basis @ (in_draws.T @ some)) for some in shuffled])
    fitted = means + told
    gain = _gained(fitted) - float(by_chance)
    if gain <= HAIR * float(means.max()):
        return 0.0, 0.0
    return gain, float((fitted[:, 0] > fitted.min(axis=1)).mean())


def _gained(fitted: Array) -> float:
    """How much less the least of each point costs than the coil that costs least on average."""
    return float(fitted.mean(axis=0).min() - fitted.min(axis=1).mean())


@lru_cache(maxsize=4)
def bell(points: int) -> Array:
    """Standard normal deviates in equal shares, in order."""
    inverse = NormalDist().inv_cdf
    return np.array([inverse((i + 0.5) / points) for i in range(points)])
