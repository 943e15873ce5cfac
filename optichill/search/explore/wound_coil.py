"""A setting as the coil that it means: which form it takes of the list, or which has to be made."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import cached_property

from optichill.geometry import springback
from optichill.geometry.helix import inside_diameter
from optichill.geometry.strips import widest_over
from optichill.layouts import LAYOUTS
from optichill.model.brewhouse import VALVE_SETTINGS
from optichill.model.stock import Form, Tube
from optichill.problem.basis import DesignBasis
from optichill.problem.made_forms import made_form
from optichill.problem.riser_tools import RiserTool
from optichill.problem.windings import PACKING, WRAPS
from optichill.search.explore.knobs import LIFTED, SWUNG_OUT, Knob, Setting, Ways, checked

NEAR = 0.001
"""A form of the list that is so near [m], or within half a step, is taken: nobody makes another (OWN)."""

OVERHANG = 1.0
"""So many turns may the outer layer of one tube have more than the inner one (OWN)."""

HAIR = 1e-6
"""By which rounding must make no strip too thick."""


@dataclass(frozen=True)
class Size:
    """Something to wind on: a form, and how often it is packed out."""

    form: Form
    wraps: int

    @property
    def diameter(self) -> float:
        """Outside, packing and all [m]."""
        return self.form.outer_diameter + 2.0 * PACKING * self.wraps


@dataclass(frozen=True)
class WoundCoil:
    """One coil. layers : what each is wound on, the outer one first; gaps [m], turns : of each; valve : share
    of the full flow. Of two layers of one tube the outer one lies over strips: its size takes no form."""

    tube: Tube
    tool: RiserTool
    layout: str
    layers: tuple[Size, ...]
    gaps: tuple[float, ...]
    turns: tuple[float, ...]
    valve_share: float

    @property
    def unwindable(self) -> dict[str, float]:
        """By what share no hand could make it, 0 where one can, under the name of the limit that is nearest:
        an outer layer over strips that hangs over the inner one's end, or lies where the riser's foot bend
        stands out from the inner one, or so far out that the strips would tip over; a form to be made on
        whose turns no tool has room for the foot bend."""
        crossing = LAYOUTS[self.layout].crossing
        hangs = max(self.turns[0] - OVERHANG - self.turns[-1], 0.0) / self.turns[0] if crossing else 0.0
        least = [LIFTED if crossing and n else SWUNG_OUT for n in range(len(self.layers))]
        narrow = [1.0 - s.diameter / x for s, x in zip(self.layers, least, strict=True) if s.form.made]
        return {"form_height": hangs, "winding_radius": max([0.0, *narrow]), **self._strips}

    @property
    def _strips(self) -> dict[str, float]:
        """The same of strips between two layers."""
        return {"layer_gap": max(self._pierced, self._tips)}

    @property
    def _pierced(self) -> float:
        """By what share strips are too thin to cover the foot bend that an inner layer gets on its form."""
        if not LAYOUTS[self.layout].crossing:
            return 0.0
        d_o, (outer, inner) = self.tube.outer_diameter, self.layers
        bend = 2.0 * math.hypot((inner.diameter + d_o) / 2.0, self.tool.radius) + d_o
        return max(1.0 - outer.diameter / bend, 0.0)

    @property
    def _tips(self) -> float:
        """By what share an outer layer over strips is wider than strips that stand can make it."""
        if not LAYOUTS[self.layout].crossing:
            return 0.0
        outer, inner = self.layers
        most = float(widest_over(inner.diameter, self.tube.outer_diameter, PACKING))
        return max(outer.diameter / most - 1.0 - HAIR, 0.0)

    @property
    def windable(self) -> bool:
        """Whether a hand can make it."""
        return not any(self.unwindable.values())


@dataclass
class Sizes:
    """Every size that a knob's value may mean. may_make : whether forms may be made at all; keep : the only
    form of the list to be used, None for all."""

    basis: DesignBasis
    may_make: bool = True
    keep: str | None = None
    known: dict[int, tuple[Size, ...]] = field(default_factory=dict)

    @cached_property
    def listed(self) -> list[Size]:
        """What the list has: each form bare, and packed out."""
        owned = self.basis.brewhouse.workshop.forms_owned_only
        forms = [
            f
            for f in self.basis.stock.forms
            if f.open_end and (f.owned or not owned) and self.keep in (None, f.form_id)
        ]
        return [Size(form, wraps) for form in sorted(forms, key=lambda f: f.form_id) for wraps in WRAPS]

    def near(self, diameter: float, step: float) -> tuple[Size, ...]:
        """Sizes of the list that stand for that diameter [m], the nearest and plainest first; step : of the
        knob [m]."""
        key = round(1e7 * diameter)
        if key not in self.known:
            within = max(NEAR, step / 2.0) + 1e-9
            some = [s for s in self.listed if abs(s.diameter - diameter) <= within]
            self.known[key] = tuple(sorted(some, key=lambda s: _order(s, diameter)))
        return self.known[key]

    def over_strips(self, diameter: float, step: float) -> Size:
        """What tells how wide strips make the outer layer: a bare form of the list, or one by its diameter
        alone, for nobody makes it."""
        bare = [size for size in self.near(diameter, step) if not size.wraps]
        return bare[0] if bare else Size(made_form(diameter, self.basis.stock), 0)

    def taken(self, diameter: float, step: float, tube: Tube, turns: float) -> Size:
        """What so many turns are wound on: the first of the list that is tall enough, else a form to be made;
        where none may be made the nearest of the list that is tall enough, or the nearest of all."""
        there = self.near(diameter, step)
        if not self.may_make:
            there = tuple(sorted(self.listed, key=lambda s: _order(s, diameter)))
        for size in there:
            if size.form.height >= _height(tube, size.diameter, turns):
                return size
        return there[0] if there and not self.may_make else Size(made_form(diameter, self.basis.stock), 0)


def _order(size: Size, diameter: float) -> tuple[int, int, float, float]:
    """The nearest first; of those as near the plainest, the cheapest, the tallest."""
    apart = round(abs(size.diameter - diameter) / NEAR)
    return apart, size.wraps, size.form.cost, -size.form.height


def _height(tube: Tube, diameter: float, turns: float) -> float:
    """Height of form that so many turns take [m]."""
    d_o, E = tube.outer_diameter, tube.metal.youngs_modulus
    R = springback.mean_diameter_on_form(diameter, d_o) / 2.0
    Y = springback.flow_stress(tube.metal, tube.temper == "half hard")
    k = springback.springback_ratio(d_o, inside_diameter(d_o, tube.wall), R, Y, E)
    return float(springback.form_height_needed(turns, k, d_o))


def wound_coil(knobs: Sequence[Knob], ways: Ways, sizes: Sizes, setting: Setting) -> WoundCoil:
    """The coil of one setting."""
    basis = sizes.basis
    checked(knobs, setting)
    step = {knob.name: knob.step for knob in knobs}
    layout = LAYOUTS[str(setting["layout"])]
    tube, tool = ways[str(setting["tube"])]
    mark = basis.brewhouse.workshop.marking_increment
    turns = float(setting["turns"])
    gaps, counts, layers = [_marks(setting["gap_mm"], mark)], [turns], list[Size]()
    names = ("outer_form_mm", "inner_form_mm")[: layout.layers]
    if layout.layers > 1:
        gaps.append(_marks(setting.get("inner_gap_mm", setting["gap_mm"]), mark))
        counts.append(float(setting.get("inner_turns", turns)))
    for name, count in zip(names, counts, strict=True):
        diameter, of = 1e-3 * float(setting[name]), 1e-3 * step[name]
        over_strips = layout.crossing and name == "outer_form_mm"
        size = sizes.over_strips(diameter, of) if over_strips else sizes.taken(diameter, of, tube, count)
        layers.append(size)
    return WoundCoil(
        tube,
        tool,
        layout.name,
        tuple(layers),
        tuple(gaps),
        tuple(counts),
        VALVE_SETTINGS[str(setting["valve"])],
    )


def _marks(gap: float | int | str, mark: float) -> float:
    """A gap [mm] as the search has it [m], to the last digit."""
    return mark * round(1e-3 * float(gap) / mark)
