"""The one door: what a notebook and every command of the command line go through.

Examples take `import optichill as oc` for granted, and run on the packaged example. A room is loaded at the
first use of a name that stands in it.
"""

from __future__ import annotations

import importlib
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from optichill.api.calibration import Calibrated, calibrate
    from optichill.api.exploration import Exploration, explore
    from optichill.api.fronts import Front, front
    from optichill.api.given import find, is_id
    from optichill.api.improvement import Improvement, improve
    from optichill.api.kit import init, init_coil
    from optichill.api.problem import Problem, faulty, read
    from optichill.api.rating import Rating, rate
    from optichill.api.recommendation import Conflict, Recommendation, recommend
    from optichill.api.several import ForSeveral
    from optichill.api.studies import study_file, usual_study
    from optichill.api.tables import Table
    from optichill.api.upgrade import Upgrade, new_kettle
    from optichill.api.work import PlannedWork, plan_work
    from optichill.errors import InputFaults, OptichillError
    from optichill.report.jsonout import dumps
    from optichill.report.keys import page as keys

_STANDS_IN = {
    "optichill.api.calibration": ("Calibrated", "calibrate"),
    "optichill.api.exploration": ("Exploration", "explore"),
    "optichill.api.fronts": ("Front", "front"),
    "optichill.api.given": ("find", "is_id"),
    "optichill.api.improvement": ("Improvement", "improve"),
    "optichill.api.kit": ("init", "init_coil"),
    "optichill.api.problem": ("Problem", "faulty", "read"),
    "optichill.api.rating": ("Rating", "rate"),
    "optichill.api.recommendation": ("Conflict", "Recommendation", "recommend"),
    "optichill.api.several": ("ForSeveral",),
    "optichill.api.studies": ("study_file", "usual_study"),
    "optichill.api.tables": ("Table",),
    "optichill.api.upgrade": ("Upgrade", "new_kettle"),
    "optichill.api.work": ("PlannedWork", "plan_work"),
    "optichill.errors": ("InputFaults", "OptichillError"),
    "optichill.report.jsonout": ("dumps",),
    "optichill.report.keys": ("page",),
}
_ROOMS = {name: room for room, names in _STANDS_IN.items() for name in names}
_CALLED = {"keys": "page"}

__all__ = [
    "Calibrated",
    "Conflict",
    "Exploration",
    "ForSeveral",
    "Front",
    "Improvement",
    "InputFaults",
    "OptichillError",
    "PlannedWork",
    "Problem",
    "Rating",
    "Recommendation",
    "Table",
    "Upgrade",
    "calibrate",
    "dumps",
    "explore",
    "faulty",
    "find",
    "front",
    "improve",
    "init",
    "init_coil",
    "is_id",
    "keys",
    "new_kettle",
    "plan_work",
    "rate",
    "read",
    "recommend",
    "study_file",
    "usual_study",
]


def __getattr__(name: str) -> Any:
    if name not in __all__:
        raise AttributeError(f"module 'optichill.api' has no attribute {name!r}")
    inside = _CALLED.get(name, name)
    return getattr(importlib.import_module(_ROOMS[inside]), inside)
