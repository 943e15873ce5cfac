"""What was learnt, for other programs; and the file that every command reads."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from optichill.files import calibration_file
from optichill.files.log import measured_batches
from optichill.files.ownership import HEAD
from optichill.files.reading import Inputs
from optichill.owned.calibrate.fit import Fit, FittedBatch, Learnt, MeasuredBatch
from optichill.owned.calibrate.meaning import Meaning
from optichill.problem.basis import DesignBasis
from optichill.report.calibration import words
from optichill.report.calibration.screen import doubts_of, leaning_lines, learnt_lines, remarks
from optichill.report.design_json import prediction


def document(
    fit: Fit, means: Sequence[Meaning], basis: DesignBasis, inputs: Inputs, files: Sequence[str]
) -> dict[str, Any]:
    """All of it, in SI; files : calibration and page, where they were written."""
    u = basis.brewhouse.units
    return {
        **HEAD,
        "brewhouse": inputs.brewhouse.name,
        "demo": inputs.brewhouse.demo,
        "batches": [_batch(batch, basis) for batch in fit.batches],
        "learnt": [_learnt(one) for one in fit.learnt],
        "coils": [
            {
                "coil": one.coil,
                "before": prediction(one.before),
                "after": prediction(one.after),
                "another_of_its_sizes": prediction(one.another),
            }
            for one in means
        ],
        "doubts": [
            {"log": d.log, "kind": d.kind, "text": words.doubt(d, basis), "figures": dict(d.figures)}
            for d in doubts_of(fit, basis)
        ],
        "tells_more": [
            {"kind": a.kind, "text": words.advice(a, u), "shrinks": a.shrinks, "figures": dict(a.figures)}
            for a in fit.tells_more
        ],
        "files": list(files),
        "calibration": calibration_file.document(fit.calibration),
        "warnings": list(inputs.warnings),
    }


def to_keep(
    fit: Fit, means: Sequence[Meaning], inputs: Inputs, aside: Sequence[MeasuredBatch]
) -> dict[str, Any]:
    """The file beside the brewhouse file: the law, above it what a person reads, and all readings; aside :
    batches that were measured before and do not count."""
    u = inputs.brewhouse.units
    return {
        **HEAD,
        "what": "What measured batches taught about this brewhouse; every optichill command uses it. Delete "
        "or move this file, and nothing is calibrated.",
        "brewhouse": inputs.brewhouse.name,
        "learnt": [*learnt_lines(fit, means, u), *leaning_lines(fit, u)],
        **calibration_file.document(fit.calibration),
        measured_batches.MEASURED: [_measured(b.batch) for b in fit.batches],
        measured_batches.ASIDE: [_measured(b) for b in aside],
    }


def _measured(batch: MeasuredBatch) -> dict[str, Any]:
    return measured_batches.document((batch.log, batch.coil, batch.coil_name))


def _batch(batch: FittedBatch, basis: DesignBasis) -> dict[str, Any]:
    log, energy, hold = batch.batch.log, batch.energy, batch.batch.hold
    return {
        "log": log.name,
        "coil": batch.batch.coil_name,
        "thermometer": log.place,
        "readings": int(log.time.size),
        "remarks": remarks(batch, basis),
        "hold": None if hold is None else {"lasts_s": hold.lasts, "counted": hold.counted, "sure": hold.sure},
        "time_s": batch.time.tolist(),
        "measured_K": batch.measured.tolist(),
        "fitted_K": batch.fitted.tolist(),
        "used": batch.used.tolist(),
        "misses_K": batch.misses,
        "volume_m3": batch.volume,
        "energy": None
        if energy is None
        else {
            "into_water_J": energy.into_water,
            "out_of_wort_J": energy.out_of_wort,
            "closure": energy.closure,
            "error": energy.error,
        },
    }


def _learnt(one: Learnt) -> dict[str, Any]:
    return {
        "name": one.name,
        "of": one.of,
        "what": one.what,
        "unit": one.unit,
        "before": dict(zip(("p10", "median", "p90"), one.before, strict=True)),
        "after": dict(zip(("p10", "median", "p90"), one.after, strict=True)),
        "learnt": one.told_apart,
    }
