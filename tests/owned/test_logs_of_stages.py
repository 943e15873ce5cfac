"""What a log says of the water of one stage, where its thermometer hung, and when the water was shut: what a
sceptic would ask of each is asked of readings made by hand or by the model itself."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from calibrated_twins import MINE
from logs_by_hand import AT, LATER, basis, cooled, fit, log

from optichill.files.log.measured_batches import is_corrected, same
from optichill.model.cooldown_log import PLACES, CooldownLog
from optichill.owned.calibrate.fit import Fit, MeasuredBatch
from optichill.owned.calibrate.fitting import calibrate
from optichill.owned.calibrate.question import Question
from optichill.owned.calibrate.readings import NothingToFit
from optichill.problem.basis import DesignBasis, basis_of
from optichill.report.calibration import words

KELVIN = 273.15
ICE = (
    '\n[[cooling]]\nsource = "tap"\nuntil = "35 degC"\n[[cooling]]\nsource = "ice bath"\npump = "small"\n'
    'water = "10 L"\nbucket = "25 L"\nice = "8 kg"\nreturn = "bucket"\nreturn_under_water = true\n'
)
STATED, REAL = 12.0, 22.0
"""The tap of the kit, and that of a warm day [degC]."""


def with_tap(house: DesignBasis, celsius: float) -> DesignBasis:
    tap = house.brewhouse.tap
    assert tap is not None
    warmer = tap.model_copy(update={"temperature": KELVIN + celsius})
    return basis_of(house.brewhouse.model_copy(update={"tap": warmer}), house.stock)


def by_the_model(house: DesignBasis, minutes: list[float], place: str = "coil") -> CooldownLog:
    """A batch with everything at its median, read to a tenth where the thermometer hangs."""
    dummy = replace(log(minutes, [98.0 - t for t in minutes]), place=place)
    asked = Question.of(house, [MeasuredBatch(dummy, MINE, "mine")])
    trial = asked.batches[0].trial
    walk = trial.walked(asked.unknowns.of_batch(trial, np.zeros((1, len(asked.unknowns)))))
    at = 60.0 * np.array(minutes)
    return CooldownLog("mine", at, walk.at(at, np.zeros(1))[0].round(1), clock=30.0, thermometer=0.1)


def kinds(found: Fit) -> dict[str, dict[str, float]]:
    return {doubt.kind: dict(doubt.figures) for doubt in found.doubts}


def tank_of(found: Fit) -> float:
    """How many times as long the kettle takes as was thought."""
    return next(one.after[1] for one in found.learnt if one.name == "tank")


# --- inlet and flow of a stage ------------------------------------------------------------------------------

MINUTES = [0.0, 2.0, 4.0, 7.0, 10.0, 14.0, 18.0, 24.0]


@pytest.mark.parametrize("plan", [ICE, pytest.param(LATER, marks=pytest.mark.slow)])
def test_the_inlet_of_the_taps_stage_counts(plan: str) -> None:
    """A warm day's tap, read while it ran; cold water of the bath after it, and none in a hop stand, say
    nothing of the tap. The kettle is then what it is thought to be; without the column it seems slow."""
    house = basis(plan)
    minutes = MINUTES if plan == ICE else [0.0, 1.0, 2.0, 24.0, 26.0, 29.0, 33.0, 38.0]
    plain = by_the_model(with_tap(house, REAL), minutes)
    bath = plain.wort < KELVIN + 35.0 if plan == ICE else np.zeros(plain.wort.size, bool)
    read = replace(plain, inlet=KELVIN + np.where(bath, 2.0, REAL))
    with_inlet, without = (calibrate(house, [MeasuredBatch(one, MINE, "mine")]) for one in (read, plain))
    assert kinds(with_inlet)["tap"] == {"inlet": KELVIN + REAL, "told": KELVIN + STATED}
    assert "tap" not in kinds(without)
    assert abs(np.log(tank_of(with_inlet))) < 0.5 * abs(np.log(tank_of(without)))


@pytest.mark.slow
def test_the_flow_of_the_taps_stage_counts() -> None:
    """As it runs through this coil, it narrows what is known of the supply; a third of it does not fit, and
    that is said with both figures."""
    house = basis(ICE)
    plain = by_the_model(house, MINUTES)
    asked = Question.of(house, [MeasuredBatch(plain, MINE, "mine")])
    trial = asked.batches[0].trial
    walk = trial.walked(asked.unknowns.of_batch(trial, np.zeros((1, len(asked.unknowns)))))
    through = float(walk.flow(240.0)[0])
    tap = plain.wort > KELVIN + 35.0
    right, less = (replace(plain, flow=np.where(tap, by * through, 0.3 * through)) for by in (1.0, 1.0 / 3.0))
    (one,) = Question.of(house, [MeasuredBatch(right, MINE, "mine")]).batches
    assert one.flow == pytest.approx(through) and one.flow_until == plain.time[tap][-1]
    found = calibrate(house, [MeasuredBatch(less, MINE, "mine")])
    figures = kinds(found)["flow"]
    assert figures["read"] == pytest.approx(through / 3.0)
    assert figures["through"] == pytest.approx(through, rel=0.15)
    (said,) = [words.doubt(d, house) for d in found.doubts if d.kind == "flow"]
    assert "does not count" in said and "L/min" in said
    assert "flow" not in kinds(calibrate(house, [MeasuredBatch(right, MINE, "mine")]))


# --- where the thermometer hung -----------------------------------------------------------------------------


@pytest.mark.parametrize("volume", [0.023, pytest.param(0.030, marks=pytest.mark.slow)])
def test_a_thermometer_above_the_turns_is_recognised(volume: float) -> None:
    """In wort that is left alone; refused or kept, the place and the option are named."""
    house = basis("", "left alone")
    said = replace(
        by_the_model(house, [0.0, 5.0, 10.0, 15.0, 20.0, 30.0, 40.0], "top"), place="coil", volume=volume
    )
    try:
        found = calibrate(house, [MeasuredBatch(said, MINE, "mine")])
    except NothingToFit as refused:
        assert "(--thermometer top)" in str(refused)
        return
    (doubt,) = [d for d in found.doubts if d.kind == "place"]
    assert PLACES[int(doubt.figures["hung"])] in ("top", "stirred")
    assert doubt.figures["elsewhere"] < doubt.figures["misses"]
    assert "--thermometer " in words.doubt(doubt, house)


def test_one_beside_the_turns_is_not_doubted() -> None:
    house = basis("", "left alone")
    plain = by_the_model(house, [0.0, 5.0, 10.0, 15.0, 20.0, 30.0, 40.0])
    assert "place" not in kinds(calibrate(house, [MeasuredBatch(plain, MINE, "mine")]))


# --- pauses -------------------------------------------------------------------------------------------------

SHUT_AT, FOR = 7.5, 10.0


def with_pause(at: list[float], lasts: float) -> CooldownLog:
    """The water is shut between two readings, and the wort loses half a degree meanwhile."""
    ran = [t if t <= SHUT_AT else max(SHUT_AT, t - lasts) for t in at]
    return log(at, cooled(ran))


def test_a_reading_within_a_pause_does_not_count() -> None:
    """Shut at 7.5 min: that at 9 min was read in the pause, and a fit to it would be of a slower coil."""
    found = fit(with_pause([0.0, 2.0, 4.0, 6.0, 9.0, 12.0, 15.0, 20.0, 24.0], FOR))
    assert kinds(found)["pause"]["from"] == 540.0
    assert found.batches[0].time.max() == 360.0


def test_a_short_pause_is_one_and_no_row_of_slips() -> None:
    found = fit(with_pause([0.0, 2.0, 4.0, 6.0, 9.0, 11.0, 14.0, 17.0, 20.0], 5.0))
    assert kinds(found)["pause"]["from"] == 540.0
    assert found.batches[0].time.max() == 360.0 and found.batches[0].used.all()


@pytest.mark.parametrize("place", [2, 5, *(pytest.param(n, marks=pytest.mark.slow) for n in (3, 4, 6))])
def test_a_slip_among_many_readings_is_no_pause(place: int) -> None:
    at = [0.0, 2.0, 4.0, 6.0, 8.0, 10.0, 12.0, 15.0, 18.0]
    whole = cooled(at)
    whole[place] = whole[place - 1]
    assert "pause" not in kinds(fit(log(at, whole)))


def test_a_flow_of_nothing_is_the_pause() -> None:
    """The log says when no water ran: nobody is asked."""
    paused = with_pause([0.0, 2.0, 4.0, 6.0, 9.0, 12.0, 15.0, 20.0, 24.0], FOR)
    shut = (paused.time > 60.0 * SHUT_AT) & (paused.time < 60.0 * (SHUT_AT + FOR))
    found = fit(replace(paused, flow=np.where(shut, 0.0, 8.0 / 60e3)))
    assert kinds(found)["shut by flow"] == {"from": 540.0, "until": 900.0}
    assert "pause" not in kinds(found) and found.batches[0].time.max() == 360.0
    (said,) = [words.doubt(d, basis()) for d in found.doubts if d.kind == "shut by flow"]
    assert "?" not in said


@pytest.mark.slow
def test_hoses_that_are_changed_are_no_pause() -> None:
    """One reading without flow between two stages."""
    whole = by_the_model(basis(ICE), MINUTES)
    flow = np.where(whole.wort > KELVIN + 35.0, 8.0, 4.0) / 60e3
    flow[5] = 0.0
    found = fit(replace(whole, flow=flow), ICE)
    assert not {"pause", "shut by flow"} & set(kinds(found))


@pytest.mark.slow
def test_a_pause_beside_a_hop_stand_is_not_blamed_on_the_stand() -> None:
    """What was read before it counts, its minutes with the stand's in them."""
    at = [0.0, 1.0, 22.0, 24.0, 26.0, 29.0, 32.0, 35.0]
    whole = by_the_model(basis(LATER), at)
    paused = replace(
        whole,
        time=np.array([*whole.time[:6], 60.0 * 33.0, *(whole.time[6:] + 420.0)]),
        wort=np.array([*whole.wort[:6], whole.wort[5] - 0.3, *whole.wort[6:]]),
    )
    found = fit(paused, LATER)
    (batch,) = found.batches
    assert kinds(found)["pause"]["from"] == whole.time[5]
    assert batch.batch.hold is not None and batch.batch.hold.counted
    assert batch.time.max() <= whole.time[5]


