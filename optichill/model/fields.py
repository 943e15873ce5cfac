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
from collections.abc import Callable, Collection, Mapping
from contextlib import suppress
from dataclasses import KW_ONLY, FrozenInstanceError, dataclass
from difflib import get_close_matches
from typing import Annotated, Any

from pydantic import (
    BaseModel,
    BeforeValidator,
    ConfigDict,
    GetCoreSchemaHandler,
    StrictBool,
    ValidationError,
    ValidationInfo,
    ValidatorFunctionWrapHandler,
    WrapValidator,
)
from pydantic_core import CoreSchema, PydanticCustomError, core_schema

from optichill import display, unit_table, units
from optichill.errors import shown
from optichill.materials import MATERIALS
from optichill.model import dates
from optichill.model.quoted import FileNumber, SettledCell, quote
from optichill.spellings import both_readings, two_readings, without_sign
from optichill.units import QuantityError

FROM_TEXT: dict[str, Any] = {"text": True}


@dataclass(frozen=True)
class Heard:
    """Something that was not written as it should be and was understood all the same, or left out.

    field : key or column; text : what was made of it; group : of all in a group one is told.
    """

    field: str
    text: str
    group: str


def from_text(info: ValidationInfo) -> bool:
    """Whether a file is being read."""
    return bool(info.context and info.context.get("text"))


def listening(heard: list[Heard], **context: Any) -> dict[str, Any]:
    """The context in which what is `Heard` is kept in a list.

    Of a file it is FROM_TEXT as well; `units` says in whose country an unclear date was written.
    """
    return {**context, "heard": heard}


def _hear(info: ValidationInfo, text: str, group: str) -> bool:
    """Keep what was made of a value; False where nobody listens."""
    heard = (info.context or {}).get("heard")
    if heard is not None:
        heard.append(Heard(str(info.field_name or ""), text, group))
    return heard is not None


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


_SAID_IN_US = re.compile('(in|inch|inches|ft|feet|"|F|psi|lb|lbs|oz|gal|qt|gpm|gal/min|ft/s|SG|sg) *$')
"""A refused quantity is told its range in the units in which it was written."""


_NOT_ONE_VALUE: tuple[tuple[type | tuple[type, ...], str], ...] = (
    (bool, "true or false"),
    ((list, tuple), "a list"),
    (dict, "a table"),
    ((datetime.date, datetime.time), "a date or a time of day"),
)


def _refuse_kind(value: Any, takes: Callable[[], str]) -> None:
    """Refuse by its name what is neither text nor a number."""
    for kind, said in _NOT_ONE_VALUE:
        if isinstance(value, kind):
            one = value[0] if isinstance(value, list) and len(value) == 1 else None
            instead = f": write '{shown(one)}' without brackets" if isinstance(one, str) else ""
            raise refusal(f"{said} is not taken here{instead}", takes())


