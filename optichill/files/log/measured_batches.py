"""The readings themselves, in the calibration file: what was typed once is not lost, and can count again."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import numpy as np
from pydantic import BaseModel, ConfigDict, ValidationError, model_validator

from optichill.arrays import Array, Mask
from optichill.errors import InputFault
from optichill.files.calibration_file import ALLOWED, damage
from optichill.files.coil_file import CoilFile, coil_text
from optichill.files.log.checks import DAY, possible
from optichill.files.reading import parse_toml
from optichill.files.tables import LARGEST, read_text
from optichill.model.coil import Coil
from optichill.model.cooldown_log import MEASURED_BY, PLACES, CooldownLog
from optichill.model.heard import FROM_TEXT

MEASURED, ASIDE = "measured", "left_aside"
"""Keys of the batches that count, and of those that were measured before and do not."""

CORRECTED = 1.0 / 3.0
"""Share of the readings that a person corrects at most (OWN)."""

WRITTEN_TO = 0.06
"""Kelvin within which two readings are one: a unit that was converted and written to a tenth (0.1 degF is
0.056 K)."""

Kept = tuple[CooldownLog, Coil, str]
"""A log with its coil, and the coil's name."""

Column = tuple[float | None, ...]


class _Measured(BaseModel):
    model_config = ConfigDict(extra="ignore", allow_inf_nan=False)

    log: str
    coil: str
    coil_file: str
    time_s: tuple[float, ...]
    wort_K: tuple[float, ...]
    outlet_K: Column | None = None
    inlet_K: Column | None = None
    flow_m3_s: Column | None = None
    stirred: Column | None = None
    clock_s: float
    thermometer_K: float
    place: str
    volume_m3: float | None = None
    volume_by: str

    @model_validator(mode="after")
    def _is_a_log(self) -> _Measured:
        time = np.array(self.time_s)
        others = (self.outlet_K, self.inlet_K, self.flow_m3_s, self.stirred)
        lengths = {len(c) for c in (self.wort_K, *others) if c is not None}
        if lengths != {time.size} or time.size < 2:
            raise ValueError("columns of other lengths")
        if (
            np.diff(time).min() <= 0.0
            or time[0] < 0.0
            or time[-1] > DAY
            or not all(map(possible, self.wort_K))
        ):
            raise ValueError("no cool-down")
        if self.place not in PLACES or self.volume_by not in MEASURED_BY:
            raise ValueError("a word that is not known")
        if min(self.clock_s, self.thermometer_K, self.volume_m3 or 1.0) <= 0.0:
            raise ValueError("a size that is not above 0")
        return self


def document(kept: Kept) -> dict[str, Any]:
    """One batch, in SI."""
    log, coil, name = kept
    columns = {"outlet_K": log.outlet, "inlet_K": log.inlet, "flow_m3_s": log.flow, "stirred": log.stirred}
    return {
        "log": log.name,
        "coil": name,
        "place": log.place,
        "volume_m3": log.volume,
        "volume_by": log.volume_by,
        "clock_s": log.clock,
        "thermometer_K": log.thermometer,
        "coil_file": coil_text(coil, demo=False, exact=True),
        "time_s": log.time.tolist(),
        "wort_K": log.wort.tolist(),
        **{key: column.tolist() for key, column in columns.items() if column is not None},
    }


def read_batches(path: Path, faults: list[InputFault]) -> dict[str, list[Kept]]:
    """The batches in a calibration file, those that count and those that were put aside; empty where there is
    no file."""
    text = read_text(path, str(path), faults, "optichill calibrate", LARGEST) if path.is_file() else None
    if text is None:
        return {}
    key, number = MEASURED, 0
    found: dict[str, list[Kept]] = {MEASURED: [], ASIDE: []}
    try:
        raw = json.loads(text)
        for key, kept in found.items():
            number = 0
            for one in raw.get(key, ()):
                number += 1
                kept.append(_read(_Measured.model_validate(one), path))
    except (ValidationError, ValueError, AttributeError, TypeError, RecursionError) as error:
        where = f"{key} {number}" if number else key
        faults.append(InputFault(str(path), 0, where, "", damage(error), ALLOWED))
        return {}
    return found


def _read(one: _Measured, path: Path) -> Kept:
    raw = parse_toml(one.coil_file, str(path), [])
    coil = CoilFile.model_validate(raw, context=FROM_TEXT).coil
    log = CooldownLog(
        name=one.log,
        time=np.array(one.time_s),
        wort=np.array(one.wort_K),
        outlet=_column(one.outlet_K),
        inlet=_column(one.inlet_K),
        flow=_column(one.flow_m3_s),
        stirred=_column(one.stirred),
        clock=one.clock_s,
        thermometer=one.thermometer_K,
        place=one.place,
        volume=one.volume_m3,
        volume_by=one.volume_by,
    )
    return log, coil, one.coil


def _column(values: Column | None) -> Array | None:
    return None if values is None else np.array([np.nan if v is None else v for v in values])


def same(one: CooldownLog, other: CooldownLog) -> bool:
    """Whether two logs hold the readings of one batch."""
    return _at_one_time(one, other) and not _apart(one, other).any()


def _at_one_time(one: CooldownLog, other: CooldownLog) -> bool:
    """Whether they were read at the same times."""
    return one.time.size == other.time.size and np.allclose(one.time, other.time, atol=1e-3, rtol=0.0)


def _apart(one: CooldownLog, other: CooldownLog) -> Mask:
    """Which temperatures are others, and not the same ones in another unit; shape (readings,)."""
    return np.asarray(np.abs(one.wort - other.wort) > WRITTEN_TO)


def is_corrected(one: CooldownLog, other: CooldownLog) -> bool:
    """Whether two logs are of one batch of which a reading was written anew: the same times, and most
    temperatures the same."""
    if not _at_one_time(one, other):
        return False
    differ = int(_apart(one, other).sum())
    return 0 < differ <= CORRECTED * one.time.size
