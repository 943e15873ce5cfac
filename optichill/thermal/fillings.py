"""A vessel that is filled many times: what its fillings have in common, so that none begins from scratch.

Equal ratios of the difference between wort and fresh water lie between them: each goes the same way, in
shares of that difference.
"""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache

import numpy as np

from optichill.arrays import Array, Index
from optichill.thermal import stepping
from optichill.thermal.coil_performance import CoilPerformance
from optichill.thermal.performance_curve import LEAST_SHARE, Heat, PerformanceCurve, asked
from optichill.thermal.state import COUNTED, State

LOOKS = 5
"""Along the way of all fillings."""
MOST_LEFT = 0.9
"""Looks stand no nearer to each other than this share has them, however little a filling warms."""
SAMPLED = 9
"""Fillings that tell of all, from three times as many on."""


def in_all(kernel: CoilPerformance, first: Array, T_end: float, two_zones: bool) -> Heat | None:
    """What the coils do in every filling of a vessel, known before the first, which cools the wort to `first`
    [K]; the last one to T_end [K]. None where fillings come so near to the wort that each is a case of its
    own."""
    if kernel.numerics.exact:
        return asked(kernel)
    drive = stepping.Drive.of(
        kernel.source, kernel.scenario, kernel.coil_capacity, kernel.T_hot, float(first.min())
    )
    coldest = kernel.source.coldest
    last = float(drive.D[-1]) / (float(drive.T[-1]) - coldest)
    if last < LEAST_SHARE:
        return None
    colder = stepping.COLDER_BELOW * last * (T_end - coldest) if two_zones else 0.0
    return _curve(kernel, T_end - colder, last).at


def _curve(kernel: CoilPerformance, T_cold: float, last: float) -> PerformanceCurve:
    """One curve for all fillings of a vessel: each warms anew from its fresh water, and as equal ratios of
    the difference lie between them, the same share of it is left, `last`, when each has done its part."""
    T = np.array([T_cold, kernel.T_hot])
    nearer = (1.0, min(last, MOST_LEFT) ** 0.5, min(last, MOST_LEFT))
    return PerformanceCurve(
        kernel, kernel.T_hot, T_cold, (T, np.full(2, kernel.source.coldest)), nearer, LOOKS
    )


def summed_up(state: State, kernel: CoilPerformance, parts: list[Array], ask: Heat) -> State:
    """Many fillings in wort of one zone: each knows of the others no more than where it begins, and what they
    take changes evenly from one to the next, so that a polynomial through a few sums up all."""
    for place, weight in zip(*_sample(len(parts)), strict=True):
        T = parts[place - 1] if place else state.T
        begins = replace(state.fresh_bath(), T=T, T_top=np.broadcast_to(T, state.T_top.shape))
        after = stepping.down(begins, kernel, parts[place], ask)
        used = {name: weight * (after.totals[name] - begins.totals[name]) for name in COUNTED}
        state = replace(after, totals=state.totals, here=state.here).plus(used)
    return state


@lru_cache(maxsize=64)
def _sample(many: int) -> tuple[Index, Array]:
    """Places of a few of many fillings, first and last among them, and what each weighs in the sum of all:
    a rule that is exact for polynomials, its places crowded towards the ends."""
    x = np.linspace(-1.0, 1.0, many)
    between = 0.5 - 0.5 * np.cos(np.pi * np.linspace(0.0, 1.0, SAMPLED))
    places = np.rint((many - 1) * between).astype(np.intp)
    basis = np.polynomial.chebyshev.chebvander(x, SAMPLED - 1)
    return places, np.linalg.solve(basis[places].T, basis.sum(axis=0))
