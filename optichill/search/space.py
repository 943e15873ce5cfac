"""Every coil that could be wound: tube, tool and layout x forms and packing x gap x turns x valve setting.

Rows are numbered, so that a design can be made again from its number alone. Pairs of forms that break a
limit whatever their gap and turns are not numbered but for the nearest; coils of one layer always are. What
breaks a limit for certain is not looked at: nothing that holds every limit is lost. When nothing does, it is
looked at too (`beyond`). Of lists too long for that an even sample is looked at, and told as one.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from difflib import get_close_matches

import numpy as np

from optichill.arrays import Array, Index, Mask
from optichill.errors import OptichillError
from optichill.layouts import Layout, numbered
from optichill.model.stock import Stock
from optichill.problem.basis import DesignBasis
from optichill.problem.checks import Checks
from optichill.problem.limits import LIMITS
from optichill.problem.windings import (
    Setups,
    Winding,
    Windings,
    layered_setups,
    single_setups,
    winding_table,
    windings,
)
from optichill.search.helices import SLACK, first_turns, helices
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
class Space:
    """The rows of the search: a set-up with a gap makes a helix, a helix with a number of turns and a
    valve setting a row.

    pair, gap [m] of each helix; turns go up from `fewest` by `step`; first_row of each helix (valve settings
    not counted), and the end. sure : turns of each helix that no limit rules out beforehand; raw : rows of
    the unpruned product, and could_hold : those that no limit rules out, both about where not all windings
    are here; most : rows to look at in one search, valve settings not counted; sureness : of the time
    limit; open_to : limits that rule nothing out here, to see what moving them would open;
    tube, form : ids that it keeps to; beside : other kettles whose rims the risers must suit too.
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
        looked_at = self.looked_at * len(self.valve_shares)
        return Sample(looked_at, self.could_hold) if looked_at < self.could_hold else None

    @property
    def looked_at(self) -> int:
        """Rows that a search goes through, valve settings not counted."""
        sure = int(self.sure.sum())
        return -(-sure // self._every(sure))

    def _every(self, rows: int) -> int:
        return max(1, -(-rows // self.most))

    def chunks(self, rows: int, *, beyond: bool = False) -> Iterator[Index]:
        """Row numbers at the first valve setting, in chunks: memory stays flat however many there are.
        beyond: those that are ruled out beforehand instead."""
        # Both lanes go through these arrays of all helices: none is held but these two.
        ends = np.cumsum(np.diff(self.first_row) - self.sure if beyond else self.sure)
        begins = self.first_row[1:] - ends if beyond else self.first_row[:-1] + self.sure - ends
        end = int(ends[-1]) if ends.size else 0
        every = self._every(end)
        for start in range(0, end, rows * every):
            place = np.arange(start, min(start + rows * every, end), every)
            yield (begins[np.searchsorted(ends, place, side="right")] + place) * len(self.valve_shares)

    def near(self, numbers: Index) -> Index:
        """Rows at the first valve setting, every gap and number of turns of the set-ups of these rows."""
        helix = np.flatnonzero(np.isin(self.setup, self.decode(numbers)[0]) & (self.sure > 0))
        some = [np.arange(self.first_row[h], self.first_row[h] + self.sure[h]) for h in helix]
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
) -> Space:
    """All rows for a basis. tube, form : stock_id or form_id to keep to; most : rows to look at, of more an
    even sample, as many as take some seconds unless given; prune False leaves nothing out; open_to : limits
    of the brewer that rule nothing out."""
    bounds = _left_open(basis, open_to)
    shop = basis.brewhouse.workshop
    found = windings(basis, tube=tube, form=form)
    of = winding_table(found, basis)
    one, pairs = single_setups(of, shop.layouts), layered_setups(of, shop.layouts, shop.riser == "inside")
    likely, every, layered = None, 1, 0
    if prune:
        two = worth_a_look(pairs, one.take(one.outer[:0]), bounds)
        setups, every, layered = one.joined(two.setups), two.every, two.rows
        likely = np.concatenate([~(setup_misses(one, bounds) > SLACK).any(axis=0), two.likely])
    else:
        setups = one.joined(*pairs)
    every_helix = helices(setups, basis, likely)
    count, sure, double = every_helix.count, every_helix.sure, setups.two(every_helix.setup)
    first_row = np.concatenate([[0], np.cumsum(count)]).astype(np.intp)
    # Of a sample of windings so much less, and of pairs of them the square of it.
    more, flows = found.of / max(len(found), 1), basis.valve_shares
    raw = more * count[~double].sum() + more**2 * (layered if prune else count[double].sum())
    could_hold = more * sure[~double].sum() + more**2 * every * sure[double].sum()
    return Space(
        basis,
        found,
        setups,
        every_helix.setup,
        every_helix.gap,
        *first_turns(basis),
        first_row,
        sure,
        flows,
        round(raw) * len(flows),
        round(could_hold) * len(flows),
        _most(basis, most) if prune else max(1, int(first_row[-1])),
        open_to=open_to,
        tube=tube,
        form=form,
    )


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
