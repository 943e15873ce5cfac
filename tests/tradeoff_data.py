"""Invented data for the trade-off page: no kettle, price or coil here is anyone's."""

from __future__ import annotations

from typing import Any

import numpy as np

BANDS = ("first build", "careful beginner", "practised", "workshop")
LAYOUTS = {"single": "one layer", "nested": "two layers of one tube", "parallel": "two coils on tees"}
HOSTILE = (
    "<script>window.hurt = 1</script>",
    "</script><img src=x onerror='window.hurt = 1'>",
    "<!-- <script>",
    "\"quoted\" & 'quoted' `${window.hurt = 1}`",
    '=HYPERLINK("http://example.invalid","x")',
    "line\u2028end\u2029{{ 7 * 7 }}",
    "W" * 200,
    "javascript:window.hurt=1",
)


def designs(count: int, seed: int = 1) -> list[dict[str, Any]]:
    """Coils that trade one goal for another, best first; ranks for the first half."""
    draw = np.random.default_rng(seed)
    found = []
    for at in range(count):
        tube, turns = int(draw.choice([8, 10, 12, 15])), int(draw.integers(6, 24))
        layout = str(draw.choice(list(LAYOUTS), p=[0.6, 0.25, 0.15]))
        length = 0.85 * turns * (1.0 if layout == "single" else 1.7)
        time = 10.5 + 260.0 / (length * tube / 10.0) ** 0.9 * draw.uniform(0.9, 1.4)
        water = 70.0 + 6500.0 / time * draw.uniform(0.35, 1.0)
        work = min(
            9.5,
            1.5
            + turns / 6.0
            + {"single": 0.0, "nested": 2.0, "parallel": 3.2}[layout] * draw.uniform(0.8, 1.2),
        )
        what = (
            f"{length:.1f} m of {tube} mm copper, {turns} 1/2 turns, {int(draw.integers(22, 31))} cm across"
        )
        found.append(
            {
                "id": f"{at:05x}{seed:05x}",
                "coil": at,
                "rank": at + 1 if at < 12 else None,
                "setting": "",
                "roles": ["best all round"] if at == 0 else ["least water"] if at == 3 else [],
                "tied": at == 1,
                "span": [round(0.8 * float(time), 1), round(1.3 * float(time), 1)],
                "what": what,
                "layout": layout,
                "explored": at % 7 == 3,
                "time": float(time),
                "cost": float(12.0 + length * tube * 0.42 * draw.uniform(0.9, 1.1)),
                "water": float(water),
                "work": float(work),
                "band": BANDS[min(3, int(work / 2.5))],
                "likely": {
                    "time": f"{0.8 * time:.0f}-{1.3 * time:.0f}",
                    "water": f"{0.8 * water:.0f}-{1.3 * water:.0f}",
                },
            }
        )
    return found


def scene(layout: str = "single") -> dict[str, Any]:
    """A coil in its kettle [m]."""
    # What is the kettle's stands apart: it is the same for every coil.
    layers = [{"D": 0.268, "p": 0.018, "N": 10.5, "low": 0.037}]
    if layout != "single":
        layers.append({"D": 0.198, "p": 0.018, "N": 10.5, "low": 0.037})
    kettle = {
        "D": 0.36, "H": 0.40, "mouth": 0.36, "rests": "feet",
        "parts": [
            {"what": "thermometer", "where": "wall", "height": 0.09, "size": 0.03},
            {"what": "outlet", "where": "floor", "height": 0.02, "size": 0.0},
        ],
    }  # fmt: skip
    coil = {
        "hot": 0.271, "cold": 0.260, "d_o": 0.010,
        "layers": layers,
        "risers": [
            {"name": "IN", "x": -0.140, "foot": 0.226, "top": 0.43, "reach": -0.26, "bend": 0.030},
            {"name": "OUT", "x": 0.158, "foot": 0.037, "top": 0.43, "reach": 0.26, "bend": 0.030},
        ],
        "labels": {"across": "278 mm", "height": "199 mm", "wall": "41 mm"},
    }  # fmt: skip
    return {"kettle": kettle, "coil": coil}


