"""Published rows in tests/data."""

from __future__ import annotations

import csv

from where import DATA


def rows(name: str) -> list[dict[str, str]]:
    """All rows of a CSV file of tests/data; lines behind # tell the source."""
    with (DATA / name).open(encoding="utf-8") as file:
        return list(csv.DictReader(line for line in file if not line.startswith("#")))
