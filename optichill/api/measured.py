"""Measured batches as they are given: logs with their coils, and what is said of each; all faults at once."""

from __future__ import annotations

import os
import re
from dataclasses import replace
from typing import Any

import numpy as np

from optichill.api.given import inputs_with
from optichill.api.problem import Problem
from optichill.display import show
from optichill.errors import InputFault, InputFaults
from optichill.files.in_python import refuse
from optichill.files.log.checks import Expected
from optichill.files.log.points import looks_like_points
from optichill.files.log.table import read_log, with_batch
from optichill.files.reading import Inputs
from optichill.geometry import fit
from optichill.model.cooldown_log import MEASURED_BY, PLACES, CooldownLog
from optichill.model.slips import no_batch
from optichill.owned.calibrate.fit import MeasuredBatch
from optichill.owned.calibrate.question import basis_of_log
from optichill.rating.coil_rating import placed
from optichill.report.words.by_hand import rough
from optichill.units import QuantityError, parse

LONGEST_NAME = 40


def _listed(given: Any) -> list[Any]:
    return list(given) if isinstance(given, list | tuple) else [given]


def _for_each(key: str, given: Any, count: int, faults: list[InputFault]) -> list[Any]:
    """One for all, or one for each log."""
    found = _listed(given)
    if len(found) not in (1, count):
        reason = f"{len(found)} of them for {count} log{'s' if count > 1 else ''}"
        faults.append(InputFault(f"--{key}", 0, "logs", "", reason, "one for all, or one for each log"))
        return [found[0]] * count if found else [None] * count
    return found * count if len(found) == 1 else found


def batches_of(
    problem: Problem, coil: Any, log: Any, volume: Any, volume_by: Any, thermometer: Any, name: Any = None
) -> list[MeasuredBatch]:
    """What was given as batches, with every fault of every part at once; a line of readings without a name of
    its own has none yet."""
    faults: list[InputFault] = []
    logs = _listed(log)
    count = len(logs)
    if not count:
        raise refuse("log", "", "none", "a log, or readings such as 0:98 5:60 10:38")
    coils = _for_each("coil", coil, count, faults)
    volumes = [_volume(v, problem, faults) for v in _for_each("volume", volume, count, faults)]
    by = _of_words("volume-by", volume_by, tuple(MEASURED_BY), count, faults)
    places = _of_words("thermometer", thermometer, PLACES, count, faults)
    expected = expected_of(problem)
    lines = [n for n, one in enumerate(logs) if isinstance(one, str) and looks_like_points(one)]
    read = [
        _log(one, expected, faults, lines.index(n) + 1 if n in lines else 1) for n, one in enumerate(logs)
    ]
    names = [_name(one, faults) for one in _for_each("name", name, count, faults)]
    read = [_named(one, n in lines, called) for (n, one), called in zip(enumerate(read), names, strict=True)]
    found = _coils(problem, coils, faults)
    faults += [fault for one in read if one is not None for fault in _no_batch(problem, one.volume)]
    if faults:
        raise InputFaults(faults)
    return [
        _with_dry_turns(
            problem,
            MeasuredBatch(with_batch(one, place=where, volume=V, volume_by=how), piece.coil, name),
        )
        for one, where, V, how, (name, piece) in zip(read, places, volumes, by, found, strict=True)
        if one is not None and piece.coil is not None
    ]


def _name(given: Any, faults: list[InputFault]) -> str | None:
    """What a person calls a batch."""
    if given is None:
        return None
    called = " ".join(str(given).split())
    if not called or len(called) > LONGEST_NAME or not called.isprintable():
        allowed = f"a few words, up to {LONGEST_NAME} signs"
        faults.append(InputFault("--name", 0, "batch", called, "no name for a batch", allowed))
    return called


def _named(log: CooldownLog | None, in_a_line: bool, called: str | None) -> CooldownLog | None:
    """By what a person says, else by the day that the log has, else as its file; "" for a line of
    readings."""
    if log is None:
        return None
    return replace(log, name=called or log.date or ("" if in_a_line else log.name))


