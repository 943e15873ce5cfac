"""Lists that are too long for one space: searched tube by tube, so that all of it is looked at and memory
stays flat.

A piece is the space of some tubes on all forms, and has its own numbers of rows. What nothing beats in a
piece is kept by what it is (set-up, gap, turns, valve), and held against what the others left by the same
filter.
In the end one space is made that has it all: an even sample of the windings, as a long list has anyway, and
those that came through. Everything after the search knows this space alone. Past `MOST` rows an even sample
is searched, and told as one.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field, replace

import numpy as np

from optichill.arrays import Index
from optichill.problem.pairs import Pairs
from optichill.search.enumeration import Enumeration, Tell, enumerate_space
from optichill.search.front import Front
from optichill.search.least import LeastCost
from optichill.search.near_misses import NearMisses
from optichill.search.space import Space, Through, space
from optichill.thermal.batch import Scenario
from optichill.thermal.stepping import short_of_cold

MOST = 50_000_000
"""Rows looked at in one search, valve settings not counted, where chills have a closed solution: some
minutes."""

MOST_IN_STEPS = 10_000_000
"""The same where chills go in steps."""

CHUNK = 32_768
"""Rows worked on at once: half of what a short search takes, for half of the memory; as fast (OWN)."""

WINDINGS = 50_000
"""Single windings in a piece, about; a tube at least."""


def goes_piece_by_piece(of: Space) -> bool:
    """Whether a space is a sample of what can still be looked at as a whole."""
    scenario = of.basis.scenario
    if of.sample is None or of.open_to or of.beside or short_of_cold(scenario):
        return False
    return of.could_hold <= (MOST_IN_STEPS if scenario.in_steps else MOST) * len(of.valve_shares)


def search_all(of: Space, scenario: Scenario | None = None, tell: Tell | None = None) -> Enumeration:
    """What a search of everything finds, in a space that holds it. Where nothing holds every limit, what an
    even sample tells: from its near misses the ways out are found."""
    if goes_piece_by_piece(of):
        if of.all_here:  # too many rows, and nothing else: they are gone through in chunks anyway
            return enumerate_space(replace(of, most=MOST), scenario, CHUNK, tell)
        found = _Gathered(of, scenario)
        for piece in pieces(of):
            found.take_in(enumerate_space(piece, scenario, CHUNK, found.telling(tell)))
        if found.best.feasible:
            return found.in_one_space()
    return enumerate_space(of, scenario, tell=tell)


def pieces(of: Space) -> Iterator[Space]:
    """Spaces of some tubes each that together hold all windings."""
    every = of.windings
    ways = max(1, WINDINGS // every.per_way)
    for first in range(0, len(every.ways), ways):
        number = np.arange(first * every.per_way, min(first + ways, len(every.ways)) * every.per_way)
        found = every.at(number, number.size)
        piece = space(of.basis, tube=of.tube, form=of.form, most=MOST, found=found, misses_too=False)
        yield replace(piece, sureness=of.sureness)


@dataclass(frozen=True)
class Content:
    """Rows by what they are, arrays of shape (rows,): their set-ups, and the place of the gap, of the turns
    and of the valve setting among those that the set-up has."""

    pairs: Pairs
    gap: Index
    turns: Index
    flow: Index

    @classmethod
    def of(cls, where: Space, numbers: Index) -> Content:
        """Of rows of a space."""
        base, flow = np.divmod(numbers, len(where.valve_shares))
        helix = np.searchsorted(where.first_row, base, side="right") - 1
        setup = where.setup[helix]
        pairs = Pairs.of(where.setups.take(setup), where.windings)
        gap = helix - np.searchsorted(where.setup, setup)  # helices stand set-up by set-up
        return cls(pairs, gap, base - where.first_row[helix], flow)

    def numbers(self, where: Space) -> Index:
        """Their numbers in a space that has all of them."""
        key = Pairs.of(where.setups, where.windings).key(where.windings)
        order = np.argsort(key, kind="stable")
        setup = order[np.searchsorted(key, self.pairs.key(where.windings), sorter=order)]
        helix = np.searchsorted(where.setup, setup) + self.gap
        number = (where.first_row[helix] + self.turns) * len(where.valve_shares) + self.flow
        return np.asarray(number, np.intp)

    def take(self, places: Index) -> Content:
        """The chosen rows."""
        pairs = Pairs(*(column[places] for column in vars(self.pairs).values()))
        return Content(pairs, self.gap[places], self.turns[places], self.flow[places])

    @classmethod
    def joined(cls, parts: list[Content]) -> Content:
        """One after another."""
        pairs = Pairs(
            *(np.concatenate(c) for c in zip(*(vars(p.pairs).values() for p in parts), strict=True))
        )
        others = (np.concatenate([getattr(p, name) for p in parts]) for name in ("gap", "turns", "flow"))
        return cls(pairs, *others)


@dataclass
class _Gathered:
    """What the pieces left so far. Rows in `best` are numbered by their place in `content`; done, spared,
    could_hold : rows of all pieces, valve settings counted but in done."""

    of: Space
    scenario: Scenario | None
    best: Enumeration = field(init=False)
    content: list[Content] = field(default_factory=list)
    known: int = 0
    done: int = 0
    looked_at: int = 0
    spared: int = 0
    could_hold: int = 0

    def __post_init__(self) -> None:
        self.best = Enumeration(self.of, self.scenario)

    def telling(self, tell: Tell | None) -> Tell | None:
        """Told of one piece what of it is done; tells what is of everything."""
        if tell is None:
            return None
        every = -(-self.of.could_hold // len(self.of.valve_shares))
        before = self.done
        return lambda done, of: tell(min(before + done, every), every)

    def take_in(self, found: Enumeration) -> None:
        """Take in what a pass over a piece found."""
        piece, flows = found.space, len(found.space.valve_shares)
        self.done += piece.looked_at
        self.looked_at += piece.looked_at * flows
        self.spared += piece.spared
        self.could_hold += piece.could_hold
        least = found.least.rows.number if found.least is not None else found.front.number
        new = np.union1d(found.front.number, least).astype(np.intp)
        self.content.append(Content.of(piece, new))
        found.front, found.least = _renumbered(found, lambda n: self.known + np.searchsorted(new, n))
        self.known += new.size
        # Near misses are of use where nothing holds: then they come from a sample of everything.
        found.dry, found.slow = (NearMisses(m.alone, m.spread) for m in (found.dry, found.slow))
        self.best.join(found)

    def in_one_space(self) -> Enumeration:
        """What is left, in a space that has it."""
        of, best = self.of, self.best
        least = best.least.rows.number if best.least is not None else best.front.number
        left = np.union1d(best.front.number, least).astype(np.intp)
        content = Content.joined(self.content).take(left)
        pairs, every = content.pairs, of.windings
        number = np.unique(np.concatenate([every.number, pairs.outer, pairs.inner]))
        kept = space(of.basis, tube=of.tube, form=of.form, found=every.at(number, every.of), pairs=pairs)
        kept = replace(
            kept,
            sureness=of.sureness,
            raw=of.raw,
            could_hold=self.could_hold,
            through=Through(self.looked_at, self.spared),
        )
        own = content.numbers(kept)
        found = replace(best, space=kept)
        found.front, found.least = _renumbered(best, lambda n: own[np.searchsorted(left, n)])
        found.feasible, found.buildable, found.cheapest = best.feasible, best.buildable, best.cheapest
        return found


def _renumbered(found: Enumeration, of: Callable[[Index], Index]) -> tuple[Front, LeastCost | None]:
    """What nothing beats, and the rows of least cost, with other numbers."""

    def other(rows: Front) -> Front:
        return replace(rows, number=np.asarray(of(rows.number), np.intp))

    least = found.least
    return other(found.front), None if least is None else replace(least, rows=other(least.rows))
