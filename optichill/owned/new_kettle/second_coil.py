"""A second coil beside the one that exists: both on tees outside the kettle, one standing in the other.

The second is wound of the lists, of the same tube: the two share the flow by their lengths. In series the
water would go through both one after the other, and the tap push it through twice the tube.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from optichill.arrays import Mask
from optichill.geometry import fit, helix, risers, springback
from optichill.layouts import LAYOUTS, of_traits
from optichill.model.coil import Coil, CoilLayer
from optichill.model.stock import Form, Tube
from optichill.owned.new_kettle import kept_coil
from optichill.owned.new_kettle.kept_options import Kept
from optichill.owned.new_kettle.option import LeftOut, Option, Work, worked_out
from optichill.owned.new_kettle.rolls import like
from optichill.owned.outfit import outfit
from optichill.problem.basis import DesignBasis
from optichill.problem.bill import beyond, billed
from optichill.problem.placement import Shape, place_coils
from optichill.problem.riser_tools import RiserTool, riser_tools
from optichill.problem.windings import Setups, Windings, WindingTable, winding_table
from optichill.problem.worth import worth_of
from optichill.rating.coil_rating import placed
from optichill.rating.stood import basis_for
from optichill.workshop import difficulty

PAIR, SERIES = of_traits(2, 2), of_traits(2, 1)
"""The layouts as which the two are reckoned."""

WINDS = 1.0
"""Winding margin that a second coil must have: what wants filling or a roller is no quick addition (OWN)."""

FINALISTS = 3
"""Pairs that are worked out in full."""


@dataclass(frozen=True)
class Second:
    """The coil to be wound. tube, tool, form : of the lists; layer : its turns; risers [m]; cut : its tube
    [m], spare : more of it that is wound; hard : how hard it is to wind, its tees with it [0-10]."""

    tube: Tube
    tool: RiserTool
    form: Form
    layer: CoilLayer
    risers: tuple[float, float]
    cut: float
    spare: float
    hard: float


def pair(of: Kept, base: Option | LeftOut) -> Option | LeftOut:
    """The best second coil beside the first where that stands as `base`."""
    if isinstance(base, LeftOut):
        return LeftOut("pair", "not_main", of=base.why)
    if len(of.coil.layers) > 1:
        return LeftOut("pair", "two_already")
    if PAIR not in of.new.brewhouse.workshop.layouts:
        return LeftOut("pair", "not_wanted")
    tubes = like(of.new.stock, of.coil)
    if not tubes:
        return LeftOut("pair", "no_tube")
    worth, seen, fits = worth_of(of.new), [], False
    for second in _seconds(of.new, base.coil, tubes):
        coil = together(base.coil, second)
        if not _goes_in(of.new, coil):
            continue
        time, fits = of.time_of(coil), True
        if time < np.inf:
            waiting = worth.batches * worth.waiting * max(time - worth.good_time, 0.0) / 3600.0
            seen.append((waiting + second.tube.cost + second.form.cost, time, second, coil))
    if not seen:
        return LeftOut("pair", "target" if fits else "no_room")
    seen.sort(key=lambda one: one[:2])
    tried = [_worked_out(of, base, second, coil) for _, _, second, coil in seen[:FINALISTS]]
    return min(tried, key=lambda option: (not option.holds, float(option.life.total)))


def _worked_out(of: Kept, base: Option, second: Second, coil: Coil) -> Option:
    """With what has to be bought beside the old coil's outfit, and the work of the second one."""
    layers = [(layer.turns, layer.pitch) for layer in coil.layers]
    there = basis_for(of.new, coil)
    bill = billed(
        there, second.tube, second.tool, [second.form], 2, [second.tube], coil.lowest_turn_height, layers
    )
    held = base.sizes.get("moved", float(base.name != "keep")) == 0.0  # its feet or hooks serve on
    bill, reused = beyond(bill, outfit(there, base.coil, feet=held))
    left = second.tube.length - second.cut - second.spare
    # What is left of the roll makes the old coil's risers longer; feet are of both, pumps of the plan.
    shared = {"feet wire", "pump"} | ({"roll"} if base.sizes.get("tube", 0.0) <= left else set())
    first = tuple(item for item in base.bill.items if item.part not in shared)
    hard = max(second.hard, base.work.difficulty or 0.0)
    work = Work(base.work.hours, hard, second.tube.price or 0.0)
    sizes = {
        "turns": second.layer.turns,
        "across": second.layer.mean_diameter + coil.outer_diameter,
        "gap": second.layer.pitch - coil.outer_diameter,
        "tube": second.cut,
        "inside": float(second.layer.mean_diameter < of.coil.mean_diameter),
        "form": second.form.outer_diameter,
        "series": of.time_of(in_series(coil)),
        "tees": of.time_of(coil),
    }
    sizes |= {} if base.near_top is None else of.near_top(coil)
    form = second.form.description or second.form.form_id
    texts = {"form": form, "first": base.name, "roll": second.tube.stock_id, **_more_tube(base)}
    bill = replace(bill, items=(*first, *bill.items))
    return worked_out("pair", of.new, coil, bill, work, reused=reused, sizes=sizes, texts=texts)


