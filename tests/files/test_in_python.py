"""Anything at all in place of a value: the problem is sound, or every fault has a place."""

from __future__ import annotations

import copy
import datetime
from decimal import Decimal
from typing import Any

import numpy as np
import pint
from hypothesis import given, settings
from hypothesis import strategies as st

from optichill.errors import InputFaults
from optichill.files.in_python import coil_of, inputs_of

Q = pint.UnitRegistry().Quantity

TABLES: dict[str, Any] = {
    "name": "Kettle",
    "units": "metric",
    "kettle": {"inside_diameter": "36 cm", "inside_height": 0.4, "lid": True, "mouth": "34 cm",
               "part": [{"what": "tap", "where": "wall", "height": "5 cm", "size": "4 cm"}]},
    "wort": {"volume": ["19 L", "23 L"], "mixing": "steady", "swirl": 0.1, "gravity": "12 degP",
             "top_up": {"volume": "5 L", "temperature": "10 degC"}},
    "tap": {"temperature": {"cold_season": "6 degC", "warm_season": "12 degC"}, "open_flow": "10 L in 45 s"},
    "cooling": [{"source": "tap", "until": "best"},
                {"source": "ice bath", "pump": "p", "water": "8 L", "ice": 6.0, "return": "bucket"}],
    "workshop": {"layouts": ["single"], "flow_settings": ["full", "half"]},
    "limits": {"chill_time": {"within": "30 min", "chance": 0.9}, "budget": 100, "difficulty": 5},
    "wishes": {"cost": {"good": 40, "acceptable": 90}},
}  # fmt: skip
STOCK: dict[str, Any] = {
    "tubing": [{"stock_id": "a", "material": "copper", "temper": "annealed", "outer_diameter": 0.01,
                "wall": "1 mm", "length": "10 m", "price": 41, "checked": datetime.date(2026, 11, 1)}],
    "forms": [{"form_id": "pot", "outer_diameter": "25 cm", "height": "25 cm", "open_end": True, "price": 3}],
    "pumps": [{"pump_id": "p", "curve": [(0.0, 3.0), ("10 L/min", 0.0)], "max_temperature": 333.0,
               "price": 9}],
    "currency": "EUR",
}  # fmt: skip
COIL: dict[str, Any] = {
    "material": "copper", "outer_diameter": 0.01, "wall": "1 mm", "layout": "nested", "riser_length_in": 0.5,
    "riser_length_out": "0.4 m",
    "layer": [{"mean_diameter": 0.26, "pitch": 0.016, "turns": 8}, {"mean_diameter": 0.2, "pitch": 0.016,
                                                                     "turns": 8}],
}  # fmt: skip

_JUNK = st.sampled_from(
    [None, True, False, 0, -1, 3, 0.3, 1e9, -0.0, float("nan"), float("inf"), 10**400, 5j, "", " ", "5",
     "9 m", "best", "12 degC", "x" * 300, "\x00", "line\nline", b"12 degC", [], {}, [1, 2], ["19 L", "23 L"],
     {"a": 1}, {1: 2}, (), set(), object(), int, np.nan, np.float32(0.3), np.int64(2), np.array([0.1, 0.2]),
     np.array(0.3),
     Decimal("0.3"), datetime.date(2026, 1, 1), datetime.datetime(2026, 1, 1), Q(30, "cm"), Q(20, "degC"),
     Q([1.0, 2.0], "m"), Q(0.3), [None], [[1]], {"good": 1, "acceptable": 2}]
)  # fmt: skip


def paths(value: Any, at: tuple[Any, ...] = ()) -> list[tuple[Any, ...]]:
    """Every place in tables and lists."""
    inner = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    return [at, *(path for key, below in inner for path in paths(below, (*at, key)))]


def changed(tables: Any, path: tuple[Any, ...], junk: Any) -> Any:
    """A copy with one place replaced."""
    if not path:
        return junk
    made = copy.copy(tables)
    made[path[0]] = changed(made[path[0]], path[1:], junk)
    return made


def faults_only(call: Any, *given: Any) -> None:
    try:
        call(*given)
    except InputFaults as error:
        assert error.faults
        for fault in error.faults:
            assert fault.key and fault.reason and "\n" not in str(fault)


def test_all_of_it_is_sound() -> None:
    """The tables that are bent below hold, so that a fault is the bend's."""
    inputs = inputs_of(TABLES, STOCK)
    assert inputs.brewhouse.wort.batches == (0.019, 0.023) and inputs.stock.pumps[0].curve[1][1] == 0.0
    assert coil_of(COIL).layers[1].mean_diameter == 0.2


@settings(max_examples=300)
@given(st.sampled_from([path for path in paths(TABLES) if path]), _JUNK)
def test_anything_in_the_tables(path: tuple[Any, ...], junk: Any) -> None:
    faults_only(inputs_of, changed(TABLES, path, junk), STOCK)


@settings(max_examples=200)
@given(st.sampled_from(paths(STOCK)), _JUNK)
def test_anything_in_the_stock(path: tuple[Any, ...], junk: Any) -> None:
    faults_only(inputs_of, TABLES, changed(STOCK, path, junk))


@settings(max_examples=150)
@given(st.sampled_from(paths(COIL)), _JUNK)
def test_anything_in_a_coil(path: tuple[Any, ...], junk: Any) -> None:
    faults_only(coil_of, changed(COIL, path, junk))
