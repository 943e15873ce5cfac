"""Whole plans against a model of their own: `plan_oracle`, marched in time on ht, fluids and CoolProp.

It takes up to a minute a plan and knows nothing of optichill, so that its answers stand written down, each
under the text of the model and of the case it belongs to. When one of them changes, or a library under it:
`PYTHONPATH=tests python tests/thermal/test_plan_against_oracle.py`.
"""

from __future__ import annotations

import json
from collections.abc import Iterable
from dataclasses import replace
from hashlib import sha256
from pathlib import Path
from typing import Any

import numpy as np
import oracle
import plan_oracle as po
import pytest
from where import DATA

from optichill.correlations import layers
from optichill.thermal.batch import Mixing, Scenario
from optichill.thermal.coil_performance import Coils, Numerics
from optichill.thermal.cooldown import chill, ends
from optichill.thermal.sources import Bath, Precooler, Source, Stage
from optichill.thermal.supply import Supply

FINE = Numerics(nodes=16, segments=8, sweeps=3, exact=True, steps=15.0)
"""Twice as fine in both changes no time by a thousandth."""
PUMP = po.Pump(((0.0, 3.5), (5e-3 / 60, 3.0), (10e-3 / 60, 1.9), (14e-3 / 60, 0.0)))
LIFTED = replace(PUMP, lift=0.5)
INNER = po.Helix(D_c=0.19, pitch=14e-3, wetted_length=5.5, tube_length=7.0)
ICED = po.Stage("ice bath", pump=PUMP, m_water=10.0, ice=6.0, back=True)
TAP_TO_40 = po.Stage("tap", until=313.15)

ICE_DENSITY = 917.0  # CRC Handbook, from memory


def in_lumps(stage: po.Stage, edge: float, film: float = 1800.0) -> po.Stage:
    """Its ice in cubes of that edge [m] under that film [W/m2K]: a kilogram is 1/(917 edge^3) of 6 edge^2."""
    return replace(stage, UA_ice=film * 6.0 * stage.ice / (ICE_DENSITY * edge))


CUBE, BLOCK, BAG = 0.025, (1.0 / ICE_DENSITY) ** (1.0 / 3.0), (2.0 / ICE_DENSITY) ** (1.0 / 3.0)

CASES = {
    "left alone, a tenth stranded": po.Case(sigma=0.1, mixing="left alone"),
    "left alone, a quarter stranded, lid": po.Case(sigma=0.25, mixing="left alone", lid=True),
    "tap, then ice that suffices": po.Case(mixing="steady", stages=(TAP_TO_40, ICED), T_target=293.15),
    "tap, then ice that runs out": po.Case(
        mixing="now and then", stages=(TAP_TO_40, replace(ICED, ice=3.5)), T_target=293.15
    ),
    "ice, left alone": po.Case(
        mixing="left alone", sigma=0.12, stages=(TAP_TO_40, replace(ICED, ice=4.0)), T_target=293.15
    ),
    "ice down the drain, pump lifts": po.Case(
        mixing="steady", stages=(TAP_TO_40, replace(ICED, pump=LIFTED, back=False)), T_target=293.15
    ),
    "bucket filled thrice": po.Case(
        mixing="steady",
        stages=(po.Stage("bucket", pump=PUMP, m_water=20.0, back=True, refills=2),),
        T_target=315.15,
    ),
    "bucket down the drain": po.Case(mixing="now and then", stages=(po.Stage("bucket", pump=PUMP),)),
    "pre-cooled tap": po.Case(
        mixing="steady",
        T_in=300.15,
        T_target=298.15,
        stages=(
            po.Stage("tap", until=308.15),
            po.Stage("precooled tap", m_water=8.0, ice=12.0, stirred=True),
        ),
    ),
    "hop stand": po.Case(
        mixing="steady",
        stages=(po.Stage("tap", until=353.15), po.Stage("hold", seconds=1200.0), po.Stage("tap")),
    ),
    "nested, steady": po.Case(layout="nested", inner=INNER, mixing="steady"),
    "nested, left alone": po.Case(layout="nested", inner=INNER, mixing="left alone", sigma=0.08),
    "parallel, steady": po.Case(layout="parallel", inner=INNER, mixing="steady"),
    "parallel, now and then, valve half open": po.Case(
        layout="parallel", inner=INNER, mixing="now and then", valve_share=0.5
    ),
    "single, valve a third open": po.Case(mixing="steady", valve_share=1.0 / 3.0),
    "parallel, ice": po.Case(
        layout="parallel", inner=INNER, mixing="steady", stages=(TAP_TO_40, ICED), T_target=293.15
    ),
}

