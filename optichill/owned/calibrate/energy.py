"""Heat into the water against heat out of the wort: whether what was read of a batch can all be true."""

from __future__ import annotations

import numpy as np

from optichill.model.cooldown_log import CooldownLog
from optichill.owned.calibrate.fit import EnergyCheck
from optichill.owned.calibrate.forward import Trial
from optichill.owned.calibrate.readings import THERMOMETER, Readings
from optichill.owned.calibrate.tap_stage import TapStage
from optichill.properties import water, wort
from optichill.thermal.priors import PRIORS


def energy(
    log: CooldownLog, trial: Trial, readings: Readings, tap: TapStage | None = None
) -> EnergyCheck | None:
    """Heat into the water against heat out of the wort, as far as both were read; without a fit. tap : its
    part of the plan: of other water that comes after it nobody knows how warm it came in."""
    scenario = trial.scenario
    if log.outlet is None or log.flow is None or not scenario.sources[0].steady:
        return None
    T_in = np.full(log.time.size, scenario.T_in)
    if log.inlet is not None:
        T_in = np.where(np.isfinite(log.inlet), log.inlet, T_in)
    flow = np.where(np.isfinite(log.flow), log.flow, np.nanmedian(log.flow))
    good = np.isfinite(log.time + log.wort + log.outlet + flow)
    good &= (log.time >= readings.late) & (log.time <= readings.shut)
    if tap is not None:
        good &= tap.during(log)
    if good.sum() < 3:
        return None
    t, T, T_out, T_in, flow = (x[good] for x in (log.time, log.wort, log.outlet, T_in, flow))
    per_litre = water.density(T_in) * (water.enthalpy(T_out) - water.enthalpy(T_in))
    into_water = float(np.trapezoid(flow * per_litre, t))
    out_of_wort = _given_up(trial, float(T[0]), float(T[-1])) - float(np.trapezoid(scenario.loss(T), t))
    warmed = float(np.trapezoid(flow * (T_out - T_in), t) / max(float(np.trapezoid(flow, t)), 1e-12))
    pair = THERMOMETER * np.sqrt(2.0)
    errors = [
        PRIORS["open_flow"].sd,
        trial.volume.sd,
        pair / max(warmed, 1.0),
        pair / max(float(T[0] - T[-1]), 1.0),
    ]
    return EnergyCheck(into_water, max(out_of_wort, 1.0), float(np.linalg.norm(errors)))


def _given_up(trial: Trial, hot: float, cold: float) -> float:
    """Heat that wort, kettle and coil give up between two temperatures [J]."""
    s = trial.scenario
    x, w = np.polynomial.legendre.leggauss(8)
    at = cold + 0.5 * (hot - cold) * (x + 1.0)
    mean_capacity = 0.5 * float((w * wort.heat_capacity(at, s.plato)).sum())
    metal = s.kettle_capacity + float(trial.coils.summed("metal_capacity")[0])
    return (s.mass * mean_capacity + metal) * (hot - cold)
