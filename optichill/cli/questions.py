"""The questions of `optichill init`: what decides which coil is best, each with how to measure it.

An answer is right when the file that holds it reads back: what is allowed is said by the reader itself.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from typing import Any

import click

from optichill.cli.common import say
from optichill.display import US_GALLON, show, trim
from optichill.files.starter_kit import (
    DEFAULT_BREWHOUSE,
    EXAMPLES,
    KEYS,
    NONE,
    UNKNOWN,
    Answers,
    defaults,
    faults_of,
    ids_of,
)
from optichill.model.stirring import MIXING_ALLOWED
from optichill.thermal.batch import MIXING_WORDS
from optichill.units import QuantityError, parse

_SIZE = re.compile("[0-9].*(?:[xX×*]| by )")
"""Two lengths, as against the number or the id of a row."""


@dataclass(frozen=True)
class Question:
    """One question.

    Parameters
    ----------
    ask : what is wanted.
    how : how to measure it, or what may be answered.
    default : what Enter takes.
    fills : answers with the text's meaning put in; click.BadParameter where it has none.
    keys : keys and columns of the files that the answer must suit.
    """

    ask: str
    how: str
    default: str
    fills: Callable[[str, Answers], Answers]
    keys: tuple[str, ...] = ()

    def put(self, number: int, answers: Answers) -> Answers:
        """Ask until the answer can be read, and take it up."""

        def read(text: str) -> Answers:
            found = self.fills(" ".join(text.split()), answers)
            for fault in faults_of(found):
                if fault.key.startswith((*self.keys, "file")):
                    allowed = f" (allowed: {fault.allowed})" if fault.allowed else ""
                    raise click.BadParameter(f"{fault.reason}{allowed}")
            return found

        text = f"{number:>2} {self.ask}\n   {self.how}\n  "
        found: Answers = click.prompt(text, default=self.default, value_proc=read)
        return found


def ask(units: str | None, *, lists_kept: tuple[str, ...] = ()) -> Answers:
    """The answers of a person at a terminal.

    Parameters
    ----------
    units : of the kit; asked for when None.
    lists_kept : lists that are there already and stay: what they hold is not asked for.
    """
    answers, number = defaults(units or "metric"), 0
    say(["At most ten questions; Enter takes the value in brackets."])
    if units is None:
        number += 1
        answers = _units().put(number, answers)
    for question in _questions(lists_kept):
        number += 1
        answers = question(answers).put(number, answers)
    return answers


def _questions(lists_kept: tuple[str, ...]) -> Iterator[Callable[[Answers], Question]]:
    """In order; each is made when the answers before it are known."""
    yield from (_kettle, _volume, _tap, _flow, _mixing, _time, _budget)
    if "forms.csv" not in lists_kept:
        yield _forms
    if "tubing.csv" not in lists_kept:
        yield _rolls


def _units() -> Question:
    def fills(text: str, answers: Answers) -> Answers:
        if text.lower() not in EXAMPLES:
            raise click.BadParameter("metric or us")
        return defaults(text.lower())

    return Question("Units", "metric or us: of results, and of the sizes in the lists", "metric", fills)


def _kettle(usual: Answers) -> Question:
    def fills(text: str, answers: Answers) -> Answers:
        across, tall = sizes(text, usual.units)
        return replace(answers, inside_diameter=across, inside_height=tall)

    return Question(
        "Kettle, inside: across x tall",
        "a tape laid across the inside, then from the floor to the rim; for instance "
        + ("14 x 16 in" if usual.units == "us" else "36 x 40 cm"),
        f"{usual.inside_diameter} x {usual.inside_height}",
        fills,
        (KEYS["inside_diameter"], KEYS["inside_height"]),
    )


def _volume(usual: Answers) -> Question:
    brim = math.pi / 4 * parse(usual.inside_diameter, "length") ** 2 * parse(usual.inside_height, "length")
    room = f"{trim(0.8 * brim / US_GALLON)} gal" if usual.units == "us" else f"{trim(0.8e3 * brim)} L"
    default = usual.volume if parse(usual.volume, "volume") < 0.9 * brim else room
    how = "the kettle's own marks, or the boil's start less what boils away"
    return _plain("Hot wort in the kettle at flame-out", how, "volume", default)


def _tap(usual: Answers) -> Question:
    how = "a thermometer in the water at the END of the hose, after two minutes"
    return _plain("Tap water, in the warmest season you brew in", how, "temperature", usual.temperature)


def _flow(usual: Answers) -> Question:
    how = f"bucket and clock at the end of your hose, tap fully open; or {UNKNOWN}: then it is estimated"
    return _plain("Tap flow", how, "open_flow", usual.open_flow, (UNKNOWN,))


def _mixing(usual: Answers) -> Question:
    return _plain("How you stir while it chills", MIXING_ALLOWED, "mixing", usual.mixing, tuple(MIXING_WORDS))


def _time(usual: Answers) -> Question:
    how = f"flame-out to yeast temperature; for instance 30 min, or {NONE}: the best is looked for"
    return _plain("Longest chill you accept", how, "chill_time", NONE, (NONE,))


def _budget(usual: Answers) -> Question:
    currency = "USD" if usual.units == "us" else "EUR"
    how = f"tube, fittings, hose and tools to buy; a bare number, or {NONE}"
    return _plain(f"Most money for the whole build, in {currency}", how, "budget", NONE, (NONE,))


def _plain(ask: str, how: str, answer: str, default: str, words: tuple[str, ...] = ()) -> Question:
    """A question whose answer is written as it is; `words` are known in capitals too."""

    def fills(text: str, answers: Answers) -> Answers:
        said: dict[str, Any] = {answer: text.lower() if text.lower() in words else text}
        return replace(answers, **said)

    return Question(ask, how, default, fills, (KEYS[answer],))


def _forms(usual: Answers) -> Question:
    rows = ids_of("forms.csv", usual.units)

    def label(row: dict[str, str]) -> str:
        measured = row["outer_diameter"] or row["circumference"]
        size = show(parse(measured, "length"), "length", usual.units)
        return f"{row['form_id']} {size}{'' if row['outer_diameter'] else ' round'}"

    def fills(text: str, answers: Answers) -> Answers:
        own = [item for item in _items(text) if item not in rows and _SIZE.search(item)]
        listed = tuple(_row(item, rows) for item in _items(text) if item not in own)
        return replace(answers, forms=listed, own_forms=tuple(sizes(item, usual.units) for item in own))

    return Question(
        "Round things you own to wind on",
        f"numbers of this list, with commas between; of others outside across x tall; or {NONE}\n"
        + _numbered([label(row) for row in rows.values()]),
        NONE,
        fills,
        ("outer_diameter", "height"),
    )


def _rolls(usual: Answers) -> Question:
    rows = ids_of("tubing.csv", usual.units)

    def fills(text: str, answers: Answers) -> Answers:
        return replace(answers, rolls=tuple(_row(item, rows) for item in _items(text)))

    how = f"numbers of this list, with commas between; others go into tubing.csv; or {NONE}\n"
    return Question("Rolls of tube you own", how + _numbered(list(rows)), NONE, fills)


def _items(text: str) -> list[str]:
    """What stands between commas; beside a size a comma could also be a decimal one, and is refused."""
    if re.search(r"[0-9],[0-9]", text) and _SIZE.search(text):
        raise click.BadParameter("a comma between two digits can be read two ways: put a blank after it")
    return [item.strip() for item in text.split(",") if item.strip() not in ("", NONE)]


def _row(item: str, rows: dict[str, dict[str, str]]) -> str:
    """The id of a row, by its number in the list shown or by itself."""
    if item in rows:
        return item
    ids = list(rows)
    if re.fullmatch("[0-9]{1,3}", item) and 1 <= int(item) <= len(ids):
        return ids[int(item) - 1]
    raise click.BadParameter(f"'{item}' is not in the list: numbers 1 to {len(ids)}, or {NONE}")


def _numbered(labels: list[str], width: int = 76) -> str:
    """Labels with their numbers, in columns."""
    texts = [f"{place:>2} {label}" for place, label in enumerate(labels, 1)]
    column = max(map(len, texts)) + 2
    across = max(width // column, 1)
    lines = [texts[at : at + across] for at in range(0, len(texts), across)]
    return "\n".join("   " + "".join(text.ljust(column) for text in line).rstrip() for line in lines)


def sizes(text: str, units: str = "metric") -> tuple[str, str]:
    """Two lengths written as one: "36 x 40 cm", "14 in x 15 1/2 in", '15" x 15"'; units : of an example."""
    said = re.sub("''|[\"″”]", " in", text)
    parts = [part.strip() for part in re.split(" by |[xX×*]", said)]
    if len(parts) != 2:
        raise click.BadParameter("two lengths are wanted, such as 36 x 40 cm or 14 x 16 in")
    first, second = parts
    unit = re.sub("^[0-9.,/ +-]*", "", second)
    if not unit and not re.search("[^0-9.,/ +-]", first):
        raise click.BadParameter(f"add the unit: {first} x {second} {'in' if units == 'us' else 'cm'}")
    if not re.search("[^0-9.,/ +-]", first):
        first = f"{first} {unit}"
    both = tuple(re.sub(" +", " ", part).strip() for part in (first, second))
    for part in both:
        try:
            parse(part, "length")
        except QuantityError as error:
            raise click.BadParameter(str(error)) from None
    return both[0], both[1]


def name_of(folder_name: str) -> str:
    """A brewhouse is called as its folder: two kits then keep their reports apart."""
    plain = " ".join(folder_name.split())
    return plain if plain and plain.isprintable() and len(plain) <= 200 else DEFAULT_BREWHOUSE
