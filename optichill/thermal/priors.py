"""What nobody knows well: each a median and the span between its 10th and 90th percentile, with its source.

Search and ratings work with the medians (`Factors()`), likely ranges draw from the spans. A quantity is
spread as two half bells about its median, in its logarithm or as it is (`Prior.at`): lopsided spans stay so.
Tags: V seen in the source, M from memory, OWN our judgement.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, fields, replace
from types import MappingProxyType

import numpy as np
from numpy.typing import ArrayLike

from optichill.arrays import Array, Index, as_float

Z_90 = 1.2815515655446004
"""Standard normal deviate of the 90th percentile."""


@dataclass(frozen=True)
class Prior:
    """One quantity that is known to a span. unit "" is a multiplier; log : spread in the logarithm."""

    name: str
    what: str
    median: float
    p10: float
    p90: float
    unit: str
    source: str
    tag: str
    log: bool = True

    def at(self, z: ArrayLike) -> Array:
        """Its value at a standard normal deviate.

        Parameters
        ----------
        z : array_like [-]

        Returns
        -------
        Array, z's shape
            -Z_90, 0 and Z_90 give p10, median and p90.

        Examples
        --------
        >>> PRIORS["still"].at([-Z_90, 0.0, Z_90]).round(2).tolist()
        [0.61, 0.85, 1.19]
        """
        z = as_float(z)
        low, mid, high = (np.log(v) if self.log else v for v in (self.p10, self.median, self.p90))
        x = mid + z / Z_90 * np.where(z < 0.0, mid - low, high - mid)
        return np.asarray(np.exp(x) if self.log else x)

    def relative(self, z: ArrayLike) -> Array:
        """Its value at a standard normal deviate, as a multiple of the median.

        Parameters
        ----------
        z : array_like [-]

        Returns
        -------
        Array [-], z's shape

        Examples
        --------
        >>> PRIORS["fouling"].relative([0.0, Z_90]).round(2).tolist()
        [1.0, 3.25]
        """
        return self.at(z) / self.median

    @property
    def sd(self) -> float:
        """Standard deviation, of the logarithm where it is spread there; the mean of both sides.

        Examples
        --------
        >>> round(PRIORS["open_flow"].sd, 3), round(PRIORS["tap"].sd, 3)
        (0.05, 0.5)
        """
        low, high = self.at([-Z_90, Z_90])
        return float((np.log(high / low) if self.log else high - low) / (2.0 * Z_90))


def _spread(
    name: str, what: str, sd: float, source: str, *, tag: str = "OWN", unit: str = "", log: bool = True
) -> Prior:
    """A multiplier, or with a unit a difference, told by its standard deviation (of the logarithm)."""
    low, median, high = (np.exp(-Z_90 * sd), 1.0, np.exp(Z_90 * sd)) if log else (-Z_90 * sd, 0.0, Z_90 * sd)
    return Prior(name, what, float(median), float(low), float(high), unit, source, tag, log)


_ALL = (
    Prior(
        "still", "film of still wort round a coil, on Churchill & Chu's cylinder", 0.85, 0.61, 1.19, "",
        "coils in baths, 9.5-12.7 mm tube at 28-90 degC: Morgan 1975 0.84-0.97, Xin & Ebadian 1996 0.88-1.02,"
        " Ali 2006 0.93-1.12, Ali 1994 0.94-1.18 (M), Prabhanjan, Rennie & Raghavan 2004 0.44-0.60", "V",
    ),
    Prior("phi_still", "what touching turns leave of the still film", 0.44, 0.29, 0.59, "", "", "OWN"),
    Prior("phi_moving", "what touching turns leave of the moving film", 0.64, 0.49, 0.79, "", "", "OWN"),
    Prior("moving", "film of moving wort, on Churchill & Bernstein", 1.0, 0.86, 1.17, "", "", "OWN"),
    Prior(
        "inner", "film inside the tube", 1.0, 0.83, 1.21, "",
        "spread of Mori & Nakayama 1967, Xin & Ebadian 1997, Rogers & Mayhew 1964 about Gnielinski 1986", "V",
    ),
    Prior("friction", "friction in the coil", 1.0, 0.88, 1.14, "", "Ito 1959 against VDI Heat Atlas", "M"),
    Prior("fouling", "dirt on a clean kettle's tube", 4e-5, 1.3e-5, 1.3e-4, "m2K/W", "", "OWN"),
    # Wet sludge conducts about as water, 0.5 W/mK: a layer of 0.06 mm on the tube, one of 0.28 mm. Stirred
    # steadily, the coils of the four examples take 6 to 7 and 39 to 43 % longer than when clean.
    Prior("hop bag", "dirt from a hop bag", 1.2e-4, 4e-5, 3.6e-4, "m2K/W", "", "OWN"),
    Prior("loose pellets", "dirt of loose pellets", 5.5e-4, 1.8e-4, 1.7e-3, "m2K/W", "", "OWN"),
    Prior("exchange", "exchange with wort above the coil", 150.0, 50.0, 450.0, "W/m2K", "", "OWN"),
    Prior("loss", "heat that the kettle loses by itself", 1.0, 0.7, 1.4, "", "", "OWN"),
    Prior(
        "steady", "speed of steady stirring", 0.05, 0.018, 0.14, "m/s",
        "films of coils in agitated vessels, Chilton, Drew & Jebens 1944, Cummings & West 1950, Oldshue &"
        " Gretton 1954, for a paddle of 10-20 cm at half a turn to one a second", "M",
    ),
    Prior("whirlpool pump", "speed behind a whirlpool pump", 0.06, 0.025, 0.15, "m/s", "", "OWN"),
    Prior("vigorous", "speed of vigorous stirring", 0.15, 0.06, 0.37, "m/s", "", "OWN"),
    # A spoon's blade, 5 cm across, moves half of what a paddle moves; brisk is two to three turns a second. A
    # coil bobbed by 10 cm once in three seconds goes at 0.07 m/s, once in 1.3 s at 0.15 m/s: known better.
    Prior("spoon, slow", "speed behind a slow spoon", 0.025, 0.009, 0.07, "m/s", "", "OWN"),
    Prior("spoon, brisk", "speed behind a brisk spoon", 0.075, 0.03, 0.19, "m/s", "", "OWN"),
    Prior("coil, slow", "speed of a coil bobbed slowly", 0.07, 0.035, 0.14, "m/s", "", "OWN"),
    Prior("coil, brisk", "speed of a coil bobbed briskly", 0.15, 0.075, 0.3, "m/s", "", "OWN"),
    Prior("stated speed", "a speed that was stated", 1.0, 0.7, 1.4, "", "", "OWN"),
    Prior("now and then", "share of time, stirred now and then", 0.25, 0.13, 0.42, "", "", "OWN"),
    Prior("stated share", "a share of time that was stated", 1.0, 0.8, 1.2, "", "", "OWN"),
    Prior("ice", "heat that ice lets in", 1.0, 0.4, 2.5, "", "one laboratory report", "OWN"),
    _spread("pressure", "pressure read off a gauge", 0.05, ""),
    Prior("assumed pressure", "pressure of a tap without a gauge", 1.0, 0.67, 1.5, "", "", "OWN"),
    _spread("pump", "head and flow of a pump against its label", 0.1, ""),
    _spread("open_flow", "flow by bucket and clock", 0.05, ""),
    Prior("assumed flow", "flow of a hose that was not timed", 1.0, 0.8, 1.25, "", "", "OWN"),
    _spread("mass", "wort in the kettle", 0.02, ""),
    _spread("tap", "tap water measured", 0.5, "", unit="K", log=False),
    _spread("climate", "tap water estimated from the climate", 2.0, "", unit="K", log=False),
    _spread("weighed", "wort that was weighed, or read off a stick in the kettle", 0.01, ""),
    _spread("clock", "when a batch is cold, by thermometer and clock", 30.0, "", unit="s", log=False),
    _spread("price", "price of a roll that nobody has looked up", 0.15, ""),
    _spread("wall", "wall of a tube, as it is sold", 0.05, ""),
    _spread("mouth", "what the kettle's mouth lets through, by a tape", 0.003, "", unit="m", log=False),
    _spread("tank", "the kettle as a whole, against all that is worked out here", 0.08, ""),
    _spread("own", "one coil against another of the same sizes", 0.06, ""),
    # Of one person with one tool: part of what is unknown of a speed before any batch was measured.
    _spread("day", "how wort is stirred today, against how it usually is", 0.25, ""),
    _spread("eye", "wort's volume by eye", 0.10, ""),
    _spread("start", "when the clock was started, against the water", 30.0, "", unit="s", log=False),
    _spread("inlet", "tap water measured with the batch", 0.3, "", unit="K", log=False),
)  # fmt: skip

PRIORS: Mapping[str, Prior] = MappingProxyType({prior.name: prior for prior in _ALL})


def _median(name: str) -> float:
    return PRIORS[name].median


@dataclass(frozen=True)
class Factors:
    """What is uncertain in a chill, at its medians unless told otherwise; each a number, or an array of shape
    (designs,) that tells every coil its own.

    still, moving, inner, friction, loss : multipliers on films, friction and the kettle's own loss;
    phi_still, phi_moving : spacing factor of touching turns; fouling [m2K/W]; exchange with stranded wort
    [W/m2K]; speed, share : multipliers on the wort's speed and on the time it is stirred; ice : on what ice
    lets in; pressure, open_flow : on those of the tap, pump : on a pump's pressure; mass : on the wort's;
    own : on every time that water runs, what kettle and coil have of their own as far as it was measured.
    """

    still: float | Array = _median("still")
    phi_still: float | Array = _median("phi_still")
    phi_moving: float | Array = _median("phi_moving")
    moving: float | Array = _median("moving")
    inner: float | Array = _median("inner")
    friction: float | Array = _median("friction")
    fouling: float | Array = _median("fouling")
    exchange: float | Array = _median("exchange")
    loss: float | Array = _median("loss")
    speed: float | Array = 1.0
    share: float | Array = 1.0
    ice: float | Array = _median("ice")
    pressure: float | Array = _median("pressure")
    open_flow: float | Array = _median("open_flow")
    pump: float | Array = _median("pump")
    mass: float | Array = _median("mass")
    own: float | Array = 1.0

    def take(self, places: Index) -> Factors:
        """Those of the chosen coils."""
        arrays = {f.name: getattr(self, f.name) for f in fields(self)}
        return replace(self, **{n: v[places] for n, v in arrays.items() if isinstance(v, np.ndarray)})
