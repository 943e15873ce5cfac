"""The trade-off report's files: the page, the table for a spreadsheet, and everything as JSON."""

from __future__ import annotations

import io
import platform
from csv import writer
from importlib import metadata
from math import isfinite
from pathlib import Path
from typing import TYPE_CHECKING, Any

from optichill.display import FOOT, INCH, POUND, US_GALLON
from optichill.files.ownership import read_for, write_report
from optichill.files.reading import Inputs
from optichill.files.tables import read_text
from optichill.report import design_json, jsonout
from optichill.report.naming import names_of
from optichill.report.tradeoff.data import page_data
from optichill.report.tradeoff.page import page
from optichill.report.tradeoff.still import still
from optichill.search.evaluate import bought
from optichill.search.tradeoff import Tradeoff
from optichill.version import __version__

if TYPE_CHECKING:
    from pandas import DataFrame

NAMES: tuple[str, ...] = ("tradeoff.html", "front.csv", "result.json")
LIBRARIES = ("numpy", "scipy", "CoolProp", "moocore", "pandas")

RUNS_AS_FORMULA = ("=", "+", "-", "@", "\t", "\r", "\n")
"""A spreadsheet takes a text cell that begins so for a formula."""


def versions() -> dict[str, str]:
    """Of this program, of Python and of the libraries that the numbers pass through."""
    searched = {"optichill": __version__, "Python": platform.python_version()}
    return {**searched, **{name: metadata.version(name) for name in LIBRARIES}}


def write(
    t: Tradeoff,
    inputs: Inputs,
    folder: Path,
    seed: int,
    *,
    force: bool = False,
    before: dict[str, Any] | None = None,
    study: str | None = None,
    more: dict[str, Any] | None = None,
) -> tuple[Path, ...]:
    """Page, table and JSON into the folder, each whole or not at all, as `write_report` does. before : a
    coil that exists, before and after, for the head of the page (`new_kettle_json.page_section`); study :
    that coils may be of, as it goes into a command, and more : what the JSON has of it."""
    used = versions()
    result = jsonout.dumps(result_json(t, inputs, seed, used) | (more or {}))
    texts = (page({**page_data(t, inputs, used, study), "before": before}, still(t)), csv(t), result)
    return write_report(folder, dict(zip(NAMES, texts, strict=True)), inputs.brewhouse, force=force)


def result_json(t: Tradeoff, inputs: Inputs, seed: int, used: dict[str, str]) -> dict[str, Any]:
    """What `recommend --json` tells, all designs that nothing beats, what was read, and what computed it."""
    return {
        **jsonout.recommend(t.answer, inputs),
        "front": _by_column(table(t)),
        "seed": seed,
        "inputs": echo(inputs),
        "versions": used,
    }


def _by_column(rows: list[dict[str, Any]]) -> dict[str, list[Any]]:
    """The same table, a list for every column."""
    return {key: [row[key] for row in rows] for key in (rows[0] if rows else {})}


LIKELY = (
    "chill_time_p10_s",
    "chill_time_p50_s",
    "chill_time_p90_s",
    "water_p10_m3",
    "water_p50_m3",
    "water_p90_m3",
    "ice_p10_kg",
    "ice_p50_kg",
    "ice_p90_kg",
    "deadline_probability",
    *(f"{name}_probability" for name in design_json.HELD),
)
"""Columns of front.csv that tell what is likely: keys of every prediction in JSON."""

COLUMNS = [
    "id",
    "rank",
    "origin",
    "chill_time_s",
    "cost",
    "water_m3",
    "difficulty",
    "stock_id",
    "tube",
    "rolls",
    "second_stock_id",
    "form_id",
    "form",
    "lagging",
    "inner_form_id",
    "layout",
    "turns",
    "gap_m",
    "inner_turns",
    "inner_gap_m",
    "mean_diameter_m",
    "height_m",
    "tube_length_m",
    "valve_share",
    "score",
    "lifetime_cost",
    "stands_for",
    *LIKELY,
    "riser_tool",
    "name",
]
"""Of front.csv, with the unit in the name."""