def _more_tube(base: Option) -> dict[str, str]:
    """The roll that makes the first coil's risers longer, where one is bought for that."""
    return {"first_roll": base.texts["roll"]} if "roll" in base.texts else {}


def in_series(coil: Coil) -> Coil:
    """The two as one long tube, as far as their chill goes."""
    return coil.model_copy(update={"layout": SERIES})


def _goes_in(basis: DesignBasis, coil: Coil) -> bool:
    """Whether both have room, beside each other too."""
    return not kept_coil.hindrances(basis, coil)


def together(first: Coil, second: Second) -> Coil:
    """Both as one file has them: it knows one length for each end, and the mean keeps the whole."""
    mine = CoilLayer(
        mean_diameter=first.mean_diameter, pitch=first.pitch, turns=first.turns, form_id=first.form_id
    )
    layers = sorted((mine, second.layer), key=lambda layer: -layer.mean_diameter)
    old = (first.riser_length_in, first.riser_length_out)
    means = [(a + b) / 2.0 for a, b in zip(old, second.risers, strict=True)]
    # Both tubes are told as they are, for one is there already: no one roll gives them.
    whole = (first.bought_length or float(risers.tube_length(first.takes, 0.0))) + second.cut
    coil = kept_coil.of_layers(
        first,
        layers,
        layout=PAIR,
        riser_length_in=means[0],
        riser_length_out=means[1],
        riser_bend_radius=second.tool.radius,
        stock_id=second.tube.stock_id,
        form_id=layers[0].form_id,
        flow=None,
        bought_length=whole,
    )
    return kept_coil.in_a_file(coil)


# --- which second coils there are ---------------------------------------------------------------------------


def _seconds(basis: DesignBasis, first: Coil, tubes: list[Tube]) -> Iterator[Second]:
    """Every second coil that may be wound: of each roll, on each form that leaves the room between both."""
    forms = [form for form in basis.stock.forms if form.open_end]
    if basis.brewhouse.workshop.forms_owned_only:
        forms = [form for form in forms if form.owned]
    for tube in tubes:
        tool = _tool(tube, first, basis)
        every = np.arange(len(forms))
        table = winding_table(
            Windings(((tube, tool),), tuple(forms), 0 * every, every, 0 * every, len(forms)), basis
        )
        setups = Setups(
            table, every, every, np.full(every.size, list(LAYOUTS).index(of_traits(1, 1)), np.int8)
        )
        for place in np.flatnonzero((setups.rho(every) >= WINDS) & _beside(basis, first, table)).tolist():
            yield from _of_form(basis, first, tube, tool, forms[place], table, setups, place)


def _tool(tube: Tube, first: Coil, basis: DesignBasis) -> RiserTool:
    """The tool whose bends are most like those of the first."""
    tools = [tool for tool in riser_tools(tube, basis.stock) if tool.holds]
    tools = tools or list(riser_tools(tube, basis.stock)[:1])
    R_b = first.riser_bend_radius
    return min(
        tools, key=lambda tool: (abs(tool.radius - (R_b or tool.radius)), tool.to_pay, tool.description)
    )


