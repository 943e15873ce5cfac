"""The plan oracle against what it must be by itself: limits, energy balances, and oracle.py for one tap."""

from __future__ import annotations

from dataclasses import replace

import oracle
import pytest
from oracle import OutOfReach, water
from plan_oracle import L_ICE, Case, Helix, Pump, Stage, flows, friction, h, precooled, run, valve
from scipy.constants import g

pytestmark = pytest.mark.long
"""The oracle itself changes seldom."""

ZERO = 273.15
TAP = Case(rtol=1e-5)
STAINLESS = replace(TAP, k_tube=15.0, tube_density=7930.0, tube_heat_capacity=500.0, mixing="steady")
HALVES = replace(
    TAP, layout="nested", inner=Helix(TAP.D_c, TAP.pitch, 6.0, 7.5), wetted_length=6.0, tube_length=7.5
)
LAYERS = replace(
    TAP, layout="nested", inner=Helix(D_c=0.2, tube_length=7.0), wetted_length=7.0, tube_length=8.0
)
ICE = Stage("ice bath", pump=Pump(), ice=6.0, back=True)


def last_stage(case: Case, stage: Stage, until: float = ZERO + 35.0) -> tuple[float, ...]:
    """Heat to coolant, ice melted, bath's end and water drained of `stage` alone, after a tap stage."""
    first, both = run(replace(case, T_target=until)), run(replace(case, stages=(Stage(until=until), stage)))
    heat = both.heat_to_coolant - first.heat_to_coolant
    return heat, both.ice_melted[-1], both.bath_end[-1], both.drained - first.drained


@pytest.mark.parametrize("case", [Case(), STAINLESS, replace(TAP, mixing="now and then", lid=True)])
def test_one_tap_stage_agrees_with_the_oracle_of_one_stage(case: Case) -> None:
    plan, one = run(case), oracle.chill(case)
    found = (plan.chill_time, plan.drained, plan.flow_start, plan.T_out_start - ZERO, plan.heat_to_ambient)
    asked = [one[key] for key in ("time_s", "water_m3", "flow_start", "T_out_start", "heat_loss_J")]
    asked[3] -= ZERO
    assert found == pytest.approx(asked, rel=5e-5)  # 0.2 % would do; the two differ in numerics alone
    assert plan.T1 == plan.T2 == pytest.approx(case.T_target, abs=1e-4)


def test_energy_closes_over_a_plan_of_two_zones_and_time_of_a_hold_is_not_counted() -> None:
    hold, stages = Stage("hold", seconds=1200.0), (Stage(until=ZERO + 80.0), Stage(until=ZERO + 35.0), ICE)
    case = replace(TAP, T_target=ZERO + 20.0, sigma=0.2, rtol=1e-7, stages=(stages[0], hold, *stages[1:]))
    result = run(case)
    assert result.closure < 1e-5
    assert result.wall_time == pytest.approx(result.chill_time + 1200.0)
    assert result.chill_time == pytest.approx(sum(result.stage_time) - 1200.0)
    assert 0.8 * result.T1 + 0.2 * result.T2 == pytest.approx(ZERO + 20.0, abs=1e-4)
    assert result.T1 < result.T2


def test_a_hold_loses_heat_to_the_room_alone_and_zones_that_meet_go_on_as_one() -> None:
    hold = Stage("hold", seconds=4 * 3600.0)
    one, two = (run(replace(TAP, sigma=s, stages=(hold, Stage()))) for s in (0.0, 0.2))
    rest = run(replace(TAP, sigma=0.2, stages=(Stage(until=ZERO + 60.0), hold, Stage(until=1e3))))
    assert rest.T1 == rest.T2
    assert rest.closure < 1e-5
    assert one.flow_start == pytest.approx(two.flow_start, rel=1e-6)  # left alone from the start: still one
    assert rest.stage_time[2] == 0.0


def test_no_stranded_wort_is_one_zone() -> None:
    whole = run(TAP).chill_time
    assert run(replace(TAP, sigma=1e-4)).chill_time == pytest.approx(whole, rel=1e-3)
    assert run(replace(TAP, sigma=0.25)).chill_time > 1.17 * whole
    stirred = replace(TAP, mixing="steady")
    assert run(replace(stirred, sigma=0.25)) == run(stirred)


