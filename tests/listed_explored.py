"""A space small enough for both: the knobs of the wider space, held to what the lists have, so that a study
and the enumeration look for the same front."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import moocore
import numpy as np

from optichill.arrays import Array
from optichill.search.explore.knobs import Knob, Setting
from optichill.search.explore.wider import Judged, Wider
from optichill.search.front import rounded
from optichill.search.recommend import SearchResult

BEYOND = 1.1
"""The reference point stands so far behind the worst of the front."""


@dataclass(frozen=True)
class Listed:
    """One layer, on forms of the list, packed or not."""

    beyond: Wider

    @property
    def _space_rows(self) -> Array:
        space = self.beyond.space
        return np.unique(np.concatenate([*space.chunks(65536), *space.chunks(65536, beyond=True)]))

    @cached_property
    def every(self) -> list[Setting]:
        """Every row of the search as a setting: each that has a number, also what is ruled out beforehand."""
        return self.beyond.settings_of(self._space_rows)

    @cached_property
    def knobs(self) -> tuple[Knob, ...]:
        """Those of one layer; the form by name, one of the list's."""
        forms = sorted({float(s["outer_form_mm"]) for s in self.every})
        found = {k.name: k for k in self.beyond.knobs if k.only is None and k.name != "layout"}
        form = Knob("outer_form_mm", tuple(f"{x:g}" for x in forms))
        return tuple(form if name == form.name else knob for name, knob in found.items())

    def key(self) -> str:
        return f"the lists of {self.beyond.key()}"

    def canonical(self, setting: Setting) -> Setting:
        return setting

    def weighed(self, setting: Setting) -> bool:
        return False

    def judge(self, settings: Sequence[Setting]) -> Judged:
        return self.beyond.judge([self.in_full(setting) for setting in settings])

    def in_full(self, setting: Setting) -> Setting:
        """As the wider space has it."""
        return {**setting, "layout": "single", "outer_form_mm": float(setting["outer_form_mm"])}

    def short(self, setting: Setting) -> Setting:
        """As this one has it."""
        form = f"{float(setting['outer_form_mm']):g}"
        return {k: form if k == "outer_form_mm" else v for k, v in setting.items() if k != "layout"}


def volume(goals: Array, searched: SearchResult) -> float:
    """Hypervolume in the steps of the front, which a person could notice, up to the worst of the enumerated
    one."""
    assert searched.front is not None
    steps = searched.front.steps
    reference = BEYOND * searched.front.goals.max(axis=0)
    return hypervolume(rounded(goals, steps) * steps, reference) if len(goals) else 0.0


def hypervolume(goals: Array, reference: Array) -> float:
    """Volume that these goals dominate up to the reference point, each in shares of it; what does not beat
    it in every goal counts nothing."""
    inside = goals[(goals < reference).all(axis=1)] / reference
    return float(moocore.hypervolume(inside, ref=np.ones(reference.size))) if len(inside) else 0.0
