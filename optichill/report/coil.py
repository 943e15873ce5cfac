"""A found design as a coil file's model."""

from __future__ import annotations

from typing import Any

from optichill.inputs.coil import Coil, Layer
from optichill.search.design import Design


def as_coil(d: Design) -> Coil:
    """The coil of a design, as `--save-coil` writes it."""
    tube = d.winding.tube
    sizes: dict[str, Any] = {"mean_diameter": d.mean_diameter, "pitch": d.pitch, "turns": d.turns}
    riser_in, riser_out = d.riser_in, d.riser_out
    if d.inner is not None:
        outer = Layer(mean_diameter=d.mean_diameter, pitch=d.pitch, turns=d.turns)
        inner = Layer(mean_diameter=d.inner_diameter or 0.0, pitch=d.pitch, turns=d.turns)
        sizes = {"layer": (outer, inner)}
    if d.layout == "parallel":
        # The file knows one length for each end; the mean of both tubes keeps the whole.
        longer = 0.5 * (d.inner_risers - riser_in - riser_out) / 2.0
        riser_in, riser_out = riser_in + longer, riser_out + longer
    if d.valve < 1.0:
        sizes["flow"] = d.prediction.flow
    return Coil(
        material=tube.material,
        outer_diameter=tube.outer_diameter,
        wall=tube.wall,
        layout=d.layout,
        lowest_turn_height=d.lowest,
        riser_length_in=riser_in,
        riser_length_out=riser_out,
        riser_bend_radius=d.winding.tool.radius,
        stock_id=tube.stock_id,
        form_id=d.winding.form.form_id,
        **sizes,
    )
