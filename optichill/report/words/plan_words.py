"""A cooling plan stage by stage: what cools, how the wort is moved, how hot the water comes out."""

from __future__ import annotations

import math

from optichill.display import show, trim
from optichill.model.cooling import CoolingStage
from optichill.model.stirring import Stirring
from optichill.problem.basis import DesignBasis
from optichill.rating.prediction import ChangeOver, StageLine
from optichill.rating.remedies import tenth_up
from optichill.report.words.by_hand import bags, degrees, written_degrees
from optichill.thermal.sources import ICE_DENSITY
from optichill.workshop.cautions import as_hot


def mixing(mixing: Stirring | str | float, units: str) -> str:
    """How the wort is moved: a word, a speed, or with what, how and how long."""
    if isinstance(mixing, str):
        return mixing
    if isinstance(mixing, float):
        return f"wort moving at {show(mixing, 'speed', units)}"
    tool = "coil bobbed up and down" if mixing.with_ == "coil" else mixing.with_
    long = f"{trim(mixing.seconds_a_minute)} s a minute" if mixing.share < 1.0 else "all the time"
    return ", ".join(filter(None, (tool, mixing.motion, long)))


def first_out(T_then: float, basis: DesignBasis) -> str:
    """How hot the water comes out: what stood in the coil first, then what runs, at T_then [K]."""
    u = basis.brewhouse.units
    return f"what stood in the coil comes out {as_hot(basis.scenario.T_start, u)}, then {degrees(T_then, u)}"


def stage_line(line: StageLine, begins: float, basis: DesignBasis) -> str:
    """One stage of the plan as the coil goes through it, from wort at `begins` [K]."""
    brewhouse = basis.brewhouse
    stage, u = brewhouse.cooling[line.number - 1], brewhouse.units
    if stage.is_hold:
        end = f", the wort then at {degrees(line.until, u)}" if line.until is not None else ""
        return f"stand {show(stage.hold, 'minutes')} (not counted){end}"
    text = SOURCE_WORDS[stage.source or "tap"]
    if line.idle:
        return f"{text}: nothing left to do, the wort is at {degrees(begins, u)} already"
    if line.until is not None:
        text += f" down to {degrees(line.until, u)}"
    if not line.done:
        return f"{text}: not in 6 hours"
    text += f": {line.time / 60.0:.0f} min"
    if line.water > 0.0:
        text += f", {show(line.water, 'volume', u)} of water"
    if stage.ice:
        text += f", {show(line.ice, 'mass', u)} of {show(stage.ice, 'mass', u)} ice melted"
    if line.bath is not None:
        text += f", bath ends at {degrees(line.bath, u)}"
    if stage.source == "bucket":
        source = basis.scenario.stages[line.number - 1].source
        changes = [] if source is None or line.until is None else source.changes(begins, line.until)[:-1]
        text += _fillings(line, stage, [degrees(float(T), u) for T in changes], u)
    return text


SOURCE_WORDS = {
    "tap": "tap water",
    "bucket": "water pumped from a bucket",
    "ice bath": "ice water pumped round",
    "precooled tap": "tap water through a coil in ice",
}


MOST_CHANGES = 6
"""So many temperatures of a change of water are told one by one."""


def _fillings(line: StageLine, stage: CoolingStage, changes: list[str], units: str) -> str:
    """How often the bucket is filled, and at which wort temperatures its water is changed."""
    held = stage.bucket if stage.water is None else stage.water
    size = show(held, "volume", units)
    if stage.return_ == "drain":
        return f", {math.ceil(line.water / held - 1e-6)} fillings of {size}"
    if not changes:
        return ""
    at = f"when the wort is at {', '.join(changes)}"
    if len(changes) > MOST_CHANGES:
        at = f"{len(changes)} times, first with the wort at {changes[0]}, last at {changes[-1]}"
    return f", {1 + stage.refills} fillings of {size}: fresh water {at}"


def missing_ice(
    line: StageLine,
    stage: CoolingStage,
    units: str,
    change: ChangeOver | None = None,
    takes: str = "",
) -> str:
    """What is missing to keep the bath cold to the end, and whether the bucket has room for it. change : the
    best change-over, which more ice would move: it is held; takes : the time with it, where it is told."""
    missing = tenth_up(line.missing)
    least = "" if stage.source == "ice bath" and stage.return_ == "bucket" else "at least "
    need = (
        f"{least}{show(missing, 'mass', units)} more ({bags((stage.ice or 0.0) + missing, units)} in all) "
        "would keep the bath cold"
    )
    if change is not None:
        need += f', with until = "{written_degrees(change.at, units)}" written instead of "best"'
    need += takes
    filled = (stage.water or 0.0) + (stage.ice or 0.0) / ICE_DENSITY
    room = (stage.bucket - filled) * ICE_DENSITY
    if room >= line.missing:
        return need
    at_once = show(max(room, 0.0), "mass", units)
    return f"{need}; the bucket has room for {at_once} at once: add the rest as it melts"
