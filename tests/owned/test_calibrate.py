"""Calibration: a fit against a sampler, against what it was told, and against a log that is wrong."""

from __future__ import annotations

import json
import time
from dataclasses import replace
from functools import cache
from pathlib import Path
from tempfile import mkdtemp

import numpy as np
import pytest
from calibrated_twins import MINE, OTHER, SIX, brewhouse, predicted
from kits import write_kit

from optichill.errors import InputFault
from optichill.files.calibration_file import document, read_calibration
from optichill.files.reading import load
from optichill.model.calibration import TANK, Calibration
from optichill.model.coil import Coil
from optichill.model.cooldown_log import CooldownLog
from optichill.owned.calibrate.fit import ADVICE, DOUBTS, Fit, MeasuredBatch
from optichill.owned.calibrate.fitting import calibrate, calibration_of, fitted
from optichill.owned.calibrate.forward import with_volume
from optichill.owned.calibrate.posterior import SLIP, SLIPS, Posterior
from optichill.owned.calibrate.question import Question, mixing_of
from optichill.owned.calibrate.readings import BLOCKS, NothingToFit
from optichill.owned.calibrate.told import span
from optichill.owned.calibrate.unknowns import START, Unknown
from optichill.problem.basis import DesignBasis, basis_of, design_basis
from optichill.thermal.batch import Mixing
from optichill.thermal.coil_performance import Numerics
from optichill.thermal.deviates import COLUMNS
from optichill.thermal.march import march
from optichill.thermal.priors import PRIORS

WAYS = ("left alone", "now and then", "steady")
FEWER = [pytest.param(way, marks=pytest.mark.slow if way == "steady" else pytest.mark.long) for way in WAYS]
KELVIN = 273.15
ICE = """
[[cooling]]
source = "tap"
until = "35 degC"
[[cooling]]
source = "ice bath"
pump = "small"
water = "10 L"
bucket = "25 L"
ice = "8 kg"
return = "bucket"
return_under_water = true
"""


@cache
def basis(mixing: str = "steady") -> DesignBasis:
    return design_basis(load(write_kit(Path(mkdtemp()), brewhouse=brewhouse(mixing))))


def log_of(minutes: list[float], celsius: list[float], **more: object) -> CooldownLog:
    return CooldownLog("log", 60.0 * np.array(minutes), KELVIN + np.array(celsius), clock=30.0, **more)  # type: ignore[arg-type]


@cache
def written(mixing: str = "steady", z_of: tuple[tuple[str, float], ...] = ()) -> CooldownLog:
    """Six readings of a batch by the model itself, exact, everything at its median but some deviates."""
    dummy = log_of([0, 5, 10, 20, 40, 80], [98, 90, 80, 70, 60, 50])
    asked = Question.of(basis(mixing), [MeasuredBatch(dummy, MINE, "mine")])
    z = np.zeros((1, len(asked.unknowns)))
    for name, value in z_of:
        z[0, [u.name for u in asked.unknowns.all].index(name)] = value
    trial = asked.batches[0].trial
    walk = trial.walked(asked.unknowns.of_batch(trial, z))
    at = SIX * walk.time_to(KELVIN + 21.0)[0]
    return CooldownLog("log", at, walk.at(at, np.zeros(1))[0], clock=30.0)


def fit(log: CooldownLog, mixing: str = "steady", coil: Coil = MINE) -> Fit:
    return calibrate(basis(mixing), [MeasuredBatch(log, coil, "mine")])


@cache
def usual(mixing: str = "steady") -> Fit:
    return fit(written(mixing), mixing)


def kinds(found: Fit) -> set[str]:
    return {doubt.kind for doubt in found.doubts}


def sd(law: Calibration) -> dict[str, float]:
    return dict(zip(law.names, np.sqrt(law.cov.diagonal()), strict=True))


# --- the law -------------------------------------------------------------------------------------------


def log_density(question: Question, z: np.ndarray) -> np.ndarray:
    """Of prior and readings, written down anew: a normal error, one in twenty eight times as wide."""
    r = question.misses(z)
    good = np.log(1.0 - SLIPS) - 0.5 * r**2
    slip = np.log(SLIPS / SLIP) - 0.5 * (r / SLIP) ** 2
    return np.asarray(np.logaddexp(good, slip).sum(axis=1) - 0.5 * (z**2).sum(axis=1))


