"""The lines of a brewhouse file that take a step of limits, as a brewer would write them."""

from __future__ import annotations

from optichill.problem.basis import DesignBasis
from optichill.problem.limits import LIMITS
from optichill.report import words
from optichill.search.conflicts import Step


def to_write(steps: tuple[Step, ...], basis: DesignBasis) -> list[str]:
    """Such as "budget = 79 under [limits]" of each step; empty where one is no key of the file."""
    if not all(LIMITS[step.limit].written for step in steps):
        return []
    return [f"{_line(step, basis)} under [{LIMITS[step.limit].written.split('.')[0]}]" for step in steps]


def _line(step: Step, basis: DesignBasis) -> str:
    limit = LIMITS[step.limit]
    key = limit.written.split(".")[1]
    value = words.told_apart(limit, step.to, step.now, basis, enough=True)[0]
    if limit.shown.kind in ("money", "score"):
        return f"{key} = {value.split()[0].replace(',', '')}"
    chance = basis.brewhouse.limits.chance
    if key == "chill_time" and chance is not None:
        return f'{key} = {{ within = "{value}", chance = {chance:g} }}'
    return f'{key} = "{value}"'
