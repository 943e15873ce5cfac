"""Ice over a coil's life: what is put in is paid for, whether it melts or not."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
import small_stock

from optichill.search.enumeration import rows_that_fit
from optichill.search.evaluate import rows
from optichill.search.lifetime import lifetime_of
from optichill.search.sampled import samples_of
from optichill.search.space import space


def test_ice_is_paid_for_as_it_is_put_in(tmp_path: Path) -> None:
    """60 batches of 8 kg at 1.50 a kilogram are 720; some of it never melts."""
    ice = {"source": "ice bath", "pump": "small", "water": "10 L", "ice": "8 kg", "bucket": "40 L"}
    house = {
        "wort": {"mixing": "steady"},
        "wishes": {"ice_price": 1.5},
        "cooling": [{"source": "tap", "until": "30 degC"}, ice],
    }
    of = space(small_stock.of(tmp_path, house))
    r = rows(of, rows_that_fit(of, 3)[:2])
    drawn = samples_of(of, r, np.arange(len(r)), of.basis.scenario)
    assert np.nanmax(drawn.ice) < 7.0
    assert lifetime_of(of, r, drawn).ice == pytest.approx(60 * 8 * 1.5)