CHAINS, STEPS, FIRST = 80, 70, 20


def sampled(question: Question, found: Posterior) -> tuple[np.ndarray, np.ndarray, float]:
    """Mean and standard deviation of each deviate by Metropolis and Hastings' rule, many chains at once, and
    the share of steps taken. Each step leans on the bell that was found and is exact whatever that is
    (preconditioned Crank-Nicolson; Cotter, Roberts, Stuart & White 2013, from memory)."""
    rng = np.random.default_rng(3)
    root, there = np.linalg.cholesky(found.cov), (CHAINS, found.mean.size)
    x = rng.standard_normal(there)

    def above(x: np.ndarray) -> np.ndarray:
        return log_density(question, found.mean + x @ root.T) + 0.5 * (x**2).sum(axis=1)

    here, kept, taken = above(x), [], []
    for step in range(STEPS):
        new = 0.8 * x + 0.6 * rng.standard_normal(there)
        other = above(new)
        takes = np.log(rng.random(CHAINS)) < other - here
        x, here = np.where(takes[:, None], new, x), np.where(takes, other, here)
        if step >= FIRST:
            kept.append(found.mean + x @ root.T)
            taken.append(takes.mean())
    z = np.concatenate(kept)
    return z.mean(axis=0), z.std(axis=0), float(np.mean(taken))


@pytest.mark.parametrize("mixing", FEWER)
def test_the_law_is_that_of_a_sampler(mixing: str) -> None:
    """Means and spreads of every deviate by many draws of prior times readings. START's law is no bell: a
    clock that was started too late and one too early are not alike."""
    log = written(mixing, (("speed", 0.7),) if mixing != "left alone" else (("still", 0.7),))
    rough = replace(log, wort=np.round(log.wort + np.array([0.0, 0.6, -0.5, 0.4, 0.3, -0.4])))
    question, found = fitted(Question.of(basis(mixing), [MeasuredBatch(rough, MINE, "mine")]))
    mean, spread, taken = sampled(question, found)
    assert taken > 0.4
    for place, unknown in enumerate(question.unknowns.all):
        if unknown.name == START:
            continue
        claimed = float(np.sqrt(found.cov[place, place]))
        assert spread[place] / claimed == pytest.approx(1.0, abs=0.2), unknown.name
        assert abs(mean[place] - found.mean[place]) < 0.3 * claimed, unknown.name


# --- what is learnt ------------------------------------------------------------------------------------


def test_left_alone_teaches_the_still_film_and_little_else() -> None:
    law = usual("left alone").calibration
    spread = sd(law)
    assert spread["still"] < 0.65
    assert law.learnt() == ("still",)
    assert spread["speed"] == spread["share"] == spread["moving"] == 1.0  # nothing stirred: nothing learnt
    assert law.priors["speed"] == "nothing"


def test_steady_stirring_teaches_the_speed() -> None:
    law = usual("steady").calibration
    assert law.learnt() == ("speed",)
    assert law.priors["speed"] == "steady"
    told = {one.name: one for one in usual("steady").learnt}
    assert told["speed"].told_apart and not told["tank"].told_apart
    low, middle, high = told["speed"].before
    assert (low, middle, high) == pytest.approx((0.018, 0.05, 0.14))
    assert told["speed"].after[2] / told["speed"].after[0] < 0.7 * high / low


@pytest.mark.slow
def test_a_faster_spoon_is_found_and_is_not_today_alone() -> None:
    """A deviate of 1.5 of the lasting speed: most of it is put down to how the brewer always stirs, some to
    the day and to all else that is fast; another day's spread is left in."""
    law = fit(written("steady", (("speed", 1.5),))).calibration
    mean = dict(zip(law.names, law.mean, strict=True))
    today = PRIORS["day"].sd / PRIORS["steady"].sd
    assert 0.7 < mean["speed"] < 1.5
    assert sd(law)["speed"] > today


def test_what_was_known_of_another_day_is_what_was_known() -> None:
    """Of a batch that says nothing the law is the prior: one variance, whatever is today's."""
    question, found = fitted(Question.of(basis(), [MeasuredBatch(written(), MINE, "mine")]))
    nothing = replace(found, mean=0.0 * found.mean, cov=np.eye(found.mean.size))
    law = calibration_of(basis(), question, nothing)
    assert np.allclose(law.cov, np.eye(len(COLUMNS) + 2)) and not law.mean.any()


