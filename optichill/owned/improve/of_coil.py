"""A second coil of the same tube inside the first, on tees or one after the other; and another coil in its
place, the first that a search through the lists finds.

Two coils one after the other are worked out as two layers of one tube: the hose between them takes the
place of the crossing underneath.
"""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np

from optichill.arrays import Array
from optichill.files.coil_file import as_written
from optichill.files.reading import with_remarks
from optichill.geometry import fit, risers
from optichill.layouts import LAYOUTS, of_traits
from optichill.model.coil import OF_TURNS, widths
from optichill.model.stock import MATCH, Tube
from optichill.owned.improve.changes import (
    COIL,
    Change,
    Edit,
    changed,
    length,
    long_length,
    table_of,
    wall,
    written_in,
)
from optichill.owned.improve.of_wort import Ways
from optichill.owned.improve.seen import Seen
from optichill.owned.outfit import outfit
from optichill.problem.basis import design_basis
from optichill.problem.bill import beyond, billed
from optichill.problem.plumbing import hoses
from optichill.problem.windings import Setups, Winding, winding_table, windings
from optichill.search.designs import Design, as_coil, designs
from optichill.search.enumeration import Tell
from optichill.search.ranking import shortlist
from optichill.search.recommend import search_space
from optichill.units import parse
from optichill.workshop import difficulty
from optichill.workshop.cost import Bill
from optichill.workshop.fittings import ARMS, PUSHED, TEES, Hoses
from optichill.workshop.lifetime import Lifetime

LAID = {of_traits(2, 2): "tees", of_traits(2, 1): "series"}
"""Layouts of two coils, and how those are joined."""


def second_coil(now: Seen) -> Ways:
    """One of the same tube, pitch and turns on the widest form that leaves it room inside."""
    coil, shop = now.coil, now.inputs.brewhouse.workshop
    if len(coil.layers) > 1 or coil.flow is not None:
        return []
    return [
        way for layout in LAID if layout in shop.layouts for way in [_second(now, layout)] if way is not None
    ]


def _second(now: Seen, layout: str) -> Change | None:
    found = _wound(now, layout)
    if found is None:
        return None
    winding, setups, D = found
    coil, tube = now.coil, winding.tube
    bill = _to_buy(now, winding, layout)
    life = now.worth.lifetime(
        build=bill.total,
        beyond=0.0,
        water=0.0,
        ice=0.0,
        difficulty=_how_hard(now, setups, D),
        roll=tube.price or 0.0,
    )
    units = written_in(table_of(coil, now.inputs.brewhouse.units), now.inputs.brewhouse.units)
    across = parse(length(D, units), "length") + coil.outer_diameter
    told = {"joined": LAID[layout], "tube": tube, "across": across, "turns": coil.turns}
    told |= {"winding": winding, "bill": bill}
    return Change("second coil", tuple(_both(now, layout, D)), told, *_bought(life, now))


def _both(now: Seen, layout: str, D: float) -> list[Edit]:
    """The lines of a coil file that hold both: the first as it is told, the second of mean diameter D [m] on
    the same pitch, as a hand can measure it."""
    coil = now.coil
    table = table_of(coil, now.inputs.brewhouse.units)
    units = written_in(table, now.inputs.brewhouse.units)
    first = {key: x for key, x in table.items() if key in OF_TURNS}
    second = {"mean_diameter": length(D, units)}
    second |= {key: x for key, x in first.items() if key not in widths(coil)}
    gone = (*OF_TURNS, "bought_length", "weight")
    edits = [Edit(COIL, "coil", key, None) for key in gone if key in coil.model_fields_set]
    written = {
        "wall": wall(coil.wall, units),
        "riser_length_in": length(coil.riser_length_in, units),
        "riser_length_out": length(coil.riser_length_out, units),
    }
    edits += [Edit(COIL, "coil", key, x) for key, x in written.items() if key not in coil.model_fields_set]
    edits += [Edit(COIL, "coil", "layout", layout), Edit(COIL, "", "coil.layer", [first, second])]
    return edits if coil.bought_length is None else _of_two_rolls(now, edits)


def _of_two_rolls(now: Seen, edits: list[Edit]) -> list[Edit]:
    """With the tube of both in place of that of the first, whose roll it was all made of."""
    then = changed(now.inputs, edits)
    if then is None or then.coil is None:
        return edits
    tubes = LAYOUTS[then.coil.layout].tubes
    both = float(Seen(then).placement.tube_length[0]) + 2.0 * tubes * risers.TRIM
    table = table_of(now.coil, now.inputs.brewhouse.units)
    written = long_length(both, written_in(table, now.inputs.brewhouse.units))
    return [*(e for e in edits if e.key != "bought_length"), Edit(COIL, "coil", "bought_length", written)]


def _how_hard(now: Seen, setups: Setups, D: float) -> Array:
    """Difficulty of winding it [0-10]."""
    coil = now.coil
    turns = coil.turns * math.hypot(math.pi * D, coil.pitch)
    one = risers.tube_length(turns, coil.riser_length_in + coil.riser_length_out)
    inside = now.inputs.brewhouse.workshop.riser == "inside"
    job = setups.job(slice(None), one, coil.pitch - coil.outer_diameter, inside)
    return difficulty.score(difficulty.difficulty_terms(job))


