"""The wort's side of a chill: one batch in one kettle, how it moves, what it loses, and its cooling plan."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property
from types import MappingProxyType

import numpy as np

from optichill.arrays import Array, Index
from optichill.correlations import kettle_losses
from optichill.properties import water, wort
from optichill.properties.grid import Grid
from optichill.thermal.priors import PRIORS, Factors
from optichill.thermal.sources import Source, Stage
from optichill.thermal.supply import Supply


@dataclass(frozen=True)
class Mixing:
    """How the wort moves: a cross-flow speed [m/s] for a share of the time, and still for the rest of it.

    swirl [m/s], where given, runs nearly along the turns and counts by ESDU's yaw factor; the stronger
    of the two motions acts. speed_prior, share_prior : names of what is known of the two (`PRIORS`).
    """

    speed: float
    share: float = 1.0
    swirl: float | None = None
    speed_prior: str = "stated speed"
    share_prior: str = "stated share"

    @classmethod
    def of(cls, mixing: str | float, swirl: float | None = None) -> Mixing:
        """From one of the mixing words or a cross-flow speed [m/s]."""
        if mixing == "left alone":
            return cls(0.0, 0.0, swirl)
        if mixing == "now and then":
            return cls(PRIORS["steady"].median, PRIORS[mixing].median, swirl, "steady", mixing)
        if isinstance(mixing, str):
            return cls(PRIORS[mixing].median, 1.0, swirl, mixing)
        return cls(float(mixing), 1.0, swirl)

    @classmethod
    def stirred(cls, tool: str, motion: str | None, share: float, swirl: float | None = None) -> Mixing:
        """With a tool in one of its `MOTIONS`, for a share of the time."""
        if share == 0.0:
            return cls.of("left alone", swirl)
        prior = MOTIONS[tool][motion]
        return cls(PRIORS[prior].median, share, swirl, prior)

    @property
    def still(self) -> bool:
        """Whether nothing ever moves the wort but its own plumes."""
        return not self.swirl and self.speed * self.share == 0.0


MIXING_WORDS = ("left alone", "now and then", "steady", "whirlpool pump", "vigorous")
"""Short forms of how wort is stirred; the last three are names of priors."""

MOTIONS: Mapping[str, Mapping[str | None, str]] = MappingProxyType(
    {
        "spoon": {"slow": "spoon, slow", "brisk": "spoon, brisk"},
        "paddle": {"slow": "steady", "brisk": "vigorous"},
        "coil": {"slow": "coil, slow", "brisk": "coil, brisk"},
        "whirlpool pump": {None: "whirlpool pump"},
    }
)
"""What wort is stirred with: the prior of its speed by the motion, which a pump has none of."""


@dataclass(frozen=True)
class Scenario:
    """One batch in one kettle and the stages that cool it; SI, kelvin.

    volume [m3] is read hot (at T_start), in the kettle, without the coil; kettle_metal_mass None means
    1 mm stainless over bottom and wetted wall.
    """

    volume: float
    plato: float
    T_start: float
    T_target: float
    T_ambient: float
    kettle_diameter: float
    stages: tuple[Stage, ...]
    mixing: Mixing
    lid: bool = False
    kettle_metal_mass: float | None = None
    factors: Factors = field(default_factory=Factors)

    def __post_init__(self) -> None:
        numbers = {n: v for n, v in vars(self).items() if isinstance(v, int | float)}
        numbers["T_in"] = float(sum(s.T_water for s in self.sources))
        wrong = [n for n, v in numbers.items() if not np.isfinite(v)]
        if wrong or not self.sources or not all(s.supply.pressure > 0.0 for s in self.sources):
            raise ValueError(f"not a finite number, or no pressure: {', '.join(wrong) or 'supply'}")

    def take(self, places: Index) -> Scenario:
        """The scenario of the chosen coils, where some of it is each coil's own."""
        stages = tuple(
            replace(s, until=s.until[places]) if isinstance(s.until, np.ndarray) else s for s in self.stages
        )
        return replace(self, stages=stages, factors=self.factors.take(places))

    @property
    def motions(self) -> tuple[tuple[float | Array, float | Array], ...]:
        """How the wort moves past the coils: cross-flow speed [m/s] with the share of time it lasts."""
        speed, share = self.mixing.speed * self.factors.speed, self.mixing.share
        if share == 0.0:
            return ((0.0, 1.0),)
        if share == 1.0:
            return ((speed, 1.0),)
        stirred = np.minimum(share * self.factors.share, 1.0)
        return ((0.0, 1.0 - stirred), (speed, stirred))

    @property
    def sources(self) -> list[Source]:
        """The sources of all stages in which water flows, in order."""
        return [s.source for s in self.stages if s.source is not None]

    @property
    def T_in(self) -> float:
        """Temperature of the first stage's water as it comes in [K]."""
        return self.sources[0].T_water

    @property
    def supply(self) -> Supply:
        """What drives the first stage's water."""
        return self.sources[0].supply

    @property
    def slower_when_throttled(self) -> bool:
        """Whether less water only cools more slowly: sure where every drain's water keeps its temperature."""
        return all(source.returns or source.bath is None for source in self.sources)

    @property
    def in_steps(self) -> bool:
        """Whether a chill has a memory, and is walked through step by step."""
        return self.mixing.still or any(source.bath is not None for source in self.sources)

    @cached_property
    def mass(self) -> float:
        """Mass of wort [kg]."""
        return self.volume * float(wort.density(self.T_start, self.plato))

    @cached_property
    def _drawn_mass(self) -> float | Array:
        """Mass of wort, as it is drawn [kg]."""
        return self.factors.mass * self.mass

    @cached_property
    def kettle_area(self) -> float:
        """Floor of the kettle [m2]."""
        return float(np.pi / 4.0 * self.kettle_diameter**2)

    @cached_property
    def kettle_capacity(self) -> float:
        """Heat capacity of the kettle's metal [J/K]."""
        depth = self.volume / self.kettle_area
        return kettle_losses.kettle_heat_capacity(self.kettle_diameter, depth, self.kettle_metal_mass)

    def capacity(self, T: Array) -> Array:
        """Heat capacity of wort and kettle [J/K] at T [K]."""
        return self._drawn_mass * wort.heat_capacity(T, self.plato) + self.kettle_capacity

    @property
    def usual(self) -> Scenario:
        """The same with all that is uncertain at its median."""
        return replace(self, factors=Factors())

    def surface_loss(self, T: Array) -> Array:
        """Heat lost by the wort's surface [W] at T [K]."""
        per_area = kettle_losses.surface_loss_lid if self.lid else kettle_losses.surface_loss_open
        return self.factors.loss * self.kettle_area * per_area(T, self.T_ambient)

    def wall_loss(self, T: Array) -> Array:
        """Heat lost by the whole wetted wall [W] with wort at T [K]."""
        height = self.mass / wort.density(T, self.plato) / self.kettle_area
        per_area = kettle_losses.wall_loss(T, self.T_ambient, height)
        return self.factors.loss * np.pi * self.kettle_diameter * height * per_area

    def loss(self, T: Array) -> Array:
        """Heat lost by the kettle [W] with all wort at T [K]."""
        return self.surface_loss(T) + self.wall_loss(T)

    def at(self, T: Array, *, exact: bool) -> tuple[Array, Array, Array]:
        """Heat capacity [J/K], surface and wall loss [W], all wort at T [K]; from a table unless exact."""
        if exact:
            return self.capacity(T), self.surface_loss(T), self.wall_loss(T)
        c, surface, wall = self.tabulated.read_all(self.tabulated.locate(T))
        return (
            self._drawn_mass * c + self.kettle_capacity,
            self.factors.loss * surface,
            self.factors.loss * wall,
        )

    def of_zones(self, T: Array) -> tuple[Array, Array, Array, Array]:
        """Heat capacity [J/K] and wall loss [W] of all wort at the temperatures of both its zones [K], the
        upper one last; its surface's loss [W], and what that gains per kelvin [W/K]; from a table."""
        i, w = at = self.tabulated.locate(T)
        surface, gain = self.tabulated.read_with_gain("surface_loss", (i[-1], w[-1]))
        capacity = self._drawn_mass * self.tabulated.read("heat_capacity", at) + self.kettle_capacity
        loss = self.factors.loss
        return capacity, loss * self.tabulated.read("wall_loss", at), loss * surface, loss * gain

    @cached_property
    def tabulated(self) -> Grid:
        """The wort's heat capacity [J/kgK], surface and wall loss [W] as usual, on a grid: asked for a
        million times."""
        T = np.linspace(water.T_MIN, water.T_MAX, 241)
        columns = {
            "heat_capacity": wort.heat_capacity(T, self.plato),
            "surface_loss": self.usual.surface_loss(T),
            "wall_loss": self.usual.wall_loss(T),
        }
        return Grid(T, columns, smooth=False)


def one_tap(T_in: float, supply: Supply) -> tuple[Stage, ...]:
    """The plainest plan: the tap to the target."""
    return (Stage(Source(supply, T_in)),)
