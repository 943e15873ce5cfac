"""One coil as its files say: how it stands, its chill in one run and in all draws, each when asked for."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from optichill.files.reading import Inputs
from optichill.geometry import fit
from optichill.geometry.risers import BY_TAPE, PAST_THE_WALL
from optichill.geometry.standing import FixedPart
from optichill.model.coil import Coil
from optichill.owned.heights import no_worse
from optichill.problem.basis import DesignBasis, design_basis
from optichill.problem.checks import Checks
from optichill.problem.coil_id import file_risers
from optichill.problem.draws import Draws
from optichill.problem.limits import LIMITS
from optichill.problem.placement import Placement, Shape, place_coils
from optichill.problem.worth import worth_of
from optichill.rating.chilled_coil import chill_checks, time_checks
from optichill.rating.coil_rating import in_kettle, standing_checks, switched
from optichill.rating.hours import worked_out
from optichill.rating.likely import Samples, samples
from optichill.rating.prediction import FINE, ChangeOver, Likely, Told, known
from optichill.rating.stood import basis_for
from optichill.search.lifetime import used_by_a_batch
from optichill.thermal.batch import Scenario
from optichill.thermal.coil_performance import SEARCH, Coils
from optichill.thermal.cooldown import Chill, ends
from optichill.workshop.lifetime import Worth


@dataclass(frozen=True)
class Seen:
    """A coil in its kettle, with everything that is asked of it."""

    inputs: Inputs

    @property
    def coil(self) -> Coil:
        """The coil that was read."""
        assert self.inputs.coil is not None
        return self.inputs.coil

    @cached_property
    def basis(self) -> DesignBasis:
        """The same in numbers, asked about this coil: what it has of its own counts where it was measured."""
        return basis_for(design_basis(self.inputs), self.coil).of_measured(self.coil)

    @cached_property
    def worth(self) -> Worth:
        """What things count for this brewer."""
        return worth_of(self.basis)

    @cached_property
    def _stood(self) -> tuple[Shape, Placement, Coils]:
        return in_kettle(self.basis, self.coil)

    @property
    def shape(self) -> Shape:
        """Its sizes."""
        return self._stood[0]

    @property
    def placement(self) -> Placement:
        """How it stands."""
        return self._stood[1]

    @property
    def physical(self) -> Coils:
        """As the physics has it."""
        return self._stood[2]

    @property
    def valve_share(self) -> float:
        """Share of its full flow that its valve lets through."""
        return float(self.physical.of_design("valve_share")[0])

    @cached_property
    def _planned(self) -> tuple[Scenario, ChangeOver | None]:
        return switched(self.basis, self.physical)

    @property
    def scenario(self) -> Scenario:
        """Its plan, a free change-over set where it is best."""
        return self._planned[0]

    @property
    def change_over(self) -> ChangeOver | None:
        """Where it is best, None where the plan leaves none open or none leads to the target."""
        return self._planned[1]

    @cached_property
    def standing(self) -> Checks:
        """What is only a matter of room."""
        return standing_checks(self.basis, self.coil, self.shape.as_it_is, self.placement)

    @cached_property
    def ends_short(self) -> tuple[float, float]:
        """How much tube IN and OUT lack to bring their joints past the kettle's wall [m], 0 where none."""
        due = self.risers_due(self.coil.lowest_turn_height)
        have = (self.coil.riser_length_in, self.coil.riser_length_out)
        lack = [max(needed - has, 0.0) for needed, has in zip(due, have, strict=True)]
        return lack[0], lack[1]

    def risers_due(self, height: float) -> tuple[float, float]:
        """How long its risers must be, as its file tells them, with its lowest turn at a height [m]."""
        there = place_coils(self.basis, self.shape, height)
        over = self.inputs.brewhouse.workshop.over_the_rim
        each = (float(x[0]) for x in (there.riser_in, there.riser_out, there.inner_risers))
        # Of two tubes the inner one's stand farther in: the file knows the mean.
        riser_in, riser_out = file_risers(self.coil.layout, *each)
        return riser_in - over + PAST_THE_WALL, riser_out - over + PAST_THE_WALL

    @property
    def hangs_in(self) -> bool:
        """Whether a joint of its ends hangs in the kettle, by more than a tape may be wrong."""
        return max(self.ends_short) > BY_TAPE

    @cached_property
    def glance(self) -> Chill:
        """One run at the medians, as roughly as a search has it."""
        return worked_out(self.physical, self.scenario, SEARCH)

    @cached_property
    def run(self) -> Chill:
        """One run at the medians."""
        return worked_out(self.physical, self.scenario, FINE)

    @cached_property
    def outlet(self) -> float:
        """How hot the water leaves at first, once it runs [K]."""
        return float(ends(self.physical, self.scenario, FINE).outlet_start[0])

    @cached_property
    def drawn(self) -> Samples:
        """In all draws, without what kettle and coil have of their own."""
        return samples(Draws.of(self.basis, self.scenario), self.physical)

    @cached_property
    def likely(self) -> Likely:
        """What is likely of it."""
        limits = self.inputs.brewhouse.limits
        return self.drawn.likely(limits.chill_time, limits.water)[0]

    @cached_property
    def once(self) -> Told:
        """Time, water and ice of the one run at the medians."""
        r = self.run
        ice = float(r.ice[0]) if np.isfinite(r.time[0]) else 0.0
        return Told(known(r.time[0]), known(r.water[0]), ice)

    @cached_property
    def told(self) -> Told:
        """The same as every page tells it."""
        return self.once.beside(self.likely)

    @cached_property
    def broken(self) -> frozenset[str]:
        """Names of the limits that it breaks."""
        checks = Checks(self.standing.shape)
        checks.merge(self.standing)
        checks.merge(chill_checks(self.basis, self.scenario, self.run))
        checks.merge(time_checks(self.basis, self.run, self.drawn))
        return frozenset(name for name, check in checks.rows.items() if check.broken.any())

    @property
    def rests(self) -> str:
        """How it stands: as its own file says it, else as the kettle has its coils."""
        return self.coil.standing.rests or self.inputs.brewhouse.kettle.coil_rests

    @property
    def cannot_be(self) -> bool:
        """Whether nobody has wound such a coil for this kettle: it was measured wrong."""
        return self.coil.height > TWICE * self.inputs.brewhouse.kettle.inside_height

    @property
    def goes_in(self) -> bool:
        """Whether it stands in the kettle at all, whatever room it leaves."""
        rows = {n: c for n, c in self.standing.rows.items() if LIMITS[n].collides and LIMITS[n].at_least}
        fits = all(float(check.value[0]) >= -HAIR for check in rows.values())
        kettle = self.inputs.brewhouse.kettle
        top = float(self.placement.top[0]) + self.coil.outer_diameter / 2.0
        free = not self.in_the_turns
        return fits and free and self.passes_the_mouth and top <= kettle.inside_height + HAIR

    @property
    def in_the_turns(self) -> tuple[FixedPart, ...]:
        """What is built into the kettle's wall and reaches in farther than its turns leave free."""
        D, coil = self.inputs.brewhouse.kettle.inside_diameter, self.coil
        gap = float(fit.wall_gap(D, coil.mean_diameter, coil.outer_diameter))
        underside = float(self.placement.lowest[0]) - coil.outer_diameter / 2.0
        return fit.in_the_turns(gap, underside, self.basis.parts)

    @property
    def passes_the_mouth(self) -> bool:
        """Whether it goes through the kettle's mouth, its risers too: as their bends were measured, else as
        the tool at hand bends them."""
        return not self.standing.rows["mouth"].broken[0]

    def stands_no_worse(self, now: Seen) -> bool:
        """Whether it breaks no limit of room that another way to stand holds, and none by more."""
        return no_worse(self.standing, now.standing)

    @cached_property
    def running(self) -> float:
        """What its batches cost over its life [money]: waiting, water and ice, the mean over all draws."""
        used = {n: float(x[0]) for n, x in used_by_a_batch(self.drawn, self.worth.good_time).items()}
        return float(self.worth.lifetime(build=0.0, difficulty=0.0, roll=0.0, **used).running)

    @property
    def idea_of_cost(self) -> tuple[float, float]:
        """The same by one run, then its time [s]: to choose among ways to do one thing; inf where it never
        ends."""
        r, worth = self.glance, self.worth
        time, water = float(r.time[0]), float(r.water[0])
        if not np.isfinite(time):
            return np.inf, np.inf
        late = max(time - worth.good_time, 0.0)
        life = worth.lifetime(
            build=0.0, beyond=late, water=water, ice=float(r.iced[0]), difficulty=0.0, roll=0.0
        )
        return float(life.running), time

    @property
    def arrives(self) -> float:
        """Share of all draws that come to the target."""
        return float(np.isfinite(self.drawn.time).mean())


TWICE = 2.0
"""So many times as tall as the kettle, a coil was measured wrong rather than wound so (OWN)."""
HAIR = 1e-6
"""A micrometre, which nobody measures [m]."""
STATED = frozenset(name for name, limit in LIMITS.items() if limit.stated) | {"target"}
"""Limits that the brewer wrote down himself."""
