"""Types of the fields that a brewer writes: a quantity, a bare number, a choice, yes or no.

A file is read with the context FROM_TEXT: there a quantity must be text with a unit. Without it (a model
built in Python) SI numbers are taken as they are, quantities of pint are converted, and the same ranges hold.

Every type says how a value is written (`written`), and the text below a field of a model what it means: of
the two the page of all keys is made.
"""

from __future__ import annotations

import datetime
import math
import numbers
import re
import unicodedata
from collections.abc import Collection
from contextlib import suppress
from dataclasses import FrozenInstanceError, dataclass
from difflib import get_close_matches
from typing import Annotated, Any

from pydantic import (
    BaseModel,
    BeforeValidator,
    ConfigDict,
    GetCoreSchemaHandler,
    StrictBool,
    ValidationInfo,
)
from pydantic_core import CoreSchema, PydanticCustomError, core_schema

from optichill import display, units
from optichill.materials import MATERIALS
from optichill.units import QuantityError

FROM_TEXT = {"text": True}


def from_text(info: ValidationInfo) -> bool:
    """Whether a file is being read."""
    return bool(info.context and info.context.get("text"))


class Frozen(BaseModel):
    """Base of all that is read: unknown keys are refused, nothing changes afterwards."""

    model_config = ConfigDict(extra="forbid", frozen=True, populate_by_name=True)

    def __setattr__(self, name: str, value: Any) -> None:
        if name in type(self).model_fields:  # as a frozen dataclass says it, whatever checks the fields
            raise FrozenInstanceError(f"cannot assign to field '{name}'")
        super().__setattr__(name, value)


def settle(model: BaseModel, **values: Any) -> None:
    """Write a default that follows from other fields into a frozen model, from its own validator only."""
    for name, value in values.items():
        object.__setattr__(model, name, value)


def refusal(reason: str, allowed: str = "", key: str = "") -> PydanticCustomError:
    """A fault in our own words; key names the field when the whole table is being looked at."""
    return PydanticCustomError("refused", "{reason}", {"reason": reason, "allowed": allowed, "key": key})


def near(word: str, known: Collection[str]) -> str:
    """ " did you mean ...?" for a misspelt name, or nothing."""
    close = get_close_matches(str(word), known, n=1, cutoff=0.6)
    return f": did you mean {close[0]}?" if close else ""


@dataclass(frozen=True)
class Quantity:
    """Range of a quantity in SI; `least` itself is allowed unless above."""

    kind: str
    least: float
    most: float
    above: bool = False

    def __get_pydantic_core_schema__(self, source: Any, handler: GetCoreSchemaHandler) -> CoreSchema:
        return core_schema.with_info_before_validator_function(self._read, handler(source))

    def _read(self, value: Any, info: ValidationInfo) -> float:
        return self.read(value, text_only=from_text(info))

    def read(self, value: Any, *, text_only: bool) -> float:
        """The SI value, or a refusal with the allowed range."""
        try:
            if units.is_pint(value):
                value = units.converted(value, self.kind)
            elif isinstance(value, str | bool) or text_only:
                value = units.parse(value, self.kind)
        except QuantityError as error:
            raise refusal(error.reason, error.allowed) from None
        return self._within(value)

    def _within(self, value: Any) -> float:
        try:
            found = float(value) if isinstance(value, numbers.Real) else math.nan
        except OverflowError:  # a whole number may be larger than any float
            found = math.inf
        if not math.isfinite(found):
            raise refusal("not a finite number", self.range_text())
        if found < self.least or (self.above and found == self.least):
            none = "must be larger than 0" if self.least == 0 and self.kind != "temperature" else "too small"
            raise refusal("too cold" if self.kind == "temperature" else none, self.range_text())
        if found > self.most:
            raise refusal("too hot" if self.kind == "temperature" else "too large", self.range_text())
        return found

    @property
    def written(self) -> str:
        """For example "length, 5 cm to 3 m"."""
        edge = "more than " if self.above else ""
        return f"{self.kind.replace('_', ' ')}, {edge}{self.range_text()}"

    def range_text(self) -> str:
        """For example "5 cm to 3 m"."""
        kind = {"volume": "exact_volume"}.get(self.kind, self.kind)
        return f"{display.show(self.least, kind)} to {display.show(self.most, kind)}"


