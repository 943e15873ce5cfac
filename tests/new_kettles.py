"""A coil that was made for one kettle, and kettles that come after it: all invented, on lists so small that
every option is worked out in a moment."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import small_stock

import optichill as oc
from optichill.api.upgrade import Upgrade
from optichill.files.coil_file import coil_text
from optichill.model.coil import OF_TURNS, Coil

OLD = {
    "name": "Old pot",
    "kettle": {"inside_diameter": "34 cm", "inside_height": "34 cm"},
    "wort": {"volume": "24 L"},
    "workshop": {"layouts": ["single", "parallel"]},
}
"""Its wort stands 26 cm deep."""

SIZES: dict[str, Any] = {
    "material": "copper",
    "outer_diameter": 0.010,
    "wall": 0.001,
    "mean_diameter": 0.26,
    "pitch": 0.016,
    "turns": 10.0,
    "lowest_turn_height": 0.030,
    "riser_length_in": 0.520,
    "riser_length_out": 0.360,
    "riser_bend_radius": 0.040,
    "stock_id": "cu-10-10",
    "form_id": "pot",
}
"""8.2 m of turns, 16 cm tall; bent over the old rim at 37 cm."""

CASES: dict[str, dict[str, Any]] = {
    "a little wider": {"kettle": {"inside_diameter": "36 cm", "inside_height": "34 cm"}, "volume": "26 L"},
    "higher by a hand": {"kettle": {"inside_diameter": "34 cm", "inside_height": "40 cm"}, "volume": "30 L"},
    "much bigger": {"kettle": {"inside_diameter": "48 cm", "inside_height": "55 cm"}, "volume": "75 L"},
    "narrow mouth": {
        "kettle": {"inside_diameter": "40 cm", "inside_height": "40 cm", "mouth": "25 cm"},
        "volume": "36 L",
    },
    "smaller": {"kettle": {"inside_diameter": "26 cm", "inside_height": "22 cm"}, "volume": "9 L"},
    "tall and thin of wort": {
        "kettle": {"inside_diameter": "40 cm", "inside_height": "60 cm"},
        "volume": "30 L",
    },
}
"""Kettles that come after it."""


def coil_of(**sizes: Any) -> Coil:
    """The coil, or one with other sizes."""
    own = {k: v for k, v in SIZES.items() if not ("layer" in sizes and k in OF_TURNS)}
    return Coil(**{**own, **sizes})


def rolls() -> small_stock.Lists:
    """The small lists, with a longer roll of the coil's own tube."""
    lists = small_stock.lists()
    lists["tubing"].append({**lists["tubing"][0], "stock_id": "cu-10-25", "length": "25 m", "price": "92"})
    lists["forms"] += [
        {
            **lists["forms"][0],
            "form_id": "drum",
            "outer_diameter": "330 mm",
            "height": "40 cm",
            "owned": "no",
        },
        {**lists["forms"][0], "form_id": "tin-16", "outer_diameter": "160 mm", "height": "30 cm"},
    ]
    return lists


def house(folder: Path, of: dict[str, Any], stock: small_stock.Lists | None = None) -> Path:
    """A brewhouse of OLD with what is different, written with its lists."""
    tables = {**OLD, "name": folder.name, "kettle": {**OLD["kettle"], **of.get("kettle", {})}}  # type: ignore[dict-item]
    tables["wort"] = {**OLD["wort"], **({"volume": of["volume"]} if "volume" in of else {})}  # type: ignore[dict-item]
    for key in set(of) - {"kettle", "volume"}:
        own = tables.get(key, {})
        tables[key] = {**own, **of[key]} if isinstance(of[key], dict) else of[key]
    return small_stock.write(folder, tables, stock or rolls())


def both(
    tmp: Path, new: dict[str, Any], old: dict[str, Any] | None = None, coil: Coil | None = None
) -> Upgrade:
    """What becomes of the coil of an old kettle in a new one."""
    problems = [oc.read(house(tmp / name, of)) for name, of in (("old", old or {}), ("new", new))]
    file = tmp / "coil.toml"
    file.write_text(coil_text(coil or coil_of(), demo=False), encoding="utf-8")
    return oc.new_kettle(file, *problems)
