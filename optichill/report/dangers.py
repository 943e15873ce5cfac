"""Which of the usual cautions a plan calls for: of taps where one runs, of pumps where one does, be it in the
water or in the wort."""

from __future__ import annotations

from optichill.model.brewhouse import Brewhouse
from optichill.model.stirring import Stirring
from optichill.problem.basis import DesignBasis
from optichill.workshop.cautions import PUMP, WHIRLPOOL, in_short

ON_SCREEN = (
    "first water",
    "before the water",
    "valves",
    "pump start",
    "moving",
    "backflow",
    "electricity",
    "hot wort pump",
    "always",
)
"""What belongs on every screen and page that leads to hot wort, where the plan calls for it."""


def stirs_by_pump(brewhouse: Brewhouse) -> bool:
    """Whether a whirlpool pump moves the wort."""
    mixing = brewhouse.wort.mixing
    return (mixing.with_ if isinstance(mixing, Stirring) else mixing) == "whirlpool pump"


def not_called_for(brewhouse: Brewhouse) -> set[str]:
    """Situations of taps and pumps that the plan has not."""
    whirlpool = stirs_by_pump(brewhouse)
    pump = whirlpool or any(stage.pump is not None for stage in brewhouse.cooling)
    left_out = {"valves" if brewhouse.begins_with_pump else "pump start"}
    left_out |= {"mains", "frost"} if pump else {"electricity", "frost, pump"}
    left_out |= set() if whirlpool else {"hot wort pump"}
    return left_out if brewhouse.draws_from_tap else left_out | {"backflow"}


def on_screen(brewhouse: Brewhouse) -> list[str]:
    """Situations that a screen names."""
    none = not_called_for(brewhouse)
    return [name for name in ON_SCREEN if name not in none]


def in_a_line_each(basis: DesignBasis, *, would_pump: bool = False) -> tuple[str, ...]:
    """What a first screen says of all that, a line for each kind of pump; would_pump : what it advises puts a
    pump into the plan."""
    pump = (PUMP,) if basis.pumps or would_pump else ()
    whirlpool = (WHIRLPOOL,) if stirs_by_pump(basis.brewhouse) else ()
    return (*in_short(basis.scenario.T_start, basis.brewhouse.units), *pump, *whirlpool)
