"""How wort is stirred, as a brewer can say it: with what, in which motion, how long in each minute."""

from __future__ import annotations

import re
from typing import Annotated, Any, Self

from pydantic import AfterValidator, Field, model_validator

from optichill.model.fields import Choice
from optichill.model.frozen import Frozen
from optichill.model.number import Number
from optichill.model.quantity import OrTable
from optichill.model.refusals import refusal
from optichill.thermal.batch import MIXING_WORDS, MOTIONS


class Stirring(Frozen):
    """How wort is stirred: with what, in which motion, and how many seconds of each minute."""

    with_: Annotated[str, Choice(MOTIONS)] = Field(alias="with")
    """What moves the wort; a coil is bobbed up and down."""
    motion: Annotated[str, Choice(("slow", "brisk"))] | None = None
    """slow is half a turn to one a second, or a bob in three seconds; left out for a pump."""
    seconds_a_minute: Annotated[float, Number(0.0, 60.0)] = 60.0
    """How long it moves in each minute [s]."""

    @model_validator(mode="after")
    def _has_motion(self) -> Self:
        if self.seconds_a_minute == 0.0:
            raise refusal("0 is no stirring", 'more than 0, or mixing = "left alone"', "seconds_a_minute")
        known = MOTIONS[self.with_]
        if self.motion not in known:
            if self.motion is None:
                raise refusal("missing", ", ".join(filter(None, known)), "motion")
            raise refusal(f"not of a {self.with_}", "leave it out", "motion")
        return self

    @classmethod
    def in_one_text(cls, text: str) -> dict[str, Any] | None:
        """The table behind "paddle, slow, 15 s a minute"; None of a text that begins with no tool, or is one
        of the words."""
        tool, *rest = (part.strip() for part in text.lower().split(","))
        if tool not in MOTIONS or text.lower() in MIXING_WORDS:
            return None
        table: dict[str, Any] = {"with": tool}
        for part in rest:
            seconds = re.fullmatch(r"(\S+) s(?:ec|econds)? a minute", part)
            table |= {"seconds_a_minute": seconds[1]} if seconds else {"motion": part}
        return table

    @property
    def table(self) -> dict[str, Any]:
        """As a brewhouse file has it."""
        return self.model_dump(by_alias=True, exclude_none=True)

    @property
    def all_along(self) -> Stirring:
        """The same, all the time."""
        return self.model_copy(update={"seconds_a_minute": 60.0})

    @property
    def share(self) -> float:
        """Share of the time that it moves."""
        return self.seconds_a_minute / 60.0


MIXING_ALLOWED = (
    f'{", ".join(MIXING_WORDS)}, a speed in quotes such as 0.1 m/s, or "paddle, slow, 15 s a minute"'
)


def _still(mixing: Stirring | str | float) -> Stirring | str | float:
    """A speed of nothing is wort that is left alone."""
    return "left alone" if isinstance(mixing, float) and mixing == 0.0 else mixing


Mixed = Annotated[
    Stirring | str | float,
    OrTable(
        "speed",
        0.0,
        2.0,
        words=MIXING_WORDS,
        table=Stirring,
        short=Stirring.in_one_text,
        takes_all=MIXING_ALLOWED,
    ),
    AfterValidator(_still),
]
"""A word, a speed [m/s], or a table; 0 m/s is the word for it."""


def as_mixing(tool: str, motion: str | None) -> dict[str, str]:
    """As the brewhouse file has it."""
    return {"with": tool} if motion is None else {"with": tool, "motion": motion}


MORE: dict[tuple[str, str | None], tuple[str, str | None]] = {
    ("spoon", "slow"): ("paddle", "slow"),
    ("spoon", "brisk"): ("paddle", "brisk"),
    ("paddle", "slow"): ("paddle", "brisk"),
    ("coil", "slow"): ("coil", "brisk"),
}
"""What moves the wort more than what is done all along already."""


def more_motion(mixing: Stirring | str | float) -> list[tuple[str, str | None]]:
    """Tools and motions that would move it more, all along."""
    if isinstance(mixing, Stirring) and mixing.share < 1.0:
        if mixing.with_ in ("coil", "whirlpool pump"):
            return [(mixing.with_, mixing.motion)]
        return [("paddle", "slow"), (mixing.with_, mixing.motion)]
    if isinstance(mixing, Stirring):
        return [MORE[way] for way in [(mixing.with_, mixing.motion)] if way in MORE]
    if mixing in ("left alone", "now and then"):
        return [("paddle", "slow")]
    if mixing == "steady" or (isinstance(mixing, float) and mixing < 0.05):
        return [("paddle", "brisk" if mixing == "steady" else "slow")]
    return []
