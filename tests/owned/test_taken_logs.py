"""What a log leaves unsaid or cannot mean: hop stands, two volumes, pauses, kettles filled past the brim."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from calibrated_twins import MINE
from logs_by_hand import AT, FIRST, LATER, basis, cooled, fit, log

from optichill.model.cooldown_log import CooldownLog
from optichill.owned.calibrate.doubts import loss_of
from optichill.owned.calibrate.fit import Doubt, HoldRead, MeasuredBatch
from optichill.owned.calibrate.fitting import calibrate, fitted
from optichill.owned.calibrate.nonsense import refuse_no_chill
from optichill.owned.calibrate.question import Question
from optichill.owned.calibrate.readings import NothingToFit


def stand_first(*, counted: bool) -> CooldownLog:
    """20 minutes that lose 10 K, then a chill."""
    at = [0.0, 3.0, 6.0, 9.0, 13.0]
    cold = cooled(at, since=88.0)
    return log([0.0, *(20.0 + t for t in at)], [98.0, *cold]) if counted else log(at, cold)


def stand_later(*, counted: bool) -> CooldownLog:
    """To 80 degC, 20 minutes that lose 4 K, and on."""
    before = 4.5 * np.log2(86.0 / 68.0)
    at = [2.0, 5.0, 8.0, 12.0]
    cold, wait = cooled(at, since=76.0), 20.0 if counted else 0.0
    return log([0.0, *(before + wait + t for t in at)], [98.0, *cold])


# --- hop stands ----------------------------------------------------------------------------------------


@pytest.mark.parametrize("counted", [True, False], ids=["counted", "left out"])
@pytest.mark.parametrize(
    ("plan", "of"),
    [
        pytest.param(FIRST, stand_first, id="first"),
        pytest.param(LATER, stand_later, id="later", marks=pytest.mark.slow),
    ],
)
def test_a_hop_stand_is_read_as_it_explains_the_readings(plan: str, of: object, counted: bool) -> None:
    found = fit(of(counted=counted), plan)  # type: ignore[operator]
    hold = found.batches[0].batch.hold
    assert hold is not None and hold.sure and hold.counted is counted and hold.lasts == 1200.0
    assert found.batches[0].misses < 1.5
    loss = next((one.after[1] for one in found.learnt if one.name == "loss"), 1.0)
    assert 0.6 < loss < 1.7 and "loss" not in {d.kind for d in found.doubts}


def test_a_hop_stand_that_explains_nothing_is_named() -> None:
    """Half of its minutes are in the times: the clock was stopped too late."""
    one = stand_first(counted=True)
    half = replace(one, time=np.where(one.time > 0.0, one.time - 600.0, 0.0))
    with pytest.raises(NothingToFit, match=r"^mine: the plan has a hop stand of 20 min, .*allowed: "):
        fit(half, FIRST)


def test_without_a_hop_stand_nothing_is_said_of_one() -> None:
    assert fit(log([0, 3, 6, 9, 13], cooled([0, 3, 6, 9, 13]))).batches[0].batch.hold is None


# --- volumes -------------------------------------------------------------------------------------------


def test_two_volumes_are_taken_for_anything_between() -> None:
    """Neither end unsaid: the middle, known less well than one volume by eye, and better once it is told."""
    house = basis().brewhouse
    wort = house.wort.model_copy(update={"smallest_volume": 0.019, "volume": 0.023})
    between = basis().restated(house.model_copy(update={"wort": wort}))
    one = log([0, 3, 6, 9, 13], cooled([0, 3, 6, 9, 13]))
    found = calibrate(between, [MeasuredBatch(one, MINE, "mine")])
    told = calibrate(between, [MeasuredBatch(replace(one, volume=0.0209), MINE, "mine")])
    assert found.batches[0].between == (0.019, 0.023) and told.batches[0].between is None
    assert found.batches[0].volume == pytest.approx(told.batches[0].volume, rel=0.03)
    ends = [next(x.before for x in f.learnt if x.name == "mass") for f in (found, told)]
    # By hand: 10 % by eye and ln(23/19)/sqrt(12) = 5.5 % together are 11.4 %.
    assert np.log(ends[0][2]) == pytest.approx(1.2816 * 0.1143, rel=0.01)
    assert np.log(ends[1][2]) == pytest.approx(1.2816 * 0.10, rel=0.01)


@pytest.mark.slow
def test_no_more_wort_than_the_kettle_holds() -> None:
    """38 L in a kettle of 40.7 L, left alone, that cool two and a half times as slowly as they should."""
    house = basis("", "left alone").brewhouse
    wort = house.wort.model_copy(update={"smallest_volume": 0.038, "volume": 0.038})
    full = basis("", "left alone").restated(house.model_copy(update={"wort": wort}))
    at = [0.0, 30.0, 60.0, 100.0, 150.0, 220.0]
    slow = log(at, cooled(at, half=45.0))
    try:
        found = calibrate(full, [MeasuredBatch(slow, MINE, "mine")])
    except NothingToFit:
        return
    assert found.batches[0].volume <= house.kettle.capacity * 1.0001
    assert "volume" not in {d.kind for d in found.doubts}


# --- pauses --------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "warmer", [pytest.param(0.0, id="stands", marks=pytest.mark.slow), pytest.param(2.0, id="warms")]
)
def test_what_follows_a_gap_in_which_wort_stands_teaches_nothing(warmer: float) -> None:
    """The water was shut for a quarter of an hour after minute 9 and nobody read: the law is that of what was
    read before, and the pause is told."""
    whole = cooled(AT)
    paused = log([*AT[:4], 24.0, 27.0, 30.0], [*whole[:4], whole[3] + warmer, *whole[4:]])
    found, before = fit(paused), fit(log(AT[:4], whole[:4]))
    (doubt,) = [d for d in found.doubts if d.kind == "pause"]
    assert (doubt.figures["from"], doubt.figures["until"]) == (540.0, 1440.0)
    assert np.allclose(found.calibration.mean, before.calibration.mean, atol=1e-6)
    assert found.batches[0].time.max() == 540.0


def test_a_slip_is_no_pause() -> None:
    whole = cooled(AT)
    whole[3] = whole[2] + 1.0
    assert "pause" not in {d.kind for d in fit(log(AT, whole)).doubts}


def test_a_pause_that_leaves_too_little_is_refused() -> None:
    whole = cooled(AT)
    paused = log([0.0, 3.0, 25.0, 28.0, 31.0, 34.0, 37.0], [*whole[:2], whole[1], *whole[2:]])
    with pytest.raises(NothingToFit, match=r"^mine: from minute 3 to 25 it hardly cools.*allowed: "):
        fit(paused)


# --- a kettle that there is not ------------------------------------------------------------------------


def test_a_loss_that_no_kettle_has_is_not_learnt() -> None:
    """Wort that falls by 8 K a minute through all of a stand: only a kettle that loses many times as
    much could do it, whichever way it is read."""
    one = stand_first(counted=False)
    question = Question.of(basis(FIRST), [MeasuredBatch(one, MINE, "mine", HoldRead(1200.0, True, True))])
    _, found = fitted(question)
    assert loss_of(question, found) > 5.0  # so it was learnt, as the times were taken
    asked = [Doubt("mine", "loss", {"times": loss_of(question, found)})]
    with pytest.raises(NothingToFit, match="^mine: they ask for a kettle that loses .*allowed: "):
        refuse_no_chill(basis(FIRST), question, replace(found, kept=np.ones_like(found.kept)), asked)
