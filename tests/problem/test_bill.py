"""What a build takes of the lists, and what it costs, one by one and in arrays."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
import small_stock
from own_coil import own_bench, two_layers

from optichill.layouts import LAYOUTS
from optichill.problem.basis import DesignBasis
from optichill.problem.windings import Setups, WindingTable, winding_table, windings


def pipe(basis: DesignBasis) -> tuple[WindingTable, int, int]:
    """Windings of one tube on one form: all of them, the bare one, and that on two wraps of card."""
    found = windings(basis, tube="cu-10-10", form="pipe")
    bare, packed = (int(np.flatnonzero(found.wraps == n)[0]) for n in (0, 2))
    return winding_table(found, basis), bare, packed


def test_two_coils_wound_on_one_form_take_it_once(tmp_path: Path) -> None:
    """The outer one on it packed out twice, the inner one on it bare. It was billed twice."""
    table, bare, packed = pipe(small_stock.of(tmp_path / "lists"))
    two = two_layers(*(float(table.D_c[n]) for n in (packed, bare)))
    plan = own_bench(tmp_path / "bench", None, layout="parallel", **two)[0]
    assert [layer.form and layer.form.form_id for layer in plan.layers] == ["pipe", "pipe"]
    assert plan.layers[0].wraps > plan.layers[1].wraps == 0
    (form,) = [item for item in plan.bill.items if item.part == "form"]
    assert (form.quantity, form.price) == (1.0, 8.0)


@pytest.mark.parametrize(("layout", "forms"), [("single", 1), ("nested", 1), ("parallel", 1)])
def test_arrays_count_a_form_as_the_bill_does(tmp_path: Path, layout: str, forms: int) -> None:
    basis = small_stock.of(tmp_path)
    table, bare, packed = pipe(basis)
    number = np.array([list(LAYOUTS).index(layout)], dtype=np.int8)
    inner = packed if layout == "single" else bare
    setup = Setups(table, np.array([packed]), np.array([inner]), number)
    ends = table.ends_price_two if layout == "parallel" else table.ends_price
    rest = table.roll_price[packed] + table.tool_price[packed] + ends[packed]
    assert setup.fixed_cost()[0] - rest == pytest.approx(forms * 8.0)
