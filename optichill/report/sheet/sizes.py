"""Lengths as they are said at the bench: millimetres, or inches with sixteenths and feet along the tube."""

from __future__ import annotations

from dataclasses import dataclass

from optichill.display import FOOT, INCH, inch_fraction, show, trim
from optichill.fabrication.markout import MarkOut


@dataclass(frozen=True)
class Sizes:
    """How lengths [m] are written. units : metric or us; step : to which marks are rounded [m]."""

    units: str
    step: float

    def length(self, metres: float) -> str:
        """A size: half millimetres, whole ones from 10 cm up; or sixteenths."""
        if self.units == "us":
            return inch_fraction(metres)
        mm = metres * 1e3
        return f"{trim(0.5 * round(2.0 * mm)) if abs(mm) < 100.0 else trim(mm, 0)} mm"

    def tube(self, metres: float) -> str:
        """An outside diameter."""
        return show(metres, "tube", self.units)

    def wall(self, metres: float) -> str:
        """Wall of a tube, from metres."""
        return show(metres, "wall", self.units)

    def long(self, metres: float) -> str:
        """Tube as it is bought: tenths of a metre, or feet and whole inches."""
        if self.units != "us":
            return show(metres, "long_length", self.units)
        feet, inches = divmod(round(metres / INCH), 12)
        return " ".join(
            [*([f"{feet} ft"] if feet else []), *([f"{inches} in"] if inches or not feet else [])]
        )

    def off(self, metres: float) -> str:
        """By how much something may be off, never told larger than it is."""
        if self.units == "us":
            return inch_fraction(max(1, int(metres / INCH * 16.0 + 1e-6)) * INCH / 16.0)
        return f"{max(1, int(metres * 1e3 + 1e-6))} mm"

    def either_way(self, planned: float, plus: float, minus: float) -> str:
        """What a size may be off [m], counted from the size as it is printed and rounded inwards: rounding
        never widens a tolerance."""
        step = INCH / 16.0 if self.units == "us" else 1e-3
        told = step * round(planned / step)
        if self.units != "us" and planned < 0.1:
            told = 0.5e-3 * round(planned / 0.5e-3)
        up, down = (
            max(0, int(room / step + 1e-6)) * step for room in (planned + plus - told, told - planned + minus)
        )
        if up < 1e-9:
            return f"not more, - {self.length(down)}" if down > 1e-9 else "as it is"
        if down < 1e-9:
            return f"+ {self.length(up)}, not less"
        if abs(up - down) < 1e-9:
            return f"± {self.length(up)}"
        return f"+ {self.length(up)} / - {self.length(down)}"

    def mark(self, metres: float) -> str:
        """A place along the tube, of a mark that is already rounded."""
        if self.units != "us":
            return f"{trim(metres * 1e3)} mm"
        if abs(metres) < 4.0 * FOOT:
            return inch_fraction(metres)
        feet, inches = divmod(round(metres / INCH * 16.0), 192)
        return f"{feet} ft {inch_fraction(inches * INCH / 16.0)}"

    def rounded(self, marks: MarkOut) -> MarkOut:
        """Marks as they can be set."""
        return marks.rounded(self.step)
