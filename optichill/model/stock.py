"""The stock lists as models in SI: tubing, forms, benders, fittings, pumps.

Numeric columns and what they act on: sizes on fit, winding and flow; price and owned on cost; length on what
can be wound; max_temperature and the curve on what a pump may be used for. Remarks, for the reader only:
description, checked, source.
"""

from __future__ import annotations

import math
from typing import Annotated, Any, Self

from pydantic import BeforeValidator, PrivateAttr, ValidationInfo, model_validator

from optichill.materials import MATERIALS, Material
from optichill.model.fields import (
    KELVIN,
    Choice,
    Flow,
    MetalName,
    Money,
    Remark,
    RemarkDate,
    Text,
    TubeDiameter,
    TubeLength,
    Wall,
    Written,
    YesNo,
)
from optichill.model.frozen import Frozen, settle
from optichill.model.quantity import Quantity
from optichill.model.refusals import refusal

FormDiameter = Annotated[float, Quantity("length", 0.03, 1.0)]
Circumference = Annotated[float, Quantity("length", 0.09, 3.2)]
Head = Annotated[float, Quantity("head", 0.0, 100.0, above=True)]
MATCH = 1e-4  # m, two diameters of different lists are the same size
WALL_SEEN = 2e-5  # m, walls of one tube that differ by more are told: a gauge reads to 0.01 mm


class Priced(Frozen):
    """Anything that is bought: price in the stock's currency, or owned already."""

    price: Money | None = None
    """Price in the currency of the brewhouse file; may be empty for what is owned."""
    owned: YesNo = False
    """Whether it is there already: it then costs nothing."""

    @model_validator(mode="after")
    def _price_of_what_is_bought(self) -> Self:
        if not self.owned and self.price is None:
            raise refusal("missing", "a price, or owned = yes", "price")
        if not self.owned and self.price == 0.0:
            raise refusal("0 for something to be bought", "a price, or owned = yes", "price")
        if self.price is None:
            settle(self, price=0.0)
        return self

    _line: int = PrivateAttr(0)

    @property
    def line(self) -> int:
        """Its line in the list's file, 0 where it was given in Python."""
        return self._line

    def stands_in(self, line: int) -> None:
        """Remember the line; two rows that say the same are equal all the same wherever they stand."""
        self._line = line

    def __eq__(self, other: object) -> bool:
        return type(self) is type(other) and vars(self) == vars(other)

    def __hash__(self) -> int:
        return hash(tuple(vars(self).values()))

    @property
    def cost(self) -> float:
        """What it adds to a build: nothing when it is owned."""
        return 0.0 if self.owned else float(self.price or 0.0)


class Tube(Priced):
    """A roll or coil of tube: true outside diameter, wall and length [m]."""

    stock_id: Text
    """Id of the row, unlike all others."""
    description: Remark = ""
    """Remark: how the shop calls it."""
    material: MetalName
    """Metal."""
    temper: Annotated[str, Choice(("annealed", "half hard", "hard"))]
    """How soft; hard tube is not wound."""
    outer_diameter: TubeDiameter
    """True OUTSIDE diameter."""
    wall: Wall
    """Wall."""
    length: TubeLength
    """Length of the roll."""
    checked: RemarkDate = None
    """Remark: when the price was looked up."""
    source: Remark = ""
    """Remark: where the price is from."""

    @model_validator(mode="after")
    def _a_bore(self) -> Self:
        if self.wall >= self.outer_diameter / 2:
            raise refusal("the wall leaves no bore", "less than half of outer_diameter", "wall")
        return self

    @property
    def metal(self) -> Material:
        """All that is particular to its metal."""
        return MATERIALS[self.material]

    @property
    def windable(self) -> bool:
        """Hard tube is not for coils."""
        return self.temper != "hard"


class Form(Priced):
    """Something round to wind on [m]; open_end: the coil slides off one end."""

    form_id: Text
    """Id of the row, unlike all others."""
    description: Remark = ""
    """Remark: what it is."""
    outer_diameter: FormDiameter = math.nan
    """Outside diameter of the form; or give circumference."""
    circumference: Circumference | None = None
    """A tape round the form, in place of outer_diameter."""
    height: Annotated[float, Quantity("length", 0.03, 5.0)]
    """How much of its height can be wound on."""
    open_end: YesNo
    """Whether a coil slides off one end."""

    @model_validator(mode="after")
    def _one_size(self) -> Self:
        if math.isnan(self.outer_diameter) == (self.circumference is None):
            reason = "missing" if self.circumference is None else "given besides circumference"
            raise refusal(reason, "outer_diameter or circumference", "outer_diameter")
        if self.circumference is not None:
            settle(self, outer_diameter=self.circumference / math.pi)
        return self

    @property
    def made(self) -> bool:
        """Whether it has still to be made: what a list holds is there, or can be bought."""
        return False


class MadeForm(Form):
    """A form that stands in no list: somebody makes it for one coil."""

    @property
    def made(self) -> bool:
        """It has to be made."""
        return True


def name_of_made(diameter: float) -> str:
    """Name of a form of this diameter [m] that has to be made: "form-224"."""
    return f"form-{1e3 * diameter:.0f}"


class Bender(Priced):
    """A bending tool for one outside diameter: centre-line radius [m]."""

    bender_id: Text
    """Id of the row, unlike all others."""
    kind: Annotated[str, Choice(("lever", "spring", "hand"))]
    """What kind of tool."""
    outer_diameter: TubeDiameter
    """Outside diameter of the tube that it takes."""
    bend_radius: Annotated[float, Quantity("length", 0.005, 1.0)]
    """Radius that it bends, to the centre line."""


