"""What is told of a coil in several kettles: its figures there are those of its file there, its risers suit
all rims, and neither order nor a kettle named twice changes anything."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np
import pytest
import small_stock

import optichill as oc
from optichill.api import ForSeveral, Recommendation
from optichill.problem.placement import place_coils
from optichill.rating.coil_rating import placed
from optichill.search.shared import for_all

HERE = {"wort": {"volume": "23 L", "mixing": "now and then"}, "wishes": {"batches": 40}}
BIG = {
    "name": "Big kettle",
    "kettle": {"inside_diameter": "40 cm", "inside_height": "46 cm", "coil_rests": "hangs"},
    "wort": {"volume": "38 L", "mixing": "steady"},
    "wishes": {"batches": 25},
}
WIDE = {
    "name": "Wide kettle",
    "kettle": {"inside_diameter": "44 cm", "inside_height": "32 cm", "coil_rests": "floor"},
    "wort": {"volume": "30 L"},
    "tap": {"temperature": "9 degC"},
    "limits": {"water": "150 L"},
    "workshop": {"flow_settings": ["full", "half", "third"]},
}


def read(folder: Path, house: dict[str, Any], name: str) -> oc.Problem:
    return oc.read(small_stock.write(folder / name, house))


@pytest.fixture(scope="module")
def three(tmp_path_factory: pytest.TempPathFactory) -> tuple[oc.Problem, ...]:
    folder = tmp_path_factory.mktemp("three")
    return tuple(read(folder, house, name) for house, name in ((HERE, "a"), (BIG, "b"), (WIDE, "c")))


@pytest.fixture(scope="module")
def shared(three: tuple[oc.Problem, ...]) -> ForSeveral:
    found = oc.recommend(three[0], top=2, also=list(three[1:]))
    assert isinstance(found, ForSeveral) and len(found.designs) == 2
    return found


def test_every_figure_elsewhere_is_what_its_file_gives_there(
    shared: ForSeveral, three: tuple[oc.Problem, ...], tmp_path: Path
) -> None:
    """The saved file with the lines for the other kettle, rated there by its own brewhouse."""
    saved = shared.save_coil(tmp_path / "coil.toml").read_text(encoding="utf-8")
    coil = shared.found.coils[0]
    assert oc.rate(tmp_path / "coil.toml", three[0]).chill_time == pytest.approx(
        coil.design.prediction.chill_time, rel=2e-3
    )
    for there, problem in zip(coil.there, three[1:], strict=True):
        remark = next(x for x in saved.splitlines() if x.startswith(f"# In {problem.brewhouse.name}: "))
        lines = remark.removesuffix(".").split(": ", 1)[1].split(", ")
        kept = [x for x in saved.splitlines() if not x.startswith(("lowest_turn_height", "flow"))]
        head = kept.index("[coil]") + 1
        file = tmp_path / f"{problem.brewhouse.name}.toml"
        file.write_text("\n".join([*kept[:head], *lines, *kept[head:]]), encoding="utf-8")
        rated, told = oc.rate(file, problem), there.design.prediction
        assert there.serves and there.design.valve_share <= 1.0
        assert rated.prediction.told.time == pytest.approx(told.told.time, rel=5e-3)
        assert rated.prediction.told.water == pytest.approx(told.told.water, rel=5e-3)
        assert rated.flow == pytest.approx(told.flow, rel=2e-3)
        its = {line.name: line for line in rated.limits}
        for line in there.design.limits:
            if line.name in its:
                assert line.holds == its[line.name].holds
                assert its[line.name].value == pytest.approx(line.value, rel=6e-3, abs=1e-6)


def test_the_valve_is_shut_where_a_limit_asks_for_it_and_there_alone(shared: ForSeveral) -> None:
    coil = shared.found.coils[0]
    big, wide = coil.there
    assert coil.design.valve_share == big.design.valve_share == 1.0 > wide.design.valve_share


def test_risers_are_long_enough_for_each_kettle_by_itself(
    shared: ForSeveral, three: tuple[oc.Problem, ...]
) -> None:
    """Up to the tallest rim and past the widest wall: no kettle alone asks for longer ones."""
    coil = shared.found.coils[0]
    every = [coil.design, *(there.design for there in coil.there)]
    assert len({(round(d.riser_in, 9), round(d.riser_out, 9), round(d.tube_length, 9)) for d in every}) == 1
    from optichill.search.designs import as_coil

    for design, problem in zip(every, three, strict=True):
        shape, _ = placed(problem.basis, as_coil(design))
        alone = place_coils(problem.basis, shape, design.lowest)
        assert design.riser_in >= alone.riser_in[0] - 1e-9
        assert design.riser_out >= alone.riser_out[0] - 1e-9
    # The tall one is 46 cm to the rim; the widest is 44 cm: the level part reaches past both.
    up = [p.brewhouse.kettle.inside_height - d.lowest for d, p in zip(every, three, strict=True)]
    assert max(up) == up[1] or max(up) == up[0]


def test_the_order_of_the_others_changes_nothing(shared: ForSeveral, three: tuple[oc.Problem, ...]) -> None:
    again = oc.recommend(three[0], top=2, also=[three[2], three[1], three[2]])
    assert isinstance(again, ForSeveral)
    assert [d.id for d in again.designs] == [d.id for d in shared.designs]
    np.testing.assert_allclose(
        [c.total for c in again.found.coils], [c.total for c in shared.found.coils], rtol=1e-9
    )
    assert [there.design.id for there in again.found.coils[0].there] == [
        there.design.id for there in reversed(shared.found.coils[0].there)
    ]


def test_the_sum_is_built_once_and_run_in_each(shared: ForSeveral) -> None:
    for coil in shared.found.coils:
        once, runs = coil.design.life, [there.design.life.running for there in coil.there]
        assert coil.total == pytest.approx(
            float(once.build + once.work + once.spoiling + once.running + sum(runs))
        )


def test_the_same_kettle_is_counted_once(three: tuple[oc.Problem, ...], tmp_path: Path) -> None:
    alone, twice = oc.recommend(three[0]), oc.recommend(three[0], also=[read(tmp_path, HERE, "copy")])
    assert isinstance(twice, Recommendation)
    assert [d.id for d in twice.designs] == [d.id for d in alone.designs]


def test_two_alike_kettles_are_as_one_with_the_batches_of_both(tmp_path: Path) -> None:
    """Half of the batches in each of two kettles that differ by name alone: the coil of all in one."""
    half = {**HERE, "wishes": {"batches": 20}}
    one, two = read(tmp_path, half, "one"), read(tmp_path, {**half, "name": "Twin"}, "two")
    both, whole = for_all(one.basis, [two.basis]), oc.recommend(read(tmp_path, HERE, "whole")).best
    assert whole is not None
    assert both.coils[0].total == pytest.approx(float(whole.life.total), abs=0.25 * both.tie)
    assert both.coils[0].design.id == whole.id


def test_no_coil_serves_all_and_it_is_said_what_stands_in_the_way(
    three: tuple[oc.Problem, ...], tmp_path: Path
) -> None:
    """A kettle so narrow that no coil for the other one's deadline goes in."""
    house = {
        "name": "Narrow kettle",
        "kettle": {"inside_diameter": "27 cm", "inside_height": "46 cm"},
        "wort": {"volume": "16 L"},
    }
    wide_only = {**BIG, "limits": {"chill_time": "24 min"}, "wort": {"volume": "40 L", "mixing": "steady"}}
    first, narrow = read(tmp_path, wide_only, "wide"), read(tmp_path, house, "narrow")
    found = oc.recommend(first, also=[narrow])
    assert isinstance(found, ForSeveral) and not found.designs and found.best is None
    mine, its = found.found.alone
    assert mine.design is not None and {line.name for line in mine.breaks[0]} & {"wall", "mouth"}
    assert its.design is not None and "chill_time" in {line.name for line in its.breaks[0]}
    said = " ".join(" ".join(found.lines()).split())
    assert "NO COIL FITS" in said and "the chill time" in said and "Narrow kettle" in said
    with pytest.raises(oc.OptichillError, match="no coil serves all kettles"):
        found.save_coil(tmp_path / "none.toml")


@pytest.mark.parametrize(
    ("changed", "what"),
    [({"wishes": {"cost": {"good": 50, "acceptable": 90}}}, "levels"), ({}, "currency")],
)
def test_what_has_no_sum_is_refused_with_its_file(
    three: tuple[oc.Problem, ...], tmp_path: Path, changed: dict[str, Any], what: str
) -> None:
    where = small_stock.write(tmp_path / "other", {**BIG, **changed})
    if what == "currency":
        with open(where / "brewhouse.toml", "a", encoding="utf-8") as file:
            file.write('\n[stock]\ncurrency = "USD"\n')
    with pytest.raises(oc.InputFaults, match=f"other/brewhouse.toml:.*{what}"):
        oc.recommend(three[0], also=[oc.read(where)])


def test_a_wrong_argument_is_refused(three: tuple[oc.Problem, ...]) -> None:
    for named in ({"also": "b"}, {"also": [3]}, {"next_kettle": "b"}):
        with pytest.raises(oc.InputFaults, match="not a"):
            oc.recommend(three[0], **named)  # type: ignore[call-overload]
    with pytest.raises(oc.InputFaults, match="one of the two"):
        oc.recommend(three[0], also=[three[1]], next_kettle=three[2])
