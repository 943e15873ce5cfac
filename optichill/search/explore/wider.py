"""The space beyond the lists: any coil by its knobs, judged as the search judges its own rows."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from optichill.arrays import Array, Index, Mask
from optichill.problem.checks import Check
from optichill.search.enumeration import with_rows
from optichill.search.evaluate import chilled, rows
from optichill.search.explore.grown import emptied, grown
from optichill.search.explore.knobs import Knob, Setting, Ways, knobs_of, valve_words, ways_of
from optichill.search.explore.lead import led
from optichill.search.explore.wound_coil import Sizes, WoundCoil, wound_coil
from optichill.search.front import GOALS
from optichill.search.helices import gap_choices
from optichill.search.recommend import SearchResult, finished
from optichill.search.space import Space
from optichill.version import __version__

PHYSICS = 2
"""Raised by hand where the same coil comes to other goals than before."""

FURTHEST = 10.0
"""No limit is said to be missed by more: what is out of reach is all alike."""

WORTH_A_CHILL = 0.5
"""What misses a limit that needs no chill by more is not chilled."""


@dataclass(frozen=True)
class Judged:
    """goals : (settings, 4) in the order of GOALS, SI and money, inf where not chilled or where the target is
    out of reach; misses : by limit the share by which each misses it, none above FURTHEST, <= 0 where it
    holds; what no hand can wind misses one."""

    goals: Array
    misses: dict[str, Array]

    @property
    def holds(self) -> Mask:
        """Which hold every limit."""
        return np.asarray((np.array(list(self.misses.values())) <= 0.0).all(axis=0))


@dataclass(frozen=True)
class Wider:
    """What may vary beyond what one search has looked at."""

    searched: SearchResult

    @property
    def space(self) -> Space:
        """Of the search."""
        return self.searched.enumeration.space

    @cached_property
    def knobs(self) -> tuple[Knob, ...]:
        """What may vary."""
        return knobs_of(self.space)

    @cached_property
    def ways(self) -> Ways:
        """Tubes with their riser tools, by name."""
        return ways_of(self.space.basis, self.space.tube)

    @property
    def may_make(self) -> bool:
        """Whether forms may be made: not where only owned ones are wanted, or one of the list."""
        return not self.space.basis.brewhouse.workshop.forms_owned_only and self.space.form is None

    @cached_property
    def sizes(self) -> Sizes:
        """What the values of the form knobs mean."""
        return Sizes(self.space.basis, self.may_make, self.space.form)

    def key(self) -> str:
        """Fingerprint of all that goals and limits follow from: a study of another is another study."""
        basis = self.space.basis
        house = basis.brewhouse.model_dump(exclude={"name", "demo", "units", "stock"}, warnings=False)
        remarks = {"description", "checked", "source"}
        lists = {
            name: [row.model_dump(exclude=remarks, warnings=False) for row in getattr(basis.stock, name)]
            for name in type(basis.stock).model_fields
        }
        known = None if basis.calibration is None else repr(basis.calibration)
        told = [PHYSICS, __version__, house, lists, known, self.space.tube, self.space.form, repr(self.knobs)]
        return hashlib.sha256(json.dumps(told, sort_keys=True, default=repr).encode()).hexdigest()[:16]

    def coil(self, setting: Setting) -> WoundCoil:
        """What a setting means.

        Raises
        ------
        OptichillError
            Names the knob and what is allowed.
        """
        return wound_coil(self.knobs, self.ways, self.sizes, setting)

    def judge(self, settings: Sequence[Setting]) -> Judged:
        """A whole population at once."""
        coils = [self.coil(setting) for setting in settings]
        space, numbers = grown(emptied(self.space), coils)
        if not coils:
            return Judged(np.empty((0, len(GOALS))), {})
        r = rows(space, numbers)
        misses = {name: _bounded(r.checks.rows[name]) for name in r.checks.names}
        for at, coil in enumerate(coils):  # a population: some hundred
            for name, share in coil.unwindable.items():
                if share > 0.0:
                    misses[name][at] = max(share, misses[name][at])
        worth = np.flatnonzero(np.max(list(misses.values()), axis=0) <= WORTH_A_CHILL)
        goals = np.full((len(coils), len(GOALS)), np.inf)
        goals[:, 1], goals[:, 3] = r.cost, r.difficulty
        if worth.size:
            result, checks = chilled(space, r, worth, scenario=self.searched.enumeration.scenario)
            reached = np.isfinite(result.time)
            goals[worth, 0], goals[worth, 2] = result.time, np.where(reached, result.water, np.inf)
            for name in checks.names:
                misses[name] = np.zeros(len(coils))
                misses[name][worth] = _bounded(checks.rows[name])
        return Judged(goals, misses)

    def is_new(self, coil: WoundCoil) -> bool:
        """Whether it can be wound, and the search has not had it: both layers alike, on what the list has,
        and of two layers bare."""
        shop = self.space.basis.brewhouse.workshop
        most = gap_choices(coil.tube.outer_diameter, shop.smallest_gap, shop.marking_increment)[-1]
        made = any(size.form.made for size in coil.layers)
        differ = len({*coil.gaps}) > 1 or len({*coil.turns}) > 1
        packed = len(coil.layers) > 1 and any(size.wraps for size in coil.layers)
        beyond = made or differ or packed or coil.gaps[0] > most + 1e-9 or self.space.sample is not None
        return beyond and coil.windable

    def weighed(self, setting: Setting) -> bool:
        """Whether there is no point in trying that coil: the search has weighed it, or it cannot be wound."""
        return not self.is_new(self.coil(setting))

    def canonical(self, setting: Setting) -> dict[str, float | str]:
        """The same coil by the value that stands for it: two settings may mean one form of the list."""
        coil, found = self.coil(setting), dict[str, float | str]()
        layers = dict(zip(("outer_form_mm", "inner_form_mm"), coil.layers, strict=False))
        for knob in self.knobs:
            if knob.applies(setting):
                value = knob.value(knob.place(setting[knob.name]))
                if knob.name in layers and not layers[knob.name].form.made:
                    value = knob.nearest(1e3 * layers[knob.name].diameter)
                found[knob.name] = value
        return found

    def settings_of(self, numbers: Index) -> list[Setting]:
        """Rows of the search as settings: forms by the nearest value, which stands for them where no other of
        the list is nearer to it."""
        return [self._setting(int(number)) for number in numbers]

    def _setting(self, number: int) -> Setting:
        one = np.array([number], np.intp)
        setup, gap, turns, valve = (x[0] for x in self.space.decode(one))
        own_gap, own_turns = (x[0] for x in self.space.inner(one))
        outer, inner, layout = self.space.wound(int(setup))
        way = next(name for name, way in self.ways.items() if way == (outer.tube, outer.tool))
        on = {"outer_form_mm": outer, "inner_form_mm": inner or outer}
        places = {n: self.space.setups.of.D_form[p] for n, p in self._windings(int(setup)).items()}
        found: dict[str, float | str] = {
            "layout": layout.name,
            "tube": way,
            "gap_mm": 1e3 * float(gap),
            "turns": float(turns),
            "inner_gap_mm": 1e3 * float(own_gap),
            "inner_turns": float(own_turns),
            "valve": valve_words([float(valve)])[0],
            **{name: 1e3 * float(places[name]) for name in on},
        }
        return {
            knob.name: knob.nearest(float(found[knob.name])) if not knob.choices else found[knob.name]
            for knob in self.knobs
            if knob.applies(found)
        }

    def _windings(self, setup: int) -> dict[str, int]:
        setups = self.space.setups
        return {"outer_form_mm": int(setups.outer[setup]), "inner_form_mm": int(setups.inner[setup])}


def _bounded(check: Check) -> Array:
    """By what share each misses it: finite, and nothing above 0 where it holds."""
    miss = np.nan_to_num(check.violation, nan=FURTHEST, posinf=FURTHEST, neginf=-1.0)
    return np.asarray(np.clip(np.where(check.broken, miss, np.minimum(miss, 0.0)), -FURTHEST, FURTHEST))


def joined(searched: SearchResult, settings: Sequence[Setting]) -> SearchResult:
    """The search with explored coils beside its own, by the same filter. Those that break a limit are left
    out, and so are coils of the lists: the search has weighed them. One of them comes first where it is worth
    making (`lead.led`)."""
    beyond = Wider(searched)
    coils = [coil for coil in map(beyond.coil, settings) if beyond.is_new(coil)]
    space, numbers = grown(beyond.space, coils)
    more = with_rows(searched.enumeration, space, np.unique(numbers))
    if more.feasible == searched.enumeration.feasible:
        return searched
    found = finished(more)
    return searched if found.front is None else led(found, searched)


def wider(searched: SearchResult) -> Wider:
    """What lies beyond the lists of a search that was made."""
    return Wider(searched)
