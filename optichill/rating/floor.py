"""The least time that any coil could take: water that leaves as warm as the wort, at the open hose's flow."""

from __future__ import annotations

import numpy as np

from optichill.materials import COPPER
from optichill.model.fields import KELVIN
from optichill.problem.basis import DesignBasis
from optichill.rating.prediction import known
from optichill.thermal.coil_performance import SEARCH, Coils
from optichill.thermal.cooldown import chill

ENDLESS = 1e4
"""Tube in the wort [m]: as good as without end. Its bore and its own length bring no resistance."""

CHANGES = 33
"""Change-overs tried where the plan leaves one open."""

SHORTER = 25
"""Lengths tried where a bath comes back: what an endless coil gives it at once no longer leaves by the
kettle's own loss, so a shorter one can arrive sooner."""


COLDER = {"metric": 5.0, "us": 10.0 / 1.8}
"""How much colder [K] a tap is thought: 5 degC, or 10 degF."""


def with_colder_water(basis: DesignBasis) -> float | None:
    """The least time [s] with the tap so much colder; None without a tap, and where it would freeze."""
    tap = basis.brewhouse.tap
    if tap is None or tap.temperature - COLDER[basis.brewhouse.units] < KELVIN:
        return None
    colder = tap.model_copy(update={"temperature": tap.temperature - COLDER[basis.brewhouse.units]})
    return shortest_time(basis.restated(basis.brewhouse.model_copy(update={"tap": colder})))


def shortest_time(basis: DesignBasis) -> float | None:
    """Time [s] that a coil without resistance would take, as long as serves best; None where none gets there.
    Only colder water, more of it or less wort make it shorter."""
    scenario = basis.scenario
    returns = any(source.returns for source in scenario.sources)
    lengths = np.geomspace(1.0, ENDLESS, SHORTER) if returns else np.array([ENDLESS])
    until = np.linspace(0.0, 1.0, (1 if basis.switch is None else CHANGES) + 2)[1:-1]
    span, wetted = (x.ravel() for x in np.meshgrid(until, lengths))
    coils = Coils.of(
        d_o=np.full(wetted.size, 0.050),
        d_i=0.048,
        k=COPPER.conductivity,
        D_c=0.3,
        pitch=0.1,
        wetted_length=wetted,
        tube_length=0.01,
        metal_capacity=1e-3,
    )
    if basis.switch is not None:
        scenario = basis.with_change_over(scenario.T_target + span * (scenario.T_start - scenario.T_target))
    return known(chill(coils, scenario, SEARCH).time.min())
