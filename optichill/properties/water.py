"""Liquid water by IAPWS-95 (through CoolProp), tabulated once and cached between runs.

Importing CoolProp takes longer than a whole recommendation, so its answers are kept in a small file in
the user's cache folder (OPTICHILL_CACHE overrides the place). It holds a checksum of its layout and
numbers: a cache that is missing, stale, damaged or edited is rebuilt; a folder that cannot be written only
costs the time to rebuild.

The table is made at 2 bar, so that 100 degC is liquid; its properties are within 1.2e-4 of those at 1 atm.
"""

from __future__ import annotations

import hashlib
import io
from functools import lru_cache
from pathlib import Path

import numpy as np
from numpy.typing import ArrayLike

from optichill import temporary
from optichill.arrays import Array
from optichill.cache_folder import cache_folder
from optichill.errors import PropertyRange
from optichill.properties.grid import Grid

T_MIN, T_MAX = 273.15, 393.15
"""Range of the tables [K]: melting point to 120 degC, liquid at the tabulated pressure."""

_STEP = 1.0  # K; cubic splines are then good to 1e-7 of each property
_PRESSURE = 2.0e5  # Pa: liquid up to 120 degC; properties differ from 1 atm by 1.2e-4 at most
_LAYOUT = 4  # raised when the cached columns change
_CHECKSUM = "sha256"
_COLUMNS = {
    "density": "D",
    "viscosity": "V",
    "conductivity": "L",
    "heat_capacity": "C",
    "enthalpy": "H",
    "expansion": "ISOBARIC_EXPANSION_COEFFICIENT",
}


def checked(T: ArrayLike) -> Array:
    """T as float64, refused outside the tables; NaN passes through.

    Parameters
    ----------
    T : array_like [K]
        Any shape.

    Returns
    -------
    Array [K], T's shape

    Raises
    ------
    PropertyRange
        Any T outside 273.15 to 393.15 K.

    Examples
    --------
    >>> float(checked(300))
    300.0
    >>> checked(25.0)
    Traceback (most recent call last):
    optichill.errors.PropertyRange: water properties are known from 0 to 120 degC, not at -248.1 degC
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
    """The water table, from the cache when it serves, else from CoolProp.

    Returns
    -------
    Grid
        Columns density, viscosity, conductivity, heat_capacity, enthalpy, expansion and saturation_pressure,
        SI, every kelvin from 273.15 to 393.15 K.

    Examples
    --------
    >>> round(float(table().T[0]), 2), round(float(table().T[-1]), 2)
    (273.15, 393.15)
    """
    path = _cache_file()
    columns = _load(path)
    if columns is None:
        columns = _tabulate()
        _store(path, columns)
    return Grid(_grid(), columns, smooth=True)


def _cache_file() -> Path | None:
    """Where the table is kept; None where there is no place for it."""
    folder = cache_folder()
    return None if folder is None else folder / f"water-{_LAYOUT}.npz"


def _load(path: Path | None) -> dict[str, Array] | None:
    """The cached columns; None where they are missing, damaged or of another layout."""
    if path is None:
        return None
    wanted = [*_COLUMNS, "saturation_pressure"]
    try:
        with np.load(path, allow_pickle=False) as stored:
            columns = {name: stored[name] for name in wanted}
            return columns if str(stored[_CHECKSUM]) == _checksum(columns) else None
    except Exception:  # whatever is wrong with a cache, the remedy is the same: make it again
        return None


def _store(path: Path | None, columns: dict[str, Array]) -> None:
    """Write the columns whole or not at all."""
    if path is None:
        return
    file = io.BytesIO()
    np.savez(file, allow_pickle=False, **columns, **{_CHECKSUM: np.array(_checksum(columns))})
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        temporary.write_whole(path, file.getvalue())
    except OSError:
        return  # a cache that cannot be kept is no fault: the next run tabulates again


def _checksum(columns: dict[str, Array]) -> str:
    """Of the layout, and of every column's name, kind, size and numbers."""
    digest = hashlib.sha256(f"layout {_LAYOUT}, {_grid().size} rows".encode())
    for name, v in sorted(columns.items()):
        digest.update(f"{name} {v.dtype.str} {v.shape}".encode() + v.tobytes())
    return digest.hexdigest()


def _grid() -> Array:
    """The table's temperatures [K]."""
    return np.linspace(T_MIN, T_MAX, round((T_MAX - T_MIN) / _STEP) + 1)


def _tabulate() -> dict[str, Array]:
    """All columns from CoolProp, SI; the first point, 0 degC, is drawn out from the triple point."""
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
    """One property at T [K]; NaN where T is."""
    T = checked(T)
    known = np.isfinite(T)
    values = table().read(name, table().locate(np.where(known, T, T_MIN)))
    return np.where(known, values, np.nan)


