"""When nothing fits: what a person does otherwise, for nothing or for little, with no limit moved.

The pellets in a bag, more stirring, more ice, a coil that stands above what is built into the wall, or hangs.

Each is found by doing it: rows that miss by the chill alone, or by the wall, are weighed again in the kettle
as it would be, and what is told holds every limit in all draws.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from optichill.arrays import Index
from optichill.display import INCH
from optichill.model.brewhouse import Brewhouse
from optichill.model.stirring import Stirring, more_motion
from optichill.problem.basis import DesignBasis
from optichill.problem.limits import LIMITS
from optichill.search import change_over_of_rows
from optichill.search.conflicts import Conflicts
from optichill.search.designs import Design, designs
from optichill.search.enumeration import Enumeration
from optichill.search.evaluate import chill_of, rows
from optichill.search.least import lifetime_by_medians
from optichill.search.more_ice import larger_amounts
from optichill.search.near_misses import KEPT_SLOW
from optichill.search.space import Space
from optichill.thermal.coil_performance import ROUGH

OF_THE_WALL = frozenset({"wall"})
"""Limits that a coil above what stands at the wall may hold."""
PLACED = ("raise", "hang")
"""Kinds that are a matter of where the coil stands."""
STEP = {"metric": 5e-3, "us": INCH / 8.0}
"""In which feet are told [m]."""
SURELY = 0.85
"""Share of the time asked for, below which a coil by the medians is likely to keep it in its draws too."""
FINALISTS = 6
"""Coils worked out in full of each: the least lifetime cost of all in time, and of those surely in time."""
AT_ONCE = 3
"""Of these so many, until one holds."""


@dataclass(frozen=True)
class DoneOtherwise:
    """What opens a design with every limit where it is. kind : "hop bag", "stir", "bag and stir", "more
    ice", "raise" or "hang"; written : keys of the brewhouse file as "table.key" ("cooling[2].ice"), with a
    length [m], ice [kg] or what stands there; basis : that has it; had : ice of
    the plan [kg], where that is what changes."""

    kind: str
    written: dict[str, Any]
    basis: DesignBasis
    design: Design
    had: float = 0.0


def done_otherwise(enumeration: Enumeration, found: Conflicts) -> tuple[DoneOtherwise, ...]:
    """From an outcome without a feasible design; found : what stands in the way of it."""
    named = set().union(*found.sets)
    placed = [way for change in _of_place(found.wide, named) if (way := _opened(*change)) is not None]
    if "chill_time" not in named:
        return tuple(placed)
    slow = _slow(enumeration)
    ways = dict(_of_wort(enumeration.space.basis.brewhouse))
    habits = [_opened(enumeration.space, kind, to, slow) for kind, to in ways.items()]
    if len(ways) > 1 and not any(habits):
        both = {key: value for to in ways.values() for key, value in to.items()}
        habits = [_opened(enumeration.space, "bag and stir", both, slow)]
    iced = _more_ice(enumeration.space, slow)
    return (*filter(None, [*habits, iced]), *placed)


def _more_ice(everything: Space, numbers: Index) -> DoneOtherwise | None:
    """So much more ice that a coil keeps all limits: the least amount that does, or the next where its coil
    costs less over its life, its ice counted."""
    place, amounts = larger_amounts(everything.basis.brewhouse)
    best: DoneOtherwise | None = None
    for ice in amounts:
        had = everything.basis.brewhouse.cooling[place].ice or 0.0
        way = _opened(everything, "more ice", {f"cooling[{place + 1}].ice": ice}, numbers)
        way = None if way is None else replace(way, had=had)
        if best is not None:
            dearer = way is None or float(way.design.life.total) >= float(best.design.life.total)
            return best if dearer else way
        best = way
    return best


def _of_wort(house: Brewhouse) -> Iterator[tuple[str, dict[str, Any]]]:
    """What keeps the tube clean, and what moves the wort more."""
    if house.wort.dirt == "loose pellets":
        yield "hop bag", {"wort.dirt": "hop bag"}
    more = more_motion(house.wort.mixing)
    if more:
        tool, motion = more[0]
        yield "stir", {"wort.mixing": Stirring.model_validate({"with": tool, "motion": motion})}


def _of_place(wide: Enumeration, named: set[str]) -> Iterator[tuple[Space, str, dict[str, Any], Index]]:
    """Above what is built into the wall: on feet, and hung."""
    everything, kettle = wide.space, wide.space.basis.brewhouse.kettle
    parts = [part for part in everything.basis.parts if part.where == "wall"]
    if not parts or not named & OF_THE_WALL:
        return
    missed = wide.dry.within(OF_THE_WALL)
    step = STEP[everything.basis.brewhouse.units]
    for height in sorted({part.height for part in parts}):  # a handful
        feet = step * (math.floor(height / step + 1e-6) + 1)
        if feet > kettle.floor_clearance:
            rests = {} if kettle.coil_rests == "feet" else {"kettle.coil_rests": "feet"}
            yield everything, "raise", {"kettle.floor_clearance": feet, **rests}, missed
    if kettle.coil_rests != "hangs":
        yield everything, "hang", {"kettle.coil_rests": "hangs"}, missed


def _slow(enumeration: Enumeration) -> Index:
    """Rows that miss by the chill alone, the nearest of each set of its limits."""
    slow = enumeration.slow
    each = [slow.nearest_first(p)[:KEPT_SLOW] for p in slow.patterns() if _of_the_chill(slow.limits(p))]
    return np.unique(np.concatenate([*each, np.empty(0, np.intp)]))


def _of_the_chill(names: frozenset[str]) -> bool:
    return all(LIMITS[name].of_chill or name == "target" for name in names)


def _opened(everything: Space, kind: str, written: dict[str, Any], numbers: Index) -> DoneOtherwise | None:
    """The coil of least lifetime cost, of some rows, that holds every limit in all draws."""
    if not numbers.size:
        return None
    house = _written(everything.basis.brewhouse, written)
    changed = replace(everything, basis=everything.basis.restated(house), sureness=None)
    some = _finalists(changed, numbers)
    if not some.size:
        return None
    for few in np.split(some, np.arange(AT_ONCE, some.size, AT_ONCE)):  # the likeliest first
        made = designs(changed, few, None, np.zeros(few.size, np.intp))
        holds = [d for d in made if d.prediction.chill_time is not None and all(x.holds for x in d.limits)]
        if holds:
            best = min(holds, key=lambda d: float(d.life.total))
            return DoneOtherwise(kind, written, changed.basis, best)
    return None


def _written(house: Brewhouse, written: dict[str, Any]) -> Brewhouse:
    """The same brewhouse with these keys."""
    for place, value in written.items():
        table, key = place.split(".")
        if table.startswith("cooling["):
            house = _of_stage(house, int(table[len("cooling[") : -1]) - 1, key, value)
            continue
        changed = getattr(house, table).model_copy(update={key: value})
        house = house.model_copy(update={table: changed})
    return house


def _of_stage(house: Brewhouse, place: int, key: str, value: Any) -> Brewhouse:
    """The same brewhouse with a key of one stage of its plan."""
    cooling = list(house.cooling)
    cooling[place] = cooling[place].model_copy(update={key: value})
    return house.model_copy(update={"cooling": tuple(cooling)})


def _finalists(changed: Space, numbers: Index) -> Index:
    """The few rows that are worth all draws, by a rough idea of each."""
    r, basis = rows(changed, numbers), changed.basis
    fits = np.flatnonzero(~r.checks.broken().any(axis=0))
    if not fits.size:
        return fits
    r, scenario = rows(changed, numbers[fits]), basis.scenario
    if basis.switch is not None:
        scenario = basis.with_change_over(change_over_of_rows.for_the_search(changed))
    rough = chill_of(changed, r, np.arange(len(r)), ROUGH, scenario)
    life, limit = lifetime_by_medians(changed, r, rough), basis.brewhouse.limits.chill_time or np.inf
    order = np.lexsort((r.number, life))
    order = order[np.isfinite(life[order])]
    few = [order[rough.time[order] <= share * limit][:FINALISTS] for share in (1.0, SURELY)]
    quickest = order[np.argsort(rough.time[order], kind="stable")][:1]
    return r.number[list(dict.fromkeys(np.concatenate([*few, quickest]).tolist()))]
