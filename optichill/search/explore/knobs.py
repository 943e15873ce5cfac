"""What may vary beyond the lists, and one coil as the values of it.

A form's diameter is a knob of its own for each layer; card on a form is not, for any diameter can be had
without. Gap and turns go in the steps of the workshop, the valve in its settings.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from optichill.errors import OptichillError, shown
from optichill.geometry.kinking import free_winding_radius
from optichill.layouts import LAYOUTS
from optichill.model.brewhouse import VALVE_SETTINGS
from optichill.model.stock import Tube
from optichill.problem.basis import DesignBasis
from optichill.problem.riser_tools import RiserTool, riser_tools
from optichill.problem.rolls import rolls_of
from optichill.search.helices import first_turns, gap_choices
from optichill.search.ruled_out import WINDING_LEAST
from optichill.search.space import Space

Setting = Mapping[str, float | int | str]
"""One coil: the value of each knob that applies to its layout."""

FINEST = 0.001
"""Nobody makes a form more exactly than this [m] (OWN)."""

SWUNG_OUT, LIFTED = 0.17, 0.10
"""Smallest forms to be made [m] whose turns leave a tool room for a foot bend: with the end of a turn swung
two hands out, and of an inner layer of one tube lifted by one while it lies on its form (OWN: 18 and 11 cm of
mean diameter, tests/fabrication/test_walk.py; tubes of 8 to 15 mm)."""

HAIR = 1e-6
"""By so much of a step a value may lie off it."""


@dataclass(frozen=True)
class Knob:
    """What may vary: one of some choices, or whole steps from low to high. only : applies where the knob of
    that name has one of these values."""

    name: str
    choices: tuple[str, ...] = ()
    low: float = 0.0
    high: float = 0.0
    step: float = 1.0
    only: tuple[str, tuple[str, ...]] | None = None

    def applies(self, setting: Setting) -> bool:
        """Whether this coil has it."""
        return self.only is None or setting.get(self.only[0]) in self.only[1]

    @property
    def allowed(self) -> str:
        """In words."""
        if self.choices:
            between = "; " if any("," in choice for choice in self.choices) else ", "
            return between.join(self.choices[:12]) + (" ..." if len(self.choices) > 12 else "")
        return f"{self.low:g} to {self.high:g} in steps of {self.step:g}"

    @property
    def values(self) -> int:
        """How many values it has."""
        return len(self.choices) or round((self.high - self.low) / self.step) + 1

    def place(self, value: float | int | str) -> int:
        """Number of a value.

        Raises
        ------
        OptichillError
            Where it has no such value.
        """
        if self.choices:
            if value in self.choices:
                return self.choices.index(str(value))
        elif not isinstance(value, str):
            steps = (float(value) - self.low) / self.step
            if abs(steps - round(steps)) <= HAIR and 0 <= round(steps) < self.values:
                return round(steps)
        raise OptichillError(f"{self.name}: {shown(str(value))}: not a value of it (allowed: {self.allowed})")

    def value(self, place: int) -> float | str:
        """The value of a number."""
        return self.choices[place] if self.choices else self.low + self.step * place

    def nearest(self, value: float) -> float:
        """The value nearest to that."""
        place = round((value - self.low) / self.step)
        return self.low + self.step * min(max(place, 0), self.values - 1)


Ways = dict[str, tuple[Tube, RiserTool]]
"""Tube and riser tool by name."""


def ways_of(basis: DesignBasis, tube: str | None = None) -> Ways:
    """All rolls that no other of their size beats, with each way to bend their risers; the name is the
    tube's, with the tool where there are several. tube : stock_id to keep to."""
    found: Ways = {}
    for one in rolls_of(basis, tube).kept:
        tools = riser_tools(one, basis.stock)
        for tool in tools:
            found[one.stock_id if len(tools) == 1 else f"{one.stock_id}, {tool.description}"] = one, tool
    return found


