"""What the page draws: Vega-Lite specifications without data, and what each shows, in words.

The page's script fills the dataset "designs": of each coil left its id, rank, band, the four goals by their
key, and n0 ... n3, the same goals from 0 (best of all) to 1 (worst). It sets the signals "chosen" and
"pointed" to ids.
"""

from __future__ import annotations

import textwrap
from functools import cache
from typing import Any

INK, SOFT, PALE, LIMIT = "#1d2529", "#4d5a61", "#9aa8b0", "#8c2318"
COLOURS = ("#1c7a66", "#2b66a8", "#a85a0e", "#84306b")
SHAPES = ("circle", "square", "triangle-up", "diamond")
SIZES = (36.0, 300.0)
HEIGHT = 360
CURVE_HEIGHT = 240
FONT = "system-ui, 'Source Sans 3', 'Segoe UI', 'Liberation Sans', Helvetica, Arial, sans-serif"
AXIS = {"labelColor": SOFT, "titleColor": INK, "gridColor": "#e6eaec", "domainColor": PALE, "tickColor": PALE}
CONFIG = {
    "font": FONT,
    # The figure says it in words; a mark's own words would be an expression made of the titles.
    "aria": False,
    "mark": {"invalid": "show"},  # there are no gaps to look for
    "background": None,
    "view": {"stroke": None},
    "axis": {
        **AXIS,
        "labelFontSize": 12,
        "titleFontSize": 12,
        "titleFontWeight": "normal",
        "titleLimit": 260,
        "labelOverlap": True,
        "tickCount": 5,
    },
    "text": {"font": FONT, "fontSize": 12},
}


def _altair() -> Any:
    """The library that writes the specifications; loaded only when a page is made."""
    import altair

    return altair


def specs(data: dict[str, Any]) -> dict[str, dict[str, Any]]:
    """The charts of a page's data, by name: "cost", "water", "goals" and "curve"."""
    by_key = {goal["key"]: goal for goal in data["goals"]}
    return {
        "cost": _against(data, by_key["time"], by_key["cost"], sized=by_key["water"]),
        "water": _against(data, by_key["time"], by_key["water"]),
        "goals": _side_by_side(data),
        "curve": _curve(data),
    }


@cache
def script() -> str:
    """What draws the charts, fit to stand inside a page: nothing in it ends or reopens a script element."""
    import vl_convert

    bundle: str = vl_convert.javascript_bundle("window.vegaEmbed = vegaEmbed;")
    # In texts and patterns of a script "\/" and "\!" are "/" and "!"; elsewhere neither sequence occurs.
    for opening in ("</", "<!"):
        bundle = bundle.replace(opening + "script", f"<\\{opening[1]}script").replace("<!--", "<\\!--")
    return '(() => {"use strict";\n' + bundle + "\n})();"


def extent(data: dict[str, Any], key: str) -> tuple[float, float]:
    """Least and most of a goal over all designs."""
    values = [float(design[key]) for design in data["designs"]]
    return min(values), max(values)


# --- points ------------------------------------------------------------------------------------------------


def _against(
    data: dict[str, Any], across: dict[str, Any], up: dict[str, Any], sized: dict[str, Any] | None = None
) -> dict[str, Any]:
    """One goal against another: a mark a coil, physical limits as rules."""
    alt = _altair()

    x_room, y_room = _room(data, across, below=0.09), _room(data, up, below=0.12)
    x = alt.X(
        f"{across['key']}:Q", title=_titled(across), scale=alt.Scale(domain=x_room, zero=False, nice=False)
    )
    y = alt.Y(f"{up['key']}:Q", title=_titled(up), scale=alt.Scale(domain=y_room, zero=False, nice=False))
    size = _size(data, sized) if sized else alt.value(80)
    bare = alt.Chart(alt.NamedData(name="designs")).encode(x=x, y=y)
    base = bare.encode(size=size, shape=_banded(data, SHAPES), color=_banded(data, COLOURS))
    layers = [
        base.mark_point(filled=True, opacity=0.5, strokeWidth=0),
        base.transform_filter("datum.short").mark_point(filled=True, opacity=1, stroke=INK, strokeWidth=1.2),
        *_limits(across, up, x_room, y_room),
        *_rings(bare),
    ]
    return _finished(alt.layer(*layers), HEIGHT)


