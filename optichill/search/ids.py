"""Ids of rows of the search, without working their coils out."""

from __future__ import annotations

import numpy as np

from optichill.arrays import Index
from optichill.problem.coil_id import coil_id, file_risers
from optichill.search.evaluate import Rows
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
    heights = float(place.lowest[i]), float(r.gap[i]) + tube.outer_diameter
    return coil_id(
        stock_id=tube.stock_id,
        material=tube.material,
        layout=layout.name,
        forms=[on.form.form_id for on, _ in layers],
        tool=outer.tool,
        sizes=(tube.outer_diameter, tube.wall, *heights, *file_risers(layout.name, *risers), *across),
        turns=[float(r.turns[i])] * len(layers),
        valve_share=float(r.valve_share[i]),
    )


def coil_of(r: Rows) -> Index:
    """Number of each row's physical coil, in order of its first row: rows that differ by the valve alone are
    one."""
    coils = np.stack([r.setup, r.gap, r.turns, r.rolls], axis=1)
    _, first, which = np.unique(coils, axis=0, return_index=True, return_inverse=True)
    number = np.argsort(np.argsort(first))
    return np.asarray(number[which.ravel()], dtype=np.intp)
