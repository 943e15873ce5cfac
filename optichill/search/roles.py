"""The few coils that a person would look at for a reason, of those that differ: each named by its reason.

Only choices of the cover hold a role, so that each is better in something to be seen than those before it.
Who gains nothing that a person would notice over the first leaves the role to it.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from optichill.arrays import Array, Mask
from optichill.search.designs import Design
from optichill.search.glance import Weighed
from optichill.search.ranking import HARDLY, achievements, in_order, least_seen
from optichill.workshop.difficulty import BAND_LIMITS
from optichill.workshop.lifetime import Worth

BEST = "best all round"
CHEAPEST = "cheapest sensible"
FASTEST = "fastest worth it"
LEAST_WATER = "least water"
EASIEST = "easiest"
PLAIN = "plain one-layer classic"

SENSIBLE = 5.0
"""Minutes with every batch that a coil may come out worse than the first over its life and still be sensible:
past that, who wants it cheap, easy or thrifty pays for the wish again and again (OWN)."""

SLOWEST = 2.0
"""Times as long as the first that a sensible coil may take: over few batches money alone would allow a toy
(OWN)."""

HALF_A_POINT = 0.5
"""Of work, of ten, that nobody tells apart (OWN)."""

WORTH_IT = 3.0
"""Minutes with every batch by which the quickest may come out worse: within three ties its minutes pay for
its money (OWN)."""


@dataclass(frozen=True)
class Role:
    """One coil and what it is the best for, beside the first in rank."""

    names: tuple[str, ...]
    design: Design
    first: Design

    @property
    def more(self) -> dict[str, float]:
        """What it takes more than the first, as it is told, less is negative: chill_time [s], cost and
        lifetime [money], water [m3], bands of work [-]."""
        mine, its = self.design, self.first
        told = mine.told
        more = {goal: told[goal] - its.told[goal] for goal in ("chill_time", "cost", "water")}
        bands = np.searchsorted(BAND_LIMITS, [mine.difficulty, its.difficulty], side="right")
        return more | {
            "lifetime": float(mine.life.total - its.life.total),
            "bands": float(bands[0] - bands[1]),
        }


def holders(weighed: Weighed, worth: Worth) -> dict[str, int]:
    """Who holds each role, as places in the cover, which is in order of rank."""
    seen = weighed.ranking.seen[weighed.cover]
    sensible, worth_it = _sensible(weighed, worth)
    band = np.searchsorted(BAND_LIMITS, seen[:, 3], side="right").astype(np.float64)
    time, cost, water = least_seen(seen[0], float(weighed.front.steps[1]), HARDLY).tolist()
    found = {
        BEST: 0,
        # Money saved by harder work is earned.
        CHEAPEST: _least(seen[:, 1], sensible & (band <= band[0]), cost),
        FASTEST: _least(seen[:, 0], worth_it, time),
        LEAST_WATER: _least(seen[:, 2], sensible, water),
        EASIEST: _easiest(seen[:, 3], band, sensible),
    }
    plain = np.flatnonzero(weighed.cover == _plain(weighed))
    return found | ({PLAIN: int(plain[0])} if plain.size else {})


def _sensible(weighed: Weighed, worth: Worth) -> tuple[Mask, Mask]:
    """Which a sensible person may want for one thing, and whose speed is worth its money. By stated levels:
    those that are acceptable in everything, as far as the first is."""
    goals, by = weighed.front.goals[weighed.cover], weighed.ranking.levels
    if by is not None:
        met = achievements(goals, by).min(axis=1)
        acceptable: Mask = met >= min(met[0], 0.0)
        return acceptable, acceptable
    behind = weighed.ranking.life.total[weighed.cover]
    behind = behind - behind[0]
    quick = goals[:, 0] <= SLOWEST * goals[0, 0]
    return (behind <= SENSIBLE * worth.minute) & quick, behind <= WORTH_IT * worth.minute


def _least(values: Array, some: Mask, to_notice: float) -> int:
    """The least of some, of those hardly more the best in rank; the first of all if that saves nothing to
    notice."""
    asked = np.where(some, values, np.inf)
    least = int(np.flatnonzero(asked <= (1.0 + HARDLY) * asked.min())[0])
    return least if values[0] - values[least] > to_notice else 0


def _easiest(work: Array, band: Array, some: Mask) -> int:
    """Of the easiest band the one of least work, of those hardly harder the best in rank; the first of all
    where it is in that band."""
    least = np.where(some, band, np.inf).min()
    if band[0] == least:
        return 0
    asked = np.where(some & (band == least), work, np.inf)
    return int(np.flatnonzero(asked <= asked.min() + HALF_A_POINT)[0])


def _plain(weighed: Weighed) -> int:
    """Place of the best one of one layer on a bare form that the lists hold, -1 without any. Where the cover
    goes without it, it is better in nothing than what is there, and no other is better for being plain."""
    for place in in_order(weighed.front, weighed.ranking).tolist():
        wound, inner, _ = weighed.space.wound(int(weighed.rows.setup[place]))
        listed = not weighed.space.explored(weighed.front.number[[place]])[0]
        if listed and weighed.ranking.free[place] and inner is None and wound.wraps == 0:
            return int(place)
    return -1


def roles_of(found: dict[str, int], built: dict[int, Design]) -> tuple[Role, ...]:
    """Every holder once, with all its roles; built : the designs by their place in the cover."""
    names: dict[int, tuple[str, ...]] = {}
    for name, place in found.items():
        names[place] = (*names.get(place, ()), name)
    return tuple(Role(of, built[place], built[0]) for place, of in names.items())