@pytest.mark.slow
def test_the_same_coil_is_known_better_than_another() -> None:
    """Another has something of its own that nobody has measured."""
    law = usual("left alone").calibration
    taught = basis_of(basis("left alone").brewhouse, basis("left alone").stock, law)
    twin = MINE.model_copy(
        update={"turns": 10.2, "layers": (MINE.layers[0].model_copy(update={"turns": 10.2}),)}
    )
    again, other, before = (
        np.log(t[2] / t[0])
        for t in (predicted(taught, MINE), predicted(taught, twin), predicted(basis("left alone"), MINE))
    )
    assert again < 0.85 * other < 0.7 * before


@pytest.mark.slow
@pytest.mark.parametrize(("mixing", "wider"), [("left alone", 1.5), ("steady", 1.15)])
def test_margins_alone_would_be_far_too_wide(mixing: str, wider: float) -> None:
    """What a batch fixes is how long it took, not which of the causes it was: they lean on each other."""
    law = usual(mixing).calibration
    alone = replace(law, cov=np.diag(law.cov.diagonal()))
    house, stock = basis(mixing).brewhouse, basis(mixing).stock
    joint, margins = (
        np.log(t[2] / t[0]) for t in (predicted(basis_of(house, stock, x), MINE) for x in (law, alone))
    )
    assert margins > wider * joint


@pytest.mark.slow
def test_a_stick_teaches_more_than_an_eye() -> None:
    by_stick = fit(replace(written("left alone"), volume_by="stick"), "left alone")
    for name in ("still", TANK):
        assert sd(by_stick.calibration)[name] < sd(usual("left alone").calibration)[name]


@pytest.mark.slow
def test_two_batches_teach_more_than_one_and_each_coil_keeps_its_own() -> None:
    log = written("left alone")
    slow = replace(log, name="slow", time=1.1 * log.time)
    both = calibrate(
        basis("left alone"), [MeasuredBatch(log, MINE, "mine"), MeasuredBatch(slow, OTHER, "new")]
    )
    law = both.calibration
    assert law.names == (*COLUMNS, TANK, "mine", "new")
    assert sd(law)["still"] < sd(usual("left alone").calibration)["still"]
    assert law.measured(OTHER) == "new" and law.measured(MINE) == "mine"
    again = calibrate(basis("left alone"), [MeasuredBatch(log, MINE, "mine"), MeasuredBatch(log, MINE, "my")])
    assert again.calibration.names == (*COLUMNS, TANK, "mine")
    assert sd(again.calibration)["mine"] < sd(usual("left alone").calibration)["mine"] + 1e-6
    assert [one.of for one in again.learnt if one.name == "mass"] == ["log", "log"]


def test_the_law_can_be_kept(tmp_path: Path) -> None:
    law = usual().calibration
    assert np.linalg.eigvalsh(law.cov).min() > 0.0
    file = tmp_path / "kettle.calibration.json"
    file.write_text(json.dumps(document(law)), encoding="utf-8")
    faults: list[InputFault] = []
    kept = read_calibration(file, faults)
    assert kept is not None and not faults
    assert np.allclose(kept.cov, law.cov) and kept.batches == law.batches and kept.coils == law.coils


# --- readings ------------------------------------------------------------------------------------------


def test_six_points_take_less_than_three_seconds() -> None:
    begins = time.process_time()
    fit(written("now and then"), "now and then")
    assert time.process_time() - begins < 3.0


def test_a_slip_is_not_used_and_moves_little() -> None:
    log = written("left alone")
    wort = log.wort.copy()
    wort[3] += 15.0
    found = fit(replace(log, wort=wort), "left alone")
    (batch,) = found.batches
    assert batch.used.tolist() == [True, True, False, True, True]
    mean, before = found.calibration.mean, usual("left alone").calibration.mean
    assert np.abs(mean - before).max() < 0.25
    assert batch.misses < 0.7


@pytest.mark.slow
def test_a_thousand_readings_are_no_thousand_looks() -> None:
    """Every second or every quarter of a minute: the law is as wide."""
    log = written("steady")
    laws = []
    for step in (1.0, 15.0):
        at = np.arange(0.0, log.time[-1], step)
        dense = CooldownLog("dense", at, np.interp(at, log.time, log.wort), clock=1.0)
        found = fit(dense)
        assert found.batches[0].time.size <= BLOCKS
        laws.append(sd(found.calibration)["speed"])
    assert laws[0] == pytest.approx(laws[1], rel=0.03)
    assert laws[0] > 0.8 * sd(usual("steady").calibration)["speed"]


