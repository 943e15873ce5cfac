"""The front with all that is known of it, and any coil of it in the few figures by which people compare."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

from optichill.arrays import Array, Index, Mask
from optichill.geometry import helix
from optichill.model.stock import Tube
from optichill.rating.likely import Samples
from optichill.search.designs import Design
from optichill.search.evaluate import Rows, bought, rows
from optichill.search.front import Front
from optichill.search.ids import id_of
from optichill.search.ranking import HARDLY, Ranking, alike, better
from optichill.search.space import Space


@dataclass(frozen=True)
class Glance:
    """A coil as it is told in a line: chill time [s] and water [m3] most likely, across over the tube [m],
    valve_share of the full flow, bought : rolls of tube to take, that of the longer tube first."""

    id: str
    bought: tuple[Tube, ...]
    layout: str
    turns: float
    across: float
    valve_share: float
    chill_time: float
    cost: float
    water: float
    difficulty: float


@dataclass(frozen=True)
class Weighed:
    """The front in all draws, with what ranks it. cover : places of those that differ, in order of rank."""

    space: Space
    front: Front
    drawn: Samples
    ranking: Ranking
    cover: Index

    @cached_property
    def rows(self) -> Rows:
        """Geometry, cost and work of the front."""
        return rows(self.space, self.front.number)

    @property
    def first(self) -> int:
        """Place of the first in rank."""
        return int(self.cover[0])

    @property
    def time(self) -> Array:
        """Median chill time of each [s]."""
        return self.ranking.seen[:, 0]

    def alike(self, place: int) -> Mask:
        """Which are near variants of that one to a person, itself among them."""
        return alike(self.ranking.seen, place, self.front.steps[1])

    def no_better(self, place: int) -> Mask:
        """Which are better than that one in nothing that anybody would choose by, itself among them."""
        seen = self.ranking.seen
        return ~better(seen, seen[place], self.front.steps[1], HARDLY)

    def glances(self, places: Index, told: Mapping[str, Design]) -> tuple[Glance, ...]:
        """The chosen few; told : coils worked out in full, by id, whose figures stand elsewhere."""
        spans = self.drawn.take(places).likely(None)
        found = []
        for i, likely in zip(places.tolist(), spans, strict=True):  # a handful
            r, g = self.rows, self.front.goals[i]
            w, _, layout = self.space.wound(int(r.setup[i]))
            name = id_of(self.space, r, i)
            if name in told:
                figures = told[name].told
                time, water = figures["chill_time"], figures["water"]
            else:
                time, water = likely.time.p50 or float(g[0]), likely.water.p50 or float(g[2])
            across = float(helix.coil_across(r.shape.D_c[i], w.tube.outer_diameter))
            build = (layout.name, float(r.turns[i]), across, float(r.valve_share[i]))
            goals = (time, float(r.cost[i]), water, float(r.difficulty[i]))
            found.append(Glance(name, bought(self.space, r, i), *build, *goals))
        return tuple(found)
