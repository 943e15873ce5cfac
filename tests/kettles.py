"""Kettles of all kinds of households, to hold a claim against."""

from __future__ import annotations

from typing import Any

import numpy as np


def kettle(rng: np.random.Generator) -> dict[str, Any]:
    """A household kettle with its batch, tap and stirring, wide to tall, with limits or without."""
    volume = float(rng.uniform(12.0, 45.0))
    D = 10.0 * float(rng.uniform(1.0, 1.3)) * volume ** (1.0 / 3.0)
    depth = 1e3 * volume / (np.pi / 4.0 * D**2)
    limits: dict[str, Any] = {"budget": int(rng.integers(90, 200))} if rng.random() < 0.5 else {}
    return {
        "kettle": {"inside_diameter": f"{D:.1f} cm", "inside_height": f"{1.3 * depth + 3.0:.1f} cm"},
        "wort": {
            "volume": f"{volume:.1f} L",
            "mixing": str(rng.choice(["left alone", "now and then", "steady"])),
        },
        "tap": {
            "temperature": f"{rng.uniform(6.0, 17.0):.1f} degC",
            "open_flow": f"{rng.uniform(6.0, 16.0):.1f} L/min",
        },
        "workshop": {"layouts": ["single", "nested"], "marking_increment": "5 mm"},
        "limits": limits,
    }
