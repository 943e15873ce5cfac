"""Set-ups that break a limit whatever their gap and turns: found beforehand, and not looked at in vain."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field

import numpy as np

from optichill.arrays import Array, Index, Mask
from optichill.geometry import fit, riser_bends
from optichill.problem.basis import DesignBasis
from optichill.problem.windings import Setups
from optichill.search.helices import SLACK, how_many
from optichill.search.near_misses import nearest_of_each
from optichill.workshop import difficulty

WINDING_LEAST = 0.7
"""Smallest radius over the free winding radius that a filled or roller-wound coil may have."""

KEPT_BROKEN = 64
"""Pairs of two layers kept, of each set of limits they break anyway, for when nothing fits."""

MOST_LAYERED = 100_000
"""Pairs of two layers kept of those that may hold every limit; of more than twice as many an even sample."""


def setup_misses(setups: Setups, basis: DesignBasis) -> Array:
    """By how much each set-up breaks the limits that gap and turns cannot mend, as shares; shape (limits,
    set-ups), above 0 where it does. Bounds are on the kind side where a row could do better."""
    kettle, limits = basis.brewhouse.kettle, basis.brewhouse.limits
    D, d_o, D_c, R_b = kettle.inside_diameter, setups.get("d_o"), setups.get("D_c"), setups.get("R_b")
    wall = kettle.wall_clearance
    passing = fit.passes_outside(setups.trait("crossing"), basis.brewhouse.workshop.riser)
    to_wall = fit.riser_gap(D, D_c, R_b, d_o, passing)
    if kettle.mouth < D:  # the riser stands as far from the wall as its lip asks
        to_wall = to_wall + fit.off_the_middle(kettle.mouth, D / 2.0 - to_wall - d_o / 2.0, D_c / 2.0, d_o)
    across = fit.across_with_risers(setups.get("D_c_wide"), R_b, d_o, passing=passing)
    rows = [
        1.0 - fit.wall_gap(D, D_c, d_o) / wall if wall > 0.0 else -fit.wall_gap(D, D_c, d_o),
        1.0 - to_wall / fit.riser_gap_needed(),
        across / kettle.mouth - 1.0,
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


@dataclass(frozen=True)
class Layered:
    """Set-ups of two layers to be numbered: those that may hold every limit (`likely`), and the nearest of
    those that cannot. rows : of all there are, kept or not; every : 1 where all that may hold are kept, else
    the step of the sample."""

    setups: Setups
    likely: Mask
    rows: int
    every: int


def worth_a_look(
    pieces: Iterable[Setups],
    none: Setups,
    basis: DesignBasis,
    most: int = MOST_LAYERED,
    *,
    misses_too: bool = True,
) -> Layered:
    """Go through set-ups of two layers piece by piece; only those that are kept stay in memory. none : an
    empty piece; misses_too : keep the nearest of those that cannot hold, and count the rows of all."""
    rows, came, holding, near = 0, 0, _Thinned(most), _Nearest()
    for piece in pieces:
        if len(piece):
            rows += how_many(piece, basis) if misses_too else 0
            misses = setup_misses(piece, basis)
            holds = ~(misses > SLACK).any(axis=0)
            found = np.stack([piece.layout, came + np.arange(len(piece)), piece.outer, piece.inner])
            came += len(piece)
            holding.add(found[:, holds])
            if misses_too:
                near.add(found[:, ~holds], misses[:, ~holds])
    kept = np.concatenate([holding.all(), near.all()], axis=1)
    order = np.lexsort(kept[1::-1])  # layout by layout, and in each as they came
    layout, _, outer, inner = kept[:, order]
    setups = Setups(none.of, outer, inner, layout.astype(np.int8))
    return Layered(setups, order < holding.size, rows, holding.every)


@dataclass
class _Thinned:
    """Columns as they come; when there are too many, every second of them goes, and so on."""

    most: int
    every: int = 1
    seen: int = 0
    size: int = 0
    parts: list[Index] = field(default_factory=list)

    def add(self, found: Index) -> None:
        place = np.arange(self.seen, self.seen + found.shape[1])
        self.seen += found.shape[1]
        self.parts.append(found[:, place % self.every == 0])
        self.size += self.parts[-1].shape[1]
        while self.size > 2 * self.most:
            self.parts = [self.all()[:, ::2]]
            self.size, self.every = self.parts[0].shape[1], 2 * self.every

    def all(self) -> Index:
        return np.concatenate([np.empty((4, 0), np.intp), *self.parts], axis=1)


@dataclass
class _Nearest:
    """The nearest misses of each set of limits, of columns as they come."""

    found: Index = field(default_factory=lambda: np.empty((4, 0), np.intp))
    misses: Array | None = None

    def add(self, found: Index, misses: Array) -> None:
        if self.misses is not None:
            found, misses = np.hstack([self.found, found]), np.hstack([self.misses, misses])
        number = np.empty(found.shape[1], np.intp)
        number[np.lexsort(found[1::-1])] = np.arange(number.size)
        best = nearest_of_each(misses > SLACK, misses, number, KEPT_BROKEN)
        self.found, self.misses = found[:, best], misses[:, best]

    def all(self) -> Index:
        return self.found
