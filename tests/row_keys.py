"""What stands behind the rows of a space, as content that two spaces can be compared by."""

from __future__ import annotations

import numpy as np
from small_stock import Key

from optichill.layouts import numbered
from optichill.search.space import Space


def keys(of: Space, rows: np.ndarray | None = None) -> list[Key]:
    """Content of every row, or of some, in order."""
    setup, gap, turns, valve = of.decode(np.arange(of.size) if rows is None else rows)
    tool = [w.tool.kind if w.tool.bender is None else w.tool.bender.bender_id for w in of.windings]
    outer, inner = of.setups.outer[setup].tolist(), of.setups.inner[setup].tolist()
    layout = [numbered(i).name for i in of.setups.layout[setup].tolist()]
    form = [w.form.form_id for w in of.windings]
    return [
        (w.tube.stock_id, tool[o], name, form[o], w.wraps, form[i] if i != o else "", round(g * 1e4), n, v)
        for o, i, name, g, n, v in zip(
            outer, inner, layout, gap.tolist(), turns.tolist(), valve.tolist(), strict=True
        )
        for w in [of.windings[o]]
    ]


def on_dearer_rolls(of: Space) -> np.ndarray:
    """Rows at the first valve setting that are looked at on a cheaper roll instead."""
    runs = zip(of.first_row[:-1].tolist(), of.cheaper.tolist(), strict=True)
    some = [np.arange(first, first + count) for first, count in runs]
    return np.concatenate([np.empty(0, np.intp), *some]) * len(of.valve_shares)
