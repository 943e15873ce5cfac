"""Logs of chills as a person writes them, and what is learnt of one in the kit's kettle."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from tempfile import mkdtemp

import numpy as np
from calibrated_twins import MINE, brewhouse
from kits import write_kit

from optichill.files.reading import load
from optichill.model.cooldown_log import CooldownLog
from optichill.owned.calibrate.fit import Fit, MeasuredBatch
from optichill.owned.calibrate.fitting import calibrate
from optichill.problem.basis import DesignBasis, design_basis

AT = [0.0, 3.0, 6.0, 9.0, 12.0, 15.0]
"""When somebody looks [min]."""

FIRST = '\n[[cooling]]\nhold = "20 min"\n[[cooling]]\nsource = "tap"\n'
LATER = (
    '\n[[cooling]]\nsource = "tap"\nuntil = "80 degC"\n[[cooling]]\nhold = "20 min"\n'
    '[[cooling]]\nsource = "tap"\n'
)
TAP = 12.0
"""The kit's [degC]."""


@cache
def basis(plan: str = "", mixing: str = "now and then") -> DesignBasis:
    return design_basis(load(write_kit(Path(mkdtemp()), brewhouse=brewhouse(mixing) + plan)))


def cooled(minutes: list[float], since: float = 98.0, half: float = 4.5) -> list[float]:
    """Newton's law of cooling towards the tap, half of the difference gone every `half` minutes [degC]."""
    return [TAP + (since - TAP) * 0.5 ** (t / half) for t in minutes]


def log(minutes: list[float], celsius: list[float]) -> CooldownLog:
    """To the half minute and the degree, as a person writes."""
    return CooldownLog("mine", 60.0 * np.array(minutes), 273.15 + np.round(celsius), clock=30.0)


def fit(one: CooldownLog, plan: str = "") -> Fit:
    return calibrate(basis(plan), [MeasuredBatch(one, MINE, "mine")])
