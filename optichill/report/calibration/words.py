"""The words of what was learnt: each quantity with its unit and band, doubts, and what would tell more."""

from __future__ import annotations

from optichill.display import FOOT, INCH, US_GALLON, show
from optichill.model.cooldown_log import PLACES
from optichill.owned.calibrate.elsewhere import SAID
from optichill.owned.calibrate.fit import ADVICE, DOUBTS, Advice, Doubt, FittedBatch, HoldRead, Learnt
from optichill.problem.basis import DesignBasis
from optichill.report.calibrated import QUANTITIES

SLUDGE = 0.5
"""What wet sludge conducts [W/mK], by which dirt is told as a layer: as priors have it."""

_UNITS = {
    "m/s": (1.0, "m/s", 1.0 / FOOT, "ft/s"),
    "m2K/W": (SLUDGE * 1e3, "mm of sludge", SLUDGE / INCH, "in of sludge"),
    "W/m2K": (1.0, "W/m²K", 0.17611, "BTU/(h ft² °F)"),
    "K": (1.0, "K", 1.8, "°F"),
    "s": (1.0, "s", 1.0, "s"),
    "m3": (1e3, "L", 1.0 / US_GALLON, "gal"),
}
"""Of each SI unit: how many of the metric and of the US one it is, and their names."""


def quantity(one: Learnt) -> str:
    """What it is, in plain words, with the coil or the log that it belongs to."""
    said = "stirring as the log has it" if _of_log(one) else QUANTITIES.get(one.name, one.name)
    return said if one.of is None else f"{said} ({one.of})"


PLAINLY = {
    "still": "how readily it gives heat to the tube",
    "moving": "how readily it gives heat to the tube",
    "inner": "how readily the tube gives heat to the water",
    "exchange": "heat down through each square metre for each degree",
}
"""What the shortest name does not tell a person who has never met it."""


def taken(batch: FittedBatch, units: str) -> list[str]:
    """What was taken of a batch as nobody said: which volume it had, and whether its times count a hop
    stand."""
    said = []
    if batch.between is not None:
        low, high = (show(V, "exact_volume", units) for V in batch.between)
        said.append(
            f"batches of {low} to {high} are stated, and not which this was: anything between is taken for "
            "possible; --volume says it, and more is learnt"
        )
    if batch.idle:
        whose = " and ".join(COLUMNS_IDLE[name] for name in batch.idle)
        verb = "do" if len(batch.idle) > 1 else "does"
        said.append(
            f"{whose} {verb} not count: the plan does not begin with the tap, of which they would tell"
        )
    if batch.batch.hold is not None:
        said.append(_hold(batch.batch.hold))
    return said


COLUMNS_IDLE = {"inlet": "the inlet that was read", "flow": "the flow that was read"}
"""Columns of a log that say nothing by some plans."""


def _hold(hold: HoldRead) -> str:
    """How the plan's hop stand was read."""
    stand = f"the plan has a hop stand of {show(hold.lasts, 'time')}"
    if not hold.sure:
        return f"{stand}: these readings fit with its minutes and without them, and are taken with them"
    if hold.counted:
        return f"{stand}, and its minutes are in these times: without them no chill fits"
    return f"{stand}, and its minutes are not in these times: the clock stood, or was started after it"


def _of_log(one: Learnt) -> bool:
    """Whether a share of time is a multiple of what a log says, and none by itself."""
    return one.name == "share" and one.before[1] == 1.0


def significant(value: float, digits: int = 2) -> str:
    """A number to so many digits, without an exponent."""
    text = f"{value:.{digits}g}"
    return f"{float(text):.10f}".rstrip("0").rstrip(".") if "e" in text else text


def _figures(one: Learnt, ends: tuple[float, float, float], units: str) -> tuple[list[str], str]:
    """Low end, most likely and high end as numbers, and their unit."""
    if one.name == "share" and not _of_log(one):
        return [f"{100.0 * v:.0f}" for v in ends], " % of it"
    if one.unit not in _UNITS:
        return [f"{v / one.before[1]:.2f}" for v in ends], " times what was thought"
    metric, name, us, us_name = _UNITS[one.unit]
    size, called = (us, us_name) if units == "us" else (metric, name)
    if one.unit in ("K", "s"):
        more = " from what you state" if one.name == "tap" else ""
        return [f"{v * size:.1f}" for v in ends], f" {called}{more}"
    return [significant(v * size) for v in ends], f" {called}"


def value(one: Learnt, when: tuple[float, float, float], units: str) -> str:
    """Most likely, and the band that holds 8 times in 10: "0.08 m/s, 0.05 to 0.13"."""
    (low, mid, high), unit = _figures(one, when, units)
    return f"{mid}{unit}, {low} to {high}"


def learnt(one: Learnt, units: str) -> str:
    """One line of what was learnt, with before and after."""
    (low, _, high), _ = _figures(one, one.before, units)
    plainly = f" ({PLAINLY[one.name]})" if one.name in PLAINLY else ""
    return f"{quantity(one)}{plainly}: {value(one, one.after, units)} (was {low} to {high})"


# --- what does not match ------------------------------------------------------------------------------------


def doubt(one: Doubt, basis: DesignBasis) -> str:
    """What does not match, with its likely cause and what to do."""
    kinds = KINDS | ({"told": "temperature"} if one.kind in ("start", "tap") else {})
    shown = {
        name: show(one.figures[name], kinds[name], basis.brewhouse.units)
        for name in DOUBTS[one.kind]
        if name in kinds
    }
    if one.kind == "coil":
        text = _another_coil(one.figures["slower"])
    elif one.kind == "day":
        text = _not_alike(one.figures["apart"])
    elif one.kind == "loss":
        text = _loses(one.figures["times"])
    elif one.kind == "place":
        text = _hung(shown["misses"], shown["elsewhere"], PLACES[int(one.figures["hung"])])
    elif one.kind == "energy":
        text = _energy(one.figures["closure"], one.figures["error"])
    else:
        text = _DOUBTS[one.kind].format(**shown)
    return text


