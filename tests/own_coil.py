"""A coil like a brewer's own, with anything about it changed, on the bench of the small kettle."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import small_stock

from optichill.fabrication.work_plan import WorkPlan, plan_work
from optichill.files.reading import Inputs, load
from optichill.model.coil import OF_TURNS, Coil
from optichill.problem.basis import design_basis

SIZES: dict[str, Any] = {
    "material": "copper",
    "outer_diameter": 0.010,
    "wall": 0.001,
    "mean_diameter": 0.2604,
    "pitch": 0.016,
    "turns": 10.0,
    "lowest_turn_height": 0.030,
    "riser_length_in": 0.56,
    "riser_length_out": 0.40,
    "riser_bend_radius": 0.030,
}


def own_bench(
    folder: Path, house: dict[str, Any] | None = None, stock: Any = None, **changes: Any
) -> tuple[WorkPlan, Inputs]:
    """The coil on its bench, and what was read."""
    inputs = load(small_stock.write(folder, house, stock))
    return plan_work(design_basis(inputs), Coil(**own_sizes(**changes))), inputs


def own_sizes(**changes: Any) -> dict[str, Any]:
    """Its sizes with changes, None leaves one out; layers have their own width, pitch and turns."""
    own = {k: v for k, v in SIZES.items() if not (changes.get("layer") and k in OF_TURNS)}
    return {k: v for k, v in {**own, **changes}.items() if v is not None}


def two_layers(D_outer: float, D_inner: float, turns: float = 8.0, pitch: float = 0.016) -> dict[str, Any]:
    """Changes that make two layers of it."""
    layer = [{"mean_diameter": D, "pitch": pitch, "turns": turns} for D in (D_outer, D_inner)]
    return {"layer": layer}
