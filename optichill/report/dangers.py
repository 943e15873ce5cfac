"""Which of the usual cautions a plan calls for: of taps where one runs, of pumps where one does."""

from __future__ import annotations

from optichill.model.brewhouse import Brewhouse

ON_SCREEN = (
    "first water",
    "before the water",
    "valves",
    "pump start",
    "moving",
    "backflow",
    "electricity",
    "always",
)
"""What belongs on every screen and page that leads to hot wort, where the plan calls for it."""


def not_called_for(brewhouse: Brewhouse) -> set[str]:
    """Situations of taps and pumps that the plan has not."""
    pump = any(stage.pump is not None for stage in brewhouse.cooling)
    left_out = {"valves" if brewhouse.begins_with_pump else "pump start"}
    left_out |= {"mains", "frost"} if pump else {"electricity", "frost, pump"}
    return left_out if brewhouse.draws_from_tap else left_out | {"backflow"}


def on_screen(brewhouse: Brewhouse) -> list[str]:
    """Situations that a screen names."""
    none = not_called_for(brewhouse)
    return [name for name in ON_SCREEN if name not in none]
