"""Names by which coils of one list are told apart: where two read the same, what differs stands behind."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Protocol

from optichill.display import show
from optichill.geometry import helix
from optichill.layouts import LAYOUTS
from optichill.model.stock import Tube
from optichill.problem.windings import Winding
from optichill.report.origin import on_what_is_made
from optichill.report.words import build_words, roll_words, winding_words
from optichill.search.evaluate import Rows, bought
from optichill.search.space import Space
from optichill.search.tradeoff import Tradeoff


class Build(Protocol):
    """What a coil is built of; a design is one. Lengths [m], valve_share of the full flow."""

    @property
    def winding(self) -> Winding: ...
    @property
    def inner(self) -> Winding | None: ...
    @property
    def layout(self) -> str: ...
    @property
    def bought(self) -> tuple[Tube, ...]: ...
    @property
    def turns(self) -> float: ...
    @property
    def gap(self) -> float: ...
    @property
    def own_turns(self) -> float: ...
    @property
    def own_gap(self) -> float: ...
    @property
    def across(self) -> float: ...
    @property
    def valve_share(self) -> float: ...


Tell = Callable[[Build, str], str]


@dataclass(frozen=True)
class RowBuild:
    """The build of one row of a search."""

    winding: Winding
    inner: Winding | None
    layout: str
    bought: tuple[Tube, ...]
    turns: float
    gap: float
    own_turns: float
    own_gap: float
    across: float
    valve_share: float


def builds(space: Space, r: Rows) -> list[RowBuild]:
    """Those of all rows: a few thousand at most."""
    across = helix.coil_across(r.shape.D_c, r.shape.d_o)
    found = []
    for i in range(len(r)):
        w, inner, layout = space.wound(int(r.setup[i]))
        sizes = (float(x[i]) for x in (r.turns, r.gap, r.own_turns, r.own_gap, across, r.valve_share))
        found.append(RowBuild(w, inner, layout.name, bought(space, r, i), *sizes))
    return found


def names_of(t: Tradeoff, *, valve: bool = True) -> list[str]:
    """Of all coils that nothing beats, in their order: with gap each, and with what else it takes. valve :
    with its setting; without, all settings of one coil have one name."""
    if t.rows is None:
        return []
    space = t.searched.enumeration.space
    coils = builds(space, t.rows)
    if not valve:
        coils = [replace(coil, valve_share=1.0) for coil in coils]
    return names(coils, space.basis.brewhouse.units, gap)


def names(coils: Sequence[Build], units: str, *always: Tell) -> list[str]:
    """Each in a few words that none of the others has; always : what is told of each."""
    said = [
        build_words.build(c.bought, c.layout, _counts(c), c.across, c.valve_share, units)
        + on_what_is_made(_to_make(c), units)
        for c in coils
    ]
    said = [
        ", ".join([name, *(tell(c, units) for tell in always)]) for name, c in zip(said, coils, strict=True)
    ]
    return [name + more for name, more in zip(said, apart(said, coils, units), strict=True)]


def apart(said: Sequence[str], coils: Sequence[Build], units: str) -> list[str]:
    """What is to be added to what is said of each coil, so that no two read the same; nothing where it needs
    nothing."""
    added = [""] * len(coils)
    for told in _TELLS:
        alike: dict[str, list[int]] = defaultdict(list)
        for i, name in enumerate(said):
            alike[name + added[i]].append(i)
        for places in alike.values():
            marks = [told(coils[i], units) for i in places] if len(places) > 1 else []
            if len(set(marks)) > 1:
                for i, mark in zip(places, marks, strict=True):
                    added[i] += f", {mark}"
    return added


def _counts(c: Build) -> tuple[float, ...]:
    return (c.turns,) if c.inner is None else (c.turns, c.own_turns)


def _to_make(c: Build) -> list[float]:
    """Diameters of the forms that have to be made for it [m]: strips between two layers are none."""
    layers = [c.inner, None if LAYOUTS[c.layout].crossing else c.winding]
    return [w.form.outer_diameter for w in layers if w is not None and w.form.made]


def gap(c: Build, units: str) -> str:
    """The gap between turns, in words."""
    gaps = (c.gap,) if c.inner is None else (c.gap, c.own_gap)
    said = list(dict.fromkeys(f"{show(x, 'gap', units)}" if x > 0.0 else "no" for x in gaps))
    return f"{said[0]} gap" if len(said) == 1 else f"{said[0]} gap outside, {said[1]} inside"


def _wound_on(c: Build, units: str) -> str:
    """Name and size of each form, with its packing."""
    layers = (c.winding,) if c.inner is None else (c.inner, c.winding)
    return "on " + " and ".join(_form(w, units) for w in layers)


def _form(w: Winding, units: str) -> str:
    name = w.form.description.split(";")[0].split(",")[0] or w.form.form_id
    name = f"a {name}" if w.form.made else name
    packed = {0: "", 1: " packed out once", 2: " packed out twice"}[w.wraps]
    return f"{name} ({show(w.form.outer_diameter, 'length', units)}){packed}"


def _form_ids(c: Build, units: str) -> str:
    return " and ".join(w.form.form_id for w in (c.inner, c.winding) if w is not None)


_TELLS: tuple[Tell, ...] = (
    lambda c, units: c.winding.tube.material,
    lambda c, units: LAYOUTS[c.layout].called,
    lambda c, units: f"{show(c.winding.tube.wall, 'wall', units)} wall",
    _wound_on,
    gap,
    lambda c, units: winding_words.bent(c.winding),
    lambda c, units: roll_words.temper(c.winding.tube),
    lambda c, units: " and ".join(dict.fromkeys(tube.stock_id for tube in c.bought)),
    _form_ids,
)
"""What may differ, what a person sees first."""
