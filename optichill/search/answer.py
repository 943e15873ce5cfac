"""All that a search has to say: what to build and why, or why nothing fits and what helps."""

from __future__ import annotations

from dataclasses import dataclass

from optichill.problem.basis import DesignBasis
from optichill.problem.worth import worth_of
from optichill.rating.remedies import Remedy
from optichill.search.a_little_more import ALittleMore
from optichill.search.conflicts import Conflicts
from optichill.search.designs import Design
from optichill.search.done_otherwise import DoneOtherwise
from optichill.search.flips import Flip
from optichill.search.form_advice import FormAdvice
from optichill.search.glance import Glance
from optichill.search.habit import Habit
from optichill.search.held_back import HeldBack
from optichill.search.instead import Instead
from optichill.search.less_ice import LessIce
from optichill.search.measurements import Measurement
from optichill.search.ranking import Levels
from optichill.search.regret import Regret
from optichill.search.roles import Role
from optichill.search.space import LeftOut, Sample
from optichill.search.ways_out import OpenedDesign


@dataclass(frozen=True)
class Answer:
    """What `recommend` found. designs is empty when nothing fits; then conflicts and opened say why, and
    stirred is a build that would hold every limit if the wort were kept moving, where there is one;
    warm_tap_remedies are the ways out where the tap cannot reach the target, for the `quickest` coil that
    could be built; shortest : the time that no coil could beat [s], where less is asked for; ice_behind :
    what brings that down behind the tap; instead : what opens a design where a limit cannot be moved;
    done_otherwise : what does with none moved; held_back : what rules out most of the quicker coils;
    a_little_more : limits that keep out by little what is much better;
    form_advice : another form that would be worth looking for; sample says how much was looked at of lists
    that are too long; roles : which of the designs a person would look at for what reason; flips : what would
    have to be otherwise for another choice to come first; ladder : what more money buys, cheapest first;
    habit : the first design with its valve further shut; less_ice : less of what its plan puts in; regrets :
    of each design; measurements : what can be measured before buying, what gains most first, empty where
    levels rank; front : rows that nothing beats; coils : how many they are to build, whatever the valve;
    left_out : of rolls of one size, by proof; buildable : rows that hold every limit that needs no chill;
    excluded : those of them told by proof alone, without a chill."""

    basis: DesignBasis
    enumerated: int
    feasible: int
    front: int
    designs: tuple[Design, ...]
    levels: Levels | None
    conflicts: Conflicts | None
    opened: tuple[OpenedDesign, ...]
    sample: Sample | None = None
    stirred: Design | None = None
    warm_tap_remedies: tuple[Remedy, ...] = ()
    shortest: float | None = None
    ice_behind: Remedy | None = None
    instead: tuple[Instead, ...] = ()
    held_back: HeldBack | None = None
    a_little_more: tuple[ALittleMore, ...] = ()
    quickest: Design | None = None
    form_advice: FormAdvice | None = None
    roles: tuple[Role, ...] = ()
    flips: tuple[Flip, ...] = ()
    ladder: tuple[Glance, ...] = ()
    habit: Habit | None = None
    less_ice: LessIce | None = None
    regrets: tuple[Regret, ...] = ()
    measurements: tuple[Measurement, ...] = ()
    coils: int = 0
    done_otherwise: tuple[DoneOtherwise, ...] = ()
    left_out: LeftOut | None = None
    buildable: int = 0
    excluded: int = 0

    @property
    def first_way_out(self) -> DoneOtherwise | OpenedDesign | Instead | None:
        """The way out that is told first, where nothing fits."""
        kinds = (self.done_otherwise, self.opened, self.instead)
        return next((ways[0] for ways in kinds if ways), None)

    @property
    def to_keep(self) -> Design | None:
        """The design that is worth a file: the first; where nothing fits, what the first way out opens, or
        the quickest that could be built. Those break a limit, as the brewhouse file stands."""
        if self.designs:
            return self.designs[0]
        way = self.first_way_out
        if way is None:
            return self.quickest
        return way.taken.design if isinstance(way, OpenedDesign) else way.design

    def tied_with(self, design: Design) -> tuple[Design, ...]:
        """The designs that come to the same as this one over their lives, within a minute with every batch:
        nothing that counts tells them apart. None where stated levels rank."""
        if self.levels is not None:
            return ()
        tie = worth_of(self.basis).minute
        same = (abs(float(d.life.total - design.life.total)) <= tie for d in self.designs)
        return tuple(d for d, tied in zip(self.designs, same, strict=True) if tied and d is not design)
