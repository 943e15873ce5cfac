"""Liquid water by IAPWS-95 (through CoolProp), tabulated once and cached between runs.

Importing CoolProp takes longer than a whole recommendation, so its answers are kept in a small file in
the user's cache folder (OPTICHILL_CACHE overrides the place). A missing, stale or damaged cache is
rebuilt; a folder that cannot be written only costs the time to rebuild.
"""

from __future__ import annotations

import os
import sys
from functools import lru_cache
from pathlib import Path

import numpy as np
from numpy.typing import ArrayLike

from optichill.arrays import Array
from optichill.errors import PropertyRange
from optichill.properties.grid import Grid

T_MIN, T_MAX = 273.15, 393.15
"""Range of the tables [K]: melting point to 120 degC, liquid at the tabulated pressure."""

_STEP = 1.0  # K; cubic splines are then good to 1e-7 of each property
_PRESSURE = 2.0e5  # Pa: liquid up to 120 degC; properties differ from 1 atm by 1.2e-4 at most
_LAYOUT = 3  # raised when the cached columns change
_COLUMNS = {
    "density": "D",
    "viscosity": "V",
    "conductivity": "L",
    "heat_capacity": "C",
    "enthalpy": "H",
    "expansion": "ISOBARIC_EXPANSION_COEFFICIENT",
}


def checked(T: ArrayLike) -> Array:
    """T as float64, refused outside the tables (NaN passes through).

    Raises
    ------
    PropertyRange : any T outside 273.15 to 393.15 K.
    """
    T = np.asarray(T, dtype=np.float64)
    outside = (T < T_MIN) | (T > T_MAX)
    if outside.any():
        worst = float(T[outside].flat[0])
        raise PropertyRange(
            f"water properties are known from {T_MIN - 273.15:g} to {T_MAX - 273.15:g} degC, "
            f"not at {worst - 273.15:.1f} degC"
        )
    return T


@lru_cache(maxsize=1)
def table() -> Grid:
    """The water table, from the cache when it serves, else from CoolProp."""
    path = _cache_file()
    columns = _load(path)
    if columns is None:
        columns = _tabulate()
        _store(path, columns)
    return Grid(_grid(), columns, smooth=True)


def _cache_file() -> Path:
    folder = os.environ.get("OPTICHILL_CACHE")
    if not folder:
        home = os.environ.get("LOCALAPPDATA") if sys.platform == "win32" else os.environ.get("XDG_CACHE_HOME")
        folder = str(Path(home) / "optichill") if home else str(Path.home() / ".cache" / "optichill")
    return Path(folder) / f"water-{_LAYOUT}.npz"


def _load(path: Path) -> dict[str, Array] | None:
    wanted = [*_COLUMNS, "saturation_pressure"]
    size = _grid().size
    try:
        with np.load(path, allow_pickle=False) as stored:
            columns = {name: stored[name] for name in wanted}
    except Exception:  # whatever is wrong with a cache, the remedy is the same: make it again
        return None
    sound = all(v.shape == (size,) and np.isfinite(v).all() for v in columns.values())
    return columns if sound else None


def _store(path: Path, columns: dict[str, Array]) -> None:
    partial = path.with_name(f"{path.stem}.{os.getpid()}.npz")
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        np.savez(partial, allow_pickle=False, **columns)
        os.replace(partial, path)
    except OSError:
        return  # a cache that cannot be kept is no fault: the next run tabulates again


def _grid() -> Array:
    return np.linspace(T_MIN, T_MAX, round((T_MAX - T_MIN) / _STEP) + 1)


def _tabulate() -> dict[str, Array]:
    from CoolProp.CoolProp import PropsSI

    T = _grid()
    # IAPWS-95 in CoolProp starts at the triple point, 0.01 K above the first grid point.
    T_iapws = np.maximum(T, 273.16)
    columns = {}
    for name, key in _COLUMNS.items():
        v = np.asarray(PropsSI(key, "T|liquid", T_iapws, "P", _PRESSURE, "Water"), dtype=np.float64)
        above = PropsSI(key, "T|liquid", 273.26, "P", _PRESSURE, "Water")
        v[0] -= _below_triple_point(v[0], float(above))
        columns[name] = v
    p_sat = np.asarray(PropsSI("P", "T", T_iapws, "Q", 0, "Water"), dtype=np.float64)
    p_sat[0] -= _below_triple_point(p_sat[0], float(PropsSI("P", "T", 273.26, "Q", 0, "Water")))
    columns["saturation_pressure"] = p_sat
    for name, v in columns.items():
        if not np.isfinite(v).all():
            raise PropertyRange(f"CoolProp gave no {name} of liquid water between 0 and 120 degC")
    return columns


def _below_triple_point(at_triple: float, a_tenth_above: float) -> float:
    """What a property changes over the last 0.01 K down to 0 degC."""
    return 0.01 * (a_tenth_above - at_triple) / 0.1


def _column(name: str, T: ArrayLike) -> Array:
    T = checked(T)
    known = np.isfinite(T)
    values = table().read(name, table().locate(np.where(known, T, T_MIN)))
    return np.where(known, values, np.nan)


def density(T: ArrayLike) -> Array:
    """Density [kg/m3] of liquid water at T [K]; IAPWS-95 through CoolProp (V)."""
    return _column("density", T)


def viscosity(T: ArrayLike) -> Array:
    """Dynamic viscosity [Pa s] of liquid water at T [K]; IAPWS through CoolProp (V)."""
    return _column("viscosity", T)


def conductivity(T: ArrayLike) -> Array:
    """Thermal conductivity [W/mK] of liquid water at T [K]; IAPWS through CoolProp (V)."""
    return _column("conductivity", T)


def heat_capacity(T: ArrayLike) -> Array:
    """Isobaric heat capacity [J/kgK] of liquid water at T [K]; IAPWS-95 through CoolProp (V)."""
    return _column("heat_capacity", T)


def enthalpy(T: ArrayLike) -> Array:
    """Specific enthalpy [J/kg] of liquid water at T [K], IAPWS-95 reference state (V)."""
    return _column("enthalpy", T)


def expansion(T: ArrayLike) -> Array:
    """Isobaric expansion coefficient [1/K] of liquid water at T [K]; negative below 4 degC (V)."""
    return _column("expansion", T)


def saturation_pressure(T: ArrayLike) -> Array:
    """Vapour pressure [Pa] of water at T [K]; IAPWS-95 through CoolProp (V)."""
    return _column("saturation_pressure", T)


def prandtl(T: ArrayLike) -> Array:
    """Prandtl number [-] of liquid water at T [K]."""
    return heat_capacity(T) * viscosity(T) / conductivity(T)
