"""The five stock lists as files: which must be there, their columns, and reading them all."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from pydantic import BaseModel

from optichill.errors import InputFault
from optichill.files.faults import Findings
from optichill.files.numerals import with_points
from optichill.files.tables import LARGEST, read_models, read_rows, read_text
from optichill.model.stock import (
    Bender,
    Fitting,
    Form,
    Pump,
    Stock,
    Tube,
)

# list: (model, id column, columns that must be there: those that act); tubing and forms must exist.
LISTS: dict[str, tuple[type[BaseModel], str, tuple[str, ...]]] = {
    "tubing": (
        Tube,
        "stock_id",
        ("stock_id", "material", "temper", "outer_diameter", "wall", "length", "price"),
    ),
    "forms": (Form, "form_id", ("form_id", "height", "open_end", "price")),
    "benders": (Bender, "bender_id", ("bender_id", "kind", "outer_diameter", "bend_radius", "price")),
    "fittings": (Fitting, "fitting_id", ("fitting_id", "outer_diameter", "joint", "price")),
    "pumps": (Pump, "pump_id", ("pump_id", "max_temperature", "price")),
}  # fmt: skip


REQUIRED_LISTS = ("tubing", "forms")


def read_stock(
    folder: Path, shown: str, faults: Findings, units: str = "metric", currency: str = ""
) -> Stock:
    """All lists of a folder; every fault is added, and what could be read is returned.

    Parameters
    ----------
    folder, shown : where the lists are, and how messages name that folder.
    faults : grows, and its remarks with it.
    units : "metric" or "us", for the order of an unclear date.
    currency : of the prices, whose sign is read.
    """
    lists: dict[str, Any] = {}
    for name, (model, id_column, required) in LISTS.items():
        path = folder / f"{name}.csv"
        label = f"{shown}/{name}.csv" if shown not in ("", ".") else f"{name}.csv"
        if name not in REQUIRED_LISTS and not path.exists():
            continue
        text = read_text(path, label, faults, largest=LARGEST)
        if text is None:
            continue
        before = len(faults)
        table = read_rows(text, label, required, tuple(model.model_fields), faults)
        rows = with_points(table, model, label, faults)
        lists[name] = read_models(rows, model, label, id_column, units, faults, currency)
        if name in REQUIRED_LISTS and not rows and len(faults) == before:
            faults.append(InputFault(label, 0, "file", "", "no rows below the header", "one row or more"))
    return Stock.model_construct(**lists)
