"""What is said of another order of cooling."""

from __future__ import annotations

from optichill.display import show
from optichill.problem.basis import DesignBasis
from optichill.problem.limits import LIMITS
from optichill.rating.remedies import Remedy
from optichill.report.otherwise import about
from optichill.report.words import build_words, by_hand, limit_words
from optichill.search.designs import Design


def another_order(way: Remedy, d: Design, basis: DesignBasis) -> str:
    """Ice behind the tap: what an endless coil and a real one take there, and what to write into the file."""
    u, asked = basis.brewhouse.units, basis.brewhouse.limits.chill_time
    assert asked is not None and way.time is not None and way.least is not None and way.water is not None
    least, _ = limit_words.told_apart(LIMITS["chill_time"], way.least, asked, basis, enough=True)
    water, ice, more = show(way.water, "exact_volume", u), show(way.ice, "mass", u), way.time > asked
    return (
        f"the tap first, then ice water pumped round through the coil: with {ice} of ice "
        f"({by_hand.bags(way.ice, u)}) an endless one takes {least}. {build_words.short(d, u)} then takes "
        f"{about(way.time)}, most likely, instead of {about(d.told['chill_time'])}"
        f"{': still more than you ask for' if more else ''}. In the brewhouse file: "
        f'source = "tap" and until = "best" under [[cooling]]; source = "ice bath", pump = "{way.pump}", '
        f'water = "{water}", ice = "{ice}" and bucket = "{by_hand.vessel(way.filled, u)}" (or what yours '
        "holds) under a second [[cooling]]"
    )
