"""The ranked table: reads at 100 columns and without colour."""

from __future__ import annotations

import io

from optichill.report import words
from optichill.report.screen import WIDTH
from optichill.search.answer import Answer
from optichill.units import money, show


def ranked_table(answer: Answer) -> str:
    """All designs of the shortlist, one a row."""
    from rich import box
    from rich.console import Console
    from rich.table import Table

    house = answer.setting.brewhouse
    u, currency = house.units, house.stock.currency
    table = Table(box=box.ASCII_DOUBLE_HEAD, width=WIDTH, pad_edge=False, padding=(0, 1))
    table.add_column("", justify="right")
    table.add_column("tube", overflow="fold")
    table.add_column("form", overflow="fold")
    for name in ("turns", "gap", "across", "time", "water", "cost"):
        table.add_column(name, justify="right", no_wrap=True)
    table.add_column("work", overflow="fold")
    for d in answer.designs:
        p, w = d.prediction, d.winding
        lagged = f" +{w.wraps} card" if w.wraps else ""
        table.add_row(
            str(d.rank),
            w.tube.stock_id,
            f"{w.form.form_id}{lagged}",
            words.turns(d.turns),
            show(d.gap, "gap", u),
            show(d.across, "length", u),
            show(p.chill_time, "minutes"),
            show(p.water, "volume", u),
            money(d.bill.total, currency),
            words.difficulty(d.difficulty),
        )
    out = io.StringIO()
    Console(file=out, width=WIDTH, color_system=None, force_terminal=False).print(table)
    return out.getvalue().rstrip()