def _rings(bare: Any) -> list[Any]:
    """Round the coil pointed at, and round the chosen one, with its name."""
    alt = _altair()

    look = {"filled": False, "color": INK, "shape": "circle"}
    named = bare.encode(text=alt.value("chosen"))
    place = {"dy": -20, "fontWeight": "bold"}
    chosen = alt.layer(
        bare.mark_point(size=620, strokeWidth=3, **look),
        named.mark_text(stroke="white", strokeWidth=4, **place),
        named.mark_text(color=INK, **place),
    )
    pointed = bare.mark_point(size=420, strokeWidth=1.5, strokeDash=[3, 2], **look)
    return [pointed.transform_filter("datum.id === pointed"), chosen.transform_filter("datum.id === chosen")]


def _limits(
    across: dict[str, Any], up: dict[str, Any], x_room: list[float], y_room: list[float]
) -> list[Any]:
    """The physical limits as labelled rules. Their words stand on the far side, where no coil can be."""
    alt = _altair()

    layers = []
    if across["least"] is not None:
        at = alt.Chart(
            alt.InlineData(values=[{"x": across["least"], "y": y_room[1], "words": across["least_words"]}])
        )
        layers.append(at.mark_rule(color=LIMIT, strokeWidth=1.5).encode(x="x:Q"))
        words = at.encode(x="x:Q", y="y:Q", text="words:N")
        layers += _written(words, angle=270, dx=-4, dy=-10, fontSize=11.5, align="right", limit=HEIGHT - 60)
    if up["least"] is not None:
        at = alt.Chart(
            alt.InlineData(values=[{"x": x_room[1], "y": up["least"], "words": up["least_words"]}])
        )
        layers.append(at.mark_rule(color=LIMIT, strokeWidth=1.5).encode(y="y:Q"))
        layers += _written(at.encode(x="x:Q", y="y:Q", text="words:N"), dy=13, align="right", limit=300)
    return layers


def _written(place: Any, **where: Any) -> list[Any]:
    """Words that stay readable on top of marks: the second time without the white round them."""
    common = {"color": LIMIT, **where}
    return [place.mark_text(stroke="white", strokeWidth=4, **common), place.mark_text(**common)]


def _size(data: dict[str, Any], goal: dict[str, Any]) -> Any:
    alt = _altair()

    low, high = extent(data, goal["key"])
    scale = alt.Scale(domain=[low, high if high > low else low + 1.0], range=list(SIZES))
    return alt.Size(f"{goal['key']}:Q", scale=scale, legend=None)


def _banded(data: dict[str, Any], look: tuple[str, ...]) -> Any:
    """The band of work as a shape or a colour; the page tells which is which."""
    alt = _altair()

    scale = alt.Scale(domain=list(data["bands"]), range=list(look[: len(data["bands"])]))
    channel = alt.Shape if look is SHAPES else alt.Color
    return channel("band:N", scale=scale, legend=None)


def _room(data: dict[str, Any], goal: dict[str, Any], below: float = 0.06) -> list[float]:
    """What an axis spans: all coils and the physical limit, whatever is left, so that nothing jumps."""
    low, high = extent(data, goal["key"])
    if goal["least"] is not None:
        low = min(low, float(goal["least"]))
    span = (high - low) or max(abs(high), 1.0)
    return [low - below * span, high + 0.06 * span]


# --- all goals ---------------------------------------------------------------------------------------------


