"""What measured batches are called: plain names that stay, each another."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from optichill.files.log.measured_batches import is_corrected, same
from optichill.files.log.points import looks_like_points
from optichill.owned.calibrate.fit import MeasuredBatch


def named(batches: Sequence[MeasuredBatch], before: Sequence[MeasuredBatch]) -> list[MeasuredBatch]:
    """Each with a name that no other has. One without a name is called as it was when it was given before, or
    corrected since; else by the next number: "batch 2". before : batches that have their names."""
    found: list[MeasuredBatch] = []
    for one in batches:
        versions = [b for b in before if same(b.log, one.log) or is_corrected(b.log, one.log)]
        taken = {b.log.name for b in (*before, *found) if not any(b is v for v in versions)}
        old = [b.log.name for b in versions]
        name = one.log.name or (old[0] if old else _next(taken, len(before) + len(found) + 1))
        found.append(_called(one, _unlike(name, taken)))
    return found


def with_plain_names(batches: Sequence[MeasuredBatch]) -> list[MeasuredBatch]:
    """Those of a file; one whose name is its readings, as files of earlier days have it, gets a plain one."""
    taken = {one.log.name for one in batches}
    found = []
    for number, one in enumerate(batches, 1):
        its_readings = ":" in one.log.name and looks_like_points(one.log.name)
        found.append(_called(one, _next(taken, number)) if its_readings else one)
        taken.add(found[-1].log.name)
    return found


def _called(batch: MeasuredBatch, name: str) -> MeasuredBatch:
    return replace(batch, log=replace(batch.log, name=name))


def _next(taken: set[str], number: int) -> str:
    """The first number from there on that no batch has."""
    while f"batch {number}" in taken:
        number += 1
    return f"batch {number}"


def _unlike(name: str, taken: set[str]) -> str:
    """The name, with a number behind it where another batch has it."""
    if name not in taken:
        return name
    number = 2
    while f"{name} ({number})" in taken:
        number += 1
    return f"{name} ({number})"
