"""What measured batches teach about one's own cellar."""

from __future__ import annotations

import os
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from functools import cached_property
from pathlib import Path
from typing import Any

from optichill.api.batch_names import named, with_plain_names
from optichill.api.by_name import told_by_name
from optichill.api.measured import batches_of
from optichill.api.problem import PathLike, Problem, told_where
from optichill.errors import CannotWrite, InputFault, InputFaults, shown
from optichill.files.calibration_file import calibration_of
from optichill.files.in_python import refuse
from optichill.files.log.measured_batches import ASIDE, MEASURED, is_corrected, read_batches, same
from optichill.files.ownership import refuse_foreign_json, write_report
from optichill.files.reading import is_packaged
from optichill.files.writing import alone, write_whole
from optichill.owned.calibrate.fit import Fit, MeasuredBatch
from optichill.owned.calibrate.fitting import calibrate as fitted
from optichill.owned.calibrate.meaning import Meaning, meaning
from optichill.owned.calibrate.readings import NothingToFit
from optichill.problem.basis import DesignBasis
from optichill.report import jsonout, notebook
from optichill.report.calibration.document import document, to_keep
from optichill.report.calibration.page import NAME, page
from optichill.report.calibration.screen import screen
from optichill.report.paper import WIDTH, folded


@dataclass(frozen=True, eq=False)
class Calibrated:
    """Measured batches, fitted: what they taught.

    Parameters
    ----------
    problem : the brewhouse, without any earlier calibration.
    fit : what was found.
    aside : batches of the calibration that is there already, and that do not count in this one.
    earlier : those that count in it, with the new ones.
    corrected : of those aside the ones of which the new ones are taken for a correction.
    stood : what the calibration file held when it was read; None where there was none.

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
    earlier: tuple[MeasuredBatch, ...] = field(default=(), repr=False)
    corrected: tuple[MeasuredBatch, ...] = field(default=(), repr=False)
    stood: bytes | None = field(default=None, repr=False)

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

    def keep(self, pages: PathLike | None = None, *, force: bool = False) -> Path:
        """Write it beside the brewhouse file, where every command uses it; what stood there before is
        replaced where optichill wrote it, and nobody has kept another batch there meanwhile. pages : report
        folder that its page goes into besides, before; force : as in `report`.

        Raises
        ------
        CannotWrite
            Also where there is no place for it.
        """
        if self.place is None:
            raise CannotWrite(
                "the packaged example keeps no calibration: optichill init writes your own files"
            )
        text = jsonout.dumps(to_keep(self.fit, self.means, self.problem.inputs, self.aside))
        with alone(self.place):
            refuse_foreign_json(self.place)
            self._refuse_changed(text)
            if pages is not None:
                self.report(pages, force=force)
            write_whole(self.place, text)
        return self.place

    def _refuse_changed(self, text: str) -> None:
        """A batch that another run has kept meanwhile is in none of ours, and would be lost."""
        assert self.place is not None
        if _standing(self.place) not in (self.stood, text.encode()):
            raise CannotWrite(
                f"{self.place}: was changed while this batch was being fitted, by another optichill "
                "calibrate perhaps: left as it is, and this batch is not kept. Run the same command again: "
                "it then counts together with what stands there"
            )

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
    name: str | Sequence[str] | None = None,
    with_earlier: bool = False,
    anew: bool = False,
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
    name : str, or a list, optional
        What a batch is called; without one by the date that its log has, or its file's name, else "batch 1".
    with_earlier : bool
        Whether batches count too that were put aside before; those that the calibration beside the brewhouse
        file counts do count without it.
    anew : bool
        Whether what was measured before is put aside: the calibration file keeps it, and it does not count.
        What was measured in a brewhouse of another name is put aside without it.

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
    with told_by_name():
        return calibrate_by_options(
            problem,
            coil,
            log,
            volume=volume,
            volume_by=volume_by,
            thermometer=thermometer,
            name=name,
            with_earlier=with_earlier,
            anew=anew,
        )


def calibrate_by_options(
    problem: Problem,
    coil: Any,
    log: Any,
    *,
    volume: Any = None,
    volume_by: str | Sequence[str] | None = None,
    thermometer: str | Sequence[str] | None = None,
    name: str | Sequence[str] | None = None,
    with_earlier: bool = False,
    anew: bool = False,
) -> Calibrated:
    """The same for the command line: what is refused is named as its options are."""
    if not isinstance(problem, Problem):
        raise refuse("problem", problem, "not a problem", "what read or Problem gave")
    there = problem.inputs.calibration
    of_another = there is not None and there.brewhouse not in (
        "",
        problem.brewhouse.name,
    )  # a file that was copied
    problem = Problem.of(replace(problem.inputs, calibration=None))
    if anew and with_earlier:
        raise refuse("anew", anew, "with_earlier wants the contrary", "one of the two")
    batches = _each_once(batches_of(problem, coil, log, volume, volume_by, thermometer, name))
    path = problem.brewhouse.path
    stood = None if path is None else _standing(calibration_of(path))
    before = _earlier(problem)
    batches = named(batches, [old for kept in before for old in kept])
    counted, aside = ([old for old in kept if not _given_again(old, batches)] for kept in before)
    corrected = [old for old in counted if _written_anew(old, batches)]
    counted = [old for old in counted if not _written_anew(old, batches)]
    aside = [*corrected, *aside]
    if anew or of_another:
        counted, aside = [], [*counted, *aside]
    if with_earlier:  # but for what was written anew since: that is no batch of its own
        back = [old for old in aside if not _written_anew(old, [*counted, *batches])]
        aside = [old for old in aside if _written_anew(old, [*counted, *batches])]
        counted = [*counted, *back]
    with told_where(problem.inputs), _told_of_earlier(counted):
        fit = fitted(problem.basis, [*counted, *batches])
    return Calibrated(problem, fit, tuple(aside), tuple(counted), tuple(corrected), stood)


def _standing(place: Path) -> bytes | None:
    """What a file holds; None where there is none."""
    return place.read_bytes() if place.is_file() else None


def _each_once(batches: list[MeasuredBatch]) -> list[MeasuredBatch]:
    """Without those whose readings were given twice."""
    found: list[MeasuredBatch] = []
    for one in batches:
        place = next((n for n, other in enumerate(found) if same(one.log, other.log)), None)
        if place is None:
            found.append(one)
        else:
            found[place] = _given_twice(found[place], one)
    return found


def _given_twice(kept: MeasuredBatch, again: MeasuredBatch) -> MeasuredBatch:
    """The batch that counts, whose log says that another held the same readings."""
    other = f"{shown(again.log.name, 40)} holds" if again.log.name else "another line holds"
    said = f"{other} the same readings: they are one batch, and count once"
    return replace(kept, log=replace(kept.log, remarks=(*kept.log.remarks, said)))


def _written_anew(old: MeasuredBatch, batches: list[MeasuredBatch]) -> bool:
    """Whether one of some batches is an old one with a reading corrected."""
    return any(is_corrected(old.log, new.log) for new in batches)


@contextmanager
def _told_of_earlier(counted: list[MeasuredBatch]) -> Iterator[None]:
    """A refusal of a log that was measured before says how to go on without it."""
    try:
        yield
    except NothingToFit as error:
        if any(str(error).startswith(f"{shown(one.log.name)}: ") for one in counted):
            raise NothingToFit(f"{error}; it was measured before: --anew puts it aside") from None
        raise


def _given_again(old: MeasuredBatch, batches: list[MeasuredBatch]) -> bool:
    """Whether one of some batches holds the same readings."""
    return any(same(old.log, new.log) for new in batches)


def _earlier(problem: Problem) -> tuple[list[MeasuredBatch], list[MeasuredBatch]]:
    """Batches of the calibration there is that count in it, and those it has put aside."""
    path, faults = problem.brewhouse.path, list[InputFault]()
    found = {} if path is None else read_batches(calibration_of(path), faults)
    if faults:  # else they would be lost
        raise InputFaults(faults)
    kept = [[MeasuredBatch(*one) for one in found.get(key, ())] for key in (MEASURED, ASIDE)]
    plain = with_plain_names([*kept[0], *kept[1]])
    return plain[: len(kept[0])], plain[len(kept[0]) :]


def check_place(problem: Problem) -> None:
    """Refuse at once where a calibration could not be kept."""
    path = problem.brewhouse.path
    if path is None or is_packaged(path):
        return
    place = calibration_of(path)
    refuse_foreign_json(place)
    if not os.access(place.parent, os.W_OK):
        raise CannotWrite(
            f"{place}: its folder cannot be written into (allowed: a brewhouse file in a folder of yours, or "
            "--look-only, which keeps nothing)"
        )
