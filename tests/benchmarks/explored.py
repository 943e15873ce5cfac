"""Optuna against enumeration: on a space small enough for both, held to the lists, how many coils and how
long a study takes until it has nearly all of the hypervolume that looking at every row gives; and what each
sampler gains beyond the lists of a demo with as many coils, and in as much time."""

from __future__ import annotations

import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import small_stock
from listed_explored import Listed, volume

from optichill.files.reading import load
from optichill.problem.basis import design_basis
from optichill.search.explore.sampler import ETA, POPULATION, Breeder, usual_sampler
from optichill.search.explore.storage import quiet
from optichill.search.explore.study import Coil, judged, key_of, not_beaten
from optichill.search.explore.study_team import starts_of
from optichill.search.explore.wider import wider
from optichill.search.recommend import SearchResult, search_space

Row = tuple[str, str, str]
ENOUGH = 0.99
"""Of the hypervolume of the enumeration."""


def explored(smoke: bool) -> list[Row]:
    """Rows of the report."""
    with quiet():
        return [*_until_enough(smoke), *_samplers(smoke)]


def _until_enough(smoke: bool) -> list[Row]:
    with tempfile.TemporaryDirectory() as folder:
        shop = {**small_stock.HOUSE["workshop"], "marking_increment": "1 mm"}
        basis = small_stock.of(Path(folder), {"workshop": shop})
        begun = time.process_time()
        searched = search_space(basis)
        enumerating = time.process_time() - begun
    listed = Listed(wider(searched))
    front = listed.beyond.judge(listed.beyond.settings_of(searched.enumeration.front.number)).goals
    starts = [listed.short(s) for s in listed.every[:: len(listed.every) // 3][:3]]
    whole, every, begun = volume(front, searched), list[Coil](), time.process_time()
    breeder = Breeder(listed, [1])
    breeder.take_in(judged(listed, starts))
    share = 0.0
    while share < ENOUGH and len(every) < (500 if smoke else 10_000):
        every += _round(breeder, listed, every)
        share = volume(np.array([c.goals for c in not_beaten(every)]).reshape(-1, 4), searched) / whole
    took = time.process_time() - begun
    said = (
        f"{share:.4f} with {len(every):,} of {len(listed.every):,} coils, {took / enumerating:.1f} x its time"
    )
    return [(f"study held to the lists, until {ENOUGH} of the enumeration's hypervolume", "0.99", said)]


def _round(breeder: Breeder, judge: Any, every: list[Coil]) -> list[Coil]:
    known = {key_of(coil.setting) for coil in every}
    asked = breeder.ask(POPULATION, lambda s: key_of(s) in known or judge.weighed(s))
    coils = judged(judge, [one.setting for one in asked])
    breeder.tell(asked, coils)
    return coils


class Whole(Breeder):
    """A sampler that is given all of its own trials, and has one study throughout."""

    def _begun(self) -> Any:
        if self._study is None:
            self._study = super()._begun()
        return self._study


def samplers() -> dict[str, tuple[type[Breeder], Callable[[int, int], Any]]]:
    """Those that were weighed."""
    from optuna.samplers import NSGAIIISampler, NSGAIISampler, RandomSampler, TPESampler
    from optuna.samplers.nsgaii import PolynomialMutation

    near = PolynomialMutation(ETA)
    return {
        "as it is used": (Breeder, usual_sampler),
        "NSGA-II, crossover 0.9": (
            Breeder,
            lambda seed, p: NSGAIISampler(population_size=p, mutation=near, seed=seed),
        ),
        "NSGA-III, crossover 0.5": (
            Breeder,
            lambda seed, p: NSGAIIISampler(population_size=p, mutation=near, crossover_prob=0.5, seed=seed),
        ),
        "TPE": (Whole, lambda seed, p: TPESampler(multivariate=True, seed=seed)),
        "random": (Whole, lambda seed, p: RandomSampler(seed=seed)),
    }


def _samplers(smoke: bool) -> list[Row]:
    catalogs = Path(__file__).resolve().parents[2] / "catalogs"
    rows = []
    for name in ("brewhouse.toml",) if smoke else ("brewhouse.toml", "wide", "stove"):
        searched = search_space(design_basis(load(str(catalogs / name))))
        for sampler, (kind, make) in samplers().items():
            rows.append(_gain(searched, f"{name}: {sampler}", kind(wider(searched), [1], make), smoke))
    return rows


def _gain(searched: SearchResult, name: str, breeder: Breeder, smoke: bool) -> Row:
    """What a sampler gains in hypervolume, in steps that a person could notice."""
    beyond = wider(searched)
    first = [coil for coil in judged(beyond, starts_of(beyond, searched)) if coil.holds]
    breeder.take_in(first)
    every, begun, said = list[Coil](), time.process_time(), []
    seconds, most = (0.5, 200) if smoke else (10.0, 2000)

    def gain() -> str:
        goals = [np.array([c.goals for c in not_beaten(some)]) for some in (first, [*first, *every])]
        without, with_them = (volume(g, searched) for g in goals)
        return f"{100.0 * (with_them / without - 1.0):.3f} %"

    spent = 0.0
    while spent < seconds:
        before = len(every)
        every += _round(breeder, beyond, every)
        spent = time.process_time() - begun
        if before < most <= len(every):
            said.append(f"{most:,} coils {gain()}")
    said.append(f"{seconds:g} s {gain()} ({len(every):,} coils)")
    return f"gain beyond the lists, {name}", "", "; ".join(said)
