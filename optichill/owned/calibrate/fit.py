"""What measured batches say once the model is fitted to them: the law for another day, and all that a person
asks of it."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from optichill.arrays import Array, Mask
from optichill.model.calibration import Calibration
from optichill.model.coil import Coil
from optichill.model.cooldown_log import CooldownLog

DOUBTS: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {
        "coil": ("slower",),  # readings came so many times as late as was thought: another coil, or its sizes
        "volume": ("told", "likely"),  # m3
        "brim": ("told", "holds"),  # m3: it cools as more wort would than the kettle holds
        "loss": ("times",),  # the kettle loses so many times as much by itself as was thought
        "misses": ("misses", "expected"),  # K: no cool-down of this plan has such a shape
        "too fast": ("took", "least"),  # s, from the first reading to the last: no coil is that fast
        "start": ("began", "told"),  # K
        "late water": ("late",),  # s, that nothing happened at first
        "water shut": ("since", "at"),  # s, K: from there on it stays where it is
        "shut by flow": ("from", "until"),  # s: no water ran then by the log's own flow; nothing after counts
        "pause": ("from", "until"),  # s: it stood still on the way; nothing from then on counts
        "tap": ("inlet", "told"),  # K: the tap was another than the brewhouse says
        "units": ("first", "read_as"),  # K: the other unit of temperature would make sense of it
        "place": ("misses", "elsewhere", "hung"),  # K: what the fit misses with the thermometer where it was
        # said to be, and where it fits better; that place, its number in PLACES
        "flow": ("read", "through"),  # m3/s: it was read, and so much runs through the coil by the fit
        "swapped": ("outlet", "wort"),  # K: water comes out warmer than wort
        "day": ("apart",),  # times as long as the other of two batches it took: they were not cooled alike
        "energy": ("closure", "error"),  # shares: heat into the water against heat out of the wort
    }
)
"""What may be wrong with a log, with the figures of each, SI."""

STANDS = frozenset(
    {"coil", "volume", "brim", "loss", "misses", "units", "place", "swapped", "day", "energy", "flow"}
)
"""Doubts that stand whatever is taken of the log: the others say what was left out, or believed."""

ADVICE: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {
        "reading": ("time",),  # s: one more reading of this batch
        "stirred": (),  # the same, the wort stirred before each reading
        "again": (),  # the same once more on another day
        "steady": (),  # a batch stirred steadily
        "left alone": (),  # a batch left alone
        "another coil": (),
        "stick": (),  # the volume by a stick, or a scale
        "bucket": (),  # the hose's flow by bucket and clock
        "tap": (),  # a thermometer in the tap's water
    }
)
"""What could tell more, with the figures of each, SI."""


@dataclass(frozen=True)
class HoldRead:
    """How a log reads the hop stands of its plan. lasts [s] : all of them together; counted : whether their
    minutes are in its times; sure : whether the other way explains the readings worse."""

    lasts: float
    counted: bool
    sure: bool


@dataclass(frozen=True)
class MeasuredBatch:
    """What was brewed: a log with its coil. coil_name : file or id, as the person gave it; hold : None where
    the plan has no hop stand, or nobody has looked yet; paused : between which times [s] it stands still
    beside a hop stand, so that nothing from there on counts."""

    log: CooldownLog
    coil: Coil
    coil_name: str
    hold: HoldRead | None = None
    paused: tuple[float, float] | None = None


@dataclass(frozen=True)
class Learnt:
    """One quantity, SI. name : of COLUMNS, "tank", or "own" of a coil, "mass" and "day" of a batch; of : that
    coil or log, None where it is the cellar's. what : in words. before, after : 10th percentile, median and
    90th. told_apart : whether the batches say more than was known."""

    name: str
    what: str
    before: tuple[float, float, float]
    after: tuple[float, float, float]
    unit: str
    told_apart: bool
    of: str | None = None


AGREES = 2.0
"""Standard deviations within which heat in and heat out are the same; farther apart is a doubt."""


@dataclass(frozen=True)
class EnergyCheck:
    """Heat into the water by its flow and outlet, and out of wort and metal less what the kettle loses [J],
    over the same time; error : of their ratio, a share and one standard deviation."""

    into_water: float
    out_of_wort: float
    error: float

    @property
    def closure(self) -> float:
        """What is left over, as a share of the wort's heat."""
        return self.into_water / self.out_of_wort - 1.0

    @property
    def agrees(self) -> bool:
        """Whether both are the same as far as they are known."""
        return abs(math.log(self.into_water / self.out_of_wort)) <= AGREES * self.error


@dataclass(frozen=True)
class FittedBatch:
    """One batch after the fit. time [s], measured, fitted [K] of the points that the fit used: blocks of a
    dense log; used : False where a reading is taken for a slip. curve_* : smooth, fitted and as it was
    thought before [s, K]. misses : root mean square of what was used [K]; volume : most likely, hot [m3];
    whole : mean of all the wort at the last reading [K], None where the thermometer saw all of it; between :
    smallest and largest batch [m3] of a brewhouse that states two, where nobody said which this was; idle :
    of inlet and flow what was read and says nothing of this plan."""

    batch: MeasuredBatch
    time: Array
    measured: Array
    fitted: Array
    used: Mask
    curve_time: Array
    curve_fitted: Array
    curve_before: Array
    misses: float
    volume: float
    energy: EnergyCheck | None
    whole: float | None = None
    between: tuple[float, float] | None = None
    idle: tuple[str, ...] = ()


@dataclass(frozen=True)
class Doubt:
    """Something about a log that does not match. kind : its likely cause, of DOUBTS; figures : SI."""

    log: str
    kind: str
    figures: Mapping[str, float]


@dataclass(frozen=True)
class Advice:
    """What would tell more. kind : of ADVICE; shrinks : by what share the spread of the logarithm of a next
    coil's time would fall; figures : SI, such as the time [s] of the reading."""

    kind: str
    shrinks: float
    figures: Mapping[str, float]


@dataclass(frozen=True)
class Fit:
    """Everything about it. calibration : for another day."""

    calibration: Calibration
    learnt: tuple[Learnt, ...]
    batches: tuple[FittedBatch, ...]
    doubts: tuple[Doubt, ...]
    tells_more: tuple[Advice, ...]
