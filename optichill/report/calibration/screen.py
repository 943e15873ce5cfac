"""The screen of `calibrate`: what was read, how well it fits, what was learnt and what that means."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from optichill.display import plural, show
from optichill.files.reading import Inputs
from optichill.owned.calibrate.fit import Doubt, Fit, FittedBatch, Learnt
from optichill.owned.calibrate.meaning import Meaning
from optichill.problem.basis import DesignBasis
from optichill.problem.uncertain import NOTHING, prior_names
from optichill.rating.prediction import Prediction
from optichill.report import ranges
from optichill.report.calibrated import QUANTITIES
from optichill.report.calibration import words
from optichill.report.otherwise import stirring_word
from optichill.report.paper import entry
from optichill.report.tradeoff.details import on_scale
from optichill.report.words.sentences import sentence

MOST_LEARNT, MOST_MORE = 6, 3
"""So many lines of what was learnt, and of what would tell more, on a screen."""

MOST_LEANING, MOVED = 3, 0.4
"""So many lines of what only leans, and by how much of half its range it has to."""

PARTS_APART = 2.0
"""Kelvin between what the thermometer saw and all of the wort that are told."""

NARROWER, WIDER = 0.9, 1.1
"""What is left of a range that is told to be narrower, and to be wider."""

SAME = 0.03
"""Times that differ by a smaller share are told as the same."""

WORTH = 0.10
"""What narrows a range by less is not worth the walk (OWN): as owned.calibrate.tells_more has it."""


def screen(
    fit: Fit, means: Sequence[Meaning], basis: DesignBasis, inputs: Inputs, kept: Sequence[str]
) -> list[str]:
    """All lines, not folded; kept : where it is kept, and how to be rid of it."""
    u = basis.brewhouse.units
    lines = [inputs.first_line, ""]
    lines += _batches(fit, basis)
    lean = leaning_lines(fit, u)
    told = [*([LEANS] if lean else []), *(f"  {text}" for text in lean)]
    lines += entry("LEARNT", *learnt_lines(fit, means, u), *told)
    lines += entry("NOT LEARNT", *filter(None, [not_learnt_line(fit, basis), stirring_line(fit, basis)]))
    for one in means:
        lines += entry("TIME", *means_lines(one, largest(basis)))
    lines += entry("DOUBT", *doubt_lines(fit, basis))
    lines += entry("TELLS MORE", *more_lines(fit, u))
    return lines + entry("KEPT", *kept)


def read_line(batch: FittedBatch, basis: DesignBasis) -> str:
    """What was read of one batch."""
    log, u = batch.batch.log, basis.brewhouse.units
    first, last = (show(float(T), "temperature", u) for T in (log.wort[0], log.wort[-1]))
    count = plural(str(log.time.size), "reading")
    long = f"{(log.time[-1] - log.time[0]) / 60.0:.0f} min"
    return f"{log.name}, coil {batch.batch.coil_name}: {count} over {long}, {first} to {last}"


IN_FULL = 3
"""So many batches have lines of their own for what was read otherwise than it stands."""


def _batches(fit: Fit, basis: DesignBasis) -> list[str]:
    """What was read, and how well it fits; of many batches a line each."""
    u = basis.brewhouse.units
    if len(fit.batches) > IN_FULL:
        return entry("READ", *(text for b in fit.batches for text in _in_short(b, basis)))
    lines = []
    for batch in fit.batches:
        lines += entry("READ", *_read(batch, basis)) + entry("FITS", _fits(batch, u), *whole(batch, u))
    return lines


def _in_short(batch: FittedBatch, basis: DesignBasis) -> list[str]:
    """A line of one of many batches, and what was taken as nobody said."""
    u = basis.brewhouse.units
    return [f"{read_line(batch, basis)}; {_fits(batch, u)}", *map(sentence, words.taken(batch, u))]


def _read(batch: FittedBatch, basis: DesignBasis) -> list[str]:
    return [read_line(batch, basis), *map(sentence, remarks(batch, basis))]


def remarks(batch: FittedBatch, basis: DesignBasis) -> list[str]:
    """What was read otherwise than it stands, or taken as nobody said."""
    return [*batch.batch.log.remarks, *words.taken(batch, basis.brewhouse.units)]


def whole(batch: FittedBatch, units: str) -> list[str]:
    """That the thermometer saw a part of the wort, and how hot all of it was, where that is another thing."""
    last = float(batch.fitted[-1])
    if batch.whole is None or abs(batch.whole - last) < PARTS_APART:
        return []
    degree = "°F" if units == "us" else "°C"
    seen, all_of_it = (f"{on_scale(T, units):.0f} {degree}" for T in (last, batch.whole))
    where = "near the surface" if batch.batch.log.place == "top" else "beside the turns"
    return [
        f"at minute {batch.time[-1] / 60.0:.0f} the wort was at {seen} {where}, all of it together at about "
        f"{all_of_it}: times are those of all the wort"
    ]


def _fits(batch: FittedBatch, units: str) -> str:
    """How far the fit is from the readings, which were slips, and whether the heat adds up."""
    said = f"{show(batch.misses, 'temperature_difference', units)} off the readings on average"
    slips = batch.time[~batch.used]
    if slips.size:
        at = ", ".join(f"{t / 60.0:.0f}" for t in slips[:5])
        one = "the reading" if slips.size == 1 else f"{slips.size} readings"
        said += f"; {one} at minute {at} taken for a slip"
    if batch.energy is not None and batch.energy.agrees:
        off = max(100.0 * abs(batch.energy.closure), 1.0)
        said += f"; heat into the water and out of the wort agree within {off:.0f} %"
    return said


def learnt_of(fit: Fit) -> list[Learnt]:
    """What the batches say more of than was known, what they narrowed most first."""
    return sorted((one for one in fit.learnt if one.told_apart), key=narrowed)


def narrowed(one: Learnt) -> float:
    """What is left of its range, in the logarithm where it has one."""
    ends = np.array([one.before, one.after])
    before, after = np.ptp(np.log(ends) if ends.min() > 0.0 else ends, axis=1).tolist()
    return after / before if before > 0.0 else 1.0


def moved(one: Learnt) -> float:
    """By how much it is taken for another than before, as a share of half its range then."""
    low, mid, high = one.before
    by = one.after[1] - mid
    half = high - mid if by > 0.0 else mid - low
    return abs(by) / half if half > 0.0 else 0.0


def leaning(fit: Fit) -> list[Learnt]:
    """What is no better known for itself, but is taken for another than before, the farthest first."""
    found = [one for one in fit.learnt if not one.told_apart and moved(one) > MOVED and one.name != "phi"]
    return sorted(found, key=moved, reverse=True)


def learnt_lines(fit: Fit, means: Sequence[Meaning], units: str) -> list[str]:
    """By how much all times moved, what was learnt for itself, and where the rest leans."""
    found, lean = learnt_of(fit), leaning(fit)
    said = [f"the next chill is thought to take {times} as long as before" for times in _times(means)]
    said += [words.learnt(_named(fit, one), units) for one in found[:MOST_LEARNT]]
    rest = len(found) - MOST_LEARNT
    said += [f"and {rest} more: all are on the page"] if rest > 0 else []
    if not found:
        said += _range_narrowed(means)
    return said or ([] if lean else ["nothing that was not known as well before"])


def _range_narrowed(means: Sequence[Meaning]) -> list[str]:
    """That times are known better though no single cause is, where it is so."""
    for one in means[:1]:
        left = _width(one.after) / max(_width(one.before), 1e-9)
        if left <= NARROWER:
            percent = 100.0 * (1.0 - left)
            return [f"this coil's range is {percent:.0f} % narrower, no single cause is told apart"]
    return []


def _width(prediction: Prediction) -> float:
    """Logarithm of the range of a chill's time; 0 where it has no ends."""
    time = None if prediction.likely is None else prediction.likely.time
    return math.log(time.p90 / time.p10) if time and time.p10 and time.p90 else 0.0


