"""What a hold, a smaller batch and a limit on water make of what is said about a coil."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np
import small_stock
from own_coil import SIZES

import optichill as oc


def stated(folder: Path, wort: dict[str, Any] | None = None, more: str = "") -> oc.Problem:
    """The small brewhouse with keys of its wort changed, and tables added."""
    small_stock.write(folder, {"wort": wort or {}})
    with open(folder / "brewhouse.toml", "a", encoding="utf-8") as file:
        file.write(more)
    return oc.read(folder)


HOLD = '\n[[cooling]]\nhold = "3 h"\n[[cooling]]\nsource = "tap"\n'


def test_the_first_water_after_a_hold_is_told_as_the_curve_has_it(tmp_path: Path) -> None:
    rating = oc.rate(SIZES, stated(tmp_path, more=HOLD))
    curve = rating.curve.to_dataframe()
    first = curve[np.isfinite(curve["outlet_K"])].iloc[0]
    assert first["wort_K"] < 345.0
    assert abs(rating.to_dict()["prediction"]["outlet_start_K"] - first["outlet_K"]) < 0.5


def test_turns_out_of_the_smaller_batch_are_told(tmp_path: Path) -> None:
    one = oc.rate(SIZES, stated(tmp_path / "one"))
    two = oc.rate(SIZES, stated(tmp_path / "two", {"volume": ["8 L", "23 L"]}))
    told = [text for text in two.to_dict()["warnings"] if "smallest batch, 8 L" in text]
    assert len(told) == 1 and not [text for text in one.to_dict()["warnings"] if "smallest" in text]
