"""Values that are read otherwise than they stand in their file, and remember how: messages quote the file."""

from __future__ import annotations


class FileNumber(float):
    """A number with a point in a TOML file: 1.200 is 1.2 to TOML, and perhaps 1200 to whoever wrote it."""

    stands: str

    def __new__(cls, text: str) -> FileNumber:
        made = super().__new__(cls, text)
        made.stands = text
        return made


class SettledCell(str):
    """A cell of a list whose decimals the whole list has settled."""

    stands: str

    def __new__(cls, settled: str, stands: str) -> SettledCell:
        made = super().__new__(cls, settled)
        made.stands = stands
        return made


def quote(value: object) -> object:
    """A value as it stands in its file, where it knows."""
    return value.stands if isinstance(value, FileNumber | SettledCell) else value
