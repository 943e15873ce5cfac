"""Several kettles, of which one was measured: which, and how what was learnt counts in the other."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import new_kettles as nk
import pytest
import small_calibration

from optichill.files.calibration_file import calibration_of, document
from optichill.files.coil_file import coil_text

Run = Callable[..., Any]


@pytest.fixture
def measured(tmp_path: Path) -> tuple[Path, Path, Path]:
    """Both kettles, the old one with its calibration, and the coil."""
    old, new = nk.house(tmp_path / "old", {}), nk.house(tmp_path / "new", nk.CASES["a little wider"])
    law = small_calibration.fitted().calibration
    law_of(old).write_text(json.dumps(document(law)), encoding="utf-8")
    coil = tmp_path / "coil.toml"
    coil.write_text(coil_text(nk.coil_of(), demo=False), encoding="utf-8")
    return old, new, coil


def law_of(folder: Path) -> Path:
    """Its calibration's file."""
    return calibration_of(folder / "brewhouse.toml")


def asked(of: tuple[Path, Path, Path], how: str) -> list[str]:
    old, new, coil = of
    if how == "new-kettle":
        return [how, str(old), str(new), "--coil", str(coil), "--out", str(old.parent / "out")]
    return ["recommend", str(old), how, str(new)]


@pytest.mark.parametrize(
    "how", ["new-kettle", *(pytest.param(how, marks=pytest.mark.slow) for how in ("--also", "--next-kettle"))]
)
def test_what_was_measured_counts_once_its_file_is_copied(
    optichill: Run, measured: tuple[Path, Path, Path], how: str
) -> None:
    """The line names both files, and doing what it says changes the answer and takes the line away."""
    old, new, _ = measured
    before = optichill(*asked(measured, how), "--json", str(old.parent / "out.json"))
    said = " ".join(before.out.split())
    assert before.status == 0 and "CALIBRATED old: by 1 batch" in said
    assert "counts in new too once" in said
    assert said.index(str(law_of(old))) < said.index(str(law_of(new)))
    told = json.loads((old.parent / "out.json").read_text(encoding="utf-8"))
    mine = told["calibrated_old" if how == "new-kettle" else "calibrated"]
    assert mine["batches"] == 1
    assert (told["calibrated"] if how == "new-kettle" else told["kettles"][1]["calibrated"]) is False
    law_of(new).write_bytes(law_of(old).read_bytes())
    after = optichill(*asked(measured, how))
    said = " ".join(after.out.split())
    assert "counts in new too" not in said and "new: by 1 batch" in said and "left out" in said
    assert after.out.split("CALIBRATED")[1] != before.out.split("CALIBRATED")[1]