def test_two_layers_alike_in_series_are_one_long_tube() -> None:
    nested = run(replace(HALVES, layout="nested", layer_factor=1.0, segments=48))
    long = run(replace(TAP, segments=48))
    asked = (long.chill_time, long.drained, long.flow_start)
    assert (nested.chill_time, nested.drained, nested.flow_start) == pytest.approx(asked, rel=1e-5)


def test_two_tubes_alike_side_by_side_share_the_water_evenly() -> None:
    case = replace(HALVES, layout="parallel")
    one, other = flows(case, Stage(), 0.0, ZERO + 12.0, [ZERO + 50.0] * 2)
    assert one == pytest.approx(other, rel=1e-9)
    unlike = flows(replace(LAYERS, layout="parallel"), Stage(), 0.0, ZERO + 12.0, [ZERO + 50.0] * 2)
    assert unlike[0] > unlike[1]  # the shorter tube


def test_water_that_reaches_the_wort_s_temperature_does_no_harm() -> None:
    thin = replace(TAP, d_o=6.35e-3, d_i=4.8e-3, wetted_length=40.0, tube_length=42.0, mixing="vigorous")
    result = run(replace(thin, valve_share=0.3, T_target=ZERO + 60.0))
    assert result.T_out_start == pytest.approx(thin.T_start, abs=1e-3)
    assert result.closure < 1e-5


def test_layers_near_each_other_hinder_each_other() -> None:
    centres_apart = [1.4, 1.5, 2.25, 3.0, 3.5]
    found = [
        replace(TAP, layout="nested", inner=Helix(D_c=TAP.D_c - 2 * TAP.d_o * apart)).paths[0][0].film_factor
        for apart in centres_apart
    ]
    assert found == pytest.approx([0.85, 0.85, 0.925, 1.0, 1.0])


@pytest.mark.parametrize("source", ["ice bath", "bucket"])
@pytest.mark.parametrize("pump", [None, Pump()])
def test_a_huge_bath_is_a_tap_of_its_temperature(source: str, pump: Pump | None) -> None:
    """With so much ice that is as cold as ice."""
    cold = Stage(T_water=ZERO + (0.0 if source == "ice bath" else 1.0), pump=pump)
    bath = replace(cold, source=source, back=True, m_water=1e7, ice=1e6)
    tap, huge = (run(replace(TAP, stages=(stage,))) for stage in (cold, bath))
    assert huge[0] == pytest.approx(tap[0], rel=1e-4)
    assert huge.flow_start == pytest.approx(tap.flow_start, rel=1e-6)
    assert huge.drained == 0.0


@pytest.mark.parametrize("ice", [6.0, 2.0, 0.5])
def test_ice_melted_and_the_bath_at_the_end_hold_the_heat(ice: float) -> None:
    """6 kg last, 2 kg melt on the way, 0.5 kg do not even cool the water down: then it is warm at once."""
    case = replace(TAP, T_target=ZERO + 26.0)
    heat, melted, T_bath, drained = last_stage(case, replace(ICE, ice=ice))
    assert (melted < ice) == (ice == 6.0)
    before = 10.0 * h(ZERO + 12.0)
    assert (10.0 + melted) * h(T_bath) + melted * L_ICE == pytest.approx(before + heat, rel=1e-4)
    assert T_bath == pytest.approx(ZERO) if ice == 6.0 else T_bath > ZERO
    assert drained == pytest.approx(0.0, abs=1e-9)


def test_an_ice_bath_to_the_drain_cools_its_make_up() -> None:
    heat, melted, T_bath, drained = last_stage(replace(TAP, T_target=ZERO + 26.0), replace(ICE, back=False))
    cooled = (10.0 + drained * water("D", ZERO)) * (h(ZERO + 12.0) - h(ZERO))
    assert T_bath == ZERO
    assert melted == pytest.approx(cooled / (L_ICE + h(ZERO)), rel=1e-3)


def test_a_bucket_warms_with_the_coil_and_is_fresh_at_each_refill() -> None:
    bucket = Stage("bucket", pump=Pump(), m_water=60.0, back=True)
    none, two = (
        run(replace(TAP, T_target=ZERO + 40.0, stages=(replace(bucket, refills=n),))) for n in (0, 2)
    )
    assert 60.0 * (h(none.bath_end[0]) - h(ZERO + 12.0)) == pytest.approx(none.heat_to_coolant, rel=1e-5)
    assert two.chill_time < none.chill_time
    # Equal ratios of the wort's height above the water: the last part is the smallest in heat.
    assert 3 * 60.0 * (h(two.bath_end[0]) - h(ZERO + 12.0)) < two.heat_to_coolant
    drained = run(replace(TAP, T_target=ZERO + 40.0, stages=(replace(bucket, back=False),)))
    assert drained.bath_end[0] == ZERO + 12.0
    assert drained.chill_time < two.chill_time


