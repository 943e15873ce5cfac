"""What a coil costs over its life, and what counts for what, in words."""

from __future__ import annotations

from optichill.display import US_GALLON, half_up, money, show
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
    told = {name: float(part) for name, part in named.items() if part > 0.0}
    total = int(half_up(float(life.total)))
    # The build is told beside it too: what rounding leaves over goes to the others.
    build = int(half_up(told.pop("to build", 0.0)))
    parts = {"to build": build} | dict(zip(told, _whole(list(told.values()), total - build), strict=True))
    said = ", ".join(f"{part} {name}" for name, part in parts.items())
    return f"about {money(total, currency)} over {batches(worth)}: {said}"


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
    """What an hour of waiting counts, in a few words."""
    half = ", half while left alone" if worth.unattended else ""
    taken = "taken as" if "hour" in worth.assumed else "at"
    return f"an hour of waiting {taken} {money(worth.waiting, currency)}{half}"


def rates(worth: Worth, currency: str, units: str) -> str:
    """What counts for what, so that a person can say other wishes."""
    hour, minute, ice = (money(amount, currency, 2) for amount in (worth.waiting, worth.minute, worth.ice))
    water = LESS_WATER[units]
    less = money(worth.batches * worth.water * water, currency, 2)
    half = " (half of what it is worth, as you need not stand by)" if worth.unattended else ""
    said = f"with an hour of waiting at {hour}{half}, a minute less a batch is worth {minute}"
    said += f" and {show(water, 'volume', units)} less {less}"
    return said + (f"; ice at {ice} a kg" if worth.ice > 0.0 else "")


LESS_WATER = {"metric": 0.010, "us": 2.5 * US_GALLON}
"""Water that the worth of is told [m3]."""