def density(T: ArrayLike) -> Array:
    """Density of liquid water at 2 bar; IAPWS-95 through CoolProp (V).

    Parameters
    ----------
    T : array_like [K]
        273.15-393.15, any shape.

    Returns
    -------
    Array [kg/m3], T's shape

    Raises
    ------
    PropertyRange
        Outside the range.

    Examples
    --------
    IAPWS gives 997.05 at 25 degC and 1 atm:

    >>> f"{density(298.15):.0f}"
    '997'
    """
    return _column("density", T)


def viscosity(T: ArrayLike) -> Array:
    """Dynamic viscosity of liquid water at 2 bar; IAPWS through CoolProp (V).

    Parameters
    ----------
    T : array_like [K]
        273.15-393.15, any shape.

    Returns
    -------
    Array [Pa s], T's shape

    Raises
    ------
    PropertyRange
        Outside the range.

    Examples
    --------
    0.890 mPa s at 25 degC (IAPWS):

    >>> f"{1e3 * viscosity(298.15):.3f}"
    '0.890'
    """
    return _column("viscosity", T)


def conductivity(T: ArrayLike) -> Array:
    """Thermal conductivity of liquid water at 2 bar; IAPWS through CoolProp (V).

    Parameters
    ----------
    T : array_like [K]
        273.15-393.15, any shape.

    Returns
    -------
    Array [W/mK], T's shape

    Raises
    ------
    PropertyRange
        Outside the range.

    Examples
    --------
    0.607 at 25 degC (IAPWS, from memory):

    >>> f"{conductivity(298.15):.3f}"
    '0.607'
    """
    return _column("conductivity", T)


def heat_capacity(T: ArrayLike) -> Array:
    """Isobaric heat capacity of liquid water at 2 bar; IAPWS-95 through CoolProp (V).

    Parameters
    ----------
    T : array_like [K]
        273.15-393.15, any shape.

    Returns
    -------
    Array [J/kgK], T's shape

    Raises
    ------
    PropertyRange
        Outside the range.

    Examples
    --------
    4.18 kJ/kgK at 25 degC, as in every steam table:

    >>> f"{heat_capacity(298.15):.0f}"
    '4181'
    """
    return _column("heat_capacity", T)


def enthalpy(T: ArrayLike) -> Array:
    """Specific enthalpy of liquid water at 2 bar, IAPWS-95 reference state, through CoolProp (V).

    Parameters
    ----------
    T : array_like [K]
        273.15-393.15, any shape.

    Returns
    -------
    Array [J/kg], T's shape

    Raises
    ------
    PropertyRange
        Outside the range.

    Examples
    --------
    From 0 to 100 degC a kilogram takes 419 kJ (steam tables):

    >>> f"{(enthalpy(373.15) - enthalpy(273.15)) / 1e3:.0f}"
    '419'
    """
    return _column("enthalpy", T)


def expansion(T: ArrayLike) -> Array:
    """Isobaric expansion coefficient of liquid water at 2 bar; negative below 4 degC. IAPWS-95 (V).

    Parameters
    ----------
    T : array_like [K]
        273.15-393.15, any shape.

    Returns
    -------
    Array [1/K], T's shape

    Raises
    ------
    PropertyRange
        Outside the range.

    Examples
    --------
    Water's densest point is at 4 degC; at 20 degC steam tables give 207e-6:

    >>> f"{1e6 * expansion(277.13):.0f}, {1e6 * expansion(293.15):.0f}"
    '0, 207'
    """
    return _column("expansion", T)


def saturation_pressure(T: ArrayLike) -> Array:
    """Vapour pressure of water; IAPWS-95 through CoolProp (V).

    Parameters
    ----------
    T : array_like [K]
        273.15-393.15, any shape.

    Returns
    -------
    Array [Pa], T's shape

    Raises
    ------
    PropertyRange
        Outside the range.

    Examples
    --------
    At 100 degC one atmosphere, 101 kPa:

    >>> f"{saturation_pressure(373.15) / 1e3:.0f}"
    '101'
    """
    return _column("saturation_pressure", T)


def prandtl(T: ArrayLike) -> Array:
    """Prandtl number of liquid water, c mu/k.

    Parameters
    ----------
    T : array_like [K]
        273.15-393.15, any shape.

    Returns
    -------
    Array [-], T's shape

    Raises
    ------
    PropertyRange
        Outside the range.

    Examples
    --------
    4181 x 0.890e-3 / 0.607 at 25 degC:

    >>> f"{prandtl(298.15):.2f}"
    '6.13'
    """
    return heat_capacity(T) * viscosity(T) / conductivity(T)
