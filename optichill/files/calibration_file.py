"""The calibration beside a brewhouse file: what `optichill calibrate` writes, and every command reads.

It is written by the program alone. What is not as the program writes it is refused whole: a law of which one
number is wrong is another law.
"""

from __future__ import annotations

import json
import os
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
from pydantic import BaseModel, ConfigDict, ValidationError, model_validator

from optichill.errors import InputFault, shown
from optichill.files.places import calibration_of as calibration_of
from optichill.files.texts import LARGEST, read_text
from optichill.model.calibration import Batch, Calibration, MeasuredCoil
from optichill.thermal.deviates import COLUMNS

KIND = "calibration"
ALLOWED = "what optichill calibrate wrote; delete or move it, and nothing is calibrated"
VERSION = 1
"""Of the documents of ours that it can be read from."""

ROUNDING = 1e-6
"""By so much a covariance may be off being one: it is written to 10 digits."""


class _Coil(BaseModel):
    model_config = ConfigDict(extra="forbid", allow_inf_nan=False)

    name: str
    material: str
    outer_diameter_m: float
    bore_m: float
    mean_diameter_m: float
    turns: float


class _Batch(BaseModel):
    model_config = ConfigDict(extra="forbid", allow_inf_nan=False)

    log: str
    coil: str
    readings: int
    misses_K: float
    doubts: tuple[str, ...] = ()


class _Law(BaseModel):
    """What a calibration's document must hold; other keys are for people and other tools."""

    model_config = ConfigDict(extra="ignore", allow_inf_nan=False)

    schema_version: int = VERSION
    brewhouse: str = ""
    columns: tuple[str, ...]
    priors: dict[str, str]
    kettle_m: tuple[float, float]
    coils: tuple[_Coil, ...]
    batches: tuple[_Batch, ...]
    mean: tuple[float, ...]
    covariance: tuple[tuple[float, ...], ...]

    @model_validator(mode="after")
    def _is_a_law(self) -> _Law:
        n = len(COLUMNS) + 1 + len(self.coils)
        if self.schema_version != VERSION:
            raise ValueError(f"of schema_version {self.schema_version}, this program reads {VERSION}")
        if self.columns != COLUMNS or set(self.priors) != set(COLUMNS):
            raise ValueError("of another version of the program")
        if len(self.mean) != n or len(self.covariance) != n or any(len(r) != n for r in self.covariance):
            raise ValueError(f"mean and covariance are not of {n} quantities")
        cov = np.array(self.covariance)
        if not np.allclose(cov, cov.T, atol=ROUNDING) or np.linalg.eigvalsh(cov).min() < -ROUNDING:
            raise ValueError("damaged: the covariance is that of no law, its numbers were changed")
        if max(np.abs(self.mean).max(), cov.diagonal().max()) > 50.0 or min(self.kettle_m) <= 0.0:
            raise ValueError("damaged: numbers that no fit gives")
        return self


def document(calibration: Calibration) -> dict[str, Any]:
    """What the file holds, in deviates of the priors; SI."""
    c = calibration
    return {
        "brewhouse": c.brewhouse,
        "columns": list(COLUMNS),
        "priors": dict(c.priors),
        "kettle_m": list(c.kettle),
        "coils": [
            {
                "name": one.name,
                "material": one.material,
                "outer_diameter_m": one.outer_diameter,
                "bore_m": one.bore,
                "mean_diameter_m": one.mean_diameter,
                "turns": one.turns,
            }
            for one in c.coils
        ],
        "batches": [
            {
                "log": b.log,
                "coil": b.coil,
                "readings": b.readings,
                "misses_K": b.misses,
                "doubts": list(b.doubts),
            }
            for b in c.batches
        ],
        "mean": c.mean.tolist(),
        "covariance": c.cov.tolist(),
    }


def damage(error: Exception) -> str:
    """What is wrong with a calibration file, as a person may be told it."""
    if isinstance(error, RecursionError):
        return "damaged: nested too deep"
    if isinstance(error, ValidationError):
        first = error.errors()[0]
        where = ".".join(str(part) for part in first["loc"])
        return shown(f"{where}: {_WORDS.get(first['type']) or _own(first['msg'])}".removeprefix(": "), 200)
    if isinstance(error, ValueError):
        return shown(f"damaged: not JSON: {error}", 200)
    return "damaged: not as it was written"


_WORDS = {
    "missing": "missing, the file was cut or changed",
    "model_type": "damaged: not a table",
    "dict_type": "damaged: not a table",
    "tuple_type": "damaged: not a list",
    "float_type": "damaged: not a number",
    "float_parsing": "damaged: not a number",
    "finite_number": "damaged: not a finite number",
    "string_type": "damaged: not text",
    "int_type": "damaged: not a whole number",
    "int_parsing": "damaged: not a whole number",
    "extra_forbidden": "damaged: not a key of ours",
}
"""Of pydantic's kinds of faults, those that a damaged file has."""


def _own(message: str) -> str:
    """The words of a check of ours."""
    return message.removeprefix("Value error, ").removeprefix("Input ")


def read_calibration(path: Path, faults: list[InputFault]) -> Calibration | None:
    """The calibration of a file, None where there is none; a file that is none is a fault."""
    if not os.path.exists(path):  # false, not an error, for a name that no file can have
        return None
    unread: list[InputFault] = []
    text = read_text(path, str(path), unread, "optichill calibrate", LARGEST)
    if text is None:
        faults += [replace(fault, allowed=ALLOWED) for fault in unread]
        return None
    try:
        law = _Law.model_validate(json.loads(text))
    except (RecursionError, ValueError) as error:
        faults.append(InputFault(str(path), 0, KIND, "", damage(error), ALLOWED))
        return None
    return Calibration(
        coils=tuple(
            MeasuredCoil(c.name, c.material, c.outer_diameter_m, c.bore_m, c.mean_diameter_m, c.turns)
            for c in law.coils
        ),
        mean=np.array(law.mean),
        cov=np.array(law.covariance),
        priors=law.priors,
        kettle=law.kettle_m,
        batches=tuple(Batch(b.log, b.coil, b.readings, b.misses_K, b.doubts) for b in law.batches),
        brewhouse=law.brewhouse,
    )
