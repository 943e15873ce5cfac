"""What could be and yet is surely a slip of the pen: refused with the likely one, unless it is meant."""

from __future__ import annotations

from optichill.display import US_GALLON, show, trim

SMALLEST_BATCH = 1e-3
"""Less hot wort than this [m3] nobody chills with a coil (OWN)."""
LARGEST_BATCH = 0.2
"""More hot wort than this [m3] is more likely a slip than a household's batch (OWN)."""
LEAST_FILL = 0.01
"""Share of the kettle below which no batch is boiled in it (OWN)."""


def no_batch(volume: float, capacity: float, units: str) -> str:
    """Why a batch is taken for a slip; "" where it may be one.

    Parameters
    ----------
    volume, capacity : hot wort, and the kettle to its brim [m3].
    units : "metric" or "us".
    """
    if volume >= max(SMALLEST_BATCH, LEAST_FILL * capacity):
        return ""
    small = f"{trim(volume / US_GALLON, 4)} gal" if units == "us" else f"{trim(volume * 1e6)} mL"
    said = small if volume < SMALLEST_BATCH else show(volume, "exact_volume", units)
    more = f"; a thousand times as much would be {show(1e3 * volume, 'exact_volume', units)}"
    return f"{said} of hot wort is no batch to chill{more if 1e3 * volume <= capacity else ''}"


def too_much(volume: float, units: str) -> str:
    """Why a batch [m3] is likely a slip though its kettle holds it; "" where it is not."""
    if volume <= LARGEST_BATCH:
        return ""
    said, tenth = (show(v, "exact_volume", units) for v in (volume, volume / 10.0))
    return f"{said} of hot wort is no household's batch: is a point missing, as in {tenth}?"
