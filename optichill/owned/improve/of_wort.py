"""Changes on the wort's side: how it is stirred, what lies on the tube, the lid, where the chill stops.

What is proposed is what a hand can do: a tool that is in use stays in use, and who stirs already now and then
goes on all along before anything is done more briskly.
"""

from __future__ import annotations

from optichill.model.stirring import as_mixing, more_motion
from optichill.owned.improve.changes import BREWHOUSE, Change, Edit, degrees
from optichill.owned.improve.seen import Seen
from optichill.rating import otherwise

Ways = list[Change]
"""Ways to do one thing: the best of them is told."""


def of_the_wort(now: Seen) -> list[Ways]:
    """All that there is to do about the wort."""
    return [_stirring(now), _bag(now), _lid(now), _stopping(now)]


def _stirring(now: Seen) -> Ways:
    """With what and how, all along."""
    ways = more_motion(now.inputs.brewhouse.wort.mixing)
    edits = [(Edit(BREWHOUSE, "wort", "mixing", as_mixing(*way)),) for way in ways]
    told = [{"with": tool, "motion": motion} for tool, motion in ways]
    return [Change("stir", edit, said) for edit, said in zip(edits, told, strict=True)]


def _bag(now: Seen) -> Ways:
    """Pellets in a bag."""
    if now.inputs.brewhouse.wort.dirt != "loose pellets":
        return []
    return [Change("hop bag", (Edit(BREWHOUSE, "wort", "dirt", "hop bag"),), buys=None)]


def _lid(now: Seen) -> Ways:
    """On where it is off, off where it is on."""
    lid = now.inputs.brewhouse.kettle.lid
    return [Change("lid", (Edit(BREWHOUSE, "kettle", "lid", not lid),), {"on": not lid})]


def _stopping(now: Seen) -> Ways:
    """Before the last degrees; where they are never reached, `changes_of_plan.of_the_cold` says where."""
    brewhouse, basis = now.inputs.brewhouse, now.basis
    if now.told.time is None or "earlier" not in otherwise.scenarios(basis, now.scenario):
        return []
    written = degrees(basis.scenario.T_target + otherwise.LAST[brewhouse.units], brewhouse.units)
    return [Change("stop", (Edit(BREWHOUSE, "wort", "target_temperature", written),), {"at": written})]