TO_20 = po.Case(mixing="steady", T_target=293.15)
LUMPS = {
    "small cubes": (TO_20, in_lumps(ICED, CUBE), 0.01),
    "small cubes that run out": (TO_20, in_lumps(replace(ICED, ice=3.5), CUBE), 0.03),
    "blocks": (TO_20, in_lumps(ICED, BLOCK), 0.04),
    "blocks that barely suffice": (TO_20, in_lumps(replace(ICED, ice=4.0), BLOCK), 0.10),
    "bags, left alone": (replace(TO_20, mixing="left alone", sigma=0.12), in_lumps(ICED, BAG), 0.03),
    "blocks in still water round a pre-cooling coil": (
        replace(TO_20, T_in=300.15, T_target=298.15),
        in_lumps(po.Stage("precooled tap", m_water=8.0, ice=12.0), BLOCK, 100.0),
        0.30,
    ),
}
"""Ice that melts at a rate after a tap, and what taking its bath as settled may cost in time [-]: the water
round blocks stays cold for minutes, which the other model marches through."""


def ours(case: po.Case) -> tuple[Coils, Scenario]:
    """The same coil and plan for optichill."""
    area = np.pi / 4.0 * (case.d_o**2 - case.d_i**2) * case.tube_density * case.tube_heat_capacity
    common = {
        "d_o": case.d_o,
        "d_i": case.d_i,
        "k": case.k_tube,
        "stranded": case.sigma,
        "valve_share": case.valve_share,
    }
    if case.inner is None:
        coils = Coils.of(
            **common,
            D_c=case.D_c,
            pitch=case.pitch,
            wetted_length=case.wetted_length,
            tube_length=case.tube_length,
            metal_capacity=area * case.tube_length,
        )
    else:
        coils = _layered(case, case.inner, common, area)
    stages = tuple(_stage(case, stage) for stage in case.plan)
    return coils, Scenario(
        volume=case.volume_hot,
        plato=case.plato,
        T_start=case.T_start,
        T_target=case.T_target,
        T_ambient=case.T_ambient,
        kettle_diameter=case.kettle_diameter,
        stages=stages,
        mixing=Mixing.of(case.mixing),
        lid=case.lid,
        kettle_metal_mass=case.kettle_metal_mass,
    )


def _layered(case: po.Case, inner: po.Helix, common: dict[str, float], area: float) -> Coils:
    both = np.array([[case.D_c, inner.D_c], [case.pitch, inner.pitch]])
    wet, tube = (np.array([getattr(h, n) for h in (case, inner)]) for n in ("wetted_length", "tube_length"))
    crowded = float(layers.film_share(inner.D_c, case.D_c, case.d_o))
    if case.layout == "parallel":
        return Coils.of(
            **common,
            D_c=both[0][:, None],
            pitch=both[1][:, None],
            wetted_length=wet[:, None],
            tube_length=tube[:, None],
            metal_capacity=area * tube[:, None],
            film_share=crowded,
            speed_share=np.array([[1.0], [layers.INNER_SPEED]]),
        )
    return Coils.of(
        **common,
        D_c=(both[0] * tube).sum() / tube.sum(),
        pitch=case.pitch,
        wetted_length=wet.sum(),
        tube_length=tube.sum(),
        metal_capacity=area * tube.sum(),
        film_share=crowded,
        speed_share=float(layers.mean_speed_share(wet[1], wet[0])),
    )


def _stage(case: po.Case, stage: po.Stage) -> Stage:
    if stage.source == "hold":
        return Stage(None, hold=stage.seconds)
    T = stage.T_water
    assert T is not None
    tap = Supply.tap(static_pressure=case.p_static, open_flow=case.V_open, hose_bore=case.hose_bore)
    supply = tap
    if stage.pump is not None:
        p = stage.pump
        supply = Supply.pump(list(p.points), hose_bore=p.hose_bore, lift=p.lift, T=T)
    if stage.source == "precooled tap":
        c = stage.precooler
        bath = _bath(stage)
        small = Precooler(c.d_o, c.d_i, c.k_tube, c.D_c, c.tube_length, stage.stirred)
        return Stage(Source.precooled(tap, T, bath, small), stage.until)
    if stage.source == "bucket":
        bath = Bath(stage.m_water, T) if stage.back else None
        return Stage(Source(supply, T, bath, stage.back, 1 + stage.refills), stage.until)
    if stage.source == "ice bath":
        bath = _bath(stage)
        return Stage(Source(supply, T, bath, stage.back), stage.until)
    return Stage(Source(supply, T), stage.until)


