"""Whether the answers look like what brewers see. Plausibility only.

All bands here: common practice, no source, from memory, and wide on purpose. They belong to a single layer,
fully wetted, 19.9 kg of wort of 12 degP from 98 to 25 degC, 15 m of 9.525 x 0.81 mm copper on D_c 0.25 m,
unless a test says otherwise. A value outside its band means that the physics has changed, not the band.
"""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
import pytest
import usual

from optichill.properties import wort
from optichill.thermal import hydraulics
from optichill.thermal.batch import Mixing, Scenario, one_tap
from optichill.thermal.coil_performance import Coils, Numerics
from optichill.thermal.cooldown import chill, ends
from optichill.thermal.sources import Bath, Source, Stage
from optichill.thermal.supply import Supply

ZERO, LPM = 273.15, 1e-3 / 60.0
THREE_EIGHTHS, HALF = (9.525e-3, 9.525e-3 - 2 * 0.81e-3), (12.7e-3, 12.7e-3 - 2 * 0.8e-3)
MASS = 19.9
FINE = Numerics(nodes=12, segments=10, sweeps=3)
FLOWS, TAPS = (6.0, 8.0, 10.0), (10.0, 12.0, 15.0)


@cache
def cool(
    mixing: str,
    *,
    s: float = 1.2,
    flow: float = 8.0,
    tap: float = 12.0,
    length: float = 15.0,
    mass: float = MASS,
    tube: tuple[float, float] = THREE_EIGHTHS,
    k: float = 339.0,
    kettle: float = 0.36,
) -> tuple[float, float, float]:
    """Minutes, litres of water per litre of hot wort, and water's temperature at the start [degC].

    The flow is held fixed by a supply whose own resistance dwarfs the coil's.
    """
    d_o, d_i = tube
    coil = Coils.of(
        d_o=d_o,
        d_i=d_i,
        k=k,
        D_c=0.25,
        pitch=s * d_o,
        wetted_length=length,
        tube_length=length,
        metal_capacity=8940.0 * 385.0 * np.pi / 4.0 * (d_o**2 - d_i**2) * length,
    )
    volume = mass / float(wort.density(98.0 + ZERO, 12.0))
    batch = Scenario(
        volume=volume,
        plato=12.0,
        T_start=98.0 + ZERO,
        T_target=25.0 + ZERO,
        T_ambient=20.0 + ZERO,
        kettle_diameter=kettle,
        stages=one_tap(tap + ZERO, Supply(1e9, 1e9 / (flow * LPM) ** 2, 12.7e-3)),
        mixing=Mixing.of(mixing),
    )
    result = chill(coil, batch, FINE)
    outlet = ends(coil, batch, FINE).outlet_start[0] - ZERO
    return float(result.time[0]) / 60.0, float(result.water[0]) / volume, float(outlet)


# --- minutes and litres ---------------------------------------------------------------------------------

MINUTES = [
    ("left alone", (1.0, 1.2), 14.0, 30.0),
    ("left alone", (1.5, 2.0), 9.0, 20.0),
    ("now and then", (1.0, 1.2, 1.5, 2.0), 7.0, 18.0),
    ("steady", (1.0, 1.2, 1.5, 2.0), 5.0, 13.0),
]


@pytest.mark.parametrize(("mixing", "spacings", "low", "high"), MINUTES)
def test_minutes(mixing: str, spacings: tuple[float, ...], low: float, high: float) -> None:
    for s in spacings:
        for flow in FLOWS:
            for tap in TAPS:
                minutes, _, _ = cool(mixing, s=s, flow=flow, tap=tap)
                # Bands of whole minutes, as they are remembered.
                assert low <= round(minutes) <= high, f"s {s}, {flow} L/min, {tap} degC: {minutes:.1f} min"


