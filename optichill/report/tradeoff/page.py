"""The page itself: one HTML file that needs nothing else and fetches nothing.

With scripts off it still tells the answer, the shortlist with every coil's details, and all coils.
"""

from __future__ import annotations

import json
import math
from functools import cache
from importlib import resources
from typing import Any

from optichill.report.tradeoff import charts

GOALS = ("time", "cost", "water", "work")
RESTS = {
    "feet": "The coil stands on feet.",
    "floor": "The coil stands on the floor.",
    "hangs": "The coil hangs.",
}


def page(data: dict[str, Any]) -> str:
    """The page of the data, as text. The same data give the same page.

    Every word in data may be anything: it is shown, never obeyed. Raises ValueError, with the place, for data
    that no page can be made of.
    """
    _check(data)
    some = bool(data["designs"])
    text: str = _template().render(
        data=data,
        some=some,
        goals={goal["key"]: goal for goal in data["goals"]},
        short=_shortlisted(data),
        details=data["details"],
        bounds=_bounds(data) if some else {},
        findings=charts.findings(data) if some else {},
        specs=charts.specs(data) if some else {},
        looks=list(zip(data["bands"], charts.SHAPES, charts.COLOURS, strict=False)),
        embedded=_embedded(data),
        shown=charts.shown,
        curve_rows=_curve_rows,
        changed=_changed,
        rests=RESTS,
        bundle=_safe(charts.script()) if some else "",
        script=_safe(_own("page.js")),
    )
    return text


def _shortlisted(data: dict[str, Any]) -> list[dict[str, Any]]:
    by_id = {design["id"]: design for design in data["designs"]}
    return [by_id[name] for name in data["shortlist"]]


def _bounds(data: dict[str, Any]) -> dict[str, tuple[str, ...]]:
    """Of each goal the ends of its slider and its step: all coils lie between them."""
    searched = {}
    for goal in data["goals"]:
        low, high = charts.extent(data, goal["key"])
        unit = 10.0 ** -int(goal["decimals"])
        low, high = math.floor(low / unit) * unit, math.ceil(high / unit) * unit
        searched[goal["key"]] = tuple(f"{v:.{goal['decimals']}f}" for v in (low, max(high, low + unit), unit))
    return searched


def _curve_rows(curve: dict[str, list[float]], most: int = 12) -> list[list[str]]:
    """A curve short enough to be read as a table: first, last, and an even choice between them."""
    points = list(zip(curve["minutes"], curve["wort"], strict=True))
    if len(points) > most:
        points = [points[round(i * (len(points) - 1) / (most - 1))] for i in range(most)]
    return [[f"{number:.1f}" for number in point] for point in points]


def _changed(changes: list[list[Any]]) -> list[list[str]]:
    return [[f"{minutes:.1f}", words] for minutes, words in changes]


def _embedded(data: dict[str, Any]) -> dict[str, Any]:
    """What the script reads. Designs as bare rows: named values would be most of the page."""
    layouts, bands = list(data["layouts"]), list(data["bands"])
    designs = [
        [
            d["id"],
            d["rank"],
            d["what"],
            layouts.index(d["layout"]),
            bands.index(d["band"]),
            *(d[k] for k in GOALS),
            *(d["likely"][k] for k in ("time", "water")),
        ]
        for d in data["designs"]
    ]
    kept = ("goals", "layouts", "bands", "target", "temperature_unit", "shortlist", "details")
    ends = [charts.extent(data, goal["key"]) for goal in data["goals"]] if designs else []
    return {**{key: data[key] for key in kept}, "designs": designs, "ends": ends, "rests": RESTS}


# --- refusing ----------------------------------------------------------------------------------------------


def _check(data: dict[str, Any]) -> None:
    """Names the first place that no page can be made of."""
    if sorted(goal["key"] for goal in data["goals"]) != sorted(GOALS):
        raise ValueError(f"goals: must be {', '.join(GOALS)}")
    for at, design in enumerate(data["designs"]):
        _check_design(design, f"designs[{at}]", data)
    ids = [design["id"] for design in data["designs"]]
    if len(set(ids)) != len(ids):
        raise ValueError("designs: an id stands twice")
    for field in ("shortlist", "details"):
        for name in set(data[field]) - set(ids):
            raise ValueError(f"{field}: no design has the id {name!r}")
    try:
        json.dumps(data, allow_nan=False)
    except ValueError as fault:
        raise ValueError(f"data: every number must be finite ({fault})") from None


def _check_design(design: dict[str, Any], place: str, data: dict[str, Any]) -> None:
    if not str(design["what"]).strip():
        raise ValueError(f"{place}.what: must say what is built")
    if design["layout"] not in data["layouts"]:
        raise ValueError(f"{place}.layout: {design['layout']!r} is none of {', '.join(data['layouts'])}")
    if design["band"] not in data["bands"]:
        raise ValueError(f"{place}.band: {design['band']!r} is none of {', '.join(data['bands'])}")
    for key in GOALS:
        if not math.isfinite(design[key]):
            raise ValueError(f"{place}.{key}: must be a finite number, not {design[key]!r}")


# --- putting together --------------------------------------------------------------------------------------


def _own(name: str) -> str:
    return (resources.files("optichill.report.tradeoff") / name).read_text(encoding="utf-8")


def _safe(script: str) -> Any:
    from markupsafe import Markup

    if "</script" in script.lower() or "<!--" in script:
        raise ValueError("the page's script must not end or comment out its own element")
    return Markup(script)


@cache
def _template() -> Any:
    from jinja2 import Environment, StrictUndefined

    env = Environment(autoescape=True, trim_blocks=True, lstrip_blocks=True, undefined=StrictUndefined)
    env.policies["json.dumps_kwargs"] = {"allow_nan": False, "sort_keys": False, "separators": (",", ":")}
    return env.from_string(_own("page.html.jinja"))
