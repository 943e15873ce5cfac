"""Lists of any length: nothing is stored that grows with pairs of forms, and a sample is told as one."""

from __future__ import annotations

import sys
import tracemalloc
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import small_stock
from where import ROOT

sys.path.insert(0, str(ROOT / "tests" / "benchmarks"))
from stock_of_any_size import large_stock  # noqa: E402

from optichill.files.reading import load
from optichill.geometry import riser_bends
from optichill.problem.basis import DesignBasis, design_basis
from optichill.problem.windings import windings
from optichill.report import jsonout
from optichill.report.screen import first_screen
from optichill.report.searched import forecast_json, forecast_text, sample_text
from optichill.search import forecast as forecast_module
from optichill.search import held_back as held_back_module
from optichill.search import piece_by_piece
from optichill.search import space as space_module
from optichill.search.enumeration import Enumeration, enumerate_space
from optichill.search.forecast import forecast
from optichill.search.front import rounded
from optichill.search.helices import helices
from optichill.search.recommend import recommend
from optichill.search.ruled_out import _Thinned
from optichill.search.space import Sample, space


@pytest.fixture(scope="module")
def merchant(tmp_path_factory: pytest.TempPathFactory) -> DesignBasis:
    """12 tubes on 120 forms: 4 320 windings, 144 000 pairs of forms in two layouts; of a third the layers lie
    where strips or risers go between them."""
    folder = tmp_path_factory.mktemp("merchant")
    large_stock(folder, tubes=12, forms=120)
    return design_basis(load(folder))


def test_memory_does_not_grow_with_pairs_of_forms(merchant: DesignBasis) -> None:
    """15 MB; 31 MB while all pairs were stored, and the square of it with ten times the lists."""
    space(merchant)  # what is loaded once is not counted
    tracemalloc.start()
    found = space(merchant)
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    pairs = sum(len(piece) for piece in _pieces(merchant, found))
    assert pairs > 50_000 and found.setups.two().sum() < 0.05 * pairs
    assert peak < 20e6


def _pieces(basis: DesignBasis, found: space_module.Space) -> list[space_module.Setups]:
    return [*space_module.layered_setups(found.setups.of, basis.brewhouse.workshop.layouts)]


def test_rolls_of_one_size_are_bent_alike(merchant: DesignBasis, monkeypatch: pytest.MonkeyPatch) -> None:
    """Thousands of rolls are a few dozen sizes: how each bends is worked out once, and not once a roll."""
    asked: list[float] = []
    worked_out = riser_bends.riser_bend_minimum

    def counted(d_o: float, *of: Any) -> Any:
        asked.append(d_o)
        return worked_out(d_o, *of)

    monkeypatch.setattr(riser_bends, "riser_bend_minimum", counted)
    tube = merchant.stock.tubing[0].model_copy(update={"outer_diameter": 0.0107})
    rolls = tuple(tube.model_copy(update={"stock_id": f"r{n}"}) for n in range(500))
    windings(replace(merchant, stock=merchant.stock.model_copy(update={"tubing": rolls})))
    assert 0 < len(asked) < 10


def test_combinations_counted_piece_by_piece_are_all_there_are(merchant: DesignBasis) -> None:
    found = space(merchant)
    one = found.setups.take(np.flatnonzero(~found.setups.two()))
    every = one.joined(*_pieces(merchant, found))
    assert found.raw == helices(every, merchant).count.sum() * len(found.valve_shares)


