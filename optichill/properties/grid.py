"""Values on an even temperature grid, read a million times: one place found serves every column."""

from __future__ import annotations

import numpy as np

from optichill.arrays import Array, Index


class Grid:
    """Columns of values on one even temperature grid; one index serves every column.

    Parameters
    ----------
    T : Array [K]
        Even and rising, at least five points.
    columns : dict of str to Array
        Values at T, each of T's shape.
    smooth : bool
        Read by cubics through values and slopes, which a march in time needs (it stumbles over every kink);
        otherwise by straight lines on a ten times finer grid, good to 1e-6 and a third faster over a whole
        search. Slopes are differences of fourth order: scipy's splines would do as well, but loading them
        takes as long as a search.

    Examples
    --------
    A cubic comes back exactly between the points:

    >>> T = np.arange(6.0)
    >>> grid = Grid(T, {"cube": T**3}, smooth=True)
    >>> round(float(grid.read("cube", grid.locate(np.array(2.5)))), 9)
    15.625

    All columns at once:

    >>> both = Grid(T, {"square": T**2, "cube": T**3}, smooth=True)
    >>> both.read_all(both.locate(np.array(2.5))).round(9)
    array([ 6.25 , 15.625])
    """

    def __init__(self, T: Array, columns: dict[str, Array], *, smooth: bool) -> None:
        self.T, self.columns = T, columns
        self._first, self._per_step = float(T[0]), 1.0 / float(T[1] - T[0])
        self._places = {name: n for n, name in enumerate(columns)}
        self._polynomials = _stacked([_cubics(v) for v in columns.values()])
        self._last_interval = T.size - 2
        if not smooth:
            fine = np.linspace(T[0], T[-1], FINER * (T.size - 1) + 1)
            values = self.read_all(self.locate(fine))
            self._polynomials = _stacked([[np.append(np.diff(v), 0.0), v] for v in values])
            self._per_step *= FINER
            self._last_interval = fine.size - 2

    def locate(self, T: Array) -> tuple[Index, Array]:
        """Index of the grid point below T [K] and the fraction of a step above it; no range check."""
        x = np.asarray((T - self._first) * self._per_step)
        i = np.minimum(x.astype(np.intp), self._last_interval)
        return i, x - i

    def read(self, name: str, at: tuple[Index, Array]) -> Array:
        """Values of one column at the places found by `locate`."""
        i, w = at
        place = self._places[name]
        first, *others = self._polynomials
        out: Array = first[place].take(i, mode="clip")
        for coefficients in others:
            out *= w
            out += coefficients[place].take(i, mode="clip")
        return out

    def read_with_gain(self, name: str, at: tuple[Index, Array]) -> tuple[Array, Array]:
        """Values of one column, and what they gain per kelvin; of straight lines."""
        i, w = at
        place = self._places[name]
        rise, value = (coefficients[place].take(i, mode="clip") for coefficients in self._polynomials)
        return rise * w + value, rise * self._per_step

    def read_all(self, at: tuple[Index, Array]) -> Array:
        """Values of all columns in their order, on a first axis of their own."""
        i, w = at
        first, *others = self._polynomials
        out: Array = first.take(i, axis=1, mode="clip")
        for coefficients in others:
            out *= w
            out += coefficients.take(i, axis=1, mode="clip")
        return out


FINER = 10


def _stacked(columns: list[list[Array]]) -> list[Array]:
    """Coefficients of all columns, highest power first, each of shape (columns, intervals)."""
    return [np.array(coefficients) for coefficients in zip(*columns, strict=True)]


def _cubics(v: Array) -> list[Array]:
    """Coefficients, highest first, of the cubic on each step through its ends' values and slopes."""
    slope = np.empty_like(v)
    slope[2:-2] = (v[:-4] - 8.0 * v[1:-3] + 8.0 * v[3:-1] - v[4:]) / 12.0
    at_end = np.array([[-25.0, 48.0, -36.0, 16.0, -3.0], [-3.0, -10.0, 18.0, -6.0, 1.0]]) / 12.0
    slope[:2] = at_end @ v[:5]
    slope[-1], slope[-2] = -(at_end @ v[:-6:-1])
    rise, left, right = np.diff(v), slope[:-1], slope[1:]
    return [left + right - 2.0 * rise, 3.0 * rise - 2.0 * left - right, left, v[:-1]]
