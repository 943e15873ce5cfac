"""When nothing fits: the limits said to be in the way, and every step said to help, against all coils."""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import small_stock
from conftest import Done
from small_stock import Every

from optichill.problem.basis import DesignBasis
from optichill.problem.worth import worth_of
from optichill.workshop.lifetime import Worth

Run = Callable[..., Done]

COARSE = {"riser_sides": "same", "marking_increment": "5 mm"}

LAYERS = {"layouts": ["single", "nested", "parallel"], "flow_settings": ["full", "half", "third"]}

# Each brewhouse admits no coil; which limits must be among those named.
SLOW = ("layers: two", "layers: water", "layers: shallow", "two that", "water", "little wort", "difficulty")
"""Cases left to the gate."""

RARE = ("layers: water", "layers: two alone, a wide mast", "layers: shallow", "difficulty")
"""Cases left to the long run: another limit is hit in layers, another fixed thing in the way, little wort of
one layer, and difficulty beside the budget, in the gate."""

CASES: dict[str, tuple[dict[str, Any], set[frozenset[str]]]] = {
    "budget alone": ({"limits": {"budget": 50}}, {frozenset({"budget"})}),
    "time and budget together": (
        {"limits": {"budget": 82, "chill_time": "21.5 min"}},
        {frozenset({"budget", "chill_time"})},
    ),
    "difficulty": ({"limits": {"difficulty": 1.5}}, {frozenset({"difficulty"})}),
    "water": ({"limits": {"water": "60 L"}}, {frozenset({"water"})}),
    "a narrow mouth": ({"kettle": {"mouth": "21 cm"}}, {frozenset({"mouth"})}),
    "a full kettle": ({"wort": {"volume": "40 L"}}, {frozenset({"headspace"})}),
    "three of four": (
        {"limits": {"budget": 90, "chill_time": "24 min", "difficulty": 3.0, "water": "160 L"}},
        set(),
    ),
    "two that each forbid all": (
        {"limits": {"budget": 55, "difficulty": 1.5}},
        {frozenset({"budget"}), frozenset({"difficulty"})},
    ),
    "little wort": ({"wort": {"volume": "5 L"}}, {frozenset({"submergence"})}),
    "layers: budget and time": (
        {"limits": {"budget": 110, "chill_time": "15 min"}, "workshop": LAYERS},
        set(),
    ),
    "layers: two alone, through a narrow mouth": (
        {
            "kettle": {"mouth": "23 cm"},
            "limits": {"difficulty": 5.0},
            "workshop": {**LAYERS, "layouts": ["nested", "parallel"]},
        },
        {frozenset({"mouth"})},
    ),
    "layers: two alone, a wide mast": (
        {
            "kettle": {"part": [{"what": "mast", "where": "centre", "height": "40 cm", "size": "21 cm"}]},
            "workshop": {**LAYERS, "layouts": ["nested", "parallel"]},
        },
        {frozenset({"centre"})},
    ),
    "layers: water at any valve": (
        {"limits": {"water": "74 L", "chill_time": "35 min"}, "workshop": LAYERS},
        set(),
    ),
    "layers: shallow wort": (
        {"wort": {"volume": "9 L"}, "limits": {"chill_time": "9 min"}, "workshop": LAYERS},
        set(),
    ),
}


@dataclass(frozen=True)
class Told:
    """One case: what the program said, and all coils worked out one by one."""

    name: str
    done: Done
    answer: dict[str, Any]
    every: Every
    basis: DesignBasis


def tier(name: str) -> Any:
    return pytest.mark.long if name.startswith(RARE) else pytest.mark.slow if name.startswith(SLOW) else ()