def _side_by_side(data: dict[str, Any]) -> dict[str, Any]:
    """One line a coil across an upright axis a goal, the best at the top; strong for the few that matter."""
    alt = _altair()

    last = len(data["goals"]) - 1
    x = alt.Scale(domain=[-0.35, last + 0.35], zero=False, nice=False)
    y = alt.Scale(domain=[1.14, -0.2], zero=False, nice=False)
    base = alt.Chart(alt.NamedData(name="designs"))

    def stretch(chart: Any, left: int) -> Any:
        return chart.encode(
            x=alt.XDatum(left, type="quantitative", scale=x, axis=None),
            x2=alt.X2Datum(left + 1),
            y=alt.Y(f"n{left}:Q", scale=y, axis=None),
            y2=f"n{left + 1}:Q",
        )

    def lines(test: str, **look: Any) -> Any:
        several = [stretch(base.mark_rule(strokeCap="round", **look), left) for left in range(last)]
        return alt.layer(*several).transform_filter(test)

    layers = [
        lines("datum.pale", color=PALE, opacity=0.35, strokeWidth=1),
        lines("datum.short", color=COLOURS[1], opacity=0.75, strokeWidth=1.5),
        lines("datum.id === pointed", color=INK, strokeWidth=2, strokeDash=[5, 3]),
        lines("datum.id === chosen", color=INK, strokeWidth=3.5),
        *_posts(data),
    ]
    return _finished(alt.layer(*layers), HEIGHT)


def _posts(data: dict[str, Any]) -> list[Any]:
    """The upright axes, with what each is, and its best and worst."""
    alt = _altair()

    values = []
    for place, goal in enumerate(data["goals"]):
        best, worst = (f"{shown(v, goal)} {goal['unit']}" for v in extent(data, goal["key"]))
        name = _wrapped(goal["label"], 12)
        values.append({"i": place, "top": 0, "low": 1, "best": best, "worst": worst, "name": name})
    at = alt.Chart(alt.InlineData(values=values)).encode(x="i:Q")
    room = {"limit": 84}
    return [
        at.mark_rule(color=SOFT, strokeWidth=1.5).encode(y="top:Q", y2="low:Q"),
        at.mark_text(dy=-10, color=SOFT, **room).encode(y="top:Q", text="best:N"),
        at.mark_text(dy=14, color=SOFT, **room).encode(y="low:Q", text="worst:N"),
        at.mark_text(dy=-40, fontWeight="bold", color=INK, lineBreak="\n", lineHeight=14, **room).encode(
            y="top:Q", text="name:N"
        ),
    ]


# --- one coil's chill --------------------------------------------------------------------------------------


def _curve(data: dict[str, Any]) -> dict[str, Any]:
    """The cool-down of the chosen coil. Datasets "curve" (minutes, temperature) and "changes" (minutes,
    words); signals "spanned" and "fallen", what the axes span.

    A range round the curve belongs before the line, on the same axes.
    """
    alt = _altair()

    degrees = f"wort, {data['temperature_unit']}"
    line = alt.Chart(alt.NamedData(name="curve")).encode(
        x=alt.X("minutes:Q", title="minutes", scale=alt.Scale(domain=alt.ExprRef("spanned"), nice=False)),
        y=alt.Y("temperature:Q", title=degrees, scale=alt.Scale(domain=alt.ExprRef("fallen"), zero=False)),
    )
    changes = alt.Chart(alt.NamedData(name="changes")).encode(x="minutes:Q")
    aim = alt.Chart(
        alt.InlineData(values=[{"aim": data["target"], "words": f"target {_plain(data['target'])}"}])
    )
    words = changes.mark_text(
        angle=270, align="right", baseline="bottom", dx=-4, dy=-3, color=SOFT, limit=150
    )
    layers = [
        aim.mark_rule(color=COLOURS[0], strokeDash=[5, 3], strokeWidth=1.5).encode(y="aim:Q"),
        changes.mark_rule(color=SOFT, strokeWidth=1, strokeDash=[2, 2]),
        line.mark_line(color=INK, strokeWidth=2.5),
        words.encode(y=alt.value(0), text="words:N"),
        aim.mark_text(align="left", dx=4, dy=-8, color=COLOURS[0]).encode(
            x=alt.value(0), y="aim:Q", text="words:N"
        ),
    ]
    spans = {"spanned": [0, 60], "fallen": [min(data["target"], 0), data["start"]]}
    return _finished(alt.layer(*layers), CURVE_HEIGHT, spans)


