"""One coil for several kettles, told in full: how it stands and chills in each, and what it comes to."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from optichill.arrays import Array, Index, Mask
from optichill.problem.basis import DesignBasis
from optichill.rating.coil_rating import in_another
from optichill.rating.prediction import LimitLine
from optichill.search.close_calls import with_sureness_to_spare
from optichill.search.designs import Design, as_coil, designs
from optichill.search.enumeration import Tell
from optichill.search.evaluate import rows
from optichill.search.front import steps_of
from optichill.search.kettles import Kettle, kettles_of, same_stock
from optichill.search.ranking import alike, better, covering, near_variants
from optichill.search.several import InKettle, Pass, in_kettle, look_through
from optichill.search.space import Sample
from optichill.thermal.cooldown import LONGEST
from optichill.workshop.fittings import to_pay


@dataclass(frozen=True)
class There:
    """A coil in another kettle: design as it stands and chills there, which that kettle's limits let it or
    not; running : what its batches cost there [money]."""

    basis: DesignBasis
    design: Design
    serves: bool
    running: float

    @property
    def broken(self) -> tuple[LimitLine, ...]:
        """Limits of that kettle that it does not hold."""
        return tuple(line for line in self.design.limits if not line.holds)


@dataclass(frozen=True)
class Shared:
    """A coil in the first kettle and in the others; total : built once and run in all [money]."""

    design: Design
    there: tuple[There, ...]
    total: float


@dataclass(frozen=True)
class Alone:
    """The best coil for one kettle alone, None where nothing holds its limits; breaks : of each other kettle
    the limits that it does not hold there."""

    basis: DesignBasis
    design: Design | None
    breaks: tuple[tuple[LimitLine, ...], ...]


@dataclass(frozen=True)
class ForAll:
    """Coils that hold every limit in every kettle, of least cost in all together first; without any, the best
    for each alone. raw : combinations of the lists; weighed : of them those that hold in every kettle what
    needs no chill; tie : a minute with every batch of all; besides : pumps that the other plans need more."""

    kettles: tuple[DesignBasis, ...]
    coils: tuple[Shared, ...]
    raw: int
    weighed: int
    sample: Sample | None
    tie: float
    besides: float
    alone: tuple[Alone, ...] = ()


@dataclass(frozen=True)
class Finals:
    """Coils worked out finely in every kettle; total [money] of all together, cost and difficulty once;
    coin : by which money is told apart."""

    base: Index
    each: tuple[InKettle, ...]
    total: Array
    cost: Array
    difficulty: Array
    coin: float

    @property
    def holds(self) -> Mask:
        """Every limit in every kettle."""
        return np.asarray(np.all([own.holds for own in self.each], axis=0))

    @property
    def order(self) -> Index:
        """Places of those that hold, the best first."""
        keys = (self.base, self.each[0].time, self.cost, self.difficulty, self.total)
        order = np.lexsort(keys)
        return np.asarray(order[self.holds[order]])

    def goals(self, own: InKettle) -> Array:
        """The four goals in one kettle, shape (coils, 4); what is out of reach is all alike."""
        reached = np.isfinite(own.time)
        time, water = np.where(reached, own.time, 2.0 * LONGEST), np.where(reached, own.water, 0.0)
        return np.stack([time, self.cost, water, self.difficulty], axis=1)

    def alike(self, place: int) -> Mask:
        """Which are near variants of that one to a person, in every kettle."""
        return np.asarray(np.all([alike(self.goals(own), place, self.coin) for own in self.each], axis=0))

    def better(self, mine: Index, its: Index, share: float) -> Mask:
        """Whether some are better than others in something that a person sees, in any kettle."""
        goals = [self.goals(own) for own in self.each]
        return np.asarray(np.any([better(g[mine], g[its], self.coin, share) for g in goals], axis=0))


def finals_of(kettles: tuple[Kettle, ...], base: Index) -> Finals:
    """Coils worked out finely in every kettle."""
    each = tuple(in_kettle(kettle, base) for kettle in kettles)
    total = each[0].total + sum((own.running for own in each[1:]), np.zeros(base.size))
    r = rows(kettles[0].space, each[0].number)
    coin = float(steps_of(kettles[0].space.basis.stock)[1])
    return Finals(base, each, total, r.cost, r.difficulty, coin)


FEW = 32
"""Coils that are worked out finely where only the first is asked for."""


def finalists(
    kettles: tuple[Kettle, ...], tell: Tell | None = None, *, few: bool = False
) -> tuple[Pass, Finals]:
    """All rows in all kettles, and the best of them worked out."""
    found = look_through(kettles, tell)
    finals = finals_of(kettles, found.worth_working_out(FEW if few else None))
    while found.firm[0].base.size and not finals.holds.any():
        # All that seemed to keep their time by a hair do not: let only those seem to that surely do.
        if all(kettle.space.sureness is None for kettle in kettles):
            break
        kettles = tuple(_to_spare(kettle) for kettle in kettles)
        found = look_through(kettles)
        finals = finals_of(kettles, found.worth_working_out())
    return found, finals


def _to_spare(kettle: Kettle) -> Kettle:
    if kettle.space.sureness is None:
        return kettle
    return replace(kettle, space=with_sureness_to_spare(kettle.space))


def cover(finals: Finals, order: Index, most: int, kind: Mask | None = None) -> tuple[Index, Index]:
    """The best and what a person may want instead, and how many are like each; kind : what is of another is
    another choice."""
    free, of = np.zeros(finals.base.size, dtype=bool), np.zeros(finals.base.size) if kind is None else kind
    free[order] = True
    chosen = covering(
        order, free, most, lambda mine, its, share: (of[mine] != of[its]) | finals.better(mine, its, share)
    )
    like = [free & (of == of[place]) & finals.alike(place) for place in chosen]
    return np.array(chosen, np.intp), near_variants(like, chosen, free.astype(np.intp))


def in_full(kettles: tuple[Kettle, ...], finals: Finals, chosen: Index, near: Index) -> list[Shared]:
    """Coils with all that there is to say of them in every kettle, in the given order."""
    made = made_in(kettles[0], finals.each[0], chosen, near)
    others = [there_in(*pair, chosen) for pair in zip(kettles[1:], finals.each[1:], strict=True)]
    return [
        Shared(design, tuple(there), float(design.life.total) + sum(other.running for other in there))
        for design, *there in zip(made, *others, strict=True)
    ]


def made_in(
    kettle: Kettle, own: InKettle, chosen: Index, near: Index | None = None, *, march: bool = True
) -> tuple[Design, ...]:
    """Some coils in full in one kettle; near : how many are like each; march : with one in time beside."""
    if not chosen.size:
        return ()
    near = np.zeros(chosen.size, np.intp) if near is None else near
    return designs(kettle.space, own.number[chosen], None, near, march=march)


def there_in(kettle: Kettle, own: InKettle, chosen: Index, *, march: bool = True) -> list[There]:
    """The same in another kettle than the first."""
    made = made_in(kettle, own, chosen, march=march)
    return [
        There(kettle.basis, design, bool(own.holds[place]), float(design.life.running))
        for place, design in zip(chosen.tolist(), made, strict=True)
    ]


def pumps_to_pay(basis: DesignBasis, but: DesignBasis | None = None) -> float:
    """What the pumps of a plan cost, but those that another plan has bought."""
    there = {p.pump_id for p in but.pumps} if but is not None else set()
    return sum(to_pay(p.price or 0.0, p.owned) for p in basis.pumps if p.pump_id not in there)


def for_all(
    first: DesignBasis,
    others: Sequence[DesignBasis],
    *,
    top: int = 5,
    tube: str | None = None,
    form: str | None = None,
    tell: Tell | None = None,
) -> ForAll:
    """One coil for several kettles, on the first one's lists; others : each of its own brewhouse, in an order
    that changes nothing but the order in which they are told."""
    own = [same_stock(first, other) for other in others]
    kettles = kettles_of(first, own, tube=tube, form=form)
    found, finals = finalists(kettles, tell)
    chosen, near = cover(finals, finals.order, top)
    coils = in_full(kettles, finals, chosen, near)
    besides, bought = 0.0, set[str]({p.pump_id for p in first.pumps})
    for basis in own:
        for pump in basis.pumps:
            besides += 0.0 if pump.pump_id in bought else to_pay(pump.price or 0.0, pump.owned)
            bought.add(pump.pump_id)
    of = kettles[0].space
    return ForAll(
        tuple(kettle.basis for kettle in kettles),
        tuple(replace(coil, total=coil.total + besides) for coil in coils),
        of.raw,
        found.weighed,
        of.sample,
        found.tie,
        besides,
        () if coils else tuple(_alone(kettles, n, tube, form) for n in range(len(kettles))),
    )


def best_alone(basis: DesignBasis, *, tube: str | None = None, form: str | None = None) -> Design | None:
    """The coil of least cost for one kettle, None where nothing fits."""
    kettles = kettles_of(basis, (), tube=tube, form=form)
    finals = finalists(kettles, few=True)[1]
    made = made_in(kettles[0], finals.each[0], finals.order[:1], march=False)
    return made[0] if made else None


def _alone(kettles: tuple[Kettle, ...], n: int, tube: str | None, form: str | None) -> Alone:
    """The best coil for one of the kettles, and what it breaks in the others."""
    basis = kettles[n].basis
    best = best_alone(basis, tube=tube, form=form)
    if best is None:
        return Alone(basis, None, ())
    others = [kettle.basis for kettle in kettles if kettle is not kettles[n]]
    seen = [in_another(other, basis, as_coil(best)) for other in others]
    return Alone(basis, best, tuple(tuple(x for x in own.limits if not x.holds) for own in seen))
