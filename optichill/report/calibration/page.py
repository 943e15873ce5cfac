"""The page of a calibration: measured against fitted, what is left, and what was learnt. No script in it."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache
from importlib import resources
from typing import Any

from optichill.files.coil_file import DEMO_BANNER
from optichill.files.reading import Inputs
from optichill.owned.calibrate.fit import Fit, Learnt
from optichill.owned.calibrate.meaning import Meaning
from optichill.problem.basis import DesignBasis
from optichill.report.calibration import charts, words
from optichill.report.calibration.screen import (
    LEANS,
    NARROWER,
    WIDER,
    acts,
    doubt_lines,
    largest,
    leaning_lines,
    learnt_lines,
    learnt_of,
    means_lines,
    more_lines,
    narrowed,
    not_learnt_line,
    read_line,
    remarks,
    stirring_line,
    whole,
)
from optichill.report.words.sentences import sentence

NAME = "calibration.html"


def page(fit: Fit, means: Sequence[Meaning], basis: DesignBasis, inputs: Inputs) -> str:
    """The page as text; the same fit gives the same page. Words in it are shown, never obeyed."""
    u, house = basis.brewhouse.units, inputs.brewhouse
    text: str = _template().render(
        title=f"What your batches taught: {house.name}",
        banner=f"{DEMO_BANNER}: sizes and prices are invented." if house.demo else "",
        learnt=[_capital(text) for text in learnt_lines(fit, means, u)],
        leans=LEANS,
        leaning=[_capital(text) for text in leaning_lines(fit, u)],
        not_learnt=not_learnt_line(fit, basis),
        stirring=_capital(stirring_line(fit, basis)),
        means=[means_lines(one, largest(basis)) for one in means],
        doubts=doubt_lines(fit, basis),
        more=[sentence(text) for text in more_lines(fit, u)],
        batches=[
            {
                "title": read_line(batch, basis),
                "chart": charts.chart(batch, u),
                "finding": " ".join([charts.finding(batch, u), *map(sentence, whole(batch, u))]),
                "seen": charts.SEEN[batch.batch.log.place],
                "remarks": [sentence(text) for text in remarks(batch, basis)],
                "readings": charts.readings(batch, u),
            }
            for batch in fit.batches
        ],
        rows=_rows(fit, basis),
        degree="°F" if u == "us" else "°C",
        style=_style(),
    )
    return text


def _rows(fit: Fit, basis: DesignBasis) -> list[tuple[str, str, str, str]]:
    """What was learnt and what was not: quantity, before, now, and how much narrower."""
    told, units = learnt_of(fit), basis.brewhouse.units
    rest = [one for one in fit.learnt if one not in told and acts(one.name, basis)]
    return [
        (
            words.quantity(one),
            words.value(one, one.before, units),
            words.value(one, one.after, units),
            _range(one),
        )
        for one in (*told, *rest)
    ]


def _range(one: Learnt) -> str:
    """How much narrower it is."""
    if narrowed(one) > WIDER:
        return "wider"
    if one.told_apart and one.after[2] - one.after[0] > one.before[2] - one.before[0]:
        return "another range"  # narrower for its size alone: a person sees two wider numbers
    said = one.told_apart or narrowed(one) < NARROWER
    return f"{100.0 * (1.0 - narrowed(one)):.0f} % narrower" if said else "as before"


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


def _own(name: str, room: str = "calibration") -> str:
    return (resources.files(f"optichill.report.{room}") / "web" / name).read_text(encoding="utf-8")


@cache
def _style() -> Any:
    from markupsafe import Markup

    return Markup(_own("style.css", "tradeoff") + _own("style.css"))


@cache
def _template() -> Any:
    from jinja2 import DictLoader, Environment, StrictUndefined

    sources = {"page.html.jinja": _own("page.html.jinja"), "charts.jinja": _own("charts.jinja", "tradeoff")}
    env = Environment(
        loader=DictLoader(sources),
        autoescape=True,
        trim_blocks=True,
        lstrip_blocks=True,
        undefined=StrictUndefined,
    )
    return env.get_template("page.html.jinja")
