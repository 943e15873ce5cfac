"""Readings in one line, as a person with wet hands wrote them down: "0:98 5:60 10:38", minutes:temperature.

"5:30" is 30 degrees after 5 minutes; half minutes are "5.5:60" or "5m30:60". Blanks, commas or semicolons
stand between; a comma is a decimal comma only where the line leaves nothing else. The unit, at the end or
behind every number, is that of all; without one it is the brewhouse's.
"""

from __future__ import annotations

import re
from itertools import pairwise

import numpy as np

from optichill.errors import InputFault
from optichill.files.log.blocks import read_to
from optichill.files.log.checks import FREEZES, Expected, finished, kelvin, possible, too_cold, why_impossible
from optichill.model.cooldown_log import CooldownLog

EXAMPLE = '--points "0:98 5:60 10:38", minutes:temperature; half minutes 5.5:60 or 5m30:60'
LONGEST, MOST, NAMED = 20_000, 2000, 48
_UNIT = re.compile(
    r"(?<=[0-9\s])\s*(?:(?:deg(?:rees?)?\.?|[°º˚])\s*)?(celsius|fahrenheit|[cf])\b\.?|[℃℉]",
    re.IGNORECASE,
)
_TIME = re.compile(
    r"([0-9]+)(?:[.,]([0-9]+))?(?: ?(?:m|min))?|([0-9]+) ?(?:m|min) ?([0-5]?[0-9]) ?s?|([0-9]+) ?s"
)
_DEGREES = re.compile(r"[+-]?[0-9]+(?:[.,][0-9]+)?")
_BETWEEN = re.compile(r"\s*;\s*|\s*,\s+|\s+,\s*|\s+(?!(?:m|min|s)\b)")


_BEGINS = re.compile(r"\s*-?[0-9½¼¾][0-9.,½¼¾]*\s*(?:h|m|min|s|m[0-9]+s?)?\s*:\s*-?[0-9]")
_NUMBERS = re.compile(
    r"\s*[0-9½¼¾](?:[0-9½¼¾.,;:=>→/+\s°º˚℃℉–-]|deg(?:rees?)?|celsius|fahrenheit|min|[cfhms](?![a-z]))*",
    re.IGNORECASE,
)
_PARTS = {"½": ".5", "¼": ".25", "¾": ".75"}


def looks_like_points(text: str) -> bool:
    """Whether a text is readings, also such as are written otherwise than they should be, and no name of a
    file."""
    pair = bool(re.search(r"[0-9]\s*(?:[:=]|\s)\s*[-–]?\s*[0-9]", text))
    return bool(_BEGINS.match(text)) or (pair and bool(_NUMBERS.fullmatch(text)))


def read_points(
    text: str, expected: Expected, faults: list[InputFault], number: int = 1
) -> CooldownLog | None:
    """The log of a line of readings; None, and faults, where it is none. number : of several lines."""
    name = "points" if number == 1 else f"points {number}"
    before = len(faults)
    if len(text) > LONGEST or text.count(":") > MOST:
        faults.append(
            InputFault(name, 0, "readings", "", "too long", f"at most {MOST} readings; else a CSV file")
        )
        return None
    plain, unit = _without_unit(_in_decimals(text), expected, name, faults)
    pairs = _pairs(plain, name, faults)
    if _in_the_other_unit(pairs, unit, expected, name, faults):
        return None
    some = _readings(pairs, unit, name, faults)
    _as_a_slip(pairs, unit, name, faults)
    _in_order(some, pairs, name, faults)
    if len(faults) > before:
        return None
    minutes, degrees = (np.array(values, dtype=float) for values in zip(*some, strict=True))
    log = CooldownLog(
        name=short(text),
        time=60.0 * minutes,
        wort=np.array([kelvin(T, unit) for T in degrees]),
        clock=read_to((60.0 * minutes).tolist(), 60.0, 1.0),
        thermometer=read_to(degrees.tolist(), 1.0, 0.1) / (1.8 if unit == "degF" else 1.0),
    )
    return finished(log, name, ("minutes", "temperature"), unit, expected, faults)


