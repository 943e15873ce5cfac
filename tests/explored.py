"""Small kettles for coils beyond the lists: a list with one form, and settings drawn or counted through."""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np
import small_stock

from optichill.problem.basis import DesignBasis
from optichill.search.explore.knobs import Setting
from optichill.search.explore.wider import Wider

SHOP = {"flow_settings": ["full", "half"], "marking_increment": "2.5 mm"}


def one_form(folder: Path, *, layouts: tuple[str, ...] = ("single",), **house: Any) -> DesignBasis:
    """Nothing to wind on but a pipe that is too narrow for the kettle."""
    stock = small_stock.lists()
    stock["forms"] = [row for row in stock["forms"] if row["form_id"] == "pipe"]
    shop = {**SHOP, "layouts": list(layouts), **house.pop("workshop", {})}
    return small_stock.of(folder, {**house, "workshop": shop}, stock)


def drawn(w: Wider, many: int, seed: int, **fixed: Any) -> list[Setting]:
    """Settings at random; fixed : knobs that are not drawn."""
    rng, found = np.random.default_rng(seed), list[Setting]()
    for _ in range(many):
        one: dict[str, Any] = {}
        for knob in w.knobs:
            if knob.applies(one):
                one[knob.name] = fixed.get(knob.name, knob.value(int(rng.integers(knob.values))))
        found.append(one)
    return found


def spread(w: Wider, name: str, every_nth: int) -> list[Any]:
    """Some values of a knob, evenly spread."""
    knob = next(knob for knob in w.knobs if knob.name == name)
    return [knob.value(n) for n in range(0, knob.values, every_nth)]


def every(w: Wider, **values: list[Any]) -> Iterator[Setting]:
    """All settings of the knobs that apply to a layout, each with the values given, or all its own."""
    for layout in values.pop("layout", [w.knobs[0].choices[0]]):
        mine = [knob for knob in w.knobs if knob.applies({"layout": layout})][1:]
        choices = [values.get(k.name) or [k.value(n) for n in range(k.values)] for k in mine]
        for chosen in itertools.product(*choices):
            yield {"layout": layout, **{k.name: v for k, v in zip(mine, chosen, strict=True)}}