def test_the_fitted_curve_goes_through_the_readings() -> None:
    (batch,) = usual("steady").batches
    at = np.interp(batch.time, batch.curve_time, batch.curve_fitted)
    assert np.abs(at - batch.measured)[batch.used].max() < 0.8
    assert batch.misses < 0.2
    assert batch.volume == pytest.approx(basis().hot_volume, rel=0.03)


def test_too_little_is_refused_by_name() -> None:
    for minutes, celsius in (([0, 5], [98, 60]), ([0, 5, 10, 15], [98, 97.8, 97.5, 97])):
        with pytest.raises(NothingToFit, match=r"^log: .*allowed: "):
            fit(log_of(minutes, celsius))


@pytest.mark.slow
def test_share_of_time_stirred_is_read_from_the_log() -> None:
    log = replace(written(), stirred=np.array([1.0, 1.0, 0.0, 0.0, 0.0, 0.0]))
    mixing = mixing_of(log, Mixing.of("steady"))
    assert 0.0 < mixing.share < 0.5 and mixing.share_prior == "stated share"
    assert mixing_of(replace(log, stirred=np.zeros(6)), Mixing.of("steady")).still
    assert mixing_of(replace(log, stirred=np.ones(6)), Mixing.of("left alone")).speed_prior == "steady"
    assert mixing_of(written(), Mixing.of("steady")) == Mixing.of("steady")
    taught = fit(log).calibration
    assert taught.priors["share"] == "stated share"


@pytest.mark.slow
def test_water_measured_with_the_batch_is_taken() -> None:
    """The tap was 4 K warmer than the brewhouse says: with it read, no coil is blamed."""
    log = written("steady", (("tap", 4.0 / 0.5),))
    read = replace(log, inlet=np.full(6, basis().scenario.T_in + 4.0))
    found, blind = fit(read), fit(log)
    assert kinds(found) == {"tap"}
    assert found.batches[0].misses < 0.3 < blind.batches[0].misses
    assert sd(found.calibration)["tap"] == 1.0


# --- doubts --------------------------------------------------------------------------------------------


@pytest.mark.parametrize("mixing", WAYS)
def test_a_log_as_it_should_be_is_not_doubted(mixing: str) -> None:
    assert not usual(mixing).doubts


def with_times(log: CooldownLog, by: float) -> CooldownLog:
    return replace(log, time=by * log.time)


@pytest.mark.slow
def test_doubts_tell_their_cause() -> None:
    log = written("left alone")
    fahrenheit = replace(log, wort=KELVIN + (log.wort - KELVIN - 32.0) / 1.8)
    late = replace(log, time=np.insert(log.time[1:] + 400.0, 0, [0.0, 200.0, 400.0]),
                   wort=np.insert(log.wort[1:], 0, [log.wort[0]] * 3))  # fmt: skip
    end = log.time[3]
    shut = replace(log, time=np.append(log.time[:4], end + np.array([300.0, 600.0, 900.0])),
                   wort=np.append(log.wort[:4], [log.wort[3]] * 3))  # fmt: skip
    stood = [*log.time[:4], end + 600.0, end + 1200.0, *(log.time[4:] + 1200.0)]
    pause = replace(log, time=np.array(stood), wort=np.insert(log.wort, 4, [log.wort[3]] * 2))
    cases = {
        "late water": late,
        "water shut": shut,
        "pause": pause,
        "start": replace(log, wort=np.minimum(log.wort, KELVIN + 80.0)),
        "coil": with_times(log, 2.2),
        "swapped": replace(log, outlet=log.wort + 3.0),
    }
    for kind, wrong in cases.items():
        assert kind in kinds(fit(wrong, "left alone")), kind
    for wrong, said in (
        (fahrenheit, "degC that were read as degF"),
        (with_times(log, 0.05), "no coil at all"),
    ):
        with pytest.raises(NothingToFit, match=said):
            fit(wrong, "left alone")