@dataclass(frozen=True)
class Quantity:
    """Range of a quantity in SI; `least` itself is allowed unless above. `words` are taken as they are."""

    kind: str
    least: float
    most: float
    above: bool = False
    words: Collection[str] = ()

    def __get_pydantic_core_schema__(self, source: Any, handler: GetCoreSchemaHandler) -> CoreSchema:
        return core_schema.with_info_before_validator_function(self._read, handler(source))

    def _read(self, value: Any, info: ValidationInfo) -> float | str:
        if isinstance(value, str) and value in self.words:
            return value
        if isinstance(value, str) and self.words and not re.search("[0-9]", value):
            raise refusal(f"not known{near(value, self.words)}", self.takes)
        return self.read(value, text_only=from_text(info), info=info)

    def read(self, value: Any, *, text_only: bool, info: ValidationInfo | None = None) -> float:
        """The SI value, or a refusal with the allowed range."""
        _refuse_kind(value, lambda: self.takes)
        said_in_us = isinstance(value, str) and _SAID_IN_US.search(value)
        bare = not isinstance(value, str | bool) and not text_only and not units.is_pint(value)
        try:
            if units.is_pint(value):
                value = units.converted(value, self.kind)
            elif not bare:
                written = value
                value, heard = units.read(written, self.kind)
                if heard and info is not None:
                    said = f"{shown(str(quote(written)))} read as {heard}"
                    _hear(info, said, re.sub("[0-9./+-]+", "", heard))
        except QuantityError as error:
            known = isinstance(value, str) and not self.words
            both = two_readings(value.strip()) if isinstance(value, str) else ()
            fit = [text for text in both if self._fits(text)]
            if both and len(fit) < 2:  # one that is out of range is no advice
                comma = (
                    f"a comma is not read: write {fit[0]}"
                    if fit
                    else f"neither {' nor '.join(both)} is allowed"
                )
                raise refusal(comma, self.range_text("us" if said_in_us else "metric")) from None
            bare_number = re.fullmatch(r"[0-9]+(\.[0-9]+)?", str(quote(value)).strip())
            reason = error.reason + (self._could_be(float(bare_number[0])) if bare_number else "")
            raise refusal(reason, error.allowed if known else self.takes) from None
        return self._within(value, bare, "us" if said_in_us else "metric")

    def _within(self, value: Any, bare: bool, system: str) -> float:
        try:
            found = float(value) if isinstance(value, numbers.Real) else math.nan
        except OverflowError:  # a whole number may be larger than any float
            found = math.inf
        if not math.isfinite(found):
            raise refusal("not a finite number", self.range_text(system))
        if not self._holds(found):
            reason = self._outside(found) + (self._taken_as(found) if bare else "")
            raise refusal(reason, self.range_text(system))
        if bare and self.kind == "gravity" and 0.98 <= found <= 1.2:
            reason = f"looks like a specific gravity{self._taken_as(found)} or '{found:.10g} degP'"
            raise refusal(reason, self.range_text())
        return found

    def _fits(self, text: str) -> bool:
        """Whether a quantity can be read and lies in the range."""
        with suppress(QuantityError):
            return self._holds(units.parse(text, self.kind))
        return False

    def _holds(self, found: float) -> bool:
        return self.least <= found <= self.most and not (self.above and found == self.least)

    def _outside(self, found: float) -> str:
        """On which side of the range it lies."""
        if found > self.least and found > self.most:
            return "too hot" if self.kind == "temperature" else "too large"
        if self.kind == "temperature":
            return "too cold"
        return "must be larger than 0" if self.least == 0 else "too small"

    def _with_units(self, found: float) -> list[str]:
        """With which units a bare number would be one that is allowed."""
        fit = []
        for unit in unit_table.units_of(self.kind)[:5]:
            with suppress(QuantityError):
                text = f"{found:.10g} {unit}"
                if unit != unit_table.si_unit(self.kind) and self._holds(units.parse(text, self.kind)):
                    fit.append(f"'{text}'")
        return fit

    def _could_be(self, found: float) -> str:
        """What a number without its unit may mean."""
        fit = self._with_units(found)[:2]
        return f"; it could be {' or '.join(fit)}" if fit else ""

    def _taken_as(self, found: float) -> str:
        """What a bare number was taken for, and which units would make it one that is allowed."""
        fit = self._with_units(found)
        said = f": read as {found:.10g} {unit_table.si_unit(self.kind)}, for a bare number is SI"
        return f"{said}; with its unit it could be {' or '.join(fit)}" if fit else said

    @property
    def takes(self) -> str:
        """For example "best, or a temperature in quotes such as 12 degC or 55 degF; units degC, degF, K"."""
        words = f"{', '.join(self.words)}, or " if self.words else ""
        return f"{words}a {self.kind.replace('_', ' ')} in quotes such as {unit_table.allowed(self.kind)}"

    @property
    def written(self) -> str:
        """For example "length, 5 cm to 3 m"."""
        edge = "more than " if self.above else ""
        words = f", or {', '.join(self.words)}" if self.words else ""
        return f"{self.kind.replace('_', ' ')}, {edge}{self.range_text()}{words}"

    def range_text(self, system: str = "metric") -> str:
        """For example "5 cm to 3 m"; system : metric or us."""
        kind = {"volume": "exact_volume"}.get(self.kind, self.kind)
        return f"{display.show(self.least, kind, system)} to {display.show(self.most, kind, system)}"


