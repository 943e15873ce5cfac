"""Types of the fields that a brewer writes: quantities and numbers with their ranges, choices, words, dates.

Every type says how a value is written (`written`), and the text below a field of a model what it means: of
the two the page of all keys is made.
"""

from __future__ import annotations

import datetime
import unicodedata
from collections.abc import Collection
from dataclasses import dataclass
from typing import Annotated, Any

from pydantic import BeforeValidator, GetCoreSchemaHandler, StrictBool, ValidationInfo
from pydantic_core import CoreSchema, core_schema

from optichill.errors import shown
from optichill.materials import MATERIALS
from optichill.model import dates
from optichill.model.heard import hear, left_out
from optichill.model.number import Number
from optichill.model.quantity import Quantity
from optichill.model.refusals import near, refusal
from optichill.thermal.cooldown import LONGEST


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
    if text.isascii():
        return len(text)
    marks = sum(unicodedata.category(c) in ("Mn", "Me") or 0x1F3FB <= ord(c) <= 0x1F3FF for c in text)
    return len(text) - marks - 2 * text.count(JOINER)


def _words(value: Any) -> str:
    if not isinstance(value, str):
        raise refusal("must be text in quotes")
    plain = " ".join(value.split())
    if not plain:
        raise refusal("empty")
    if seen(plain) > 200 or not plain.replace(JOINER, "").isprintable():
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
Remark = Annotated[Text, left_out("")]
Flag = Annotated[StrictBool, Written("true, false")]
MetalName = Annotated[str, Choice(MATERIALS)]
YesNo = Annotated[bool, BeforeValidator(_yes_or_no), Written("yes, no")]
Money = Annotated[float, Number(0.0, 1e9, money=True)]
Size = Annotated[float, Quantity("length", 0.0, 10.0, above=True)]
Gap = Annotated[float, Quantity("length", 0.0, 1.0)]
TubeDiameter = Annotated[float, Quantity("length", 0.003, 0.060)]
THINNEST, THICKEST = 0.0002, 0.005
"""Walls that tube is sold with [m]."""
Wall = Annotated[float, Quantity("length", THINNEST, THICKEST)]
TubeLength = Annotated[float, Quantity("length", 0.2, 1000.0)]
CoilDiameter = Annotated[float, Quantity("length", 0.03, 2.0)]
Volume = Annotated[float, Quantity("volume", 0.0, 2.0, above=True)]
Temperature = Annotated[float, Quantity("temperature", KELVIN, KELVIN + 105.0)]
WaterTemperature = Annotated[float, Quantity("temperature", KELVIN, KELVIN + 60.0)]
AirTemperature = Annotated[float, Quantity("temperature", KELVIN - 30.0, KELVIN + 60.0)]
Time = Annotated[float, Quantity("time", 0.0, 86400.0, above=True)]
ChillTime = Annotated[float, Quantity("time", 60.0, LONGEST)]  # no coil is so fast: 40 s were 40 minutes
Flow = Annotated[float, Quantity("flow", 0.1 / 6e4, 500.0 / 6e4)]
Mass = Annotated[float, Quantity("mass", 0.0, 500.0, above=True)]
Speed = Annotated[float, Quantity("speed", 0.0, 2.0)]
Turns = Annotated[float, Number(0.5, 500.0)]


def _date(value: Any, info: ValidationInfo) -> datetime.date:
    if isinstance(value, datetime.date) and not isinstance(value, datetime.datetime):
        return value
    days = dates.readings(value) if isinstance(value, str) else {}
    if not days:
        raise refusal("not a date", dates.ISO)
    order = next(iter(days))
    if len(days) > 1:
        units_there = (info.context or {}).get("units")
        if units_there is None:
            raise refusal(f"can be {' or '.join(map(str, days.values()))}", dates.ISO)
        order = "month first" if units_there == "us" else "day first"
    if value.strip() != str(days[order]):
        said = f", {order}, as where units are {units_there}" if len(days) > 1 else ""
        hear(info, f"{shown(value)} read as {days[order]}{said}", f"date {order if said else ''}")
    return days[order]


Date = Annotated[datetime.date, BeforeValidator(_date), Written("year-month-day")]
RemarkDate = Annotated[Date | None, left_out(None)]
