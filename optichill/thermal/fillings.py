"""A vessel that is filled many times: what its fillings have in common, so that none begins from scratch.

Equal ratios of the difference between wort and fresh water lie between them: each goes the same way, in
shares of that difference.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from optichill.arrays import Array
from optichill.thermal import stepping
from optichill.thermal.coil_performance import CoilPerformance, Numerics
from optichill.thermal.hot_risers import Draw, Drawn, drawing
from optichill.thermal.performance_curve import LEAST_SHARE, PerformanceCurve, asked
from optichill.thermal.state import State
from optichill.thermal.stratification import StratifiedWort

LOOKS = 5
"""Along the way of all fillings."""
MOST_LEFT = 0.9
"""Looks stand no nearer to each other than this share has them, however little a filling warms."""
MOST_WALKED = 26
"""Fillings up to which each is walked through."""
MOMENTS = 0.5 + np.array([[-(0.15**0.5)], [0.0], [0.15**0.5]])
WEIGHTS = np.array([[5.0], [8.0], [5.0]]) / 18.0
"""Shares of a filling at which it is looked at, and what each counts: three points of Gauss."""
POWERS = np.arange(1, 4)
UP_TO_MOMENTS = MOMENTS**POWERS / POWERS @ np.linalg.inv(MOMENTS ** (POWERS - 1))
"""From values at the moments to what they add up to, up to each."""
LEAST_LEFT = 0.02
"""Share of its first difference to the wort down to which a filling's moments are laid."""
LEAST_HEAT = 1e-3
"""Of a coil and its kettle [W], in a quotient."""


def in_all(kernel: CoilPerformance, first: Array, T_end: float, two_zones: bool) -> Draw | None:
    """What the coils do in every filling of a vessel, known before the first, which cools the wort to `first`
    [K]; the last one to T_end [K]. None where fillings come so near to the wort that each is a case of its
    own."""
    if kernel.numerics.exact:
        return drawing(kernel, asked(kernel))
    last = left(kernel, first)
    if last < LEAST_SHARE:
        return None
    colder = stepping.COLDER_BELOW * last * (T_end - kernel.source.coldest) if two_zones else 0.0
    return drawing(kernel, _curve(kernel, T_end - colder, last).at)


def left(kernel: CoilPerformance, first: Array) -> float:
    """Share of the difference to fresh water that is left between wort and vessel when the first filling has
    cooled the wort to `first` [K], if the kettle lost nothing."""
    coil, coldest = kernel.coil_capacity, kernel.source.coldest
    drive = stepping.Drive.of(kernel.source, kernel.scenario, coil, kernel.T_hot, float(first.min()))
    return float(drive.D[-1]) / (float(drive.T[-1]) - coldest)


def _curve(kernel: CoilPerformance, T_cold: float, last: float) -> PerformanceCurve:
    """One curve for all fillings of a vessel: each warms anew from its fresh water, and as equal ratios of
    the difference lie between them, the same share of it is left, `last`, when each has done its part."""
    T = np.array([T_cold, kernel.T_hot])
    nearer = (1.0, min(last, MOST_LEFT) ** 0.5, min(last, MOST_LEFT))
    return PerformanceCurve(
        kernel, kernel.T_hot, T_cold, (T, np.full(2, kernel.source.coldest)), nearer, LOOKS
    )


def alike(kernel: CoilPerformance, parts: list[Array]) -> bool:
    """Whether fillings are so many, and so much is left at the end of each, that their mean tells all."""
    return len(parts) > MOST_WALKED and left(kernel, parts[0]) >= LEAST_SHARE


def of_many(
    state: State, kernel: CoilPerformance, parts: list[Array], draw: Draw, numerics: Numerics
) -> State:
    """All fillings, down to parts [K]: the first and the last walked through, those between in one go."""
    walked = kernel.behind(kernel.source, numerics)
    state = stepping.down(state.fresh_bath(), walked, parts[0], draw)
    spread = (state.T - kernel.source.coldest) / (parts[-2] - kernel.source.coldest)
    zones = StratifiedWort(kernel.scenario, state.stranded, kernel.coil_capacity, False, state.two_zones)
    on_the_mean = _on_the_mean(kernel, draw, spread ** (1.0 / (len(parts) - 2)), zones)
    between = kernel.behind(replace(kernel.source, bath=None), numerics)
    state = stepping.down(state.fresh_bath(), between, parts[-2], on_the_mean)
    return stepping.down(state.fresh_bath(), walked, parts[-1], draw)


def _on_the_mean(kernel: CoilPerformance, draw: Draw, ratio: Array, zones: StratifiedWort) -> Draw:
    """What coils do on the mean of a filling that has the wort at a temperature on its way, and leaves the
    difference to fresh water `ratio` times smaller.

    Of three moments, each by how long the wort takes over it: so little as the wort cools meanwhile, the
    vessel warms by much more.
    """
    bath, coldest = kernel.source.bath, kernel.source.coldest
    assert bath is not None
    fall = ratio**0.5 - ratio**-0.5

    def mean(T_1: Array, T_top: Array, _: Array) -> Drawn:
        T = T_1 + zones.stranded * (T_top - T_1)
        loss, apart = zones.loss(T_1, T_top), T - coldest
        given_up = (kernel.scenario.at(T, exact=False)[0] + kernel.coil_capacity) * fall * apart

        def kept(Q: Array) -> Array:
            """Of what is given up, the share that comes into the vessel."""
            return 1.0 - loss / np.maximum(Q + loss, LEAST_HEAT)

        # Moments are even in the logarithm of what is left between wort and vessel, and the kettle's loss
        # is by how fast the coil is at each.
        Q, between = _taken(draw(T_1, T_top, 0.5 * given_up)), T_1 - bath.mixed(0.5 * given_up)
        first = (T_1 - coldest) + apart * (ratio**0.5 - 1.0)
        last = first - apart * fall - (bath.mixed(given_up * kept(Q)) - coldest)
        log = np.log(np.clip(last / first, LEAST_LEFT, MOST_LEFT))
        moment, per = np.expm1(MOMENTS * log) / np.expm1(log), np.exp(MOMENTS * log) * log / np.expm1(log)
        E = given_up * (UP_TO_MOMENTS @ (per * kept(Q * first * np.exp(MOMENTS * log) / between)))
        ahead = apart * (ratio**0.5 - 1.0 - fall * moment)
        seen = [draw(T_1 + more, T_top + more, taken) for more, taken in zip(ahead, E, strict=True)]
        told = _averaged(seen, WEIGHTS * per, loss)
        # The most that the water could carry is by the difference to it, whose mean is the harmonic one.
        drive = T_1 + ahead - np.array([drawn.T_in for drawn in seen])
        return told._replace(T_in=T_1 - 1.0 / (WEIGHTS * per / drive).sum(axis=0))

    return mean


def _averaged(seen: list[Drawn], counts: Array, loss: Array) -> Drawn:
    """Moments of a filling that each count for a share of it, by how long the wort takes over them."""
    slow = counts / np.maximum(np.array([_taken(drawn) for drawn in seen]) + loss, LEAST_HEAT)
    slow /= slow.sum(axis=0)
    columns = zip(*seen, strict=True)
    return Drawn(*(sum(w * c for w, c in zip(slow, column, strict=True)) for column in columns))


def _taken(drawn: Drawn) -> Array:
    """All that coils take from the wort [W]."""
    return drawn.Q + drawn.Q_top
