"""What to do where the coil sprang otherwise than expected: how tall to pull it, and what its time becomes.

The tube in its turns stays as long as it is. Let go narrower it has more turns: at the planned gap it stands
taller, or at a smaller gap as tall as the wort over it allows.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from optichill.display import INCH, trim
from optichill.fabrication.work_plan import WorkPlan
from optichill.fabrication.wound_layer import WoundLayer
from optichill.model.coil import Coil, CoilLayer
from optichill.rating.coil_rating import run_at_medians
from optichill.report.sheet.document import Table
from optichill.report.sheet.measure import room
from optichill.report.sheet.phrases import called
from optichill.report.sheet.sizes import Sizes

OFF = {"metric": (-0.010, -0.005, 0.0, 0.005), "us": tuple(n * INCH / 16.0 for n in (-6, -3, 0, 3))}
"""By how much wider than expected the cases came out [m]: beyond what the metal's range does (OWN)."""


@dataclass(frozen=True)
class Sprung:
    """The coil as it came out, and its likely time [s], None where it is out of reach."""

    coil: Coil
    time: float | None


def sprung(plan: WorkPlan, widths: tuple[float, ...]) -> tuple[Sprung, ...]:
    """The coil that came out wider than expected by so much [m], pulled as tall as fits it. As many minutes
    more or less than the prediction as one run of each has: what is uncertain is the same for all."""
    p = plan.rating.prediction
    at = p.switch.at if p.switch is not None else None
    coils = [_came_out(plan, wider) if wider else plan.coil for wider in widths]
    told, mine = p.told.time, run_at_medians(plan.basis, plan.coil, at)
    if told is None or mine is None:
        return tuple(Sprung(coil, None) for coil in coils)
    runs = [run_at_medians(plan.basis, coil, at) for coil in coils]
    return tuple(
        Sprung(coil, None if run is None else told * run / mine)
        for coil, run in zip(coils, runs, strict=True)
    )


def _came_out(plan: WorkPlan, wider: float) -> Coil:
    layers = tuple(_layer(layer, wider, room(plan, "submergence")) for layer in plan.layers)
    outer = layers[0]
    sizes = {"mean_diameter": outer.mean_diameter, "pitch": outer.pitch, "turns": outer.turns}
    return plan.coil.model_copy(update={"layers": layers, **sizes})


def _layer(layer: WoundLayer, wider: float, taller: float) -> CoilLayer:
    """The same tube in turns of another diameter; taller : than planned it may stand at most [m]."""
    D = layer.diameter + wider
    most = layer.turns * layer.pitch + taller
    height = min(layer.pitch * math.sqrt(layer.tube**2 / ((math.pi * D) ** 2 + layer.pitch**2)), most)
    turns = math.sqrt(layer.tube**2 - height**2) / (math.pi * D)
    return CoilLayer(mean_diameter=D, pitch=max(height / turns, layer.d_o), turns=turns)


def table(plan: WorkPlan, sizes: Sizes) -> Table:
    """If across came out so: pull to this height, and it takes so long."""
    rows = []
    for wider, found in zip(OFF[sizes.units], sprung(plan, OFF[sizes.units]), strict=True):
        time = "out of reach" if found.time is None else f"{trim(round(found.time / 30.0) / 2.0)} min"
        across = found.coil.mean_diameter + plan.tube.outer_diameter
        expected = " (expected)" if wider == 0.0 else ""
        rows.append(
            (
                sizes.length(across) + expected,
                sizes.length(found.coil.height),
                f"{found.coil.turns:.2f}",
                time,
            )
        )
    which = f" of the {called(plan, plan.layers[0])}" if len(plan.layers) > 1 else ""
    return Table(
        "If it sprang otherwise",
        (f"across{which}, outside", "pull the turns to", "turns it has then", "likely time then"),
        tuple(rows),
        (3.4, 2.4, 2.2, 2.4),
        (1, 2, 3),
    )