@pytest.fixture(
    scope="module",
    params=[pytest.param(n, id=n, marks=tier(n)) for n in CASES],
)
def told(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Told:
    from optichill.cli import main as cli

    house = CASES[request.param][0]
    house = {**house, "workshop": {**COARSE, **house.get("workshop", {})}}
    folder = tmp_path_factory.mktemp("conflicts")
    s = small_stock.of(folder, house)
    status = cli.run(["recommend", str(folder), "--json", str(folder / "answer.json")])
    answer = json.loads((folder / "answer.json").read_text())
    return Told(request.param, Done(status, "", ""), answer, small_stock.every_coil(s), s)


def steps(answer: dict[str, Any]) -> dict[str, dict[str, Any]]:
    """Each limit's step, once."""
    return {step["limit"]: step for c in answer["conflicts"] for step in c["relax"]}


FIXED = {"target", "mouth", "centre", "layer_gap", "riser_height", "winding_radius"}
"""What nobody moves: the kettle, what stands in it, and what the tube stands."""

LEAST = {"headspace": 0.020}
"""No advice takes a room below 0, nor the free rim below this [m]."""


def in_hand(every: Every, name: str) -> np.ndarray:
    """Which coils ask of a limit no more than a person can move it."""
    if name in FIXED:
        return np.zeros(len(every.key), dtype=bool)
    return small_stock.SENSE.get(name, 1) > 0 or every.value[name] >= LEAST.get(name, 0.0)


def can_help(every: Every) -> set[str]:
    """Limits that alone stand in the way of a coil and that a person can move so far."""
    broken = every.broken()
    count = np.sum(list(broken.values()), axis=0)
    return {n for n, missed in broken.items() if (missed & (count == 1) & in_hand(every, n)).any()}


def joint(told: Told) -> bool:
    """Whether no single limit can help."""
    return not can_help(told.every)


def test_status_and_no_design(told: Told) -> None:
    assert not told.every.holds().any()
    assert told.done.status == 3
    assert told.answer["designs"] == []
    assert told.answer["search"]["feasible"] == 0
    assert told.answer["search"]["enumerated"] == len(told.every.key)


def test_the_conflicting_sets_are_all_the_minimal_ones(told: Told) -> None:
    found = [frozenset(c["limits"]) for c in told.answer["conflicts"]]
    assert len(set(found)) == len(found)
    assert set(found) == told.every.blocking(largest=4)
    assert CASES[told.name][1] <= set(found)


def test_every_limit_that_helps_alone_has_its_step(told: Told) -> None:
    alone = can_help(told.every)
    if alone:
        assert set(steps(told.answer)) == alone
    elif np.all([~b | in_hand(told.every, n) for n, b in told.every.broken().items()], axis=0).any():
        assert steps(told.answer)  # the smallest joint step
    else:
        assert not steps(told.answer)  # what is built into the kettle does not move
        assert any(a["kind"] == "does not fit" for a in told.answer["advice"])


def test_each_step_starts_at_the_limit_and_is_just_enough(told: Told) -> None:
    every = told.every
    relax = [step for c in told.answer["conflicts"] for step in c["relax"]]
    for names in {frozenset({step["limit"], *step["together_with"]}) for step in relax}:
        moved = {s["limit"]: s for s in relax if {s["limit"], *s["together_with"]} == names}
        to = {name: moved[name]["to"] for name in names}
        for name in names:
            # Some bounds differ from coil to coil (the roll's length): the step starts at its own coil's.
            gap = abs(every.bound[name] - moved[name]["from"])
            assert gap.min() <= 1e-9 * max(abs(moved[name]["from"]), 0.01)
        slack = {n: v + small_stock.SENSE.get(n, 1) * 1e-6 * abs(v) for n, v in to.items()}
        assert every.holds(slack).any(), to
        for name in names:
            step = moved[name]
            short = {**slack, name: step["from"] + 0.99 * (step["to"] - step["from"])}
            assert not every.holds(short).any(), f"{name}: 1 % less than {step['to']} is enough too"


def test_the_design_opened_breaks_nothing_but_the_limits_moved(told: Told) -> None:
    moved = steps(told.answer)
    for name, step in moved.items():
        design = step["design"]
        lines = {line["name"]: line for line in design["limits"]}
        broken = {n for n, line in lines.items() if not line["holds"]}
        assert name in broken
        assert broken == {name, *step["together_with"]}
        # The best of all that the step opens as it is told, up to the next whole euro, minute or tenth. The
        # fine figures of the design against the search's: within 1 %; the time that is kept with its chance
        # is lifted to the worst of some coils, 2 %.
        near = 0.02 if name == "chill_time" else 0.01
        told_to = told_as(name, step["to"])
        sense = small_stock.SENSE.get(name, 1)
        assert sense * lines[name]["value"] <= sense * told_to + near * abs(step["to"]) + 1e-4


TOLD = {"budget": 1.0, "difficulty": 0.1, "chill_time": 60.0, "water": 1e-3, "stock_length": 0.1}
"""What a person sees of each limit; of lengths a millimetre [m]."""


def told_as(name: str, to: float) -> float:
    """A step rounded to the side on which it suffices."""
    unit = TOLD.get(name, 1e-3)
    sense = small_stock.SENSE.get(name, 1)
    return float(sense * np.ceil(sense * to / unit - 1e-6) * unit)


def over_its_life(every: Every, roll: dict[str, float], worth: Worth) -> np.ndarray:
    """Lifetime cost of every coil at its own time and water by the medians."""
    time, cost, water, work = every.goals.T
    reached = np.isfinite(time)
    life = worth.lifetime(
        build=cost,
        beyond=np.maximum(np.where(reached, time, 0.0) - worth.good_time, 0.0),
        water=np.where(reached, water, 0.0),
        ice=0.0,
        difficulty=work,
        roll=np.array([roll[key[0]] for key in every.key]),
    )
    return np.where(reached, life.total, np.inf)


def test_no_better_coil_is_opened_by_a_step(told: Told) -> None:
    """Of all coils that a step opens as it is told none costs less over its life, by more than a tie; a step
    a quarter larger that opens one by three ties better is told with it."""
    every, worth = told.every, worth_of(told.basis)
    life = over_its_life(every, {t.stock_id: t.price or 0.0 for t in told.basis.stock.tubing}, worth)
    for c in told.answer["conflicts"]:
        for step in c["relax"]:
            group = [s for k in told.answer["conflicts"] for s in k["relax"]]
            names = {step["limit"], *step["together_with"]}
            group = [s for s in group if {s["limit"], *s["together_with"]} == names]
            open_ = every.holds({s["limit"]: told_as(s["limit"], s["to"]) for s in group})
            shown = step["design"]
            mine = [
                n
                for n, key in enumerate(every.key)
                if key[0] == shown["stock_id"] and abs(every.goals[n, 1] - shown["cost"]["total"]) < 1e-6
            ]
            assert min(life[n] for n in mine) <= life[open_].min() + 1.5 * worth.minute
            limit = step["limit"]
            if limit in ("budget", "difficulty") and not step["together_with"]:
                more = every.holds({limit: 1.25 * step["to"]})
                if life[open_].min() - life[more].min() > 3.5 * worth.minute:
                    assert step["further"] is not None
                    assert shown["lifetime"]["total"] > step["further"]["design"]["lifetime"]["total"]


@pytest.mark.parametrize("limit", ["budget", "difficulty", "chill_time", "water"])
def test_the_step_written_into_the_file_opens_a_coil(optichill: Run, tmp_path: Path, limit: str) -> None:
    tight: dict[str, Any] = {"budget": 60, "difficulty": 1.0, "chill_time": "9 min", "water": "80 L"}
    write = {
        "budget": lambda v: v,
        "difficulty": lambda v: v,
        "chill_time": lambda v: f"{v} s",
        "water": lambda v: f"{v * 1e3} L",
    }[limit]

    def tried(value: Any, name: str) -> tuple[int, dict[str, Any]]:
        house = {"limits": {limit: value}, "workshop": COARSE}
        folder = small_stock.write(tmp_path / name, house)
        done = optichill("recommend", folder, "--top", "1", "--json", folder / "a.json")
        return done.status, json.loads((folder / "a.json").read_text())

    status, answer = tried(tight[limit], "tight")
    assert status == 3
    step = steps(answer)[limit]
    # The chill of a searched coil is worked out a little coarser than that of a shown one.
    hair = 1e-6 * abs(step["to"])
    assert tried(write(step["to"] + hair), "enough")[0] == 0
    assert tried(write(step["from"] + 0.99 * (step["to"] - step["from"])), "short")[0] == 3


@pytest.mark.parametrize("units", ["metric", "us"])
@pytest.mark.parametrize(
    ("limit", "tight", "said"),
    [
        ("budget", 60, r"allow (\d+) EUR"),
        ("water", "60 L", r"allow ([\d.,]+ (?:L|gal)) of water"),
        ("chill_time", "9 min", r"allow (\d+ min)"),
        ("difficulty", 1.0, r"difficulty ([\d.]+) of 10"),
    ],
)
def test_the_step_as_the_screen_says_it_is_enough(
    optichill: Run, tmp_path: Path, limit: str, tight: Any, said: str, units: str
) -> None:
    def tried(value: Any) -> Done:
        house = {"limits": {limit: value}, "workshop": COARSE, "units": units}
        return optichill("recommend", small_stock.write(tmp_path, house), "--top", "1")

    first = tried(tight)
    assert first.status == 3
    step = re.search(said, " ".join(first.out.split()))
    assert step, first.out
    asked: Any = float(step[1]) if limit in ("budget", "difficulty") else step[1]
    assert tried(asked).status == 0, f"{step[0]} is not enough"


def test_a_target_below_the_tap(optichill: Run, tmp_path: Path) -> None:
    folder = small_stock.write(tmp_path, {"tap": {"temperature": "24 degC"}})
    done = optichill("recommend", folder, "--json", folder / "a.json")
    answer = json.loads((folder / "a.json").read_text())
    assert done.status == 3
    assert [c["limits"] for c in answer["conflicts"]] == [["target"]]
    assert answer["designs"] == []
    # The screen names the two temperatures.
    assert "24 °C" in done.out and "20 °C" in done.out


@pytest.mark.slow
def test_a_target_out_of_reach_within_six_hours(optichill: Run, tmp_path: Path) -> None:
    tap, wort = {"temperature": "19.99 degC"}, {"mixing": "left alone"}
    stock = small_stock.lists()
    stock["forms"] = stock["forms"][:1]
    folder = small_stock.write(tmp_path, {"tap": tap, "wort": wort, "workshop": COARSE}, stock)
    done = optichill("recommend", folder, "--top", "2", "--json", folder / "a.json")
    answer = json.loads((folder / "a.json").read_text())
    assert done.status in (0, 3)
    for d in answer["designs"]:
        assert d["prediction"]["chill_time_s"] is None or d["prediction"]["chill_time_s"] <= 6 * 3600


def test_the_screen_says_what_was_searched_and_three_ways_at_most(optichill: Run, tmp_path: Path) -> None:
    folder = small_stock.write(tmp_path, CASES["three of four"][0])
    done = optichill("recommend", folder)
    assert done.status == 3
    assert "NO COIL FITS" in done.out and "increments" in done.out
    assert "BUILD THIS" not in done.out
    assert 1 <= sum(line.startswith("WAY OUT") for line in done.out.splitlines()) <= 3


def test_the_space_may_be_empty(optichill: Run, tmp_path: Path) -> None:
    stock = small_stock.lists()
    for row in stock["forms"]:
        row["open_end"] = "no"
    folder = small_stock.write(tmp_path / "closed", {}, stock)
    assert optichill("recommend", folder, "--json", folder / "a.json").status == 3
    stock = small_stock.lists()
    stock["tubing"] = [row for row in stock["tubing"] if row["temper"] == "hard"]
    folder = small_stock.write(tmp_path / "hard", {}, stock)
    done = optichill("recommend", folder, "--json", folder / "a.json")
    assert done.status == 3
    assert json.loads((folder / "a.json").read_text())["search"]["enumerated"] == 0