@pytest.mark.slow
def test_figures_are_those_of_the_table() -> None:
    for doubt in fit(with_times(written("left alone"), 2.2), "left alone").doubts:
        assert tuple(doubt.figures) == DOUBTS[doubt.kind]
    for advice in usual("left alone").tells_more:
        assert tuple(advice.figures) == ADVICE[advice.kind]


@pytest.mark.slow
def test_a_larger_batch_than_was_told_is_found_out() -> None:
    """Half as much wort again as was told, by eye: 2.3 times as slow with the layer above the coil."""
    log = written("left alone", (("mass", 4.0),))
    found = fit(log, "left alone")
    assert "volume" in kinds(found)
    (volume,) = (d for d in found.doubts if d.kind == "volume")
    assert 1.2 < volume.figures["likely"] / volume.figures["told"] < 1.9


@pytest.mark.slow
def test_late_water_is_taken_off_the_clock() -> None:
    log = written("left alone")
    minutes = np.arange(0.0, log.time[-1], 30.0)
    dense = CooldownLog("dense", minutes, np.interp(minutes, log.time, log.wort), clock=1.0)
    waited = np.arange(0.0, 420.0, 30.0)
    late = replace(
        dense,
        time=np.concatenate([waited, minutes + 420.0]),
        wort=np.concatenate([np.full(waited.size, log.wort[0]), dense.wort]),
    )
    ready, delayed = fit(dense, "left alone"), fit(late, "left alone")
    (doubt,) = delayed.doubts
    assert doubt.kind == "late water" and doubt.figures["late"] == pytest.approx(420.0, abs=90.0)
    assert np.abs(delayed.calibration.mean - ready.calibration.mean).max() < 0.25


def with_water(log: CooldownLog, mixing: str = "steady") -> CooldownLog:
    """The same with flow and outlet, by the model's own march of such a batch."""
    question = Question.of(basis(mixing), [MeasuredBatch(log, MINE, "mine")])
    trial = question.batches[0].trial
    walk = trial.walked(question.unknowns.of_batch(trial, np.zeros((1, len(question.unknowns)))))
    at = np.linspace(0.0, float(log.time[-1]), 40)
    used, heat = (np.interp(at, walk.clock, walk.states[row, 0]) for row in (3, 4))
    flow = np.full(at.size, used[-1] / at[-1])
    outlet = trial.scenario.T_in + np.gradient(heat, at) / (flow * 1000.0 * 4184.0)
    return CooldownLog("log", at, walk.at(at, np.zeros(1))[0], outlet, flow=flow, clock=1.0)


@pytest.mark.slow
def test_heat_into_the_water_is_held_against_heat_out_of_the_wort() -> None:
    log = with_water(written())
    energy = fit(log).batches[0].energy
    assert energy is not None
    assert abs(energy.closure) < 0.04 and 0.08 < energy.error < 0.2
    assert energy.out_of_wort == pytest.approx(23.0 * 0.96 * 4000.0 * (98.0 - 21.0), rel=0.1)
    assert "energy" in kinds(fit(replace(log, outlet=log.outlet + 15.0)))
    assert fit(written()).batches[0].energy is None


@pytest.mark.slow
def test_a_flow_that_heat_speaks_against_teaches_nothing() -> None:
    """Read a third too large: it is doubted, nowhere said to agree, and the supply is not taken for it."""
    log = with_water(written())
    assert log.flow is not None
    doubted = fit(replace(log, flow=1.35 * log.flow))
    blind = fit(replace(log, flow=None, outlet=None))
    assert "energy" in kinds(doubted) and doubted.batches[0].energy is not None
    assert not doubted.batches[0].energy.agrees
    assert np.allclose(doubted.calibration.mean, blind.calibration.mean, atol=1e-6)
    assert sd(fit(log).calibration)["pressure"] < 0.95 * sd(blind.calibration)["pressure"]


# --- what would tell more ------------------------------------------------------------------------------


@pytest.mark.slow
def test_advice_comes_true() -> None:
    """By the stick, and the same batch once more: the spread of another coil's time shrinks as was told."""
    log, way = written("left alone"), basis("left alone")
    one = fit(log, "left alone")
    by_stick = fit(replace(log, volume_by="stick"), "left alone")
    more = {a.kind: a.shrinks for a in one.tells_more}
    widths = [
        np.log(t[2] / t[0])
        for t in (
            predicted(basis_of(way.brewhouse, way.stock, x.calibration), OTHER) for x in (one, by_stick)
        )
    ]
    assert 1.0 - widths[1] / widths[0] == pytest.approx(more.get("stick", 0.0), abs=0.1)
    assert len(more) == 1 or all(shrinks >= 0.1 for shrinks in more.values())  # or the one that does most


