"""Wort: the range of its data, and its expansion where water has none."""

from __future__ import annotations

import numpy as np
import pytest
from usual import ZERO

from optichill.errors import PropertyRange
from optichill.properties import water, wort


@pytest.mark.parametrize("P", [-0.1, 30.1, 1.048])
def test_strength_outside_the_data_is_refused(P: float) -> None:
    inside = 0.0 <= P <= 30.0
    for function in (wort.density, wort.heat_capacity, wort.conductivity, wort.viscosity, wort.expansion):
        if inside:
            assert np.isfinite(function(300.0, P))
        else:
            with pytest.raises(PropertyRange, match="degP"):
                function(300.0, np.array([12.0, P]))


def test_wort_expands_even_where_water_does_not() -> None:
    """Water's own coefficient is -68e-6 1/K at 0 degC and 207e-6 at 20 (steam tables)."""
    assert float(water.expansion(0.0 + ZERO)) == pytest.approx(-68e-6, rel=0.02)
    assert float(wort.expansion(0.0 + ZERO, 12.0)) == wort.EXPANSION_FLOOR
    assert float(wort.expansion(20.0 + ZERO, 12.0)) == pytest.approx(207e-6, rel=0.01)