def test_a_sample_is_even_and_tells_its_size(tmp_path: Path) -> None:
    basis = small_stock.of(tmp_path)
    whole, some = space(basis), space(basis, most=200)
    assert whole.sample is None
    every = np.concatenate([*whole.chunks(10**6)])
    step = -(-every.size // 200)
    for rows in (7, 10**6):
        np.testing.assert_array_equal(np.concatenate([*some.chunks(rows)]), every[::step])
    flows = len(some.valve_shares)
    assert some.sample == Sample(every[::step].size * flows, every.size * flows)
    text = " ".join(sample_text(some.sample))
    assert f"{some.sample.looked_at:,}" in text and "--tube" in text and "--form" in text
    assert sample_text(None) == []


def test_where_nothing_fits_a_sample_says_so_otherwise() -> None:
    (said,) = sample_text(Sample(1000, 20_000), "A nearer way out")
    assert "A nearer way out may be among the rest" in said and "1,000" in said and "20,000" in said


def test_what_a_sample_finds_is_real_and_near_the_best(tmp_path: Path) -> None:
    basis = small_stock.of(tmp_path)
    best = enumerate_space(space(basis)).front
    found = enumerate_space(space(basis, most=400)).front
    ours, all_ = (rounded(front.goals, front.steps) for front in (found, best))
    # Nothing of a sample beats the whole; and its set-ups were gone through turn by turn.
    assert not any(((o <= a).all() and (o < a).any()) for o in ours for a in all_)
    assert len({*map(tuple, ours.tolist())} & {*map(tuple, all_.tolist())}) > 0.3 * len(all_)


def test_of_too_many_windings_every_tube_and_every_form_take_part(merchant: DesignBasis) -> None:
    every, some = windings(merchant), windings(merchant, most=400)
    assert some.of == every.of == len(every) == 12 * 120 * 3
    assert 350 < len(some) < 450
    assert set(some.way.tolist()) == set(range(12)) and set(some.wraps.tolist()) == {0, 1, 2}
    assert len(set(some.form.tolist())) == 120
    known = {(w.tube.stock_id, w.form.form_id, w.wraps) for w in every}
    found = [(w.tube.stock_id, w.form.form_id, w.wraps) for w in some]
    assert len(set(found)) == len(found) and known.issuperset(found)


def test_combinations_of_a_sample_of_windings_are_told_as_about_all(
    merchant: DesignBasis, monkeypatch: pytest.MonkeyPatch
) -> None:
    whole = space(merchant)
    monkeypatch.setattr(space_module, "windings", lambda basis, **only: windings(basis, most=1000, **only))
    some = space(merchant)
    assert some.raw == pytest.approx(whole.raw, rel=0.1)
    assert some.sample is not None
    assert some.sample.of_about == pytest.approx(whole.could_hold, rel=0.1)
    assert some.sample.looked_at < 0.5 * whole.could_hold


def test_too_many_pairs_are_thinned_evenly() -> None:
    kept = _Thinned(most=100)
    columns = np.stack([np.arange(1003)] * 4)
    for piece in np.array_split(columns, 17, axis=1):
        kept.add(piece)
    np.testing.assert_array_equal(kept.all(), columns[:, :: kept.every])
    assert kept.every == 8 and 100 <= kept.size <= 200


def test_a_forecast_counts_what_will_be_looked_at_and_says_what_makes_it_small(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    basis = small_stock.of(tmp_path)
    found, every = forecast(basis), space(basis)
    assert (found.combinations, found.sample) == (every.raw, None)
    rows: list[int] = []
    enumerate_space(every, tell=lambda done, of: rows.append(done))
    assert rows[-1] * len(every.valve_shares) == found.to_look_at
    assert rows == sorted(rows)
    assert f"{found.to_look_at:,} to look at" in forecast_text(found)[0]
    monkeypatch.setattr(space_module.Space, "looked_at", 2_500_000)
    monkeypatch.setattr(forecast_module, "_tried_out", lambda _: 8e-6)
    assert "forms_owned_only" in forecast_text(forecast(basis))[-1]


def test_a_long_list_is_tried_out_before_its_time_is_told(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Each row takes a millisecond by a clock of our own, and so do the rows of the whole list."""
    clock = [0.0]

    def search(of: space_module.Space) -> None:
        clock[0] += 0.05 + 1e-3 * of.looked_at

    basis = small_stock.of(tmp_path)
    monkeypatch.setattr(forecast_module, "enumerate_space", search)
    monkeypatch.setattr(forecast_module, "perf_counter", lambda: clock[0])
    monkeypatch.setattr(forecast_module, "process_time", lambda: clock[0])
    monkeypatch.setattr(forecast_module, "SECONDS_A_ROW", 1e-3)
    monkeypatch.setattr(forecast_module, "SECONDS_A_ROW_IN_STEPS", 1e-3)
    rows = space(basis).looked_at
    assert forecast(basis).seconds == pytest.approx(1e-3 * rows + forecast_module.SECONDS_BESIDES, rel=0.02)


def test_of_a_merchants_list_it_is_told_what_is_left_out_and_that_all_else_is_looked_at(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    large_stock(tmp_path, tubes=100, forms=12)
    basis = design_basis(load(tmp_path))
    assert forecast(basis).left_out == space(basis).left_out and forecast(basis).left_out.rolls > 20
    monkeypatch.setattr(space_module, "windings", lambda basis, **only: windings(basis, most=400, **only))
    found = forecast(basis)
    said = " ".join(forecast_text(found))
    assert found.sample is None and found.left_out.about
    assert f"left out: {found.left_out.rolls} rolls that another beats" in said
    assert said.startswith("about ") and "a sample" not in said and "combinations with a dearer one" in said
    assert forecast_json(found)["left_out"] == dict(vars(found.left_out))
    monkeypatch.setattr(piece_by_piece, "MOST", 100)
    assert "a sample: about" in " ".join(forecast_text(forecast(basis)))


def test_an_answer_from_such_a_list_says_what_was_left_out(tmp_path: Path) -> None:
    large_stock(tmp_path, tubes=40, forms=6)
    inputs = load(tmp_path)
    answer = recommend(design_basis(inputs))
    assert answer.left_out is not None and answer.left_out.rolls > 5
    screen = " ".join(" ".join(first_screen(answer, inputs, full=True)).split())
    assert f"Left out: {answer.left_out.rolls} rolls that another beats" in screen
    assert jsonout.recommend(answer, inputs)["search"]["left_out"]["rolls"] == answer.left_out.rolls


def test_where_nothing_will_fit_the_forecast_says_so(tmp_path: Path) -> None:
    """Not that nothing is left to look at in two seconds; and the search finds nothing indeed."""
    basis = small_stock.of(tmp_path, {"limits": {"budget": 5}})
    found = forecast(basis)
    (said,) = forecast_text(found)
    assert found.to_look_at == 0 and "not one holds your limits: nothing will fit" in said
    assert not recommend(basis).designs


def test_what_is_held_back_is_seen_without_a_list_of_all_rows(
    merchant: DesignBasis, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Of 300 tubes on 100 forms such a list was the most that a whole search needed: 470 MB, now 390."""
    found = Enumeration(space(merchant))
    monkeypatch.delattr(space_module.Space, "chunks")
    monkeypatch.setattr(held_back_module, "LOOKED_AT", 64)
    held_back_module.held_back(found, 0)


def test_one_roll_of_a_long_list_is_searched_as_if_it_were_alone(tmp_path: Path) -> None:
    """`--tube` on a merchant's list looks at what comes out of that roll and at nothing else."""
    large_stock(tmp_path, tubes=300, forms=30)
    basis = design_basis(load(tmp_path))
    tube = basis.stock.tubing[100]
    only = replace(basis, stock=basis.stock.model_copy(update={"tubing": (tube,)}))
    one, alone = space(basis, tube=tube.stock_id), space(only)
    assert len(basis.stock.tubing) == 300 and len(one.windings) == len(alone.windings) == 30 * 3
    assert (one.raw, one.could_hold, len(one.setups)) == (alone.raw, alone.could_hold, len(alone.setups))
    assert one.looked_at == alone.looked_at > 0 and one.sample is alone.sample is None