class Fitting(Priced):
    """An end, clamp, hose, adapter, tee or wire. used_at None: one at each end; "tee": two of them where two
    tubes run side by side; "clamp": one on every hose end that is pushed on a barb; "feet": wire that carries
    the coil."""

    fitting_id: Text
    """Id of the row, unlike all others."""
    description: Remark = ""
    """Remark: what it is."""
    outer_diameter: TubeDiameter | None = None
    """Tube that it fits; empty for any."""
    joint: Annotated[str, Choice(("compression", "solder", "barb", "hose and clamp"))] | None = None
    """How it joins."""
    bore: Annotated[float, Quantity("length", 0.002, 0.1)] | None = None
    """Of the hose, or of the one its barb or clamp is for; empty: as reckoned with, or a hose thread."""
    used_at: Annotated[str, Choice(("inlet", "outlet", "tap", "turns", "tee", "clamp", "feet"))] | None = None
    """Where it goes; empty: one at each end."""
    per: Annotated[str, Choice(("piece", "m"))] = "piece"
    """Whether the price is for a piece or a metre."""
    metal: Annotated[str, Choice(("copper", "stainless"))] | None = None
    """Of wire or spacers for the turns; empty: not said. No copper is tied on stainless tube."""


_CURVE_EXAMPLE = "0 L/min @ 3.5 m; 5 L/min @ 3.0 m"
Curve = tuple[tuple[float, float], ...]


def _curve(value: Any, info: ValidationInfo) -> Curve:
    """Points of a curve, as text or, in Python, as pairs."""
    pairs = _pairs(value) if isinstance(value, str) else value
    if not isinstance(pairs, list | tuple) or not all(
        isinstance(p, list | tuple) and len(p) == 2 for p in pairs
    ):
        raise refusal("not pairs of flow and head", _CURVE_EXAMPLE)
    flow, head = Quantity("flow", 0.0, 500 / 6e4), Quantity("head", 0.0, 100.0)
    text = isinstance(value, str)
    points = [
        (flow.read(a, text_only=text, info=info), head.read(b, text_only=text, info=info)) for a, b in pairs
    ]
    flows, heads = [at for at, _ in points], [lifts for _, lifts in points]
    if len(points) < 2 or flows != sorted(set(flows)) or heads != sorted(heads, reverse=True):
        raise refusal("not a falling curve", "two points or more, flow rising and head falling")
    return tuple(points)


def _pairs(text: str) -> list[tuple[str, str]]:
    pairs = []
    for point in text.split(";"):
        flow, at, head = point.partition("@")
        if not at:
            raise refusal(f"'{point.strip()}' is not flow @ head", _CURVE_EXAMPLE)
        pairs.append((flow, head))
    return pairs


class Pump(Priced):
    """A pump: points of flow [m3/s] and head [m of water], flow rising.

    With only max_flow and max_head the curve is the parabola H0 (1 - (V/V0)2) (physics: CP), in points.
    """

    pump_id: Text
    """Id of the row, unlike all others."""
    description: Remark = ""
    """Remark: what it is."""
    curve: Annotated[Curve, BeforeValidator(_curve), Written(f"such as {_CURVE_EXAMPLE}")] = ()
    """Points of flow and head, flow rising; or give max_flow and max_head."""
    max_flow: Flow | None = None
    """Flow without any head."""
    max_head: Head | None = None
    """Head without any flow."""
    max_temperature: Annotated[float, Quantity("temperature", KELVIN + 20.0, KELVIN + 200.0)]
    """Hottest water that it may pump."""

    @model_validator(mode="after")
    def _one_curve(self) -> Self:
        if self.curve and (self.max_flow is not None or self.max_head is not None):
            raise refusal("given besides max_flow or max_head", "a curve, or the two largest values", "curve")
        if self.curve:
            return self
        if self.max_flow is None or self.max_head is None:
            raise refusal("missing", "a curve, or max_flow and max_head", "curve")
        shares = [step / 16 for step in range(17)]
        points = tuple((self.max_flow * x, self.max_head * (1.0 - x * x)) for x in shares)
        settle(self, curve=points)
        return self


class Stock(Frozen):
    """All lists, each sorted by id."""

    tubing: tuple[Tube, ...] = ()
    """Tubes that can be bought."""
    forms: tuple[Form, ...] = ()
    """Round things to wind on."""
    benders: tuple[Bender, ...] = ()
    """Tools to bend risers with."""
    fittings: tuple[Fitting, ...] = ()
    """Ends, clamps, hoses, tees, wire."""
    pumps: tuple[Pump, ...] = ()
    """Pumps."""

    def tube(self, stock_id: str) -> Tube | None:
        """The tube of an id."""
        return next((tube for tube in self.tubing if tube.stock_id == stock_id), None)

    def form(self, form_id: str) -> Form | None:
        """The form of an id."""
        return next((form for form in self.forms if form.form_id == form_id), None)

    def pump(self, pump_id: str) -> Pump | None:
        """The pump of an id."""
        return next((pump for pump in self.pumps if pump.pump_id == pump_id), None)

    @property
    def example_prices(self) -> bool:
        """True while a price still says that it is invented."""
        return any("invented" in tube.source and not tube.owned for tube in self.tubing)
