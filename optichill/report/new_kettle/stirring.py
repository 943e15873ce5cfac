"""What stirring more does for the coil that goes on, in words."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from optichill.owned.improve.changes import toml
from optichill.owned.new_kettle.stirred import Stirred
from optichill.problem.limits import LIMITS
from optichill.report import ranges
from optichill.report.design_json import lifetime, prediction
from optichill.report.new_kettle.told import Told
from optichill.report.new_kettle.words import SAID, title, to_buy, within
from optichill.report.words.stirring_words import all_along


def label(told: Told) -> str:
    """Of its paragraph: in place of the first option, or beside it."""
    s = told.found.stirred
    return "AND STIR" if s is not None and _is_first(s, told) else "OR STIR"


def or_stir(told: Told, as_line: Callable[[str], str] = str) -> list[str]:
    """That a paddle does as well, with its minutes and the line to write; nothing where it does not.
    as_line : makes of that line what no width folds."""
    s = told.found.stirred
    if s is None:
        return []
    takes = f"takes {ranges.time(s.option.rating.prediction)}{_what_for(s)}."
    stir = all_along(s.tool, s.motion)
    if _is_first(s, told):
        said = f"Do that, and {stir}: then it {takes}"
    else:
        said = f"{_lead(s, told)}{stir}, and {_the_coil(s, told)} {takes}"
    if s.beside is not None:
        said += f" Stirred so, {_first(told)} would take {s.beside / 60.0:.0f} min."
    return [
        said,
        f"Under [wort]: {as_line(line(s))}; and somebody stands by and stirs. {_same(s, told)}",
    ]


def _same(s: Stirred, told: Told) -> str:
    """How to come to the same by `predict`: with the coil of that option, where it is not the first."""
    if _is_first(s, told) or told.found.option(s.option.name) is None:
        return "Then predict tells the same."
    return (
        f"Then predict tells the same of its coil: --option {s.option.name} tells how it stands, and "
        "--save-coil beside that keeps it in a file."
    )


def _is_first(s: Stirred, told: Told) -> bool:
    return told.found.first is not None and told.found.first.name == s.option.name


def line(s: Stirred) -> str:
    """As the new kettle's file has it."""
    return f"mixing = {toml(s.table)}"


def document(told: Told) -> dict[str, Any] | None:
    """The same for other programs, in SI; null where stirring more is not worth telling."""
    s = told.found.stirred
    if s is None:
        return None
    return {
        "name": s.option.name,
        "mixing": s.table,
        "write": {"brewhouse": [line(s)]},
        "text": " ".join(or_stir(told)),
        "prediction": prediction(s.option.rating.prediction),
        "lifetime": lifetime(s.option.life),
        "holds": s.option.holds,
        "broken": [vars(limit) for limit in s.option.broken],
        "keeps_limit": s.keeps,
        "first_chill_time_p50_s": s.beside,
    }


def _lead(s: Stirred, told: Told) -> str:
    if told.found.first is None:
        return "As the wort is stirred now nothing chills it. But "
    return "Or buy nothing: " if s.option.bill.total <= 0.0 else f"Or buy for {to_buy(s.option, told)} only: "


def _the_coil(s: Stirred, told: Told) -> str:
    if s.option.name == "keep":
        return "the coil as it is"
    if s.option.name in SAID:
        return f"the coil with {title(s.option, told)}"
    return f"the coil {title(s.option, told)}"


def _what_for(s: Stirred) -> str:
    """What that is good for: a limit that it keeps, or breaks all the same."""
    if s.keeps:
        broken = " and ".join(LIMITS[x.name].words.removeprefix("the ") for x in s.plain.broken)
        return f", which keeps your limit ({broken})"
    if not s.option.holds:
        names = " and ".join(LIMITS[x.name].words.removeprefix("the ") for x in s.option.broken)
        return f", which breaks your limit ({names}) all the same"
    now = s.plain.rating.prediction.told.time
    return "" if now is None else f" (as it is stirred now: {now / 60.0:.0f})"


def _first(told: Told) -> str:
    first = told.found.first
    assert first is not None
    return within(first, told)
