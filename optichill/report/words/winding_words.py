"""What a coil is wound on, layer by layer, and with what its risers are bent."""

from __future__ import annotations

from optichill.display import show
from optichill.layouts import LAYOUTS
from optichill.problem.windings import PACKING, Winding
from optichill.search.designs import Design


def forms(d: Design, units: str) -> str:
    """What it is wound on: one form, or one for each layer."""
    if d.inner is None:
        return f"wound on {on(d.winding, units)}"
    one = one_of_two(d.layout)
    return f"inner {one} on {on(d.inner, units)}, outer {one} {outer_on(d, units)}"


def one_of_two(layout: str) -> str:
    """What each of two is called: two tubes are coils, two layers of one tube are layers."""
    return "coil" if LAYOUTS[layout].tees else "layer"


def outer_on(d: Design, units: str) -> str:
    """What the outer or only layer is wound on."""
    if not LAYOUTS[d.layout].crossing:
        return f"on {on(d.winding, units)}"
    across = d.winding.form.outer_diameter + 2.0 * PACKING * d.winding.wraps
    return f"over strips to {show(across, 'length', units)} across"


def on(w: Winding, units: str) -> str:
    """What it is wound on, with its article: of a form that has to be made nobody knows which."""
    if w.form.made:
        return f"a form of {show(w.form.outer_diameter, 'length', units)} across, to be made"
    return f"the {form(w, units)}"


def form(w: Winding, units: str) -> str:
    """What it is wound on, with packing and ownership."""
    name = w.form.description.split(";")[0].split(",")[0] or w.form.form_id
    size = show(w.form.outer_diameter, "length", units)
    packed = {0: "", 1: ", packed out once with ", 2: ", packed out twice with "}[w.wraps]
    packing = f"{packed}{card(units)}" if packed else ""
    yours = "you own" if w.form.owned else "to buy"
    return f"{name} ({size} across, {yours}){packing}"


def card(units: str) -> str:
    """The card that a form is packed out with."""
    return "1/8 in card" if units == "us" else "3 mm card"


def bent(w: Winding) -> str:
    """With what the risers are bent."""
    if w.tool.bender is None:
        return "bent by hand"
    return {"spring": "bending spring", "hand": "disc to bend round"}.get(w.tool.kind, "lever bender")


def tool(w: Winding) -> str:
    """How the risers are bent."""
    if w.tool.bender is None:
        return bent(w)
    if w.tool.kind == "hand":
        return f"bent by hand round a disc ({'yours' if w.tool.owned else 'to buy'})"
    return f"bent with a {bent(w)} ({'yours' if w.tool.owned else 'to buy'})"
