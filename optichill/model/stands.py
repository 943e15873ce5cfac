"""How a coil that exists stands in its kettle, as its file says it: words, measured heights, and where these
contradict each other."""

from __future__ import annotations

from dataclasses import dataclass

from optichill.display import show

STANDS = ("feet", "floor", "hangs")
"""On feet, with its lowest turn on the floor, or hung over the rim."""
HEIGHT_SEEN = 0.005  # m, by which two heights of the lowest turn may differ

Fault = tuple[str, str, str]
"""Reason, what is allowed, key."""


@dataclass(frozen=True)
class Standing:
    """What a coil file says of it: stands, feet_height, hangs_below_rim and lowest_turn_height [m], None
    where it says nothing."""

    stands: str | None
    feet: float | None
    below_rim: float | None
    lowest: float | None

    @property
    def rests(self) -> str | None:
        """One of STANDS where it is told or follows from what is measured; else None."""
        if self.stands is not None:
            return self.stands
        return "feet" if self.feet is not None else "hangs" if self.below_rim is not None else None

    @property
    def asked(self) -> bool:
        """Whether nothing says how it stands."""
        return self.rests is None and self.lowest is None

    def alone(self, d_o: float) -> float | None:
        """Height of the lowest turn [m] as far as the coil's file alone tells it."""
        if self.lowest is not None:
            return self.lowest
        if self.feet is not None or self.stands == "floor":
            return (self.feet or 0.0) + d_o / 2.0
        return None

    def fault(self, d_o: float, units: str) -> Fault | None:
        """Where it contradicts itself, or leaves out what is needed."""
        if self.feet is not None and self.below_rim is not None:
            both = "feet_height and hangs_below_rim are both given"
            return both, "the one that is true: a coil stands on feet, or hangs", "hangs_below_rim"
        for key, told, its in (
            ("feet_height", self.feet, "feet"),
            ("hangs_below_rim", self.below_rim, "hangs"),
        ):
            if told is not None and self.stands not in (None, its):
                return f'stands is "{self.stands}"', f'stands = "{its}", or {key} left out', key
        if self.stands == "hangs" and self.below_rim is None and self.lowest is None:
            rim = "kettle's rim down to the top of the top turn; or lowest_turn_height"
            return "missing", rim, "hangs_below_rim"
        return self._two_heights(d_o, units)

    def _two_heights(self, d_o: float, units: str) -> Fault | None:
        stood = Standing(self.stands, self.feet, None, None).alone(d_o)
        if self.lowest is None or stood is None or abs(stood - self.lowest) <= HEIGHT_SEEN:
            return None
        how = "feet_height" if self.feet is not None else 'stands = "floor"'
        told, due = (show(x, "length", units) for x in (self.lowest, stood))
        return f"{told}, but by {how} it is {due}", f"{due}, or left out", "lowest_turn_height"


def hung(below_rim: float, rim: float, climb: float, d_o: float) -> float:
    """Height of the lowest turn's centre [m] of a coil whose top turn's top hangs so far below the rim.

    Parameters
    ----------
    below_rim, rim, climb, d_o : float [m]
        Rim to the top of the turns; floor to rim; turns, centre to centre; tube.

    Examples
    --------
    >>> round(hung(0.15, 0.33, 0.14, 0.01), 4)  # 33 - 15 - 14 cm, less half a tube
    0.035
    """
    return rim - below_rim - climb - d_o / 2.0


def hung_fault(told: Standing, rim: float, climb: float, d_o: float, units: str) -> Fault | None:
    """What the kettle says against a coil that hangs: its turns would stand under the floor, or its lowest
    turn is told to be elsewhere; rim, climb, d_o [m] as in `hung`."""
    if told.below_rim is None:
        return None
    lowest = hung(told.below_rim, rim, climb, d_o)
    if told.lowest is not None:
        if abs(lowest - told.lowest) <= HEIGHT_SEEN:
            return None
        mine, due = (show(x, "length", units) for x in (told.lowest, lowest))
        return f"{mine}, but by hangs_below_rim it is {due}", f"{due}, or left out", "lowest_turn_height"
    under = d_o / 2.0 - lowest
    if under <= HEIGHT_SEEN:
        return None
    most = rim - climb - d_o
    reason = f"the turns would reach {show(under, 'length', units)} below the kettle's floor"
    again = "measure hangs_below_rim, the turns' height and the kettle's inside_height again"
    room = f"at most {show(most, 'length', units)}; " if most > 0.0 else ""
    return reason, f"{room}{again}", "hangs_below_rim"