def short(text: str) -> str:
    """The line as a name: whole where it is short, else how it begins and ends."""
    line = " ".join(text.split())
    return line if len(line) <= NAMED else f"{line[: NAMED - 18]} ... {line[-13:]}"


def _without_unit(text: str, expected: Expected, name: str, faults: list[InputFault]) -> tuple[str, str]:
    """The line without its unit, and degC or degF."""
    said = {"F" if sign[0].lower() in "f℉" else "C" for sign in (m[1] or m[0] for m in _UNIT.finditer(text))}
    if len(said) > 1:
        faults.append(InputFault(name, 0, "readings", "", "two units", "one unit for all: degC or degF"))
    unit = f"deg{said.pop()}" if said else expected.degrees
    return " ".join(_UNIT.sub(" ", text).split()).strip(" ,;"), unit


def _in_decimals(text: str) -> str:
    """Halves and quarters as decimals: 5½ is 5.5."""
    return re.sub("([0-9]*)([½¼¾])", lambda m: f"{m[1] or 0}{_PARTS[m[2]]}", text)


def _in_the_other_unit(
    pairs: list[tuple[str, str]], unit: str, expected: Expected, name: str, faults: list[InputFault]
) -> bool:
    """Whether the line makes sense in the other unit of temperature alone, which is a fault."""
    if not pairs or not all(_DEGREES.fullmatch(T) for _, T in pairs):
        return False
    degrees = [float(T.replace(",", ".")) for _, T in pairs]
    cold = next((n for n, T in enumerate(degrees) if kelvin(T, unit) < FREEZES), None)
    other = "degC" if unit == "degF" else "degF"
    there = [kelvin(T, other) for T in degrees]
    if cold is None or not all(map(possible, there)) or too_cold(max(there), other, expected):
        return False
    reason = f"colder than ice water in {unit}, and all readings make sense in {other}: is it {other}?"
    allowed = "the unit at the end of the line: degC or degF"
    faults.append(InputFault(name, 0, f"reading {cold + 1}", ":".join(pairs[cold]), reason, allowed))
    return True


def _pairs(text: str, name: str, faults: list[InputFault]) -> list[tuple[str, str]]:
    """Time and temperature of each reading, as text."""
    pieces = [piece.strip() for piece in text.split(":")]
    if len(pieces) < 2:
        reason = "not minutes:temperature, no colon between them"
        faults.append(InputFault(name, 0, "readings", text, reason, EXAMPLE))
        return []
    flat = [pieces[0]]
    for n, piece in enumerate(pieces[1:-1], 1):
        parts = _apart(piece)
        if len(parts) != 2:
            faults.append(_no_pair(n, pieces, parts, name))
            return []
        flat += parts
    flat.append(pieces[-1])
    return list(zip(flat[::2], flat[1::2], strict=True))


def _no_pair(n: int, pieces: list[str], parts: list[str], name: str) -> InputFault:
    """Why no temperature and next time stand between two colons."""
    given, key = pieces[n], f"reading {n}"
    comma = re.fullmatch("([0-9]+),([0-9]+),([0-9]+)", given)
    if comma:
        a, b, c = comma.groups()
        reason = f"can be {a}.{b} degrees then minute {c}, or {a} degrees then minute {b}.{c}"
        return InputFault(name, 0, key, given, reason, "blanks between readings, or points before decimals")
    if len(parts) > 2:
        return InputFault(name, 0, key, given, "more than two numbers between colons", EXAMPLE)
    around = f"{(pieces[n - 1].split() or [''])[-1]}:{given}:{(pieces[n + 1].split() or [''])[0]}"
    reason = "a colon too many: are they minutes and seconds?" if parts else "a number is missing"
    return InputFault(name, 0, key, around, reason, EXAMPLE)


