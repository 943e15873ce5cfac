"""Every coil that could be wound: tube, tool and layout x forms and packing x gap x turns x valve setting.

Rows are numbered, so that a design can be made again from its number alone. Coils of one layer are all looked
at. Of the many pairs of forms that two layers allow, those that break a limit whatever their gap and turns
are left out beforehand, and so are turns that no roll, wort or form could hold: nothing that holds every
limit is lost. When nothing does, the nearest of what was left out is looked at too (`beyond`).
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from difflib import get_close_matches

import numpy as np

from optichill.arrays import Array, Index, Mask
from optichill.errors import OptichillError
from optichill.geometry import fit, helix, levels, riser_bends, risers, springback
from optichill.layouts import Layout, numbered
from optichill.model.stock import Stock
from optichill.problem.basis import DesignBasis
from optichill.problem.windings import (
    Setups,
    Winding,
    layered_setups,
    single_setups,
    winding_table,
    windings,
)
from optichill.search.near_misses import nearest_of_each
from optichill.workshop import difficulty

FEWEST_TURNS = 2.0
BEYOND_ROLL = 1.1
"""Turns go on to this share of the roll, so that a nothing-fits answer can say how much longer it must be."""

WINDING_LEAST = 0.7
"""Smallest radius over the free winding radius that a filled or roller-wound coil may have."""

KEPT_BROKEN = 64
"""Pairs of two layers kept, of each set of limits they break anyway, for when nothing fits."""

SLACK = 1e-6
"""Share by which a set-up may miss before it is left out: bounds are computed another way than limits."""


@dataclass(frozen=True)
class Space:
    """The rows of the search: a set-up with a gap makes a helix, a helix with a number of turns and a
    valve setting a row.

    pair, gap [m] of each helix; turns go up from `fewest` by `step`; first_row of each helix (valve settings
    not counted), and the end. sure : turns of each helix that no limit rules out beforehand; raw : rows of
    the unpruned product.
    """

    basis: DesignBasis
    windings: tuple[Winding, ...]
    setups: Setups
    setup: Index
    gap: Array
    fewest: float
    step: float
    first_row: Index
    sure: Index
    valve_shares: tuple[float, ...]
    raw: int

    @property
    def size(self) -> int:
        """Number of rows that have a number."""
        return int(self.first_row[-1]) * len(self.valve_shares)

    def chunks(self, rows: int, *, beyond: bool = False) -> Iterator[Index]:
        """Row numbers at the first valve setting, in chunks: memory stays flat however many there are.
        beyond: those that are ruled out beforehand instead."""
        counts = np.diff(self.first_row)
        skip = self.sure if beyond else np.zeros_like(self.sure)
        ends = np.cumsum(counts - self.sure if beyond else self.sure)
        begins = self.first_row[:-1] + skip - np.concatenate([[0], ends[:-1]])
        for start in range(0, int(ends[-1]) if ends.size else 0, rows):
            place = np.arange(start, min(start + rows, int(ends[-1])))
            yield (begins[np.searchsorted(ends, place, side="right")] + place) * len(self.valve_shares)

    def decode(self, rows: Index) -> tuple[Index, Array, Array, Array]:
        """Pair number, gap [m], turns and share of the full flow of each row."""
        base, flow = np.divmod(rows, len(self.valve_shares))
        helix_of = np.searchsorted(self.first_row, base, side="right") - 1
        turns = np.asarray(self.fewest + self.step * (base - self.first_row[helix_of]), dtype=np.float64)
        return self.setup[helix_of], self.gap[helix_of], turns, np.array(self.valve_shares)[flow]

    def wound(self, setup: int) -> tuple[Winding, Winding | None, Layout]:
        """Of one pair the winding of the outer layer, of the inner one where there is one, and the layout."""
        outer, inner = (self.windings[int(of[setup])] for of in (self.setups.outer, self.setups.inner))
        layout = numbered(int(self.setups.layout[setup]))
        return outer, inner if layout.layers > 1 else None, layout


def space(
    basis: DesignBasis, *, tube: str | None = None, form: str | None = None, prune: bool = True
) -> Space:
    """All rows for a basis. tube, form : stock_id or form_id to keep to; prune False leaves nothing out."""
    shop = basis.brewhouse.workshop
    found = windings(basis, tube=tube, form=form)
    of = winding_table(found, basis)
    one = single_setups(of, shop.layouts)
    layers = layered_setups(of, shop.layouts, shop.riser == "inside")
    fewest = float(risers.turn_choices(shop.riser_sides, FEWEST_TURNS, FEWEST_TURNS + 1.0)[0])
    step = risers.TURN_STEPS[shop.riser_sides]
    kept, holds = _worth_a_look(layers, basis, prune)
    setups = one.joined(layers.take(kept))
    gaps = _Gaps.of(setups, basis)
    most = _most_turns(setups, gaps.setup, gaps.gap, basis)
    count = _count(most, fewest, step)
    sure = count
    if prune:
        likely = np.concatenate([np.ones(len(one), bool), holds[kept]])[gaps.setup]
        bound = np.where(setups.two(gaps.setup), _sure_turns(setups, gaps.setup, gaps.gap, basis), np.inf)
        sure = np.where(likely, np.minimum(count, _count(bound, fewest, step)), 0)
    first_row = np.concatenate([[0], np.cumsum(count)]).astype(np.intp)
    flows = basis.valve_shares
    raw = int(first_row[-1]) + (_raw(layers, basis, fewest, step, kept) if prune else 0)
    return Space(
        basis, found, setups, gaps.setup, gaps.gap, fewest, step, first_row, sure, flows, raw * len(flows)
    )


@dataclass(frozen=True)
class _Gaps:
    """Every set-up with every gap: set-up number and gap [m] of each helix."""

    setup: Index
    gap: Array

    @classmethod
    def of(cls, setups: Setups, basis: DesignBasis) -> _Gaps:
        shop, d_o = basis.brewhouse.workshop, setups.get("d_o")
        sizes, size_of = np.unique(d_o, return_inverse=True)
        choices = [gap_choices(float(d), shop.smallest_gap, shop.marking_increment) for d in sizes]
        number = np.array([c.size for c in choices] + [0])[size_of] if len(setups) else np.empty(0, np.intp)
        setup = np.repeat(np.arange(len(setups)), number)
        place = np.arange(setup.size) - np.repeat(np.cumsum(number) - number, number)
        table = np.full((len(choices), max((c.size for c in choices), default=0)), np.nan)
        for row, c in zip(table, choices, strict=True):
            row[: c.size] = c
        return cls(setup, table[size_of[setup], place] if setup.size else np.empty(0))


def gap_choices(d_o: float, smallest: float, increment: float) -> Array:
    """Gaps between turns [m] in the marking increment, from the smallest allowed to one tube diameter or the
    next mark above: wider than that buys nothing."""
    low = int(np.ceil(smallest / increment - 1e-9))
    high = max(low, int(np.ceil(d_o / increment - 1e-9)))
    return np.asarray(increment * np.arange(low, high + 1), dtype=np.float64)


def _count(most: Array, fewest: float, step: float) -> Index:
    """How many numbers of turns there are up to `most`."""
    most = np.minimum(most, 1e6)
    return np.maximum(np.floor((most - fewest) / step + 1e-9) + 1.0, 0.0).astype(np.intp)


def _turn_lengths(setups: Setups, setup: Index, gap: Array) -> tuple[Array, Array]:
    """Tube in one turn of the outer and of the inner layer [m]; 0 where there is no inner one."""
    p = setups.get("d_o", setup) + gap
    outer = helix.turn_length(setups.get("D_c", setup), p)
    inner = np.where(setups.two(setup), helix.turn_length(setups.inside("D_c", setup), p), 0.0)
    return outer, inner


def _by_roll(setups: Setups, setup: Index, gap: Array, share: float) -> Array:
    """Turns that take `share` of the roll: both layers from one, or of two tubes the longer from its own."""
    outer, inner = _turn_lengths(setups, setup, gap)
    per_turn = np.where(setups.trait("tees", setup), outer, outer + inner)
    return np.asarray(share * setups.get("roll", setup) / per_turn)


def _most_turns(setups: Setups, setup: Index, gap: Array, basis: DesignBasis) -> Array:
    """Turns beyond which no answer needs to look: the helix alone takes more than the roll and a little, or
    stands higher than the rim."""
    rim, d_o = basis.brewhouse.kettle.inside_height, setups.get("d_o", setup)
    return np.minimum(_by_roll(setups, setup, gap, BEYOND_ROLL), (rim - d_o) / (d_o + gap))


def _sure_turns(setups: Setups, setup: Index, gap: Array, basis: DesignBasis) -> Array:
    """Turns beyond which a limit on roll, form or wort is broken for certain."""
    kettle = basis.brewhouse.kettle
    d_o, roll = setups.get("d_o", setup), setups.get("roll", setup)
    by_roll = _by_roll(setups, setup, gap, 1.0 + SLACK)
    by_form = np.full(setup.size, np.inf)
    for k, height in (
        (setups.get("springback", setup), setups.get("form_height", setup)),
        (setups.inside("springback", setup), setups.inside("form_height", setup)),
    ):
        most = (height * (1.0 + SLACK) - springback.form_height_needed(0.0, k, d_o)) / d_o * k
        by_form = np.minimum(by_form, most)
    # No more tube can be under the wort than there is, nor the level be higher than with all of it.
    tube = setups.trait("tubes", setup) * BEYOND_ROLL * roll
    level = levels.bare_level(basis.cold_volume + helix.outer_volume(d_o, tube), kettle.inside_diameter)
    floor = fit.floor_gap_needed(kettle.coil_rests, kettle.floor_clearance, basis.floor_part)
    by_wort = (level * (1.0 + SLACK) - kettle.top_clearance - d_o - floor) / (d_o + gap)
    return np.asarray(np.minimum(np.minimum(by_roll, by_form), by_wort))


def _setup_misses(setups: Setups, basis: DesignBasis) -> Array:
    """By how much each set-up breaks the limits that gap and turns cannot mend, as shares; shape (limits,
    set-ups), above 0 where it does. Bounds are on the kind side where a row could do better."""
    kettle, limits = basis.brewhouse.kettle, basis.brewhouse.limits
    D, d_o, D_c, R_b = kettle.inside_diameter, setups.get("d_o"), setups.get("D_c"), setups.get("R_b")
    wall = kettle.wall_clearance
    passing = fit.passes_outside(setups.trait("crossing"), basis.brewhouse.workshop.riser)
    rows = [
        1.0 - fit.wall_gap(D, D_c, d_o) / wall if wall > 0.0 else -fit.wall_gap(D, D_c, d_o),
        1.0 - fit.riser_gap(D, D_c, R_b, d_o, passing) / fit.riser_gap_needed(),
        fit.across_with_risers(D_c, R_b, d_o, passing=passing) / kettle.mouth - 1.0,
        1.0 - setups.rho() / WINDING_LEAST,
        1.0 - R_b / np.minimum(setups.get("R_b_least"), riser_bends.NEVER),
    ]
    centre = _centre_part(basis)
    if centre > 0.0:
        inside = ~setups.trait("crossing") & (basis.brewhouse.workshop.riser == "inside")
        gap = fit.centre_gap(setups.inside("D_c"), d_o, centre, inside)
        rows.append(1.0 - gap / fit.AIR_AROUND_PART)
    if limits.budget is not None:
        rows.append(setups.fixed_cost() / limits.budget - 1.0)
    if limits.difficulty is not None:
        easiest = setups.job(slice(None), 0.0, 0.0, basis.brewhouse.workshop.riser == "inside")
        hard = difficulty.score(difficulty.difficulty_terms(easiest))
        rows.append(hard / max(limits.difficulty, 0.01) - 1.0)
    return np.array(rows)


def _centre_part(basis: DesignBasis) -> float:
    """Diameter of the widest part in the centre that every coil surely stands round [m]; a hanging one may
    hang above it."""
    kettle = basis.brewhouse.kettle
    if kettle.coil_rests == "hangs":
        return 0.0
    underside = float(fit.floor_gap_needed(kettle.coil_rests, kettle.floor_clearance, basis.floor_part))
    sizes = [p.size for p in basis.parts if p.where == "centre" and p.height >= underside]
    return max(sizes, default=0.0)


def _worth_a_look(setups: Setups, basis: DesignBasis, prune: bool) -> tuple[Index, Mask]:
    """Pairs to number (all that may hold every limit, and the nearest of those that cannot), and for every
    set-up whether it may."""
    if not prune or not len(setups):
        return np.arange(len(setups)), np.ones(len(setups), dtype=bool)
    misses = _setup_misses(setups, basis)
    broken = misses > SLACK
    holds = ~broken.any(axis=0)
    nearest = nearest_of_each(broken, misses, np.arange(len(setups)), KEPT_BROKEN)
    return np.union1d(np.flatnonzero(holds), nearest), np.asarray(holds)


def _raw(setups: Setups, basis: DesignBasis, fewest: float, step: float, kept: Index) -> int:
    """Rows of the set-ups that were given no number, counted by tube so that memory stays flat."""
    left = np.ones(len(setups), dtype=bool)
    left[kept] = False
    total = 0
    for tool in np.unique(setups.get("tool_of")[left]).tolist():
        some = setups.take(np.flatnonzero(left & (setups.get("tool_of") == tool)))
        gaps = _Gaps.of(some, basis)
        total += int(_count(_most_turns(some, gaps.setup, gaps.gap, basis), fewest, step).sum())
    return total


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