def _named(fit: Fit, one: Learnt) -> Learnt:
    """Without the name of its coil or log, where there is but one batch."""
    return replace(one, of=None) if len(fit.batches) == 1 else one


LEANS = "not told apart from each other, but likelier now:"


def leaning_lines(fit: Fit, units: str) -> list[str]:
    """Where what is not learnt for itself leans."""
    return [words.learnt(_named(fit, one), units) for one in leaning(fit)[:MOST_LEANING]]


def doubts_of(fit: Fit, basis: DesignBasis) -> list[Doubt]:
    """What does not match, without more wort than the kettle holds: another doubt tells of that log."""
    brim = basis.brewhouse.kettle.capacity
    return [one for one in fit.doubts if one.kind != "volume" or one.figures["likely"] <= brim]


def doubt_lines(fit: Fit, basis: DesignBasis) -> list[str]:
    """What does not match, the same of several logs once."""
    logs: dict[str, list[str]] = {}
    for one in doubts_of(fit, basis):
        logs.setdefault(words.doubt(one, basis), []).append(one.log)
    return [f"{', '.join(names)}: {text}{'' if text.endswith('?') else '.'}" for text, names in logs.items()]


def _times(means: Sequence[Meaning]) -> list[str]:
    """How many times as long the first coil's chill takes, where that is a difference."""
    found = []
    for one in means[:1]:
        before, after = one.before.told.time, one.after.told.time
        if before and after and abs(after / before - 1.0) >= SAME:
            found.append(f"{after / before:.2f} times")
    return found