def _apart(piece: str) -> list[str]:
    """A temperature and the time of the next reading, which stand between two colons."""
    parts = [part for part in _BETWEEN.split(piece) if part]
    if len(parts) != 1:
        return parts
    parts = piece.split(",")
    if len(parts) == 4:  # both with a decimal comma
        return [",".join(parts[:2]), ",".join(parts[2:])]
    return parts


def _readings(
    pairs: list[tuple[str, str]], unit: str, name: str, faults: list[InputFault]
) -> list[tuple[float, float]]:
    """Minutes and degrees of those that are some; of a wrong unit only the first is a fault."""
    some: list[tuple[float, float]] = []
    for n, pair in enumerate(pairs, 1):
        found = _reading(n, pair, unit, name, faults)
        if found is not None:
            some.append(found)
        elif "is it" in faults[-1].reason:
            break
    return some


def _as_a_slip(pairs: list[tuple[str, str]], unit: str, name: str, faults: list[InputFault]) -> None:
    """A lone reading that no wort can have, warmer than the one before it, is a slip in any unit."""
    if not pairs or not all(_DEGREES.fullmatch(T) for _, T in pairs):
        return
    degrees = [float(T.replace(",", ".")) for _, T in pairs]
    wrong = [n for n, T in enumerate(degrees) if not possible(kelvin(T, unit))]
    if len(wrong) != 1 or wrong[0] == 0 or degrees[wrong[0]] < degrees[wrong[0] - 1]:
        return
    key = f"reading {wrong[0] + 1}"
    for place, fault in enumerate(faults):
        if (fault.file, fault.key) == (name, key):
            reason = "hotter than wort can boil, after a colder one: a digit or a point too few or too many?"
            faults[place] = InputFault(name, 0, key, fault.given, reason, "0 to 105 °C, 32 to 221 °F")


def _reading(
    n: int, pair: tuple[str, str], unit: str, name: str, faults: list[InputFault]
) -> tuple[float, float] | None:
    """Minutes and degrees of one reading, None and a fault where it is none."""
    given = ":".join(pair)
    time, degrees = _TIME.fullmatch(pair[0]), _DEGREES.fullmatch(pair[1])

    reason, allowed, minutes, T = "", EXAMPLE, 0.0, 0.0
    if len(given) > 40 or time is None:
        reason = "the time is not in minutes"
    elif degrees is None:
        reason = "the temperature is not a number"
    else:
        minutes, T = _minutes(time), float(pair[1].replace(",", "."))
        if not possible(kelvin(T, unit)):
            reason = why_impossible(T, unit)
            end = "the unit at the end of the line: degC or degF"
            allowed = end if "?" in reason else "0 to 105 °C, 32 to 221 °F"
    if reason:
        faults.append(InputFault(name, 0, f"reading {n}", given, reason, allowed))
        return None
    return minutes, T


def _minutes(time: re.Match[str]) -> float:
    """Minutes and parts of them, minutes and seconds, or seconds."""
    if time[5]:
        return float(time[5]) / 60.0
    if time[3]:
        return float(time[3]) + float(time[4]) / 60.0
    return float(f"{time[1]}.{time[2] or 0}")


def _in_order(
    some: list[tuple[float, float]], pairs: list[tuple[str, str]], name: str, faults: list[InputFault]
) -> None:
    """Faults of readings that come no later than the one before."""
    if len(some) != len(pairs):
        return
    steps = [(b[0] - a[0], b[1] - a[1]) for a, b in pairwise(some)]
    if len(steps) > 1 and all(first < 0.0 < second for first, second in steps):
        given, reason = ":".join(pairs[0]), "degrees stand before minutes: minutes come first"
        faults.append(InputFault(name, 0, "reading 1", given, reason, EXAMPLE))
        return
    for n in range(1, len(some)):
        if some[n][0] <= some[n - 1][0]:
            reason = (
                "earlier than the reading before" if some[n][0] < some[n - 1][0] else "the same minute twice"
            )
            faults.append(
                InputFault(name, 0, f"reading {n + 1}", ":".join(pairs[n]), reason, "minutes that go up")
            )