@dataclass(frozen=True)
class OrTable(Quantity):
    """A quantity or word, or in its place a table of a model. short : the table behind one text, or None
    where a text is none; takes_all : what a refusal says is allowed."""

    _: KW_ONLY
    table: type[BaseModel]
    short: Callable[[str], dict[str, Any] | None]
    takes_all: str

    def __get_pydantic_core_schema__(self, source: Any, handler: GetCoreSchemaHandler) -> CoreSchema:
        def read(value: Any, inner: ValidatorFunctionWrapHandler, info: ValidationInfo) -> Any:
            told = self.short(value) if isinstance(value, str) else value
            return inner(told) if isinstance(told, Mapping | self.table) else self._read(value, info)

        return core_schema.with_info_wrap_validator_function(read, handler.generate_schema(self.table))

    @property
    def takes(self) -> str:
        """All that may be written."""
        return self.takes_all


@dataclass(frozen=True)
class Number:
    """Range of a bare number; `money` may have thousands, so that 1.200 in a file can be 1.2 or 1200."""

    least: float
    most: float
    above: bool = False
    whole: bool = False
    money: bool = False

    def __get_pydantic_core_schema__(self, source: Any, handler: GetCoreSchemaHandler) -> CoreSchema:
        return core_schema.with_info_before_validator_function(self.read, handler(source))

    def read(self, value: Any, info: ValidationInfo | None = None) -> float:
        """The number, or a refusal with the allowed range."""
        _refuse_kind(value, self.range_text)
        if self.money and isinstance(value, str):
            value = self._amount(value, str(((info and info.context) or {}).get("currency") or ""))
        in_file = isinstance(value, str | FileNumber) and not isinstance(value, SettledCell)
        both = both_readings(str(quote(value)).strip()) if self.money and in_file else None
        if both:
            raise refusal("can be {0} or {1}: write {0} or {1}".format(*both))
        try:
            found = units.number(value)
        except QuantityError as error:
            told = isinstance(value, int | float) or error.reason == "out of range"
            raise refusal(error.reason, self.range_text() if told else error.allowed) from None
        outside = found < self.least or found > self.most or (self.above and found == self.least)
        if outside or (self.whole and found != int(found)):
            raise refusal("out of range", self.range_text())
        return found

    @staticmethod
    def _amount(written: str, currency: str) -> str:
        """A price without the sign of its own currency; another one's is refused."""
        plain, sign = without_sign(str(quote(written)).strip(), currency)
        if not sign:
            return written
        if not plain:
            own = f"the currency here is {currency}" if currency else "no currency is read here"
            raise refusal(f"'{sign}': {own}", "a number such as 42.5")
        return SettledCell(plain, written) if not both_readings(plain) else plain

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


def _left_out(blank: Any) -> WrapValidator:
    """Of a field that acts on nothing: what cannot be read is told, left out, and never blocks."""

    def read(value: Any, handler: ValidatorFunctionWrapHandler, info: ValidationInfo) -> Any:
        try:
            return handler(value)
        except ValidationError as error:
            reason = error.errors(include_url=False)[0]["msg"]
            said = f"'{shown(str(value))}' left out, for it acts on nothing: {reason}"
            if not _hear(info, said, f"left out of {info.field_name}"):
                raise
            return blank

    return WrapValidator(read)


KELVIN = 273.15

Text = Annotated[str, BeforeValidator(_words), Written("text")]
Remark = Annotated[Text, _left_out("")]
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
ChillTime = Annotated[float, Quantity("time", 60.0, 86400.0)]  # no coil is so fast: 40 s were 40 minutes
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
        _hear(info, f"{shown(value)} read as {days[order]}{said}", f"date {order if said else ''}")
    return days[order]


Date = Annotated[datetime.date, BeforeValidator(_date), Written("year-month-day")]
RemarkDate = Annotated[Date | None, _left_out(None)]
