"""A space with more coils behind its own: rows that it has keep their numbers."""

from __future__ import annotations

from collections.abc import Hashable, Sequence
from dataclasses import replace
from typing import TypeVar

import numpy as np

from optichill.arrays import Index
from optichill.layouts import LAYOUTS
from optichill.problem.windings import Setups, Windings, winding_table
from optichill.search.explore.wound_coil import WoundCoil
from optichill.search.space import Space

Key = TypeVar("Key", bound=Hashable)


def emptied(space: Space) -> Space:
    """The space without a coil."""
    none = np.empty(0, np.intp)
    return replace(
        space,
        windings=Windings((), (), none, none, none, 0, mates=space.windings.mates),
        setups=Setups(space.setups.of, none, none, np.empty(0, np.int8)),
        setup=none,
        gap=np.empty(0),
        first_row=np.zeros(1, np.intp),
        sure=none,
        cheaper=none,
        through=None,
        begins=None,
        own_gap=None,
        more_turns=None,
        listed=0,
    )


def grown(space: Space, coils: Sequence[WoundCoil]) -> tuple[Space, Index]:
    """The space with these coils, and the row number of each. No limit rules them out beforehand, nor does a
    pass over the space come by them."""
    if not coils:
        return space, np.empty(0, np.intp)
    layered, places = _wound(space, coils)
    setups, setup_of = _laid_out(space, layered, coils, places)
    own = space.gap if space.own_gap is None else space.own_gap
    more = np.zeros(space.gap.size) if space.more_turns is None else space.more_turns
    begins = np.full(space.gap.size, space.fewest) if space.begins is None else space.begins
    keys = [
        (setup, c.gaps[0], c.gaps[-1], c.turns[0], c.turns[-1] - c.turns[0])
        for setup, c in zip(setup_of.tolist(), coils, strict=True)
    ]
    unique, helix_of = _numbered(keys)
    first = int(space.first_row[-1]) + np.arange(len(unique) + 1)
    flow = np.array([space.valve_shares.index(c.valve_share) for c in coils])
    columns = np.array(unique).T
    bigger = replace(
        space,
        windings=layered,
        setups=setups,
        setup=np.concatenate([space.setup, columns[0].astype(np.intp)]),
        gap=np.concatenate([space.gap, columns[1]]),
        own_gap=np.concatenate([own, columns[2]]),
        begins=np.concatenate([begins, columns[3]]),
        more_turns=np.concatenate([more, columns[4]]),
        first_row=np.concatenate([space.first_row[:-1], first]),
        sure=np.concatenate([space.sure, np.zeros(len(unique), np.intp)]),
        listed=space.setup.size if space.listed is None else space.listed,
    )
    return bigger, first[helix_of] * len(space.valve_shares) + flow


def _wound(space: Space, coils: Sequence[WoundCoil]) -> tuple[Windings, Index]:
    """Windings of the space and of the coils' layers, and the number of each coil's outer and inner one."""
    old = space.windings
    ways, way_of = _numbered([*old.ways, *((c.tube, c.tool) for c in coils)])
    layers = [(c.layers[0], c.layers[-1]) for c in coils]
    forms, form_of = _numbered([*old.forms, *(s.form for pair in layers for s in pair)])
    sizes = form_of[len(old.forms) :].reshape(-1, 2)
    keys = [
        (int(way), int(form[layer]), pair[layer].wraps)
        for way, form, pair in zip(way_of[len(old.ways) :], sizes, layers, strict=True)
        for layer in (0, 1)
    ]
    have = list(zip(old.way.tolist(), old.form.tolist(), old.wraps.tolist(), strict=True))
    unique, number = _numbered([*have, *keys])
    way, form, wraps = (np.array(column, np.intp) for column in zip(*unique, strict=True))
    of = old.of + len(unique) - len(have)
    found = replace(old, ways=tuple(ways), forms=tuple(forms), way=way, form=form, wraps=wraps, of=of)
    return found, number[len(have) :].reshape(-1, 2)


def _laid_out(
    space: Space, layered: Windings, coils: Sequence[WoundCoil], places: Index
) -> tuple[Setups, Index]:
    """Set-ups of the space and of the coils, and the number of each coil's."""
    number = {name: place for place, name in enumerate(LAYOUTS)}
    old = space.setups
    have = list(zip(old.outer.tolist(), old.inner.tolist(), old.layout.tolist(), strict=True))
    new = [(*pair, number[c.layout]) for pair, c in zip(places.tolist(), coils, strict=True)]
    unique, setup_of = _numbered([*have, *new])
    outer, inner, layout = (np.array(column) for column in zip(*unique, strict=True))
    table = winding_table(layered, space.basis)
    setups = Setups(table, outer.astype(np.intp), inner.astype(np.intp), layout.astype(np.int8))
    return setups, setup_of[len(have) :]


def _numbered(keys: Sequence[Key]) -> tuple[list[Key], Index]:
    """Each key once, in order of its first place, and the number of each."""
    known: dict[Key, int] = {}
    number = np.array([known.setdefault(key, len(known)) for key in keys], np.intp)
    return list(known), number
