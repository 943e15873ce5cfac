"""Money as shops and bills print it: rounded, in figures, and so that its lines add up."""

from __future__ import annotations

import math
from collections.abc import Sequence
from decimal import ROUND_HALF_UP, Decimal


def half_up(amount: float, decimals: int = 0) -> Decimal:
    """An amount of money rounded as shops do: a half goes up.

    Parameters
    ----------
    amount : float
    decimals : int

    Returns
    -------
    Decimal

    Examples
    --------
    >>> str(half_up(12.5)), str(half_up(83.245, 2))
    ('13', '83.25')
    """
    return Decimal(f"{amount:.9f}").quantize(Decimal(1).scaleb(-decimals), ROUND_HALF_UP)


def figure(amount: float, decimals: int = 0) -> str:
    """An amount of money as a number: from ten thousand on whole, in groups of three.

    Parameters
    ----------
    amount : float
    decimals : int

    Returns
    -------
    str

    Examples
    --------
    >>> figure(83.245, 2), figure(1516302.4, 2)
    ('83.25', '1,516,302')
    """
    return f"{half_up(amount):,}" if abs(amount) >= TEN_THOUSAND else str(half_up(amount, decimals))


TEN_THOUSAND = 10_000.0
"""Money from which cents are not told: of a currency of which a roll costs a million."""


def seen(amount: float) -> float:
    """Money that rests on a model, to the three digits that anybody could tell apart; below a thousand as it
    is.

    Parameters
    ----------
    amount : float

    Returns
    -------
    float

    Examples
    --------
    >>> seen(213.4), seen(3841538.0)
    (213.4, 3840000.0)
    """
    step = digit_seen(amount)
    return amount if step == 1 else float(step * round(amount / step))


def digit_seen(amount: float) -> int:
    """What the last of three digits counts, at least 1.

    Parameters
    ----------
    amount : float

    Returns
    -------
    int

    Examples
    --------
    >>> digit_seen(213.4), digit_seen(3841538.0)
    (1, 10000)
    """
    return 1 if abs(amount) < 1000.0 else int(10 ** (math.floor(math.log10(abs(amount))) - 2))


def that_add_up(amounts: Sequence[float]) -> int:
    """Decimals, at most two, to which amounts are rounded so that they add up to their rounded sum.

    Parameters
    ----------
    amounts : sequence of float

    Returns
    -------
    int

    Examples
    --------
    >>> that_add_up([71.0, 12.5]), that_add_up([12.4, 12.4]), that_add_up([0.45, 0.45])
    (0, 1, 2)
    """
    for decimals in (0, 1):
        if sum(half_up(a, decimals) for a in amounts) == half_up(sum(amounts), decimals):
            return decimals
    return 2


def adding_up(amounts: Sequence[float], decimals: int = 2, total: float | None = None) -> list[Decimal]:
    """Amounts rounded so that what is printed adds up to their rounded sum: what rounding leaves over goes to
    those that it moved farthest the other way.

    Parameters
    ----------
    amounts : sequence of float
    decimals : int
    total : float, optional
        The sum as it is printed, where it was added in another order: half a unit falls either way.

    Returns
    -------
    list of Decimal

    Examples
    --------
    Three times a third of ten are ten, not 9.99:

    >>> [str(a) for a in adding_up([10 / 3, 10 / 3, 10 / 3])]
    ['3.34', '3.33', '3.33']
    """
    rounded = [half_up(amount, decimals) for amount in amounts]
    left = half_up(sum(amounts) if total is None else total, decimals) - sum(rounded)
    step = Decimal(1).scaleb(-decimals).copy_sign(left)
    moved = [float(step) * (amount - float(told)) for amount, told in zip(amounts, rounded, strict=True)]
    for n in sorted(range(len(rounded)), key=lambda n: -moved[n])[: round(left / step)]:
        rounded[n] += step
    return rounded


def bill_figures(amounts: Sequence[float], total: float, decimals: int = 2) -> list[str]:
    """The lines of a bill and, last, its total, as they are printed: the lines add up to it, and where it has
    no cents they have none.

    Parameters
    ----------
    amounts : sequence of float
    total : float
    decimals : int

    Returns
    -------
    list of str

    Examples
    --------
    >>> bill_figures([47.0, 8.25], 55.25), bill_figures([8460000.5, 1485.4], 8461485.9)
    (['47.00', '8.25', '55.25'], ['8,460,001', '1485', '8,461,486'])
    """
    decimals = 0 if abs(total) >= TEN_THOUSAND else decimals
    lines = [float(amount) for amount in adding_up(amounts, decimals, total)]
    return [figure(amount, decimals) for amount in (*lines, total)]


def money(amount: float | None, currency: str, decimals: int = 0) -> str:
    """Money with its currency.

    Parameters
    ----------
    amount : float or None
        "unknown" for None or a value that is not finite.
    currency : str
    decimals : int

    Returns
    -------
    str

    Examples
    --------
    >>> money(70.6, "EUR"), money(70.5, "EUR"), money(70.5, "EUR", 2)
    ('71 EUR', '71 EUR', '70.50 EUR')
    """
    if amount is None or not math.isfinite(amount):
        return "unknown"
    return f"{figure(amount, decimals)} {currency}"
