"""The ways to bend a riser: by hand, or with a tool that is owned or bought.

A tool is a dimension of the search, not a prescription: it competes with the harder bend made by hand, which
always stands at 1.1 times the free winding radius and so carries the kink term of the difficulty. A bender or
spring that is owned is taken without a question.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from optichill.geometry import riser_bends
from optichill.materials import Material
from optichill.model.stock import Bender, Stock, Tube
from optichill.workshop.fittings import MATCH, to_pay


@dataclass(frozen=True)
class RiserTool:
    """How the bends up to the rim are made. kind: lever | spring | hand; to_pay 0 when owned or by hand."""

    kind: str
    radius: float
    smallest: float
    to_pay: float
    owned: bool
    description: str
    bender: Bender | None

    @property
    def holds(self) -> bool:
        """Whether the tube takes the bend."""
        return self.radius >= self.smallest * (1.0 - 1e-9)


def riser_tools(tube: Tube, stock: Stock) -> tuple[RiserTool, ...]:
    """The ways open to bend this tube's risers: the best tool owned; else by hand, or with a tool to buy."""
    fitting = [b for b in stock.benders if abs(b.outer_diameter - tube.outer_diameter) <= MATCH + 1e-9]
    tools = [_tool(tube, b.kind, b) for b in fitting]
    owned = [t for t in tools if t.owned and t.holds]
    if owned:
        return (min(owned, key=lambda t: (t.kind != "lever", t.radius, t.description)),)
    ways = [_tool(tube, "hand", None)]
    for kind in ("lever", "spring", "hand"):
        offers = [t for t in tools if t.kind == kind and t.holds]
        if offers:
            ways.append(min(offers, key=lambda t: (t.to_pay, t.radius, t.description)))
    feasible = tuple(w for w in ways if w.holds)
    return feasible or tuple(ways[:1])


@lru_cache(maxsize=4096)
def _radii(d_o: float, wall: float, metal: Material, kind: str) -> tuple[float, float]:
    """Bend radius without a tool of known radius, and the smallest allowed [m]; many rolls have one size."""
    return (
        float(riser_bends.riser_bend_radius(d_o, wall, metal.poisson, kind)),
        float(riser_bends.riser_bend_minimum(d_o, wall, metal, kind)),
    )


def _tool(tube: Tube, kind: str, bender: Bender | None) -> RiserTool:
    by_hand, smallest = _radii(tube.outer_diameter, tube.wall, tube.metal, kind)
    return RiserTool(
        kind,
        by_hand if bender is None else bender.bend_radius,
        smallest,
        0.0 if bender is None else to_pay(bender.price or 0.0, bender.owned),
        bender is None or bender.owned,
        "by hand" if bender is None else bender.bender_id,
        bender,
    )