@dataclass(frozen=True)
class Number:
    """Range of a bare number."""

    least: float
    most: float
    above: bool = False
    whole: bool = False

    def __get_pydantic_core_schema__(self, source: Any, handler: GetCoreSchemaHandler) -> CoreSchema:
        return core_schema.no_info_before_validator_function(self.read, handler(source))

    def read(self, value: Any) -> float:
        """The number, or a refusal with the allowed range."""
        try:
            found = units.number(value)
        except QuantityError as error:
            raise refusal(error.reason, error.allowed) from None
        outside = found < self.least or found > self.most or (self.above and found == self.least)
        if outside or (self.whole and found != int(found)):
            raise refusal("out of range", self.range_text())
        return found

    @property
    def written(self) -> str:
        """For example "number, 0 to 10"."""
        return self.range_text() if self.whole else f"number, {self.range_text()}"

    def range_text(self) -> str:
        """For example "a whole number, 0 to 50"."""
        edge = "more than " if self.above else ""
        kind = "a whole number, " if self.whole else ""
        return f"{kind}{edge}{self.least:g} to {self.most:g}"


@dataclass(frozen=True)
class Choice:
    """One of a few words, or of those that a registry holds at the time of reading."""

    words: Collection[str]

    def __get_pydantic_core_schema__(self, source: Any, handler: GetCoreSchemaHandler) -> CoreSchema:
        return core_schema.no_info_before_validator_function(self.read, handler(source))

    def read(self, value: Any) -> str:
        """The word, or a refusal that names them all."""
        if isinstance(value, str) and value in self.words:
            return value
        raise refusal(f"not known{near(value, self.words)}", self.written)

    @property
    def written(self) -> str:
        """The words."""
        return ", ".join(self.words)


@dataclass(frozen=True)
class Written:
    """How a value is written, where a check of its own hides it."""

    written: str


JOINER = "\u200d"
"""Between emoji that are shown as one."""


def seen(text: str) -> int:
    """Characters as a reader counts them: what is joined is one, and marks set on a letter are none."""
    marks = sum(unicodedata.category(c) in ("Mn", "Me") or 0x1F3FB <= ord(c) <= 0x1F3FF for c in text)
    return len(text) - marks - 2 * text.count(JOINER)


def _words(value: Any) -> str:
    if not isinstance(value, str):
        raise refusal("must be text in quotes")
    plain = " ".join(value.split())
    if not plain:
        raise refusal("empty")
    if seen(plain) > 200 or not all(c.isprintable() or c == JOINER for c in plain):
        raise refusal("longer than 200 characters or not printable")
    return plain


def _yes_or_no(value: Any) -> bool:
    if isinstance(value, bool):
        return value
    word = str(value).strip().lower()
    if word in ("yes", "true", "no", "false"):  # spreadsheets turn a yes into TRUE
        return word in ("yes", "true")
    raise refusal("not known", "yes, no")


KELVIN = 273.15

Text = Annotated[str, BeforeValidator(_words), Written("text")]
Flag = Annotated[StrictBool, Written("true, false")]
MetalName = Annotated[str, Choice(MATERIALS)]
YesNo = Annotated[bool, BeforeValidator(_yes_or_no), Written("yes, no")]
Money = Annotated[float, Number(0.0, 1e6)]
Size = Annotated[float, Quantity("length", 0.0, 10.0, above=True)]
Gap = Annotated[float, Quantity("length", 0.0, 1.0)]
TubeDiameter = Annotated[float, Quantity("length", 0.003, 0.060)]
Wall = Annotated[float, Quantity("length", 0.0002, 0.005)]
TubeLength = Annotated[float, Quantity("length", 0.2, 1000.0)]
CoilDiameter = Annotated[float, Quantity("length", 0.03, 2.0)]
Volume = Annotated[float, Quantity("volume", 0.0, 2.0, above=True)]
Temperature = Annotated[float, Quantity("temperature", KELVIN, KELVIN + 105.0)]
WaterTemperature = Annotated[float, Quantity("temperature", KELVIN, KELVIN + 60.0)]
AirTemperature = Annotated[float, Quantity("temperature", KELVIN - 30.0, KELVIN + 60.0)]
Time = Annotated[float, Quantity("time", 0.0, 86400.0, above=True)]
Flow = Annotated[float, Quantity("flow", 0.1 / 6e4, 500.0 / 6e4)]
Mass = Annotated[float, Quantity("mass", 0.0, 500.0, above=True)]
Speed = Annotated[float, Quantity("speed", 0.0, 2.0)]
Turns = Annotated[float, Number(0.5, 500.0)]


def _date(value: Any) -> datetime.date:
    if isinstance(value, datetime.date) and not isinstance(value, datetime.datetime):
        return value
    if isinstance(value, str) and re.fullmatch(r"[0-9]{4}-[0-9]{2}-[0-9]{2}", value.strip()):
        with suppress(ValueError):  # the right shape, but no such day
            return datetime.date.fromisoformat(value.strip())
    raise refusal("not a date", "year-month-day, such as 2026-11-01")


Date = Annotated[datetime.date, BeforeValidator(_date), Written("year-month-day")]
