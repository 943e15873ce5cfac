"""Coils read from a fine curve in a march, against asking them anew at every step."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from plans import MIXINGS, random_plans
from tiers import count

from optichill.rating.prediction import FINE
from optichill.thermal.coil_performance import CoilPerformance
from optichill.thermal.march import march
from optichill.thermal.performance_curve import finely

WITHIN = 3e-4


@pytest.mark.marched
@pytest.mark.parametrize("mixing", ["now and then", "steady"])
def test_a_march_takes_the_same_time_and_water(mixing: str) -> None:
    assert mixing in MIXINGS
    plans = [p for p in random_plans(count(64, 640), seed=5) if p.kind in ("bucket to drain", "stand")]
    tried = 0
    for plan in plans:
        if plan.mixing != mixing:
            continue
        tried += 1
        anew = march(plan.coils, plan.scenario, FINE, rtol=1e-5)
        drawn = march(plan.coils, plan.scenario, FINE, rtol=1e-5, ask=finely)
        for name in ("time", "water", "coolant", "ambient"):
            np.testing.assert_allclose(getattr(drawn, name), getattr(anew, name), rtol=WITHIN, err_msg=name)
    assert tried > 2


def test_coils_are_asked_in_one_go() -> None:
    plan = next(p for p in random_plans(64, seed=6) if p.kind == "bucket to drain" and p.mixing == "steady")
    kernel = CoilPerformance(plan.coils, plan.scenario, FINE)
    asked, at = [], kernel.at
    kernel.at = lambda *what: asked.append(what) or at(*what)  # type: ignore[method-assign, func-returns-value]
    march(plan.coils, replace(plan.scenario), FINE, rtol=1e-5, ask=lambda k, **often: finely(kernel, **often))
    assert len(asked) == 1
