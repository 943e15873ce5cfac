"""Limits that must hold, and wishes that rank what holds."""

from __future__ import annotations

from typing import Annotated, Any, Self

from pydantic import BeforeValidator, model_validator

from optichill.model.fields import ChillTime, Money, Written
from optichill.model.frozen import Frozen
from optichill.model.number import Number
from optichill.model.quantity import Quantity
from optichill.model.refusals import refusal
from optichill.workshop.difficulty import BANDS, band_limit

DIFFICULTY_WORDS = {words: band_limit(words) for words in BANDS}
DIFFICULTY_ALLOWED = ", ".join(DIFFICULTY_WORDS) + ", or a number 0 to 10"


def _difficulty(value: Any) -> float:
    if isinstance(value, str) and value in DIFFICULTY_WORDS:
        return DIFFICULTY_WORDS[value]
    if isinstance(value, str):
        raise refusal("not known", DIFFICULTY_ALLOWED)
    return Number(0.0, 10.0).read(value)


Difficulty = Annotated[float, BeforeValidator(_difficulty), Written(DIFFICULTY_ALLOWED)]
Chance = Annotated[float, Number(0.0, 0.999, above=True)]
WaterUsed = Annotated[float, Quantity("volume", 0.0, 50.0, above=True)]
Weight = Annotated[float, Number(0.0, 1000.0, above=True)]
Budget = Annotated[float, Number(0.0, 1e9, above=True, money=True)]


USUAL_CHANCE = 0.7
"""Chance with which a limit on time is kept when none is stated: by the medians it would be a coin's toss."""


class Limits(Frozen):
    """Hard limits; None is no limit. chill_time [s], budget [money], water [m3], difficulty [0-10].

    chance : probability with which the chill time must be kept, None: USUAL_CHANCE.
    """

    chill_time: ChillTime | None = None
    """Longest chill, or a table { within, chance }."""
    chance: Chance | None = None
    """Chance with which the chill time must be kept, 0.7 when left out; goes with chill_time."""
    budget: Budget | None = None
    """Most money for the whole build, in the stock's currency."""
    water: WaterUsed | None = None
    """Most water for one chill."""
    difficulty: Difficulty | None = None
    """Hardest work, in words or from 0 to 10."""

    @model_validator(mode="before")
    @classmethod
    def _within_with_chance(cls, data: Any) -> Any:
        """`chill_time = { within = "30 min", chance = 0.9 }`."""
        if not isinstance(data, dict) or not isinstance(data.get("chill_time"), dict):
            return data
        given = data["chill_time"]
        for key in given:
            if key not in ("within", "chance"):
                raise refusal("unknown key", "within, chance", f"chill_time.{key}")
        if "within" not in given:
            raise refusal("missing", "30 min", "chill_time.within")
        chance = {"chance": given["chance"]} if "chance" in given else {}
        return {**data, "chill_time": given["within"], **chance}

    @property
    def sure(self) -> float:
        """Chance with which the chill time is to be kept."""
        return USUAL_CHANCE if self.chance is None else self.chance

    @model_validator(mode="after")
    def _chance_of_what(self) -> Self:
        if self.chance is not None and self.chill_time is None:
            raise refusal("goes with chill_time", "add chill_time", "chance")
        return self


class Wish(Frozen):
    """Levels a person can state: what would be good, what is still acceptable; less is better."""

    good: float
    """A level that would be good."""
    acceptable: float
    """A level that is still acceptable."""
    weight: Weight = 1.0
    """How much this goal counts beside the others."""

    @model_validator(mode="after")
    def _in_order(self) -> Self:
        if self.good >= self.acceptable:
            raise refusal("not below acceptable", "the smaller of the two", "good")
        return self


class TimeWish(Wish):
    """Chill time [s]."""

    good: ChillTime
    """A chill time that would be good."""
    acceptable: ChillTime
    """One that is still acceptable."""


class MoneyWish(Wish):
    """Cost of the complete build."""

    good: Money
    """A cost that would be good."""
    acceptable: Money
    """One that is still acceptable."""


class WaterWish(Wish):
    """Water used [m3]."""

    good: WaterUsed
    """Water for a chill that would be good."""
    acceptable: WaterUsed
    """As much as is still acceptable."""


class DifficultyWish(Wish):
    """Difficulty, 0-10."""

    good: Difficulty
    """Work that would be good."""
    acceptable: Difficulty
    """Work that is still acceptable."""


USUAL_BATCHES, USUAL_GOOD_TIME = 60, 600.0
"""Batches that a coil serves, and waiting [s] that is no loss, when none are stated (OWN)."""


class Wishes(Frozen):
    """What ranks the coils that hold every limit: their cost over the coil's life; or levels of goals, where
    any are stated."""

    batches: Annotated[int, Number(1, 10_000, whole=True)] = USUAL_BATCHES
    """Batches over the coil's life."""
    hour: Money | None = None
    """Worth of an hour of work or waiting (half of it while left alone); left out, 1.3 m of copper."""
    water_price: Money | None = None
    """Price of a cubic metre of water and its drain; left out, 0.9 m of copper."""
    ice_price: Money | None = None
    """Price of a kilogram of ice; left out, that of the cooling plan, or none: from your own freezer."""
    good_time: ChillTime = USUAL_GOOD_TIME
    """A chill that is quick enough: waiting up to there is no loss."""
    coils_wound: Annotated[int, Number(0, 1000, whole=True)] = 0
    """Coils you have wound before; with none, hours of work and spoilt rolls count double."""

    chill_time: TimeWish | None = None
    """Levels of the chill time."""
    cost: MoneyWish | None = None
    """Levels of the cost of the complete build."""
    water: WaterWish | None = None
    """Levels of the water used."""
    difficulty: DifficultyWish | None = None
    """Levels of the work."""

    @property
    def states_levels(self) -> bool:
        """Whether levels of goals rank, instead of cost over the coil's life."""
        return any(wish is not None for wish in (self.chill_time, self.cost, self.water, self.difficulty))
