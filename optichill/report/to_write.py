"""The lines of a brewhouse file that take a step of limits, or a way out of a warm tap, as a brewer would
write them."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from optichill.model.stirring import Stirring
from optichill.owned.improve.changes import ice, length, quantity, toml
from optichill.owned.improve.of_plan import behind_the_tap
from optichill.problem.basis import DesignBasis
from optichill.problem.limits import LIMITS
from optichill.rating.remedies import Remedy, vessel_of
from optichill.report.words import by_hand, limit_words
from optichill.search.conflicts import Step
from optichill.search.done_otherwise import DoneOtherwise


def to_write(steps: tuple[Step, ...], basis: DesignBasis) -> list[str]:
    """Such as "budget = 79 under [limits]" of each step; empty where one is no key of the file."""
    if not all(LIMITS[step.limit].written for step in steps):
        return []
    return [f"{_line(step, basis)} under [{LIMITS[step.limit].written.split('.')[0]}]" for step in steps]


def _line(step: Step, basis: DesignBasis) -> str:
    limit = LIMITS[step.limit]
    key = limit.written.split(".")[1]
    value = limit_words.told_apart(limit, step.to, step.now, basis, enough=True)[0]
    if limit.shown.kind in ("money", "score"):
        return f"{key} = {value.split()[0].replace(',', '')}"
    chance = basis.brewhouse.limits.chance
    if key == "chill_time" and chance is not None:
        return f'{key} = {{ within = "{value}", chance = {chance:g} }}'
    return f'{key} = "{value}"'


def done_to_write(way: DoneOtherwise) -> list[tuple[str, str]]:
    """Table and line of each key that is written where something is done otherwise."""
    u, lines = way.basis.brewhouse.units, []
    for place, value in way.written.items():
        table, key = place.split(".")
        told = value.table if isinstance(value, Stirring) else value
        if isinstance(told, float):
            told = ice(told, u) if key == "ice" else length(told, u, up=True)
        if isinstance(told, dict):
            told = {k: v for k, v in told.items() if k in ("with", "motion")}
        lines.append((table, f"{key} = {toml(told)}"))
    return lines


def steps_of(way: Remedy) -> tuple[Step, ...]:
    """The limits that a way out of a warm tap asks to move."""
    return tuple(Step(name, bound, value) for name, value, bound in way.missed)


def way_to_write(way: Remedy, basis: DesignBasis) -> str:
    """What a way out of a warm tap takes in the brewhouse file; empty where it leads nowhere."""
    return "; ".join(filter(None, [_way_to_write(way, basis), *to_write(steps_of(way), basis)]))


def _way_to_write(way: Remedy, basis: DesignBasis) -> str:
    u, stages = basis.brewhouse.units, basis.brewhouse.cooling
    if way.time is None:
        return ""
    if way.kind == "fridge":
        stop = by_hand.written_degrees(way.temperature, u)
        return f'in the brewhouse file: target_temperature = "{stop}" under [wort]'
    if way.kind == "more ice":
        more: dict[str, Any] = {"ice": ice(way.ice, u)}
        if way.filled > stages[-1].bucket:
            more["bucket"] = quantity(vessel_of(way.filled, u), "volume", u)
        said = _under(more, f"[[cooling]] number {len(stages)}")
        if way.change is not None and basis.switch is not None:
            until = {"until": by_hand.written_degrees(way.change, u)}
            said = f"{_under(until, f'[[cooling]] number {basis.switch + 1}')}; {said}"
        return f"in the brewhouse file: {said}"
    tap, iced = behind_the_tap(way, u)
    said = f"{_under(tap, '[[cooling]]')}; {_under(iced, 'a second [[cooling]]')}"
    if "precooler" in iced:
        said += f"; {_under(iced['precooler'], '[cooling.precooler]')}"
    there = "cooling" in basis.brewhouse.model_fields_set
    return f"in the brewhouse file{', in place of each [[cooling]] there is' if there else ''}: {said}"


def _under(table: Mapping[str, Any], name: str) -> str:
    """The lines of one table."""
    lines = [f"{key} = {toml(value)}" for key, value in table.items() if not isinstance(value, Mapping)]
    listed = f"{', '.join(lines[:-1])} and {lines[-1]}" if lines[1:] else lines[0]
    return f"{listed} under {name}"
