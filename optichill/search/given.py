"""One coil that exists or is planned: how it stands, how it chills, and what to warn of."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from optichill.build import helix, risers
from optichill.errors import OptichillError
from optichill.inputs.coil import Coil
from optichill.inputs.stock import MATCH
from optichill.materials import MATERIALS
from optichill.physics import cooldown
from optichill.physics.cooldown import Coils, Kernel, Numerics, Scenario
from optichill.physics.march import March, heat_given_up, march
from optichill.physics.supply import Circuit
from optichill.physics.validity import Use, uses
from optichill.physics.water import Array
from optichill.search.design import LimitLine, Prediction, known, limit_lines, prediction, stranded_share
from optichill.search.evaluate import chill_checks
from optichill.search.setting import Setting
from optichill.search.space import riser_tools
from optichill.search.standing import Shape, Standing, fit_checks, stand

PRECISE = Numerics(nodes=16, segments=8, sweeps=2, exact=True)
"""For one coil there is time: within 0.01 % of a converged run."""

POINTS = 61
"""Points of the cool-down curve."""


class CannotPredict(OptichillError):
    """The coil is of a kind that is not worked out."""


@dataclass(frozen=True)
class Curve:
    """The cool-down: time [s], wort and outlet temperature [K], flow [m3/s], arrays of shape (points,)."""

    time: Array
    wort: Array
    outlet: Array
    flow: Array


@dataclass(frozen=True)
class Energy:
    """Heat [J] given up by wort and metal, taken by water and room; closure: what is left, as a share."""

    wort: float
    metal: float
    coolant: float
    ambient: float
    closure: float


@dataclass(frozen=True)
class Given:
    """One coil in one setting, worked out. closest: wort temperature [K] where the march ended."""

    coil: Coil
    prediction: Prediction
    limits: tuple[LimitLine, ...]
    wet_share: float
    stranded: float
    tube_length: float
    wetted_length: float
    curve: Curve
    energy: Energy
    difference: float | None
    closest: float
    scalding: float
    uses: tuple[Use, ...]
    throttled: bool


def predict(setting: Setting, coil: Coil) -> Given:
    """How the coil chills the batch; whatever limit it breaks is only told."""
    if coil.layout != "single":
        raise CannotPredict(
            f"coil.layout: {coil.layout}: only single-layer coils are worked out so far (allowed: single)"
        )
    shape, standing = _stand(setting, coil)
    one = _physical(coil, standing)
    scenario, throttled = _throttled(setting.scenario, one, coil.flow)
    result, ends = cooldown.chill(one, scenario, PRECISE), cooldown.ends(one, scenario, PRECISE)
    alone, steady = (
        cooldown.chill(one, replace(scenario, mixing=setting.mixed(word).mixing), PRECISE)
        for word in ("left alone", "steady")
    )
    run = march(one, scenario, PRECISE, rtol=1e-8)
    checks = fit_checks(setting, shape, standing)
    if coil.riser_bend_radius is None:
        checks.drop("riser_gap", "riser_height")  # risers that exist are where they are
    checks.merge(chill_checks(setting.brewhouse.limits, scenario, result))
    curve = _curve(one, scenario, run)
    time = known(result.time[0])
    marched = known(run.time[0])
    return Given(
        coil=coil,
        prediction=prediction(result, alone, steady, ends, 0, marched),
        limits=limit_lines(checks, 0),
        wet_share=float(standing.wet_share[0]),
        stranded=float(stranded_share(standing.cold_level, standing.top, shape.d_o)[0]),
        tube_length=float(standing.tube_length[0]),
        wetted_length=float(standing.wetted[0]),
        curve=curve,
        energy=_energy(one, scenario, run),
        difference=None if time is None or marched is None else marched / time - 1.0,
        closest=float(run.T_end[0]),
        scalding=scalding_water(curve),
        uses=tuple(uses(Kernel(one, scenario, PRECISE), curve.wort[:, None])),
        throttled=throttled,
    )


def _stand(setting: Setting, coil: Coil) -> tuple[Shape, Standing]:
    """The coil where its file says it stands, with its own risers."""
    R_b = coil.riser_bend_radius or _usual_bend(setting, coil)
    columns = (coil.outer_diameter, coil.bore, coil.mean_diameter, coil.pitch, coil.turns, R_b)
    shape = Shape(*(np.array([v]) for v in columns))
    standing = stand(setting, shape, coil.lowest_turn_height)
    length = helix.helix_length(shape.D_c, shape.pitch, shape.turns)
    own = coil.riser_length_in + coil.riser_length_out
    return shape, replace(
        standing,
        riser_in=np.array([coil.riser_length_in]),
        riser_out=np.array([coil.riser_length_out]),
        tube_length=np.array([coil.bought_length]) if coil.bought_length else risers.tube_length(length, own),
        wetted=np.minimum(standing.wetted, length + own),
    )


def _usual_bend(setting: Setting, coil: Coil) -> float:
    """Bend radius of risers the coil file does not tell [m]: by the tool at hand, else four diameters."""
    for tube in setting.stock.tubing:
        if abs(tube.outer_diameter - coil.outer_diameter) < MATCH and tube.material == coil.material:
            return riser_tools(tube, setting.stock)[0].radius
    return 4.0 * coil.outer_diameter


def _physical(coil: Coil, standing: Standing) -> Coils:
    metal = MATERIALS[coil.material]
    mass = helix.tube_mass(coil.outer_diameter, coil.bore, standing.tube_length, metal.density)
    return Coils.of(
        d_o=coil.outer_diameter,
        d_i=coil.bore,
        k=metal.conductivity,
        D_c=coil.mean_diameter,
        pitch=coil.pitch,
        wetted_length=standing.wetted,
        tube_length=standing.tube_length,
        metal_capacity=mass * metal.heat_capacity,
    )


def _throttled(scenario: Scenario, one: Coils, flow: float | None) -> tuple[Scenario, bool]:
    """The supply with its valve closed until `flow` [m3/s] runs at the start; as it is, where it cannot."""
    if flow is None:
        return scenario, False
    supply = scenario.supply
    T = np.array([0.75 * scenario.T_in + 0.25 * scenario.T_start])
    circuit = Circuit.of(supply, one.d_i, one.D_c, one.tube_length, scenario.factors.friction)
    full = float(circuit.flow(T, rounds=12)[0])
    if flow >= full:
        return scenario, False
    # The valve adds resistance: found by halving, the flow falls evenly with it.
    low, high = supply.resistance, supply.pressure / flow**2
    for _ in range(60):
        middle = 0.5 * (low + high)
        trial = replace(circuit, supply=replace(supply, resistance=middle))
        low, high = (middle, high) if float(trial.flow(T, rounds=12)[0]) > flow else (low, middle)
    return replace(scenario, supply=replace(supply, resistance=0.5 * (low + high))), True


def _curve(one: Coils, scenario: Scenario, run: March) -> Curve:
    end = float(run.time[0]) if np.isfinite(run.time[0]) else run.until
    t = np.linspace(0.0, end, POINTS)
    T = run.T_at(t)[0]
    e = Kernel(one, scenario, PRECISE).at(T[:, None])
    return Curve(t, T, e.T_out[:, 0], e.V[:, 0])


SCALDS = 333.15
"""Water from here on scalds within seconds [K] (CP: 60 degC)."""


def scalding_water(curve: Curve) -> float:
    """Water that comes out scalding at first [m3]."""
    hot = np.where(curve.outlet >= SCALDS, curve.flow, 0.0)
    return float(np.trapezoid(hot, curve.time))


def _energy(one: Coils, scenario: Scenario, run: March) -> Energy:
    wort, metal = (float(np.atleast_1d(q)[0]) for q in heat_given_up(one, scenario, run.T_end))
    coolant, ambient = float(run.coolant[0]), float(run.ambient[0])
    return Energy(wort, metal, coolant, ambient, (wort + metal - coolant - ambient) / (wort + metal))
