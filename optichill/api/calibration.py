"""What measured batches teach about one's own cellar."""

from __future__ import annotations

import os
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from pathlib import Path
from typing import Any

from optichill.api.given import inputs_with, told_where
from optichill.api.problem import PathLike, Problem
from optichill.errors import CannotWrite, InputFault, InputFaults
from optichill.files.calibration_file import calibration_of
from optichill.files.in_python import refuse
from optichill.files.log.checks import Expected
from optichill.files.log.measured_batches import read_batches, same
from optichill.files.log.points import looks_like_points
from optichill.files.log.table import read_log, with_batch
from optichill.files.ownership import refuse_foreign_json, write_report
from optichill.files.reading import Inputs, is_packaged
from optichill.files.writing import write_whole
from optichill.model.cooldown_log import MEASURED_BY, PLACES, CooldownLog
from optichill.owned.calibrate.fit import Fit, MeasuredBatch
from optichill.owned.calibrate.fitting import calibrate as fitted
from optichill.owned.calibrate.meaning import Meaning, meaning
from optichill.problem.basis import DesignBasis
from optichill.report import jsonout, notebook
from optichill.report.calibration.document import document, to_keep
from optichill.report.calibration.page import NAME, page
from optichill.report.calibration.screen import screen
from optichill.report.paper import WIDTH, folded
from optichill.units import QuantityError, parse

LEAST_VOLUME, MOST_VOLUME = 1e-3, 1.0
"""Of hot wort [m3]."""


@dataclass(frozen=True, eq=False)
class Calibrated:
    """Measured batches, fitted: what they taught.

    Parameters
    ----------
    problem : the brewhouse, without any earlier calibration.
    fit : what was found.
    aside : batches of the calibration that is there already, and that do not count in this one.

    Examples
    --------
    >>> coil = {"material": "copper", "outer_diameter": "10 mm", "wall": "1 mm", "mean_diameter": "24 cm",
    ...         "pitch": "16 mm", "turns": 10, "riser_length_in": "60 cm", "riser_length_out": "40 cm"}
    >>> found = oc.calibrate(oc.read(), coil, "0:98 5:68 10:48 15:36 20:28")
    >>> len(found.fit.batches), found.place is None
    (1, True)
    """

    problem: Problem
    fit: Fit = field(repr=False)
    aside: tuple[MeasuredBatch, ...] = field(default=(), repr=False)

    @property
    def basis(self) -> DesignBasis:
        """The brewhouse in numbers, as it was thought before."""
        return self.problem.basis

    @cached_property
    def means(self) -> tuple[Meaning, ...]:
        """What that means for each coil that was measured, and for another of its sizes."""
        return meaning(self.basis, self.fit.calibration, [f.batch for f in self.fit.batches])

    @property
    def place(self) -> Path | None:
        """Where it is kept; None for the packaged example, and for what was built in Python."""
        path = self.problem.brewhouse.path
        return None if path is None or is_packaged(path) else calibration_of(path)

    def keep(self) -> Path:
        """Write it beside the brewhouse file, where every command uses it; what stood there before is
        replaced where optichill wrote it.

        Raises
        ------
        CannotWrite
            Also where there is no place for it.
        """
        if self.place is None:
            raise CannotWrite(
                "the packaged example keeps no calibration: optichill init writes your own files"
            )
        refuse_foreign_json(self.place)
        write_whole(self.place, jsonout.dumps(to_keep(self.fit, self.means, self.problem.inputs, self.aside)))
        return self.place

    def report(self, folder: PathLike, *, force: bool = False) -> Path:
        """Write the page into a report folder, whole or not at all."""
        text = page(self.fit, self.means, self.basis, self.problem.inputs)
        (written,) = write_report(Path(folder), {NAME: text}, self.problem.brewhouse, force=force)
        return written

    def lines(self, kept: Sequence[str] = (), width: int = WIDTH) -> list[str]:
        """The answer as `optichill calibrate` says it, folded to a width [columns]; kept : what is said of
        where it is kept."""
        return folded(screen(self.fit, self.means, self.basis, self.problem.inputs, kept), width)

    def to_dict(self, files: Sequence[str] = ()) -> dict[str, Any]:
        """The document of `optichill calibrate --json`, in SI; files : those that were written."""
        made = document(self.fit, self.means, self.basis, self.problem.inputs, files)
        plain: dict[str, Any] = jsonout.plain(made)
        return plain

    def _repr_html_(self) -> str:
        return notebook.text(self.lines())


