"""How wide a coil may come out that is still to be wound; one that exists is as wide as it was measured."""

from __future__ import annotations

import numpy as np

from optichill.arrays import Array
from optichill.geometry import springback
from optichill.model.coil import Coil, widths
from optichill.problem.basis import DesignBasis

MEASURED = {"outside_across", "string_round", "inside_across"}
"""Sizes across that nobody has before the coil is wound."""


def to_be_wound(coil: Coil) -> bool:
    """Whether its file tells the form of its outer layer, and nothing that was measured on the coil."""
    measured = MEASURED & {*widths(coil), *widths(coil.layers[0])}
    return coil.form_ids[0] is not None and not measured and coil.bought_length is None


def widest(basis: DesignBasis, coil: Coil) -> Array | None:
    """Mean diameter of its outer layer where the tube springs most [m], shape (1,); None of a coil that
    exists."""
    if not to_be_wound(coil):
        return None
    name = coil.stock_ids[0]
    rewound = any(tube.stock_id == name and tube.temper == "half hard" for tube in basis.stock.tubing)
    metal = coil.metal
    wide = springback.widest_mean_diameter(
        coil.mean_diameter,
        coil.outer_diameter,
        coil.bore,
        springback.flow_stress(metal, rewound),
        springback.strongest(metal, rewound),
        metal.youngs_modulus,
    )
    return np.atleast_1d(wide)