@pytest.mark.parametrize("s", [1.0, 1.2, 1.5, 2.0])
@pytest.mark.parametrize("flow", FLOWS)
def test_left_alone_takes_1p6_to_3_times_as_long_as_steady(s: float, flow: float) -> None:
    for tap in TAPS:
        ratio = cool("left alone", s=s, flow=flow, tap=tap)[0] / cool("steady", s=s, flow=flow, tap=tap)[0]
        # Wide apart and at little flow the tap holds both back: 1.50 by the still film of five laboratories
        # (0.85), where practice remembers 1.6.
        assert (1.6 if s < 2.0 else 1.5) <= ratio <= 3.0


@pytest.mark.parametrize(("mixing", "low", "high"), [("steady", 2.0, 5.0), ("left alone", 3.0, 12.0)])
def test_litres_of_water_per_litre_of_wort(mixing: str, low: float, high: float) -> None:
    for s in (1.0, 1.2, 1.5, 2.0):
        for flow in FLOWS:
            for tap in TAPS:
                _, litres, _ = cool(mixing, s=s, flow=flow, tap=tap)
                assert low <= litres <= high, f"s {s}, {flow} L/min, {tap} degC: {litres:.1f}"


@pytest.mark.parametrize("mixing", ["left alone", "now and then", "steady"])
@pytest.mark.parametrize("flow", FLOWS)
def test_half_the_tube(mixing: str, flow: float) -> None:
    ratio = cool(mixing, flow=flow, length=7.6)[0] / cool(mixing, flow=flow)[0]
    assert 1.4 <= ratio <= 2.2


@pytest.mark.parametrize("mixing", ["left alone", "now and then", "steady"])
@pytest.mark.parametrize("flow", FLOWS)
def test_twice_the_wort(mixing: str, flow: float) -> None:
    ratio = cool(mixing, flow=flow, mass=2 * MASS)[0] / cool(mixing, flow=flow)[0]
    assert 1.85 <= ratio <= 2.1


@pytest.mark.parametrize("mixing", ["left alone", "now and then", "steady"])
@pytest.mark.parametrize("s", [1.0, 1.2, 1.5, 2.0])
def test_half_the_flow_saves_water_and_costs_time(mixing: str, s: float) -> None:
    for tap in TAPS:
        fast, slow = (cool(mixing, s=s, flow=flow, tap=tap) for flow in (8.0, 4.0))
        assert 0.15 <= slow[0] / fast[0] - 1.0 <= 0.70
        assert 0.15 <= 1.0 - slow[1] / fast[1] <= 0.45


@pytest.mark.parametrize("flow", FLOWS)
@pytest.mark.parametrize("tap", TAPS)
def test_forty_litres_with_a_whirlpool_pump(flow: float, tap: float) -> None:
    """40 L with 15 m of 1/2 in copper: 10 to 20 min."""
    minutes, _, _ = cool(
        "whirlpool pump", s=1.5, flow=flow, tap=tap, mass=40e-3 * 1003.0, tube=HALF, kettle=0.40
    )
    assert 10.0 <= minutes <= 20.0


def test_water_leaves_hot_at_first() -> None:
    """The first runnings are too hot for a hand and below the wort; a stirred coil's are hotter."""
    still, stirred = cool("left alone")[2], cool("steady")[2]
    assert 45.0 < still < stirred < 98.0


def test_bobbing_the_coil_is_the_fastest_word() -> None:
    """Between words known to a factor of two, the order is what may be claimed."""
    words = ("left alone", "now and then", "steady", "whirlpool pump", "vigorous")
    minutes = [cool(word)[0] for word in words]
    assert minutes == sorted(minutes, reverse=True)


# --- metal ----------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("mixing", "flow", "low", "high"),
    [
        ("left alone", 8.0, 2.0, 3.0),
        ("left alone", 10.0, 2.0, 3.0),
        ("steady", 8.0, 4.0, 10.0),
        ("steady", 10.0, 4.0, 10.0),
        ("vigorous", 8.0, 4.0, 10.0),
        ("vigorous", 10.0, 4.0, 10.0),
    ],
)
def test_stainless_costs_little(mixing: str, flow: float, low: float, high: float) -> None:
    """2-3 % of time still, 4-10 % stirred (in whole %), of a tube in copper (339 W/mK) and in 304 (15 W/mK).

    Holds for 3/8 in x 0.81 mm from 8 L/min on; wider, thinner or slower loses less, as the next test says.
    """
    loss = 100.0 * (cool(mixing, s=1.5, flow=flow, k=15.0)[0] / cool(mixing, s=1.5, flow=flow)[0] - 1.0)
    assert low <= round(loss) <= high, f"{loss:.2f} %"


