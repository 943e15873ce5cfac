"""front.csv, against the same table written by pandas."""

from __future__ import annotations

from pathlib import Path

import pytest

import optichill as oc
from optichill.report.tradeoff.write import COLUMNS, US_COLUMNS, csv, frame, guarded, table


@pytest.mark.parametrize("units", ["metric", pytest.param("us", marks=pytest.mark.slow)])
def test_the_table_is_as_pandas_writes_it(units: str) -> None:
    catalogs = Path(__file__).resolve().parents[2] / "catalogs"
    problem = oc.read(catalogs / "us" if units == "us" else catalogs)
    only = None if units == "us" else problem.inputs.stock.tubing[2].stock_id
    t = oc.front(problem, tube=only).tradeoff
    rows = table(t)
    assert len(rows) > 20 and any(row["rank"] is None for row in rows)
    shown = frame([{key: guarded(value) for key, value in row.items()} for row in rows])
    assert tuple(shown.columns) == tuple(COLUMNS)
    for column, (_, unit) in US_COLUMNS.items() if units == "us" else ():
        shown[column] = shown[column].astype(float) / unit
    names = {column: name for column, (name, _) in US_COLUMNS.items()} if units == "us" else {}
    theirs = shown.rename(columns=names).to_csv(index=False, float_format="%.10g", lineterminator="\n")
    assert csv(t) == theirs
