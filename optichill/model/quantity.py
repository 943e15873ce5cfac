"""A quantity that a brewer writes, and the range it must lie in.

A file is read with the context FROM_TEXT: there a quantity must be text with a unit. Without it (a model
built in Python) SI numbers are taken as they are, quantities of pint are converted, and the same ranges hold.
"""

from __future__ import annotations

import math
import numbers
import re
from collections.abc import Callable, Collection, Mapping
from contextlib import suppress
from dataclasses import KW_ONLY, dataclass
from typing import Any

from pydantic import BaseModel, GetCoreSchemaHandler, ValidationInfo, ValidatorFunctionWrapHandler
from pydantic_core import CoreSchema, core_schema

from optichill import display, unit_table, units
from optichill.errors import shown
from optichill.model.heard import from_text, hear
from optichill.model.quoted import quote
from optichill.model.refusals import near, refusal, refuse_kind
from optichill.spellings import two_readings
from optichill.units import QuantityError

_SAID_IN_US = re.compile(
    '(^|[^A-Za-z/])(in|inch|inches|ft|feet|"|F|degF|psi|lb|lbs|oz|gal|qt|gpm|gal/min|gal/h|ft/s|SG|sg) *$'
)
"""A refused quantity is told its range in the units in which it was written."""


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
        refuse_kind(value, lambda: self.takes)
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
                    hear(info, said, re.sub("[0-9./+-]+", "", heard))
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
        if self.least == 0:
            return "must be larger than 0" if self.above else "must not be below 0"
        return "too small"

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
        words = f", or {', '.join(self.words)}" if self.words else ""
        return f"{self.kind.replace('_', ' ')}, {self.range_text()}{words}"

    def range_text(self, system: str = "metric") -> str:
        """For example "5 cm to 3 m", "more than 0 mm to 10 m"; system : metric or us."""
        edge = "more than " if self.above else ""
        kind = {"volume": "exact_volume"}.get(self.kind, self.kind)
        return f"{edge}{display.show(self.least, kind, system)} to {display.show(self.most, kind, system)}"


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
