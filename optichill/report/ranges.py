"""What is likely, in words: a range rounded to suit its own width, and chances in tenths."""

from __future__ import annotations

from optichill.display import finer_unit, show, trim
from optichill.model.wishes import Limits
from optichill.problem.limits import LIMITS
from optichill.rating.prediction import Prediction, Span

STEPS = [mantissa * 10.0**power for power in range(-1, 4) for mantissa in (1, 2, 5)]
PARTS = 8.0
"""A range is told in steps of at most this part of its width."""

LEAST = {"min": 1.0, "L": 1.0, "gal": 0.5, "kg": 0.1, "lb": 0.5}
"""The finest step of each unit."""


def likely(told: float, span: Span, kind: str, units: str) -> str:
    """A range with what is most likely: "15 to 26 min, most likely 21".

    Parameters
    ----------
    told : float [SI]
        What is most likely, as it is told everywhere.
    span : Span
    kind : str
        minutes, exact_volume or mass.
    units : "metric" or "us"

    Returns
    -------
    str

    Examples
    --------
    >>> likely(1210.0, Span(917.0, 1197.0, 1566.0), "minutes", "metric")
    '15 to 26 min, most likely 20'
    >>> likely(10800.0, Span(7000.0, 10900.0, None), "minutes", "metric")
    '117 min or more, most likely 180; at least one time in ten it does not get there'
    """
    name = finer_unit(kind, units)[1]
    low, mid, high = _numbers(told, span, kind, units)
    if high is None and kind != "minutes":  # no draw at all gets there: nothing is known of how widely
        return f"about {mid} {name}"
    if high is None:
        most_likely = "" if span.p50 is None else f", most likely {mid}"
        return f"{low} {name} or more{most_likely}; {SELDOM if span.p50 is None else AT_TIMES}"
    return f"about {mid} {name}" if low == high else f"{low} to {high} {name}, most likely {mid}"


AT_TIMES, SELDOM = (
    f"{often} it does not get there" for often in ("at least one time in ten", "more often than not")
)
"""Of a chill that a share of the draws does not bring to its end, and of one that most do not."""


def narrow(told: float, span: Span, kind: str, units: str) -> str:
    """The same range for a narrow column, without its unit: "15-26"; "" where it is no wider than what is
    told.

    Parameters
    ----------
    told, span, kind, units : as in `likely`

    Returns
    -------
    str

    Examples
    --------
    >>> narrow(1210.0, Span(917.0, 1197.0, 1566.0), "minutes", "metric")
    '15-26'
    >>> narrow(10800.0, Span(7000.0, 10900.0, None), "minutes", "metric")
    'from 117'
    """
    low, _, high = _numbers(told, span, kind, units)
    if high is None:
        return f"from {low}" if kind == "minutes" else ""
    return "" if low == high else f"{low}-{high}"


def _numbers(told: float, span: Span, kind: str, units: str) -> tuple[str, str, str | None]:
    """Low end, what is most likely and high end in the unit of its kind; None where that is out of reach."""
    size, name = finer_unit(kind, units)
    low = told if span.p10 is None else min(span.p10, told)
    high = None if span.p90 is None else max(span.p90, told)
    step = LEAST[name] if high is None else step_of(high - low, size, name)
    ends = [None if end is None else _told(end, size, step) for end in (low, high)]
    number, unit = show(told, "volume" if kind == "exact_volume" else kind, units).rsplit(" ", 1)
    mid = number if unit == name else _told(told, size, LEAST[name])
    # What is told everywhere may be rounded more coarsely than a narrow range: the range then follows it.
    if ends[0] == ends[1]:
        return mid, mid, mid
    least = mid if float(ends[0] or 0.0) > float(mid) else ends[0]
    most = mid if ends[1] is not None and float(ends[1]) < float(mid) else ends[1]
    return str(least), mid, most


def step_of(width: float, size: float, name: str) -> float:
    """Step in which a range that wide [SI] is told, in its unit."""
    fine = [s for s in STEPS if s <= width / size / PARTS]
    return max(LEAST[name], fine[-1] if fine else 0.0)


def _told(value: float, size: float, step: float) -> str:
    """A number in steps."""
    return trim(step * round(value / size / step), 1)


