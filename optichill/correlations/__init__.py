"""Published formulas, one function each: film coefficients, friction, losses. SI arrays in, arrays out.

Each is found here under its published name, and in `table()` with the range of its data:

>>> import optichill as oc
>>> float(oc.correlations.Nu_horizontal_cylinder_Churchill_Chu(0.0, 5.0))
0.36
>>> oc.correlations.table().set_index("name")["valid_to"]["f_laminar_helical_White"].item()
2000.0
"""

from __future__ import annotations

import importlib
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from pandas import DataFrame

_STANDS_IN = {
    "inside_film": (
        "Nu_laminar_helical_Schmidt",
        "Nu_turbulent_helical_Gnielinski",
        "Nu_helical_Gnielinski",
        "Re_crit_helical_Schmidt",
        "wall_factor_VDI",
    ),
    "outside_film": (
        "Nu_horizontal_cylinder_Churchill_Chu",
        "Nu_crossflow_Churchill_Bernstein",
        "Nu_mixed_Churchill",
        "spacing_factor",
        "yaw_factor_ESDU",
    ),
    "friction": ("f_laminar_helical_White", "f_turbulent_helical_Ito", "f_helical", "f_straight_smooth"),
    "layers": ("film_share",),
    "kettle_losses": ("surface_loss_open", "surface_loss_lid", "wall_loss"),
    "properties.wort": ("plato_from_SG",),
    "properties.mains": ("mains_temperature",),
}
_ROOMS = {name: room for room, names in _STANDS_IN.items() for name in names}
_PROPERTIES = ("water", "wort")


def __getattr__(name: str) -> Any:
    if name in _PROPERTIES:
        return importlib.import_module(f"optichill.properties.{name}")
    if name not in _ROOMS:
        raise AttributeError(f"module 'optichill.correlations' has no attribute {name!r}")
    room = _ROOMS[name]
    home = "optichill" if room.startswith("properties.") else "optichill.correlations"
    return getattr(importlib.import_module(f"{home}.{room}"), name)


def __dir__() -> list[str]:
    return sorted([*_ROOMS, *_PROPERTIES, "table"])


def table() -> DataFrame:
    """Every published formula with the range of its data.

    Returns
    -------
    DataFrame
        name, what, argument, valid_from, valid_to, source; a range is missing where the source gives none.

    Examples
    --------
    >>> table().columns.tolist()
    ['name', 'what', 'argument', 'valid_from', 'valid_to', 'source']
    """
    import pandas as pd

    from optichill.correlations.records import RECORDS

    return pd.DataFrame([vars(record) for record in RECORDS]).drop(columns="used_as")
