"""Sizes that tube is sold in, against the published rows."""

from __future__ import annotations

import csv

import pytest
from where import DATA

from optichill.display import INCH
from optichill.model.tube_sizes import SOLD, called

ROWS = [row for row in csv.DictReader(
    line for line in (DATA / "tube_dimensions.csv").read_text(encoding="utf-8").splitlines()
    if not line.startswith("#")
) if row["material"].startswith("Cu")]  # fmt: skip


def test_each_size_that_is_told_of_is_a_published_one() -> None:
    published = [(float(r["od_in"]) * INCH, float(r["wall_in"]) * INCH) for r in ROWS]
    published += [(float(r["od_mm"]) * 1e-3, float(r["wall_mm"]) * 1e-3) for r in ROWS]
    for tube in SOLD:
        off = min(abs(o - tube.outside) + abs(w - tube.wall) for o, w in published)
        assert off < 1e-5, tube


def test_a_plumbers_name_is_an_eighth_of_an_inch_less_than_the_outside() -> None:
    """ASTM B88: nominal or standard sizes are always 1/8 in smaller than the outside."""
    named = {r["designation"].split()[0]: float(r["od_in"]) for r in ROWS if "B88" in r["standard"]}
    for name, outside in named.items():
        over, under = name.split("/")
        size = float(over) / float(under) * INCH
        assert outside * INCH == pytest.approx(size + INCH / 8)
        assert any(tube.outside == pytest.approx(outside * INCH) for tube in called(size)), name


def test_true_outsides_that_are_no_name_are_called_nothing() -> None:
    assert called(0.0056) == [] and called(0.0088) == []
