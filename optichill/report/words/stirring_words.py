"""How wort is stirred, as a hand hears it."""

from __future__ import annotations


def all_along(tool: str, motion: str | None) -> str:
    """To stir with a tool in a motion, all along."""
    how = _MOTIONS[tool, motion]
    return f"{_TOOLS[tool]} all along{f', {how}' if how else ''}"


_TOOLS = {
    "paddle": "stir with a paddle",
    "spoon": "stir with a spoon",
    "coil": "bob the coil up and down",
    "whirlpool pump": "let the whirlpool pump run",
}
_MOTIONS = {
    ("paddle", "slow"): "slowly (half a turn to one a second)",
    ("paddle", "brisk"): "briskly (two to three turns a second)",
    ("spoon", "slow"): "slowly (half a turn to one a second)",
    ("spoon", "brisk"): "briskly (two to three turns a second)",
    ("coil", "slow"): "slowly (once in three seconds)",
    ("coil", "brisk"): "briskly (three times in four seconds), without a splash",
    ("whirlpool pump", None): "",
}
