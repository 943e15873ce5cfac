"""What the same chill would be with one thing changed, in words: stirring, dirt, the last degrees."""

from __future__ import annotations

from optichill.display import show
from optichill.model.stirring import Stirring
from optichill.model.wort import Wort
from optichill.problem.basis import DesignBasis
from optichill.rating.otherwise import LAST
from optichill.rating.prediction import Prediction
from optichill.report.words import plan_words


def about(seconds: float | None) -> str:
    """Whole minutes, below one seconds; or that it takes longer than is looked at."""
    if seconds is None:
        return "not in 6 hours"
    return f"{seconds / 60.0:.0f} min" if seconds >= 60.0 else f"{seconds:.0f} s"


def stirring_word(wort: Wort, units: str) -> str:
    """How the wort is moved."""
    if isinstance(wort.mixing, str):
        return _STIRRED.get(wort.mixing, wort.mixing)
    return plan_words.mixing(wort.mixing, units)


_STIRRED = {"now and then": "stirred now and then", "steady": "kept stirring"}


def stirred(p: Prediction, wort: Wort, units: str) -> str:
    """How the wort is stirred, and the time if it were stirred otherwise."""
    steady, alone = f"keep stirring: {about(p.told_steady)}", f"leave it alone: {about(p.told_alone)}"
    how = stirring_word(wort, units)
    if wort.mixing == "left alone":
        return f"{how}   {steady}"
    all_along = wort.mixing == "steady" or (isinstance(wort.mixing, Stirring) and wort.mixing.share == 1.0)
    if all_along or (p.steady is not None and p.chill_time is not None and p.steady >= p.chill_time):
        return f"{how}   {alone}"
    return f"{how}   {steady}   {alone}"


def dirt(p: Prediction, wort: Wort) -> str | None:
    """What dirt on the tube costs against the next cleaner wort; None of clean wort."""
    if p.dirt is None:
        return None
    costs = "less than a minute" if p.dirt < 30.0 else f"about {about(p.dirt)}"
    if wort.dirt == "loose pellets":
        return f"loose pellets cost {costs} of it: a hop bag saves them"
    return f"what comes through the hop bag costs {costs} of it"


def last_degrees(p: Prediction, basis: DesignBasis) -> str | None:
    """What the last degrees cost, and what stopping before them takes; None where they are no matter."""
    if p.earlier is None or p.chill_time is None or p.told.time is None:
        return None
    u = basis.brewhouse.units
    degrees = f"{LAST['us'] * 1.8:.0f} °F" if u == "us" else f"{LAST['metric']:.0f} °C"
    stopped = p.earlier.likely or p.told_otherwise(p.earlier.time) or p.earlier.time
    whole, stop = (round(time / 60.0) for time in (p.told.time, stopped))
    return (
        f"the last {degrees} take {whole - stop} of {whole} min; "
        f"stop at {show(p.earlier.at, 'temperature', u)}: {stop} min"
    )
