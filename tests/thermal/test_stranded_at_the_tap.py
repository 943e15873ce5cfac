"""Left alone, with a target at the water's own temperature: out of reach, without a word from numpy."""

from __future__ import annotations

import warnings

import numpy as np

from optichill.thermal.batch import Mixing, Scenario
from optichill.thermal.coil_performance import Coils
from optichill.thermal.cooldown import chill
from optichill.thermal.sources import Bath, Source, Stage
from optichill.thermal.supply import Supply


def test_a_bucket_cannot_bring_stranded_wort_to_its_own_temperature() -> None:
    coils = Coils.of(
        d_o=0.008, d_i=0.006, k=339.0, D_c=0.06, pitch=0.012, wetted_length=0.6, tube_length=1.0,
        metal_capacity=70.0, stranded=[0.0, 0.4],
    )  # fmt: skip
    pump = Supply.curve([(0.0, 2e4), (1e-4, 0.0)], hose_bore=0.0125)
    bucket = Source(pump, 285.15, Bath(5.0, 285.15), returns=True, fills=4)
    batch = Scenario(
        volume=0.7e-3, plato=12.0, T_start=371.15, T_target=285.15, T_ambient=293.15, kettle_diameter=0.12,
        stages=(Stage(bucket),), mixing=Mixing.of("left alone"),
    )  # fmt: skip
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        assert np.isinf(chill(coils, batch).time).all()
