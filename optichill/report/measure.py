"""What to measure before buying, and how sure the first place is, in words."""

from __future__ import annotations

from typing import Any

from optichill.display import show
from optichill.money import money, seen
from optichill.problem.worth import worth_of
from optichill.report.lifetime import batches
from optichill.report.ranges import tenths
from optichill.search.answer import Answer
from optichill.search.measurements import Measurement
from optichill.search.regret import Regret

LEAST_TOLD = 0.5
"""Money that rounds to something."""

WORTH_TELLING, VISIBLE = 0.01, 1.0
"""Of what the first coil costs to build, and of a minute with every batch: a measurement that gains less than
either is none to make (OWN)."""

NO_OTHER = "no other coil would then be better by a coin"
COIN = 0.005
"""Money that is told as none."""

_DO = {
    "batch": "time one batch with any coil that you have or can borrow",
    "open_flow": "time a bucket at the end of your hose",
    "tap": "measure the water at the end of the hose",
    "mass": "weigh the wort, or read its depth off a stick",
    "mouth": "measure the kettle's mouth, narrowest way across",
    "price": "ask for the price of the {tube}",
    "wall": "measure the wall of the {tube}",
}
_MATTERS_NOT = {
    "open_flow": "your flow",
    "tap": "the tap's temperature",
    "mass": "the wort's volume",
    "wall": "the tubes' walls",
}


def what_to_do(m: Measurement, units: str) -> str:
    """One measurement, as what to do."""
    tube = m.tube
    if tube is None:
        return _DO[m.name]
    roll = f"{show(tube.length, 'long_length', units)} roll of {show(tube.outer_diameter, 'tube', units)}"
    return _DO[m.name].format(tube=f"{roll} {tube.material} ({tube.stock_id})")


def measure(answer: Answer, *, full: bool = True) -> list[str]:
    """Which measurements to make before buying, the best first, with what does not matter; nothing where
    levels rank. full : all of them, else the best alone."""
    if not answer.measurements:
        return []
    worth, currency = worth_of(answer.basis), answer.basis.brewhouse.stock.currency
    least = max(WORTH_TELLING * answer.designs[0].bill.total, VISIBLE * worth.minute)
    telling = [m for m in answer.measurements if m.gain >= least]
    over = f"over {batches(worth)}"
    if not telling:
        most = answer.measurements[0].gain
        rest = NO_OTHER if most < COIN else f"at most it would gain {_amount(most, currency)} {over}"
        return [f"nothing is worth measuring before you buy: {rest}"]
    said = [
        f"{what_to_do(m, answer.basis.brewhouse.units)} before you buy: {tenths(m.other)} another coil is"
        f" then better, on average worth {_amount(m.gain, currency)} {over}"
        for m in telling
    ]
    if not full:
        return said[:1]
    idle = [words for name, words in _MATTERS_NOT.items() if _is_idle(answer, telling, name)]
    if idle:
        verb = "do" if len(idle) > 1 or idle == [_MATTERS_NOT["wall"]] else "does"
        said[0] += f"; {_listed(idle)} {verb} not matter"
    return said


def _is_idle(answer: Answer, telling: list[Measurement], name: str) -> bool:
    """Whether it could be measured, and gains nothing that is told."""
    return any(m.name == name for m in answer.measurements) and all(m.name != name for m in telling)


def regret(answer: Answer) -> list[str]:
    """What the first coil may cost more than the one that turns out best, and whether another costs less on
    average."""
    worth, currency = worth_of(answer.basis), answer.basis.brewhouse.stock.currency
    first, over = answer.regrets[0], f"over {batches(worth)}"
    if first.expected < COIN and first.p90 < COIN:
        return ["whatever your batches are like, number 1 is the best, or as good as the best"]
    more, much = _amount(first.expected, currency), _amount(first.p90, currency)
    often = (
        f"one time in ten {much} or more"
        if first.p90 >= LEAST_TOLD
        else f"hardly ever {money(1.0, currency)} or more"
    )
    said = [
        f"{over} number 1 costs {more} more on average than what turns out best for your batches, {often}; "
        f"{tenths(first.best)} it is the best itself"
    ]
    least = min(range(len(answer.regrets)), key=lambda i: answer.regrets[i].expected)
    less = first.expected - answer.regrets[least].expected
    if less > worth.minute:
        said.append(
            f"your levels put number 1 first; {over} number {least + 1} costs {_amount(less, currency)} less"
        )
    return said


def regret_json(of: Regret) -> dict[str, float]:
    """What one coil may cost more than the one that turns out best, beside its design."""
    return {"expected_regret": of.expected, "regret_p90": of.p90, "chance_best": of.best}


def measure_json(answer: Answer) -> list[dict[str, Any]]:
    """What each measurement is worth before buying, over the coil's life."""
    return [
        {
            "what": what_to_do(m, answer.basis.brewhouse.units),
            "name": m.name,
            "stock_id": None if m.tube is None else m.tube.stock_id,
            "chance_other_is_better": m.other,
            "gain_s": m.seconds,
            "gain_money": m.gain,
        }
        for m in answer.measurements
    ]


def _amount(amount: float, currency: str) -> str:
    """Whole money, and less than that as such."""
    return money(seen(amount), currency) if amount >= LEAST_TOLD else f"less than {money(1.0, currency)}"


def _listed(words: list[str]) -> str:
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"
