"""Limits that must hold, and wishes that rank what holds."""

from __future__ import annotations

from typing import Annotated, Any, Self

from pydantic import BeforeValidator, model_validator

from optichill.model.fields import Frozen, Money, Number, Quantity, Time, refusal
from optichill.workshop.difficulty import BANDS, band_limit

DIFFICULTY_WORDS = {words: band_limit(words) for words in BANDS}


def _difficulty(value: Any) -> float:
    if isinstance(value, str) and value in DIFFICULTY_WORDS:
        return DIFFICULTY_WORDS[value]
    if isinstance(value, str):
        raise refusal("not known", ", ".join(DIFFICULTY_WORDS) + ", or a number 0 to 10")
    return Number(0.0, 10.0).read(value)


Difficulty = Annotated[float, BeforeValidator(_difficulty)]
Chance = Annotated[float, Number(0.0, 0.999, above=True)]
WaterUsed = Annotated[float, Quantity("volume", 0.0, 50.0, above=True)]
Weight = Annotated[float, Number(0.0, 1000.0, above=True)]
Budget = Annotated[float, Number(0.0, 1e6, above=True)]


class Limits(Frozen):
    """Hard limits; None is no limit. chill_time [s], budget [money], water [m3], difficulty [0-10].

    chance : probability with which the chill time must be kept, None: the median must.
    """

    chill_time: Time | None = None
    chance: Chance | None = None
    budget: Budget | None = None
    water: WaterUsed | None = None
    difficulty: Difficulty | None = None

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

    @model_validator(mode="after")
    def _chance_of_what(self) -> Self:
        if self.chance is not None and self.chill_time is None:
            raise refusal("goes with chill_time", "add chill_time", "chance")
        return self


class Wish(Frozen):
    """Levels a person can state: what would be good, what is still acceptable; less is better."""

    good: float
    acceptable: float
    weight: Weight = 1.0

    @model_validator(mode="after")
    def _in_order(self) -> Self:
        if self.good >= self.acceptable:
            raise refusal("not below acceptable", "the smaller of the two", "good")
        return self


class TimeWish(Wish):
    """Chill time [s]."""

    good: Time
    acceptable: Time


class MoneyWish(Wish):
    """Cost of the complete build."""

    good: Money
    acceptable: Money


class WaterWish(Wish):
    """Water used [m3]."""

    good: WaterUsed
    acceptable: WaterUsed


class DifficultyWish(Wish):
    """Difficulty, 0-10."""

    good: Difficulty
    acceptable: Difficulty


class Wishes(Frozen):
    """None: the fixed levels of the ranking are used and said."""

    chill_time: TimeWish | None = None
    cost: MoneyWish | None = None
    water: WaterWish | None = None
    difficulty: DifficultyWish | None = None
