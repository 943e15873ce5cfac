"""A kettle whose mouth is narrower than itself: how far a coil goes through it."""

from __future__ import annotations

import math
from collections.abc import Iterable

from optichill.display import INCH, show
from optichill.model.brewhouse import Kettle
from optichill.rating.prediction import LimitLine

ONLY_JUST = 0.003
"""Less to spare than a tape tells inside a rim is said to be only just enough [m] (OWN)."""


def rounded_down(metres: float, units: str) -> str:
    """What is left of a room: never more than there is."""
    step = INCH / 16.0 if units == "us" else 1e-3
    least = step * math.floor(metres / step + 1e-6)
    return show(least, "length", units) if least > 0.0 else f"less than {show(step, 'length', units)}"


def passes(limits: Iterable[LimitLine], kettle: Kettle, units: str) -> str:
    """That a coil goes through the mouth, and with how much to spare; "" where the kettle has no narrower
    one, or it does not."""
    line = next((line for line in limits if line.name == "mouth" and line.holds), None)
    if line is None or kettle.mouth >= kettle.inside_diameter:
        return ""
    spare = rounded_down(line.margin, units)
    just = "only just " if line.margin < ONLY_JUST else ""
    first = ": measure the mouth before you buy" if just else ""
    return f"goes {just}through the mouth, {spare} to spare where the tube springs most{first}"