US_COLUMNS = {
    "water_m3": ("water_gal", US_GALLON),
    "water_p10_m3": ("water_p10_gal", US_GALLON),
    "water_p50_m3": ("water_p50_gal", US_GALLON),
    "water_p90_m3": ("water_p90_gal", US_GALLON),
    "ice_p10_kg": ("ice_p10_lb", POUND),
    "ice_p50_kg": ("ice_p50_lb", POUND),
    "ice_p90_kg": ("ice_p90_lb", POUND),
    "gap_m": ("gap_in", INCH),
    "inner_gap_m": ("inner_gap_in", INCH),
    "mean_diameter_m": ("mean_diameter_in", INCH),
    "height_m": ("height_in", INCH),
    "tube_length_m": ("tube_length_ft", FOOT),
}
"""Columns of front.csv of a brewhouse in US units: their name there, and the unit in SI."""


NO_ICE = dict.fromkeys(("ice_p10_kg", "ice_p50_kg", "ice_p90_kg"))


def table(t: Tradeoff) -> list[dict[str, Any]]:
    """One row a design, SI, best first."""
    r, space = t.rows, t.searched.enumeration.space
    if r is None:
        return []
    assert t.life is not None
    searched, life, called = [], t.life.total, names_of(t)
    iced = any(stage.ice for stage in space.basis.brewhouse.cooling)
    for i, name in enumerate(t.ids):  # rows of a table for people: at most a few thousand
        w, inner, layout = space.wound(int(r.setup[i]))
        rolls = bought(space, r, i)
        time, cost, water, difficulty = t.goals[i].tolist()
        searched.append(
            {
                "id": name,
                "rank": int(t.rank[i]) or None,
                "origin": t.origin(i),
                "chill_time_s": time,
                "cost": cost,
                "water_m3": water,
                "difficulty": difficulty,
                "stock_id": w.tube.stock_id,
                "tube": w.tube.description,
                "rolls": len(rolls),
                "second_stock_id": rolls[1].stock_id if len(rolls) > 1 else None,
                "form_id": w.form.form_id,
                "form": w.form.description,
                "lagging": w.wraps,
                "inner_form_id": inner.form.form_id if inner else None,
                "layout": layout.name,
                "turns": float(r.turns[i]),
                "gap_m": float(r.gap[i]),
                "inner_turns": float(r.own_turns[i]) if inner else None,
                "inner_gap_m": float(r.own_gap[i]) if inner else None,
                "mean_diameter_m": float(r.shape.D_c[i]),
                "height_m": float(r.height[i]),
                "tube_length_m": float(r.placement.tube_length[i]),
                "valve_share": float(r.valve_share[i]),
                "score": float(t.score[i]),
                "lifetime_cost": float(life[i]),
                "stands_for": int(t.stands_for[i]),
                "riser_tool": w.tool.kind if w.tool.bender is None else w.tool.bender.bender_id,
                "name": called[i],
                **(design_json.likely(t.likely[i]) if iced else design_json.likely(t.likely[i]) | NO_ICE),
            }
        )
    return searched


def csv(t: Tradeoff) -> str:
    """The table for a spreadsheet; text that it would run as a formula is kept from it by an apostrophe."""
    us = US_COLUMNS if t.answer.basis.brewhouse.units == "us" else {}
    text = io.StringIO()
    lines = writer(text, lineterminator="\n")
    lines.writerow([us[column][0] if column in us else column for column in COLUMNS])
    for row in table(t):
        lines.writerow([_cell(row[column], us[column][1] if column in us else 1.0) for column in COLUMNS])
    return text.getvalue()


def _cell(value: Any, unit: float) -> Any:
    """A cell as it is written; what is not known is empty."""
    if isinstance(value, float):
        return f"{value / unit:.10g}" if isfinite(value) else ""
    return guarded(value)


def frame(rows: list[dict[str, Any]]) -> DataFrame:
    """Rows of `table` as a DataFrame; rank is missing where a design is not of the shortlist."""
    import pandas as pd

    return pd.DataFrame(rows, columns=COLUMNS).astype({"rank": "Int64"})


def guarded(value: Any) -> Any:
    """A cell; numbers stay numbers."""
    if isinstance(value, str) and value.lstrip(" ").startswith(RUNS_AS_FORMULA):
        return f"'{value}"
    return value


def echo(inputs: Inputs) -> dict[str, str]:
    """The files that were read, as text, by name."""
    texts = {file.name: read_text(file, file.name, []) for file in read_for(inputs.brewhouse)}
    return {name: text for name, text in texts.items() if text is not None}
