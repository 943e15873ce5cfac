"""The page itself: one HTML file that needs nothing else and fetches nothing.

With scripts off it still tells the answer, the best coil in full, the charts as drawn, and all coils.
"""

from __future__ import annotations

import json
import math
from functools import cache
from importlib import resources
from typing import Any

from optichill.report.tradeoff import charts
from optichill.report.tradeoff.packed import packed

GOALS = ("time", "cost", "water", "work")
RESTS = {
    "feet": "The coil stands on feet.",
    "floor": "The coil stands on the floor.",
    "hangs": "The coil hangs.",
}


SCRIPTS = ("core", "tables", "fields", "narrow", "cooling", "drawing", "compare", "chosen", "keep", "start")
"""The page's script, in the order in which its parts stand."""


def page(data: dict[str, Any], drawing: Any = "") -> str:
    """The page of the data, as text. The same data give the same page. drawing : the first coil in its
    kettle, as the build sheet draws it (markup of our own making), for readers with scripts off.

    Every word in data may be anything: it is shown, never obeyed. Raises ValueError, with the place, for data
    that no page can be made of.
    """
    _check(data)
    some = bool(data["designs"])
    coils = charts.firsts(data["designs"])
    short = _shortlisted(data)
    first = next(iter([*short, *coils]), None)
    text: str = _template().render(
        data=data,
        some=some,
        coils=coils,
        short=short,
        first=first,
        one=data["details"].get(first["id"]) if first else None,
        goals=charts.by_key(data),
        bounds=_bounds(data) if some else {},
        bests=_bests(data, coils),
        fields=charts.fields(data) if some else [],
        curve=charts.curve(data) if some else None,
        drawing=drawing,
        target=f"{data['target']:.1f}".removesuffix(".0"),
        better=charts.BETTER,
        shapes=charts.SHAPES,
        plus=charts.PLUS,
        embedded=_embedded(data),
        shown=charts.shown,
        told_of=told_of,
        style=_safe(_own("style.css"), "style"),
        script=_safe(_script(), "script"),
    )
    return text


def told_of(design: dict[str, Any]) -> str:
    """What a coil is among the best, in a few words."""
    return ", ".join([*design["roles"], *(["tied with number 1"] if design["tied"] else [])])


def _shortlisted(data: dict[str, Any]) -> list[dict[str, Any]]:
    by_id = {design["id"]: design for design in data["designs"]}
    return [by_id[name] for name in data["shortlist"]]


def _bests(data: dict[str, Any], coils: list[dict[str, Any]]) -> dict[str, str]:
    """Of each way to build the coil that ranks best, in time and cost."""
    goals = charts.by_key(data)
    best: dict[str, str] = {}
    for d in coils:
        told = ", ".join(charts.measured(d[key], goals[key]) for key in ("time", "cost"))
        best.setdefault(d["layout"], told)
    return best


def _bounds(data: dict[str, Any]) -> dict[str, tuple[str, ...]]:
    """Of each goal the ends of its slider and its step: all coils lie between them."""
    searched = {}
    for goal in data["goals"]:
        low, high = charts.extent(data, goal["key"])
        unit = 10.0 ** -int(goal["decimals"])
        low, high = math.floor(low / unit) * unit, math.ceil(high / unit) * unit
        searched[goal["key"]] = tuple(f"{v:.{goal['decimals']}f}" for v in (low, max(high, low + unit), unit))
    return searched


def _embedded(data: dict[str, Any]) -> dict[str, Any]:
    """What the script reads. Designs as bare rows, and their details with what they share apart: named and
    repeated they would be most of the page."""
    layouts, bands = list(data["layouts"]), list(data["bands"])
    designs = [
        [
            d["id"],
            d["coil"],
            d["rank"],
            d["what"],
            d["setting"],
            layouts.index(d["layout"]),
            bands.index(d["band"]),
            *(d[k] for k in GOALS),
            *(d["likely"].get(k, "") for k in ("time", "water")),
            d["span"],
            told_of(d),
            int(d["explored"]),
        ]
        for d in data["designs"]
    ]
    parts, details = packed(data["details"])
    kept = ("goals", "layouts", "bands", "target", "temperature_unit", "shortlist", "commands", "title")
    return {
        **{key: data[key] for key in kept},
        "designs": designs,
        "better": charts.BETTER,
        "shapes": charts.SHAPES,
        "plus": charts.PLUS,
        "rests": RESTS,
        "parts": parts,
        "details": details,
    }


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
    return (resources.files("optichill.report.tradeoff") / "web" / name).read_text(encoding="utf-8")


@cache
def _script() -> str:
    """Its parts as one, out of reach of everything else."""
    parts = "\n".join(_own(f"{name}.js") for name in SCRIPTS)
    return f'(() => {{\n"use strict";\n{parts}\n}})();'


def _safe(text: str, element: str) -> Any:
    from markupsafe import Markup

    if f"</{element}" in text.lower() or "<!--" in text:
        raise ValueError(f"the page's {element} must not end or comment out its own element")
    return Markup(text)


@cache
def _template() -> Any:
    from jinja2 import DictLoader, Environment, StrictUndefined

    names = ("page.html.jinja", "charts.jinja")
    env = Environment(
        loader=DictLoader({name: _own(name) for name in names}),
        autoescape=True,
        trim_blocks=True,
        lstrip_blocks=True,
        undefined=StrictUndefined,
    )
    env.policies["json.dumps_kwargs"] = {"allow_nan": False, "sort_keys": False, "separators": (",", ":")}
    return env.get_template("page.html.jinja")
