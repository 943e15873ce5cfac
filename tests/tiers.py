"""How much of a large test is run: a few examples from fixed seeds, or many drawn at random (`.ci/long`)."""

from __future__ import annotations

import os

LONG = os.environ.get("OPTICHILL_LONG", "0") != "0"


def count(few: int, many: int) -> int:
    """Examples that a property is tried on."""
    return many if LONG else few
