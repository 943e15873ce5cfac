"""The file beside the brewhouse: it comes back as it was, and what is none is refused whole."""

from __future__ import annotations

import copy
import json
import math
from collections.abc import Callable
from pathlib import Path
from typing import Any

import kits
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tiers import count

from optichill.errors import InputFault, InputFaults
from optichill.files.calibration_file import calibration_of, document, read_calibration
from optichill.files.reading import load, sources
from optichill.model.calibration import TANK, Batch, Calibration, MeasuredCoil
from optichill.thermal.deviates import COLUMNS

COIL = MeasuredCoil("coil.toml", "copper", 0.010, 0.008, 0.26, 10.5)


def learnt(coils: tuple[MeasuredCoil, ...] = (COIL,), seed: int = 3) -> Calibration:
    """A law of a fit's kind: narrower than the priors, and leaning on each other."""
    n = len(COLUMNS) + 1 + len(coils)
    draw = np.random.default_rng(seed)
    slopes = draw.normal(size=(4, n))
    cov = np.linalg.inv(np.eye(n) + slopes.T @ slopes)
    priors = {column: column for column in COLUMNS}
    return Calibration(
        coils,
        draw.normal(size=n),
        cov,
        priors,
        (0.36, 0.40),
        (Batch("log.csv", "coil.toml", 6, 0.4, ("day",)),),
    )


def read(path: Path) -> tuple[Calibration | None, list[str]]:
    faults: list[InputFault] = []
    found = read_calibration(path, faults)
    return found, [str(f) for f in faults]


@pytest.mark.parametrize(
    "coils", [(), (COIL,), (COIL, MeasuredCoil("b", "stainless 304", 0.012, 0.01, 0.3, 8.0))]
)
def test_it_comes_back_as_it_was_written(tmp_path: Path, coils: tuple[MeasuredCoil, ...]) -> None:
    law, path = learnt(coils), tmp_path / "x.calibration.json"
    path.write_text(json.dumps(document(law) | {"for people": "anything"}), encoding="utf-8")
    found, faults = read(path)
    assert found is not None and not faults
    assert found.coils == coils and found.priors == law.priors and found.batches == law.batches
    assert np.allclose(found.mean, law.mean) and np.allclose(found.cov, law.cov)
    assert found.names[: len(COLUMNS) + 1] == (*COLUMNS, TANK)


def test_nothing_there_is_no_fault(tmp_path: Path) -> None:
    assert read(tmp_path / "none.calibration.json") == (None, [])


Bend = Callable[[dict[str, Any]], Any]
BENT: dict[str, tuple[Bend, str]] = {
    "not a table": (lambda d: [d], "damaged: not a table"),
    "a key is missing": (lambda d: {k: v for k, v in d.items() if k != "mean"}, "mean: missing"),
    "another version": (lambda d: d | {"columns": d["columns"][::-1]}, "another version of the program"),
    "a later version": (lambda d: d | {"schema_version": 7}, "of schema_version 7, this program reads 1"),
    "a column more": (lambda d: d | {"columns": [*d["columns"], "moon"]}, "another version of the program"),
    "a prior less": (lambda d: d | {"priors": {}}, "another version of the program"),
    "mean too short": (lambda d: d | {"mean": d["mean"][1:]}, "are not of 17 quantities"),
    "a row too short": (
        lambda d: d | {"covariance": [d["covariance"][0][1:], *d["covariance"][1:]]},
        "are not of 17",
    ),
    "a coil more": (lambda d: d | {"coils": d["coils"] * 2}, "are not of 18 quantities"),
    "NaN": (lambda d: d | {"mean": [math.nan, *d["mean"][1:]]}, "mean.0"),
    "infinite": (lambda d: d | {"mean": [math.inf, *d["mean"][1:]]}, "mean.0"),
    "text for a number": (lambda d: d | {"mean": ["x", *d["mean"][1:]]}, "mean.0"),
    "huge": (lambda d: d | {"mean": [1e9, *d["mean"][1:]]}, "numbers that no fit gives"),
    "not symmetric": (
        lambda d: d | {"covariance": np.triu(np.ones((17, 17))).tolist()},
        "that of no law, its numbers were changed",
    ),
    "negative": (
        lambda d: d | {"covariance": (-np.eye(17)).tolist()},
        "that of no law, its numbers were changed",
    ),
    "indefinite": (
        lambda d: d | {"covariance": (np.ones((17, 17)) * 0.9 + np.diag([-0.5] * 17)).tolist()},
        "that of no law, its numbers were changed",
    ),
    "a kettle of no size": (lambda d: d | {"kettle_m": [0.0, 0.4]}, "numbers that no fit gives"),
    "a coil of other keys": (lambda d: d | {"coils": [{"name": "x"}]}, "coils.0"),
}


@pytest.mark.parametrize("kind", BENT)
def test_what_is_none_is_refused_with_what_to_do(tmp_path: Path, kind: str) -> None:
    bend, said = BENT[kind]
    path = tmp_path / "x.calibration.json"
    path.write_text(json.dumps(bend(copy.deepcopy(document(learnt())))), encoding="utf-8")
    found, faults = read(path)
    assert found is None and len(faults) == 1
    assert faults[0].startswith(f"{path}: calibration: ") and said in faults[0]
    assert "delete or move it, and nothing is calibrated" in faults[0] and "\n" not in faults[0]


@pytest.mark.parametrize(
    "raw",
    [b"", b"{", b"null", b"3", b"\x00", b"\xff\xfe{", b"\xe9", b"[" * 90_000, b'{"a":' * 50_000, b"9" * 5000,
     b'{"mean": NaN}', b"x" * 9_000_000],
    ids=["empty", "cut", "null", "3", "nul", "UTF-16", "latin", "deep list", "deep table", "digits", "NaN",
         "large"],
)  # fmt: skip
def test_garbage(tmp_path: Path, raw: bytes) -> None:
    path = tmp_path / "x.calibration.json"
    path.write_bytes(raw)
    found, faults = read(path)
    assert found is None and len(faults) == 1 and "delete or move it" in faults[0] and str(path) in faults[0]


def test_a_folder_of_its_name(tmp_path: Path) -> None:
    (tmp_path / "x.calibration.json").mkdir()
    found, faults = read(tmp_path / "x.calibration.json")
    assert found is None and "delete or move it" in faults[0]


@settings(max_examples=count(60, 3000), deadline=None)
@given(st.floats(0.0, 1.0, exclude_max=True), st.integers(0, 30), st.text(max_size=6))
def test_any_cut_is_read_or_refused(place: float, cut: int, put: str) -> None:
    import tempfile

    text = json.dumps(document(learnt()))
    at = int(place * len(text))
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "x.calibration.json"
        path.write_bytes((text[:at] + put + text[at + cut :]).encode("utf-8", "surrogatepass"))
        found, faults = read(path)
    assert (found is None) == bool(faults)
    if found is not None:
        assert np.isfinite(found.mean).all() and np.linalg.eigvalsh(found.cov).min() > -1e-5


def test_it_stands_beside_its_brewhouse_and_is_one_of_the_inputs(tmp_path: Path) -> None:
    kits.write_kit(tmp_path)
    house = tmp_path / "brewhouse.toml"
    path = calibration_of(house)
    assert path == tmp_path / "brewhouse.calibration.json" and path not in sources(house)
    assert load(house).calibration is None
    path.write_text(json.dumps(document(learnt())), encoding="utf-8")
    assert load(house).calibration is not None and path in sources(house)
    path.write_text("{}", encoding="utf-8")
    with pytest.raises(InputFaults, match="delete or move it"):
        load(house)