def _finished(chart: Any, height: int, signals: dict[str, Any] | None = None) -> dict[str, Any]:
    """signals : what the script sets, and what they are until then."""
    alt = _altair()

    for name, value in (signals or {"chosen": "", "pointed": ""}).items():
        chart = chart.add_params(alt.param(name=name, value=value))
    fit = alt.AutoSizeParams(type="fit", contains="padding")
    spec: dict[str, Any] = chart.properties(width="container", height=height, autosize=fit).to_dict()
    spec.pop("$schema", None)
    return {**spec, "config": CONFIG, "padding": 4}


# --- in words ----------------------------------------------------------------------------------------------


def findings(data: dict[str, Any]) -> dict[str, str]:
    """What each chart shows, said in words."""
    by_key = {goal["key"]: goal for goal in data["goals"]}
    time, cost, water = by_key["time"], by_key["cost"], by_key["water"]
    return {
        "cost": _ends(data, time, cost, "costs", "cheapest"),
        "water": _ends(data, time, water, "uses", "thriftiest"),
        "goals": _spreads(data),
    }


def _ends(data: dict[str, Any], time: dict[str, Any], other: dict[str, Any], verb: str, most: str) -> str:
    designs = data["designs"]
    quick = min(designs, key=lambda d: (d["time"], d[other["key"]]))
    spare = min(designs, key=lambda d: (d[other["key"]], d["time"]))
    low, high = extent(data, other["key"])
    said = (
        f"{_capital(other['label'])} from {shown(low, other)} to {measured(high, other)}; the quickest, "
        f"{measured(quick['time'], time)}, {verb} {measured(quick[other['key']], other)}; the {most}, "
        f"{measured(spare[other['key']], other)}, takes {measured(spare['time'], time)}."
    )
    limits = [_capital(goal["least_words"]) + "." for goal in (time, other) if goal["least"] is not None]
    return " ".join([said, *limits])


def _spreads(data: dict[str, Any]) -> str:
    best = data["designs"][0]
    parts = [
        f"{goal['label']} {measured(best[goal['key']], goal)} "
        f"(of {shown(extent(data, goal['key'])[0], goal)} to {shown(extent(data, goal['key'])[1], goal)})"
        for goal in data["goals"]
    ]
    return f"The best placed coil among all {len(data['designs'])}: {'; '.join(parts)}."


def shown(value: float, goal: dict[str, Any]) -> str:
    """A goal's value with its decimals, halves upwards: as the page's script writes it too."""
    from decimal import ROUND_HALF_UP, Decimal

    step = Decimal(1).scaleb(-int(goal["decimals"]))
    return str(Decimal(float(value)).quantize(step, rounding=ROUND_HALF_UP))


def measured(value: float, goal: dict[str, Any]) -> str:
    """A goal's value with its unit."""
    return f"{shown(value, goal)} {goal['unit']}"


def _titled(goal: dict[str, Any]) -> str:
    return f"{goal['label']}, {goal['unit']}"


def _plain(value: float) -> str:
    return f"{value:.1f}".removesuffix(".0")


def _capital(words: str) -> str:
    return words[:1].upper() + words[1:]


def _wrapped(words: str, width: int) -> str:
    return "\n".join(textwrap.wrap(words, width, max_lines=5, placeholder=" …"))
