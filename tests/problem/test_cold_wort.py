"""The same wort hot and cold: one mass, and the levels that follow from it."""

from __future__ import annotations

import pytest
from oracle import sucrose_density

import optichill as oc
from optichill.files.reading import packaged
from optichill.geometry.levels import bare_level

EXAMPLES = ["", "us", "wide", "stove"]
ALIKE = 2e-4
"""Of a volume: 0.06 mm of a level 30 cm high."""


@pytest.mark.parametrize("example", EXAMPLES)
def test_the_cold_level_is_that_of_a_sugar_solution(example: str) -> None:
    """Volumes when chilled, by ICUMSA SPS-4's densities (from memory), and the bare level by hand."""
    basis = oc.read(packaged("brewhouse.toml").parent / example).basis
    wort, kettle, batch = basis.brewhouse.wort, basis.brewhouse.kettle, basis.scenario
    assert wort.top_up is None, "else it is chilled to another temperature"
    hot = sucrose_density(wort.start_temperature, wort.gravity)
    left = hot / sucrose_density(wort.target_temperature, wort.gravity)
    assert basis.hot_volume == wort.volume
    assert basis.chilled_volume == pytest.approx(left * wort.volume, rel=ALIKE)
    assert basis.cold_volume == pytest.approx(left * wort.smallest_volume, rel=ALIKE)
    depth = left * wort.smallest_volume / (3.14159265 / 4.0 * kettle.inside_diameter**2)
    assert float(bare_level(basis.cold_volume, kettle.inside_diameter)) == pytest.approx(depth, abs=1e-4)
    # What is chilled is weighed hot, as it was read.
    assert batch.mass == pytest.approx(hot * wort.volume, rel=5e-4)
