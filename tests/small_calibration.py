"""A fit as `calibrate` gives it, made by hand: readings of an exponential beside a curve that nearly fits."""

from __future__ import annotations

import kits
import numpy as np

from optichill.files.coil_file import CoilFile
from optichill.files.reading import parse_toml
from optichill.model.calibration import TANK, Batch, Calibration, MeasuredCoil
from optichill.model.coil import Coil
from optichill.model.cooldown_log import CooldownLog
from optichill.model.heard import FROM_TEXT
from optichill.owned.calibrate.fit import Advice, Fit, FittedBatch, Learnt, MeasuredBatch
from optichill.thermal.deviates import COLUMNS


def coil() -> Coil:
    """That of the kit."""
    raw = parse_toml(kits.COIL, "coil.toml", [])
    return CoilFile.model_validate(raw, context=FROM_TEXT).coil


def fitted(readings: int = 6, log: str = "log.csv", coil_name: str = "coil.toml", **other: str) -> Fit:
    """One batch of 25 minutes."""
    coil_name = other.get("coil", coil_name)
    time = np.linspace(0.0, 1500.0, readings)
    wobble = 0.4 * np.sin(np.arange(readings) * 1.7)

    def cooled(t: np.ndarray, half: float) -> np.ndarray:
        return np.asarray(285.15 + 86.0 * 0.5 ** (t / half))

    fit, smooth = cooled(time, 330.0), np.linspace(0.0, 1500.0, 61)
    measured = fit + wobble
    batch = MeasuredBatch(CooldownLog(log, time, measured), coil(), coil_name)
    found = FittedBatch(
        batch, time, measured, fit, np.ones(readings, bool), smooth, cooled(smooth, 330.0),
        cooled(smooth, 240.0), float(np.sqrt(np.mean(wobble**2))), 0.023, None,
    )  # fmt: skip
    one = MeasuredCoil.of(coil(), coil_name)
    n = len(COLUMNS) + 2
    cov = np.eye(n)
    cov[COLUMNS.index("speed"), COLUMNS.index("speed")] = 0.2
    law = Calibration(
        (one,),
        np.zeros(n),
        cov,
        {c: c for c in COLUMNS},
        (0.36, 0.4),
        (Batch(log, coil_name, readings, 0.3),),
    )
    learnt = (
        Learnt("speed", "speed", (0.018, 0.05, 0.14), (0.05, 0.08, 0.13), "m/s", True),
        Learnt("still", "film", (0.61, 0.85, 1.19), (0.6, 0.85, 1.19), "", False),
        Learnt(TANK, "kettle", (0.9, 1.0, 1.11), (0.9, 1.0, 1.11), "", False),
    )
    return Fit(law, learnt, (found,), (), (Advice("stick", 0.2, {}),))
