"""Baths that come near to the wort: ice that runs short, buckets that end within kelvins of the target."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from usual import LPM, ZERO, batch, coil

from optichill.rating.prediction import FINE
from optichill.rating.remedies import with_loose_ice
from optichill.thermal.batch import Mixing, Scenario
from optichill.thermal.coil_performance import ROUGH, SEARCH, Coils
from optichill.thermal.cooldown import chill
from optichill.thermal.march import march
from optichill.thermal.sources import ICE_LUMPS, Bath, Source, Stage
from optichill.thermal.supply import Supply

PUMP = Supply.pump([(0.0, 3.0), (10 * LPM, 0.0)], hose_bore=12.5e-3, lift=0.0, T=290.0)
LENGTHS = np.array([5.0, 9.0, 15.0])
COILS = Coils.of(
    **{n: getattr(coil(), n) for n in vars(coil())}
    | {"wetted_length": LENGTHS, "tube_length": LENGTHS + 1.0, "metal_capacity": 90.0 * LENGTHS}
)


def plan(ice: float, lump: float = ICE_LUMPS["small cubes"], target: float = 20.0) -> Scenario:
    """23 L stirred from 24 degC, a bath of 10 L of 18 degC with so much ice."""
    bath = Bath(10.0, 18.0 + ZERO, ice, lump=lump)
    source = Source(PUMP, 18.0 + ZERO, bath, returns=True)
    return batch(
        volume=0.023,
        T_start=24.0 + ZERO,
        T_target=target + ZERO,
        stages=(Stage(source),),
        mixing=Mixing.of("steady"),
        lid=True,
    )


@pytest.mark.parametrize("ice", [0.2, 0.8, 1.0, 1.2, 1.5, 1.8, 3.0])
def test_search_fine_run_and_march_agree_on_who_arrives(ice: float) -> None:
    """23 L from 24 to 20 degC give up 376 kJ; the water takes 84 of them, each kilogram of ice 417: with a
    lid on 0.2 kg are far too little, and a kilogram is enough."""
    s = plan(ice)
    rough, coarse, fine = (chill(COILS, s, numerics).time for numerics in (ROUGH, SEARCH, FINE))
    marched = march(COILS, s, FINE, rtol=1e-5).time
    for found in (rough, coarse, fine):
        np.testing.assert_array_equal(np.isfinite(found), np.isfinite(marched))
    ends = np.isfinite(marched)
    assert not (ice < 0.3 and ends.any()) and (ice < 1.0 or ends.all())
    np.testing.assert_allclose(coarse[ends], marched[ends], rtol=0.02)
    np.testing.assert_allclose(fine[ends], marched[ends], rtol=0.01)


def test_energy_alone_tells_who_cannot_arrive() -> None:
    """Under a lid: (10 kg x 18 + 23.4 kg x 0.94 x 4 - 79.6 x 0.1)/10.1 = 25.7 degC, 20 wanted."""
    assert np.isinf(chill(COILS, plan(0.1), SEARCH).time).all()


@pytest.mark.parametrize("ice", [0.01, 0.1, 0.5, 2.0])
def test_no_amount_of_ice_overflows(ice: float) -> None:
    """Tap of 26 degC to 32 degC, then ice: no number runs away, whoever arrives."""
    tap = Source(Supply.tap(static_pressure=3e5, open_flow=10 * LPM, hose_bore=12.5e-3), 26.0 + ZERO)
    iced = Source(PUMP, 26.0 + ZERO, Bath(10.0, 26.0 + ZERO, ice), returns=True)
    s = batch(stages=(Stage(tap, 32.0 + ZERO), Stage(iced)), T_target=20.0 + ZERO)
    for mixing in ("left alone", "now and then", "steady"):
        with np.errstate(over="raise", invalid="raise", divide="raise"):
            found = chill(COILS, replace(s, mixing=Mixing.of(mixing)), SEARCH)
        assert not np.isnan(found.time).any()


def test_missing_ice_grows_from_nothing_and_suffices_when_it_is_added() -> None:
    """In even steps of ice what is missing falls by just as much, also where the last hundredth melts; with
    it all arrive and lack nothing, with half of it so much less."""

    def short(ice: float) -> np.ndarray:
        return chill(COILS, plan(ice), SEARCH).stages[0].missing

    steps = np.arange(0.6, 3.6, 0.2)
    missing = np.array([short(ice) for ice in steps])
    assert (missing[0] > 0.5).all() and (missing[-1] == 0.0).all()
    np.testing.assert_allclose(missing, np.maximum(missing[0] - (steps - 0.6)[:, None], 0.0), atol=1e-6)
    more = float(missing[0].max())
    assert (short(0.6 + more) < 1e-6).all() and np.isfinite(chill(COILS, plan(0.6 + more), SEARCH).time).all()
    # Each coil's own metal has to be cooled too: what they lack differs by some grams.
    np.testing.assert_allclose(short(0.6 + 0.5 * more), missing[0] - 0.5 * more, rtol=1e-6)


def test_larger_lumps_are_slower() -> None:
    """Cubes, blocks of 1 kg, bags of 2 kg: the less surface, the warmer the bath and the later the target."""
    cubes, blocks, bags = (chill(COILS, plan(3.0, lump, 18.0), FINE) for lump in ICE_LUMPS.values())
    assert (cubes.time < blocks.time).all() and (blocks.time < bags.time).all()
    assert (cubes.stages[0].T_bath < bags.stages[0].T_bath).all()


def test_loosening_the_ice_is_tried_only_where_it_is_not_loose() -> None:
    cubes, bags = plan(3.0), plan(3.0, ICE_LUMPS["bags"])
    assert with_loose_ice(cubes) is None
    assert with_loose_ice(bags) == cubes
