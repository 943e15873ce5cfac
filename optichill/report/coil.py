"""A found design as a coil file's model."""

from __future__ import annotations

from optichill.inputs.coil import Coil
from optichill.search.design import Design


def as_coil(d: Design) -> Coil:
    """The coil of a design, as `--save-coil` writes it."""
    tube = d.winding.tube
    return Coil(
        material=tube.material,
        outer_diameter=tube.outer_diameter,
        wall=tube.wall,
        mean_diameter=d.mean_diameter,
        pitch=d.pitch,
        turns=d.turns,
        lowest_turn_height=d.lowest,
        riser_length_in=d.riser_in,
        riser_length_out=d.riser_out,
        riser_bend_radius=d.winding.tool.radius,
        stock_id=tube.stock_id,
        form_id=d.winding.form.form_id,
    )
