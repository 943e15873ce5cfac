"""One thing to do with a coil that exists, worked out in the new kettle: what it does, takes and costs."""

from __future__ import annotations

from dataclasses import dataclass, field, replace

import numpy as np

from optichill.model.coil import Coil
from optichill.owned.outfit import ends_of, wires
from optichill.problem.basis import DesignBasis
from optichill.problem.bill import pump_of
from optichill.problem.worth import worth_of
from optichill.rating.coil_rating import QuickRating, quick_rating
from optichill.rating.prediction import LimitLine, of_a_build
from optichill.rating.stood import basis_for
from optichill.search.designs import Design
from optichill.search.lifetime import used_by_a_batch
from optichill.workshop.cost import Bill, Purchase, itemised_bill
from optichill.workshop.fittings import EndSet, Item
from optichill.workshop.lifetime import FIRST_COIL, HOURS_LEAST, HOURS_PER_POINT, Lifetime

NAMES = ("keep", "hang", "stand", "extend", "pair", "precool", "rewind", "replace")
"""Every option, from the least to the most that is done."""

STATED = ("target", "chill_time", "water", "budget", "difficulty")
"""Limits that rank: what is only less room than wished is told, for the coil exists."""


@dataclass(frozen=True)
class Work:
    """Hours of small jobs; how hard what is made new is [0-10], None where nothing is; winds : whether
    that is a coil, which takes hours of its own; at_risk : price of the roll that may be spoilt [money]."""

    hours: float = 0.0
    difficulty: float | None = None
    at_risk: float = 0.0
    winds: bool = True

    def all_hours(self, practised: bool) -> float:
        """Hours of it all: who has wound none takes twice the time over what is wound."""
        if self.difficulty is None or not self.winds:
            return self.hours
        times = 1.0 if practised else FIRST_COIL
        return self.hours + times * (HOURS_LEAST + HOURS_PER_POINT * self.difficulty)


@dataclass(frozen=True)
class Option:
    """One thing to do. name : one of NAMES; coil : as its file in the new kettle has it, of `precool` the new
    main one; basis : the new kettle, with the plan that it takes; rating : of the coil there; bill : what has
    to be bought, by the lists; reused : lines of the coil's own outfit that serve again; work; life : money
    over the coil's life, without what is spent already; plan : lines for the brewhouse file; rows : of
    tubing.csv that the coil's file names; broken : limits of the brewer's that it does not hold; sizes,
    texts : what its words need, by name, SI; design : of a coil that is wound anew."""

    name: str
    coil: Coil
    basis: DesignBasis
    rating: QuickRating
    bill: Bill
    reused: tuple[Item, ...]
    work: Work
    life: Lifetime
    plan: tuple[str, ...] = ()
    rows: tuple[str, ...] = ()
    broken: tuple[LimitLine, ...] = ()
    sizes: dict[str, float] = field(default_factory=dict)
    texts: dict[str, str] = field(default_factory=dict)
    design: Design | None = None

    @property
    def hours(self) -> float:
        """Hours of work."""
        return self.work.all_hours(worth_of(self.basis).practised)

    @property
    def holds(self) -> bool:
        """Whether it holds all that the brewer limits."""
        return not self.broken

    @property
    def near_top(self) -> float | None:
        """Wort over its top turn [m], where what is done leaves less of it than the kettle asks for."""
        return self.sizes.get("near_top")

    @property
    def brought_near(self) -> bool:
        """Whether that is by what is done: the wort is not too shallow for its turns at any height, of which
        nobody buys another coil."""
        return self.near_top is not None and not self.sizes.get("too_tall")

    @property
    def stands(self) -> str:
        """How its coil stands: feet, floor or hangs."""
        return self.basis.brewhouse.kettle.coil_rests

    @property
    def less_room(self) -> tuple[LimitLine, ...]:
        """Rooms that are less than wished for, which keep no coil out that exists."""
        return tuple(x for x in self.rating.limits if not x.holds and x.name not in STATED)


@dataclass(frozen=True)
class LeftOut:
    """An option that does not apply, and why. why : a word for the reason; sizes : what its words need, SI;
    of : which riser, part or limit."""

    name: str
    why: str
    sizes: dict[str, float] = field(default_factory=dict)
    of: str = ""


def worked_out(
    name: str,
    basis: DesignBasis,
    coil: Coil,
    bill: Bill,
    work: Work,
    *,
    reused: tuple[Item, ...] = (),
    **more: object,
) -> Option:
    """An option with its chill, its money and the limits that it breaks."""
    bill, basis = with_pumps(basis, bill), basis_for(basis, coil)
    rating, worth = quick_rating(basis, coil), worth_of(basis)
    used = {key: float(value[0]) for key, value in used_by_a_batch(rating.drawn, worth.good_time).items()}
    hard = work.difficulty
    life = worth.lifetime(build=bill.total, difficulty=hard or 0.0, roll=work.at_risk, **used)
    life = replace(life, work=np.asarray(worth.hour * work.all_hours(worth.practised)))
    if hard is None or not work.winds:
        life = replace(life, spoiling=np.asarray(0.0))
    return Option(
        name,
        coil,
        basis,
        rating,
        bill,
        reused,
        work,
        life,
        broken=_broken(basis, rating, bill.total, hard),
        **more,  # type: ignore[arg-type]
    )


def _broken(
    basis: DesignBasis, rating: QuickRating, to_buy: float, hard: float | None
) -> tuple[LimitLine, ...]:
    """What the brewer limits and does not get."""
    stated = [line for line in rating.limits if line.name in STATED]
    lines = [*stated, *of_a_build(basis.brewhouse.limits, to_buy, hard)]
    return tuple(line for line in lines if not line.holds)


# --- what is bought -----------------------------------------------------------------------------------------


def with_pumps(basis: DesignBasis, bill: Bill) -> Bill:
    """A bill with the pumps of the plan, which whatever coil needs."""
    if any(item.part == "pump" for item in bill.items):
        return bill
    own = [pump_of(pump) for pump in basis.pumps if not pump.owned]
    return replace(bill, items=(*bill.items, *purchases(*own)))


def wire_for(basis: DesignBasis, coil: Coil, *, feet: bool, lacing: bool) -> Bill:
    """Wire for new feet or hooks, and for new lacing, where they are asked for."""
    laced, held = wires(basis_for(basis, coil), coil)
    ends = ends_of(basis, coil)
    items = ends.wire_items(laced if lacing else 0.0, held if feet else 0.0)
    return Bill(tuple(item for item in items if item.part == "feet wire" or lacing), (), coil.outer_diameter)


def purchases(*things: Purchase) -> tuple[Item, ...]:
    """Lines of a bill for whole things."""
    return itemised_bill(list(things), EndSet((), None, None, 0.0, (), 0.0)).items
