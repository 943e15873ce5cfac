"""Random cooling plans for random coils: every kind of stage, layout and mixing."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from usual import LPM, ZERO

from optichill.correlations import layers
from optichill.thermal.batch import Mixing, Scenario
from optichill.thermal.coil_performance import Coils
from optichill.thermal.sources import RUNNING_ICE, STILL_ICE, Bath, Precooler, Source, Stage
from optichill.thermal.supply import Supply

LAYOUTS = ("single", "nested", "parallel")
MIXINGS = ("left alone", "now and then", "steady")
KINDS = (
    "tap",
    "ice after tap",
    "ice alone",
    "bucket",
    "bucket to drain",
    "ice to drain",
    "precooled",
    "stand",
)
PRECOOLER = Precooler(9.525e-3, 7.905e-3, 339.0, 0.2, 7.6)


@dataclass(frozen=True)
class Tried:
    """One coil, shape (1,), with one plan."""

    kind: str
    layout: str
    mixing: str
    coils: Coils
    scenario: Scenario


def coil_of(
    layout: str, rng: np.random.Generator, *, stranded: float = 0.0, valve_share: float = 1.0
) -> Coils:
    """One random coil of a layout, as the search makes it of two layers."""
    d_o, wall = rng.choice([8e-3, 9.525e-3, 10e-3, 12e-3]), rng.choice([0.8e-3, 1e-3])
    pitch = d_o * rng.uniform(1.0, 2.0)
    D_out, turns = rng.uniform(0.22, 0.30), rng.uniform(6.0, 12.0)
    D_in = D_out - 2.0 * rng.uniform(d_o + 0.010, d_o + 0.030)
    outer, inner = (turns * np.hypot(np.pi * D, pitch) for D in (D_out, D_in))
    per_length = np.pi / 4.0 * (d_o**2 - (d_o - 2 * wall) ** 2) * 8940.0 * 385.0
    common = {"d_o": d_o, "d_i": d_o - 2 * wall, "k": 339.0, "pitch": pitch, "valve_share": valve_share}
    common["stranded"] = stranded
    crowded = float(layers.film_share(D_in, D_out, d_o))
    if layout == "single":
        both = np.array([outer])
        return Coils.of(
            **common,
            D_c=D_out,
            wetted_length=both,
            tube_length=both + 1,
            metal_capacity=per_length * (both + 1),
        )
    if layout == "nested":
        both = np.array([outer + inner])
        return Coils.of(
            **common,
            D_c=(outer * D_out + inner * D_in) / both,
            wetted_length=both,
            tube_length=both + 1,
            metal_capacity=per_length * (both + 1),
            film_share=crowded,
            speed_share=float(layers.mean_speed_share(inner, outer)),
        )
    each = np.array([[outer], [inner]])
    return Coils.of(
        **common,
        D_c=np.array([[D_out], [D_in]]),
        wetted_length=each,
        tube_length=each + 1,
        metal_capacity=per_length * (each + 1),
        film_share=crowded,
        speed_share=np.array([[1.0], [layers.INNER_SPEED]]),
    )


def stages_of(
    kind: str, rng: np.random.Generator, T_in: float, target: float, mass: float
) -> tuple[Stage, ...]:
    """A plan of one kind that can reach the target [K] for `mass` [kg] of wort."""
    tap = Source(
        Supply.tap(
            static_pressure=rng.uniform(2e5, 4e5), open_flow=rng.uniform(6, 14) * LPM, hose_bore=12.5e-3
        ),
        T_in,
    )
    points = [(0.0, 3.5), (5 * LPM, 3.0), (10 * LPM, 1.9), (14 * LPM, 0.0)]
    pump = Supply.pump(points, hose_bore=12.5e-3, lift=rng.choice([0.0, 0.4]), T=T_in)
    change = max(target, T_in) + rng.uniform(8.0, 25.0)
    begin = Stage(tap, change)
    water = rng.uniform(8.0, 20.0)
    # Sometimes too little ice, so that the bath warms, but never so little that the target is out of reach.
    needs = mass * 4.0 * (change - target) / 335.0
    ice = needs * rng.uniform(0.8, 1.3) + 0.5
    if kind == "tap":
        return (Stage(tap),)
    if kind == "ice after tap":
        return (begin, Stage(Source(pump, T_in, Bath(water, T_in, ice), returns=True)))
    if kind == "ice alone":
        plenty = mass * 4.0 * (98.0 + ZERO - target) / 335.0 * rng.uniform(1.0, 1.3) + 3.0
        return (Stage(Source(pump, T_in, Bath(water, T_in, plenty), returns=True)),)
    if kind == "bucket":
        fills = int(rng.integers(2, 5))
        large = Bath(max(water, 0.7 * mass), T_in)
        return (
            Stage(Source(pump, T_in, large, returns=True, fills=fills), T_in + 42.0),
            Stage(Source(pump, T_in, Bath(water, T_in, 2.0 * ice + 5.0), returns=True)),
        )
    if kind == "bucket to drain":
        return (Stage(Source(pump, T_in)),)
    if kind == "ice to drain":
        return (begin, Stage(Source(pump, T_in, Bath(water, T_in, 3.0 * ice, STILL_ICE))))
    if kind == "precooled":
        bath = Bath(water, T_in, 3.0 * ice, RUNNING_ICE)
        return (begin, Stage(Source.precooled(tap.supply, T_in, bath, PRECOOLER)))
    return (Stage(tap, 80.0 + ZERO), Stage(None, hold=rng.uniform(300.0, 1500.0)), Stage(tap))


def random_plans(number: int, seed: int) -> list[Tried]:
    """Plans that go through all kinds, layouts and mixings in turn."""
    rng = np.random.default_rng(seed)
    found = []
    for i in range(number):
        kind, layout, mixing = KINDS[i % len(KINDS)], LAYOUTS[(i // 2) % 3], MIXINGS[(i // 3) % 3]
        T_in = rng.uniform(8.0, 16.0) + ZERO
        target = T_in + rng.uniform(5.0, 10.0)
        volume = rng.uniform(0.012, 0.030)
        scenario = Scenario(
            volume=volume,
            plato=12.0,
            T_start=98.0 + ZERO,
            T_target=target,
            T_ambient=20.0 + ZERO,
            kettle_diameter=rng.uniform(0.30, 0.42),
            stages=stages_of(kind, rng, T_in, target, 1000.0 * volume),
            mixing=Mixing.of(mixing),
            lid=bool(rng.integers(2)),
        )
        valve_share = float(rng.choice([1.0, 0.5]))
        found.append(
            Tried(
                kind,
                layout,
                mixing,
                coil_of(layout, rng, stranded=rng.uniform(0.03, 0.2), valve_share=valve_share),
                scenario,
            )
        )
    return found
