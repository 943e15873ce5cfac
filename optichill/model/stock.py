"""The stock lists as models in SI: tubing, forms, benders, fittings, pumps.

Numeric columns and what they act on: sizes on fit, winding and flow; price and owned on cost; length on what
can be wound; max_temperature and the curve on what a pump may be used for. Remarks, for the reader only:
description, checked, source.
"""

from __future__ import annotations

import math
from typing import Annotated, Any, Self

from pydantic import BeforeValidator, model_validator

from optichill.materials import MATERIALS, Material
from optichill.model.fields import (
    KELVIN,
    Choice,
    Date,
    Flow,
    Frozen,
    MetalName,
    Money,
    Quantity,
    Text,
    TubeDiameter,
    TubeLength,
    Wall,
    YesNo,
    refusal,
    settle,
)

FormDiameter = Annotated[float, Quantity("length", 0.03, 1.0)]
Circumference = Annotated[float, Quantity("length", 0.09, 3.2)]
Head = Annotated[float, Quantity("head", 0.0, 100.0, above=True)]
MATCH = 1e-4  # m, two diameters of different lists are the same size


class Priced(Frozen):
    """Anything that is bought: price in the stock's currency, or owned already."""

    price: Money | None = None
    owned: YesNo = False

    @model_validator(mode="after")
    def _price_of_what_is_bought(self) -> Self:
        if not self.owned and self.price is None:
            raise refusal("missing", "a price, or owned = yes", "price")
        if not self.owned and self.price == 0.0:
            raise refusal("0 for something to be bought", "a price, or owned = yes", "price")
        if self.price is None:
            settle(self, price=0.0)
        return self

    @property
    def cost(self) -> float:
        """What it adds to a build: nothing when it is owned."""
        return 0.0 if self.owned else float(self.price or 0.0)


class Tube(Priced):
    """A roll or coil of tube: true outside diameter, wall and length [m]."""

    stock_id: Text
    description: Text = ""
    material: MetalName
    temper: Annotated[str, Choice(("annealed", "half hard", "hard"))]
    outer_diameter: TubeDiameter
    wall: Wall
    length: TubeLength
    checked: Date | None = None
    source: Text = ""

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
    description: Text = ""
    outer_diameter: FormDiameter = math.nan
    circumference: Circumference | None = None
    height: Annotated[float, Quantity("length", 0.03, 5.0)]
    open_end: YesNo

    @model_validator(mode="after")
    def _one_size(self) -> Self:
        if math.isnan(self.outer_diameter) == (self.circumference is None):
            reason = "missing" if self.circumference is None else "given besides circumference"
            raise refusal(reason, "outer_diameter or circumference", "outer_diameter")
        if self.circumference is not None:
            settle(self, outer_diameter=self.circumference / math.pi)
        return self


class Bender(Priced):
    """A bending tool for one outside diameter: centre-line radius [m]."""

    bender_id: Text
    kind: Annotated[str, Choice(("lever", "spring", "hand"))]
    outer_diameter: TubeDiameter
    bend_radius: Annotated[float, Quantity("length", 0.005, 1.0)]


class Fitting(Priced):
    """An end, clamp, hose, adapter, tee or wire. used_at None: one at each end; "tee": two of them where two
    tubes run side by side."""

    fitting_id: Text
    description: Text = ""
    outer_diameter: TubeDiameter | None = None
    joint: Annotated[str, Choice(("compression", "solder", "barb", "hose and clamp"))] | None = None
    used_at: Annotated[str, Choice(("inlet", "outlet", "tap", "turns", "tee"))] | None = None
    per: Annotated[str, Choice(("piece", "m"))] = "piece"


def _curve(value: Any) -> Any:
    if not isinstance(value, str):
        return value
    points = []
    for point in value.split(";"):
        flow, at, head = point.partition("@")
        if not at:
            raise refusal(f"'{point.strip()}' is not flow @ head", "0 L/min @ 3.5 m; 5 L/min @ 3.0 m")
        points.append(
            (
                Quantity("flow", 0.0, 500 / 6e4).read(flow, text_only=True),
                Quantity("head", 0.0, 100.0).read(head, text_only=True),
            )
        )
    flows, heads = [flow for flow, _ in points], [head for _, head in points]
    if len(points) < 2 or flows != sorted(set(flows)) or heads != sorted(heads, reverse=True):
        raise refusal("not a falling curve", "two points or more, flow rising and head falling")
    return tuple(points)


class Pump(Priced):
    """A pump: points of flow [m3/s] and head [m of water], flow rising.

    With only max_flow and max_head the curve is the parabola H0 (1 - (V/V0)2) (physics: CP), in points.
    """

    pump_id: Text
    description: Text = ""
    curve: Annotated[tuple[tuple[float, float], ...], BeforeValidator(_curve)] = ()
    max_flow: Flow | None = None
    max_head: Head | None = None
    max_temperature: Annotated[float, Quantity("temperature", KELVIN + 20.0, KELVIN + 200.0)]

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
    forms: tuple[Form, ...] = ()
    benders: tuple[Bender, ...] = ()
    fittings: tuple[Fitting, ...] = ()
    pumps: tuple[Pump, ...] = ()

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
