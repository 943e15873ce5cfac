"""Changes of the water that runs through the coil: the valve, the hose, where a return hose ends.

What another hose would do follows from the bucket test: what the hose takes of the pressure is worked out
from its bore and length, and the rest is the tap's, which stays.
"""

from __future__ import annotations

import numpy as np

from optichill.correlations import friction
from optichill.display import INCH
from optichill.model.tap import Tap
from optichill.owned.improve.changes import BREWHOUSE, COIL, Change, Edit, flow, hose, quantity
from optichill.owned.improve.of_wort import Ways
from optichill.owned.improve.seen import Seen
from optichill.properties import water
from optichill.rating.prediction import FINE
from optichill.thermal import cooldown
from optichill.thermal.supply import K_HOSE_TAP
from optichill.units import parse

WIDER = {"metric": (0.0125, 0.019), "us": (0.5 * INCH, 0.75 * INCH)}
"""Bores that hose is sold with in any shop [m] (common practice, no source)."""
LONG = 4.0
"""A hose from which on half of it may be enough [m] (OWN)."""
MUCH = 1.03
"""So many times the flow at least, or no clock would tell it (OWN)."""


def of_the_water(now: Seen) -> list[Ways]:
    """All that there is to do about the flow."""
    return [_valve_open(now), _valve_shut(now), _wider_hose(now), _shorter_hose(now), _under_water(now)]


def _valve_open(now: Seen) -> Ways:
    """The valve open, where the coil's file has it part closed."""
    if now.valve_share >= 1.0:
        return []
    return [Change("open the valve", (Edit(COIL, "coil", "flow", None),), {"share": now.valve_share})]


def _valve_shut(now: Seen) -> Ways:
    """Further shut, at the settings that the workshop names: less water, where it runs away."""
    full = float(cooldown.ends(now.physical, now.scenario, FINE).flow_start[0]) / now.valve_share
    ways = []
    for share in now.basis.valve_shares:
        if share < now.valve_share - 0.01:
            written = flow(share * full, now.inputs.brewhouse.units)
            told = {"share": share, "flow": share * full}
            ways.append(Change("shut the valve", (Edit(COIL, "coil", "flow", written),), told))
    return ways


def _wider_hose(now: Seen) -> Ways:
    """The next bore that shops have."""
    brewhouse = now.inputs.brewhouse
    if brewhouse.tap is None or not brewhouse.draws_from_tap:
        return []
    bores = [bore for bore in WIDER[brewhouse.units] if bore > 1.1 * brewhouse.tap.hose_bore]
    return [hose for bore in bores[:1] for hose in _hose(now, brewhouse.tap, bore=bore)]


def _shorter_hose(now: Seen) -> Ways:
    """Half of it, where it is long."""
    brewhouse = now.inputs.brewhouse
    if brewhouse.tap is None or not brewhouse.draws_from_tap or brewhouse.tap.hose_length < LONG:
        return []
    return _hose(now, brewhouse.tap, long=0.5 * brewhouse.tap.hose_length)


def _hose(now: Seen, tap: Tap, *, bore: float | None = None, long: float | None = None) -> Ways:
    """Another hose, with the flow that it would let through by the bucket test."""
    units = now.inputs.brewhouse.units
    key, value = ("hose_bore", bore) if long is None else ("hose_length", long)
    assert value is not None
    if long is not None:
        long = value = parse(hose(long, units), "length")
    written = quantity(value, "length", units) if long is None else hose(value, units)
    edits = [Edit(BREWHOUSE, "tap", key, written)]
    then = None
    if tap.open_flow is not None:
        then = open_flow_with(tap, bore or tap.hose_bore, long or tap.hose_length)
        if then < MUCH * tap.open_flow:
            return []
        edits.append(Edit(BREWHOUSE, "tap", "open_flow", flow(then, units)))
    told = {"bore": bore, "length": long, "flow": then}
    kind = "wider hose" if long is None else "shorter hose"
    return [Change(kind, tuple(edits), told, None if long is None else 0.0)]


def open_flow_with(tap: Tap, bore: float, long: float) -> float:
    """Flow [m3/s] out of another open hose on a tap whose own hose was timed.

    Examples
    --------
    A tap of 3 bar that gives 10 L/min through 10 m of 12.5 mm hose spends 22 kPa of it there (by hand: f
    0.029, 24 heads of 0.92 kPa): half the hose leaves 3.6 % more pressure to the rest, 1.9 % more flow:

    >>> tap = Tap(temperature=285.15, open_flow=10e-3 / 60, hose_bore=0.0125, hose_length=10.0)
    >>> f"{6e4 * open_flow_with(tap, 0.0125, 5.0):.2f}"
    '10.19'
    """
    assert tap.open_flow is not None
    spent = _taken(tap, tap.hose_bore, tap.hose_length, tap.open_flow)
    # Where the hose alone takes more than the pressure, that is higher than was thought: a tap takes its own.
    speed = tap.open_flow / (np.pi / 4.0 * tap.hose_bore**2)
    least = K_HOSE_TAP * float(water.density(tap.temperature)) * speed**2 / 2.0
    pressure = max(tap.pressure, spent + least)
    rest = (pressure - spent) / tap.open_flow**2
    low, high = 0.0, 20.0 * tap.open_flow
    for _ in range(60):  # halves: what hose and tap take rises with the flow
        V = 0.5 * (low + high)
        fits = rest * V**2 + _taken(tap, bore, long, V) <= pressure
        low, high = (V, high) if fits else (low, V)
    return low


def _taken(tap: Tap, bore: float, long: float, V: float) -> float:
    """What a hose and its mouth take [Pa] at a flow [m3/s]."""
    rho, mu = float(water.density(tap.temperature)), float(water.viscosity(tap.temperature))
    speed = V / (np.pi / 4.0 * bore**2)
    f = float(friction.f_straight_smooth(max(rho * speed * bore / mu, 1.0)))
    return float((1.0 + f * long / bore) * rho * speed**2 / 2.0)


def _under_water(now: Seen) -> Ways:
    """Return hoses that end in the air, led under the water of their vessel."""
    edits = tuple(
        Edit(BREWHOUSE, f"cooling[{n}]", "return_under_water", True)
        for n, stage in enumerate(now.inputs.brewhouse.cooling, 1)
        if stage.pump is not None and stage.return_ == "bucket" and not stage.return_under_water
    )
    return [Change("return under water", edits)] if edits else []
