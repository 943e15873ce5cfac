"""A wider space that is worked out in a moment: five knobs, four goals at odds, two limits, and a front that
is known by looking at every coil."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import product
from pathlib import Path

import numpy as np

from optichill.arrays import Array
from optichill.search.explore import study
from optichill.search.explore.knobs import Knob, Setting
from optichill.search.explore.storage import address
from optichill.search.explore.study import Coil, Study, not_beaten
from optichill.search.explore.study_run import Budget, Ran, run

KNOBS = (
    Knob("layout", ("single", "nested")),
    Knob("tube", ("thin", "thick")),
    Knob("outer_form_mm", low=100.0, high=300.0, step=2.0),
    Knob("inner_form_mm", low=100.0, high=300.0, step=2.0, only=("layout", ("nested",))),
    Knob("turns", low=2.0, high=12.0, step=0.5),
)


@dataclass(frozen=True)
class Outcome:
    goals: Array
    misses: dict[str, Array]


@dataclass
class Toy:
    """times : judged so far; name : of its brewhouse."""

    name: str = "toy"
    knobs: tuple[Knob, ...] = KNOBS
    times: int = 0

    def key(self) -> str:
        return f"key of {self.name}"

    def canonical(self, setting: Setting) -> dict[str, float | int | str]:
        return dict(setting)

    def weighed(self, setting: Setting) -> bool:
        return False

    def judge(self, settings: Sequence[Setting]) -> Outcome:
        """Surface cools, metal costs, a second layer is work, and a form of 222 mm is best of all."""
        self.times += len(settings)
        two = np.array([s["layout"] == "nested" for s in settings])
        thick = np.array([s["tube"] == "thick" for s in settings])
        outer = np.array([float(s["outer_form_mm"]) for s in settings])
        inner = np.array([float(s.get("inner_form_mm", 0.0)) for s in settings])
        turns = np.array([float(s["turns"]) for s in settings])
        long = turns * (outer + inner) / 1e3
        off = np.abs(outer - 222.0) / 222.0
        surface = long * np.where(thick, 1.6, 1.0)
        goals = np.stack(
            [
                3000.0 / (0.5 + surface) * (1.0 + off),
                long * np.where(thick, 9.0, 5.0) + 8.0 * two,
                0.1 + 0.3 / (0.5 + long),
                2.0 + 2.0 * two + 0.1 * turns + 0.5 * thick,
            ],
            axis=1,
        )
        misses = {"gap": np.where(two, (inner + 40.0 - outer) / outer, -0.5), "wall": outer / 280.0 - 1.0}
        return Outcome(goals, misses)

    def everything(self) -> list[dict[str, float | int | str]]:
        """Every coil there is."""
        one, two = [], []
        values = {k.name: [k.value(i) for i in range(k.values)] for k in KNOBS}
        for tube, outer, turns in product(values["tube"], values["outer_form_mm"], values["turns"]):
            coil = {"tube": tube, "outer_form_mm": outer, "turns": turns}
            one.append({"layout": "single", **coil})
            two += [{"layout": "nested", **coil, "inner_form_mm": x} for x in values["inner_form_mm"]]
        return one + two


REFERENCE = np.array([3000.0, 150.0, 0.7, 7.0])


def hypervolume(goals: Array) -> float:
    """Of a front, against REFERENCE."""
    import moocore

    return float(moocore.hypervolume(goals, ref=REFERENCE)) if len(goals) else 0.0


STARTS: list[Setting] = [
    {"layout": "single", "tube": "thin", "outer_form_mm": 150.0, "turns": 6.0},
    {"layout": "single", "tube": "thick", "outer_form_mm": 250.0, "turns": 10.0},
    {"layout": "nested", "tube": "thin", "outer_form_mm": 270.0, "inner_form_mm": 120.0, "turns": 5.0},
]


def opened(path: Path, toy: Toy) -> Study:
    return study.opened(address(path, "x"), toy, toy.name)


def tried(path: Path, toy: Toy | None = None) -> list[Coil]:
    return opened(path, toy or Toy()).news()


def tries(path: Path, trials: int, *, toy: Toy | None = None, seed: int = 1) -> Ran:
    toy = toy or Toy()
    return run(toy, opened(path, toy), STARTS, Budget(None, trials), seed=[seed])


def volume(coils: list[Coil]) -> float:
    return hypervolume(np.array([c.goals for c in not_beaten(coils)]).reshape(-1, 4))
