"""The coil in its kettle as the page draws it."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import small_stock

from optichill.report.tradeoff.scene import scene
from optichill.search.designs import designs
from optichill.search.enumeration import rows_that_fit
from optichill.search.space import space


def test_two_coils_on_tees_have_all_four_risers_at_their_levels(tmp_path: Path) -> None:
    basis = small_stock.of(tmp_path, {"workshop": {"layouts": ["parallel"], "marking_increment": "5 mm"}})
    everything = space(basis)
    d = designs(everything, rows_that_fit(everything, 4)[:1], None, np.zeros(1, np.intp))[0]
    coil = scene(d, basis)["coil"]
    low, top = round(d.lowest, 4), round(d.lowest + d.turns * d.pitch, 4)
    feet = {riser["name"]: riser["foot"] for riser in coil["risers"]}
    assert feet == {"IN": low, "OUT": top, "IN 2": low, "OUT 2": top}
    assert [layer["low"] for layer in coil["layers"]] == [low, low]
