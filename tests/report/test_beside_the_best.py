"""What stands beside the advised build is there for something that the screen says, whatever the kettle; and
nothing that is left out has more to say for itself."""

from __future__ import annotations

import itertools
import re
import shutil
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
import small_stock
from tiers import LONG

from optichill.files.reading import load, packaged
from optichill.problem.basis import DesignBasis, design_basis
from optichill.report.choice import apart
from optichill.report.reasons import because
from optichill.search.answer import Answer
from optichill.search.designs import Design
from optichill.search.glance import Glance
from optichill.search.ranking import Ranking, shortlist
from optichill.search.recommend import SearchResult, recommendation_of, search_space
from optichill.workshop.difficulty import BAND_LIMITS

DEMOS = ("", "us", "stove", "wide")
MIXINGS = ("now and then", "left alone", "steady", "vigorous")
LEVELS = (
    "",
    'chill_time = { good = "12 min", acceptable = "30 min" }',
    "cost = { good = 60, acceptable = 120 }",
    'cost = { good = 60, acceptable = 120 }\nwater = { good = "90 L", acceptable = "250 L" }',
)
ALL = [*itertools.product(DEMOS, MIXINGS, LEVELS)]
FEW = [("", "vigorous", LEVELS[1]), ("us", "now and then", ""), ("wide", "steady", "")]


def kit(folder: Path, demo: str, mixing: str, levels: str) -> DesignBasis:
    """An example that comes with the program, stirred otherwise and with wishes of its own."""
    shutil.copytree(Path(packaged("brewhouse.toml")).parent, folder / "kit")
    file = folder / "kit" / demo / "brewhouse.toml"
    text, found = re.subn(r"(?m)^mixing = .*", f'mixing = "{mixing}"', file.read_text(encoding="utf-8"))
    assert found == 1 and not re.search(r"(?m)^\[wishes\]", text)
    file.write_text(f"{text}\n[wishes]\n{levels}\n", encoding="utf-8")
    return design_basis(load(file))


def told_in_all_draws(searched: SearchResult) -> np.ndarray:
    """Goals of the front as a screen tells them, shape (designs, 4)."""
    assert searched.front is not None and searched.samples is not None
    likely = searched.samples.likely(None)
    told = searched.front.goals.copy()
    told[:, 0] = [x.time.p50 or np.inf for x in likely]
    told[:, 2] = [x.water.p50 or np.nan for x in likely]
    return told


def no_more_to_say(its: np.ndarray, d: Design) -> bool:
    """Whether a coil is no easier than a build, and takes no less time, money or water by a tenth, a minute,
    a coin, 5 L: give or take 2 %, for what is shown stands there with draws of its own."""
    band, other = np.searchsorted(BAND_LIMITS, [its[3], d.difficulty], side="right")
    least = zip(its, d.told.values(), (60.0, 1.0, 5e-3), strict=False)
    return bool(band >= other) and all(y - x <= max(0.12 * y, hair + 0.02 * y) for x, y, hair in least)


def as_told(step: Glance) -> np.ndarray:
    return np.array([step.chill_time, step.cost, step.water, step.difficulty])


def holds(searched: SearchResult, answer: Answer) -> None:
    front, ranking = searched.front, searched.ranking
    assert front is not None and ranking is not None
    for above, below in itertools.combinations(answer.designs, 2):
        assert apart(above, below, answer)[1], f"nothing is said for {below.id} beside {above.id}"
    for its in told_in_all_draws(searched)[ranking.free]:
        assert any(no_more_to_say(its, d) for d in answer.designs), its
    # A step of what money buys has the minutes of the row that has its money.
    rows = {d.id: d for d in answer.designs}
    for step in answer.ladder:
        same = [d for d in answer.designs[1:] if round(d.bill.total) == round(step.cost)]
        assert step.id in rows or not [d for d in same if no_more_to_say(as_told(step), d)]
    # The order in which the front stands changes nothing.
    order = np.random.default_rng(7).permutation(len(front))
    turned = Ranking(
        ranking.points[order], ranking.free[order], ranking.seen[order], ranking.life.take(order), None
    )
    other = front.take(order)
    found = other.number[shortlist(other, turned, 50).entry]
    np.testing.assert_array_equal(found, front.number[shortlist(front, ranking, 50).entry])


@pytest.mark.slow
@pytest.mark.parametrize(("demo", "mixing", "levels"), ALL if LONG else FEW)
def test_each_has_something_said_for_it_and_nothing_left_out_has_more(
    tmp_path: Path, demo: str, mixing: str, levels: str
) -> None:
    searched = search_space(kit(tmp_path, demo, mixing, levels))
    holds(searched, recommendation_of(searched, top=50))


def test_it_holds_in_a_small_shop(tmp_path: Path) -> None:
    searched = search_space(small_stock.of(tmp_path, {"workshop": {"marking_increment": "10 mm"}}))
    holds(searched, recommendation_of(searched, top=50))


def test_one_alone_is_not_called_the_only_one(tmp_path: Path) -> None:
    """Of twenty coils that nothing beats one was shown, as "the only build of its kind"."""
    house = {"wishes": {"cost": {"good": 20, "acceptable": 300, "weight": 20}}, "limits": {"budget": 75}}
    answer = recommendation_of(search_space(small_stock.of(tmp_path, house)), top=50)
    alone = replace(answer, designs=answer.designs[:1])
    assert (
        because(alone)[0]
        == "of all that holds your limits nothing else is better in anything you would notice"
    )
