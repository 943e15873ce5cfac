"""The page of all keys: brewhouse file, coil file and the five lists, out of the models themselves."""

from __future__ import annotations

import textwrap

from pydantic import BaseModel

from optichill.files.lists import LISTS, REQUIRED_LISTS
from optichill.model.brewhouse import Brewhouse
from optichill.model.coil import Coil
from optichill.model.described import Key, keys

WIDTH, MARGIN, COLUMN = 100, "    ", 26
HEAD = (
    "All keys, with what may be written, (the value when left out), and what it means. In files a quantity "
    'is text with its unit, such as "33 cm"; ranges hold for any unit.'
)


def page() -> list[str]:
    """Every key and column with its range and meaning, a line each."""
    lines = [*textwrap.wrap(HEAD, WIDTH), "", "BREWHOUSE FILE: brewhouse.toml"]
    lines += _table(Brewhouse, "")
    lines += ["", "COIL FILE: optichill init --coil writes one, as measured by tape", *_table(Coil, "coil")]
    for name, (model, _, columns) in LISTS.items():
        needed = "must be there" if name in REQUIRED_LISTS else "may be left out"
        lines += ["", f"LIST {name}.csv ({needed}): columns"]
        for key in keys(model):
            lines += _entry(key, "the column must be there" if key.name in columns else "")
    return lines


def _table(model: type[BaseModel], place: str, many: bool = False) -> list[str]:
    """The keys of one table, then the tables below it. A coil inside the plan has its own page."""
    found = keys(model)
    lines = ["", f"[[{place}]]" if many else f"[{place}]"] if place else [""]
    for key in found:
        lines += _entry(key)
    for key in found:
        if key.table is not None and not (place and key.table is Coil):
            lines += _table(key.table, f"{place}.{key.name}".lstrip("."), key.many)
    return lines


def _entry(key: Key, column: str = "") -> list[str]:
    table = "" if key.table is None else "tables" if key.many else "table"
    what = "; or a ".join(filter(None, (key.written, table)))
    need = "must be given" if key.required else column
    notes = [note for note in (f"({key.default})" if key.default else "", need) if note]
    first = f"{key.name:<{COLUMN}} {'  '.join([what, *notes])}"
    indent = " " * (COLUMN + 1)
    return [
        *textwrap.wrap(first, WIDTH, subsequent_indent=indent, break_on_hyphens=False),
        *textwrap.wrap(key.means, WIDTH, initial_indent=MARGIN, subsequent_indent=MARGIN),
    ]
