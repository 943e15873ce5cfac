"""What is said of measurements, and of how sure the first place is: only what holds."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
import small_stock

from optichill.problem.worth import worth_of
from optichill.report.measure import measure, measure_json, regret, regret_json
from optichill.search.answer import Answer
from optichill.search.measurements import Measurement
from optichill.search.recommend import recommend
from optichill.search.regret import Regret

WISHES = {"hour": 6, "water_price": 4}


@pytest.fixture(scope="module")
def answer(tmp_path_factory: pytest.TempPathFactory) -> Answer:
    """A roll of 15 m, its price not looked up, comes near to one of 10 m."""
    stock = small_stock.lists()
    roll = dict(stock["tubing"][0], stock_id="cu-10-15", length="15 m", price="52", checked="")
    stock["tubing"] = [stock["tubing"][0], roll]
    return recommend(small_stock.of(tmp_path_factory.mktemp("words"), {"wishes": WISHES}, stock), top=3)


def with_gains(answer: Answer, **gains: float) -> Answer:
    """The answer with what each measurement gains; the others nothing."""
    told = [replace(m, gain=gains.get(m.name, 0.0), other=0.4) for m in answer.measurements]
    return replace(answer, measurements=tuple(sorted(told, key=lambda m: -m.gain)))


def test_the_price_is_to_be_asked_for(answer: Answer) -> None:
    said = measure(with_gains(answer, price=2.1 * worth_of(answer.basis).minute))
    assert said[0].startswith(
        "ask for the price of the 15 m roll of 10 mm copper (cu-10-15) before you buy: "
    )
    assert said[0].endswith(
        "over 60 batches; your flow, the tap's temperature, the wort's volume and the tubes'"
        " walls do not matter"
    )


def test_what_gains_less_than_can_be_seen_is_said_as_nothing(answer: Answer) -> None:
    """A hundredth of the build, and a minute with every batch: what counts as the same anywhere else."""
    least = max(0.01 * answer.designs[0].bill.total, worth_of(answer.basis).minute)
    more, less = (measure(with_gains(answer, batch=share * least)) for share in (1.01, 0.99))
    assert more[0].startswith(
        "time one batch with any coil that you have or can borrow before you buy: 4 times in 10 another"
    )
    assert less[0].startswith("nothing is worth measuring before you buy: at most it would gain ")
    assert measure(with_gains(answer)) == [
        "nothing is worth measuring before you buy: no other coil would then be better by a coin"
    ]


def test_what_is_to_be_measured_does_matter(answer: Answer) -> None:
    minute = worth_of(answer.basis).minute
    said = measure(with_gains(answer, batch=3.0 * minute, open_flow=2.0 * minute))
    assert len(said) == 2 and said[1].startswith("time a bucket at the end of your hose before you buy: ")
    assert said[0].endswith("; the tap's temperature, the wort's volume and the tubes' walls do not matter")
    every = dict.fromkeys(("open_flow", "tap", "mass", "wall", "price", "batch"), 2.0 * minute)
    assert not any("matter" in text for text in measure(with_gains(answer, **every)))


def test_stated_levels_ask_for_no_measurement_and_say_what_they_cost(tmp_path: Path) -> None:
    """Least time whatever it costs: then number 1 is not what costs least over its life."""
    wishes = {
        "hour": 1,
        "water_price": 1,
        "chill_time": {"good": "5 min", "acceptable": "6 min", "weight": 100},
    }
    answer = recommend(small_stock.of(tmp_path, {"wishes": wishes}), top=4)
    assert measure(answer) == [] and measure_json(answer) == []
    least = min(range(4), key=lambda i: answer.regrets[i].expected)
    assert least > 0
    assert regret(answer)[1].startswith("your levels put number 1 first; over 60 batches number")
    assert f"number {least + 1} costs" in regret(answer)[1]


def test_where_lifetime_cost_ranks_nothing_costs_less_than_number_1(answer: Answer) -> None:
    sure = replace(answer, regrets=(Regret(1.8, 7.2, 0.62), *answer.regrets[1:]))
    assert regret(sure) == [
        "over 60 batches number 1 costs 2 EUR more on average than what turns out best for your batches, one"
        " time in ten 7 EUR or more; 6 times in 10 it is the best itself"
    ]


def test_money_that_rounds_to_nothing_is_not_told(answer: Answer) -> None:
    assert measure(with_gains(answer, batch=0.004))[0].endswith(
        "no other coil would then be better by a coin"
    )
    sure = replace(answer, regrets=(Regret(0.001, 0.0, 0.97), *answer.regrets[1:]))
    assert regret(sure) == ["whatever your batches are like, number 1 is the best, or as good as the best"]


def test_hardly_ever_a_coin_or_more(answer: Answer) -> None:
    """ "hardly ever less than 1 EUR or more"."""
    said = regret(replace(answer, regrets=(Regret(1.8, 0.2, 0.9), *answer.regrets[1:])))[0]
    assert "hardly ever 1 EUR or more" in said and "less than" not in said


def test_json_has_them_all(answer: Answer) -> None:
    found = measure_json(answer)
    assert [x["gain_money"] for x in found] == [m.gain for m in answer.measurements]
    assert {*found[0]} == {"what", "name", "stock_id", "chance_other_is_better", "gain_s", "gain_money"}
    assert regret_json(answer.regrets[0]) == {
        "expected_regret": answer.regrets[0].expected,
        "regret_p90": answer.regrets[0].p90,
        "chance_best": answer.regrets[0].best,
    }
    assert len(answer.regrets) == len(answer.designs)
    assert isinstance(answer.measurements[0], Measurement)
