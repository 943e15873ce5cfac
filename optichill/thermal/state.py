"""Where a batch stands in the middle of a plan: wort and bath temperatures, and what was used so far."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from optichill.arrays import Array, Index, Mask
from optichill.thermal.batch import Scenario
from optichill.thermal.coil_performance import Coils

COUNTED = ("time", "water", "filled", "iced", "limit_time", "limit_water", "lost")
"""What adds up over a plan: s, m3, of it into vessels, ice put into them [kg], s and m3 at the physical
limit, the kettle's own loss [J]."""


@dataclass(frozen=True)
class State:
    """All coils at one point of the plan; arrays of shape (designs,).

    T [K] : mass-mean wort temperature, shape (1,) as long as it is the same for all. T_top [K] : of the wort
    stranded above the coil; equal to T where there is none. stranded : its share; two_zones : whether any is
    apart. E [J] : heat taken up by the stage's bath; E_cold : what it would be if the bath stayed cold;
    T_bath [K] : the vessel's temperature, T_hottest its highest in this stage so far.
    totals : what was used since the start, here : in this stage. reached : false where a temperature could
    not be met.
    """

    T: Array
    T_top: Array
    stranded: Array
    two_zones: bool
    E: Array
    E_cold: Array
    T_bath: Array
    T_hottest: Array
    totals: Mapping[str, Array]
    here: Mapping[str, Array]
    reached: Mask

    @classmethod
    def start(cls, coils: Coils, scenario: Scenario) -> State:
        """Boiling or just off the boil, all one temperature."""
        n = len(coils)
        still = scenario.mixing.still
        stranded = coils.of_design("stranded") if still else np.zeros(n)
        zero = {name: np.zeros(n) for name in COUNTED}
        return cls(
            T=np.array([scenario.T_start]),
            T_top=np.full(n, scenario.T_start),
            stranded=stranded,
            two_zones=bool((stranded > 0.0).any()),
            E=np.zeros(n),
            E_cold=np.zeros(n),
            T_bath=np.full(n, np.nan),
            T_hottest=np.zeros(n),
            totals=zero,
            here=zero,
            reached=np.ones(n, dtype=bool),
        )

    def between_stages(self) -> State:
        """The same wort with the next stage's vessel, fresh."""
        nothing = np.zeros_like(self.E)
        return replace(
            self.fresh_bath(),
            T_bath=np.full_like(self.E, np.nan),
            T_hottest=nothing,
            here={name: nothing for name in COUNTED},
        )

    def take(self, places: Index) -> State:
        """The chosen coils."""
        columns: dict[str, Any] = {n: v[places] for n, v in vars(self).items() if isinstance(v, np.ndarray)}
        used = {n: {k: v[places] for k, v in getattr(self, n).items()} for n in ("totals", "here")}
        return replace(self, **(columns | used))

    @classmethod
    def woven(cls, parts: list[State], places: list[Index]) -> State:
        """States of different coils as one, in the coils' own order."""
        order = np.argsort(np.concatenate(places))

        def one(columns: list[Array]) -> Array:
            full = [np.broadcast_to(c, p.shape) for c, p in zip(columns, places, strict=True)]
            return np.asarray(np.concatenate(full)[order])

        first = parts[0]
        arrays = [n for n, v in vars(first).items() if isinstance(v, np.ndarray)]
        columns: dict[str, Any] = {n: one([getattr(p, n) for p in parts]) for n in arrays}
        used = {
            n: {k: one([getattr(p, n)[k] for p in parts]) for k in getattr(first, n)}
            for n in ("totals", "here")
        }
        return replace(first, **(columns | used))

    def fresh_bath(self) -> State:
        """The same with the vessel filled anew."""
        return replace(self, E=np.zeros_like(self.E), E_cold=np.zeros_like(self.E))

    def unreached_where(self, missed: Mask) -> State:
        """Coils that cannot get there are marked."""
        return replace(self, reached=self.reached & ~missed)

    def longer(self, times: float | Array, since: State) -> State:
        """The same after so many times the time since an earlier state, with the same heat: water runs as
        fast, and all the longer; what was filled into vessels stays what it was."""
        if np.all(times == 1.0):
            return self
        filled = self.totals["filled"] - since.totals["filled"]
        nothing = np.zeros_like(filled)
        passing = dict.fromkeys(("time", "limit_time", "lost"), nothing) | dict.fromkeys(
            ("water", "limit_water"), filled
        )
        return self.plus(
            {
                name: (times - 1.0) * (self.totals[name] - since.totals[name] - standing)
                for name, standing in passing.items()
            }
        )

    def plus(self, used: Mapping[str, Array]) -> State:
        """With what was used added."""
        return replace(
            self,
            totals=dict(self.totals) | {name: self.totals[name] + more for name, more in used.items()},
            here=dict(self.here) | {name: self.here[name] + more for name, more in used.items()},
        )
