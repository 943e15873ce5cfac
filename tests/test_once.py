"""What the tests work out once is what they would work out again, and is asked anew of anything else."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from once import once
from usual import batch, coil

from optichill.thermal.coil_performance import ROUGH, SEARCH
from optichill.thermal.cooldown import Chill, chill
from optichill.thermal.priors import Factors


def test_only_the_same_question_gets_the_same_answer() -> None:
    asked = []

    def counted(*given: Any) -> Chill:
        asked.append(given)
        return chill(*given)

    ask, s = once(counted), batch()
    first = ask(coil(), s, SEARCH)
    assert ask(coil(), batch(), replace(SEARCH)) is first and len(asked) == 1
    others = (
        (coil(pitch=13e-3), s, SEARCH),
        (coil(pitch=np.array([14e-3, 13e-3])), s, SEARCH),
        (coil(), replace(s, volume=21e-3), SEARCH),
        (coil(), replace(s, factors=Factors(inner=np.array([0.9]))), SEARCH),
        (coil(), replace(s, stages=(replace(s.stages[0], until=300.0), *s.stages)), SEARCH),
        (coil(), s, ROUGH),
    )
    for number, other in enumerate(others, 2):
        np.testing.assert_array_equal(ask(*other).time, chill(*other).time)
        assert ask(*other).time is not first.time and len(asked) == number
    with pytest.raises(ValueError, match="read-only"):
        first.time[0] = 0.0
