"""Who proposes coils: optuna's NSGA-II, on a study of its own that is as large as a few populations.

Each round it is given what is best of all that the kept study has, whoever tried it, as the generation that
the next children come from: so memory and time stay flat however long a study runs, and workers need share
nothing but coils. Where a coil was tried before another is proposed beside it, a few steps away: the space is
discrete, and many a child would be known.
"""

from __future__ import annotations

import warnings
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np

from optichill.search.explore.knobs import Knob, Setting
from optichill.search.explore.study import Coil, Judge, as_trial, key_of, not_beaten, spread_of
from optichill.search.front import GOALS

if TYPE_CHECKING:
    from optuna import Study
    from optuna.samplers import NSGAIISampler
    from optuna.trial import FrozenTrial, Trial

POPULATION = 100
"""Parents of a generation, and its children: by measurement."""

NUDGES = 6
"""Tries for a coil beside one that is known."""

NEAR = 0.3
"""Chance that a nudge ends at each of its steps: half of them go one or two."""

OTHER = 0.2
"""Chance that a nudge draws a choice anew."""

POOL = 3
"""Populations that parents are chosen from, at most, besides their children."""

ETA = 20.0
"""Distribution index of the mutation of what is counted: by measurement."""

CROSSOVER = 0.2
"""Chance that a child has two parents; the others are one parent, a little changed: by measurement."""

FEW = 5
"""Choices that optuna is told as such; more are counted in their order, for it holds every choice against
every other at each step."""


@dataclass(frozen=True)
class Asked:
    """A proposal: a coil, and the trial that waits for its outcome; none where it lies beside what optuna
    proposed."""

    setting: dict[str, float | int | str]
    trial: Trial | None


def usual_sampler(seed: int, population: int) -> NSGAIISampler:
    """The sampler that measured best. population : parents, no more than there are."""
    from optuna.exceptions import ExperimentalWarning
    from optuna.samplers import NSGAIISampler
    from optuna.samplers.nsgaii import PolynomialMutation

    with warnings.catch_warnings():
        # Held by the tests; that its interface may change is nothing for who runs a study.
        warnings.filterwarnings("ignore", "PolynomialMutation is experimental", ExperimentalWarning)
        mutation = PolynomialMutation(ETA)
    return NSGAIISampler(population_size=population, mutation=mutation, crossover_prob=CROSSOVER, seed=seed)


