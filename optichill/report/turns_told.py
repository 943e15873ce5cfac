"""Turns and gaps of one layer, or of two that may differ in them."""

from __future__ import annotations

from collections.abc import Sequence

from optichill.display import plural, show, turns
from optichill.search.designs import Design


def counts(d: Design) -> tuple[float, ...]:
    """Turns of each layer, the outer one first."""
    return tuple(count for count, _ in d.layers)


def turns_told(counts: Sequence[float], each: str = "each") -> str:
    """Turns of all layers; each : how it is said that both have so many."""
    if len(set(counts)) > 1:
        outer, inner = (turns(count) for count in counts)
        return f"{outer} turns outside and {inner} inside"
    return plural(turns(counts[0])) + (f" {each}" if len(counts) > 1 else "")


def gaps_told(d: Design, units: str) -> str:
    """Gap between turns of all layers: "7 mm open between turns"."""
    said = ["touching" if gap <= 0.0 else f"{show(gap, 'gap', units)} open" for gap in _gaps(d)]
    if len(set(said)) > 1:
        return f"{said[0]} between turns outside, {said[1]} inside"
    return said[0] if d.gap <= 0.0 else f"{said[0]} between turns"


def turns_cell(d: Design) -> str:
    """In a table: of two layers that differ the inner one's first, as forms stand there."""
    told = dict.fromkeys(turns(count) for count in reversed(counts(d)))
    return " / ".join(told)


def gap_cell(d: Design, units: str) -> str:
    """In a table, likewise."""
    told = dict.fromkeys(show(gap, "gap", units) for gap in reversed(_gaps(d)))
    return " / ".join(told)


def _gaps(d: Design) -> list[float]:
    return [d.gap] if d.inner is None else [d.gap, d.own_gap]
