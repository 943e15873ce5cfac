"""How far the coil of a file may be from the one that was drawn, for a file has its sizes to 0.01 mm."""

from __future__ import annotations

import math

from optichill.fabrication.work_plan import WorkPlan
from optichill.files.coil_file import ASIDE
from optichill.model.coil import Coil
from optichill.workshop.difficulty import WEIGHTS

SIZE = 0.5e-5 + ASIDE
"""Of one size [m]: half of the last digit, and as much as digits are cut aside of where sizes stand."""


def turns_off(coil: Coil) -> float:
    """Of the tube in its turns [m]. A turn is l = sqrt((pi D)^2 + p^2) long, so dl = (pi^2 D dD + p dp)/l, of
    which the first is at most pi dD, the second p/(pi D) dp."""
    each = (x.turns * (math.pi + x.pitch / (math.pi * x.mean_diameter)) for x in coil.layers)
    return SIZE * sum(each)


def tube_off(coil: Coil) -> float:
    """Of all its tube [m]: its turns, and a riser at each end."""
    return turns_off(coil) + 2.0 * SIZE


def difficulty_off(plan: WorkPlan) -> float:
    """Of how hard it is, 10 (1 - prod(1 - w s)) with every w s from 0 to 1, so at most 10 w ds for each s.

    The tube's length follows from a file's sizes, s = (L - 5 m)/25 m. So does the diameter of a layer that is
    wound over strips, hence its springback: s = (100 g - 1)/7 of g = 1/k - 1, for which k = 1 - x with x in
    proportion to D holds to a few per cent, so dg = g (1 + g) dD/D."""
    off = WEIGHTS["length"] * tube_off(plan.coil) / 25.0
    for layer in plan.layers:
        if layer.on_strips:
            g = 1.0 / layer.k - 1.0
            off += WEIGHTS["springback"] * 100.0 / 7.0 * g * (1.0 + g) * SIZE / layer.diameter
    return 10.0 * off
