"""A study: all coils that were ever tried for one brewhouse, by whatever runs and machines.

Kept is what was judged, a coil a trial, with its values and with the limits that it breaks as optuna's
constraints; what is in flight when a run is stopped was never in it. A coil stands there as the values of its
knobs: every run makes its own proposals from them (`sampler`), and none has to look at what another one
thought.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Protocol

import numpy as np

from optichill.arrays import Array, Index
from optichill.errors import OptichillError, shown
from optichill.search.explore import storage
from optichill.search.explore.knobs import Knob, Setting, checked
from optichill.search.explore.storage import Address, Kept
from optichill.search.explore.storage_journal import Wait
from optichill.search.front import GOALS

if TYPE_CHECKING:
    from optuna.trial import FrozenTrial

NEVER = 1e9
"""Stands for a goal that is not reached: a chill without an end."""

FORM = 1
"""Of the trials that are kept: another number where they would be read otherwise."""


class Outcome(Protocol):
    """What coils came to: as of the wider space."""

    @property
    def goals(self) -> Array:
        """Shape (coils, 4), in the order of GOALS."""

    @property
    def misses(self) -> dict[str, Array]:
        """By limit; holds where it is not positive."""


class Judge(Protocol):
    """What is asked of the wider space."""

    @property
    def knobs(self) -> tuple[Knob, ...]:
        """What may vary."""

    def key(self) -> str:
        """Fingerprint of all that a judgement hangs on."""

    def canonical(self, setting: Setting) -> Mapping[str, float | int | str]:
        """The same coil by the values that stand for it."""

    def weighed(self, setting: Setting) -> bool:
        """Whether it need not be tried: the search has weighed it, or it cannot be wound."""

    def judge(self, settings: Sequence[Setting]) -> Outcome:
        """Many coils at once."""


@dataclass(frozen=True)
class Coil:
    """One coil that was tried. goals : in the order of GOALS; broken : the share by which each limit is
    missed that is, empty where it holds all; margin : of the limit that it comes nearest to, negative where
    it holds all."""

    setting: dict[str, float | int | str]
    goals: tuple[float, ...]
    broken: dict[str, float]
    margin: float = 0.0

    @property
    def holds(self) -> bool:
        """Whether it holds every limit and comes to the target."""
        return not self.broken

    @property
    def constraints(self) -> dict[str, float]:
        """As optuna takes them: not positive where they hold."""
        return self.broken or {"limits": min(self.margin, 0.0)}


def key_of(setting: Setting) -> tuple[tuple[str, float | str], ...]:
    """By which the same coil is known again."""
    return tuple(sorted((k, v if isinstance(v, str) else round(float(v), 6)) for k, v in setting.items()))


def judged(judge: Judge, settings: Sequence[Setting]) -> list[Coil]:
    """Coils tried: a whole population at once."""
    if not settings:
        return []
    found = judge.judge(settings)
    names = list(found.misses)
    misses = np.array([found.misses[name] for name in names]).reshape(len(names), len(settings))
    reached = np.asarray(np.isfinite(found.goals).all(axis=1))
    goals = np.where(np.isfinite(found.goals), found.goals, NEVER)
    out = []
    for i, setting in enumerate(settings):  # a population; each becomes a trial
        own = {n: _short(x) for n, x in zip(names, misses[:, i], strict=True) if x > 0.0}
        if not reached[i] and not own:
            own = {"target": 1.0}
        margin = float(misses[:, i].max(initial=-1.0))
        out.append(Coil(dict(setting), tuple(map(float, goals[i])), own, _short(margin)))
    return out


def _short(share: float) -> float:
    """A share as it is kept: a study of a night is long."""
    return float(f"{share:.4g}")


def not_beaten(coils: Sequence[Coil]) -> list[Coil]:
    """Those that hold every limit and that no other beats in all goals."""
    import moocore

    holding = [coil for coil in coils if coil.holds]
    if not holding:
        return []
    goals = np.array([coil.goals for coil in holding])
    keep = np.asarray(moocore.is_nondominated(goals, keep_weakly=False))
    return [holding[i] for i in np.flatnonzero(keep)]


def as_trial(coil: Coil, **more: Any) -> FrozenTrial:
    """A coil as a trial that is done. more : params and what else a trial has."""
    from optuna.trial import create_trial

    return create_trial(values=list(coil.goals), constraints=coil.constraints, **more)


class Study:
    """A study that is open. at : where it is kept; tried : coils in it, as far as they were read; again : of
    those, trials of a coil that was in it before."""

    def __init__(self, kept: Kept, study: Any, knobs: tuple[Knob, ...]) -> None:
        self._kept, self._study, self._knobs = kept, study, knobs
        self._known: set[tuple[tuple[str, float | str], ...]] = set()
        self.tried = self.again = 0

    @property
    def at(self) -> Address:
        """Where it is kept."""
        return self._kept.at

    def __contains__(self, setting: Setting) -> bool:
        """Whether a coil was tried, as far as it was read."""
        return key_of(setting) in self._known

    def news(self) -> list[Coil]:
        """What was tried since the last call, by anyone; each coil once."""
        trials = self._study.get_trials(deepcopy=False)
        fresh = []
        for trial in trials[self.tried :]:
            coil = self._read(trial)
            key = key_of(coil.setting)
            if key in self._known:
                self.again += 1
            else:
                self._known.add(key)
                fresh.append(coil)
        self.tried = len(trials)
        return fresh

    def _read(self, trial: Any) -> Coil:
        """A coil from its trial."""
        setting = trial.user_attrs["coil"]
        try:
            checked(self._knobs, setting)
        except OptichillError as error:
            raise OptichillError(f"{self._kept.place(trial.number)}: {error}: {self._kept.help}") from None
        broken = {name: x for name, x in trial.constraints.items() if x > 0.0}
        return Coil(setting, tuple(trial.values), broken, max(trial.constraints.values(), default=0.0))

    def add(self, coils: Sequence[Coil]) -> None:
        """Keep coils: in a file in one go, on the disk when this returns."""
        with self._kept.at_once():
            for coil in coils:
                self._study.add_trial(as_trial(coil, user_attrs={"coil": coil.setting}))


def opened(
    at: Address, judge: Judge, brewhouse: str, *, wait: Wait | None = None, make: bool = True
) -> Study:
    """The study of a brewhouse. brewhouse : its name, for whoever asks of another one; wait : hears that it
    waits; make : it is begun where none is there.

    Raises
    ------
    OptichillError
        It belongs to another brewhouse, or to this one before it was changed; none is there.
    CannotWrite
    """
    kept = storage.opened(at, wait=wait, make=make)
    study = _loaded(kept, make=make)
    belongs = {"brewhouse": brewhouse, "form": FORM, "key": judge.key()}
    found = study.user_attrs
    empty = not study.get_trials(deepcopy=False)
    if make and empty and "key" not in found and found.items() <= belongs.items():
        with kept.at_once():
            for name, value in belongs.items():  # the key last: with it the rest is there
                study.set_user_attr(name, value)
    else:
        _refuse_another(at, found, belongs, empty=empty)
    return Study(kept, study, judge.knobs)


def _loaded(kept: Kept, *, make: bool) -> Any:
    import optuna

    name, storage = kept.at.name, kept.storage
    try:
        return optuna.load_study(study_name=name, storage=storage)
    except KeyError:
        if not make:
            there = "no coil is in it yet" if kept.at.path else "no study of this name is there"
            raise OptichillError(f"{kept.at.told}: {there} (optichill explore makes one)") from None
    directions: list[Any] = ["minimize"] * len(GOALS)  # another process may be quicker
    return optuna.create_study(study_name=name, storage=storage, directions=directions, load_if_exists=True)


def _refuse_another(at: Address, found: dict[str, Any], belongs: dict[str, Any], *, empty: bool) -> None:
    """Raise an error where a study is not of this brewhouse as it is now. empty : no coil is in it."""
    if found.get("key") == belongs["key"] and found.get("form") == belongs["form"]:
        return
    if found.get("brewhouse", belongs["brewhouse"]) != belongs["brewhouse"]:
        raise OptichillError(
            f"{at.told}: is the study of another brewhouse, {shown(str(found.get('brewhouse')))}: "
            f"left as it is; give {at.another}"
        )
    if "key" not in found and empty:
        raise OptichillError(
            f"{at.told}: was cut short before its first coil (optichill explore goes on with it)"
        )
    if "key" not in found or "form" not in found:
        raise OptichillError(
            f"{at.told}: says no more whose study it is, for a line of its first ones is missing: "
            f"left as it is; give {at.another}"
        )
    raise OptichillError(
        f"{at.told}: was begun before something changed that its figures hang on (brewhouse file, lists, "
        f"calibration, or optichill itself): left as it is; give {at.another} to begin anew"
    )


def spread_of(coils: Sequence[Coil], most: int) -> list[Coil]:
    """So many of them, spread over all times."""
    if len(coils) <= most:
        return list(coils)
    order = np.argsort([coil.goals[0] for coil in coils], kind="stable")
    places: Index = np.unique(np.linspace(0, len(coils) - 1, most).astype(np.intp))
    return [coils[i] for i in order[places]]