@pytest.mark.slow
def test_what_is_known_already_is_not_advised() -> None:
    by_stick = fit(replace(written("left alone"), volume_by="stick"), "left alone")
    assert "stick" not in {a.kind for a in by_stick.tells_more}


@pytest.mark.slow
def test_wort_that_nobody_sees_is_told_and_advised() -> None:
    """Left alone the thermometer among the turns says little of what waits above them: how hot all of it is
    is told, and that it be stirred before it is read comes true as it is advised."""
    house, stock = basis("left alone").brewhouse, basis("left alone").stock
    full = basis_of(with_volume(house, 0.032), stock)
    turns = read_in_full_kettle(full, "coil")
    seen = calibrate(full, [MeasuredBatch(turns, MINE, "mine")])
    (batch,) = seen.batches
    assert batch.whole is not None and batch.whole == pytest.approx(KELVIN + 21.0, abs=0.5)
    assert batch.fitted[-1] < batch.whole - 3.0
    (gain,) = (a.shrinks for a in seen.tells_more if a.kind == "stirred")
    two = [MeasuredBatch(log, MINE, "mine") for log in (turns, read_in_full_kettle(full, "stirred"))]
    both = calibrate(full, two)
    assert both.batches[1].whole is None and "stirred" not in {a.kind for a in both.tells_more}
    widths = [
        np.log(t[2] / t[0])
        for t in (predicted(basis_of(full.brewhouse, stock, f.calibration), OTHER) for f in (seen, both))
    ]
    assert 1.0 - widths[1] / widths[0] == pytest.approx(gain, abs=0.15)


def read_in_full_kettle(full: DesignBasis, place: str) -> CooldownLog:
    """Six readings by the model itself."""
    dummy = log_of([0, 5, 10, 20, 40, 80], [98, 90, 80, 70, 60, 50], place=place, volume_by="stick")
    question = Question.of(full, [MeasuredBatch(replace(dummy, time=60.0 * dummy.time), MINE, "mine")])
    trial = question.batches[0].trial
    walk = trial.walked(question.unknowns.of_batch(trial, np.zeros((1, len(question.unknowns)))))
    at = SIX * walk.time_to(KELVIN + 21.0)[0]
    return replace(dummy, name=place, time=at, wort=walk.at(at, np.zeros(1))[0])


# --- the model's own place -----------------------------------------------------------------------------


def test_level_goes_with_the_volume() -> None:
    """A coil in more wort stands under more of it."""
    log = written("left alone")
    trial = Question.of(basis("left alone"), [MeasuredBatch(log, MINE, "mine")]).batches[0].trial
    low, told, high = trial.coils_at(np.exp([-0.1, 0.0, 0.1])).stranded
    assert low < told < high
    fuller = basis_of(with_volume(basis().brewhouse, float(np.exp(0.1)) * basis().hot_volume), basis().stock)
    asked = Question.of(fuller, [MeasuredBatch(log, MINE, "mine")]).batches[0].trial
    assert high == pytest.approx(float(asked.coils.stranded[0]), rel=1e-3)


@pytest.mark.slow
@pytest.mark.parametrize("mixing", WAYS)
def test_the_quick_march_is_the_fine_one(mixing: str) -> None:
    """Coils out of a curve, three segments: within 0.1 K of coils that are asked at each step."""
    log = written(mixing)
    question = Question.of(basis(mixing), [MeasuredBatch(log, MINE, "mine")])
    trial, at = question.batches[0].trial, np.linspace(0.0, float(log.time[-1]), 40)
    walk = trial.walked(question.unknowns.of_batch(trial, np.zeros((1, len(question.unknowns)))))
    fine = Numerics(segments=8, sweeps=2, exact=True)
    run = march(trial.coils, trial.scenario, fine, rtol=1e-6, longest=trial.horizon)
    (piece,) = run.pieces
    assert np.abs(walk.at(at, np.zeros(1))[0] - piece.at(at)[0, 0]).max() < 0.1


