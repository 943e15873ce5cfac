"""The list of fittings and the hoses of a brewhouse, as the bill understands them."""

from __future__ import annotations

import math

from optichill.problem.basis import DesignBasis
from optichill.workshop.fittings import FittingOffer, Hoses

INLET, OUTLET = 2.0, 3.0
"""Bought of what is sold by the metre at inlet and outlet [m] (OWN)."""


def hoses(basis: DesignBasis) -> Hoses:
    """The hoses that the flow is reckoned with. From a riser's end to its tee leads a quarter of the way
    round the kettle: two ends are never farther apart than half of it."""
    brewhouse = basis.brewhouse
    round_it = math.pi * (brewhouse.kettle.inside_diameter / 2.0 + brewhouse.workshop.over_the_rim)
    return Hoses(
        bore=brewhouse.hose_bore,
        inlet=INLET,
        outlet=OUTLET,
        arm=round_it / 2.0,
        tap=brewhouse.draws_from_tap,
        pump=bool(basis.pumps),
    )


def fittings(basis: DesignBasis) -> list[FittingOffer]:
    """The list of fittings; nothing for a tap where there is none, nor feet for a coil without. Of a list
    that tells no bore at all joints end in barbs for the hoses: each wants a clamp, or it comes off hot."""
    rests, rows = basis.brewhouse.kettle.coil_rests, basis.stock.fittings
    barb = basis.brewhouse.hose_bore if all(f.bore is None for f in rows) else None
    return [
        FittingOffer(
            fitting_id=f.fitting_id,
            description=f.description,
            price=f.price or 0.0,
            owned=f.owned,
            outer_diameter=f.outer_diameter,
            joint=f.joint or "",
            used_at=f.used_at,
            per=f.per,
            bore=barb if f.bore is None and f.joint else f.bore,
            metal=f.metal or "",
        )
        for f in rows
        if (f.used_at != "tap" or basis.brewhouse.draws_from_tap)
        and (f.used_at != "feet" or rests != "floor")
    ]
