"""What a coil costs over its life, and what counts for what, in words."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from numpy.typing import ArrayLike

from optichill.display import POUND, US_GALLON, show
from optichill.money import digit_seen, figure, half_up, money, seen
from optichill.problem.basis import DesignBasis
from optichill.problem.worth import bagged_ice, worth_of
from optichill.search.designs import Design
from optichill.workshop.lifetime import Worth


def over_its_life(d: Design, worth: Worth, currency: str) -> str:
    """What a coil costs over its life, in parts that add up."""
    life = d.life
    named = {
        "to build": life.build,
        "waiting": life.waiting,
        "water": life.water,
        "ice": life.ice,
        "work and what it may spoil": life.work + life.spoiling,
    }
    said, total = in_parts(named, float(life.total))
    return f"about {money(total, currency)} over {batches(worth)}: {said}"


def in_parts(named: Mapping[str, ArrayLike], total: float) -> tuple[str, float]:
    """A sum of money in parts that add up, and the sum as it is told; the first part as it stands elsewhere:
    what rounding leaves over goes to the others."""
    step = digit_seen(total)
    first, *_ = named
    told = {name: float(np.asarray(part)) / step for name, part in named.items() if np.asarray(part) > 0.0}
    whole = int(half_up(total / step))
    build = int(half_up(told.pop(first, 0.0)))
    parts = {first: build} | dict(zip(told, _whole(list(told.values()), whole - build), strict=True))
    return ", ".join(f"{figure(step * part)} {name}" for name, part in parts.items()), step * whole


def batches(worth: Worth) -> str:
    """How many the coil serves."""
    return "1 batch" if worth.batches == 1 else f"{worth.batches} batches"


def _whole(amounts: list[float], total: int) -> list[int]:
    """Amounts in whole numbers that add up to a total: what is left over goes to those that lost most."""
    cut = [int(amount) for amount in amounts]
    by_loss = sorted(range(len(cut)), key=lambda i: cut[i] - amounts[i])
    for n in range(total - sum(cut)):
        cut[by_loss[n % len(cut)]] += 1
    return cut


def hour(worth: Worth, currency: str) -> str:
    """What an hour of waiting counts, in a few words.

    Examples
    --------
    >>> hour(Worth(60, 10.0, 0.0, 0.0, 600.0, practised=True, unattended=True), "USD")
    'an hour of waiting at 10 USD, 5 USD while left alone'
    """
    taken = "taken as" if "hour" in worth.assumed else "at"
    whole = f"an hour of waiting {taken} {money(seen(worth.hour), currency)}"
    if not worth.unattended:
        return whole
    return f"{whole}, {money(seen(worth.waiting), currency)} while left alone"


def rates(worth: Worth, currency: str, units: str) -> str:
    """What counts for what, so that a person can say other wishes."""
    hour, minute, ice = (
        money(seen(amount), currency, 2) for amount in (worth.waiting, worth.minute, worth.ice)
    )
    water = LESS_WATER[units]
    less = money(seen(worth.batches * worth.water * water), currency, 2)
    half = " (half of what it is worth, as you need not stand by)" if worth.unattended else ""
    said = f"with an hour of waiting at {hour}{half}, a minute less a batch is worth {minute}"
    said += f" and {show(water, 'volume', units)} less {less}"
    return said + (f"; ice at {ice} a kg" if worth.ice > 0.0 else "")


def freezer_ice(basis: DesignBasis) -> list[str]:
    """That ice without a price counts nothing, and what it would come to if it were bought."""
    worth, u, currency = worth_of(basis), basis.brewhouse.units, basis.brewhouse.stock.currency
    put_in = sum(source.iced for source in basis.scenario.sources)
    if put_in == 0.0 or worth.ice > 0.0 or "ice_price" not in worth.assumed:
        return []
    weight, called = (POUND, "lb") if u == "us" else (1.0, "kg")
    price = bagged_ice(basis)
    life = money(seen(worth.batches * put_in * price), currency)
    return [
        f"The {show(put_in, 'mass', u)} of ice a batch count nothing, as from your own freezer.",
        f"Ice bought in bags, at {money(seen(price * weight), currency, 2)} a {called} or so, would come to "
        f"{life} over {batches(worth)}: ice_price under [wishes] says what you pay.",
    ]


def wishes(basis: DesignBasis) -> list[str]:
    """What waiting, water, ice and work are reckoned with, and which of it nobody stated."""
    worth, u, currency = worth_of(basis), basis.brewhouse.units, basis.brewhouse.stock.currency
    wound = basis.brewhouse.wishes.coils_wound
    told = {
        "batches": batches(worth),
        "hour": f"an hour worth {money(seen(worth.hour), currency, 2)}",
        "water_price": f"water {money(seen(worth.water), currency, 2)} a cubic metre",
        "ice_price": f"ice {money(seen(worth.ice), currency, 2)} a kg",
        "good_time": f"waiting counts beyond {show(worth.good_time, 'minutes', u)}",
        "coils_wound": "1 coil wound before" if wound == 1 else f"{wound or 'no'} coils wound before",
    }
    if not sum(source.iced for source in basis.scenario.sources):
        del told["ice_price"]
    groups = {
        "": [text for name, text in told.items() if name not in worth.assumed],
        "assumed: ": [text for name, text in told.items() if name in worth.assumed],
    }
    return [f"{head}{', '.join(texts)}" for head, texts in groups.items() if texts] + freezer_ice(basis)


LESS_WATER = {"metric": 0.010, "us": 2.5 * US_GALLON}
"""Water that the worth of is told [m3]."""
