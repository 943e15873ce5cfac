"""The ranked table: reads at 100 columns and without colour."""

from __future__ import annotations

import io

from optichill.report import words
from optichill.report.screen import WIDTH
from optichill.search.answer import Answer
from optichill.units import money, show, turns


def ranked_table(answer: Answer) -> str:
    """All designs of the shortlist, one a row."""
    from rich import box
    from rich.console import Console
    from rich.table import Table

    house = answer.setting.brewhouse
    u, currency = house.units, house.stock.currency
    table = Table(box=box.SIMPLE_HEAD, pad_edge=False, padding=(0, 0))
    for name in ("", "tube", "form"):
        table.add_column(name, no_wrap=True)
    for name in ("turns", "gap", "across", "time", "water", "cost"):
        table.add_column(name, justify="right", no_wrap=True)
    table.add_column("work", no_wrap=True)
    for d in answer.designs:
        p, w = d.prediction, d.winding
        table.add_row(
            str(d.rank),
            _cut(w.tube.stock_id, 15),
            _cut(w.form.form_id, 12 if w.wraps else 15) + (f" +{w.wraps}" if w.wraps else ""),
            turns(d.turns),
            show(d.gap, "gap", u),
            words.rough(d.across, u),
            show(p.chill_time, "minutes"),
            show(p.water, "volume", u),
            money(d.bill.total, currency),
            words.difficulty(d.difficulty),
        )
    out = io.StringIO()
    Console(file=out, width=WIDTH, color_system=None, force_terminal=False, safe_box=True).print(table)
    lines = [line.rstrip() for line in out.getvalue().rstrip().splitlines()]
    if any(d.winding.wraps for d in answer.designs):
        lines.append(f"+1, +2: the form lagged once or twice with {words.card(u)}")
    return "\n".join(lines)


def _cut(text: str, most: int) -> str:
    """An id that is too long for its column, with its end left off."""
    return text if len(text) <= most else text[: most - 2] + ".."