# --- a coil over the wort, a clock after the stand, the same readings ---------------------------------------


def test_a_coil_that_no_turn_of_is_in_the_wort_is_refused() -> None:
    dry = replace(log(AT, cooled(AT)), volume=5e-5)
    with pytest.raises(NothingToFit, match=r"no turn of mine is in the wort.*allowed: .*--volume"):
        fit(dry)


def test_a_clock_that_was_started_after_the_stand_begins_where_it_left_off() -> None:
    found = fit(by_the_model(with_tap(basis(), STATED), AT), "")
    assert "start" not in kinds(found)
    stand = '\n[[cooling]]\nhold = "20 min"\n[[cooling]]\nsource = "tap"\n'
    after = fit(log(AT, cooled(AT, since=80.0)), stand)
    hold = after.batches[0].batch.hold
    assert hold is not None and not hold.counted
    assert "start" not in kinds(after)


def test_readings_in_another_unit_are_the_same() -> None:
    """98.1, 66.7 and 31.7 degC are 208.6, 152.1 and 89.1 degF on a thermometer of tenths."""
    first = log([0.0, 5.0, 18.0], [0.0] * 3)
    celsius = replace(first, wort=KELVIN + np.array([98.1, 66.7, 31.7]))
    fahrenheit = replace(first, wort=(np.array([208.6, 152.1, 89.1]) + 459.67) / 1.8)
    corrected = replace(first, wort=KELVIN + np.array([98.1, 66.6, 31.7]))
    assert same(celsius, fahrenheit) and not is_corrected(celsius, fahrenheit)
    assert not same(celsius, corrected) and is_corrected(celsius, corrected)


BUCKET = '\n[[cooling]]\nsource = "ice bath"\npump = "small"\nwater = "10 L"\nice = "8 kg"\n'


@pytest.mark.slow
def test_an_inlet_that_says_nothing_is_told_so() -> None:
    """Of a plan that begins with ice water: its inlet changes with the bath, and is none of the tap's."""
    house = basis(BUCKET)
    (one,) = Question.of(house, [MeasuredBatch(log(AT, cooled(AT)), MINE, "mine")]).batches
    assert one.tap is None
    plain = by_the_model(house, AT)
    read = replace(plain, inlet=np.full(plain.time.size, KELVIN + 3.0))
    (batch,), (other,) = (
        calibrate(house, [MeasuredBatch(each, MINE, "mine")]).batches for each in (read, plain)
    )
    assert batch.idle == ("inlet",) and other.idle == ()
    assert any("the inlet that was read does not count" in text for text in words.taken(batch, "metric"))
