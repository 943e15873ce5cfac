"""A limit as its sentence says it: its value, how far it is missed, what a step of it asks for."""

from __future__ import annotations

import math

from optichill.display import finer_unit, show, trim
from optichill.money import money
from optichill.problem.basis import DesignBasis
from optichill.problem.limits import LIMITS, Limit
from optichill.rating.floor import with_colder_water
from optichill.search.conflicts import Step
from optichill.thermal.cooldown import LONGEST


def limit_value(limit: Limit, value: float, basis: DesignBasis, *, enough: bool = True) -> str:
    """A limit's value as its sentence says it; `enough` rounds it to the side on which it suffices."""
    if limit.name == "chill_time" and value > LONGEST:
        return f"more than {limit_value(limit, LONGEST, basis)}"
    brewhouse, kind = basis.brewhouse, limit.shown.kind
    step = limit.shown.step_in(brewhouse.units)
    if step:
        value = _rounded(limit, value, step, enough=enough)
    if kind == "money":
        return money(value, brewhouse.stock.currency)
    return f"{trim(value)} of 10" if kind == "score" else show(value, kind, brewhouse.units)


def told_apart(
    limit: Limit, value: float, bound: float, basis: DesignBasis, *, enough: bool = False
) -> tuple[str, str]:
    """A limit's value and its bound, with as many digits as it takes to tell them apart; `enough` rounds the
    value to the side on which it suffices."""
    said = limit_value(limit, value, basis, enough=enough), limit_value(limit, bound, basis, enough=False)
    if 0.0 < bound < 0.5 * limit.shown.step_in(basis.brewhouse.units):  # not told as nothing
        return said[0], _to_decimals(limit, bound, basis, 4, enough=False)
    for decimals in range(1, 5):
        if said[0] != said[1] or not limit.shown.step:
            return said
        said = (
            _to_decimals(limit, value, basis, decimals, enough=enough),
            _to_decimals(limit, bound, basis, decimals, enough=False),
        )
    return said


def over_the_top(over: float, wished: float, basis: DesignBasis) -> tuple[str, str]:
    """Wort over the top turn and how much is wished for [m]: never told as more than there is."""
    return told_apart(LIMITS["submergence"], over, wished, basis, enough=True)


def _to_decimals(limit: Limit, value: float, basis: DesignBasis, decimals: int, *, enough: bool) -> str:
    brewhouse, kind = basis.brewhouse, limit.shown.kind
    names = {"money": (1.0, brewhouse.stock.currency), "score": (1.0, "of 10")}
    size, name = names.get(kind) or finer_unit(kind, brewhouse.units)
    return f"{trim(_rounded(limit, value, size / 10**decimals, enough=enough) / size, decimals)} {name}"


def _rounded(limit: Limit, value: float, step: float, *, enough: bool) -> float:
    """To a step; `enough`: to the side on which it suffices."""
    if not enough:
        return step * math.floor(value / step + 0.5)
    outwards, hair = (math.floor, 1e-6) if limit.at_least else (math.ceil, -1e-6)
    return step * outwards(value / step + hair)


def below_least(asked: float, least: float, basis: DesignBasis) -> str:
    """A chill time [s] below what any coil could do, with what that is and what lowers it."""
    limit, degrees = LIMITS["chill_time"], "10 °F" if basis.brewhouse.units == "us" else "5 °C"
    at_least, wanted = told_apart(limit, least, asked, basis, enough=True)
    colder = with_colder_water(basis)
    then = at_least if colder is None else limit_value(limit, colder, basis)
    by = "" if then == at_least else f" ({degrees} colder: {then})"
    return (
        f"{wanted} is less than any coil could do: with this water an endless one takes {at_least}. Colder "
        f"water{by}, more of it a minute or less wort lowers that; stirring only brings a coil nearer to it."
    )


def advice(step: Step, basis: DesignBasis, *, impossible: bool = False) -> str:
    """One step of one limit, as advice. impossible : no coil at all could hold it where it is."""
    limit = LIMITS[step.limit]
    assert limit.advice is not None
    to, now = told_apart(limit, step.to, step.now, basis, enough=True)
    if impossible:
        return f"ask for no less than {to}"
    return limit.advice.format(to=to, now=now)
