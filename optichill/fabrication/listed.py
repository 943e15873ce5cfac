"""What the lists have of a coil: its tube, the tool that bends its risers, and where lists and coil file
disagree.

A bender, spring or hand that the list does not have makes a sheet with a warning; a radius that no lever
bender may have in this tube stops it.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from optichill.display import show
from optichill.fabrication.wound_layer import SAME_FORM, WoundLayer
from optichill.geometry import riser_bends, risers
from optichill.layouts import LAYOUTS
from optichill.model.coil import Coil
from optichill.model.stock import MATCH, WALL_SEEN, Stock, Tube
from optichill.problem.basis import DesignBasis
from optichill.problem.riser_tools import RiserTool, riser_tools


def listed_tube(stock: Stock, coil: Coil) -> tuple[Tube, bool]:
    """The tube of the list, or one as the coil file tells it."""
    name = coil.stock_id if coil.stock_id in coil.stock_ids else coil.stock_ids[0]
    named = stock.tube(name) if name else None
    if named is not None and _same_tube(named, coil):
        return named, True
    alike = [t for t in stock.tubing if name is None and _same_tube(t, coil)]
    if alike:
        takes = coil.bought_length or _takes(coil)

        def worse(t: Tube) -> tuple[bool, float, float, str]:
            return t.temper != "annealed", max(takes - t.length, 0.0), t.cost, t.stock_id

        return min(alike, key=worse), True
    told = Tube(
        stock_id=name or "as drawn",
        material=coil.material,
        temper="annealed",
        outer_diameter=coil.outer_diameter,
        wall=coil.wall,
        length=coil.bought_length or 100.0,
        owned=True,
    )
    return told, False


def cut_from(stock: Stock, coil: Coil, tube: Tube, listed: bool) -> tuple[Tube, ...]:
    """The roll that each tube of the coil is cut from, of two the outer one's first: that of the coil, or
    another of the same size that its layer names."""
    if LAYOUTS[coil.layout].tubes == 1:
        return (tube,)
    named = [stock.tube(name) if name and listed else None for name in coil.stock_ids]
    return tuple(other if other is not None and _same_size(other, tube) else tube for other in named)


def _same_size(other: Tube, tube: Tube) -> bool:
    return (other.material, other.temper) == (tube.material, tube.temper) and all(
        abs(mine - its) <= MATCH
        for mine, its in ((tube.outer_diameter, other.outer_diameter), (tube.wall, other.wall))
    )


def _takes(coil: Coil) -> float:
    """Tube that one roll must give [m]: of two tubes the longer, trim and half a turn to spare with it."""
    riser_tube = coil.riser_length_in + coil.riser_length_out + 2.0 * risers.TRIM
    each = [layer.length + 0.5 * np.pi * layer.mean_diameter for layer in coil.layers]
    return (max(each) if LAYOUTS[coil.layout].tubes > 1 else sum(each)) + riser_tube


def _same_tube(tube: Tube, coil: Coil) -> bool:
    return (
        tube.material == coil.material
        and abs(tube.outer_diameter - coil.outer_diameter) <= MATCH
        and abs(tube.wall - coil.wall) <= MATCH
    )


def listed_tool(basis: DesignBasis, tube: Tube, coil: Coil) -> tuple[RiserTool, bool]:
    """The tool whose bend the coil file asks for, and whether there is one. Where the file tells none, that
    at hand, with bends no wider than the risers have room for: those of a coil that exists came out
    somehow."""
    ways = riser_tools(tube, basis.stock)
    R_b = coil.riser_bend_radius
    if R_b is None:
        tallest = max(layer.turns * layer.pitch for layer in coil.layers)
        climb = basis.brewhouse.kettle.inside_height + risers.ABOVE_RIM - coil.lowest_turn_height - tallest
        room = max(0.45 * climb, tube.outer_diameter)
        return (ways[0] if ways[0].radius <= room else replace(ways[0], radius=room, smallest=0.0)), True
    by_hand = next((t for t in ways if t.kind == "hand" and t.smallest <= R_b), None)
    found = [t for t in ways if abs(t.radius - R_b) <= MATCH]
    if found:
        return found[0], True
    if by_hand is not None:  # round a wider disc than need be
        return replace(by_hand, radius=R_b), True
    least = float(riser_bends.riser_bend_minimum(tube.outer_diameter, tube.wall, tube.metal, "lever"))
    unknown = RiserTool("lever", R_b, least, 0.0, False, "a bender of this radius", None)
    return unknown, False


def disagreements(
    stock: Stock, coil: Coil, tube: Tube, layers: tuple[WoundLayer, ...], units: str
) -> tuple[str, ...]:
    """Names of the coil file that the lists have for something else (that they do not have one says the coil
    file's own check)."""
    said = []
    named = stock.tube(coil.stock_id) if coil.stock_id else None
    if named is not None and named is not tube:
        said.append(f"stock_id {coil.stock_id} is another tube: the sizes of the coil file are taken")
    for own in dict.fromkeys(layer.stock_id for layer in coil.layers if layer.stock_id):
        other = stock.tube(own)
        if other is not None and not _same_size(other, tube):
            said.append(f"stock_id {own} of a layer is another tube: both are cut from {tube.stock_id}")
    if named is None and abs(tube.wall - coil.wall) > WALL_SEEN:
        mine, listed = (show(wall, "wall", units) for wall in (coil.wall, tube.wall))
        said.append(
            f"the coil's wall is {mine}, that of {tube.stock_id} in tubing.csv {listed}: the sheet "
            "is made for the tube of the list"
        )
    for layer, name in zip(layers, coil.form_ids, strict=True):
        if name and stock.form(name) and (layer.form is None or layer.form.form_id != name):
            said.append(f"form_id {name} is of another diameter, or too short: another is taken")
    for layer, size in zip(layers, coil.forms_to_make, strict=True):
        if size is not None and abs(layer.D_form - size) > SAME_FORM:
            told, taken = (show(x, "length", units) for x in (size, layer.D_form))
            said.append(f"form_to_make is {told}, but turns of this diameter come off one of {taken}")
    return tuple(said)
