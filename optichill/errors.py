"""What can go wrong, in one place. Every error that a user may meet derives from OptichillError."""

from __future__ import annotations

from dataclasses import dataclass


class OptichillError(Exception):
    """Base of all errors that end a command with a plain message; `exit_code` is the command's status."""

    exit_code = 4

    def lines(self) -> list[str]:
        """The message, a line for each thing that is wrong."""
        return str(self).split("\n")


@dataclass(frozen=True, order=True)
class InputFault:
    """One fault in one place of what the user wrote.

    Parameters
    ----------
    file, line : the place; line 0 means the file as a whole.
    key : TOML key path ("kettle.inside_diameter") or CSV column.
    given : what was found, as text ("" when it is missing).
    reason : why it is refused.
    allowed : what would be accepted.
    """

    file: str
    line: int
    key: str
    given: str
    reason: str
    allowed: str = ""

    def __str__(self) -> str:
        place = f"{self.file}:{self.line}" if self.line else self.file
        given = f": {self.given}" if self.given else ""
        allowed = f" (allowed: {self.allowed})" if self.allowed else ""
        return f"{place}: {self.key}{given}: {self.reason}{allowed}"


class InputFaults(OptichillError):
    """All faults of all files at once, in the order of file and line."""

    def __init__(self, faults: list[InputFault]) -> None:
        self.faults = sorted(set(faults))
        super().__init__("\n".join(str(fault) for fault in self.faults))

    def lines(self) -> list[str]:
        """A line for each fault."""
        return [str(fault) for fault in self.faults]

    def __reduce__(self) -> tuple[type[InputFaults], tuple[list[InputFault]]]:
        return type(self), (self.faults,)


class PropertyRange(OptichillError):
    """A temperature or strength outside the range in which the property tables are known."""


class Freezes(PropertyRange):
    """The wort gets too cold while it stands; `stage` is the place of the hold in the plan, from 0."""

    def __init__(self, stage: int) -> None:
        self.stage = stage
        super().__init__(f"cooling[{stage + 1}].hold: {self.reason} (allowed: {self.allowed})")

    reason = "the wort freezes while it stands"
    allowed = "a shorter hold, or warmer air round the kettle"

    def __reduce__(self) -> tuple[type[Freezes], tuple[int]]:
        return type(self), (self.stage,)


class CannotWrite(OptichillError):
    """A file could not be written; nothing was left half done."""

    exit_code = 5
