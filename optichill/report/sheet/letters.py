"""Names in letters that the print has not: a list's line and the size stand in for them on paper.

The page keeps every name, for a browser finds letters of its own. No typeface for all the world is carried
along: one is larger than the rest of the program.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any, TypeVar

from optichill.display import show
from optichill.model.coil import Coil
from optichill.model.stock import Bender, Fitting, Priced, Stock, Tube
from optichill.problem.basis import DesignBasis
from optichill.report.sheet.fonts import lacking

Row = TypeVar("Row", bound=Priced)


def in_print(basis: DesignBasis, coil: Coil) -> tuple[DesignBasis, Coil]:
    """The same with names that can be printed; the very same where all can."""
    units = basis.brewhouse.units
    stock, ids = _stock(basis.stock, units)
    parts = tuple(
        replace(part, what=f"part {n} on the {part.where}" if lacking(part.what) else part.what)
        for n, part in enumerate(basis.parts, 1)
    )
    house = basis.brewhouse
    if lacking(house.name):
        house = house.model_copy(update={"name": f"brewhouse {house.slug}"})
    if stock == basis.stock and parts == basis.parts and house is basis.brewhouse:
        return basis, coil
    known = {"stock_id": ids.get(coil.stock_id), "form_id": ids.get(coil.form_id)}
    update: dict[str, Any] = {key: name for key, name in known.items() if name}
    if any(layer.stock_id in ids for layer in coil.layers):
        update["layers"] = tuple(
            layer.model_copy(update={"stock_id": ids.get(layer.stock_id, layer.stock_id)})
            for layer in coil.layers
        )
    renamed = coil.model_copy(update=update)
    return replace(basis, stock=stock, parts=parts, brewhouse=house), renamed


def _stock(stock: Stock, units: str) -> tuple[Stock, dict[str | None, str]]:
    """The lists, and the new name of each id that has one."""
    ids: dict[str | None, str] = {}

    def renamed(rows: tuple[Row, ...], file: str, key: str, size: Callable[[Row], str]) -> tuple[Row, ...]:
        found = []
        for number, row in enumerate(rows, 1):
            where = f"line {row.line}" if row.line else f"row {number}"
            update = {}
            if lacking(getattr(row, "description", "")):
                update["description"] = ", ".join(text for text in (f"{file}.csv {where}", size(row)) if text)
            if lacking(getattr(row, key)):
                ids[getattr(row, key)] = update[key] = f"{file}.csv {where}"
            found.append(row.model_copy(update=update) if update else row)
        return tuple(found)

    def across(row: Bender | Fitting) -> str:
        return show(row.outer_diameter, "tube", units) if row.outer_diameter else ""

    return Stock.model_construct(
        tubing=renamed(stock.tubing, "tubing", "stock_id", lambda row: tube_size(row, units)),
        forms=renamed(stock.forms, "forms", "form_id", lambda row: ""),
        benders=renamed(stock.benders, "benders", "bender_id", across),
        fittings=renamed(stock.fittings, "fittings", "fitting_id", across),
        pumps=renamed(stock.pumps, "pumps", "pump_id", lambda row: ""),
    ), ids


def tube_size(tube: Tube, units: str) -> str:
    """Outside diameter and wall: "10 × 1 mm"."""
    d_o, wall = show(tube.outer_diameter, "tube", units), show(tube.wall, "wall", units)
    return f"{d_o.removesuffix(f' {wall.split()[-1]}')} × {wall}"
