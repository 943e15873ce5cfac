"""Chills that hang on the kettle's own loss: those that surely never end are told from the search's idea.

A bath that comes as near to the wort as its ice is short takes hours, and each of its steps is worked out
anew: seconds of computing, which only a chill that comes to its end is worth.
"""

from __future__ import annotations

import numpy as np

from optichill.thermal.batch import Scenario
from optichill.thermal.coil_performance import SEARCH, Coils, Numerics
from optichill.thermal.cooldown import LONGEST, Chill, chill
from optichill.thermal.stepping import short_of_cold

SURELY = 1.05
"""How many times the longest chill the idea of one takes that is surely out of reach: it is within 2 %."""


def worked_out(coils: Coils, scenario: Scenario, numerics: Numerics) -> Chill:
    """The chill as finely as asked for, where it may come to its end."""
    if short_of_cold(scenario):
        idea = chill(coils, scenario, SEARCH, longest=SURELY * LONGEST)
        if np.isinf(idea.time).all():
            return idea
    return chill(coils, scenario, numerics)
