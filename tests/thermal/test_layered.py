"""Wort stranded above the coil, behind water of one temperature: walked by slopes, held against many small
steps of the plain rule, which knows no slope and stays within 0.1 % of a march by scipy (test_hot_risers,
test_plan_against_oracle)."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from optichill.arrays import Array
from optichill.thermal import cooldown, layered
from optichill.thermal.batch import Mixing, Scenario, one_tap
from optichill.thermal.coil_performance import SEARCH, CoilPerformance, Coils
from optichill.thermal.cooldown import chill
from optichill.thermal.sources import Bath, Source, Stage
from optichill.thermal.state import State
from optichill.thermal.supply import Supply
from optichill.thermal.transfer_units import TransferUnits

HOUR = 3600.0
FINE = replace(SEARCH, steps=40.0)


def coils(rng: np.random.Generator, number: int, least: float, most: float) -> Coils:
    """Random coils of household sizes under a share of the wort; half of them with risers in it."""
    d_o = rng.choice([0.006, 0.008, 0.009525, 0.012, 0.0159], number)
    d_i = d_o - 2.0 * rng.choice([0.0008, 0.001], number)
    length = rng.uniform(4.0, 25.0, number)
    return Coils.of(
        d_o=d_o,
        d_i=d_i,
        k=rng.choice([339.0, 15.0], number),
        D_c=rng.uniform(0.12, 0.30, number),
        pitch=d_o * rng.uniform(1.0, 2.0, number),
        wetted_length=length,
        tube_length=length + 1.0,
        metal_capacity=np.pi / 4.0 * (d_o**2 - d_i**2) * (length + 1.0) * 3.4e6,
        stranded=rng.uniform(least, most, number),
        riser_share=rng.uniform(0.05, 0.3, number) * (np.arange(number) % 2),
    )


def kettle(rng: np.random.Generator, *, near: float) -> Scenario:
    """A random one left alone behind a tap, to so near to the water [K]."""
    volume = rng.uniform(0.008, 0.06)
    tap = 273.15 + rng.uniform(5.0, 25.0)
    return Scenario(
        volume=volume,
        plato=12.0,
        T_start=371.15,
        T_target=tap + near,
        T_ambient=293.15,
        kettle_diameter=(volume * 4.0 / np.pi) ** (1 / 3),
        stages=one_tap(
            tap, Supply.tap(static_pressure=3e5, open_flow=rng.uniform(4.0, 14.0) / 6e4, hose_bore=0.0125)
        ),
        mixing=Mixing.of("left alone"),
    )


@pytest.fixture
def plainly(monkeypatch: pytest.MonkeyPatch):  # type: ignore[no-untyped-def]
    """Times by the plain rule."""

    def times(c: Coils, s: Scenario, numerics=SEARCH) -> Array:  # type: ignore[no-untyped-def]
        with monkeypatch.context() as m:
            m.setattr(layered, "THINNEST", 2.0)
            m.setattr(cooldown, "DEEP_STEPS", max(numerics.steps, cooldown.DEEP_STEPS))
            return chill(c, s, numerics).time

    return times


@pytest.mark.parametrize(("least", "most"), [(0.06, 0.3), (0.3, 0.5), (0.5, 0.7), (0.7, 0.85)])
def test_times_are_those_of_many_small_steps(plainly, least: float, most: float) -> None:  # type: ignore[no-untyped-def]
    """Over random kettles: half of all coils that chill within three hours to 0.05 %, 95 of 100 to half a per
    cent, none lost; and nearer than the plain rule at its usual steps."""
    rng = np.random.default_rng(11)
    off, plain_off = [], []
    for _ in range(6):
        c, s = coils(rng, 40, least, most), kettle(rng, near=rng.choice([6.0, 10.0, 20.0]))
        fine, plain, found = plainly(c, s, FINE), plainly(c, s), chill(c, s).time
        counts = fine < 3.0 * HOUR
        assert np.isfinite(found[counts]).all()
        off += np.abs(found[counts] / fine[counts] - 1.0).tolist()
        plain_off += np.abs(plain[counts] / fine[counts] - 1.0).tolist()
    assert len(off) > 50
    assert np.median(off) < 5e-4 and np.percentile(off, 95) < 5e-3
    for share in (50, 95):
        assert np.percentile(off, share) <= np.percentile(plain_off, share)


def test_what_came_out_unlike_the_guess_is_walked_again(monkeypatch: pytest.MonkeyPatch) -> None:
    """By themselves, carefully, and woven back into their places: each as if it had been asked alone."""
    rng = np.random.default_rng(5)
    c, s = coils(rng, 50, 0.6, 0.88), kettle(rng, near=6.0)
    walked, plain = [], layered._walked

    def counted(state: State, kernel: CoilPerformance, T_end: Array, at: layered.Pace):  # type: ignore[no-untyped-def]
        walked.append((at, state.reached.size))
        return plain(state, kernel, T_end, at)

    monkeypatch.setattr(layered, "_walked", counted)
    together = chill(c, s)
    assert [at for at, _ in walked] == list(layered.PACES)
    assert 0 < walked[2][1] < walked[1][1] < walked[0][1] == 50
    monkeypatch.setattr(layered, "PACES", layered.PACES[-1:])
    np.testing.assert_allclose(together.time, chill(c, s).time, rtol=2e-2)
    monkeypatch.undo()
    alone = np.array([chill(c.take(np.array([i])), s).time[0] for i in range(50)])
    np.testing.assert_allclose(together.time, alone, rtol=1e-9)


def test_the_gains_are_those_of_small_differences() -> None:
    """Of pace and rate by T_top, wherever the zones are apart."""
    rng = np.random.default_rng(1)
    c, s = coils(rng, 40, 0.1, 0.8), kettle(rng, near=8.0)
    kernel = CoilPerformance(c, s, SEARCH, s.sources[0], s.T_start)
    zones = layered._zones(State.start(c, s), kernel, s.sources[0].T_water + 2.0)
    start = s.T_start - s.sources[0].T_water
    for share in (0.9, 0.6, 0.3):
        D = np.array([share * start])
        # Wort below stays some kelvin over the water, where it is told by its floor.
        T_top = np.minimum(D * 1.08, (D - 4.0 * zones.below) / zones.share)
        here, up, down = (zones.look(D, T_top + by) for by in (0.0, 0.01, -0.01))
        pace, rate = (up.pace - down.pace) / 0.02, (up.rate - down.rate) / 0.02
        # What the wall loses is left out.
        np.testing.assert_allclose(here.pace_slope, pace, rtol=0.05, atol=1e-7)
        np.testing.assert_allclose(here.rate_slope, rate, rtol=0.05, atol=1e-7)


def test_a_root_is_found_in_one_look_where_both_are_straight_lines() -> None:
    """Rounding aside; by numpy's own roots."""
    pace, pace_slope, rate, rate_slope, known, b = 2e-3, -1.5e-4, 4e-3, 2e-4, 60.0, 0.2
    told = layered._Look(*(np.array([x]) for x in (pace, pace_slope, rate, rate_slope, 1e-4)))

    class Straight(layered._Zones):
        def look(self, D: Array, T_top: Array) -> layered._Look:
            return told.moved(T_top - 58.0)

    zones = Straight(*[None] * 6, hottest=np.array([90.0]))  # type: ignore[arg-type]
    line = np.poly1d([pace_slope, pace - 58.0 * pace_slope])
    fall = np.poly1d([rate_slope, rate - 58.0 * rate_slope])
    roots = (np.poly1d([1.0, -known]) * line + b * fall).roots
    expected = roots[np.isreal(roots) & (roots < known)].real.max()
    for guess in (55.0, 59.0, 59.9):
        _, T_top = zones.solved(np.array([40.0]), np.array([guess]), np.array([known]), np.array([b]))
        assert T_top[0] == pytest.approx(expected, rel=1e-9)


