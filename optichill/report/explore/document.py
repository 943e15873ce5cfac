"""The document of `explore` for other programs, in SI."""

from __future__ import annotations

from typing import Any

from optichill.files.ownership import HEAD
from optichill.files.reading import Inputs
from optichill.report.calibrated import in_use
from optichill.report.design_json import design
from optichill.report.explore.screen import Tried, differences, is_better, saves
from optichill.report.jsonout import SOURCES
from optichill.search.designs import Design
from optichill.search.explore.study_team import Explored


def document(told: Tried, inputs: Inputs) -> dict[str, Any]:
    """As documented for other tools."""
    best, first, found = told.best, told.first, told.found
    both = best is not None and first is not None
    return {
        **HEAD,
        "brewhouse": inputs.brewhouse.name,
        "demo": inputs.brewhouse.demo,
        "calibrated": in_use(inputs.brewhouse, inputs.calibration),
        "study": {
            **explored(found, told.came),
            "tried_now": found.now,
            "tried_twice": found.again,
            "stopped": found.stopped,
            "tried_out": found.tried_out,
            "ended_early": list(found.lost),
        },
        "front": told.front,
        "forms_made": told.forms,
        "found_late": found.late,
        "nearest": _nearest(told),
        "opened": first is None and best is not None,
        "best": _design(best, told),
        "first_of_lists": _design(first, told),
        "gain": None
        if not both
        else {
            "better": is_better(told),
            "saves": saves(told),
            "chill_time_s": _told(first, "chill_time") - _told(best, "chill_time"),
            "cost": _told(first, "cost") - _told(best, "cost"),
            "water_m3": _told(first, "water") - _told(best, "water"),
            "noticed": differences(best, first, told.basis) if best and first else [],
        },
        "settings": [dict(setting) for setting in found.settings],
        "warnings": list(inputs.warnings),
        "assumptions": list(inputs.notes),
        "sources": list(SOURCES),
    }


def _nearest(told: Tried) -> dict[str, Any] | None:
    """Where nothing holds: what asks for least more, and of what; None where nothing does."""
    if told.nearest is None:
        return None
    steps = [{"limit": s.limit, "now": s.now, "to": s.to} for s in told.nearest.steps]
    return {"steps": steps, "design": _design(told.nearest.design, told)}


def explored(found: Explored, came: int) -> dict[str, Any]:
    """What an answer has of a study beside its own coils."""
    return {"file": found.at, "tried": found.tried, "hold": found.hold, "on_the_front": came}


def _design(d: Design | None, told: Tried) -> dict[str, Any] | None:
    return None if d is None else design(d, told.basis)


def _told(d: Design | None, goal: str) -> float:
    assert d is not None
    return d.told[goal]
