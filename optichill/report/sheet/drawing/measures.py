"""What the drawings tell: the measures, each with a name of its own where it has turned negative."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, fields
from typing import Any

from optichill.fabrication.scene import Scene, outermost

Length = Callable[[float], str]
SMALLEST = (300.0, 220.0)


@dataclass(frozen=True)
class Measures:
    """The asked measures [m]. across, top, bottom: of all turns with the tube; the rest may be negative."""

    across: float
    free: float
    top: float
    bottom: float
    wall_gap: float
    cover: float
    rim: float
    off: float = 0.0


TOLD = 0.001
"""A coil that stands less off the middle than that stands in it, for a hand [m] (OWN)."""


def stands_off(scene: Scene, length: Length) -> str:
    """That a coil that is drawn in the middle stands beside it; "" where it does not."""
    if scene.off < TOLD:
        return ""
    return f"drawn in the middle, stands {length(scene.off)} off it, away from {outermost(scene).name}"


def measures(scene: Scene) -> Measures:
    across = max(h.mean_diameter for h in scene.helices) + scene.d_o
    top = max(h.lowest + h.turns * h.pitch for h in scene.helices) + scene.d_o / 2.0
    return Measures(
        across=across,
        free=min(h.mean_diameter for h in scene.helices) - scene.d_o,
        top=top,
        bottom=min(h.lowest for h in scene.helices) - scene.d_o / 2.0,
        wall_gap=(scene.kettle_diameter - across) / 2.0,
        cover=scene.cold - top,
        rim=scene.kettle_height - scene.hot,
        off=scene.off,
    )


def checked(scene: Scene, width: float, height: float) -> None:
    """Raises ValueError for what cannot be pens."""
    if not (width >= SMALLEST[0] and height >= SMALLEST[1]):
        least = "{:g} x {:g} pt".format(*SMALLEST)
        raise ValueError(f"a drawing of {width:g} x {height:g} pt: allowed from {least}")
    if not scene.helices:
        raise ValueError("scene.helices is empty: allowed one layer of turns or more")
    for name in ("kettle_diameter", "kettle_height", "mouth", "d_o"):
        if not 0.0 < getattr(scene, name) < math.inf:
            raise ValueError(f"scene.{name} = {getattr(scene, name)}: allowed a finite length above 0 m")
    things: list[Any] = [scene, *scene.helices, *scene.risers, *scene.parts]
    for thing in things:
        for field in fields(thing):
            value = getattr(thing, field.name)
            if isinstance(value, float) and not math.isfinite(value):
                raise ValueError(f"{type(thing).__name__}.{field.name} = {value}: allowed a finite number")


def signed(value: float, plain: str, turned: str, length: Length) -> tuple[str, str]:
    """Name and value of a measure that has another name when it is negative."""
    return (plain if value >= 0.0 else turned), length(abs(value))


def cover_room(sizes: Measures, length: Length) -> tuple[str, str]:
    return signed(sizes.cover, "cold wort over turns", "turns out of cold wort", length)


def rim_room(sizes: Measures, length: Length) -> tuple[str, str]:
    return signed(sizes.rim, "rim above hot wort", "hot wort over the rim", length)


def wall_room(sizes: Measures, length: Length) -> tuple[str, str]:
    name = "gap to the wall, in the middle" if sizes.off >= TOLD else "gap to the wall"
    return signed(sizes.wall_gap, name, "too wide, each side", length)
