"""Values held against the bounds of limits, for many designs at once: dimensionless inside, SI outside."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike

from optichill.arrays import Array, Mask
from optichill.problem.limits import LIMITS

TOLERANCE = 1e-9
"""A limit met to within this share of its bound holds: a bound that is also a setting is met exactly."""

_SMALLEST_SCALE = 0.01
"""Scale of a bound of zero: 1 cm for lengths, well below a unit for the rest."""

OUT_OF_HAND = 1e6
"""Added to a miss that nobody can mend, so that it stands behind every other."""


@dataclass(frozen=True)
class Check:
    """One limit for all designs: value and bound in SI (the bound often one number for all), sense +1 for
    value <= bound, -1 for >=. built_in : of a room, what stands in the kettle needs of it however little the
    brewer asks for [m]; None where nothing does."""

    value: Array
    bound: Array
    sense: float
    built_in: Array | None = None

    @property
    def below_built_in(self) -> Mask:
        """Where the value is less than what stands in the kettle needs: no line of a file lowers that."""
        if self.built_in is None:
            return np.zeros(self.value.shape, dtype=bool)
        return ~(self.value >= self.built_in - TOLERANCE * np.maximum(self.built_in, _SMALLEST_SCALE))

    @property
    def margin(self) -> Array:
        """Room left in the value's own unit; negative where it is broken."""
        return self.bound - self.value if self.sense > 0 else self.value - self.bound

    @property
    def scale(self) -> Array:
        """What a miss is measured by: the bound's own size."""
        return np.maximum(np.abs(self.bound), _SMALLEST_SCALE)

    @property
    def broken(self) -> Mask:
        """True where it does not hold; NaN counts as broken."""
        return ~(self.margin >= -TOLERANCE * self.scale)

    @property
    def violation(self) -> Array:
        """<= 0 where it holds, as a share of the bound; NaN counts as broken without end."""
        g = -self.margin / self.scale
        return np.where(np.isnan(g), np.inf, g)


class Checks:
    """The limits of many designs. rows : by name, in the order in which they were added."""

    def __init__(self, shape: tuple[int, ...]) -> None:
        self.shape = shape
        self.rows: dict[str, Check] = {}

    def at_most(self, name: str, value: ArrayLike, bound: ArrayLike | None) -> None:
        """The value must not exceed the bound; None sets no limit."""
        self._add(name, value, bound, 1.0)

    def at_least(
        self, name: str, value: ArrayLike, bound: ArrayLike | None, built_in: ArrayLike | None = None
    ) -> None:
        """The value must not fall below the bound; None sets no limit. built_in : as `Check` has it."""
        self._add(name, value, bound, -1.0)
        if built_in is not None and name in self.rows:
            self.rows[name] = replace(self.rows[name], built_in=np.asarray(built_in, np.float64))

    def _add(self, name: str, value: ArrayLike, bound: ArrayLike | None, sense: float) -> None:
        assert LIMITS[name].at_least == (sense < 0.0), name
        if bound is None:
            return
        value = np.broadcast_to(np.asarray(value, np.float64), self.shape)
        self.rows[name] = Check(value, np.asarray(bound, np.float64), sense)

    def merge(self, others: Checks) -> None:
        """Take in the limits of another set over the same designs."""
        self.rows.update(others.rows)

    def drop(self, *names: str) -> None:
        """Leave out limits that do not apply."""
        for name in names:
            self.rows.pop(name, None)

    def forgive(self, less: float) -> None:
        """What misses its bound by less than that [the value's own unit] meets it."""
        for name, c in self.rows.items():
            nearly = c.broken & (c.margin > -less)
            self.rows[name] = replace(c, value=np.where(nearly, c.bound, c.value))

    @property
    def names(self) -> tuple[str, ...]:
        """Names at hand, in the order of LIMITS."""
        return tuple(name for name in LIMITS if name in self.rows)

    def broken(self) -> Mask:
        """Shape (limits, designs): true where a limit is broken."""
        return np.array([self.rows[name].broken for name in self.names])

    def violations(self) -> Array:
        """Shape (limits, designs), <= 0 where it holds."""
        return np.array([self.rows[name].violation for name in self.names])

    def steps(self) -> Array:
        """Shape (limits, designs): how far each limit would have to move, <= 0 where it holds; what is out of
        a person's hand comes behind all that is not."""
        rows = {name: self.rows[name] for name in self.names}
        beyond = [
            c.broken & (LIMITS[name].out_of_hand(c.value, c.bound) | c.below_built_in)
            for name, c in rows.items()
        ]
        return self.violations() + np.where(beyond, OUT_OF_HAND, 0.0)