def _bath(stage: po.Stage) -> Bath:
    """Its vessel: the same conductance whatever the lumps."""
    assert stage.T_water is not None
    vessel = Bath(stage.m_water, stage.T_water, stage.ice, 1.0)
    UA = FREE_ICE * vessel.ice_UA if stage.UA_ice is None else stage.UA_ice
    return replace(vessel, h_ice=UA / vessel.ice_UA)


FREE_ICE = 1e8
"""Film of ice that lets in all heat at once [W/m2K], as the other model has it."""

QUICK = ("hop stand", "nested, steady", "parallel, steady", "bucket filled thrice", "lumps: small cubes")
"""Cases for every run of the tests; the rest are for the gate."""
WRITTEN = DATA / "plans_by_the_oracle.json"


def plans() -> dict[str, po.Case]:
    """Every case, with its lumps of ice."""
    lumpy = {f"lumps: {n}": replace(case, stages=(TAP_TO_40, iced)) for n, (case, iced, _) in LUMPS.items()}
    return {**CASES, **lumpy}


def asked(case: po.Case) -> str:
    """The text of the other model and of what it is asked."""
    model = [Path(module.__file__ or "").read_text(encoding="utf-8") for module in (oracle, po)]
    return sha256("".join([*model, repr(case)]).encode()).hexdigest()[:16]


def theirs_of(name: str) -> po.Result:
    """What the other model says of a case, as it stands written down."""
    written = json.loads(WRITTEN.read_text(encoding="utf-8"))[name]
    assert written.pop("asked") == asked(plans()[name]), "written down for another case or model: write anew"
    return po.Result(**written)


@pytest.mark.parametrize(
    "name",
    [pytest.param(n, marks=pytest.mark.slow if n == "nested, steady" else pytest.mark.long) for n in plans()],
)
def test_the_other_model_says_what_stands_written_down(name: str) -> None:
    """All that it says, to a ten thousandth; heat balanced as closely."""
    now, written = po.run(plans()[name]), theirs_of(name)
    for field, value in now._asdict().items():
        assert getattr(written, field) == pytest.approx(value, rel=1e-4, abs=1e-6, nan_ok=True), field
    assert written.closure < 1e-4


def tiered(names: Iterable[str]) -> list[Any]:
    return [pytest.param(n, marks=() if n in QUICK else pytest.mark.slow) for n in names]


@pytest.mark.parametrize("name", tiered(CASES))
def test_plan(name: str) -> None:
    """Time and water within 1 %, ice within 1 % and 20 g, temperatures within 0.4 K.

    Two layers in one tube are one mean tube for us, two in series for the other; friction takes the cold
    volume for the velocity (1.3 % of the flow at most, behind a weak pump).
    """
    case, theirs = CASES[name], theirs_of(name)
    coils, scenario = ours(case)
    result, start = chill(coils, scenario, FINE), ends(coils, scenario, FINE)
    filled = sum(s.source.filled for s in scenario.stages if s.source is not None)
    assert result.time[0] == pytest.approx(theirs.chill_time, rel=0.01)
    assert result.water[0] - filled == pytest.approx(theirs.drained, rel=0.01, abs=1e-9)
    assert result.ice[0] == pytest.approx(sum(theirs.ice_melted), rel=0.01, abs=0.02)
    assert start.flow_start[0] == pytest.approx(theirs.flow_start, rel=0.015)
    assert start.outlet_start[0] == pytest.approx(theirs.T_out_start, abs=0.5)
    for mine, bath in zip(result.stages, theirs.bath_end, strict=True):
        if np.isfinite(mine.T_bath[0]):
            assert mine.T_bath[0] == pytest.approx(bath, abs=0.4)
    if case.mixing == "left alone" and case.sigma > 0.0:
        assert result.T_top[0] == pytest.approx(theirs.T2, abs=0.4)


@pytest.mark.parametrize("name", tiered(n for n in plans() if n not in CASES))
def test_ice_that_melts_at_a_rate(name: str) -> None:
    """Never quicker than it is, and no slower than what a settled bath is known to cost; ice likewise."""
    theirs, cost = theirs_of(name), LUMPS[name.removeprefix("lumps: ")][2]
    coils, scenario = ours(plans()[name])
    result = chill(coils, scenario, FINE)
    assert -0.002 <= result.time[0] / theirs.chill_time - 1.0 <= cost
    assert -max(cost / 2.0, 0.02) <= result.ice[0] / sum(theirs.ice_melted) - 1.0 <= 0.01


if __name__ == "__main__":
    answers = {name: {"asked": asked(case), **po.run(case)._asdict()} for name, case in plans().items()}
    WRITTEN.write_text(json.dumps(answers, indent=1) + "\n", encoding="utf-8")
