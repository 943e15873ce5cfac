"""What a coil costs over its life: bought once, wound once, waited for and watered with every batch.

One sum of money that a person can check stands in place of goals that cannot be weighed against each other.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from optichill.arrays import Array, Index, floats

HOUR = 3600.0

HOURS_LEAST, HOURS_PER_POINT = 1.0, 0.8
"""Hours of work of the easiest build, and for each point of difficulty more (OWN)."""

SPOILT_LEAST, SPOILT_GROWTH = 0.02, 0.45
"""Chance to spoil a roll at a difficulty of 1, and the logarithm of its growth per point (OWN)."""

FIRST_COIL = 2.0
"""Hours and chances of who has wound none, against one who has (OWN)."""

UNATTENDED = 0.5
"""Share of an hour of waiting that counts where nobody need stand beside the kettle (OWN)."""


@dataclass(frozen=True)
class Worth:
    """What things are worth to the brewer; money in the lists' currency.

    batches : over the coil's life. hour : an hour of waiting or of work [money]; water [money/m3]; ice
    [money/kg]; good_time : waiting up to there is no loss [s]; practised : who builds has wound a coil;
    unattended : the wort is left alone. assumed : names of what the brewer did not state.
    """

    batches: int
    hour: float
    water: float
    ice: float
    good_time: float
    practised: bool
    unattended: bool
    assumed: tuple[str, ...] = ()

    @property
    def waiting(self) -> float:
        """What an hour of waiting counts [money]."""
        return self.hour * (UNATTENDED if self.unattended else 1.0)

    @property
    def minute(self) -> float:
        """A minute less with every batch [money over the coil's life]: what differs by less is tied."""
        return self.batches * self.waiting / 60.0

    def lifetime(
        self,
        *,
        build: ArrayLike,
        beyond: ArrayLike,
        water: ArrayLike,
        ice: ArrayLike,
        difficulty: ArrayLike,
        roll: ArrayLike,
    ) -> Lifetime:
        """Money over the coil's life.

        Parameters
        ----------
        build : array_like [money]
        beyond : array_like [s]
            Expected waiting of a batch beyond `good_time`.
        water, ice : array_like [m3, kg]
            Expected of a batch; ice as it is put in.
        difficulty : array_like [0-10]
        roll : array_like [money]
            Price of a roll that may be spoilt.

        Examples
        --------
        Sixty batches 10 minutes beyond, with 150 L each, at 6 and 4 EUR: 60 x 6/6 waiting and 60 x 0.6 of
        water. Work of 2.5 points takes a beginner 2 x 3 hours:

        >>> worth = Worth(60, 6.0, water=4.0, ice=0.0, good_time=600.0, practised=False, unattended=False)
        >>> life = worth.lifetime(build=80.0, beyond=600.0, water=0.150, ice=0.0, difficulty=2.5, roll=50.0)
        >>> [round(float(part), 1) for part in (life.waiting, life.water, life.work, life.spoiling)]
        [60.0, 36.0, 36.0, 3.9]
        >>> round(float(life.total), 1)
        215.9
        """
        build, beyond, water, ice, difficulty, roll = floats(build, beyond, water, ice, difficulty, roll)
        times = 1.0 if self.practised else FIRST_COIL
        spoilt = SPOILT_LEAST * np.exp(SPOILT_GROWTH * (difficulty - 1.0))
        return Lifetime(
            build=build,
            waiting=self.batches * self.waiting * beyond / HOUR,
            water=self.batches * self.water * water,
            ice=self.batches * self.ice * ice,
            work=times * self.hour * (HOURS_LEAST + HOURS_PER_POINT * difficulty),
            spoiling=np.minimum(times * spoilt, 1.0) * roll,
        )


@dataclass(frozen=True)
class Lifetime:
    """Parts of what coils cost over their life [money]; arrays of shape (designs,)."""

    build: Array
    waiting: Array
    water: Array
    ice: Array
    work: Array
    spoiling: Array

    @property
    def parts(self) -> dict[str, Array]:
        """What adds up to the total, by name [money]."""
        return dict(vars(self))

    @property
    def running(self) -> Array:
        """What the batches cost, all together."""
        return self.waiting + self.water + self.ice

    @property
    def total(self) -> Array:
        """All that a coil costs over its life [money]."""
        return np.asarray(sum(self.parts.values()))

    def take(self, some: Index | int) -> Lifetime:
        """The chosen designs."""
        return Lifetime(**{name: np.asarray(part)[some] for name, part in self.parts.items()})