class Breeder:
    """Proposes coils and learns what they came to. seed : of its random numbers; make : its sampler."""

    def __init__(
        self, judge: Judge, seed: Sequence[int], make: Callable[[int, int], Any] = usual_sampler
    ) -> None:
        self._judge, self._knobs, self._make = judge, judge.knobs, make
        self._rng = np.random.default_rng(list(seed))
        self._pool: list[Coil] = []
        self._parents: dict[int, FrozenTrial] = {}
        self._study: Study | None = None

    @property
    def _anywhere(self) -> float:
        """Share of proposals drawn from all there is: as long as parents are few, all that work on a study
        would have the same children."""
        return 0.5 * max(0.0, 1.0 - len(self._pool) / POPULATION)

    def take_in(self, coils: Sequence[Coil]) -> None:
        """Coils that may be parents, whoever tried them."""
        self._pool = best_of([*self._pool, *coils], POOL * POPULATION)

    def ask(self, most: int, known: Callable[[Setting], bool]) -> list[Asked]:
        """So many proposals at most, none that is known, no two alike."""
        self._study = self._begun()
        taken: set[Any] = set()
        out: list[Asked] = []

        def is_new(setting: Setting) -> bool:
            return not known(setting) and key_of(setting) not in taken

        for _ in range(2 * most):  # each is a draw of its own
            if len(out) == most:
                break
            one = self._one(is_new)
            if one is not None:
                taken.add(key_of(one.setting))
                out.append(one)
        return out

    def tell(self, asked: Sequence[Asked], coils: Sequence[Coil]) -> None:
        """What proposals came to."""
        assert self._study is not None
        for one, coil in zip(asked, coils, strict=True):
            if one.trial is not None:
                for name, share in coil.constraints.items():
                    one.trial.set_constraint(name, share)
                self._study.tell(one.trial, list(coil.goals))
        self.take_in(coils)

    def _begun(self) -> Study:
        """A study of its own whose first generation is the pool."""
        import optuna

        # A generation that is not full would be drawn at random.
        population = max(2, min(POPULATION, len(self._pool)))
        sampler = self._make(int(self._rng.integers(1 << 31)), population)
        study = optuna.create_study(directions=["minimize"] * len(GOALS), sampler=sampler)
        known = self._parents
        self._parents = {id(c): known.get(id(c)) or self._parent(c, sampler) for c in self._pool}
        if len(self._pool) > 1:
            study.add_trials(list(self._parents.values()))
        return study

    def _parent(self, coil: Coil, sampler: Any) -> FrozenTrial:
        """A coil as a trial of the first generation; a knob that it has not has any value."""
        places = {
            knob.name: knob.place(coil.setting[knob.name])
            if knob.name in coil.setting
            else int(self._rng.integers(knob.values))
            for knob in self._knobs
        }
        return as_trial(
            coil,
            params={k.name: k.value(places[k.name]) if _chosen(k) else places[k.name] for k in self._knobs},
            distributions=_distributions(self._knobs),
            system_attrs={_generation_key(sampler): 0},
        )

    def _one(self, is_new: Callable[[Setting], bool]) -> Asked | None:
        """One proposal; where it is known, one beside it."""
        from optuna.trial import TrialState

        assert self._study is not None
        if self._rng.random() < self._anywhere:
            setting = self._setting({k.name: int(self._rng.integers(k.values)) for k in self._knobs})
            return Asked(setting, None) if is_new(setting) else None
        trial = self._study.ask()
        places = self._suggested(trial)
        setting = self._setting(places)
        if is_new(setting):
            return Asked(setting, trial)
        self._study.tell(trial, state=TrialState.FAIL)
        for _ in range(NUDGES):
            places = self._nudged(places)
            setting = self._setting(places)
            if is_new(setting):
                return Asked(setting, None)
        return None

    def _suggested(self, trial: Trial) -> dict[str, int]:
        """Number of each knob's value."""
        out = {}
        for knob in self._knobs:
            if _chosen(knob):
                out[knob.name] = knob.place(trial.suggest_categorical(knob.name, knob.choices))
            else:
                out[knob.name] = trial.suggest_int(knob.name, 0, knob.values - 1)
        return out

    def _setting(self, places: dict[str, int]) -> dict[str, float | int | str]:
        """The coil of these values: only what applies to it."""
        every: dict[str, float | int | str] = {k.name: k.value(places[k.name]) for k in self._knobs}
        applies = {k.name: every[k.name] for k in self._knobs if k.applies(every)}
        return dict(self._judge.canonical(applies))

    def _nudged(self, places: dict[str, int]) -> dict[str, int]:
        """Two knobs some steps further, mostly few; of a choice any other."""
        out = dict(places)
        for i in self._rng.choice(len(self._knobs), size=min(2, len(self._knobs)), replace=False):
            knob = self._knobs[i]
            if knob.choices:
                if self._rng.random() < OTHER:
                    out[knob.name] = int(self._rng.integers(knob.values))
                continue
            step = int(self._rng.geometric(NEAR)) * (1 if self._rng.random() < 0.5 else -1)
            out[knob.name] = min(max(out[knob.name] + step, 0), knob.values - 1)
        return out


def _chosen(knob: Knob) -> bool:
    """Whether optuna is told its choices as such."""
    return 0 < len(knob.choices) <= FEW


def _distributions(knobs: Sequence[Knob]) -> dict[str, Any]:
    from optuna.distributions import CategoricalDistribution, IntDistribution

    return {
        k.name: CategoricalDistribution(k.choices) if _chosen(k) else IntDistribution(0, k.values - 1)
        for k in knobs
    }


def _generation_key(sampler: Any) -> str:
    """By which a genetic sampler knows the generation of a trial."""
    return f"{type(sampler).__name__}:generation"


def best_of(coils: Sequence[Coil], most: int) -> list[Coil]:
    """So many of the best: what nothing beats, then what holds, then what misses by least."""
    front = not_beaten(coils)
    if len(front) >= most:
        return spread_of(front, most)
    chosen = {id(coil) for coil in front}
    rest = [coil for coil in coils if id(coil) not in chosen]
    rest.sort(key=lambda coil: (sum(coil.broken.values()), coil.goals))
    return [*front, *rest[: most - len(front)]]
