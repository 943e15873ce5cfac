"""A build in a few words, and what tells it from others: turns, valve, difficulty, what it clears."""

from __future__ import annotations

from collections.abc import Sequence

from optichill.display import show, turns
from optichill.layouts import LAYOUTS
from optichill.model.coil import Coil
from optichill.model.stock import Tube
from optichill.problem.basis import DesignBasis
from optichill.report.origin import on_what_is_made
from optichill.report.turns_told import counts, turns_told
from optichill.report.words.by_hand import rough
from optichill.report.words.roll_words import lengths
from optichill.search.designs import Design
from optichill.workshop.difficulty import band


def short(design: Design, units: str) -> str:
    """A design in a few words, for a second line: rolls, layers, form diameter and turns."""
    d = design
    built = build(d.bought, d.layout, counts(d), d.across, d.valve_share, units)
    return built + on_what_is_made(d.to_make, units)


def build(
    bought: Sequence[Tube],
    layout: str,
    count: Sequence[float],
    across: float,
    share: float,
    units: str,
) -> str:
    """A build in a few words. count : turns of each layer, the outer one first; share : of the full flow
    that the valve lets through."""
    return (
        f"{kind(bought, layout, units)}, {turns_told(count)}, {rough(across, units)} across"
        f"{', valve ' + valve(share) if share < 1.0 else ''}"
    )


def kind(bought: Sequence[Tube], layout: str, units: str) -> str:
    """A build without its sizes: "15 m of 10 mm copper, two layers"."""
    tube, laid = bought[0], LAYOUTS[layout]
    return (
        f"{lengths(bought, units)} of {show(tube.outer_diameter, 'tube', units)} "
        f"{tube.material}{f', {laid.short}' if laid.layers > 1 else ''}"
    )


VALVES = {
    1.0: "open",
    3.0 / 4.0: "three quarters open",
    2.0 / 3.0: "two thirds open",
    1.0 / 2.0: "half open",
    1.0 / 3.0: "a third open",
    1.0 / 4.0: "a quarter open",
    1.0 / 5.0: "a fifth open",
}
"""Valve settings by the share of the full flow they let through."""


def valve(share: float) -> str:
    """A valve setting in words."""
    return next((word for s, word in VALVES.items() if abs(s - share) < 1e-6), f"{100.0 * share:.0f} % open")


def difficulty(score: float) -> str:
    """The band of a difficulty."""
    return str(band(score))


def beside_parts(wall_gap: float, basis: DesignBasis) -> str:
    """How the turns clear what stands out from the wall; nothing where nothing does."""
    u = basis.brewhouse.units
    parts = [p for p in basis.parts if p.where == "wall"]
    said = [f", clears the {p.what} by {rough(wall_gap - p.size, u)}" for p in parts if wall_gap > p.size]
    return "".join(said)


def small_coil(coil: Coil, units: str) -> str:
    """A coil in all sizes that its file asks for."""
    metal = coil.material
    return (
        f"{turns(coil.turns)} turns of {show(coil.outer_diameter, 'tube', units)} {metal} with a wall of "
        f"{show(coil.wall, 'wall', units)}, {show(coil.mean_diameter, 'length', units)} across from tube "
        f"centre to tube centre, a turn every {show(coil.pitch, 'gap', units)}, risers of "
        f"{show(coil.riser_length_in, 'length', units)}"
    )
