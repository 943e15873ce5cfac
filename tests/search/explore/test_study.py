"""A study on a space whose every coil is known: what comes of it, what is kept, and whose it is."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import optuna
import pytest
from toy_explored import KNOBS, STARTS, Toy, hypervolume, opened, tried, tries, volume

from optichill.errors import OptichillError
from optichill.search.explore.knobs import Knob
from optichill.search.explore.sampler import Breeder, best_of
from optichill.search.explore.storage import address
from optichill.search.explore.study import judged, key_of, not_beaten
from optichill.search.explore.study_run import Budget, Ran, run
from optichill.search.explore.study_team import explore, kept


@pytest.fixture(scope="module")
def everything() -> tuple[Toy, float]:
    """The hypervolume of all that there is: looked at one by one, without any search."""
    toy = Toy()
    every = toy.everything()
    found = toy.judge(every)
    holds = np.all([miss <= 0.0 for miss in found.misses.values()], axis=0)
    assert holds.sum() > 50_000 and holds.mean() < 0.7
    return toy, hypervolume(found.goals[holds])


@pytest.fixture(scope="module")
def path(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A study of 800 coils, of 433 000 that there are."""
    made = tmp_path_factory.mktemp("study") / "study.journal"
    assert tries(made, 800) == Ran(800)
    return made


def test_the_front_is_found_that_is_known_by_looking_at_every_coil(
    path: Path, everything: tuple[Toy, float]
) -> None:
    """One coil in five hundred gives all of the front but a hundredth or two, and more than chance does."""
    toy, all_there_is = everything
    assert 0.97 < volume(tried(path)) / all_there_is <= 1.0 + 1e-12
    rng, every = np.random.default_rng(1), toy.everything()
    drawn = [every[i] for i in rng.choice(len(every), 800, replace=False)]
    assert volume(judged(toy, drawn)) < 0.97 * all_there_is


def test_no_coil_is_tried_twice_and_none_that_it_starts_from(path: Path) -> None:
    coils = tried(path)
    keys = [key_of(coil.setting) for coil in coils]
    assert len(keys) == len({*keys}) == 800
    assert not {*keys} & {key_of(start) for start in STARTS}


def test_what_is_kept_is_what_was_judged(path: Path) -> None:
    """Each coil by its setting alone, judged once more."""
    coils = tried(path)
    found = Toy().judge([coil.setting for coil in coils])
    assert np.array([coil.goals for coil in coils]) == pytest.approx(found.goals)
    worst = np.max(list(found.misses.values()), axis=0)
    assert [coil.holds for coil in coils] == (worst <= 0.0).tolist()
    broken = [max(coil.broken.values(), default=0.0) for coil in coils]
    assert broken == pytest.approx(np.maximum(worst, 0.0), rel=1e-3)


def test_the_file_is_a_study_of_optuna_with_its_own_constraints(path: Path) -> None:
    """Read by optuna alone, as anybody would: its own storage, its own idea of what is feasible."""
    storage = optuna.storages.JournalStorage(optuna.storages.journal.JournalFileBackend(str(path)))
    theirs = optuna.load_study(study_name="optichill", storage=storage)
    assert len(theirs.directions) == 4 and len(theirs.trials) == 800
    feasible = [t for t in theirs.trials if all(x <= 0.0 for x in t.constraints.values())]
    assert all(trial.constraints for trial in theirs.trials)
    mine = [coil for coil in tried(path) if coil.holds]
    assert [t.user_attrs["coil"] for t in feasible] == [coil.setting for coil in mine]
    best = {tuple(t.values) for t in theirs.best_trials}
    assert best == {coil.goals for coil in not_beaten(mine)}


def test_a_run_goes_on_where_it_was_left(path: Path, tmp_path: Path, everything: tuple[Toy, float]) -> None:
    before = path.read_bytes()
    (tmp_path / "again").write_bytes(before)
    assert tries(tmp_path / "again", 300) == Ran(300)
    assert (tmp_path / "again").read_bytes().startswith(before)
    coils = tried(tmp_path / "again")
    assert len({key_of(coil.setting) for coil in coils}) == 1100
    assert volume(coils) > volume(tried(path))


def test_the_same_seed_tries_the_same_coils(tmp_path: Path) -> None:
    for name, seed in (("one", 1), ("same", 1), ("other", 2)):
        tries(tmp_path / name, 150, seed=seed)
    one, same, other = ([c.setting for c in tried(tmp_path / n)] for n in ("one", "same", "other"))
    assert one == same != other


