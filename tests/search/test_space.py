"""The rows of the search: numbered once each, the choices a brewer can mark, ids that exist."""

from __future__ import annotations

import random
import tracemalloc
from pathlib import Path

import numpy as np
import pytest
import small_stock
from row_keys import keys

from optichill.layouts import LAYOUTS
from optichill.problem.riser_tools import riser_tools
from optichill.search.helices import gap_choices
from optichill.search.space import Space, UnknownId, known_id, space


@pytest.fixture(scope="module")
def small(tmp_path_factory: pytest.TempPathFactory) -> Space:
    return space(small_stock.of(tmp_path_factory.mktemp("space")))


def test_every_row_number_is_one_coil_and_every_coil_one_row(small: Space) -> None:
    found = keys(small)
    assert len(set(found)) == len(found) == small.size > 1000


def test_a_row_decodes_alike_alone_and_among_others(small: Space) -> None:
    rows = np.random.default_rng(0).permutation(small.size)[:300]
    together = np.array(small.decode(rows))
    alone = np.array([np.concatenate(small.decode(np.array([row]))) for row in rows.tolist()]).T
    np.testing.assert_array_equal(together, alone)
    assert not np.isnan(together).any()


def test_last_rows_of_each_helix_do_not_run_into_the_next(small: Space) -> None:
    ends, starts = small.first_row[1:] - 1, small.first_row[:-1]
    for rows in (ends, starts):
        setup, gap, _, _ = small.decode(rows)
        np.testing.assert_array_equal(setup, small.setup)
        np.testing.assert_array_equal(gap, small.gap)
    assert set(small.decode(starts)[2].tolist()) == {2.0}
    assert (small.decode(ends)[2] >= 2.0).all() and len(set(small.decode(ends)[2].tolist())) > 5


@pytest.mark.parametrize("rows", [7, 4096, 10**6])
def test_chunks_hold_every_row_once(small: Space, rows: int) -> None:
    whole = space(small.basis, prune=False)
    chunks = list(whole.chunks(rows))
    assert all(0 < c.size <= rows for c in chunks)
    np.testing.assert_array_equal(np.concatenate(chunks), np.arange(small.size))
    assert not list(whole.chunks(rows, beyond=True))


# --- layouts and valve settings ---------------------------------------------------------------------------

ALL = {"layouts": list(LAYOUTS), "flow_settings": ["third", "full", "half"], "marking_increment": "5 mm"}


