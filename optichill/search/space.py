"""Every coil that could be wound: tube, tool and layout x forms and packing x gap x turns x valve setting.

Rows are numbered, so that a design can be made again from its number alone. Pairs of forms that break a
limit whatever their gap and turns are not numbered but for the nearest; coils of one layer always are. What
breaks a limit for certain is not looked at: nothing that holds every limit is lost. When nothing does, it is
looked at too (`beyond`). Of rolls of one size, what another beats has no number, and a coil is looked at on
the cheapest roll that it comes out of (`problem.rolls`). Of lists too long for that an even sample is looked
at, and told as one.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from difflib import get_close_matches

import numpy as np

from optichill.arrays import Array, Index, Mask
from optichill.errors import OptichillError
from optichill.layouts import LAYOUTS, Layout, numbered
from optichill.model.stock import Stock
from optichill.problem.basis import DesignBasis
from optichill.problem.checks import Checks
from optichill.problem.limits import LIMITS
from optichill.problem.pairs import Pairs, layered_setups
from optichill.problem.windings import Setups, Winding, Windings, single_setups, winding_table, windings
from optichill.search.helices import SLACK, Helices, first_turns, helices
from optichill.search.ruled_out import setup_misses, worth_a_look
from optichill.search.sureness import Sureness
from optichill.thermal.cooldown import LONGEST
from optichill.thermal.stepping import short_of_cold

MOST_ROWS = 2_500_000
"""Helices and turns looked at, of those that no limit rules out beforehand; of more an even sample."""

MOST_SHORT_OF_COLD = 60_000
"""The same where a bath runs short of cold, and every row takes forty times as long."""


@dataclass(frozen=True)
class Sample:
    """How much was looked at where the lists hold too much: combinations, of about so many that no limit
    rules out beforehand."""

    looked_at: int
    of_about: int


@dataclass(frozen=True)
class LeftOut:
    """What is left out by proof of rolls of one size, before a limit is asked: rolls that another beats, and
    combinations that are looked at on a cheaper roll instead; about : where not all of the lists were counted
    one by one."""

    rolls: int
    combinations: int
    about: bool


@dataclass(frozen=True)
class Through:
    """Rows that were looked at, and those that were on a cheaper roll instead; valve settings counted."""

    looked_at: int
    spared: int


@dataclass(frozen=True)
class Space:
    """The rows of the search: a set-up with a gap makes a helix, a helix with a number of turns and a
    valve setting a row.

    pair, gap [m] of each helix; turns go up from `fewest` by `step`; first_row of each helix (valve settings
    not counted), and the end. sure : turns of each helix that no limit rules out beforehand; raw : rows of
    all rolls that no other beats, and could_hold : those that no limit rules out and no cheaper roll takes,
    both about where not all windings are here; most : rows to look at in one search, valve settings not
    counted; sureness : of the time limit; open_to : limits that rule nothing out here, to see what moving
    them would open; tube, form : ids that it keeps to; beside : other kettles whose rims the risers must suit
    too; cheaper : turns of each helix, from the fewest on, that are looked at on a cheaper roll of the same
    size; none of helices beyond its length; through : what was looked at where a search went through more
    than is here.
    begins : turns that each helix begins with, None where all begin with the fewest. own_gap [m],
    more_turns : of each helix's inner layer its gap, and how many turns it has more than the outer one; None
    where all layers are alike. listed : helices that follow from the lists, None for all; those behind them
    are coils that an exploration found, each with one number of turns.
    """

    basis: DesignBasis
    windings: Windings
    setups: Setups
    setup: Index
    gap: Array
    fewest: float
    step: float
    first_row: Index
    sure: Index
    valve_shares: tuple[float, ...]
    raw: int
    could_hold: int
    most: int = MOST_ROWS
    sureness: Sureness | None = None
    open_to: frozenset[str] = frozenset()
    tube: str | None = None
    form: str | None = None
    beside: tuple[DesignBasis, ...] = ()
    cheaper: Index = field(default_factory=lambda: np.empty(0, np.intp))
    through: Through | None = None
    begins: Array | None = None
    own_gap: Array | None = None
    more_turns: Array | None = None
    listed: int | None = None

    @property
    def size(self) -> int:
        """Number of rows that have a number."""
        return int(self.first_row[-1]) * len(self.valve_shares)

    @property
    def longest(self) -> float:
        """No chill that takes longer by the medians [s] could be wanted."""
        limit = self.most_of("chill_time") or LONGEST
        return limit if self.sureness is None else limit / self.sureness.least

    def most_of(self, name: str) -> float | None:
        """Bound of one of the brewer's limits, None where it has none or is left open."""
        bound: float | None = getattr(self.basis.brewhouse.limits, name)
        return None if name in self.open_to else bound

    @property
    def limited(self) -> frozenset[str]:
        """Limits that the brewer states."""
        stated = self.basis.brewhouse.limits.model_dump(exclude_none=True)
        return frozenset(name for name in stated if name in LIMITS)

    def barred(self, checks: Checks) -> Mask:
        """Which designs break a limit that is not left open."""
        broken = [check.broken for name, check in checks.rows.items() if name not in self.open_to]
        return np.asarray(np.any(broken, axis=0))

    @property
    def sample(self) -> Sample | None:
        """None where everything is looked at."""
        through = self.through
        looked_at = self.looked_at * len(self.valve_shares) if through is None else through.looked_at
        return Sample(looked_at, self.could_hold) if looked_at < self.could_hold else None

    @property
    def two_layers(self) -> bool:
        """Whether two layers are asked for."""
        return any(x.layers > 1 for x in LAYOUTS.values() if x.name in self.basis.brewhouse.workshop.layouts)

    @property
    def looked_at(self) -> int:
        """Rows that a search goes through, valve settings not counted."""
        some = int(self.sure.sum()) - int(self.cheaper.sum())
        return -(-some // self._every(some))

    @property
    def all_here(self) -> bool:
        """Whether all that may hold every limit has a number here, windings and pairs of them."""
        return self.could_hold == int((self.sure - self._before).sum()) * len(self.valve_shares)

    @property
    def left_out(self) -> LeftOut:
        """What is left out of rolls of one size."""
        return LeftOut(self.windings.left_out, self.spared, self.windings.of > len(self.windings))

    @property
    def spared(self) -> int:
        """Rows that are looked at on a cheaper roll instead, about where not all windings are here."""
        if self.through is not None:
            return self.through.spared
        more = self.windings.of / max(len(self.windings), 1)
        return round(more * int(self.cheaper.sum())) * len(self.valve_shares)

    def _every(self, rows: int) -> int:
        return max(1, -(-rows // self.most))

    def chunks(self, rows: int, *, beyond: bool = False) -> Iterator[Index]:
        """Row numbers at the first valve setting, in chunks: memory stays flat however many there are.
        beyond: those that are ruled out beforehand instead."""
        # Both lanes go through these arrays of all helices: none is held but these two.
        ends, begins = self._runs("beyond" if beyond else "looked at")
        end = int(ends[-1]) if ends.size else 0
        every = self._every(end)
        for start in range(0, end, rows * every):
            place = np.arange(start, min(start + rows * every, end), every)
            yield (begins[np.searchsorted(ends, place, side="right")] + place) * len(self.valve_shares)

    def some(self, most: int, *, beyond: bool = False) -> Index:
        """So many rows at the first valve setting, evenly spread over all that may hold every limit, on
        whatever roll; beyond : over those that are ruled out beforehand instead."""
        ends, begins = self._runs("beyond" if beyond else "sure")
        there = int(ends[-1]) if ends.size else 0
        place = np.unique(np.linspace(0, there - 1, min(most, there)).astype(np.intp))
        return (begins[np.searchsorted(ends, place, side="right")] + place) * len(self.valve_shares)

    def _runs(self, which: str) -> tuple[Index, Index]:
        """Where the rows of each helix end when those of one kind are counted one after another, and what
        makes their numbers of such places."""
        before = self._before if which == "looked at" else 0
        count = np.diff(self.first_row) - self.sure if which == "beyond" else self.sure - before
        ends = np.cumsum(count)
        begins = self.first_row[:-1] + (self.sure if which == "beyond" else before) - (ends - count)
        return ends, begins

    @property
    def _before(self) -> Index:
        """Turns of each helix that are not looked at, from the fewest on."""
        return np.concatenate([self.cheaper, np.zeros(self.sure.size - self.cheaper.size, np.intp)])

    def near(self, numbers: Index) -> Index:
        """Rows at the first valve setting, every gap and number of turns of the set-ups of these rows."""
        before = self._before
        helix = np.flatnonzero(np.isin(self.setup, self.decode(numbers)[0]) & (self.sure > before))
        some = [np.arange(self.first_row[h] + before[h], self.first_row[h] + self.sure[h]) for h in helix]
        return np.concatenate([np.empty(0, np.intp), *some]) * len(self.valve_shares)

    def spread(self, most: int, helix: Index | None = None) -> Index:
        """So many rows at the first valve setting, evenly spread over all there are, ruled out beforehand or
        not; helix : places of the helices to keep to."""
        first, count = self.first_row[:-1], np.diff(self.first_row)
        if helix is not None:
            first, count = first[helix], count[helix]
        ends = np.cumsum(count)
        there = int(ends[-1]) if ends.size else 0
        place = np.unique(np.linspace(0, there - 1, min(most, there)).astype(np.intp))
        of = np.searchsorted(ends, place, side="right")
        return np.asarray((first - (ends - count))[of] + place, np.intp) * len(self.valve_shares)

    def all_of(self, setups: Index) -> Index:
        """Rows at the first valve setting of whole set-ups, ruled out beforehand or not."""
        helix = np.flatnonzero(np.isin(self.setup, setups))
        some = [np.arange(self.first_row[h], self.first_row[h + 1]) for h in helix]
        return np.concatenate([np.empty(0, np.intp), *some]) * len(self.valve_shares)

    def decode(self, rows: Index) -> tuple[Index, Array, Array, Array]:
        """Pair number, gap [m], turns and share of the full flow of each row."""
        base, flow = np.divmod(rows, len(self.valve_shares))
        helix_of = self._helix(rows)
        fewest = self.fewest if self.begins is None else self.begins[helix_of]
        turns = np.asarray(fewest + self.step * (base - self.first_row[helix_of]), dtype=np.float64)
        return self.setup[helix_of], self.gap[helix_of], turns, np.array(self.valve_shares)[flow]

    def inner(self, rows: Index) -> tuple[Array, Array]:
        """Gap [m] and turns of the inner layer of each row; where there is none, those of the only one."""
        helix_of = self._helix(rows)
        _, gap, turns, _ = self.decode(rows)
        own = gap if self.own_gap is None else self.own_gap[helix_of]
        return own, turns if self.more_turns is None else turns + self.more_turns[helix_of]

    def explored(self, rows: Index) -> Mask:
        """Which rows do not follow from the lists."""
        return np.asarray(self._helix(rows) >= (self.setup.size if self.listed is None else self.listed))

    def _helix(self, rows: Index) -> Index:
        base = np.asarray(rows) // len(self.valve_shares)
        return np.asarray(np.searchsorted(self.first_row, base, side="right") - 1)

    def wound(self, setup: int) -> tuple[Winding, Winding | None, Layout]:
        """Of one pair the winding of the outer layer, of the inner one where there is one, and the layout."""
        outer, inner = (self.windings[int(of[setup])] for of in (self.setups.outer, self.setups.inner))
        layout = numbered(int(self.setups.layout[setup]))
        return outer, inner if layout.layers > 1 else None, layout


def _most(basis: DesignBasis, most: int | None) -> int:
    """Rows to look at."""
    if most is not None:
        return most
    return MOST_SHORT_OF_COLD if short_of_cold(basis.scenario) else MOST_ROWS


def space(
    basis: DesignBasis,
    *,
    tube: str | None = None,
    form: str | None = None,
    prune: bool = True,
    most: int | None = None,
    open_to: frozenset[str] = frozenset(),
    beside: Sequence[DesignBasis] = (),
    found: Windings | None = None,
    pairs: Pairs | None = None,
    misses_too: bool = True,
) -> Space:
    """All rows for a basis. tube, form : stock_id or form_id to keep to; most : rows to look at, of more an
    even sample, as many as take some seconds unless given; prune False leaves nothing out; open_to : limits
    of the brewer that rule nothing out; beside : other kettles whose rims the risers must suit too; found :
    windings to take, all of them or a sample unless given; pairs : two of them that have a number anyway;
    misses_too : whether pairs that cannot hold are counted, and the nearest of them kept."""
    if found is None:
        found = windings(basis, tube=tube, form=form, beaten=not prune)
    bounds = _left_open(basis, open_to)
    if prune:
        chosen = _that_may_hold(found, bounds, pairs, misses_too=misses_too)
    else:
        chosen = _all_of_them(found, bounds)
    of = helices(chosen.setups, basis, chosen.likely, beside)
    first_row = np.concatenate([[0], np.cumsum(of.count)]).astype(np.intp)
    flows = basis.valve_shares
    raw, could_hold = _of_all(found, chosen, of)
    return Space(
        basis,
        found,
        chosen.setups,
        of.setup,
        of.gap,
        *first_turns(basis),
        first_row,
        of.sure,
        flows,
        round(raw) * len(flows),
        round(could_hold) * len(flows),
        _most(basis, most) if prune else max(1, int(first_row[-1])),
        open_to=open_to,
        tube=tube,
        form=form,
        beside=tuple(beside),
        cheaper=of.spared,
    )


@dataclass(frozen=True)
class _Chosen:
    """Set-ups that are numbered. likely : those that may hold every limit, None where nothing is ruled out;
    every : of pairs one in so many is here; pair_rows : of all pairs, kept or not, None where all are
    here."""

    setups: Setups
    likely: Mask | None = None
    every: int = 1
    pair_rows: int | None = None


def _all_of_them(found: Windings, basis: DesignBasis) -> _Chosen:
    of, shop = winding_table(found, basis), basis.brewhouse.workshop
    pairs = layered_setups(of, shop.layouts, shop.riser == "inside")
    return _Chosen(single_setups(of, shop.layouts).joined(*pairs))


def _that_may_hold(found: Windings, basis: DesignBasis, pairs: Pairs | None, *, misses_too: bool) -> _Chosen:
    """All of one layer; of two those that may hold every limit, and the nearest of the others."""
    of, shop = winding_table(found, basis), basis.brewhouse.workshop
    one = single_setups(of, shop.layouts)
    every = layered_setups(of, shop.layouts, shop.riser == "inside")
    two = worth_a_look(every, one.take(one.outer[:0]), basis, misses_too=misses_too)
    setups = one.joined(two.setups)
    likely = np.concatenate([~(setup_misses(one, basis) > SLACK).any(axis=0), two.likely])
    if pairs is not None:
        setups = setups.joined(pairs.missing(setups, found))
        likely = np.concatenate([likely, np.ones(len(setups) - likely.size, dtype=bool)])
    return _Chosen(setups, likely, two.every, two.rows)


def _of_all(found: Windings, chosen: _Chosen, of: Helices) -> tuple[float, float]:
    """Rows that there are, and those that no limit rules out and no cheaper roll takes: about, where not all
    windings or pairs are here. Valve settings are not counted."""
    double, looked = chosen.setups.two(of.setup), of.sure - of.spared
    # Of a sample of windings so much less, and of pairs of them the square of it.
    more = found.of / max(len(found), 1)
    pairs = of.count[double].sum() if chosen.pair_rows is None else chosen.pair_rows
    raw = more * of.count[~double].sum() + more**2 * pairs
    return raw, more * looked[~double].sum() + more**2 * chosen.every * looked[double].sum()


def _left_open(basis: DesignBasis, names: frozenset[str]) -> DesignBasis:
    """The basis without some of the brewer's limits."""
    if not names:
        return basis
    limits = basis.brewhouse.limits.model_copy(update=dict.fromkeys(names))
    return replace(basis, brewhouse=basis.brewhouse.model_copy(update={"limits": limits}))


class UnknownId(OptichillError):
    """An id that is not in the stock lists."""


def known_id(stock: Stock, *, tube: str | None, form: str | None) -> None:
    """Refuse an id that is not in the lists, with the nearest ones."""
    for given, ids, where in (
        (tube, [t.stock_id for t in stock.tubing], "tubing.csv: stock_id"),
        (form, [f.form_id for f in stock.forms], "forms.csv: form_id"),
    ):
        if given is not None and given not in ids:
            near = get_close_matches(given, ids, n=3, cutoff=0.3) or ids[:3]
            raise UnknownId(f"{where}: {given}: not in the list (allowed: {', '.join(near)} ...)")