def _with_dry_turns(problem: Problem, batch: MeasuredBatch) -> MeasuredBatch:
    """The same; where its own volume leaves the top turn dry its log says so."""
    if batch.log.volume is None:
        return batch
    basis = basis_of_log(problem.basis, batch.log)
    shape, there = placed(basis, batch.coil)
    dry = -float(fit.submergence(there.hot_level, there.top, shape.d_o)[0])
    if dry <= 0.0:
        return batch
    u = problem.brewhouse.units
    wort, out = show(batch.log.volume, "exact_volume", u), rough(dry, u)
    said = f"of {wort} the top turn stands {out} out of the hot wort: was it so?"
    return replace(batch, log=replace(batch.log, remarks=(*batch.log.remarks, said)))


def _of_words(
    key: str, given: Any, known: tuple[str, ...], count: int, faults: list[InputFault]
) -> list[str | None]:
    found = _for_each(key, given, count, faults)
    for one in found:
        if one is not None and one not in known:
            faults.append(InputFault(f"--{key}", 0, "word", str(one), "not known", ", ".join(known)))
    return found


def _volume(given: Any, problem: Problem, faults: list[InputFault]) -> float | None:
    """Hot wort [m3] of text with its unit, or of a number of m3."""
    if given is None:
        return None
    try:
        found = parse(_DECIMAL_COMMA.sub(".", given), "volume") if isinstance(given, str) else float(given)
    except QuantityError as error:
        reason, allowed = error.reason, error.allowed
    except (TypeError, ValueError):
        reason, allowed = "not a volume", '"21 L", or m3'
    else:
        faults += _no_batch(problem, found, str(given))
        return found
    faults.append(InputFault("--volume", 0, "hot wort", str(given), reason, allowed))
    return None


_DECIMAL_COMMA = re.compile(r"(?<=[0-9]),(?=[0-9]{1,2}(?![0-9]))")
"""As in 22,7 L; of 22,700 nobody knows."""


def _no_batch(problem: Problem, volume: float | None, given: str = "") -> list[InputFault]:
    """A fault where the kettle cannot hold so much hot wort [m3], or where it is no batch to chill."""
    if volume is None:
        return []
    kettle, u = problem.brewhouse.kettle, problem.brewhouse.units
    brim = show(kettle.capacity, "exact_volume", u)
    reason = no_batch(volume, kettle.capacity, u) if 0.0 < volume < np.inf else "no batch of wort"
    if kettle.capacity < volume < np.inf:
        reason = f"more than the kettle holds: {brim} to its brim"
    said = given or show(volume, "exact_volume", u)
    return [InputFault("--volume", 0, "hot wort", said, reason, f"up to {brim}")] if reason else []


def _log(one: Any, expected: Expected, faults: list[InputFault], number: int) -> CooldownLog | None:
    if isinstance(one, CooldownLog):
        return one
    if not isinstance(one, str | os.PathLike):
        faults += refuse("log", one, "not a log", "a CSV file, or readings such as 0:98 5:60 10:38").faults
        return None
    return read_log(os.fspath(one), expected, faults, number)


def _coils(problem: Problem, coils: list[Any], faults: list[InputFault]) -> list[tuple[str, Inputs]]:
    """Name and inputs of each coil; one that is given twice is read once."""
    known: dict[str, Inputs | None] = {}
    found = []
    for n, coil in enumerate(coils, 1):
        text = isinstance(coil, str | os.PathLike)
        name = str(coil) if text else f"coil {n}" if len({id(c) for c in coils}) > 1 else "coil"
        if name not in known:
            known[name] = None
            try:
                known[name] = inputs_with(coil, problem)
            except InputFaults as error:
                faults += error.faults
        read = known[name]
        if read is not None:
            found.append((name, read))
    return found


def expected_of(problem: Problem) -> Expected:
    """What the brewhouse says of every batch."""
    house, stages = problem.brewhouse, problem.basis.scenario.stages
    coldest = [s.source.coldest for s in stages if s.source is not None]
    return Expected(
        units=house.units,
        hot=house.wort.start_temperature,
        target=problem.basis.scenario.T_target,
        coldest=float(min(coldest)) if coldest else 273.15,
        holds=any(stage.is_hold for stage in house.cooling),
    )
