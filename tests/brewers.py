"""Twenty kettles of brewers who differ, from 12 L in a kitchen to 50 L, on the lists of the starter kit: all
invented.
"""

from __future__ import annotations

import copy
from collections.abc import Callable
from pathlib import Path
from typing import Any

import small_stock

from optichill.files.reading import packaged
from optichill.model.stock import Stock

LISTS = Path(packaged("brewhouse.toml")).parent

HOUSE: dict[str, Any] = {
    "kettle": {"inside_diameter": "36 cm", "inside_height": "40 cm", "coil_rests": "feet"},
    "wort": {"volume": "24 L", "mixing": "now and then", "target_temperature": "20 degC"},
    "tap": {
        "temperature": "12 degC",
        "open_flow": "10 L/min",
        "hose_bore": "12.5 mm",
        "hose_length": "10 m",
        "static_pressure": "3 bar",
    },
    "workshop": {"marking_increment": "1 mm"},
    "limits": {"difficulty": "careful beginner"},
}

ICE = """
[[cooling]]
source = "tap"
until = "best"

[[cooling]]
source = "ice bath"
pump = "pump-small"
water = "10 L"
ice = "6 kg"
ice_price = 1.5
return = "bucket"
"""


def _pot(diameter: int, height: int, volume: int, **wort: Any) -> dict[str, Any]:
    kettle = {"inside_diameter": f"{diameter} cm", "inside_height": f"{height} cm"}
    return {"kettle": kettle, "wort": {"volume": f"{volume} L", **wort}}


KETTLES: dict[str, dict[str, Any]] = {
    "kitchen 12 L": _pot(29, 24, 12),
    "kitchen 12 L, left alone": _pot(29, 24, 12, mixing="left alone"),
    "kitchen 15 L, 60 EUR": _pot(30, 27, 15) | {"limits": {"budget": 60}},
    "20 L, tall": _pot(28, 42, 20),
    "20 L, wide": _pot(40, 28, 20),
    "24 L": _pot(36, 36, 24),
    "24 L, steady": _pot(36, 36, 24, mixing="steady"),
    "24 L, left alone": _pot(36, 36, 24, mixing="left alone"),
    "24 L, paddle": _pot(36, 36, 24, mixing={"with": "paddle", "motion": "slow", "seconds_a_minute": 20}),
    "24 L, tap of 17": _pot(36, 36, 24) | {"tap": {"temperature": "17 degC"}},
    "24 L, tap of 6": _pot(36, 36, 24) | {"tap": {"temperature": "6 degC"}},
    "24 L, weak tap": _pot(36, 36, 24) | {"tap": {"open_flow": "5 L/min"}},
    "24 L, strong tap": _pot(36, 36, 24) | {"tap": {"open_flow": "18 L/min"}},
    "24 L, winds well": _pot(36, 36, 24) | {"wishes": {"coils_wound": 3, "batches": 150}},
    "24 L, ten batches": _pot(36, 36, 24) | {"wishes": {"batches": 10}},
    "24 L, dear water": _pot(36, 36, 24) | {"wishes": {"water_price": 20}},
    "24 L, ice bought, tap of 20": _pot(36, 36, 24) | {"tap": {"temperature": "20 degC"}, "plan": ICE},
    "30 L, left alone": _pot(36, 40, 30, mixing="left alone"),
    "50 L": _pot(45, 45, 50),
    "50 L, steady": _pot(45, 45, 50, mixing="steady"),
}


def write(folder: Path, name: str, **changed: Any) -> Path:
    """One of them in a folder; changed : further tables."""
    folder.mkdir(parents=True, exist_ok=True)
    tables = copy.deepcopy(HOUSE) | {"name": name}
    kettle = copy.deepcopy(KETTLES[name])
    plan = kettle.pop("plan", "")
    for part in (kettle, changed):
        for key, value in part.items():
            tables[key] = {**tables.get(key, {}), **value}
    tables["stock"] = {"folder": str(LISTS), "currency": "EUR", **tables.get("stock", {})}
    (folder / "brewhouse.toml").write_text(small_stock.toml(tables) + plan, encoding="utf-8")
    return folder


def at_prices_times(stock: Stock, by: float) -> Stock:
    """The lists with all prices so many times as high."""
    return at_prices(stock, lambda: by)


def at_prices(stock: Stock, times: Callable[[], float]) -> Stock:
    """The lists with each price so many times as high as is said when it is asked for."""
    rows = {
        name: tuple(
            r.model_copy(update={"price": None if r.price is None else r.price * times()}) for r in table
        )
        for name, table in vars(stock).items()
        if name in ("tubing", "forms", "benders", "fittings", "pumps")
    }
    return stock.model_copy(update=rows)