def time(p: Prediction) -> str:
    """How long the chill is likely to take."""
    if p.told.time is None:
        return "not in 6 hours"
    if p.likely is None:
        return f"about {show(p.told.time, 'minutes')}"
    return likely(p.told.time, p.likely.time, "minutes", "metric")


def water(p: Prediction, units: str) -> str:
    """How much water it is likely to take."""
    if p.told.water is None or p.likely is None:
        return f"about {show(p.told.water, 'volume', units)}"
    return likely(p.told.water, p.likely.water, "exact_volume", units)


def ice(p: Prediction, units: str) -> str:
    """How much ice is likely to melt."""
    ice = p.told.ice
    return show(ice, "mass", units) if p.likely is None else likely(ice, p.likely.ice, "mass", units)


def minutes(p: Prediction) -> str:
    """For a narrow column: "20 (15-26)"."""
    if p.told.time is None:
        return "unknown"
    told = f"{p.told.time / 60.0:.0f}"
    span = "" if p.likely is None else narrow(p.told.time, p.likely.time, "minutes", "metric")
    return f"{told} ({span})" if span else told


def tenths(chance: float) -> str:
    """A chance as people say it."""
    of_ten = round(10.0 * chance)
    if of_ten >= 10:
        return "more than 9 times in 10"
    if of_ten == 1:
        return "1 time in 10"
    return f"{of_ten} times in 10" if of_ten > 0 else "hardly ever"


def in_time(p: Prediction, limits: Limits) -> str | None:
    """How surely the limit on time is kept, with the times that other chances go with; None where there is no
    limit, or nothing is known of it."""
    if limits.chill_time is None or p.likely is None or p.likely.in_time is None or p.told.time is None:
        return None
    often, asked = _beside(p.likely.in_time, limits.sure)
    said = f"{show(limits.chill_time, 'minutes')} is kept {often}"
    if surely(p, limits):
        return said
    _, half, nine = _numbers(p.told.time, p.likely.time, "minutes", "metric")
    asks = f"{said} (you ask for {asked})"
    if p.likely.time.p50 is None:
        return f"{asks}; {SELDOM}"
    often = f"5 times in 10 it takes {half} min at most"
    return f"{asks}; {often}, {f'9 in 10 {nine} min' if nine else AT_TIMES}"


def enough_water(p: Prediction, limits: Limits, units: str) -> str | None:
    """How surely the water stays within its limit; None where it hardly can fail."""
    if limits.water is None:
        return None
    return _unsure(p, "water", f"{show(limits.water, 'exact_volume', units)} of water is enough")


def borne(p: Prediction) -> list[str]:
    """What vessels may not bear: a sentence for each that can fail."""
    said = ((_unsure(p, name, limit.lasts), limit.gone) for name, limit in LIMITS.items() if limit.lasts)
    return [f"{text}; {gone}" if gone else text for text, gone in said if text is not None]


def _unsure(p: Prediction, name: str, text: str) -> str | None:
    """That something holds in so many batches, where that is not sure."""
    chance = None if p.likely is None or p.told.time is None else p.likely.held.get(name)
    return None if chance is None or chance > SURE else f"{text} in {batches(chance)}"


def batches(chance: float) -> str:
    """A share of batches as people say it; never all of them."""
    of_ten = min(round(10.0 * chance), 9)
    return f"{of_ten} of 10 batches" if of_ten > 0 else "hardly any batch"


def surely(p: Prediction, limits: Limits) -> bool:
    """Whether there is hardly a doubt that the limit on time is kept."""
    return bool(p.likely and p.likely.in_time and p.likely.in_time > max(SURE, limits.sure))


SURE, HAIR = 0.95, 1e-9
"""Chance from which on nothing more is said; what rounding may do to one."""


def _beside(chance: float, asked: float) -> tuple[str, str]:
    """A chance and the one asked for, in tenths, or as finely as it takes to tell on which side it is."""
    short = chance < asked - HAIR
    rough = round(10.0 * chance) == 9 and chance < 0.9 - HAIR  # beside what 9 in 10 take, which is longer
    of = next((of for of in (10, 100, 1000) if (round(of * chance) < of * asked - HAIR) == short), 100_000)
    of = max(of, 100) if rough else of
    often = tenths(chance) if of == 10 else f"{round(of * chance)} times in {of}"
    return often, f"{of * asked:.6g} in {of}"