def knobs_of(everything: Space) -> tuple[Knob, ...]:
    """Of one search."""
    basis = everything.basis
    shop, kettle = basis.brewhouse.workshop, basis.brewhouse.kettle
    ways = ways_of(basis, everything.tube)
    layouts = _layouts(basis)
    two = ("layout", tuple(name for name in layouts if LAYOUTS[name].layers > 1))
    sizes = [(t.outer_diameter, _tightest(t)) for t, _ in ways.values()]
    thin = min(d_o for d_o, _ in sizes)
    step = 1e3 * max(shop.marking_increment, FINEST)
    widest = 1e3 * (kettle.inside_diameter - 2.0 * kettle.wall_clearance - 2.0 * thin)
    tightest = min(tight for _, tight in sizes)
    outer, inner = (_form_steps(max(tightest, least), widest, step) for least in (SWUNG_OUT, LIFTED))
    gaps = np.concatenate([gap_choices(d, shop.smallest_gap, shop.marking_increment) for d, _ in sizes])
    gap = 1e3 * float(gaps.min()), 1e3 * float(gaps.max()), 1e3 * shop.marking_increment
    fewest, more = first_turns(basis)
    most = _up_to(fewest, max((kettle.inside_height - thin) / (thin + gaps.min()), fewest), more)
    found = [
        Knob("layout", layouts),
        Knob("tube", tuple(ways)),
        Knob("outer_form_mm", (), *outer),
        Knob("inner_form_mm", (), *inner, only=two),
        Knob("gap_mm", (), *gap),
        Knob("inner_gap_mm", (), *gap, only=two),
        Knob("turns", (), fewest, most, more),
        Knob("inner_turns", (), fewest, most, more, only=two),
        Knob("valve", valve_words(everything.valve_shares)),
    ]
    return tuple(k for k in found if k.only is None or k.only[1])


def _form_steps(least: float, widest: float, step: float) -> tuple[float, float, float]:
    """From the smallest form [m] to the widest [mm], in steps [mm]."""
    low = float(step * np.ceil(1e3 * least / step - HAIR))
    return low, _up_to(low, max(widest, low), step), step


def _layouts(basis: DesignBasis) -> tuple[str, ...]:
    """Those that are asked for; two tubes only where the list has what joins them.

    Raises
    ------
    OptichillError
        Where none is left.
    """
    fittings = basis.stock.fittings
    tees = not fittings or any(row.used_at == "tee" and row.per != "m" for row in fittings)
    shop = basis.brewhouse.workshop
    found = tuple(name for name, one in LAYOUTS.items() if name in shop.layouts and (tees or not one.tees))
    if not found:
        asked = ", ".join(shop.layouts)
        raise OptichillError(
            f"workshop.layouts: {asked}: fittings.csv has no tee for two tubes (allowed: a row with used_at "
            "tee, or another layout)"
        )
    return found


def valve_words(shares: Sequence[float]) -> tuple[str, ...]:
    """The settings' words."""
    word = {share: words for words, share in VALVE_SETTINGS.items()}
    return tuple(word[share] for share in shares)


def _up_to(low: float, high: float, step: float) -> float:
    """The last step that is not above `high`."""
    return float(low + step * np.floor((high - low) / step + HAIR))


def _tightest(tube: Tube) -> float:
    """Diameter of the smallest form that the tube is wound on filled [m]."""
    free = free_winding_radius(tube.outer_diameter, tube.wall, tube.metal.poisson, tube.temper == "half hard")
    return float(2.0 * WINDING_LEAST * free - tube.outer_diameter)


def checked(knobs: Sequence[Knob], setting: Setting) -> tuple[int, ...]:
    """Number of each knob's value, -1 where it does not apply.

    Raises
    ------
    OptichillError
        Names the key and what is allowed.
    """
    known = {knob.name for knob in knobs}
    for key in setting:
        if key not in known:
            raise OptichillError(f"{shown(str(key))}: no such knob (allowed: {', '.join(sorted(known))})")
    places = []
    for knob in knobs:
        if not knob.applies(setting):
            if knob.name in setting:
                name, values = knob.only or ("", ())
                raise OptichillError(
                    f"{knob.name}: does not apply to {name} {shown(str(setting.get(name)))}"
                    f" (allowed: leave it out, or {name} {', '.join(values)})"
                )
            places.append(-1)
            continue
        if knob.name not in setting:
            raise OptichillError(f"{knob.name}: missing (allowed: {knob.allowed})")
        places.append(knob.place(setting[knob.name]))
    return tuple(places)
