"""The coil goes on as the main one: as it is, set otherwise, or with longer risers."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from optichill.geometry import helix, risers, springback
from optichill.layouts import LAYOUTS
from optichill.model.coil import Coil
from optichill.model.stock import MATCH, Stock, Tube
from optichill.owned.new_kettle import kept_coil
from optichill.owned.new_kettle.kept_coil import BentRiser, Hindrance
from optichill.owned.new_kettle.option import LeftOut, Option, Work, purchases, wire_for, worked_out
from optichill.problem.basis import DesignBasis
from optichill.problem.bill import roll_of
from optichill.problem.coil_id import file_risers
from optichill.problem.placement import place_coils
from optichill.problem.riser_tools import riser_tools
from optichill.problem.worth import metre_of_copper
from optichill.rating.coil_rating import placed, quick_rating, run_at_medians
from optichill.workshop import difficulty
from optichill.workshop.cost import Bill

SET_OTHERWISE, OPENED = 0.5, 0.5
"""Hours for new feet or hooks of wire; and to pull turns open and lace them anew (OWN)."""

STRAIGHTENED, JOINED = 1.0, 0.5
"""Hours to straighten one riser at the rim and bend it anew; and to solder new tube on (OWN)."""

BENT_ANEW = 1e-3
"""Tube that is missing of risers below which their own will do [m]."""

MOVED, JUST = 0.005, 0.001
"""A height that differs by less is the same [m]: feet of wire are bent by so much; and where the coil
does not go in as it comes, by so much."""

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
        return cls(old, new, coil, kept_coil.as_it_is(old, new, coil), kept_coil.bent_risers(old, coil))

    @cached_property
    def change_over(self) -> float | None:
        """Where a plan that leaves its change-over free changes, with the coil in the wort [K]: by this ways
        to stand are compared; None where nothing is free, or the coil does not come to the target."""
        if self.new.switch is None:
            return None
        low, high = kept_coil.heights(self.new, self.coil)
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
        low, high = kept_coil.heights(self.new, self.coil)
        for lowest in np.linspace(high, low, kept_coil.STEPS).tolist():
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
    return worked_out("keep", of.new, coil, Bill((), (), coil.outer_diameter), Work())


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
    high = kept_coil.highest(of.new, coil)
    over = kept_coil.set_at(coil, kept_coil.reach(of.new, coil, of.bent))
    sizes |= {"raise_by": over.lowest_turn_height - coil.lowest_turn_height}
    ends_short = [h.short for _, h in kept_coil.too_short(of.new, over, of.bent) if h.name == "inside"]
    sizes |= {"inside": max(ends_short, default=0.0)}
    sizes |= {"room_up": high - coil.lowest_turn_height}
    both = float(len({one.name for one, _ in short}))
    have = (coil.riser_length_in, coil.riser_length_out)
    enough = all(h >= n - BENT_ANEW for h, n in zip(have, _needed(of.new, coil), strict=True))
    return LeftOut(name, worst.name, sizes | {"many": both, "enough": float(enough)}, worst.of)


def _needed(new: DesignBasis, coil: Coil) -> tuple[float, float]:
    """Lengths of its risers as the new kettle takes them where it stands [m]."""
    there = place_coils(new, placed(new, coil)[0], coil.lowest_turn_height)
    each = (float(x[0]) for x in (there.riser_in, there.riser_out, there.inner_risers))
    return file_risers(coil.layout, *each)


def stand(of: Kept, kept: Option | LeftOut) -> Option | LeftOut:
    """Set or hung at another height, or pulled open, whichever chills quickest; of what is alike the least
    that has to be done."""
    ways = [(of.time_of(coil), coil) for coil in kept_coil.other_ways(of.new, of.coil, of.bent)]
    timed = [(time, coil) for time, coil in ways if time < np.inf]
    if not timed:
        sizes = {} if isinstance(kept, Option) else kept.sizes
        return LeftOut("stand", "target" if ways else "no_height", sizes)
    least = min(time for time, _ in timed)
    start = of.as_it_is

    def to_do(coil: Coil) -> tuple[bool, float]:
        return coil.pitch > start.pitch + MATCH, abs(coil.lowest_turn_height - start.lowest_turn_height)

    coil = min((coil for time, coil in timed if time <= least + ALIKE), key=to_do)
    opened, by = to_do(coil)
    moved = by > (MOVED if isinstance(kept, Option) else JUST)
    if isinstance(kept, Option):
        before = kept.rating.prediction.chill_time
        if not (moved or opened) or (before is not None and before - of.time_of(coil) < 60.0):
            return LeftOut("stand", "no_gain", {"gain": 0.0})
    coil = kept_coil.in_a_file(coil)
    work = Work(SET_OTHERWISE * moved + OPENED * opened)
    bill = wire_for(of.new, coil, feet=moved, lacing=opened)
    sizes = {
        "up": coil.lowest_turn_height - start.lowest_turn_height,
        "under": coil.lowest_turn_height - coil.outer_diameter / 2.0,
        "gap": coil.pitch - coil.outer_diameter if opened else 0.0,
    }
    return worked_out("stand", of.new, coil, bill, work, sizes=sizes)


# --- longer risers ----------------------------------------------------------------------------------------

JOINT_OVER_RIM = risers.ABOVE_RIM
"""How far over the rim old tube must reach to be joined there [m] (OWN)."""


def extend(of: Kept) -> Option | LeftOut:
    """More tube on risers that are too short: each is straightened at the rim and joined over it."""
    start = of.as_it_is
    if kept_coil.hindrances(of.new, start):  # as it comes it does not stand in the wort
        start = kept_coil.set_at(of.coil, kept_coil.heights(of.new, of.coil)[1])
    short = [one for one in kept_coil.too_short(of.new, start, of.bent) if one[1].name != "riser_height"]
    if not short:
        return LeftOut("extend", "reaches")
    if not of.coil.metal.bent_freehand:
        return LeftOut("extend", "not_by_hand")
    longer = list(_longer(of))
    if not longer:
        best = max((_over_rim(of, coil) for coil in _everywhere(of)), default=-np.inf)
        if not -np.inf < best < JOINT_OVER_RIM:
            return LeftOut("extend", "no_height")
        return LeftOut("extend", "joint_below", {"short": JOINT_OVER_RIM - best})
    timed = [(of.time_of(coil), coil, needs) for coil, needs in longer]
    time, coil, needs = min(timed, key=lambda way: (way[0], way[2]))
    if time == np.inf:
        return LeftOut("extend", "target")
    bends = len(short) if LAYOUTS[coil.layout].tubes == 1 else len(of.bent)
    bill = wire_for(of.new, coil, feet=True, lacing=False)
    tube = cheapest_roll(of.new.stock, coil, needs)
    joints = 0 if needs < BENT_ANEW else bends
    if joints and tube is None:
        return LeftOut("extend", "no_tube")
    texts = {}
    if joints and tube is not None:
        bill = replace(bill, items=(*purchases(roll_of(tube)), *bill.items))
        texts["roll"] = tube.stock_id
    hard = None if tube is None else _bending(of.new, tube, needs, bends, joints)
    work = Work(SET_OTHERWISE + STRAIGHTENED * bends + JOINED * joints, hard, winds=False)
    sizes = {
        "tube": needs if joints else 0.0,
        "bends": float(bends),
        "joints": float(joints),
        "up": coil.lowest_turn_height - of.as_it_is.lowest_turn_height,
        "under": coil.lowest_turn_height - coil.outer_diameter / 2.0,
    }
    return worked_out("extend", of.new, coil, bill, work, sizes=sizes, texts=texts)


def _everywhere(of: Kept) -> Iterable[Coil]:
    """The coil at every height at which its turns are free and under the wort."""
    low, high = kept_coil.heights(of.new, of.coil)
    for lowest in np.linspace(low, high, kept_coil.STEPS).tolist():
        coil = kept_coil.set_at(of.coil, lowest)
        if not kept_coil.hindrances(of.new, coil):
            yield coil


def _over_rim(of: Kept, coil: Coil) -> float:
    """How far the least of its risers that must be joined reaches over the rim, straightened [m]."""
    rim = of.new.brewhouse.kettle.inside_height
    short = kept_coil.too_short(of.new, coil, of.bent)
    if any(found.name == "riser_height" for _, found in short):
        return -np.inf
    return min((riser.foot(coil) + riser.straight - rim for riser, _ in short), default=np.inf)


def _longer(of: Kept) -> Iterable[tuple[Coil, float]]:
    """The coil with risers as long as the new kettle takes, and how much tube that is more [m]."""
    for coil in _everywhere(of):
        if _over_rim(of, coil) < JOINT_OVER_RIM:
            continue
        names = {riser.name for riser, _ in kept_coil.too_short(of.new, coil, of.bent)}
        new = _needed(of.new, coil)
        old = (coil.riser_length_in, coil.riser_length_out)
        long = [max(n, o) if name in names else o for name, n, o in zip(("IN", "OUT"), new, old, strict=True)]
        more = max((sum(long) - sum(old)) * LAYOUTS[coil.layout].tubes, 0.0)
        whole = None if coil.bought_length is None else coil.bought_length + more
        update = {"riser_length_in": long[0], "riser_length_out": long[1], "bought_length": whole}
        longer = kept_coil.in_a_file(coil.model_copy(update=update))
        if not kept_coil.hindrances(of.new, longer):
            yield longer, more


def like(stock: Stock, coil: Coil) -> list[Tube]:
    """Rolls of the lists that are of the coil's tube, and soft."""
    return [
        tube
        for tube in stock.tubing
        if tube.material == coil.material
        and tube.temper == "annealed"
        and abs(tube.outer_diameter - coil.outer_diameter) <= MATCH
        and abs(tube.wall - coil.wall) <= MATCH
    ]