@pytest.mark.slow
def test_two_that_work_side_by_side_hear_of_each_others_coils(tmp_path: Path) -> None:
    toy, at = Toy(), tmp_path / "study"
    first, second = opened(at, toy), opened(at, toy)
    for n in range(3):
        for one in (first, second):
            run(toy, one, STARTS, Budget(None, 100), seed=[n, one is second])
    coils = tried(at)
    assert first.news() and len(coils) == 600 == second.tried + second.again == first.tried


def test_where_nothing_holds_nothing_is_shown(tmp_path: Path) -> None:
    class Shut(Toy):
        """A toy whose kettle is too small for anything."""

        def judge(self, settings):  # type: ignore[no-untyped-def]
            found = super().judge(settings)
            return replace(found, misses={**found.misses, "wall": 0.5 + np.abs(found.misses["wall"])})

    toy = Shut()
    found = explore(toy, address(tmp_path / "s", "x"), "toy", STARTS, seconds=None, trials=200)
    assert (found.tried, found.hold, found.settings) == (200, 0, ())
    assert kept(toy, address(tmp_path / "s", "x"), "toy").settings == ()
    # It still goes where least is missed: the nearest of the last are nearer than those of the first.
    missed = [coil.broken["wall"] for coil in tried(tmp_path / "s", toy)]
    assert np.median(missed[-50:]) < np.median(missed[:50])


def test_a_goal_that_is_not_reached_is_no_coil_that_holds(tmp_path: Path) -> None:
    class Endless(Toy):
        """Never cools."""

        def judge(self, settings):  # type: ignore[no-untyped-def]
            found = super().judge(settings)
            return replace(found, goals=np.where(np.arange(4) == 0, np.inf, found.goals))

    coils = judged(Endless(), STARTS)
    assert [coil.holds for coil in coils] == [False] * 3 and np.isfinite([c.goals for c in coils]).all()


def test_what_is_tried_out_says_so(tmp_path: Path) -> None:
    toy = Toy(knobs=(*KNOBS[:2], Knob("outer_form_mm", low=220.0, high=224.0, step=2.0), *KNOBS[4:]))
    toy.knobs = tuple(Knob(k.name, k.choices[:1]) if k.name == "layout" else k for k in toy.knobs)
    found = run(toy, opened(tmp_path / "s", toy), [], Budget(None, 5000), seed=[1])
    assert found.tried_out and 100 < found.tried <= 2 * 3 * 21


def test_a_study_of_another_brewhouse_is_refused_and_left_as_it_is(path: Path) -> None:
    before = path.read_bytes()
    with pytest.raises(OptichillError, match=r"another brewhouse, toy: .* another --study name"):
        tries(path, 10, toy=Toy("cellar"))
    changed = Toy()
    changed.key = lambda: "of another price"  # type: ignore[method-assign]
    with pytest.raises(OptichillError, match=r"begun before something changed .* another --study name"):
        tries(path, 10, toy=changed)
    with pytest.raises(OptichillError, match="begun before"):
        kept(changed, address(path, "x"), "toy")
    assert path.read_bytes() == before


def test_reading_a_study_writes_nothing(path: Path, tmp_path: Path) -> None:
    found = kept(Toy(), address(path, "x"), "toy")
    assert found.tried == 800 and len(found.settings) == len(not_beaten(tried(path)))
    with pytest.raises(OptichillError, match="no study is there .optichill explore makes one"):
        kept(Toy(), address(tmp_path / "none", "x"), "toy")
    assert not list(tmp_path.iterdir())


def test_parents_are_what_nothing_beats_then_what_misses_least() -> None:
    coils = judged(Toy(), Toy().everything()[::2000])
    best = best_of(coils, 40)
    front = not_beaten(coils)
    assert len(best) == 40 and all(coil in front for coil in best[: min(40, len(front))])
    none = [replace(coil, broken={"wall": 0.1 * n}) for n, coil in enumerate(coils, 1)]
    assert best_of(none, 3) == none[:3]


def test_proposals_come_from_the_parents() -> None:
    """Children share most of their values with what they come from, few as that is: a sampler that forgot
    its parents would propose a tube of any form."""
    parents = [s for s in Toy().everything() if s["outer_form_mm"] == 222.0][:42:2]
    breeder = Breeder(Toy(), [3])
    breeder.take_in(judged(Toy(), parents))
    asked = breeder.ask(100, lambda setting: False)
    assert np.mean([one.setting["outer_form_mm"] == 222.0 for one in asked]) > 0.2
    anew = Breeder(Toy(), [3]).ask(100, lambda setting: False)
    assert np.mean([one.setting["outer_form_mm"] == 222.0 for one in anew]) < 0.05
