"""What an hour, a litre and a kilogram of ice are worth to this brewer: as stated, or by the price of copper.

Money that nobody stated follows the list's median price of a metre of copper, so that any currency works.
"""

from __future__ import annotations

from statistics import median

from optichill.model.stock import Stock
from optichill.problem.basis import DesignBasis
from optichill.workshop.lifetime import Worth

HOUR_IN_METRES, WATER_IN_METRES = 1.3, 0.9
"""Metres of copper that an hour, and a cubic metre of water, are worth (OWN)."""

ICE_IN_METRES = 0.25
"""Metres of copper that a kilogram of ice in a bag costs (OWN)."""


def worth_of(basis: DesignBasis) -> Worth:
    """Of one brewhouse and its lists."""
    wishes = basis.brewhouse.wishes
    metre = metre_of_copper(basis.stock)
    stated = {"hour": wishes.hour, "water_price": wishes.water_price, "ice_price": wishes.ice_price}
    names = [*stated, "batches", "good_time", "coils_wound"]
    return Worth(
        batches=wishes.batches,
        hour=HOUR_IN_METRES * metre if wishes.hour is None else wishes.hour,
        water=WATER_IN_METRES * metre if wishes.water_price is None else wishes.water_price,
        ice=_ice_price(basis) if wishes.ice_price is None else wishes.ice_price,
        good_time=wishes.good_time,
        practised=wishes.coils_wound > 0,
        unattended=basis.scenario.mixing.still,
        assumed=tuple(name for name in names if name not in wishes.model_fields_set),
    )


def metre_of_copper(stock: Stock) -> float:
    """Median price of a metre [money]: of copper, which is bent by hand, else of any; 1 without prices."""
    priced = [(t.metal.bent_freehand, t.price / t.length) for t in stock.tubing if t.price]
    copper = [price for soft, price in priced if soft]
    return median(copper or [price for _, price in priced] or [1.0])


def bagged_ice(basis: DesignBasis) -> float:
    """What a kilogram of bought ice may cost where nobody says [money]."""
    return ICE_IN_METRES * metre_of_copper(basis.stock)


def _ice_price(basis: DesignBasis) -> float:
    """The dearest that a stage of the plan states; nothing is what ice from one's own freezer costs."""
    return max((s.ice_price or 0.0 for s in basis.brewhouse.cooling), default=0.0)