@pytest.fixture(scope="module", params=[True, False], ids=["what may hold", "everything"])
def layered(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Space:
    s = small_stock.of(tmp_path_factory.mktemp("layered"), {"workshop": ALL, "limits": {"budget": 120}})
    return space(s, prune=request.param)


def test_every_layout_and_valve_setting_has_its_own_row(layered: Space) -> None:
    found = keys(layered)
    assert len(set(found)) == len(found) == layered.size
    assert {k[2] for k in found} == set(LAYOUTS)
    assert layered.valve_shares == (1.0, 0.5, pytest.approx(1 / 3))  # the fullest first
    assert [k[:-1] for k in found[::3]] == [k[:-1] for k in found[1::3]] == [k[:-1] for k in found[2::3]]


@pytest.mark.parametrize("rows", [7, 4096, 10**6])
def test_chunks_and_what_is_beyond_hold_every_coil_once(layered: Space, rows: int) -> None:
    inside, beyond = list(layered.chunks(rows)), list(layered.chunks(rows, beyond=True))
    assert all(0 < c.size <= rows for c in [*inside, *beyond])
    both = np.concatenate([*inside, *beyond])
    assert np.unique(both).size == both.size
    np.testing.assert_array_equal(np.sort(both), np.arange(0, layered.size, len(layered.valve_shares)))
    single = layered.setups.layout[layered.decode(np.sort(both))[0]] == 0
    whole = space(layered.basis, prune=False)  # coils of one layer all have a number
    assert single.sum() == (whole.setups.layout[whole.decode(np.arange(0, whole.size, 3))[0]] == 0).sum()


def test_going_through_the_rows_holds_two_arrays_of_all_helices(layered: Space) -> None:
    # Both lanes of a search do: of 300 tubes and 100 forms each array takes 10 MB.
    tracemalloc.start()
    rows = layered.chunks(8)
    next(rows)
    arrays = tracemalloc.DomainFilter(True, np.lib.tracemalloc_domain)  # not what measures tests holds
    traces = tracemalloc.take_snapshot().filter_traces([arrays]).traces
    tracemalloc.stop()
    assert layered.gap.nbytes <= sum(trace.size for trace in traces) < 3 * layered.gap.nbytes


def test_a_layered_row_decodes_alike_alone_and_among_others(layered: Space) -> None:
    rows = np.random.default_rng(1).permutation(layered.size)[:200]
    together = np.array(layered.decode(rows))
    alone = np.array([np.concatenate(layered.decode(np.array([row]))) for row in rows.tolist()]).T
    np.testing.assert_array_equal(together, alone)


def test_two_layers_have_two_forms_of_one_tube_and_tool(layered: Space) -> None:
    setups, found = layered.setups, layered.windings
    for p in np.flatnonzero(setups.layout > 0).tolist():
        outer, inner = found[setups.outer[p]], found[setups.inner[p]]
        assert (outer.tube, outer.tool) == (inner.tube, inner.tool)
        assert outer.form.outer_diameter > inner.form.outer_diameter
        assert outer.wraps == inner.wraps == 0
    one = np.flatnonzero(setups.layout == 0)
    np.testing.assert_array_equal(setups.outer[one], setups.inner[one])


def test_layers_of_one_tube_lie_no_farther_apart_than_strips_stand(tmp_path: Path) -> None:
    """A list may hold a form of any width: 10 mm tube on 180 mm, strips of 22.5 mm and card end at 251."""
    stock = small_stock.lists()
    (pipe,) = [row for row in stock["forms"] if row["form_id"] == "pipe"]
    sizes = {"near": "250 mm", "far": "252 mm"}
    stock["forms"] = [pipe, *({**pipe, "form_id": n, "outer_diameter": D} for n, D in sizes.items())]
    of = space(small_stock.of(tmp_path, {"workshop": {**ALL, "layouts": ["nested", "parallel"]}}, stock))
    names = list(LAYOUTS)
    pairs = {
        (names[of.setups.layout[p]], of.windings[of.setups.outer[p]].form.form_id)
        for p in range(of.setups.layout.size)
        if (inner := of.windings[of.setups.inner[p]]).form.form_id == "pipe"
        and inner.tube.outer_diameter == pytest.approx(0.010)
    }
    assert pairs == {("nested", "near"), ("parallel", "near"), ("parallel", "far")}


@pytest.mark.parametrize("layouts", [["single"], ["nested"], ["parallel"], ["nested", "parallel"]])
def test_only_the_layouts_asked_for_are_there(tmp_path: Path, layouts: list[str]) -> None:
    of = space(small_stock.of(tmp_path, {"workshop": {**ALL, "layouts": layouts}}))
    assert {k[2] for k in keys(of)} == set(layouts)


@pytest.mark.parametrize("prune", [True, False])
def test_row_numbers_of_layers_do_not_depend_on_the_order_of_the_lists(tmp_path: Path, prune: bool) -> None:
    stock = small_stock.lists()
    for seed, rows in enumerate(stock.values()):
        random.Random(seed).shuffle(rows)
    one, other = (
        space(small_stock.of(tmp_path / name, {"workshop": ALL, "limits": {"budget": 120}}, of), prune=prune)
        for name, of in (("as it is", small_stock.lists()), ("shuffled", stock))
    )
    assert keys(one) == keys(other)


@pytest.mark.parametrize(
    ("d_o", "smallest", "step", "expected"),
    [
        (10, 5, 1, [5, 6, 7, 8, 9, 10]),  # pitch 2 d_o is the last
        (10, 5, 2.5, [5, 7.5, 10]),
        (10, 5, 4, [8, 12]),  # 12 is the next mark above one tube diameter
        (9.525, 5, 1, [5, 6, 7, 8, 9, 10]),
        (9.525, 0, 1.5875, [0, 1.5875, 3.175, 4.7625, 6.35, 7.9375, 9.525]),  # sixteenths of an inch
        (8, 12, 1, [12]),  # the smallest gap wins over the largest useful one
        (10, 0, 10, [0, 10]),
    ],
)
def test_gaps_are_marks_up_to_one_tube_diameter(
    d_o: float, smallest: float, step: float, expected: list[float]
) -> None:
    found = gap_choices(d_o * 1e-3, smallest * 1e-3, step * 1e-3)
    np.testing.assert_allclose(found, np.array(expected) * 1e-3, atol=1e-12)


@pytest.mark.parametrize(("sides", "fractions"), [("same", {0.0}), ("opposite", {0.5}), ("any", {0.0, 0.5})])
def test_turns_bring_the_risers_to_their_side(tmp_path: Path, sides: str, fractions: set[float]) -> None:
    of = space(small_stock.of(tmp_path, {"workshop": {"riser_sides": sides}}))
    _, _, turns, _ = of.decode(np.arange(of.size))
    assert set((turns % 1.0).tolist()) == fractions
    assert turns.min() >= 2.0


def test_hard_tube_and_closed_forms_are_left_out(small: Space) -> None:
    assert {w.tube.stock_id for w in small.windings} == {"cu-10-10", "cu-12-15", "ss-10-15"}
    assert {w.form.form_id for w in small.windings} == {"pot", "pipe", "tin"}


def test_half_hard_tube_stays(tmp_path: Path) -> None:
    stock = small_stock.lists()
    stock["tubing"][0]["temper"] = "half hard"
    found = space(small_stock.of(tmp_path, stock=stock))
    assert "cu-10-10" in {w.tube.stock_id for w in found.windings}


def test_forms_owned_only_keeps_to_what_is_there(tmp_path: Path) -> None:
    of = space(small_stock.of(tmp_path, {"workshop": {"forms_owned_only": True}}))
    assert {w.form.form_id for w in of.windings} == {"pot"}


def test_tube_and_form_keep_to_one(tmp_path: Path) -> None:
    of = space(small_stock.of(tmp_path), tube="ss-10-15", form="pipe")
    assert {(w.tube.stock_id, w.form.form_id) for w in of.windings} == {("ss-10-15", "pipe")}


def test_forms_are_used_bare_and_packed_out_once_and_twice_with_3_mm(small: Space) -> None:
    pot = [i for i, w in enumerate(small.windings) if w.form.form_id == "pot"]
    found = {(small.windings[i].wraps, round(float(small.setups.of.D_form[i]), 6)) for i in pot}
    assert found == {(0, 0.250), (1, 0.256), (2, 0.262)}


def test_circumference_is_a_diameter(small: Space) -> None:
    tin = next(w for w in small.windings if w.form.form_id == "tin")
    assert tin.form.outer_diameter == pytest.approx(0.725 / np.pi)


@pytest.mark.parametrize(
    ("tube", "form", "column", "nearest"),
    [
        ("cu-10-1O", None, "stock_id", "cu-10-10"),
        ("cu-12", None, "stock_id", "cu-12-15"),
        (None, "pott", "form_id", "pot"),
        (None, "zzz", "form_id", "pipe"),  # nothing is near: the first few
    ],
)
def test_unknown_ids_are_refused_with_near_ones(
    tmp_path: Path, tube: str | None, form: str | None, column: str, nearest: str
) -> None:
    s = small_stock.of(tmp_path)
    with pytest.raises(UnknownId) as refused:
        known_id(s.stock, tube=tube, form=form)
    said = str(refused.value)
    assert column in said and (tube or form or "") in said and nearest in said
    assert refused.value.exit_code == 4


def test_known_ids_pass(tmp_path: Path) -> None:
    known_id(small_stock.of(tmp_path).stock, tube="cu-10-10", form=None)
    known_id(small_stock.of(tmp_path).stock, tube=None, form="tin")


def test_row_numbers_do_not_depend_on_the_order_of_the_lists(tmp_path: Path, small: Space) -> None:
    stock = small_stock.lists()
    for seed, rows in enumerate(stock.values()):
        random.Random(seed).shuffle(rows)
    assert keys(space(small_stock.of(tmp_path, stock=stock))) == keys(small)


def test_an_owned_tool_that_fits_is_the_way(tmp_path: Path) -> None:
    s = small_stock.of(tmp_path)
    ways = {t.stock_id: [w.description for w in riser_tools(t, s.stock)] for t in s.stock.tubing}
    assert ways["cu-12-15"] == ["lever-12"]
    # Nothing owned: by hand, or with either tool to buy.
    assert ways["cu-10-10"] == ["by hand", "lever-10", "spring-10"]
    # Stainless is never bent freehand (design rule of this project).
    assert ways["ss-10-15"] == ["lever-10", "spring-10"]


def test_stainless_without_a_tool_has_a_way_that_does_not_hold(tmp_path: Path) -> None:
    stock = small_stock.lists()
    stock["benders"] = []
    s = small_stock.of(tmp_path, stock=stock)
    ways = riser_tools(s.stock.tube("ss-10-15"), s.stock)  # type: ignore[arg-type]
    assert [w.holds for w in ways] == [False]