def _to_buy(now: Seen, w: Winding, layout: str) -> Bill:
    """What the second takes beside all that the first has about it."""
    coil, tees = now.coil, LAYOUTS[layout].tees
    layers = [(coil.turns, coil.pitch)] * 2
    both = billed(now.basis, w.tube, w.tool, [w.form], 2, [w.tube], coil.lowest_turn_height, layers)
    there = outfit(now.basis, coil, feet=True, pumps=True)
    return beyond(both if tees else _joined_by_a_hose(both, hoses(now.basis)), there)[0]


def _joined_by_a_hose(on_tees: Bill, plumbed: Hoses) -> Bill:
    """The bill of two coils one after the other, from that of the same two on tees: no tees and no clamps of
    theirs, and in place of the hoses to them one from end to end, of that which stands the hot water."""
    tees = [item for item in on_tees.items if item.part == "tee"]
    teed = "tee" in on_tees.missing or any(item.joint in ("", PUSHED, "barb") for item in tees)
    spared = {"clamp": TEES * ARMS if teed else 0.0, "inlet hose": 2.0 * plumbed.arm}
    items = []
    for item in on_tees.items:
        left = item.quantity - spared.get(item.part, 0.0)
        if item.part != "tee" and left > 1e-9:
            items.append(replace(item, quantity=left, price=item.price * left / item.quantity))
    missing = tuple(what for what in on_tees.missing if what != "tee")
    return replace(on_tees, items=tuple(items), missing=missing)


def _bought(life: Lifetime, now: Seen) -> tuple[float, float, float]:
    """What a build costs, its hours, and what it may spoil."""
    build, work, spoilt = (float(np.ravel(x)[0]) for x in (life.build, life.work, life.spoiling))
    return build, work / max(now.worth.hour, 1e-9), spoilt


def _wound(now: Seen, layout: str) -> tuple[Winding, Setups, float] | None:
    """The roll on its form, the set-up and the mean diameter of the widest that goes inside, which its bottom
    riser must pass."""
    coil, basis = now.coil, now.basis
    R_b = float(now.shape.R_b[0])
    for tube in _rolls(now):
        there = windings(basis, tube=tube.stock_id)
        table = winding_table(there, basis)
        room = fit.layer_gap(table.D_c, coil.mean_diameter, coil.outer_diameter)
        passes = fit.layer_gap_for_riser(
            table.D_c, R_b, coil.outer_diameter, basis.brewhouse.workshop.riser == "inside", coil.pitch
        )
        wound = math.hypot(math.pi * coil.mean_diameter, coil.pitch)
        long = coil.turns * np.hypot(np.pi * table.D_c, coil.pitch) + 0.5 * wound
        takes = long + coil.riser_length_in + coil.riser_length_out + 2.0 * risers.TRIM
        tall = (coil.turns + 0.5) * coil.outer_diameter
        fits = (room >= passes) & (takes <= tube.length) & (table.form_height >= tall) & ~table.packed
        fits &= table.by_hand | (table.R_b >= table.R_b_least)
        if LAYOUTS[layout].tees:
            fits &= table.tees
        if fits.any():
            best = int(np.argmax(np.where(fits, table.D_c, 0.0)))
            number = np.array([list(LAYOUTS).index(of_traits(1, 1))], dtype=np.int8)
            one = np.array([best])
            return there[best], Setups(table, one, one, number), float(table.D_c[best])
    return None


def _rolls(now: Seen) -> list[Tube]:
    """Rolls of the same tube in the lists, the cheapest first; what is owned may be the coil itself."""
    coil = now.coil
    alike = [
        t
        for t in now.inputs.stock.tubing
        if t.windable
        and t.material == coil.material
        and abs(t.outer_diameter - coil.outer_diameter) <= MATCH
        and abs(t.wall - coil.wall) <= MATCH
        and t.price
    ]
    return sorted(alike, key=lambda t: (t.price or 0.0, t.stock_id))


# --- another in its place -----------------------------------------------------------------------------


def another_coil(now: Seen, tell: Tell | None = None) -> tuple[Change, Seen] | None:
    """The coil that a search finds first, and what it does; None where nothing fits. What the first has about
    it serves again. Its file is what the command in `recommend` writes."""
    found = first_found(now, tell)
    if found is None:
        return None
    coil = as_written(as_coil(found))
    to_buy, _ = beyond(found.bill, outfit(now.basis, now.coil, pumps=True))
    life = replace(found.life, build=np.asarray(to_buy.total))
    change = Change("another coil", (), {"design": found}, *_bought(life, now))
    return change, Seen(with_remarks(replace(now.inputs, coil=coil)))


def first_found(now: Seen, tell: Tell | None) -> Design | None:
    """The first place of a search."""
    searched = search_space(design_basis(now.inputs), tell=tell)
    front, ranking = searched.front, searched.ranking
    if front is None or ranking is None:
        return None
    first = shortlist(front, ranking, 1)
    (found,) = designs(
        searched.enumeration.space, front.number[first.entry], ranking.levels, first.near_variants
    )
    return found