def not_learnt_line(fit: Fit, basis: DesignBasis) -> str:
    """Of what acts here, what is known no better than before; "" where that is nothing."""
    lean = leaning(fit)[:MOST_LEANING]
    rest = [one for one in fit.learnt if not one.told_apart and one.of is None and one not in lean]
    rest = [one for one in rest if narrowed(one) < WIDER]
    names = dict.fromkeys(one.name for one in rest)
    said = ", ".join(QUANTITIES.get(name, name) for name in names if acts(name, basis))
    if not said:
        return ""
    if any(one.told_apart for one in fit.learnt):
        return f"{said}: as unsure as before"
    return f"{said}: each for itself as unsure as before"


def stirring_line(fit: Fit, basis: DesignBasis) -> str:
    """That another way to stir is not taught."""
    house = basis.brewhouse
    if fit.calibration.priors["speed"] == NOTHING:
        stirred = any(one.batch.log.place == "stirred" for one in fit.batches)
        why = "none was stirred" + (" but before a reading" if stirred else "")
        return f"how fast stirring moves wort: {why}"
    how = stirring_word(house.wort, house.units)
    return f"any way to stir but yours ({how}): as unsure as before"


def acts(name: str, basis: DesignBasis) -> bool:
    """Whether something uncertain plays a part in this brewhouse's chill."""
    iced = any(stage.ice for stage in basis.brewhouse.cooling)
    idle = prior_names(basis.brewhouse, basis.scenario.mixing).get(name) == NOTHING
    # Turns that stand apart are the rule: of them nothing is taken away.
    return not idle and name != "phi" and (iced or name != "ice")


def largest(basis: DesignBasis) -> str:
    """Which batch times are of, where two are stated."""
    wort = basis.brewhouse.wort
    if wort.smallest_volume >= wort.volume:
        return ""
    return f", of {show(wort.volume, 'exact_volume', basis.brewhouse.units)}"


def means_lines(one: Meaning, of: str = "") -> list[str]:
    """One coil's time before and after, and that of another of its sizes; of : which batch, where there are
    two."""
    return [
        f"{one.coil}{of}: {ranges.time(one.after)} (before: {ranges.time(one.before)})",
        f"another of these sizes: {ranges.time(one.another)} (before: {ranges.time(one.before)})",
    ]


def more_lines(fit: Fit, units: str) -> list[str]:
    """What would tell more, the best first; that nothing cheap would, where it is so."""
    best = sorted(fit.tells_more, key=lambda a: -a.shrinks)
    found = [words.advice(a, units) for a in best[:MOST_MORE] if a.shrinks >= WORTH]
    return found or [words.nothing_cheap(best[0] if best else None, units)]
