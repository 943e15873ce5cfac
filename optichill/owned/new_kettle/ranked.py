"""A new kettle arrives: what becomes of the coil. Every option worked out there, and the best first.

Money over the coil's life in the new kettle ranks, without what is spent already: what holds all that the
brewer limits comes before what does not, then what keeps the wort over its top turn that the kettle asks for;
of what differs by less than a minute a batch the one with less work comes first.
"""

from __future__ import annotations

from dataclasses import dataclass

from optichill.model.coil import Coil
from optichill.owned.new_kettle.kept_coil import Hindrance
from optichill.owned.new_kettle.kept_options import ALIKE, Kept, hang, hindered, keep, stand
from optichill.owned.new_kettle.longer_risers import extend
from optichill.owned.new_kettle.new_build import best_of, replaced, rewound
from optichill.owned.new_kettle.option import NAMES, LeftOut, Option
from optichill.owned.new_kettle.order import ranked
from optichill.owned.new_kettle.precooled import precooled
from optichill.owned.new_kettle.second_coil import pair
from optichill.owned.new_kettle.stirred import Stirred, stirred
from optichill.problem.basis import DesignBasis
from optichill.problem.worth import worth_of
from optichill.rating.coil_rating import QuickRating, quick_rating
from optichill.rating.stood import basis_for
from optichill.search.enumeration import Tell
from optichill.search.recommend import SearchResult, search_space


@dataclass(frozen=True)
class NewKettle:
    """What becomes of a coil. before : it in the old kettle, as it is; options : best first; left_out : those
    that do not apply, in the order of NAMES; searched : what a fresh search in the new kettle left;
    in_the_way : what keeps the old turns out of the new kettle, wherever they stand; stirred : the coil kept
    in wort that is stirred more, where that does as well."""

    old: DesignBasis
    new: DesignBasis
    coil: Coil
    before: QuickRating
    options: tuple[Option, ...]
    left_out: tuple[LeftOut, ...]
    searched: SearchResult
    in_the_way: Hindrance | None
    stirred: Stirred | None = None

    @property
    def first(self) -> Option | None:
        """What to do; None where nothing does."""
        return self.options[0] if self.options else None

    def option(self, name: str) -> Option | None:
        """The option of a name."""
        return next((option for option in self.options if option.name == name), None)

    @property
    def tie(self) -> float:
        """Money over the coil's life below which two come to the same [money]."""
        return worth_of(self.new).minute

    def tied(self, option: Option) -> bool:
        """Whether an option comes to the same as the first, to a minute a batch."""
        first = self.first
        if first is None or option is first or option.holds != first.holds:
            return False
        return abs(float(option.life.total) - float(first.life.total)) <= self.tie


def new_kettle(old: DesignBasis, new: DesignBasis, coil: Coil, tell: Tell | None = None) -> NewKettle:
    """Every option for the coil. tell : hears how far the search is."""
    old, new = basis_for(old, coil), with_pumps_of(old, new)
    of = Kept.of(old, new, coil)
    searched = search_space(new, tell=tell)
    blocked = of.in_the_way
    found: list[Option | LeftOut] = list(_as_main(of, blocked))
    best = best_of(searched)
    standing = [one for one in found if isinstance(one, Option) and one.name in STANDING]
    instead = replaced(of, best)
    found += [precooled(of, best, _time(instead)), rewound(of), instead]
    options = [one for one in found if isinstance(one, Option)]
    reached = [option for option in options if option.rating.prediction.chill_time is not None]
    missed = [LeftOut(o.name, "target") for o in options if o not in reached]
    reached, idle = _each_for_something(reached)
    left_out = [one for one in found if isinstance(one, LeftOut)] + missed + idle
    best_first = ranked(reached, worth_of(new).minute)
    return NewKettle(
        old,
        new,
        coil,
        quick_rating(old, coil),
        best_first,
        tuple(sorted(left_out, key=lambda one: NAMES.index(one.name))),
        searched,
        blocked,
        stirred(new, standing, best_first[0] if best_first else None),
    )


def _each_for_something(options: list[Option]) -> tuple[list[Option], list[LeftOut]]:
    """Ways for the coil alone to go on, without those that are dearer than another and better in nothing."""
    alone = [o for o in options if o.name in STANDING]
    idle = [o for o in alone if any(_does_as_much(other, o) for other in alone if other is not o)]
    return [o for o in options if o not in idle], [LeftOut(o.name, "no_better") for o in idle]


def _does_as_much(one: Option, other: Option) -> bool:
    """Whether one is better in nothing that a person notices, and costs more work and money: the other of
    both."""
    p, q = one.rating.prediction.told, other.rating.prediction.told
    if p.time is None or q.time is None or p.time > q.time + ALIKE:
        return False
    if (p.water or 0.0) > ALIKE_SHARE * (q.water or 0.0):
        return False
    broken, kept = ({x.name for x in o.broken} for o in (one, other))
    as_deep = one.near_top is None or (other.near_top is not None and one.near_top >= other.near_top - HAIR)
    room = {x.name for x in one.less_room} <= {x.name for x in other.less_room}
    money = one.bill.total <= other.bill.total + HAIR and one.hours <= other.hours
    less = float(one.life.total) < float(other.life.total) - HAIR
    return broken <= kept and as_deep and room and money and less


HAIR = 1e-6
"""What rounding does to money, hours and lengths."""
ALIKE_SHARE = 1.03
"""Water that nobody tells apart (OWN)."""

STANDING = ("keep", "hang", "stand", "extend")
"""Options by which the coil alone goes on in the wort."""


def _time(option: Option | LeftOut) -> float | None:
    return option.rating.prediction.told.time if isinstance(option, Option) else None


def with_pumps_of(old: DesignBasis, new: DesignBasis) -> DesignBasis:
    """The new kettle, whose plan need not buy what the old one's runs on."""
    there = {pump.pump_id for pump in old.pumps}
    if not any(pump.pump_id in there and not pump.owned for pump in new.pumps):
        return new
    pumps = tuple(
        pump.model_copy(update={"owned": True}) if pump.pump_id in there else pump for pump in new.stock.pumps
    )
    return new.restated(stock=new.stock.model_copy(update={"pumps": pumps}))


def _as_main(of: Kept, blocked: Hindrance | None) -> list[Option | LeftOut]:
    """What keeps its turns in the wort."""
    if blocked is not None:
        return [
            hindered("keep", blocked),
            *(LeftOut(name, "in_the_way", of=blocked.name) for name in WITH_ITS_TURNS),
        ]
    kept = keep(of)
    found = [kept, hang(of, kept), stand(of, kept), extend(of)]
    standing = [one for one in found if isinstance(one, Option)]
    base = ranked(standing, worth_of(of.new).minute)[0] if standing else kept
    return [*found, pair(of, base)]


WITH_ITS_TURNS = ("hang", "stand", "extend", "pair")
"""Options that keep its turns in the wort, beside leaving it as it is."""
