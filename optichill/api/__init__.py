"""The one door: what a notebook and every command of the command line go through.

Examples take `import optichill as oc` for granted, and run on the packaged example.
"""

from optichill.api.kit import init
from optichill.api.problem import Problem, faulty, read
from optichill.api.rating import Rating, rate
from optichill.api.recommendation import Conflict, Front, Recommendation, front, recommend
from optichill.api.tables import Table
from optichill.api.work import PlannedWork, plan_work
from optichill.errors import InputFaults, OptichillError
from optichill.report.jsonout import dumps
from optichill.report.keys import page as keys

__all__ = [
    "Conflict",
    "Front",
    "InputFaults",
    "OptichillError",
    "PlannedWork",
    "Problem",
    "Rating",
    "Recommendation",
    "Table",
    "dumps",
    "faulty",
    "front",
    "init",
    "keys",
    "plan_work",
    "rate",
    "read",
    "recommend",
]
