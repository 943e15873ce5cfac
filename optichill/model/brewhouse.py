"""The brewhouse file as models in SI: names are the keys of the file, defaults are the contract's.

Built from a file the values are text with units; built in Python they are SI floats. What follows from
other keys (mouth, volume, smallest_volume) is settled once, so every reader sees the same number.
"""

from __future__ import annotations

import hashlib
import math
import re
import unicodedata
from pathlib import Path
from typing import Annotated, Self

from pydantic import AfterValidator, Field, PrivateAttr, ValidationInfo, model_validator

from optichill import display
from optichill.layouts import LAYOUTS
from optichill.model import cooling_checks
from optichill.model.coil import UNSET
from optichill.model.cooling import CoolingStage
from optichill.model.fields import Choice, Flag, Gap, Mass, Size, Text
from optichill.model.frozen import Frozen, settle
from optichill.model.quantity import Quantity
from optichill.model.refusals import refusal
from optichill.model.slips import LEAST_FILL, SMALLEST_BATCH, no_batch
from optichill.model.tap import Tap
from optichill.model.wishes import Limits, Wishes
from optichill.model.wort import MEANT, Wort
from optichill.thermal.supply import PUMP_HOSE_BORE

_DEVICE = r"con|prn|aux|nul|(com|lpt)[0-9]"
"""Names that no file or folder can have on Windows (Microsoft: Naming Files, Paths, and Namespaces)."""
_SPELLED = str.maketrans({"ł": "l", "Ł": "L", "ø": "o", "Ø": "O", "đ": "d", "Đ": "D", "æ": "ae", "Æ": "Ae"})


class Part(Frozen):
    """Something in the way inside the kettle: up to `height`, reaching `size` into the room [m]."""

    what: Text
    """Name of the thing, for drawings and messages."""
    where: Annotated[str, Choice(("wall", "floor", "centre"))]
    """Where it is fixed."""
    height: Gap
    """How high above the floor it reaches."""
    size: Size
    """How far it reaches in from the wall; of a centre part its diameter."""


class Kettle(Frozen):
    """The kettle [m, kg]."""

    inside_diameter: Annotated[float, Quantity("length", 0.10, 3.0)]
    """Inside diameter of the kettle."""
    inside_height: Annotated[float, Quantity("length", 0.10, 3.0)]
    """Inside height, floor to rim."""
    mouth: Size = UNSET
    """Smallest opening that the coil must pass; the inside diameter when left out."""
    wall_clearance: Gap = 0.030
    """Least room between turns and wall."""
    floor_clearance: Gap = 0.025
    """Least room under the lowest turn."""
    top_clearance: Gap = 0.015
    """How deep the top turn must stay under the cold surface."""
    coil_rests: Annotated[str, Choice(("feet", "floor", "hangs"))] = "feet"
    """How the coil stands: on wire feet, on the floor, or hung from the rim."""
    lid: Flag = False
    """Whether a lid is on while chilling."""
    metal_mass: Mass | None = None
    """Weight of the empty kettle; 1 mm of stainless steel is taken when left out."""
    part: tuple[Part, ...] = ()
    """Things in the way inside the kettle, each a table."""

    @model_validator(mode="after")
    def _settle(self) -> Self:
        if math.isnan(self.mouth):
            settle(self, mouth=self.inside_diameter)
        if self.mouth > self.inside_diameter:
            raise refusal(
                "wider than the kettle: the smallest opening is meant", "at most inside_diameter", "mouth"
            )
        for place, part in enumerate(self.part):
            room = self.inside_diameter / (2.0 if part.where == "wall" else 1.0)
            if part.where != "floor" and part.size >= room:
                key = f"part.{place}.size"
                raise refusal("larger than the kettle has room for", "how far it reaches in", key)
            if part.height > self.inside_height:
                raise refusal("above the rim", "at most inside_height", f"part.{place}.height")
        if 2 * self.wall_clearance >= self.inside_diameter:
            raise refusal("leaves no room for a coil", "less than half of inside_diameter", "wall_clearance")
        return self

    @property
    def area(self) -> float:
        """Floor area [m2]."""
        return math.pi / 4 * self.inside_diameter**2

    @property
    def capacity(self) -> float:
        """Volume to the brim [m3]."""
        return self.area * self.inside_height


