"""What a bill leaves out, and what to ask for in a shop."""

from __future__ import annotations

from optichill.display import show
from optichill.model.brewhouse import Brewhouse
from optichill.model.stock import Stock
from optichill.problem.basis import DesignBasis
from optichill.workshop.cost import Bill
from optichill.workshop.fittings import SAME_BORE, TEES, fits_tube, joins


def not_counted(bill: Bill, basis: DesignBasis) -> list[tuple[str, str]]:
    """What a bill leaves out: each with how much of it, where that is known."""
    brewhouse, out = basis.brewhouse, []
    if bill.missing and not basis.stock.fittings:
        out.append(("hoses and ends are not in it: no fittings list", ""))
    else:
        out += _no_fitting(bill, basis) if bill.missing else []
        out += [(wire, "") for wire in wire_not_counted(brewhouse, basis.stock)]
    for coil in (stage.precooler for stage in brewhouse.cooling):
        if coil is not None:
            size = show(coil.outer_diameter, "tube", brewhouse.units)
            length = show(coil.takes, "long_length", brewhouse.units)
            out.append((f"the coil in the ice is not counted: {size} {coil.material}", length))
    return out


def of_a_coil_beside(bill: Bill, basis: DesignBasis) -> list[str]:
    """The same of a coil that is added to one that exists: only what the new one needs."""
    if not bill.missing:
        return []
    if not basis.stock.fittings:
        return ["ends, tees and hoses are not in it: no fittings list"]
    return [what for what, _ in _no_fitting(bill, basis)]


def wire_not_counted(brewhouse: Brewhouse, stock: Stock) -> list[str]:
    """Wire that every build takes and the list of fittings has no row for."""
    needed = {"turns": "wire to lace the turns"}
    if brewhouse.kettle.coil_rests != "floor":
        needed["feet"] = "wire for hooks" if brewhouse.kettle.coil_rests == "hangs" else "wire for feet"
    there = {f.used_at for f in stock.fittings}
    return [
        f"{wire}: not counted, fittings.csv has no row with used_at {place}"
        for place, wire in needed.items()
        if stock.fittings and place not in there
    ]


def _no_fitting(bill: Bill, basis: DesignBasis) -> list[tuple[str, str]]:
    """Fittings that the list does not have: where they go, a line that does not fit, what to ask for."""
    u, bore, out = basis.brewhouse.units, basis.brewhouse.hose_bore, list[tuple[str, str]]()
    tube, hose = show(bill.d_o, "tube", u), show(bore, "tube", u)
    if "tee" in bill.missing:
        out.append((f"{TEES} tees with barbs for {hose} hose: fittings.csv has no row with used_at tee", ""))
    ends = [place for place in bill.missing if place.endswith(HOSE)]
    places = [place for place in bill.missing if place not in ("clamp", "lacing", "tee", *ends)]
    if places:
        said = f"no fitting of your list fits this tube: what goes at {' and '.join(places)} is not in it"
        loose = [
            row
            for row in basis.stock.fittings
            if row.joint and fits_tube(row, bill.d_o) and not joins(row, bill.d_o, bore)
        ]
        for row in loose[:1]:
            of = f"fittings.csv:{row.line}" if row.line else f"fitting {row.fitting_id}"
            said += f" ({of}: {_why_not(row.bore, bill.d_o, bore, u)})"
        if "inlet" in places or "outlet" in places:
            said += f"; ask for a compression end for {tube} tube with a barb for {hose} hose"
        out.append((said, ""))
    if "clamp" in bill.missing:
        clamps = f"clamps for {hose} hose on barbs: fittings.csv has no row with used_at clamp"
        out.append((clamps, ""))
    if ends:
        out.append((_no_hose(ends, basis), ""))
    if "lacing" in bill.missing:
        row = next(r for r in basis.stock.fittings if r.used_at == "turns")
        of = f"fittings.csv:{row.line}" if row.line else f"fitting {row.fitting_id}"
        out.append((f"wire for the turns: not counted, no {row.metal} on this tube ({of})", ""))
    return out


HOSE = " hose"


def _no_hose(ends: list[str], basis: DesignBasis) -> str:
    """That hoses of the list have another bore than is reckoned with, and which one that is."""
    u, bore = basis.brewhouse.units, basis.brewhouse.hose_bore
    at = {end.removesuffix(HOSE) for end in ends}
    row = next(r for r in basis.stock.fittings if r.per == "m" and r.used_at in (None, *at))
    of = f"fittings.csv:{row.line}" if row.line else f"fitting {row.fitting_id}"
    own = "for another tube" if row.bore is None else f"{show(row.bore, 'tube', u)} bore"
    which, wanted = " and ".join(ends), show(bore, "tube", u)
    return f"{which}: not counted, none of your list has {wanted} bore ({of}: {own})"


def _why_not(own: float | None, d_o: float, bore: float, units: str) -> str:
    """Why a joint for this tube does not join it to the hose."""
    hose, tube = show(bore, "tube", units), show(d_o, "tube", units)
    if own is not None and abs(own - bore) > SAME_BORE:
        return f"for {show(own, 'tube', units)} hose, reckoned with {hose}"
    side = "loose on" if bore > d_o else "too narrow for"
    return f"a hose of {hose} bore is {side} {tube} tube"