def test_transfer_units_are_those_of_the_kernel() -> None:
    """At the looks exactly; between them within 0.8 %; their gain by small differences."""
    rng = np.random.default_rng(3)
    c, s = coils(rng, 30, 0.1, 0.5), kettle(rng, near=8.0)
    source = s.sources[0]
    kernel = CoilPerformance(c, s, SEARCH, source, s.T_start)
    curve = TransferUnits(kernel, s.T_start, source.T_water + 4.0)
    apart = np.geomspace(4.0, s.T_start - source.T_water, 9)[:, None] * np.ones(30)
    e = kernel.at(apart + source.T_water)
    for at, Q, V in zip(apart, e.Q, np.broadcast_to(e.V, e.Q.shape), strict=True):
        units, gain, flow = curve.at(np.stack([at, at]))
        np.testing.assert_allclose(flow, V, rtol=4e-3)
        np.testing.assert_allclose(-np.expm1(-units[0]) * curve.capacity_rate(flow) * at, Q, rtol=8e-3)
        # The flow, which goes with temperature too, is held: the gain leaves it out.
        (up, *_), (down, *_) = (curve.at(np.stack([at, at * k])) for k in (1.0001, 0.9999))
        np.testing.assert_allclose(gain[1], (up - down)[1] / (2e-4 * at), rtol=1e-3, atol=1e-9)


