"""Water: the table, its cache and its range."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest
from usual import ZERO

from optichill.errors import PropertyRange
from optichill.properties import water

# --- the water table and its cache ----------------------------------------------------------------------


@pytest.fixture
def fresh() -> Iterator[None]:
    """The table forgotten before and after, so that each test reads the cache it has set up."""
    water.table.cache_clear()
    yield
    water.table.cache_clear()


def cache_files(folder: Path) -> list[str]:
    return sorted(p.name for p in folder.iterdir())


def assert_water_is_right() -> None:
    """Water at 25 degC and 1 atm: 997.05 kg/m3 and 0.890 mPa s (IAPWS, V)."""
    assert float(water.density(25.0 + ZERO)) == pytest.approx(997.05, abs=0.06)
    assert float(water.viscosity(25.0 + ZERO)) == pytest.approx(0.890e-3, rel=1e-3)


def test_missing_cache_is_made(fresh: None, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    folder = tmp_path / "not" / "there"
    monkeypatch.setenv("OPTICHILL_CACHE", str(folder))
    assert_water_is_right()
    (name,) = cache_files(folder)  # no half-written file is left beside it
    assert name.startswith("water-") and name.endswith(".npz")


def spoil_text(path: Path) -> None:
    path.write_text("not an archive")


def spoil_truncated(path: Path) -> None:
    path.write_bytes(path.read_bytes()[: path.stat().st_size // 2])


def spoil_empty(path: Path) -> None:
    path.write_bytes(b"")


def rewrite(path: Path, change: dict[str, np.ndarray], drop: str = "") -> None:
    with np.load(path) as stored:
        columns = {name: stored[name] for name in stored.files if name != drop}
    np.savez(path, **(columns | change))


def spoil_column_missing(path: Path) -> None:
    rewrite(path, {}, drop="viscosity")


def spoil_column_short(path: Path) -> None:
    rewrite(path, {"density": np.ones(7)})


def spoil_column_infinite(path: Path) -> None:
    with np.load(path) as stored:
        density = stored["density"].copy()
    density[5] = np.inf
    rewrite(path, {"density": density})


def spoil_numbers_wrong(path: Path) -> None:
    with np.load(path) as stored:
        density = stored["density"] * 1.001
    rewrite(path, {"density": density})


def spoil_numbers_zero(path: Path) -> None:
    with np.load(path) as stored:
        zeros = {name: np.zeros_like(stored[name]) for name in stored.files if stored[name].dtype == float}
    rewrite(path, zeros)


def spoil_text_column(path: Path) -> None:
    with np.load(path) as stored:
        text = stored["density"].astype(str)
    rewrite(path, {"density": text})


def spoil_columns_swapped(path: Path) -> None:
    with np.load(path) as stored:
        swapped = {"density": stored["viscosity"], "viscosity": stored["density"]}
    rewrite(path, swapped)


def spoil_without_checksum(path: Path) -> None:
    rewrite(path, {}, drop="sha256")


SPOILS = [
    spoil_numbers_wrong,
    spoil_numbers_zero,
    spoil_text_column,
    spoil_columns_swapped,
    spoil_without_checksum,
    spoil_text,
    spoil_truncated,
    spoil_empty,
    spoil_column_missing,
    spoil_column_short,
    spoil_column_infinite,
]


@pytest.mark.parametrize("spoil", SPOILS)
def test_damaged_cache_is_made_again(
    fresh: None,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    spoil,  # type: ignore[no-untyped-def]
) -> None:
    monkeypatch.setenv("OPTICHILL_CACHE", str(tmp_path))
    water.table()
    (name,) = cache_files(tmp_path)
    spoil(tmp_path / name)
    damaged = (tmp_path / name).read_bytes()
    water.table.cache_clear()
    assert_water_is_right()
    assert cache_files(tmp_path) == [name]
    assert (tmp_path / name).read_bytes() != damaged


def test_cache_folder_that_cannot_be_made_costs_nothing_but_time(
    fresh: None, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The folder's place is taken by a file: nobody, not even an administrator, can write into it."""
    blocked = tmp_path / "file"
    blocked.write_text("in the way")
    monkeypatch.setenv("OPTICHILL_CACHE", str(blocked))
    assert_water_is_right()
    assert blocked.read_text() == "in the way"


def test_replacing_the_cache_may_fail(fresh: None, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(*_: object) -> None:
        raise PermissionError("held open by another program")

    monkeypatch.setenv("OPTICHILL_CACHE", str(tmp_path))
    monkeypatch.setattr("os.replace", refuse)
    assert_water_is_right()


ONE_CHILL = """
import sys
from optichill.properties import water
first = float(water.density(300.0))
print(any(name.split(".")[0] == "CoolProp" for name in sys.modules), repr(first))
"""


def test_second_run_never_imports_coolprop(tmp_path: Path) -> None:
    environment = os.environ | {"OPTICHILL_CACHE": str(tmp_path)}
    answers = []
    for _ in range(2):
        run = subprocess.run(
            [sys.executable, "-c", ONE_CHILL], env=environment, capture_output=True, text=True, check=True
        )
        answers.append(run.stdout.split())
    assert [imported for imported, _ in answers] == ["True", "False"]
    assert answers[0][1] == answers[1][1]


def test_cache_goes_to_the_users_folder(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.delenv("OPTICHILL_CACHE", raising=False)
    monkeypatch.setattr("sys.platform", "linux")
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path))
    assert water._cache_file().parent == tmp_path / "optichill"
    monkeypatch.setattr("sys.platform", "win32")
    monkeypatch.setenv("LOCALAPPDATA", str(tmp_path / "local"))
    assert water._cache_file().parent == tmp_path / "local" / "optichill"


def test_where_there_is_no_home_it_is_tabulated(fresh: None, monkeypatch: pytest.MonkeyPatch) -> None:
    def unknown() -> Path:
        raise RuntimeError("Could not determine home directory.")

    for name in ("OPTICHILL_CACHE", "XDG_CACHE_HOME", "LOCALAPPDATA"):
        monkeypatch.delenv(name, raising=False)
    monkeypatch.setattr(Path, "home", unknown)
    assert_water_is_right()


# --- ranges ---------------------------------------------------------------------------------------------


@pytest.mark.parametrize("T", [272.9, 393.2, 400.0, 25.0])
def test_water_outside_its_range_is_refused(T: float) -> None:
    """A temperature in degC given as kelvin is far below the range: it is refused, not extrapolated."""
    for function in (
        water.density,
        water.viscosity,
        water.conductivity,
        water.heat_capacity,
        water.enthalpy,
        water.expansion,
        water.saturation_pressure,
        water.prandtl,
    ):
        with pytest.raises(PropertyRange, match="degC"):
            function(np.array([300.0, T]))


def test_water_at_the_ends_of_its_range() -> None:
    """Steam tables (IAPWS, M): 999.8 kg/m3, 1.79 mPa s at 0 degC; 943.1 kg/m3, 198.67 kPa at 120 degC."""
    ends = np.array([0.0, 120.0]) + ZERO
    np.testing.assert_allclose(water.density(ends), [999.8, 943.1], rtol=0.0, atol=0.15)
    assert float(water.viscosity(ends)[0]) == pytest.approx(1.791e-3, rel=2e-3)
    assert float(water.saturation_pressure(ends)[1]) == pytest.approx(198.67e3, rel=1e-3)
