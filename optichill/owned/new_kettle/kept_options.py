"""The coil goes on as the main one: as it is, or stood or hung otherwise."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from optichill.model.coil import Coil
from optichill.model.stock import MATCH
from optichill.owned.new_kettle import kept_coil, ways
from optichill.owned.new_kettle.kept_coil import BentRiser, Hindrance
from optichill.owned.new_kettle.option import LeftOut, Option, Work, wire_for, worked_out
from optichill.problem.basis import DesignBasis
from optichill.problem.coil_id import file_risers
from optichill.problem.placement import fit_checks, place_coils
from optichill.rating.coil_rating import placed, quick_rating, run_at_medians
from optichill.rating.stood import basis_for
from optichill.workshop.cost import Bill

SET_OTHERWISE, OPENED = 0.5, 0.5
"""Hours for new feet or hooks of wire; and to pull turns open and lace them anew (OWN)."""

BENT_ANEW = 1e-3
"""Tube that is missing of risers below which their own will do [m]."""

MOVED, JUST = 0.005, 0.001
"""A height that differs by less is the same [m]: feet of wire are bent by so much; and where the coil
does not go in as it comes, by so much."""

LEAST_GAIN, LEAST_SHARE = 60.0, 0.03
"""Time [s] and share of it that something done gains at least, to be worth it."""

ALIKE = 30.0
"""Ways to stand whose times differ by less are alike: the one with less to do is taken [s] (OWN)."""


@dataclass(frozen=True)
class Kept:
    """What the coil is asked in the new kettle. as_it_is : as it comes; bent : its risers."""

    old: DesignBasis
    new: DesignBasis
    coil: Coil
    as_it_is: Coil
    bent: tuple[BentRiser, ...]

    @classmethod
    def of(cls, old: DesignBasis, new: DesignBasis, coil: Coil) -> Kept:
        """The coil as its file has it."""
        coil = kept_coil.in_a_file(coil)
        return cls(old, new, coil, ways.as_it_is(old, new, coil), kept_coil.bent_risers(old, coil))

    def standing(self, coil: Coil) -> dict[str, float]:
        """How it stands otherwise than it comes, for words [m]: by how much higher, its underside off the
        floor, the top of its turns below the rim; and its wort over the top turn, where doing so leaves less
        than the kettle asks for."""
        under = coil.lowest_turn_height - coil.outer_diameter / 2.0
        sizes = {"up": ways.raised(coil, self.as_it_is), "under": under}
        sizes["below"] = self.new.brewhouse.kettle.inside_height - (under + coil.height)
        return sizes | self.near_top(coil)

    def keeps_top(self, coil: Coil) -> bool:
        """Whether the wort over its top turn is what the kettle asks for; where the coil may stay as it
        comes, no less than there."""
        return ways.keeps_top(self.new, coil, self.as_it_is if self.stays else None)

    def near_top(self, coil: Coil) -> dict[str, float]:
        """Wort over its top turn, where that is less than it should be [m], and whether it is so at any
        height."""
        if self.keeps_top(coil):
            return {}
        rows = fit_checks(self.new, *placed(self.new, coil)).rows
        lowest = kept_coil.set_at(coil, ways.heights(self.new, coil)[0])
        too_tall = not ways.keeps_top(self.new, lowest)
        return {"near_top": float(rows["submergence"].value[0]), "too_tall": float(too_tall)}

    @cached_property
    def stays(self) -> bool:
        """Whether it may be kept as it comes."""
        coil = self.as_it_is
        out = kept_coil.hindrances(self.new, coil) or kept_coil.too_short(self.new, coil, self.bent)
        return not out

    @cached_property
    def change_over(self) -> float | None:
        """Where a plan that leaves its change-over free changes, with the coil in the wort [K]: by this ways
        to stand are compared; None where nothing is free, or the coil does not come to the target."""
        if self.new.switch is None:
            return None
        low, high = ways.heights(self.new, self.coil)
        for lowest in (high, low):
            coil = kept_coil.set_at(self.coil, lowest)
            if not kept_coil.hindrances(self.new, coil):
                switch = quick_rating(self.new, coil).prediction.switch
                return None if switch is None else switch.at
        return None

    def time_of(self, coil: Coil) -> float:
        """Time of one run in the new kettle at the medians [s], inf where it is out of reach."""
        found = run_at_medians(self.new, coil, self.change_over)
        return np.inf if found is None else found

    @property
    def in_the_way(self) -> Hindrance | None:
        """What keeps its turns out of the new kettle wherever they stand; None where nothing does."""
        low, high = ways.heights(self.new, self.coil)
        for lowest in np.linspace(high, low, ways.STEPS).tolist():
            found = kept_coil.hindrances(self.new, kept_coil.set_at(self.coil, lowest))
            if not found:
                return None
        return found[0]


def keep(of: Kept) -> Option | LeftOut:
    """Nothing is done to it."""
    coil = kept_coil.in_a_file(of.as_it_is)
    found = kept_coil.hindrances(of.new, coil)
    if found:
        return hindered("keep", found[0])
    short = kept_coil.too_short(of.new, coil, of.bent)
    if short:
        return risers_short("keep", of, coil, short)
    # What lies on a false bottom no coil file says of itself.
    there = basis_for(of.new, of.as_it_is)
    return worked_out("keep", there, coil, Bill((), (), coil.outer_diameter), Work())


def hindered(name: str, found: Hindrance) -> LeftOut:
    """That the turns do not go in."""
    return LeftOut(name, found.name, {"value": found.value, "needed": found.needed}, found.of)


def risers_short(name: str, of: Kept, coil: Coil, short: list[tuple[BentRiser, Hindrance]]) -> LeftOut:
    """That risers do not bring their joint outside, and where they end."""
    riser, worst = max(short, key=lambda one: one[1].short)
    level = float(placed(of.new, coil)[1].hot_level[0])
    ends = riser.foot(coil) + riser.straight
    rim = of.new.brewhouse.kettle.inside_height
    sizes = {"short": worst.short, "over_wort": min(ends, rim) - level, "straight": ends - rim}
    high = ways.highest(of.new, coil)
    over = kept_coil.set_at(coil, ways.reach(of.new, coil, of.bent))
    sizes |= {"raise_by": over.lowest_turn_height - coil.lowest_turn_height}
    ends_short = [h.short for _, h in kept_coil.too_short(of.new, over, of.bent) if h.name == "inside"]
    sizes |= {"inside": max(ends_short, default=0.0)}
    sizes |= {"room_up": high - coil.lowest_turn_height}
    both = float(len({one.name for one, _ in short}))
    have = (coil.riser_length_in, coil.riser_length_out)
    enough = all(h >= n - BENT_ANEW for h, n in zip(have, riser_lengths(of.new, coil), strict=True))
    return LeftOut(name, worst.name, sizes | {"many": both, "enough": float(enough)}, worst.of)


def riser_lengths(new: DesignBasis, coil: Coil) -> tuple[float, float]:
    """Lengths of its risers as the new kettle takes them where it stands [m]."""
    there = place_coils(new, placed(new, coil)[0], coil.lowest_turn_height)
    each = (float(x[0]) for x in (there.riser_in, there.riser_out, there.inner_risers))
    return file_risers(coil.layout, *each)


def stand(of: Kept, kept: Option | LeftOut) -> Option | LeftOut:
    """Set on feet, or on the floor, at another height, or pulled open."""
    if ways.moved_by(of.new, of.as_it_is) == "hangs":
        return LeftOut("stand", "hangs")
    return _otherwise("stand", of, kept)


def hang(of: Kept, kept: Option | LeftOut) -> Option | LeftOut:
    """Hung lower or higher by other hooks, or pulled open: where it hangs, or the kettle hangs its coils."""
    if ways.moved_by(of.new, of.as_it_is) != "hangs":
        return LeftOut("hang", "not_hung")
    return _otherwise("hang", of, kept)


def _otherwise(name: str, of: Kept, kept: Option | LeftOut) -> Option | LeftOut:
    """At another height or pulled open, whichever chills quickest of what keeps the wort over its top turn;
    only where nothing does that, of the rest; of what is alike the least that has to be done."""
    start = of.as_it_is
    all_ways = list(ways.others(of.new, start, of.bent))
    timed = _timed(of, filter(of.keeps_top, all_ways)) or ([] if of.stays else _timed(of, all_ways))
    if not timed and of.stays and all_ways:
        return LeftOut(name, "no_gain")
    if not timed:
        return LeftOut(name, "target" if all_ways else "no_height", _sizes(kept))
    least = min(time for time, _ in timed)

    def to_do(coil: Coil) -> tuple[bool, float]:
        return coil.pitch > start.pitch + MATCH, abs(ways.raised(coil, start))

    coil = min((coil for time, coil in timed if time <= least + ALIKE), key=to_do)
    opened, by = to_do(coil)
    moved = by > (MOVED if of.stays else JUST) or coil.stands != start.stands
    if isinstance(kept, Option):
        before = kept.rating.prediction.chill_time
        gains = before is None or gains_enough(before, of.time_of(coil))
        if not (moved or opened) or not gains:
            return LeftOut(name, "no_gain")
    coil = kept_coil.in_a_file(coil)
    sizes = {"gap": coil.pitch - coil.outer_diameter if opened else 0.0, "moved": float(moved)}
    return worked_out(
        name,
        of.new,
        coil,
        wire_for(of.new, coil, feet=moved, lacing=opened),
        Work(SET_OTHERWISE * moved + OPENED * opened),
        sizes=of.standing(coil) | sizes,
    )


def gains_enough(before: float, after: float) -> bool:
    """Whether what is done gains time that a person notices [s]."""
    return before - after >= max(LEAST_GAIN, LEAST_SHARE * before)


def _sizes(kept: Option | LeftOut) -> dict[str, float]:
    """What is told of why it may not stay as it comes."""
    return {} if isinstance(kept, Option) else kept.sizes


def _timed(of: Kept, coils: Iterable[Coil]) -> list[tuple[float, Coil]]:
    """Those that bring the wort to its target, with their times [s]."""
    return [(time, coil) for coil in coils if (time := of.time_of(coil)) < np.inf]