def test_stainless_costs_less_where_other_resistances_are_larger() -> None:
    """Slow or wide tubes: the water's own film and its warming weigh more, the wall less."""

    def loss(flow: float, tube: tuple[float, float]) -> float:
        return (
            cool("vigorous", s=1.5, flow=flow, k=15.0, tube=tube)[0]
            / cool("vigorous", s=1.5, flow=flow, tube=tube)[0]
        )

    assert 1.0 < loss(6.0, HALF) < loss(8.0, HALF) < loss(8.0, THREE_EIGHTHS) < loss(10.0, THREE_EIGHTHS)


# --- water's way ----------------------------------------------------------------------------------------


def drop(flow: float, tube: tuple[float, float], length: float = 15.0) -> float:
    """kPa at 15 degC, D_c 0.25 m."""
    return float(hydraulics.pressure_drop_tube(flow * LPM, 15.0 + ZERO, tube[1], 0.25, length)) / 1e3


@pytest.mark.parametrize(
    ("tube", "flow", "expected"),
    [
        (THREE_EIGHTHS, 4.0, 63.0),
        (THREE_EIGHTHS, 6.0, 130.0),
        (THREE_EIGHTHS, 8.0, 218.0),
        (THREE_EIGHTHS, 10.0, 325.0),
        (HALF, 4.0, 13.0),
        (HALF, 8.0, 44.0),
        (HALF, 10.0, 66.0),
    ],
)
def test_pressure_drop(tube: tuple[float, float], flow: float, expected: float) -> None:
    """15 m, worked out beforehand with Ito 1959 and White 1929 (M), to the printed digits."""
    assert drop(flow, tube) == pytest.approx(expected, abs=0.5)


@pytest.mark.parametrize(("tube", "expected"), [(THREE_EIGHTHS, 3.1), (HALF, 7.5)])
def test_flow_on_forty_kilopascals(tube: tuple[float, float], expected: float) -> None:
    """The coil alone on a constant 40 kPa: narrow tube is what throttles a weak supply. Own figures, 2 %."""
    bare = Supply(40e3, 0.0, 1.0, hose_length=0.0)
    circuit = hydraulics.Circuit(
        bare,
        d_i=np.array([tube[1]]),
        K=np.zeros(1),
        length_ratio=np.array([15.0 / tube[1]]),
        curvature=np.array([tube[1] / 0.25]),
    )
    assert float(circuit.flow(np.array([15.0 + ZERO]))[0]) / LPM == pytest.approx(expected, rel=0.02)


@pytest.mark.parametrize(
    ("flow", "times", "within"), [(2.0, 5.3, 0.05), (2.5, 5.3, 0.05), (5.2, 6.9, 0.05), (10.0, 6.9, 0.05)]
)
def test_two_halves_in_parallel(flow: float, times: float, within: float) -> None:
    """Half the length at half the flow: 1/6.9 of the pressure while turbulent, 1/5.3 while laminar."""
    assert drop(flow, THREE_EIGHTHS) / drop(flow / 2, THREE_EIGHTHS, 7.5) == pytest.approx(times, abs=within)


def test_warm_water_runs_faster() -> None:
    """10 to 45 degC moves the flow by about 6 % (with a tap's own resistance), never the other way."""
    tap = Supply.tap(static_pressure=3e5, open_flow=12.0 * LPM, hose_bore=12.7e-3)
    circuit = hydraulics.Circuit.of(tap, np.array([7.905e-3]), np.array([0.25]), np.array([15.0]))
    cold, warm = circuit.flow(np.array([[10.0 + ZERO], [45.0 + ZERO]]))[:, 0]
    assert 1.04 < warm / cold < 1.08