VALVE_SETTINGS = {
    "full": 1.0,
    "three quarters": 3.0 / 4.0,
    "two thirds": 2.0 / 3.0,
    "half": 1.0 / 2.0,
    "third": 1.0 / 3.0,
    "quarter": 1.0 / 4.0,
    "fifth": 1.0 / 5.0,
}
"""How far the valve is open, as a share of the full flow."""


class Workshop(Frozen):
    """How the brewer builds [m]."""

    marking_increment: Annotated[float, Quantity("length", 0.0005, 0.05)] = 0.001
    """To what marks on the tube are rounded."""
    forms_owned_only: Flag = False
    """Wind only on forms that are owned."""
    layouts: tuple[Annotated[str, Choice(LAYOUTS)], ...] = Field(default_factory=lambda: tuple(LAYOUTS))
    """Layouts to look at: one layer; two layers of one tube; two tubes on tees."""
    flow_settings: tuple[Annotated[str, Choice(tuple(VALVE_SETTINGS))], ...] = ("full", "half", "third")
    """Valve positions worth trying, where water runs away."""
    riser: Annotated[str, Choice(("outside", "inside"))] = "outside"
    """Whether the riser from the lowest turn climbs outside or inside the turns."""
    riser_sides: Annotated[str, Choice(("same", "opposite", "any"))] = "any"
    """Whether both risers come up on the same side."""
    smallest_gap: Gap = 0.005
    """Least gap between turns; 0 mm lets them touch."""
    headspace: Gap = 0.020
    """Least free rim with the coil in the hot wort."""
    over_the_rim: Gap = 0.15
    """Tube beyond the rim, to the ends."""

    @model_validator(mode="after")
    def _some_layout(self) -> Self:
        if not self.layouts:
            raise refusal("empty", ", ".join(LAYOUTS), "layouts")
        if not self.flow_settings:
            raise refusal("empty", ", ".join(VALVE_SETTINGS), "flow_settings")
        return self

    @property
    def valve_shares(self) -> tuple[float, ...]:
        """Valve settings as shares of the full flow, the fullest first."""
        return tuple(sorted({VALVE_SETTINGS[word] for word in self.flow_settings}, reverse=True))


def _currency(text: str) -> str:
    """Letters and signs of money; what a failed figure looks like is none."""
    kinds = ["Sc" if unicodedata.category(c) == "Sc" else unicodedata.category(c)[0] for c in text]
    odd = any(kind not in ("L", "M", "Sc") and c not in "./" for c, kind in zip(text, kinds, strict=True))
    if odd or not {"L", "Sc"} & set(kinds) or len(text) > 8 or text.lower() in ("nan", "inf", "infinity"):
        raise refusal("not a currency", "letters and signs of money, at most 8, such as EUR, US$ or zł")
    return text


class StockRef(Frozen):
    """Where the lists are, and in which currency."""

    folder: Text = "."
    """Folder of the five lists, from the brewhouse file."""
    currency: Annotated[Text, AfterValidator(_currency)] = "EUR"
    """Currency of all prices, as it is printed."""


