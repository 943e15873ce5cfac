"""Ice that is named as missing: written into the plan, it lasts."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import small_stock
from own_coil import SIZES

from optichill.model.coil import Coil
from optichill.rating.coil_rating import quick_rating
from optichill.report.warnings import of_plan


def plan(until: str, ice: str) -> list[dict[str, Any]]:
    bath = {"source": "ice bath", "pump": "small", "water": "10 L", "ice": ice, "bucket": "40 L"}
    return [{"source": "tap", "until": until}, bath]


def said(folder: Path, units: str, until: str, ice: str) -> tuple[str, float]:
    """The warnings about one coil, and its time [min]."""
    house = {
        "units": units,
        "wort": {"mixing": "steady"},
        "tap": {"temperature": "24 degC"},
        "cooling": plan(until, ice),
    }
    basis = small_stock.of(folder, house)
    p = quick_rating(basis, Coil(**SIZES)).prediction
    return " ".join(of_plan(p, basis)), (p.chill_time or np.inf) / 60.0


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
    """Also where the change-over is left open: more ice would move it, so it is named with the ice. And the
    time that is told with it is the one it takes."""
    short, _ = said(tmp_path, units, until, f"{has} {unit}")
    more = re.search(rf"([\d.]+) {unit} more", short)
    held = re.search(r'until = "([\d.]+ deg[CF])" written instead of "best"', short)
    assert more and (held is not None) == (until == "best"), short
    obeyed, minutes = said(tmp_path, units, held[1] if held else until, f"{has + float(more[1]):g} {unit}")
    assert "the ice runs" not in obeyed
    told = re.search(r"(\d+) min instead of (\d+)", short) or re.search(
        r"keep the bath cold: (\d+) min", short
    )
    assert told and minutes == pytest.approx(float(told[1]), abs=0.8)
