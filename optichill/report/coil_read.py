"""What was understood of a coil file, as `check` says it: what follows from what was measured."""

from __future__ import annotations

from typing import Any

from optichill.display import INCH, plural, show
from optichill.layouts import LAYOUTS
from optichill.model.coil import Coil, CoilLayer
from optichill.report.sheet.phrases import turns_words

_STANDS = {"feet": "on feet", "floor": "on the floor", "hangs": "hung"}


def lines(coil: Coil, units: str) -> list[str]:
    """The tube, each layer, the ends and how it stands, a line each."""

    def size(metres: float, kind: str) -> str:
        return show(metres, kind, units)

    by_weight = "" if "wall" in coil.model_fields_set else ", by its weight"
    tube = f"{coil.material}, {size(coil.outer_diameter, 'tube')} outside, {size(coil.wall, 'wall')} wall"
    said = [f"{tube}{by_weight}; {LAYOUTS[coil.layout].called}"]
    names = ("",) if len(coil.layers) == 1 else ("outer layer: ", *["inner layer: "] * len(coil.layers))
    said += [
        f"{name}{_layer(layer, coil.outer_diameter, units)}"
        for name, layer in zip(names, coil.layers, strict=False)
    ]
    ends = [size(x, "length") for x in (coil.riser_length_in, coil.riser_length_out)]
    risers = (
        f"{ends[0]} for each end" if ends[0] == ends[1] else f"{ends[0]} in and {ends[1]} out for its ends"
    )
    said.append(f"{size(coil.helix_length, 'long_length')} of tube in the turns, {risers}")
    how = "how it stands is not told: taken with the" if coil.standing.asked else "the"
    how = f"{_STANDS[coil.standing.rests]}, the" if coil.standing.rests else how
    said.append(
        f"{how} middle of the lowest turn {size(coil.lowest_turn_height, 'length')} above the kettle's floor"
    )
    return said


def _layer(layer: CoilLayer, d_o: float, units: str) -> str:
    across, tall = layer.mean_diameter + d_o, layer.turns * layer.pitch + d_o
    gap = layer.pitch - d_o
    apart = "touching" if gap < 5e-4 else f"{_gap(gap, units)} open between them"
    apart = f", {apart}" if layer.turns > 1.0 else ""  # one turn has no other beside it
    across_said, tall_said = (show(x, "length", units) for x in (across, tall))
    return f"{plural(turns_words(layer.turns))}{apart}; {across_said} across, {tall_said} tall"


def _gap(gap: float, units: str) -> str:
    """A gap between turns [m] as a screen has it; finer where that would hide a good part of it, of which
    `predict` may warn.

    Examples
    --------
    >>> _gap(0.0041, "metric"), _gap(0.0007, "metric"), _gap(0.00434, "us"), _gap(0.0048, "us")
    ('4 mm', '0.7 mm', '0.17 in', '3/16 in')
    """
    size, step, places, name = (INCH, 16.0, 2, "in") if units == "us" else (1e-3, 1.0, 1, "mm")
    rounded = size / step * round(gap / size * step)
    if abs(rounded - gap) <= HIDDEN * gap:
        return show(gap, "gap", units)
    return f"{gap / size:.{places}f} {name}"


HIDDEN = 0.08
"""Share of a gap that no rounding may hide (OWN)."""


def document(coil: Coil) -> dict[str, Any]:
    """The same for other programs [SI]."""
    return {
        "material": coil.material,
        "outer_diameter_m": coil.outer_diameter,
        "wall_m": coil.wall,
        "layout": coil.layout,
        "layers": [
            {"mean_diameter_m": layer.mean_diameter, "pitch_m": layer.pitch, "turns": layer.turns}
            for layer in coil.layers
        ],
        "riser_length_in_m": coil.riser_length_in,
        "riser_length_out_m": coil.riser_length_out,
        "stands": coil.standing.rests,
        "lowest_turn_height_m": coil.lowest_turn_height,
    }