def detail(design: dict[str, Any]) -> dict[str, Any]:
    """One coil worked out in full."""
    wort = [round(10.0 + 88.0 * (1.0 / 8.8) ** (k / 16.0), 2) for k in range(17)]
    curve = {"minutes": [round(design["time"] * k / 16.0, 1) for k in range(17)], "wort": wort}
    return {
        "scene": scene(design["layout"]),
        "curve": curve,
        "changes": [[round(design["time"] * 0.6, 1), "tap turned to half"]],
        "cost": [
            ["copper tube, soft, roll of 15 m", "1", f"{design['cost'] * 0.8:.2f} EUR"],
            ["hose clips", "4", "4.80 EUR"],
            ["hose, 13 mm", "3 m", f"{design['cost'] * 0.2 - 4.8:.2f} EUR"],
            ["bucket as a form", "1", "owned"],
        ],
        "hard": [
            "the riser's bends are tight for winding by hand",
            "more than ten turns keep one busy for an hour",
        ],
        "limits": [
            ["room to the wall", "41 mm", "at least 30 mm", "11 mm", "holds"],
            ["wort over the top turn", "29 mm", "at least 15 mm", "14 mm", "holds"],
            ["room to the floor", "32 mm", "at least 25 mm", "7 mm", "holds"],
            ["bend of the risers", "30 mm", "at least 30 mm", "none", "broken"],
        ],
        "warnings": ["Running, water leaves at 72 °C at first: use a hose rated 100 °C."],
        "against": ["It costs 12 EUR less than number 1 and takes 3 minutes longer."],
        "file": ["# A coil of an invented kettle", 'tube = "cu-10x1-15m"', f"turns = {design['work']:.2f}"],
        "facts": [
            ["tube", "10 mm outside, 1 mm wall"],
            ["pitch", "18 mm"],
            ["turns", "10 1/2"],
            ["cut length", "10.2 m"],
        ],
    }


def data(count: int = 300, full: int = 100, seed: int = 1) -> dict[str, Any]:
    """A page's data: count coils, full of them worked out."""
    all_of_them = designs(count, seed)
    return {
        "title": "Which coil for the example kettle",
        "banner": "EXAMPLE KETTLE, NOT YOURS: every number here is invented",
        "answer": [
            f"Build {all_of_them[0]['what']}.",
            f"It chills 25 L from 98 to 20 °C in {all_of_them[0]['time']:.0f} minutes with "
            f"{all_of_them[0]['water']:.0f} L of water.",
            f"It costs {all_of_them[0]['cost']:.0f} EUR and is a {all_of_them[0]['band']}.",
        ],
        "units": "metric",
        "temperature_unit": "°C",
        "target": 20.0,
        "start": 98.0,
        "goals": [
            _goal("time", "time to chill", "min", 0, 9.4, "no coil at this flow can be quicker than 9 min"),
            _goal("cost", "cost", "EUR", 0),
            _goal("water", "water", "L", 0, 64.0, "no coil can do with less than 64 L of this water"),
            _goal("work", "work", "of 10", 1),
        ],
        "layouts": dict(LAYOUTS),
        "bands": list(BANDS),
        "designs": all_of_them,
        "commands": {
            "sheet": "optichill sheet kettle.toml --coil {id}",
            "predict": "optichill predict kettle.toml --coil {id}",
        },
        "shortlist": [design["id"] for design in all_of_them[:12]],
        "details": {design["id"]: detail(design) for design in all_of_them[:full]},
        "small_print": ["The tap's flow is taken as measured once.", "Times are for a still kettle."],
        "warnings": ["The static pressure was not stated: 3 bar is assumed."],
        "cautions": ["Hot wort scalds: lower the coil slowly.", "Copper edges cut: debur every cut end."],
        "sources": ["An invented source, page 1"],
        "versions": {"optichill": "0.0.0", "numpy": "0"},
        "files": ["front.csv", "result.json"],
    }  # fmt: skip


def _goal(
    key: str, label: str, unit: str, decimals: int, least: float | None = None, words: str = ""
) -> dict[str, Any]:
    return {
        "key": key,
        "label": label,
        "unit": unit,
        "decimals": decimals,
        "least": least,
        "least_words": words,
    }


def hostile() -> dict[str, Any]:
    """The same with words from someone who means harm, in every place that takes words."""
    seen = [0]

    def spoiled(value: Any, key: str = "") -> Any:
        if isinstance(value, dict):
            return {k: v if k in KEPT else spoiled(v, k) for k, v in value.items()}
        if isinstance(value, list):
            return [spoiled(item, key) for item in value]
        if isinstance(value, str):
            seen[0] += 1
            return HOSTILE[seen[0] % len(HOSTILE)]
        return value

    made: dict[str, Any] = spoiled(data(30, 14))
    swap = {design["id"]: f"{HOSTILE[at % len(HOSTILE)]} {at}" for at, design in enumerate(made["designs"])}
    for design in made["designs"]:
        design["id"] = swap[design["id"]]
    made["shortlist"] = [swap[name] for name in made["shortlist"]]
    made["details"] = {swap[name]: one for name, one in made["details"].items()}
    made["versions"] = dict(zip(HOSTILE, HOSTILE, strict=True))
    return made


KEPT = ("key", "commands", "units", "id", "layout", "layouts", "band", "bands", "shortlist", "where", "rests")