def calibrate(
    problem: Problem,
    coil: Any,
    log: Any,
    *,
    volume: Any = None,
    volume_by: str | Sequence[str] | None = None,
    thermometer: str | Sequence[str] | None = None,
    with_earlier: bool = False,
) -> Calibrated:
    """Fit the model to measured cool-downs.

    Parameters
    ----------
    problem : Problem
        A calibration that it has already is made anew.
    coil : as in `rate`, or a list
        One for all logs, or one for each.
    log : str, path or CooldownLog, or a list
        A CSV file, or readings in one line, minutes:temperature: "0:98 5:60 10:38".
    volume : str or float, or a list, optional
        Hot wort of that batch, where it is not the brewhouse's.
    volume_by : {"eye", "stick"}, or a list, optional
        How the volume is known: to a tenth, as is taken where nothing is said, or to a hundredth by a stick
        or a scale.
    thermometer : {"coil", "top", "stirred"}, or a list, optional
        Where it hung: among the turns, as is taken where nothing is said, near the surface, or in wort
        stirred before each reading.
    with_earlier : bool
        Whether the batches count too that the calibration beside the brewhouse file holds; else they are only
        kept in it.

    Returns
    -------
    Calibrated

    Raises
    ------
    InputFaults
        All faults of all logs and coils at once.

    Examples
    --------
    >>> coil = {"material": "copper", "outer_diameter": "10 mm", "wall": "1 mm", "mean_diameter": "24 cm",
    ...         "pitch": "16 mm", "turns": 10, "riser_length_in": "60 cm", "riser_length_out": "40 cm"}
    >>> oc.calibrate(oc.read(), coil, "0:208 5:140 10:100")
    Traceback (most recent call last):
        ...
    optichill.errors.InputFaults: points: reading 1: 0:208: hotter than wort can boil, but 208 degF is ...
    """
    if not isinstance(problem, Problem):
        raise refuse("problem", problem, "not a problem", "what read or Problem gave")
    problem = Problem.of(replace(problem.inputs, calibration=None))
    batches = _batches(problem, coil, log, volume, volume_by, thermometer)
    earlier = _earlier(problem, batches)
    if with_earlier:
        batches, earlier = [*earlier, *batches], []
    with told_where(problem.inputs):
        return Calibrated(problem, fitted(problem.basis, batches), tuple(earlier))


def _earlier(problem: Problem, now: list[MeasuredBatch]) -> list[MeasuredBatch]:
    """Batches that the calibration there is holds, without those that are given again."""
    path, faults = problem.brewhouse.path, list[InputFault]()
    found = [] if path is None else read_batches(calibration_of(path), faults)
    if faults:  # else they would be lost
        raise InputFaults(faults)
    return [MeasuredBatch(*kept) for kept in found if not any(same(kept[0], b.log) for b in now)]


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


def _batches(
    problem: Problem, coil: Any, log: Any, volume: Any, volume_by: Any, thermometer: Any
) -> list[MeasuredBatch]:
    """What was given as batches, with every fault of every part at once."""
    faults: list[InputFault] = []
    logs = _listed(log)
    count = len(logs)
    if not count:
        raise refuse("log", "", "none", "a log, or readings such as 0:98 5:60 10:38")
    coils = _for_each("coil", coil, count, faults)
    volumes = [_volume(v, faults) for v in _for_each("volume", volume, count, faults)]
    by = _of_words("volume-by", volume_by, tuple(MEASURED_BY), count, faults)
    places = _of_words("thermometer", thermometer, PLACES, count, faults)
    expected = expected_of(problem)
    lines = [n for n, one in enumerate(logs) if isinstance(one, str) and looks_like_points(one)]
    read = [
        _log(one, expected, faults, lines.index(n) + 1 if n in lines else 1) for n, one in enumerate(logs)
    ]
    found = _coils(problem, coils, faults)
    if faults:
        raise InputFaults(faults)
    return [
        MeasuredBatch(with_batch(one, place=where, volume=V, volume_by=how), piece.coil, name)
        for one, where, V, how, (name, piece) in zip(read, places, volumes, by, found, strict=True)
        if one is not None and piece.coil is not None
    ]


def _of_words(
    key: str, given: Any, known: tuple[str, ...], count: int, faults: list[InputFault]
) -> list[str | None]:
    found = _for_each(key, given, count, faults)
    for one in found:
        if one is not None and one not in known:
            faults.append(InputFault(f"--{key}", 0, "word", str(one), "not known", ", ".join(known)))
    return found


def _volume(given: Any, faults: list[InputFault]) -> float | None:
    """Hot wort [m3] of text with its unit, or of a number of m3."""
    if given is None:
        return None
    try:
        found = parse(given, "volume") if isinstance(given, str) else float(given)
        if LEAST_VOLUME <= found <= MOST_VOLUME:
            return found
        reason, allowed = "no batch of wort", "1 L to 1000 L"
    except QuantityError as error:
        reason, allowed = error.reason, error.allowed
    except (TypeError, ValueError):
        reason, allowed = "not a volume", '"21 L", or m3'
    faults.append(InputFault("--volume", 0, "hot wort", str(given), reason, allowed))
    return None


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


def check_place(problem: Problem) -> None:
    """Refuse at once where a calibration could not be kept."""
    path = problem.brewhouse.path
    if path is not None and not is_packaged(path):
        refuse_foreign_json(calibration_of(path))
