"""Two windings together: every two that leave the room two layers need, and what pairs are called whatever
list of windings they stand in."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from dataclasses import dataclass

import numpy as np

from optichill.arrays import Index
from optichill.geometry import fit
from optichill.geometry.strips import widest_over
from optichill.layouts import with_layers
from optichill.problem.windings import PACKING, Setups, Windings, WindingTable, laid_out

PIECE = 65536
"""Pairs of windings made at once, about."""

HAIR = 1e-6
"""A micrometre, by which rounding must make no strip too thick."""


def layered_setups(
    of: WindingTable, layouts: Collection[str], riser_inside: bool = False
) -> Iterator[Setups]:
    """Every two windings of one tube and tool that leave the room two layers need, in each layout asked for;
    piece by piece, for there may be millions.

    On bare forms: card tunes the one diameter of a single layer; of two there is choice enough without.
    """
    wanted = {n: x for n, x in with_layers(2).items() if x.name in layouts}
    widest = widest_over(of.D_form, of.d_o, PACKING) + HAIR
    for o, i in _pairs(of) if wanted else ():
        room = fit.layer_gap(of.D_c[i], of.D_c[o], of.d_o[o])
        # Between the layers of two tubes the inner one's bottom riser must climb.
        riser = fit.layer_gap_for_riser(of.D_c[i], of.R_b[i], of.d_o[i], riser_inside)
        fits = room >= fit.LAYER_GAP
        on_tees = fits & (room >= riser) & of.tees[o]
        over_strips = fits & (of.D_form[o] <= widest[i])
        for number, x in wanted.items():
            good = on_tees if x.tees else over_strips
            yield laid_out(of, number, o[good], i[good])


def _pairs(of: WindingTable) -> Iterator[tuple[Index, Index]]:
    """Outer and inner bare winding, every two of one tube and tool; about PIECE of them at once."""
    bare = np.flatnonzero(~of.packed)
    ends = np.flatnonzero(np.diff(of.tool_of[bare])) + 1  # windings of one tube and tool stand together
    pairs: list[tuple[Index, Index]] = []
    many = 0
    for mine in np.split(bare, ends):
        pieces = mine.size**2 // PIECE
        for outers in np.array_split(mine, pieces) if pieces > 1 else [mine]:
            pairs.append((np.repeat(outers, mine.size), np.tile(mine, outers.size)))
            many += outers.size * mine.size
            if many >= PIECE:
                yield _one_after_another(pairs)
                pairs, many = [], 0
    if pairs:
        yield _one_after_another(pairs)


def _one_after_another(pairs: list[tuple[Index, Index]]) -> tuple[Index, Index]:
    outer, inner = zip(*pairs, strict=True)
    return np.concatenate(outer), np.concatenate(inner)


@dataclass(frozen=True)
class Pairs:
    """Set-ups by the place of their windings among all that there are; arrays of shape (set-ups,)."""

    layout: Index
    outer: Index
    inner: Index

    @classmethod
    def of(cls, setups: Setups, found: Windings) -> Pairs:
        """Of set-ups of some windings."""
        return cls(setups.layout.astype(np.intp), found.number[setups.outer], found.number[setups.inner])

    def key(self, found: Windings) -> Index:
        """One number for each."""
        every = len(found.ways) * found.per_way
        return (self.layout * every + self.outer) * every + self.inner

    def missing(self, setups: Setups, found: Windings) -> Setups:
        """Those that are not among some set-ups of windings which are all there, each once."""
        new = np.setdiff1d(self.key(found), Pairs.of(setups, found).key(found))
        _, first = np.unique(self.key(found), return_index=True)
        some = first[np.isin(self.key(found)[first], new)]
        order = np.argsort(found.number, kind="stable")
        outer, inner = (
            order[np.searchsorted(found.number, column[some], sorter=order)]
            for column in (self.outer, self.inner)
        )
        return Setups(setups.of, outer, inner, self.layout[some].astype(np.int8))
