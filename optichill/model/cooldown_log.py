"""A batch as it was measured: readings of a thermometer against a clock, and what else was read."""

from __future__ import annotations

from dataclasses import dataclass

from optichill.arrays import Array

PLACES = ("coil", "top", "stirred")
"""Where the thermometer was: among the turns, near the surface, or in wort stirred before every reading."""

MEASURED_BY = {"eye": "eye", "stick": "weighed"}
"""How the wort's volume is known, with the name of its prior. A stick, or a scale."""


@dataclass(frozen=True)
class CooldownLog:
    """Readings of one batch, in order of time; SI. time [s] from when the water was turned on; wort [K]; NaN
    or None where something was not read: outlet and inlet of the water [K], flow [m3/s], stirred (1 or 0);
    arrays of shape (readings,).

    name : of the file, as a person knows it. clock : resolution of the times as they were written [s];
    thermometer : that of the temperatures [K]. place : one of PLACES. volume [m3] of hot wort, None where it
    is the brewhouse's; volume_by : a key of MEASURED_BY. remarks : what was read otherwise than it stands.
    date : of the day, 2026-11-29, where the log has it.
    """

    name: str
    time: Array
    wort: Array
    outlet: Array | None = None
    inlet: Array | None = None
    flow: Array | None = None
    stirred: Array | None = None
    clock: float = 60.0
    thermometer: float = 1.0
    place: str = "coil"
    volume: float | None = None
    volume_by: str = "eye"
    remarks: tuple[str, ...] = ()
    date: str | None = None