def cheapest_roll(stock: Stock, coil: Coil, length: float) -> Tube | None:
    """The cheapest roll of its tube that is long enough."""
    return min(
        (tube for tube in like(stock, coil) if tube.length >= length),
        key=lambda tube: (tube.cost, tube.stock_id),
        default=None,
    )


def price_of_such_a_roll(basis: DesignBasis, coil: Coil) -> float:
    """What tube like the coil's costs new [money]: of the lists, else by their metre of copper."""
    takes = coil.bought_length or coil.takes
    roll = cheapest_roll(basis.stock, coil, takes)
    return float(roll.price or 0.0) if roll is not None else metre_of_copper(basis.stock) * takes


def _bending(basis: DesignBasis, tube: Tube, length: float, bends: int, joints: int) -> float:
    """How hard it is to bend the ends anew and to join what is missing of them [0-10]."""
    tool, metal = riser_tools(tube, basis.stock)[0], tube.metal
    by_hand = tool.kind == "hand"
    bend = difficulty.bend_factor(metal.bend_hardness, tube.outer_diameter, tube.wall, tool.radius, np.pi / 2)
    bore = float(helix.inside_diameter(tube.outer_diameter, tube.wall))
    job = difficulty.Job(
        rho_coil=np.inf,
        rho_bends=1.1 if by_hand else np.inf,
        moment=springback.full_plastic_moment(
            tube.outer_diameter, bore, springback.flow_stress(metal, False)
        ),
        length=length,
        growth=0.0,
        bends=2.0 * bends * float(bend),  # one is straightened, one is made
        tool_fits=not by_hand,
        joints=joints * difficulty.JOINTS["solder"],
    )
    return float(difficulty.score(difficulty.difficulty_terms(job)))