class Brewhouse(Frozen):
    """Everything of one brewhouse file."""

    name: Text
    """Name of the brewhouse; reports lie in a folder of that name."""
    units: Annotated[str, Choice(("metric", "us"))] = "metric"
    """How results are shown."""
    demo: Flag = False
    """Marks the packaged example, so that nobody builds it."""
    kettle: Kettle
    """The kettle."""
    wort: Wort
    """The wort."""
    tap: Tap | None = None
    """The cold tap; leave it out where a pump does all."""
    cooling: tuple[CoolingStage, ...] = ()
    """Stages of the cooling plan in order; the tap to the target when left out."""
    workshop: Workshop = Workshop()
    """How the brewer builds."""
    limits: Limits = Limits()
    """What must hold."""
    wishes: Wishes = Wishes()
    """What ranks the coils that hold the limits."""
    stock: StockRef = StockRef()
    """Where the lists are."""
    _path: Path | None = PrivateAttr(default=None)

    @model_validator(mode="after")
    def _settle(self, info: ValidationInfo) -> Self:
        if self.wort.depth is not None:
            volume = self.kettle.area * self.wort.depth
            wort = self.wort.model_copy()  # it may be the caller's own
            settle(wort, volume=volume, smallest_volume=volume)
            settle(self, wort=wort)
        if not self.cooling:
            if self.tap is None:
                raise refusal("missing: nothing cools the wort", "[tap], or [[cooling]] with a pump", "tap")
            settle(self, cooling=(CoolingStage(source="tap"),))
        if self.tap is not None and not self.wort.unusual:
            self.tap.refuse_more_than_flows()
        if self.wort.volume > self.kettle.capacity:
            brim = f"at most {display.show(self.kettle.capacity, 'exact_volume', self.units)}, the brim"
            raise refusal("does not fit the kettle", brim, f"wort.{self._amount_key(self.wort.volume)}")
        if not self.wort.unusual:
            self._refuse_no_batch()
        return self

    def _refuse_no_batch(self) -> None:
        """Refuse a batch that is a slip: 24.000 mL for 24 L."""
        slip = no_batch(self.wort.smallest_volume, self.kettle.capacity, self.units)
        if slip:
            least = max(SMALLEST_BATCH, LEAST_FILL * self.kettle.capacity)
            allowed = MEANT.format(f"{display.show(least, 'exact_volume', self.units)} or more")
            raise refusal(slip, allowed, f"wort.{self._amount_key(self.wort.smallest_volume)}")

    def _amount_key(self, volume: float) -> str:
        """Key that says how much wort; of two batches the one of that volume."""
        if volume != self.wort.volume:
            return "smallest_volume"
        return next(k for k in ("depth", "into_fermenter", "volume") if k in self.wort.model_fields_set)

    @property
    def path(self) -> Path | None:
        """The file it was read from, None when built in Python."""
        return self._path

    @property
    def draws_from_tap(self) -> bool:
        """Whether any stage of the plan runs on tap water, through the coil or a pre-cooling one."""
        return any(stage.source in ("tap", "precooled tap") for stage in self.cooling)

    @property
    def begins_with_pump(self) -> bool:
        """Whether a pump drives the first water that runs."""
        return next((s.pump is not None for s in self.cooling if not s.is_hold), False)

    @property
    def hose_bore(self) -> float:
        """Bore of the hoses that the flow is reckoned with [m]."""
        return PUMP_HOSE_BORE if self.tap is None else self.tap.hose_bore

    @property
    def slug(self) -> str:
        """Name of the report folder: lower-case letters, digits and hyphens. Where letters had to be dropped
        or cut, or where some systems keep the name for a device, a few digits that follow from the whole
        name keep two brewhouses apart."""
        spelled = unicodedata.normalize("NFKD", self.name.translate(_SPELLED).casefold())
        letters = [c for c in spelled if not unicodedata.combining(c)]
        plain = re.sub("[^a-z0-9]+", "-", "".join(letters)).strip("-")
        lost = any(c.isalnum() and not c.isascii() for c in letters) or len(plain) > 60 or not plain
        lost = lost or re.fullmatch(_DEVICE, plain) is not None
        mark = hashlib.sha256(self.name.encode()).hexdigest()[:6] if lost else ""
        return "-".join(part for part in (plain[:60].strip("-"), mark) if part)

    def plan_findings(self) -> list[cooling_checks.Finding]:
        """What makes the cooling plan impossible, all at once."""
        found = cooling_checks.findings(
            self.cooling,
            tap=self.tap.temperature if self.tap else None,
            start=self.wort.start_temperature,
            target=self.wort.target_temperature,
            units=self.units,
        )
        if "cooling" in self.model_fields_set:
            return found
        # The plan was left out: it is the tap to the target, and only the tap can be at fault.
        return [("tap.temperature", reason, allowed) for _, reason, allowed in found]
