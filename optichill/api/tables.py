"""Rows of an answer, as they are or as a DataFrame."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from optichill.report import notebook

if TYPE_CHECKING:
    from pandas import DataFrame


def _cell(value: Any) -> str:
    """A figure as a notebook shows it."""
    return "" if value is None else f"{value:.6g}" if isinstance(value, float) else str(value)


@dataclass(frozen=True)
class Table:
    """Rows with one set of columns; a unit at the end of a column's name.

    Parameters
    ----------
    rows : one dict a row.

    Examples
    --------
    >>> table = Table.of({"time_s": [0.0, 60.0], "wort_K": [371.15, 360.0]})
    >>> len(table), table.rows[1]["wort_K"]
    (2, 360.0)
    >>> table.to_dataframe()["time_s"].tolist()
    [0.0, 60.0]
    """

    rows: tuple[dict[str, Any], ...]

    @classmethod
    def of(cls, columns: Mapping[str, Sequence[Any]]) -> Table:
        """From a list for every column, all of one length.

        Examples
        --------
        >>> [*Table.of({"a": [1, 2]})]
        [{'a': 1}, {'a': 2}]
        """
        return cls(tuple(dict(zip(columns, row, strict=True)) for row in zip(*columns.values(), strict=True)))

    def __iter__(self) -> Iterator[dict[str, Any]]:
        return iter(self.rows)

    def __len__(self) -> int:
        return len(self.rows)

    def _repr_html_(self) -> str:
        head = list(self.rows[0]) if self.rows else []
        return notebook.table("", head, ([_cell(row[name]) for name in head] for row in self.rows), head)

    def to_dataframe(self) -> DataFrame:
        """A new pandas DataFrame, one row a row.

        Examples
        --------
        >>> Table.of({"a": [1, 2]}).to_dataframe().shape
        (2, 1)
        """
        import pandas as pd

        return pd.DataFrame(list(self.rows))