@pytest.mark.slow
def test_a_plan_with_ice_is_fitted_too() -> None:
    """A batch by the model on tap and ice: nothing is learnt of what is at its median, nothing doubted."""
    iced = design_basis(load(write_kit(Path(mkdtemp()), brewhouse=brewhouse("now and then") + ICE)))
    dummy = log_of([0, 5, 10, 20, 40], [98, 90, 80, 70, 50])
    question = Question.of(iced, [MeasuredBatch(dummy, MINE, "mine")])
    trial = question.batches[0].trial
    walk = trial.walked(question.unknowns.of_batch(trial, np.zeros((1, len(question.unknowns)))))
    at = SIX * walk.time_to(KELVIN + 20.0)[0]
    found = calibrate(
        iced, [MeasuredBatch(replace(dummy, time=at, wort=walk.at(at, np.zeros(1))[0]), MINE, "x")]
    )
    assert not found.doubts and found.batches[0].misses < 0.2
    assert np.abs(found.calibration.mean).max() < 0.1
    assert sd(found.calibration)["ice"] < 1.0


def test_nobody_stirs_more_than_all_the_time() -> None:
    """A share of time whose bell goes beyond it is told as all of it."""
    share = Unknown("share", PRIORS["now and then"])
    assert span(share, 0.0, 1.0) == pytest.approx((0.13, 0.25, 0.42))
    assert span(share, 3.5, 1.0)[1:] == (1.0, 1.0)


# --- batches that contradict each other ----------------------------------------------------------------


def two(first: tuple[tuple[str, float], ...], second: tuple[tuple[str, float], ...], mixing: str) -> Fit:
    """Two batches by the model itself, volume by stick."""
    logs = [
        replace(written(mixing, z), name=name, volume_by="stick")
        for name, z in (("one", first), ("two", second))
    ]
    return calibrate(basis(mixing), [MeasuredBatch(log, MINE, "mine") for log in logs])


@pytest.mark.parametrize("mixing", ["steady", pytest.param("now and then", marks=pytest.mark.slow)])
def test_batches_that_were_not_cooled_alike_are_doubted_and_hold_both(mixing: str) -> None:
    """One stirred seven times as fast as the other: the range holds both times, and what was
    learnt counts less. Two that are alike are not doubted, and know more than one."""
    slow, fast = (("day", -4.0), ("share", -1.5)), (("day", 4.0), ("share", 1.5))
    slow, fast = (slow[:1], fast[:1]) if mixing == "steady" else (slow, fast)
    apart, same = two(slow, fast, mixing), two((), (), mixing)
    times = [float(written(mixing, z).time[-1]) for z in (slow, fast)]
    doubts = {d.log: d for d in apart.doubts if d.kind == "day"}
    assert set(doubts) == {"one", "two"} and not same.doubts
    kept = [[b.doubts for b in found.calibration.batches] for found in (apart, same)]
    assert all("day" in one for one in kept[0]) and kept[1] == [(), ()]
    assert doubts["one"].figures["apart"] == pytest.approx(times[0] / times[1], rel=0.25)
    house, stock = basis(mixing).brewhouse, basis(mixing).stock
    low, _, high = predicted(basis_of(house, stock, apart.calibration), MINE)
    assert low < min(times) and max(times) < high
    one = calibrate(basis(mixing), [MeasuredBatch(replace(written(mixing), volume_by="stick"), MINE, "mine")])
    widths = [
        np.log(t[2] / t[0])
        for t in (predicted(basis_of(house, stock, f.calibration), MINE) for f in (same, one, apart))
    ]
    assert widths[0] < 1.02 * widths[1] < 0.8 * widths[2]


def test_what_is_learnt_is_the_law_that_is_kept() -> None:
    """A quantity on the screen is the one that every other command draws: another day's."""
    found = usual("steady")
    law, told = found.calibration, {one.name: one for one in found.learnt if one.of is None}
    assert {name for name, one in told.items() if one.told_apart} == set(law.learnt())
    for name, one in told.items():
        row = law.names.index(name)
        prior = PRIORS[{"phi": "phi_still"}.get(name, law.priors.get(name, name))]
        ends = prior.at(law.mean[row] + 1.2815516 * np.sqrt(law.cov[row, row]) * np.array([-1.0, 0.0, 1.0]))
        assert one.after == pytest.approx(tuple(ends)), name
