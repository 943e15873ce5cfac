"""A bare number that a brewer writes, and the range it must lie in."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from pydantic import GetCoreSchemaHandler, ValidationInfo
from pydantic_core import CoreSchema, core_schema

from optichill import units
from optichill.model.quoted import FileNumber, SettledCell, quote
from optichill.model.refusals import refusal, refuse_kind
from optichill.spellings import both_readings, without_sign
from optichill.units import QuantityError


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
        refuse_kind(value, self.range_text)
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
