"""Limits of a build: one record says all that is said of a limit, wherever it is said.

A new limit is a record here and one line where its value and bound are worked out (and a key of [limits], if
the brewer is to state the bound).
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import KW_ONLY, dataclass

import numpy as np
from numpy.typing import ArrayLike

from optichill.arrays import Array, Mask, floats
from optichill.display import FOOT, INCH, US_GALLON
from optichill.geometry.riser_bends import NEVER
from optichill.model.brewhouse import Kettle
from optichill.thermal.cooldown import LONGEST


@dataclass(frozen=True)
class Shown:
    """How a quantity is shown: its kind, and the steps it is rounded to, metric and us (the same unless
    given), SI. A step of 0: a reading on a scale, told as it is; a difference of two is not told like one."""

    kind: str
    step: float
    us_step: float | None = None

    def step_in(self, units: str) -> float:
        """The step for readers of these units."""
        return self.us_step if units == "us" and self.us_step is not None else self.step


TIME, MASS, TEMPERATURE = Shown("minutes", 60.0), Shown("mass", 0.1), Shown("temperature", 0.0)
MONEY, SCORE = Shown("money", 1.0), Shown("score", 0.1)
VOLUME, TUBE_LENGTH = Shown("exact_volume", 1e-3, 0.1 * US_GALLON), Shown("long_length", 0.1, 0.1 * FOOT)
LENGTH = Shown("length", 1e-3, INCH / 16.0)


BROKEN = "{words}: {value}, wanted {bound}."
"""What is said of a broken limit that has no sentence of its own."""


@dataclass(frozen=True)
class Limit:
    """All that is known of a limit but its value and bound, which are worked out where the quantity is.

    name : contract. at_least : the value must reach the bound; else it must not exceed it. words : "… stands
    in the way". advice : a step as advice, {now} where the bound is, {to} where it must go; None where nobody
    can take it: a kettle stays as wide as it is. furthest : how far a person can move the bound, from where
    it is now [SI]; past it lie physics, geometry and safety. helps : what helps where it does not move.
    warning : said of a coil that breaks it; {part} where built-in parts ask for more; None where that has a
    sentence of its own. stops : why a coil that breaks it altogether cannot be built (before what helps);
    collides : that is where nothing at all is left of a room. stated : the bound is a line of the brewer's
    [limits]. of_chill : it has no value without a chill that ends. clearance : what the brewer asks for,
    where parts can ask for more. eased_by_valve : water drawn, so that closing the valve may mend it.
    drawn : which share of the bound the samples hold against it, so that its chance can be told,
    and lasts : in words, "… in 7 of 10 batches" (water says its bound itself); gone : what the other batches
    do without it, where they go on.
    held_back : what to do where it rules out most of the quicker coils though the brewer has not stated it;
    None where that is not worth a word. sides : a smaller form mends it, by so many halves of what it is
    smaller; 0 where it does not. key : of the brewhouse file that sets the bound, with its table, where it is
    not under [limits]. no_more : its value is never told as more than there is.
    """

    name: str
    words: str
    advice: str | None
    _: KW_ONLY
    furthest: Callable[[Array], Array | float] | None = None
    helps: str = ""
    at_least: bool = False
    shown: Shown = LENGTH
    warning: str | None = BROKEN
    stops: str = ""
    collides: bool = False
    stated: bool = False
    of_chill: bool = False
    clearance: Callable[[Kettle], float] | None = None
    eased_by_valve: bool = False
    drawn: str = ""
    lasts: str = ""
    gone: str = ""
    held_back: str | None = None
    sides: float = 0.0
    key: str = ""
    no_more: bool = False

    @property
    def written(self) -> str:
        """Table and key of the brewhouse file where the bound stands; "" where it is of the lists."""
        return f"limits.{self.name}" if self.stated else self.key

    def of_a_part(self, bound: float, kettle: Kettle) -> bool:
        """Whether a part built into the kettle sets the bound, not the clearance that the brewer wants."""
        return self.clearance is not None and bound > self.clearance(kettle) + 1e-9

    def out_of_hand(self, to: ArrayLike, now: ArrayLike) -> Mask:
        """Where nobody can move the bound from `now` to `to` [SI]."""
        to, now = floats(to, now)
        if self.advice is None:
            return np.ones(np.broadcast_shapes(to.shape, now.shape), dtype=bool)
        usual = 0.0 if self.at_least else np.inf
        end = usual if self.furthest is None else self.furthest(now)
        return ~(to >= end) if self.at_least else ~(to <= end)


FREE_RIM = 0.020
"""Free rim that no advice goes below [m]: wort near boiling stands under it (OWN, the default of the key)."""

# In order of how a brewer would look for the fault.
_ALL = (
    Limit(
        "chill_time",
        "the chill time",
        "allow {to} instead of {now}",
        furthest=lambda now: LONGEST,
        helps="More water a minute, colder water or less wort would do.",
        of_chill=True,
        shown=TIME,
        stated=True,
    ),
    Limit("target", "the temperature to reach", None, shown=TEMPERATURE, warning=None),
    Limit("budget", "the budget", "allow {to} instead of {now}", shown=MONEY, stated=True),
    Limit(
        "water",
        "the water",
        "allow {to} of water instead of {now}",
        of_chill=True,
        shown=VOLUME,
        stated=True,
        eased_by_valve=True,
        drawn="used",
    ),
    Limit(
        "ice",
        "the ice",
        None,
        shown=MASS,
        of_chill=True,
        drawn="gone",
        lasts="the ice lasts to the end",
        gone="in the others it is gone before, and the bath warms, which the time counts",
    ),
    Limit(
        "difficulty",
        "how hard the build may be",
        "allow a harder build: difficulty {to} instead of {now}",
        shown=SCORE,
        stated=True,
    ),
    Limit(
        "stock_length",
        "the length of the rolls",
        "get a roll of {to} instead of {now}",
        helps="A longer roll or fewer turns would do; no joint under the wort.",
        shown=TUBE_LENGTH,
        stops="The roll holds {value}, the coil takes {needed}.",
    ),
    Limit(
        "winding_radius",
        "how tightly the tube can be wound without a kink",
        None,
        helps="A larger form, or tube with a thicker wall, would do.",
        at_least=True,
    ),
    Limit(
        "riser_bend",
        "how tightly the risers can be bent",
        "get a lever bender or a bending spring: this tube is never bent freehand",
        # A tube that a hand or tool can bend has its own least radius: tighter it kinks.
        furthest=lambda now: np.where(now >= NEVER, 0.0, np.inf),
        helps="A bender or a bending spring of a wider radius would do.",
        at_least=True,
    ),
    Limit(
        "form_height",
        "the height of the forms",
        "find a form {to} tall instead of {now}",
        helps="A longer form of the same diameter, or fewer turns, would do.",
        stops="The form {of} is {value} tall, the turns take {needed} of it, wound touching with half"
        " a turn to spare.",
    ),
    Limit(
        "gap",
        "the gap between turns",
        "let the turns stand {to} apart instead of {now}",
        at_least=True,
        key="workshop.smallest_gap",
    ),
    Limit(
        "wall",
        "the room to the kettle wall",
        "accept {to} to the wall instead of {now}",
        helps="A smaller form would do.",
        at_least=True,
        key="kettle.wall_clearance",
        warning="{words}: {value}, wanted {bound}{part}.",
        stops="The turns are {short} a side wider than the kettle.",
        collides=True,
        clearance=lambda kettle: kettle.wall_clearance,
        sides=1.0,
    ),
    Limit(
        "mouth",
        "the mouth of the kettle",
        None,
        helps="A smaller form would do; if the risers stand opposite each other, bringing them to one side "
        "helps too.",
        warning="with its risers the coil is up to {value} across, the mouth of the kettle {bound}: measure "
        "across its turns before the risers are bent.",
        stops="With its risers the coil is up to {value} across, the kettle's opening {needed}: it does not "
        "go in.",
        collides=True,
        sides=2.0,
    ),
    Limit(
        "floor",
        "the room to the kettle floor",
        "accept {to} to the floor instead of {now}",
        helps="Fewer turns, set higher, would do.",
        at_least=True,
        key="kettle.floor_clearance",
        stops="The lowest turn would stand {short} too low: in the floor or in what lies there.",
        clearance=lambda kettle: kettle.floor_clearance,
    ),
    Limit(
        "submergence",
        "the depth of wort over the top turn",
        "accept {to} of wort over the top turn instead of {now}",
        helps="More wort, or fewer turns, would do.",
        at_least=True,
        key="kettle.top_clearance",
        no_more=True,
        warning="only {value} of wort stands over the top turn when it is cold, wished {bound}.",
    ),
    Limit(
        "centre",
        "what stands in the kettle's centre",
        None,
        helps="A larger form would do.",
        at_least=True,
        stops="The turns would run into what stands in the kettle's centre, by {short}.",
        collides=True,
    ),
    Limit(
        "layer_gap",
        "the room between the layers",
        None,
        helps="A smaller inner or a larger outer form would do.",
        at_least=True,
        stops="The two layers overlap by {short}.",
        collides=True,
    ),
    Limit(
        "riser_gap",
        "the room for a riser outside the turns",
        None,
        helps="A smaller form, or a tighter bend, would do.",
        at_least=True,
        stops="The riser hits the kettle wall: {short} too far out.",
        collides=True,
        sides=1.0,
    ),
    Limit(
        "riser_height",
        "the height for the bends up to the rim",
        None,
        helps="Fewer turns, or a tighter bend, would do.",
        at_least=True,
        stops="There is no height for the {of} riser's two bends one above the other: {short} too little.",
    ),
    Limit(
        "headspace",
        "the free rim over the hot wort",
        "accept {to} of free rim instead of {now}",
        furthest=lambda now: FREE_RIM,
        helps="Boil less.",
        held_back="boil less for a quicker one",
        at_least=True,
        key="workshop.headspace",
        stops="With the coil in, the hot wort would stand {short} over the rim.",
    ),
    Limit(
        "bucket",
        "what the bucket holds",
        None,
        helps="More `refills`, or a larger `bucket`, would do.",
        of_chill=True,
        shown=VOLUME,
        eased_by_valve=True,
        drawn="bucket_load",
        lasts="the water in the bucket is enough",
    ),
    Limit(
        "pump_rating",
        "what the pump stands",
        None,
        helps="More water or ice in the bath, or a pump rated for it, would do.",
        of_chill=True,
        shown=TEMPERATURE,
        drawn="pump_load",
        lasts="the bath stays below what the pump stands",
    ),
)
LIMITS: dict[str, Limit] = {limit.name: limit for limit in _ALL}
