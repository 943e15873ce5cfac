"""A coil in its kettle as the page draws it: from the side, in metres."""

from __future__ import annotations

import math
from typing import Any, NamedTuple

from optichill.fabrication import clocking
from optichill.geometry.risers import ABOVE_RIM, passing_riser_axis_radius, riser_axis_radius
from optichill.layouts import LAYOUTS
from optichill.problem.basis import DesignBasis
from optichill.report.words import by_hand
from optichill.search.designs import Design


def scene(d: Design, basis: DesignBasis) -> dict[str, dict[str, Any]]:
    """The coil in its kettle, seen from the side with the first IN riser on the left, in metres: what is the
    kettle's, the same for every coil, and what is the coil's own."""
    kettle, shop, u = basis.brewhouse.kettle, basis.brewhouse.workshop, basis.brewhouse.units
    layers = [D for D in (d.mean_diameter, d.inner_diameter) if D is not None]
    end, rim = kettle.inside_diameter / 2.0 + shop.over_the_rim, kettle.inside_height + ABOVE_RIM
    return {
        "kettle": {
            "D": _place(kettle.inside_diameter),
            "H": _place(kettle.inside_height),
            "mouth": _place(kettle.mouth),
            "rests": kettle.coil_rests,
            "parts": [vars(part) for part in basis.parts],
        },
        "coil": {
            "hot": _place(d.hot_level),
            "cold": _place(d.cold_level),
            "d_o": _place(d.winding.tube.outer_diameter),
            "layers": [
                {"D": _place(D), "p": round(pitch, 5), "N": round(turns, 3), "low": _place(d.lowest)}
                for D, (turns, pitch) in zip(layers, d.layers, strict=True)
            ],
            "risers": [
                {
                    "name": riser.name,
                    "x": _place(riser.x),
                    "foot": _place(riser.foot),
                    "top": _place(rim),
                    "reach": _place(math.copysign(end, riser.x)),
                    "bend": _place(d.winding.tool.radius),
                }
                for riser in _risers(d)
            ],
            "labels": {
                "across": by_hand.rough(d.across, u),
                "height": by_hand.rough(d.height, u),
                "wall": by_hand.rough(d.wall_gap, u),
            },
        },
    }


def _place(metres: float) -> float:
    """A coordinate [m], to 0.1 mm."""
    return round(metres, 4)


class _Riser(NamedTuple):
    """One riser from the side: where it leaves the turns, and stands; angle [rad] seen from above."""

    name: str
    foot: float
    radius: float
    angle: float

    @property
    def x(self) -> float:
        return self.radius * math.cos(self.angle)


def _risers(d: Design) -> list[_Riser]:
    """The risers, named as on the sheet: those of the inner of two tubes turned well clear of the outer's."""
    R_b = d.winding.tool.radius
    R, R_in = d.mean_diameter / 2.0, (d.inner_diameter or 0.0) / 2.0
    tops = [d.lowest + turns * pitch for turns, pitch in d.layers]
    if LAYOUTS[d.layout].crossing:
        out = clocking.nested_from_in_to_out(d.turns + d.own_turns, R_in, R, R_b)
        ends = (("IN", R_in, tops[-1], math.pi), ("OUT", R, tops[0], math.pi + out))
        return [_Riser(name, top, float(riser_axis_radius(x, R_b)), angle) for name, x, top, angle in ends]

    def of_tube(R_c: float, turned: float, layer: int, number: str = "") -> list[_Riser]:
        turns, pitch = d.layers[layer]
        low = float(passing_riser_axis_radius(R_c, R_b, d.winding.tube.outer_diameter, pitch))
        out = turned + clocking.from_in_to_out(turns, R_c, R_b)
        return [
            _Riser(f"IN{number}", d.lowest, low, turned),
            _Riser(f"OUT{number}", tops[layer], float(riser_axis_radius(R_c, R_b)), out),
        ]

    outer = of_tube(R, math.pi, 0)
    if not R_in:
        return outer
    ways = [of_tube(R_in, clocking.WHOLE * n / 24.0, 1, " 2") for n in range(24)]
    clear = [min(clocking.apart(a.angle - b.angle) for a in way for b in outer) for way in ways]
    return outer + ways[clear.index(max(clear))]