@pytest.mark.parametrize(("stirred", "T_out"), [(False, 10.3), (True, 8.6)])
def test_a_precooler_does_what_its_films_let_it(stirred: bool, T_out: float) -> None:
    """7.6 m of 3/8 in at 8 L/min, ice water at 2 degC round it, tap at 12 degC (OWN figures)."""
    stage = Stage("precooled tap", T_water=ZERO + 12.0, stirred=stirred)
    found = precooled(stage, 8.0 / 60.0, ZERO + 2.0, ZERO + 12.0)
    assert found - ZERO == pytest.approx(T_out, abs=0.1)


def test_a_precooler_brings_colder_water_and_takes_pressure() -> None:
    case = replace(TAP, T_target=ZERO + 26.0)
    cooler = Stage("precooled tap", ice=5.0, stirred=True)
    plain, cooled = (run(replace(case, stages=(Stage(until=ZERO + 35.0), s))) for s in (Stage(), cooler))
    assert cooled.stage_time[0] == pytest.approx(plain.stage_time[0], rel=1e-6)
    assert run(replace(case, stages=(cooler,))).flow_start < plain.flow_start
    assert 0.0 < cooled.ice_melted[1] < 5.0
    assert cooled.closure < 1e-5


@pytest.mark.parametrize("case", [TAP, replace(LAYERS, layout="parallel")])
def test_the_valve_leaves_its_share_and_acts_to_the_drain_alone(case: Case) -> None:
    half = replace(case, valve_share=0.5)
    R_v, outs = (
        valve(half, Stage(T_water=ZERO + 12.0)),
        [0.5 * (ZERO + 12.0 + case.T_start)] * len(case.paths),
    )
    full, less = (sum(flows(half, Stage(), R, ZERO + 12.0, outs)) for R in (0.0, R_v))
    assert less == pytest.approx(0.5 * full, rel=1e-8)
    free, shut = (run(replace(c, T_target=ZERO + 90.0, stages=(ICE,))).chill_time for c in (case, half))
    assert free == shut


def test_a_pump_of_two_points_is_a_parabola_and_must_lift() -> None:
    pump = Pump(points=((0.0, 3.0), (2e-4, 0.0)), lift=0.5)
    rho_g = water("D", 285.15) * g
    found = [pump.pressure(V, 285.15) / rho_g for V in (0.0, 1e-4, 2e-4)]
    assert found == pytest.approx([2.5, 3.0 * 0.75 - 0.5, -0.5])
    bent = Pump(points=((0.0, 3.0), (1e-4, 2.0), (2e-4, 0.0)))
    assert bent.pressure(1e-4, 285.15) == pytest.approx(2.0 * rho_g)
    assert bent.pressure((2.5e-8) ** 0.5, 285.15) == pytest.approx(1.0 * rho_g)  # halfway in V^2
    with pytest.raises(OutOfReach, match="does not lift"):
        run(replace(TAP, stages=(replace(ICE, pump=replace(pump, lift=3.1)),)))


def test_the_tube_takes_the_pressure_of_a_worked_case() -> None:
    """15 m of 9.525 x 0.81 mm on 0.25 m at 15 degC and 6 L/min: 130 kPa (OWN, rounded)."""
    assert friction(6.0 / 60.0, 7.905e-3, 15.0, ZERO + 15.0, 0.25) == pytest.approx(130e3, rel=0.01)


def test_bad_input_names_the_place() -> None:
    for wrong in ({"source": "well"}, {"back": True}, {"source": "ice bath", "refills": 1}):
        with pytest.raises(ValueError, match="|".join(wrong)):
            Stage(**wrong)
    for wrong in ({"layout": "nested"}, {"layout": "twisted"}, {"sigma": 1.0}, {"valve_share": 0.0}):
        with pytest.raises(ValueError, match="inner|layout|sigma"):
            Case(**wrong)
    with pytest.raises(OutOfReach, match="not within 6 h"):
        run(replace(TAP, T_target=TAP.T_in - 1.0, rtol=1e-5))