KINDS = {
    "told": "exact_volume", "likely": "exact_volume", "misses": "temperature_difference",
    "expected": "temperature_difference", "elsewhere": "temperature_difference", "took": "time",
    "least": "time", "began": "temperature", "late": "time", "since": "time", "from": "time",
    "until": "time", "at": "temperature",
    "holds": "exact_volume", "inlet": "temperature", "first": "temperature", "read_as": "temperature",
    "outlet": "temperature",
    "wort": "temperature", "read": "flow", "through": "flow",
}  # fmt: skip
"""How the figures of a doubt are shown."""

_DOUBTS = {
    "volume": "by its readings alone it cools as {likely} of wort would, but {told} are stated: read it off "
    "a stick and give --volume",
    "misses": "the fit misses it by {misses}, slips and all, {expected} were to be expected: no chill by "
    "this plan has such a shape; were stirring or flow changed on the way?",
    "too fast": "it took {took}, and no coil at all could do it in less than {least}: less wort, or minutes "
    "counted from later?",
    "start": "it begins at {began}, and {told} is stated: the log is believed",
    "tap": "the water came in at {inlet}, and {told} is stated: the log is believed",
    "late water": "nothing happens for the first {late}: was the water turned on later than minute 0?",
    "water shut": "from {since} on it stays at {at}: was the water shut, or the ice gone?",
    "pause": "from {from} to {until} it hardly cools: was the water shut meanwhile? What was read from "
    "{from} on counts for nothing; to have it count, take the pause off the minutes that follow and leave "
    "out what was read in it",
    "shut by flow": "by its flow no water ran from {from} to {until}: what was read from {from} on counts "
    "for nothing; to have it count, take the pause off the minutes that follow and leave out what was read "
    "in it",
    "brim": "by its readings alone it cools as more wort than the {holds} that the kettle holds would, and "
    "{told} are stated: another coil, less water, or minutes counted from earlier?",
    "units": "it begins at {first}, which in the other unit is {read_as}: say degC or degF",
    "flow": "its flow of {read} does not count: by what you state {through} run through this coil. Was a "
    "valve half shut or a hose kinked, or is the flow of the brewhouse file another?",
    "swapped": "the water comes out at {outlet}, warmer than the wort at {wort}: are the columns swapped?",
}


def _hung(misses: str, elsewhere: str, place: str) -> str:
    """The thermometer's place by which the readings make more sense."""
    return (
        f"it makes more sense with the thermometer {SAID[place]}: then it fits within {elsewhere}, now "
        f"within {misses}. Did it hang there? Then say so: much else is learnt by it"
    )


def _another_coil(slower: float) -> str:
    """Readings came so many times as late as the curve that was thought before."""
    if slower >= 1.0:
        return (
            f"its readings came {slower:.1f} times as late as was thought of this coil: another coil, more "
            "wort or less water than stated?"
        )
    return (
        f"its readings came {1.0 / slower:.1f} times as early as was thought of this coil: another coil, "
        "less wort than stated, or minutes counted from later?"
    )


def _loses(times: float) -> str:
    """The kettle's own loss, against what was thought."""
    much = f"{times:.1f} times" if times > 1.0 else f"a {1.0 / times:.1f}th of"
    return (
        f"only a kettle that loses {much} what was thought by itself explains it: was the flame still on, "
        "the water shut for a while, or a hop stand's time counted otherwise?"
    )


def _not_alike(apart: float) -> str:
    """One batch took so many times as long as the other."""
    return (
        f"these two were not cooled alike, the slower one took {apart:.1f} times as long: was it stirred "
        "otherwise, or were flow, hops or volume others? The range is widened to what both of them took"
    )


def _energy(closure: float, error: float) -> str:
    """Heat into the water against heat out of the wort."""
    off = f"{100.0 * abs(closure):.0f} % {'more' if closure > 0.0 else 'less'}"
    return (
        f"the water took {off} heat than the wort gave, known within {100.0 * error:.0f} %: is the flow or "
        "the volume another than stated? Of the flow nothing is learnt"
    )


# --- what would tell more -----------------------------------------------------------------------------------

_ADVICE = {
    "reading": "one more reading, at minute {time}",
    "stirred": "a batch in which the wort is stirred before each reading (--thermometer stirred)",
    "again": "the same once more on another day",
    "steady": "a batch that is stirred steadily",
    "left alone": "a batch that is left alone",
    "another coil": "a batch with another coil",
    "stick": "the volume by a stick in the kettle, or a scale (--volume, --volume-by stick)",
    "bucket": "the flow of the hose by bucket and clock",
    "tap": "a thermometer in the tap's water",
}


def nothing_cheap(best: Advice | None, units: str) -> str:
    """That no reading and no batch narrows a next coil's range by much; the one that does most."""
    if best is None or best.shrinks < LEAST_TOLD:
        return (
            "nothing cheap: what is left is what no thermometer tells, one coil and one day against another"
        )
    return f"nothing cheap would tell much more; most would {advice(best, units)}"


LEAST_TOLD = 0.02
"""Share of a range that is told as a gain at all."""


def advice(one: Advice, units: str) -> str:
    """What would tell more, and how much."""
    at = {name: f"{one.figures[name] / 60.0:.0f}" for name in ADVICE[one.kind]}
    said = _ADVICE[one.kind].format(**at)
    return f"{said}: a next coil's range {100.0 * one.shrinks:.0f} % narrower"