def _beside(basis: DesignBasis, first: Coil, table: WindingTable) -> Mask:
    """Which windings leave the room that two coils need, for the riser between them too."""
    d_o, D = first.outer_diameter, first.mean_diameter
    inside = basis.brewhouse.workshop.riser == "inside"
    inner, outer = np.minimum(table.D_c, D), np.maximum(table.D_c, D)
    room = fit.layer_gap(inner, outer, d_o)
    riser = fit.layer_gap_for_riser(inner, table.R_b, d_o, inside, first.pitch)
    wall = fit.wall_gap(basis.brewhouse.kettle.inside_diameter, outer, d_o)
    free = np.where(table.D_c > D, wall >= basis.brewhouse.kettle.wall_clearance, True)
    return np.asarray((room >= np.maximum(fit.LAYER_GAP, riser)) & free)


PITCHES = (1.5, 2.0)
"""Pitches of the second coil, in outside diameters, beside that of the first (OWN)."""


def _of_form(
    basis: DesignBasis,
    first: Coil,
    tube: Tube,
    tool: RiserTool,
    form: Form,
    table: WindingTable,
    setups: Setups,
    place: int,
) -> Iterator[Second]:
    """On one form, at a few pitches: as many turns as roll, form and wort allow."""
    d_o, D, shop = tube.outer_diameter, float(table.D_c[place]), basis.brewhouse.workshop
    tall = _room(basis, first)
    spare = 0.5 * np.pi * (form.outer_diameter + d_o)
    for pitch in sorted({first.pitch, d_o + shop.smallest_gap, *(s * d_o for s in PITCHES)}):
        if pitch < d_o + shop.smallest_gap - 1e-9:
            continue
        turn = float(helix.turn_length(D, pitch))
        for turns in risers.turn_choices(shop.riser_sides, 2.0, tall / pitch)[::-1].tolist():
            ends = _risers(basis, tube, D, pitch, turns, tool, first.lowest_turn_height)
            cut = float(risers.tube_length(turns * turn, sum(ends)))
            k = float(table.springback[place])
            needed = float(springback.form_height_needed(turns, k, d_o))
            if cut + spare <= tube.length and needed <= form.height:
                layer = CoilLayer(mean_diameter=D, pitch=pitch, turns=turns, form_id=form.form_id)
                hard = _hard(setups, place, cut, pitch - d_o, shop.riser == "inside")
                yield Second(tube, tool, form, layer, ends, cut, spare, hard)
                break


def _room(basis: DesignBasis, first: Coil) -> float:
    """How tall turns beside the first may be, with all that is wished for over them [m]: whatever the first
    itself is short of, for a new one is wound a turn shorter. The wort that it displaces is to spare."""
    level = float(placed(basis, first)[1].cold_level[0])
    over = basis.brewhouse.kettle.top_clearance + first.outer_diameter / 2.0
    return level - over - first.lowest_turn_height


def _risers(
    basis: DesignBasis, tube: Tube, D: float, pitch: float, turns: float, tool: RiserTool, lowest: float
) -> tuple[float, float]:
    """Both risers of a coil of one layer at this height [m]."""
    bore = float(helix.inside_diameter(tube.outer_diameter, tube.wall))
    columns = (tube.outer_diameter, bore, D, pitch, turns, tool.radius)
    there = place_coils(basis, Shape(*(np.array([value]) for value in columns)), lowest)
    return float(there.riser_in[0]), float(there.riser_out[0])


def _hard(setups: Setups, place: int, length: float, gap: float, inside: bool) -> float:
    """How hard one coil is, with the joints of two on tees [0-10]."""
    at = np.array([place])
    job = setups.job(at, length, gap, inside)
    job = replace(job, joints=setups.get("joints_two", at))
    return float(difficulty.score(difficulty.difficulty_terms(job))[0])
