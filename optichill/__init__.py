"""optichill: recommends immersion wort chillers that can really be built.

The door for Python; the rooms behind it are loaded at the first use of a name:

>>> import optichill as oc
>>> problem = oc.read()  # doctest: +SKIP
>>> oc.recommend(problem).best  # doctest: +SKIP

init, init_coil : files to begin with, of a kettle and of a coil that exists.
read, Problem : what a brewer states, in files or in Python.
recommend, front : coils that can be built for it; all that nothing beats.
find : the coil of an id that a list, a page or a sheet has.
rate, plan_work : one given coil: how it chills, and how it is made.
improve : one given coil: what helps it most.
calibrate : what measured batches teach about a cellar.
explore : coils beyond the lists, whose forms have still to be made.
new_kettle : what becomes of a coil when another kettle arrives.
correlations : the published formulas by name, with their ranges.
InputFaults, OptichillError : all faults at once; the base of every error.
"""

from __future__ import annotations

from optichill.version import __version__

# Not typing's own: until the command has said what an interruption does, as little as can be is loaded.
TYPE_CHECKING = False
if TYPE_CHECKING:
    from typing import Any

    from optichill import correlations
    from optichill.api import (
        Problem,
        calibrate,
        explore,
        find,
        front,
        improve,
        init,
        init_coil,
        new_kettle,
        plan_work,
        rate,
        read,
        recommend,
    )
    from optichill.errors import InputFaults, OptichillError

__all__ = [
    "InputFaults",
    "OptichillError",
    "Problem",
    "__version__",
    "calibrate",
    "correlations",
    "explore",
    "find",
    "front",
    "improve",
    "init",
    "init_coil",
    "new_kettle",
    "plan_work",
    "rate",
    "read",
    "recommend",
]
_STANDS_IN = {"InputFaults": "optichill.errors", "OptichillError": "optichill.errors"}


def __getattr__(name: str) -> Any:
    if name not in __all__:
        raise AttributeError(f"module 'optichill' has no attribute {name!r}")
    import importlib

    if name == "correlations":
        return importlib.import_module("optichill.correlations")
    return getattr(importlib.import_module(_STANDS_IN.get(name, "optichill.api")), name)


def __dir__() -> list[str]:
    return sorted(__all__)