def test_an_ordinary_tap_through_three_eighths() -> None:
    """3 bar and 12 L/min out of the open hose: between 5 and 9 L/min come through 15 m of 3/8 in."""
    tap = Supply.tap(static_pressure=3e5, open_flow=12.0 * LPM, hose_bore=12.7e-3)
    narrow, wide = (
        hydraulics.Circuit.of(tap, np.array([bore]), np.array([0.25]), np.array([15.0])).flow(
            np.array([288.15])
        )
        for bore in (THREE_EIGHTHS[1], HALF[1])
    )
    assert 5.0 < narrow[0] / LPM < 9.0
    assert narrow[0] < wide[0] < 12.0 * LPM


# --- plans: common practice, from memory, no source ---------------------------------------------------------


@pytest.mark.parametrize("mixing", ["left alone", "now and then", "steady"])
@pytest.mark.parametrize("flow", FLOWS)
def test_the_first_stretch_to_eighty(mixing: str, flow: float) -> None:
    """98 to 80 degC with a 15 m coil: 0.6 to 2 min."""
    for tap in TAPS:
        s = usual.batch(
            T_in=tap + ZERO, T_target=80.0 + ZERO, supply=usual.fixed_flow(flow), mixing=Mixing.of(mixing)
        )
        assert 0.6 <= chill(usual.coil(), s, FINE).time[0] / 60.0 <= 2.0


@pytest.mark.parametrize("volume", [0.012, 0.020, 0.040])
def test_a_hop_stand_under_the_lid(volume: float) -> None:
    """20 minutes from 80 degC with the lid on: 1 to 4 K."""
    tap = usual.batch().stages[0]
    place_coils = (replace(tap, until=80.0 + ZERO), Stage(None, hold=1200.0), tap)
    kettle = (4.0 * volume / np.pi) ** (1 / 3) * 1.1  # about as wide as the wort is deep
    s = usual.batch(stages=place_coils, volume=volume, kettle_diameter=kettle, lid=True)
    assert 1.0 <= 80.0 + ZERO - chill(usual.coil(), s, FINE).stages[1].T[0] <= 4.0


@pytest.mark.parametrize("mixing", ["left alone", "now and then", "steady"])
@pytest.mark.parametrize("flow", FLOWS)
def test_a_tap_of_27_degrees(mixing: str, flow: float) -> None:
    """98 to 35 degC takes 1.3 to 2.2 times as long as at 12 degC; 20 degC is out of reach."""
    warm, cold = (
        usual.batch(
            T_in=tap + ZERO, T_target=35.0 + ZERO, supply=usual.fixed_flow(flow), mixing=Mixing.of(mixing)
        )
        for tap in (27.0, 12.0)
    )
    ratio = chill(usual.coil(), warm, FINE).time[0] / chill(usual.coil(), cold, FINE).time[0]
    assert 1.3 <= ratio <= 2.2
    assert np.isposinf(chill(usual.coil(), replace(warm, T_target=20.0 + ZERO), FINE).time[0])


@pytest.mark.parametrize("mixing", ["left alone", "now and then", "steady"])
@pytest.mark.parametrize("water", [8.0, 12.0, 16.0])
def test_ice_for_the_last_stretch(mixing: str, water: float) -> None:
    """Pump and ice, 20 L from 35 to 20 degC: 3.3 to 7 kg, the water in the bath included."""
    pump = Supply.pump([(0.0, 3.5), (14 * LPM, 0.0)], hose_bore=0.0125, lift=0.0, T=285.15)
    bath = Bath(water, 12.0 + ZERO, 30.0)
    last = Stage(Source(pump, 12.0 + ZERO, bath, returns=True))
    s = usual.batch(T_target=20.0 + ZERO, stages=(replace(usual.batch().stages[0], until=35.0 + ZERO), last))
    assert 3.3 <= chill(usual.coil(), replace(s, mixing=Mixing.of(mixing)), FINE).ice[0] <= 7.0