def test_stages_meet_where_one_ends_and_the_next_begins(plainly) -> None:  # type: ignore[no-untyped-def]
    """A tap to a middle temperature, then a bucket that warms, which the plain rule walks: the wort above is
    handed on, whoever walked before."""
    rng = np.random.default_rng(5)
    c, s = coils(rng, 40, 0.1, 0.6), kettle(rng, near=10.0)
    pump = Supply.curve([(0.0, 3e4), (2e-4, 0.0)], hose_bore=0.0125)
    bucket = Source(pump, s.sources[0].T_water, Bath(60.0, s.sources[0].T_water), returns=True)
    stages = (Stage(s.sources[0], until=320.0), Stage(bucket, until=310.0), Stage(s.sources[0]))
    both = replace(s, stages=stages)
    fine, found = plainly(c, both, FINE), chill(c, both).time
    counts = fine < HOUR
    assert counts.sum() > 10
    np.testing.assert_allclose(found[counts], fine[counts], rtol=5e-3)


def test_a_target_just_over_the_water_is_reached_or_told_out_of_reach(plainly) -> None:  # type: ignore[no-untyped-def]
    """Hours, in which every hundredth of a kelvin counts: as the plain rule within some per cent, and never a
    time that is none."""
    rng = np.random.default_rng(7)
    for near in (0.05, 0.3, 1.0):
        c, s = coils(rng, 60, 0.06, 0.9), kettle(rng, near=near)
        found, fine = chill(c, s).time, plainly(c, s, FINE)
        assert (found > 0.0).all() and not np.isnan(found).any()
        counts = fine < 3.0 * HOUR
        assert counts.sum() >= 3
        lost = np.isinf(found[counts])
        assert lost.mean() <= 0.1
        assert np.median(np.abs(found[counts][~lost] / fine[counts][~lost] - 1.0)) < 0.02


def test_where_the_room_warms_as_fast_as_the_coil_cools_nothing_goes_astray() -> None:
    """A target below the room and half a kelvin over the water, under little flow: out of reach, or hours,
    without a word from numpy; and no coils at all are none."""
    rng = np.random.default_rng(9)
    for near in (0.02, 0.1, 0.5, 1.5):
        c, s = coils(rng, 80, 0.06, 0.9), kettle(rng, near=near)
        warm = replace(s, T_ambient=318.15, T_target=s.sources[0].T_water + near)
        time = chill(c, warm).time
        assert (time > 0.0).all() and not np.isnan(time).any()
    assert chill(c.take(np.array([], np.intp)), warm).time.shape == (0,)
