"""The document of `improve` for other programs, in SI."""

from __future__ import annotations

from typing import Any

import numpy as np

from optichill.fabrication.work_plan import WorkPlan
from optichill.files.ownership import HEAD
from optichill.files.reading import Inputs
from optichill.owned.improve.ranked import Found, Improvement
from optichill.owned.improve.seen import Seen
from optichill.report.calibrated import in_use
from optichill.report.design_json import likely
from optichill.report.improve.effects import hot_outlet, why_here
from optichill.report.improve.lines import written
from optichill.report.improve.not_worth import reason_against
from optichill.report.improve.screen import verdict
from optichill.report.improve.words import called, what_to_do
from optichill.report.jsonout import SOURCES, worth_json


def document(found: Improvement, inputs: Inputs, plan: WorkPlan, coil: str) -> dict[str, Any]:
    """As documented for other tools."""
    return {
        **HEAD,
        "brewhouse": inputs.brewhouse.name,
        "demo": inputs.brewhouse.demo,
        "calibrated": in_use(inputs.brewhouse, inputs.calibration, inputs.coil),
        "coil": {"id": plan.coil_id},
        "as_it_is": _seen_json(found.now)
        | {"limits_broken": sorted(found.now.broken)}
        | {"runs_into": [part.what for part in found.now.in_the_turns]},
        "reached": found.reached,
        "good_enough": found.good_enough,
        "verdict": verdict(found),
        "changes": [{"rank": n, **_json(f, coil, inputs)} for n, f in enumerate(found.helps, 1)],
        "together": None
        if found.together is None
        else {"ranks": [n + 1 for n in found.together.parts], **_json(found.together, coil, inputs, "")},
        "not_worth": [
            _json(f, coil, inputs, called(f, plan)) | {"why": reason_against(f)} for f in found.not_worth
        ],
        "worth": worth_json(found.now.basis),
        "warnings": list(inputs.warnings),
        "assumptions": list(inputs.notes),
        "sources": list(SOURCES),
    }


def _seen_json(s: Seen) -> dict[str, Any]:
    """A chill by the names of `predict`: of one run, and the tenths of all draws; null where out of reach."""
    return {"chill_time_s": s.once.time, "water_m3": s.once.water, "ice_kg": s.once.ice} | likely(s.likely)


def _json(f: Found, coil: str, inputs: Inputs, text: str | None = None) -> dict[str, Any]:
    text = what_to_do(f) if text is None else text
    command = written(f, coil, inputs)[0] if f.change.kind == "another coil" else None
    return {
        "kind": f.change.kind,
        "text": text,
        **_seen_json(f.then),
        "gain_s": f.seconds,
        "gain_water_m3": f.water,
        "gain_ice_kg": f.now.told.ice - f.then.told.ice,
        "gains_in": f.sure,
        "cost": f.change.buys,
        "cost_taken": f.bought,
        "spoiling": f.change.risks,
        "work_h": f.change.hours,
        "saves": f.saves if np.isfinite(f.saves) else None,
        "net": f.net if np.isfinite(f.net) else None,
        "breaks": sorted(f.breaks),
        "warnings": hot_outlet(f),
        "why": why_here(f),
        "mends": sorted(f.mends),
        "write": [
            {
                "file": e.file,
                "table": e.table,
                "key": e.key,
                "lines": list(e.lines),
                "takes_out": e.value is None,
            }
            for e in f.change.edits
        ],
        "command": command,
    }
