"""The least time that any coil could take: water that leaves as warm as the wort, at the open hose's flow."""

from __future__ import annotations

import numpy as np

from optichill.materials import COPPER
from optichill.problem.basis import DesignBasis
from optichill.rating.prediction import known
from optichill.thermal.coil_performance import SEARCH, Coils
from optichill.thermal.cooldown import chill

ENDLESS = 1e4
"""Tube in the wort [m]: as good as without end. Its bore and its own length bring no resistance."""

CHANGES = 33
"""Change-overs tried where the plan leaves one open."""


def shortest_time(basis: DesignBasis) -> float | None:
    """Time [s] that an endless coil without resistance would take; None where it does not get there either.
    Only colder water, more of it or less wort make it shorter."""
    scenario = basis.scenario
    count = 1 if basis.switch is None else CHANGES
    endless = Coils.of(
        d_o=np.full(count, 0.050),
        d_i=0.048,
        k=COPPER.conductivity,
        D_c=0.3,
        pitch=0.1,
        wetted_length=ENDLESS,
        tube_length=0.01,
        metal_capacity=1e-3,
    )
    if basis.switch is not None:
        span = np.linspace(0.0, 1.0, count + 2)[1:-1]
        until = scenario.T_target + span * (scenario.T_start - scenario.T_target)
        scenario = basis.with_change_over(until)
    return known(chill(endless, scenario, SEARCH).time.min())
