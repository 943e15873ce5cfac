"""What it may cost to have built one coil and not another: in every draw of what is not known the coils that
may be the one to build are held against the least of them.

What a coil has of its own is left out, as everywhere that coils are compared: nobody can know it before
buying.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from optichill.arrays import Array, Index
from optichill.problem.worth import worth_of
from optichill.rating.likely import Samples
from optichill.search.evaluate import Rows, rows
from optichill.search.front import Front
from optichill.search.lifetime import in_every_draw
from optichill.search.ranking import Ranking
from optichill.search.space import Space
from optichill.workshop.lifetime import Lifetime

TIES = 3.0
"""Coils that cost more than the least by so many ties are not in question."""

MOST = 64
"""Coils in question at most, those that cost least: memory and time stay flat."""


@dataclass(frozen=True)
class InQuestion:
    """Coils that may be the one to build, the `shown` ones first and in their order; drawn : in all draws;
    life : what they cost over their life, with parts of shape (draws, coils)."""

    space: Space
    rows: Rows
    drawn: Samples
    life: Lifetime
    shown: int


@dataclass(frozen=True)
class Regret:
    """What one coil costs over its life more than the one that turns out to be the least [money]: on average,
    and one time in ten at least; best : chance that it is the least itself."""

    expected: float
    p90: float
    best: float


def in_question(
    everything: Space, front: Front, drawn: Samples, ranking: Ranking, shown: Index
) -> InQuestion:
    """The shown entries of a front, and those as open as limits let them within three ties of the least."""
    total, free = ranking.life.total, np.flatnonzero(ranking.free)
    free = free[np.argsort(total[free], kind="stable")][:MOST]
    near = free[total[free] <= total[free].min() + TIES * worth_of(everything.basis).minute]
    entries = np.concatenate([shown, np.setdiff1d(near, shown)])
    r, mine = rows(everything, front.number[entries]), drawn.take(entries)
    return InQuestion(everything, r, mine, in_every_draw(everything, r, mine), shown.size)


def regrets(coils: InQuestion) -> tuple[Regret, ...]:
    """Of the shown coils."""
    more = behind(coils.life.total)[:, : coils.shown]
    columns = more.mean(axis=0), np.quantile(more, 0.9, axis=0), (more == 0.0).mean(axis=0)
    return tuple(Regret(*map(float, one)) for one in zip(*columns, strict=True))


def behind(total: Array) -> Array:
    """What each coil costs more than the least, in every draw; shape (draws, coils)."""
    return np.asarray(total - total.min(axis=1, keepdims=True))
