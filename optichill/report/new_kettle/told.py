"""What the words of one answer about a new kettle share: the answer, its units and its money."""

from __future__ import annotations

from dataclasses import dataclass

from optichill.display import show
from optichill.money import money
from optichill.owned.new_kettle.ranked import NewKettle
from optichill.report import ranges
from optichill.report.improve.words import measured
from optichill.report.words import by_hand, limit_words


@dataclass(frozen=True)
class Told:
    """What the words of one answer share."""

    found: NewKettle
    units: str
    currency: str

    @classmethod
    def of(cls, found: NewKettle) -> Told:
        """In the units and the money of the new kettle."""
        brewhouse = found.new.brewhouse
        return cls(found, brewhouse.units, brewhouse.stock.currency)

    def size(self, metres: float) -> str:
        """A length as a tape reads it."""
        return by_hand.rough(metres, self.units)

    def set_at(self, metres: float) -> str:
        """A height that a hand sets, to a millimetre or a sixteenth of an inch: what is moved and where it is
        then add up."""
        return measured(metres, self.units)

    def over_top(self, metres: float) -> tuple[str, str]:
        """Wort over a top turn, and how much the new kettle asks for."""
        new = self.found.new
        return limit_words.over_the_top(max(metres, 0.0), new.brewhouse.kettle.top_clearance, new)

    def gap(self, metres: float) -> str:
        """A gap between turns."""
        return show(metres, "gap", self.units)

    def tube(self, metres: float) -> str:
        """Tube by its length."""
        return show(metres, "long_length", self.units)

    def across(self, metres: float) -> str:
        """Tube by its outside diameter."""
        return show(metres, "tube", self.units)

    def today(self) -> tuple[str, str]:
        """Minutes and water of the coil in the old kettle."""
        p = self.found.before.prediction
        if p.told.time is None:
            return "not reached", ""
        return ranges.minutes(p), show(p.told.water, "volume", self.units)

    def money(self, amount: float) -> str:
        """Money that is small beside the whole is not told finer than the whole."""
        return money(amount, self.currency)
