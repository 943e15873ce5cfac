"""Ids of rows of the search, without working their coils out."""

from __future__ import annotations

import numpy as np

from optichill.arrays import Index
from optichill.layouts import Layout
from optichill.model.stock import Form
from optichill.problem.coil_id import coil_id, file_risers, inner_pitch
from optichill.problem.windings import Winding
from optichill.search.evaluate import Rows, cut_from
from optichill.search.space import Space


def ids_of(space: Space, r: Rows) -> tuple[str, ...]:
    """Ids of all rows, in their order."""
    return tuple(id_of(space, r, i) for i in range(len(r)))  # names of a few thousand at most


def id_of(space: Space, r: Rows, i: int) -> str:
    """Id of one row: that of its coil file, whoever reads it."""
    outer, inner, layout = space.wound(int(r.setup[i]))
    place, tube = r.placement, outer.tube
    risers = (float(x[i]) for x in (place.riser_in, place.riser_out, place.inner_risers))
    layers = [(outer, float(r.shape.D_c[i]))]
    if inner is not None:
        layers.append((inner, float(r.shape.innermost[i])))
    across = [diameter for _, diameter in layers]
    pitches = [float(gap[i]) + tube.outer_diameter for gap in (r.gap, r.own_gap)]
    heights = float(place.lowest[i]), pitches[0]
    return coil_id(
        stock_ids=[roll.stock_id for roll in cut_from(space, r, i)],
        material=tube.material,
        layout=layout.name,
        forms=[form.form_id if form else None for form in named_forms(outer, inner, layout)],
        tool=outer.tool,
        sizes=(
            *(tube.outer_diameter, tube.wall),
            *heights,
            *file_risers(layout.name, *risers),
            *across,
            *inner_pitch(pitches),
        ),
        turns=[float(r.turns[i]), float(r.own_turns[i])][: len(layers)],
        valve_share=float(r.valve_share[i]),
    )


def named_forms(outer: Winding, inner: Winding | None, layout: Layout) -> list[Form | None]:
    """Forms as a coil file tells them, of the outer layer first. Strips between two layers are no form: one
    of the list may say how wide they make it, but nobody makes one for that."""
    layers = [outer] if inner is None else [outer, inner]
    over_strips = layout.crossing and outer.form.made
    return [None if over_strips and on is outer else on.form for on in layers]


def coil_of(r: Rows) -> Index:
    """Number of each row's physical coil, in order of its first row: rows that differ by the valve alone are
    one."""
    coils = np.stack([r.setup, r.gap, r.turns, r.own_gap, r.own_turns, r.rolls], axis=1)
    _, first, which = np.unique(coils, axis=0, return_index=True, return_inverse=True)
    number = np.argsort(np.argsort(first))
    return np.asarray(number[which.ravel()], dtype=np.intp)
