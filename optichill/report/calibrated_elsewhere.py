"""Where an answer is about several kettles: by what each is calibrated, and how what was measured in one of
them comes to count in another."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from optichill.errors import shown
from optichill.files.calibration_file import calibration_of
from optichill.files.reading import is_packaged
from optichill.files.reading import shown as shown_path
from optichill.model.coil import Coil
from optichill.problem.basis import DesignBasis
from optichill.report.calibrated import in_use, sentences
from optichill.report.paper import entry, whole


def lines(kettles: Sequence[DesignBasis]) -> list[str]:
    """CALIBRATED, for a screen; the first kettle is the one that was brewed in."""
    said = []
    for basis in kettles:
        told = sentences(basis.brewhouse, basis.calibration)
        said += [f"{_name(basis)}: {'; '.join(told)}"] if told else []
    return entry("CALIBRATED", *said, *to_copy(kettles[0], kettles[1:]))


def to_copy(measured: DesignBasis, others: Sequence[DesignBasis]) -> list[str]:
    """Which file would have to be copied where, so that what was measured in one kettle counts in the others
    too: to those that have no calibration of their own."""
    path = measured.brewhouse.path
    if measured.calibration is None or path is None:
        return []
    return [
        f"what was measured in {_name(measured)} counts in {_name(basis)} too once "
        f"{whole(shown_path(calibration_of(path)))} is copied to "
        f"{whole(shown_path(calibration_of(basis.brewhouse.path)))}, if both are cooled from one tap and "
        "stirred alike (what the kettle had of its own is left out by itself)"
        for basis in others
        if basis.calibration is None
        and basis.brewhouse.path is not None
        and not is_packaged(basis.brewhouse.path)
    ]


def documents(kettles: Sequence[DesignBasis], coil: Coil | None = None) -> list[dict[str, Any] | bool]:
    """The calibration of each as documents name it, as `calibrated.in_use`."""
    return [in_use(basis.brewhouse, basis.calibration, coil) for basis in kettles]


def _name(basis: DesignBasis) -> str:
    return shown(basis.brewhouse.name, 40)
