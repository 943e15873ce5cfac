"""Ice that is named as missing: written into the plan, it lasts."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pytest
import small_stock
from own_coil import SIZES

from optichill.model.coil import Coil
from optichill.rating.coil_rating import quick_rating
from optichill.report.warnings import of_plan


def plan(until: str, ice: str) -> list[dict[str, Any]]:
    bath = {"source": "ice bath", "pump": "small", "water": "10 L", "ice": ice, "bucket": "40 L"}
    return [{"source": "tap", "until": until}, bath]


def said(folder: Path, units: str, until: str, ice: str) -> str:
    """The warnings about one coil."""
    house = {
        "units": units,
        "wort": {"mixing": "steady"},
        "tap": {"temperature": "24 degC"},
        "cooling": plan(until, ice),
    }
    basis = small_stock.of(folder, house)
    return " ".join(of_plan(quick_rating(basis, Coil(**SIZES)).prediction, basis))


@pytest.mark.parametrize(
    ("until", "units", "has", "unit"),
    [
        ("best", "us", 6.0, "lb"),
        pytest.param("best", "metric", 3.0, "kg", marks=pytest.mark.slow),
        pytest.param("45 degC", "metric", 2.0, "kg", marks=pytest.mark.slow),
    ],
)
def test_the_ice_that_is_missing_lasts_when_it_is_written_down(
    tmp_path: Path, until: str, units: str, has: float, unit: str
) -> None:
    """Also where the change-over is left open: more ice would move it, so it is named with the ice."""
    short = said(tmp_path, units, until, f"{has} {unit}")
    more = re.search(rf"([\d.]+) {unit} more", short)
    held = re.search(r'until = "([\d.]+ deg[CF])" written instead of "best"', short)
    assert more and (held is not None) == (until == "best"), short
    obeyed = said(tmp_path, units, held[1] if held else until, f"{has + float(more[1]):g} {unit}")
    assert "ice runs out" not in obeyed
