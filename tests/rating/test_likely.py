"""Likely ranges of coils: in one go as in blocks, and what they make of draws that do not get there."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from kits import BREWHOUSE, write_kit
from tiers import count

from optichill.files.reading import load
from optichill.problem.basis import DesignBasis, design_basis
from optichill.problem.draws import Draws
from optichill.rating import likely
from optichill.rating.likely import Samples, samples
from optichill.thermal.coil_performance import Coils

NARROW = Coils.of(
    d_o=10e-3, d_i=8e-3, k=339.0, D_c=0.25, pitch=14e-3, wetted_length=[6.0, 9.0, 12.0, 15.0],
    tube_length=[9.0, 12.0, 15.0, 18.0], metal_capacity=1200.0, stranded=[0.2, 0.1, 0.05, 0.02],
)  # fmt: skip


def basis_of(folder: Path, more: str = "", **wort: str) -> DesignBasis:
    text = BREWHOUSE.replace("[tap]", "".join(f'{k} = "{v}"\n' for k, v in wort.items()) + "\n[tap]") + more
    return design_basis(load(write_kit(folder, brewhouse=text)))


@pytest.mark.parametrize(
    ("mixing", "within"),
    [
        ("steady", 1e-12),
        pytest.param("left alone", 2e-3, marks=pytest.mark.slow),
    ],
)
def test_in_blocks_as_in_one_go(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, mixing: str, within: float
) -> None:
    """Wort that is left alone is walked through in steps that coils share: within 0.2 %."""
    draws = Draws.of(basis_of(tmp_path, mixing=mixing))
    whole = samples(draws, NARROW)
    monkeypatch.setattr(likely, "BLOCK", 64)
    by_one = samples(draws, NARROW)
    for name in Samples.COLUMNS:
        assert getattr(by_one, name) == pytest.approx(getattr(whole, name), rel=within)


def test_all_draws_are_taken_once_and_the_tap_is_drawn(tmp_path: Path) -> None:
    """Classes of the tap's temperature hold every draw once; their spread is the prior's 0.5 K, to 5 %."""
    basis = basis_of(tmp_path)
    draws = Draws.of(basis)
    assert np.array_equal(np.sort(np.concatenate([c.draws for c in draws.classes])), np.arange(512))
    taps = np.array([c.scenario.T_in for c in draws.classes])
    assert taps.mean() == pytest.approx(basis.scenario.T_in, abs=0.01)
    assert taps.std() == pytest.approx(0.5, rel=0.05)


def test_draws_out_of_reach_are_told_as_such_without_a_word_from_numpy(tmp_path: Path) -> None:
    """Wort to be 0.4 K warmer than tap water that is known to 0.5 K: in some batches in five it never is."""
    basis = basis_of(tmp_path, mixing="steady", target_temperature="12.4 degC")
    (told,) = samples(Draws.of(basis), NARROW.take([3])).likely(4 * 3600.0)
    assert told.time.p10 is not None
    assert told.time.p90 is None
    assert told.water.p90 is not None  # over the draws that arrive
    assert told.in_time is not None
    assert 0.5 < told.in_time < 0.9


def test_chances_and_percentiles_say_the_same(tmp_path: Path) -> None:
    """Done within its 90th percentile: nine times in ten, and the sooner the less surely."""
    drawn = samples(Draws.of(basis_of(tmp_path, mixing="now and then")), NARROW)
    built = drawn.as_built()
    tenths = built.quantile("time", (0.1, 0.5, 0.9))
    chances = np.array([[built.in_time(t)[i] for i, t in enumerate(row)] for row in tenths])
    assert chances == pytest.approx(np.repeat([[0.1], [0.5], [0.9]], 4, axis=1), abs=1e-3)
    plain = np.quantile(drawn.time, [0.1, 0.9], axis=0)
    assert (tenths[0] < plain[0]).all() and (tenths[2] > plain[1]).all()  # noqa: PT018


def test_tubs_that_are_filled_count_whole_and_are_no_slower_to_fill(tmp_path: Path) -> None:
    """Water in vessels hangs on no film: what a coil has of its own changes the time alone."""
    bath = (
        '[[cooling]]\nsource = "bucket"\npump = "small"\nwater = "40 L"\nbucket = "45 L"\nreturn = "bucket"\n'
        'return_under_water = true\nwater_temperature = "8 degC"\n'
    )
    basis = basis_of(tmp_path, bath, mixing="steady", target_temperature="40 degC")
    (told,) = samples(Draws.of(basis), NARROW.take([3])).likely(None)
    assert told.water.p10 == pytest.approx(0.040, rel=1e-3)
    assert told.water.p90 == pytest.approx(0.040, rel=1e-3)
    assert told.time.p90 is not None
    assert told.time.p10 is not None
    assert told.time.p90 > 1.3 * told.time.p10


@pytest.mark.slow
@pytest.mark.parametrize("mixing", ["left alone", "now and then", "steady"])
def test_the_nearest_speak_for_those_not_looked_at(tmp_path: Path, mixing: str) -> None:
    """Rows of a whole space: ranges by the nearest of half of them (of the wide demo's 539 designs 300 are
    looked at) against those of all, within 3 % at both ends for 99 in 100."""
    from optichill.search.enumeration import rows_that_fit
    from optichill.search.evaluate import chill_of, rows
    from optichill.search.sampled import samples_of_many
    from optichill.search.space import space
    from optichill.thermal.coil_performance import SEARCH

    everything = space(basis_of(tmp_path, mixing=mixing))
    numbers = rows_that_fit(everything, count(120, 600))
    r = rows(everything, numbers)
    scenario = everything.basis.scenario
    result = chill_of(everything, r, np.arange(len(r)), SEARCH, scenario)
    few, full = (samples_of_many(everything, r, result, scenario, n) for n in (len(r) // 2, len(r)))
    reached = np.isfinite(result.time)
    assert reached.sum() > 0.5 * len(r)
    for name in ("time", "water"):
        ends = [replace(s.take(np.flatnonzero(reached))).quantile(name, (0.1, 0.9)) for s in (few, full)]
        both = np.isfinite(ends[0]) & np.isfinite(ends[1])
        assert both.mean() > 0.99
        assert np.quantile(np.abs(ends[0] / ends[1] - 1.0)[both], 0.99) < 0.03, name
