"""Coils in more or less wort: against the same coils placed anew where as much is stated."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from calibrated_twins import MINE, OTHER, brewhouse
from kits import write_kit

from optichill.files.reading import load
from optichill.model.coil import Coil
from optichill.owned.calibrate.forward import with_volume
from optichill.problem.basis import DesignBasis, basis_of, design_basis
from optichill.problem.draws import Draws
from optichill.rating.coil_rating import in_kettle
from optichill.rating.likely import samples
from optichill.thermal.coil_performance import SEARCH, Coils
from optichill.thermal.cooldown import chill
from optichill.thermal.filled import filled

LAYERED = MINE.model_copy(
    update={
        "layout": "parallel",
        "layers": (MINE.layers[0], MINE.layers[0].model_copy(update={"mean_diameter": 0.19})),
    }
)
COILS = pytest.mark.parametrize("coil", [MINE, OTHER, LAYERED], ids=["one", "thicker", "two on tees"])


def kettle(folder: Path, mixing: str = "left alone") -> DesignBasis:
    return design_basis(load(write_kit(folder, brewhouse=brewhouse(mixing))))


def stated(basis: DesignBasis, share: float) -> DesignBasis:
    """The same brewhouse, its file with another volume."""
    return basis_of(with_volume(basis.brewhouse, share * basis.hot_volume), basis.stock)


def in_more(basis: DesignBasis, coil: Coil, share: float) -> Coils:
    one = in_kettle(basis, coil)[2]
    return filled(one, np.array([share]), basis.chilled_volume, basis.scenario.kettle_area)


@COILS
@pytest.mark.parametrize("share", [0.7, 0.9, 0.98, 1.02, 1.3])
def test_as_placed_anew(tmp_path: Path, coil: Coil, share: float) -> None:
    """From turns that stand dry to a third of the wort above them."""
    basis = kettle(tmp_path)
    found, anew = in_more(basis, coil, share), in_kettle(stated(basis, share), coil)[2]
    assert found.wetted_length == pytest.approx(anew.wetted_length, rel=0.02)
    for name in ("stranded", "riser_share", "over"):
        assert getattr(found, name) == pytest.approx(getattr(anew, name), abs=0.005), name


@pytest.mark.parametrize("share", [0.9, 1.0, 1.02])
@pytest.mark.parametrize("above", [0.0, 0.02, 0.3])
def test_a_coil_over_the_wort_has_nothing_in_it(tmp_path: Path, above: float, share: float) -> None:
    """Lowest turn over the surface: no tube is wet, and no share of it is a riser's (nothing by nothing)."""
    basis = kettle(tmp_path)
    level = float(basis.chilled_volume / basis.scenario.kettle_area)
    high = MINE.model_copy(update={"lowest_turn_height": level + above + MINE.outer_diameter})
    found = in_more(basis, high, share)
    for name in ("wetted_length", "stranded", "riser_share", "over"):
        assert np.isfinite(getattr(found, name)).all(), name
    if share <= 1.0:
        assert found.wetted_length == pytest.approx(0.0, abs=1e-6)
    assert (found.riser_share >= 0.0).all() and (found.riser_share <= 1.0).all()


def test_as_told_nothing_moves(tmp_path: Path) -> None:
    basis = kettle(tmp_path)
    found, one = in_more(basis, MINE, 1.0), in_kettle(basis, MINE)[2]
    for name in Coils.__dataclass_fields__:
        assert getattr(found, name) == pytest.approx(getattr(one, name), rel=1e-9), name


@pytest.mark.parametrize(("mixing", "per_cent"), [("left alone", 1.9), ("steady", 0.8)])
def test_a_batch_takes_as_long_as_a_brewhouse_that_states_it(
    tmp_path: Path, mixing: str, per_cent: float
) -> None:
    """3 % more wort, as draws have it and as the file states it: the same time within a thousandth; left
    alone with wort above the coil that is twice as much time as wort."""
    basis = kettle(tmp_path, mixing)
    factors = replace(basis.scenario.factors, mass=np.array([1.03]))
    drawn = chill(in_more(basis, MINE, 1.03), replace(basis.scenario, factors=factors), SEARCH)
    told, plain = (
        chill(in_kettle(b, MINE)[2], b.scenario, SEARCH).time[0] for b in (stated(basis, 1.03), basis)
    )
    assert drawn.time[0] == pytest.approx(told, rel=1e-3)
    assert drawn.time[0] / plain - 1.0 > 0.03 * per_cent


def test_draws_have_the_level_with_the_volume(tmp_path: Path) -> None:
    """By linear regression over all draws, left alone: 2 % of time a per cent of volume, as by two brewhouse
    files; without the level it was one."""
    basis = kettle(tmp_path)
    one, draws = in_kettle(basis, MINE)[2], Draws.of(basis)
    time = samples(draws, one).time[:, 0]
    columns = [np.empty(time.size)]
    for part in draws.classes:
        columns[0][part.draws] = np.log(part.scenario.factors.mass)
    from optichill.thermal.deviates import deviates

    table = np.column_stack([np.ones(time.size), columns[0], np.delete(deviates(), 13, axis=1)])
    slope = float(np.linalg.lstsq(table, np.log(time), rcond=None)[0][1])
    more, less = (
        float(np.log(chill(in_kettle(stated(basis, s), MINE)[2], stated(basis, s).scenario, SEARCH).time[0]))
        for s in (1.02, 0.98)
    )
    assert slope == pytest.approx((more - less) / np.log(1.02 / 0.98), rel=0.1)
    assert slope > 1.7
