"""What a build costs: what is bought, in which quantity, for how much.

Whole rolls are bought and the off-cut is only reported. What the brewer owns costs nothing and is listed as
already yours. Prices are in the stock list's currency.

Which fittings are bought (OWN rule): a row fits when it names no outside diameter, or the tube's own within
0.1 mm. It is used where its `used_at` says, at both ends when that is empty. Rows that would do the same
work are alternatives and the cheapest is taken: at each place one row with a joint, one piece without a
joint and one thing sold by the metre; at the turns one row in all. Two tubes side by side take two tees
outside the kettle besides. The set is complete when both ends have a joint, and two tubes their tees.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from optichill.arrays import Array, floats
from optichill.workshop.difficulty import JOINTS

MATCH = 1e-4
"""Diameters that differ by no more than this are the same size [m]."""

ENDS = ("inlet", "outlet")

HOSE_LENGTH = {"inlet": 2.0, "outlet": 3.0, "tap": 2.0}
"""Bought of what is sold by the metre there [m] (OWN)."""

TEES, JOINTS_PER_TEE = 2, 2
"""Tees of two tubes side by side, and joints that each adds to those of the tubes' ends (OWN)."""

LACING_COLUMNS = 3
WIRE_PER_HEIGHT = 2.2
"""Wire of one lacing column over the coil's height: up and back, and the crossings (OWN)."""

USUAL_HEIGHT = 0.2
"""Coil height at which wire by the metre is compared with spacers by the piece [m] (OWN)."""


@dataclass(frozen=True)
class Purchase:
    """A whole thing that is bought once: the roll, the form, a bender, a pump."""

    what: str
    price: float
    owned: bool = False
    unit: str = "piece"


@dataclass(frozen=True)
class FittingOffer:
    """A row of the list of fittings; outer_diameter [m] or None, used_at None: at both ends."""

    fitting_id: str
    description: str
    price: float
    owned: bool = False
    outer_diameter: float | None = None
    joint: str = ""
    used_at: str | None = None
    per: str = "piece"


@dataclass(frozen=True)
class Item:
    """One line of the bill; price is for the whole quantity, 0 when owned; fitting : hose, joint, lacing."""

    what: str
    quantity: float
    unit: str
    price: float
    owned: bool
    fitting: bool = False

    @property
    def note(self) -> str:
        """What to print beside the price."""
        return "already yours" if self.owned else ""


@dataclass(frozen=True)
class EndSet:
    """Fittings for one tube and one number of tubes in parallel.

    items : everything but what goes between the turns.
    lacing : wire or spacers for the turns, None when the list has none.
    joint_effort : sum of the joints' difficulty, for `difficulty.Job.joints`.
    missing : ends without a joint that fits, and "tee" where two tubes have none; empty when complete.
    """

    items: tuple[Item, ...]
    lacing: FittingOffer | None
    joint_effort: float
    missing: tuple[str, ...]

    @property
    def price(self) -> float:
        """Price without the lacing."""
        return sum(item.price for item in self.items)

    @property
    def lacing_pieces_price(self) -> float:
        """Price of spacers sold by the piece, whatever the coil's height."""
        if self.lacing is None or self.lacing.per == "m":
            return 0.0
        return LACING_COLUMNS * to_pay(self.lacing.price, self.lacing.owned)

    @property
    def lacing_price_per_height(self) -> float:
        """Price of wire sold by the metre, per metre of coil height."""
        if self.lacing is None or self.lacing.per != "m":
            return 0.0
        return LACING_COLUMNS * WIRE_PER_HEIGHT * to_pay(self.lacing.price, self.lacing.owned)


@dataclass(frozen=True)
class Bill:
    """Everything that one design needs, and its total; missing : as in `EndSet`."""

    items: tuple[Item, ...]
    missing: tuple[str, ...] = ()

    @property
    def total(self) -> float:
        """Sum of the prices."""
        return sum(item.price for item in self.items)


def to_pay(price: float, owned: bool) -> float:
    """The price, or 0 for what is owned.

    Parameters
    ----------
    price : float [money]
    owned : bool

    Returns
    -------
    float [money]

    Examples
    --------
    >>> to_pay(45.0, owned=True)
    0.0
    """
    return 0.0 if owned else price


def fits_tube(fitting: FittingOffer, d_o: float) -> bool:
    """Whether a fitting goes with a tube: it names no diameter, or the tube's own within 0.1 mm.

    Parameters
    ----------
    fitting : FittingOffer
    d_o : float [m]
        Outside diameter of the tube.

    Returns
    -------
    bool

    Examples
    --------
    3/8 in is 9.525 mm:

    >>> union = FittingOffer("u", "union 3/8 in", 4.0, outer_diameter=0.009525, joint="compression")
    >>> fits_tube(union, 0.0095), fits_tube(union, 0.010)
    (True, False)
    """
    # The hair keeps "0.1 mm" itself inside in spite of binary fractions.
    return fitting.outer_diameter is None or abs(fitting.outer_diameter - d_o) <= MATCH + 1e-9


def _cheapest(rows: Iterable[FittingOffer]) -> FittingOffer | None:
    """The cheapest of the rows, the first by id of equals."""
    return min(rows, key=lambda f: (to_pay(f.price, f.owned), f.fitting_id), default=None)


def _item(fitting: FittingOffer, quantity: float) -> Item:
    """A line of the bill."""
    price = to_pay(fitting.price, fitting.owned) * quantity
    return Item(fitting.description, quantity, fitting.per, price, fitting.owned, fitting=True)


def _at_place(
    rows: list[FittingOffer], place: str, tubes: int
) -> tuple[FittingOffer | None, list[tuple[FittingOffer, float]]]:
    """The joint chosen at a place, and all rows chosen there with their quantities."""
    here = [f for f in rows if f.used_at == place or (f.used_at is None and place in ENDS)]
    joint = _cheapest(f for f in here if f.joint and f.per != "m")
    piece = _cheapest(f for f in here if not f.joint and f.per != "m")
    by_metre = _cheapest(f for f in here if f.per == "m")
    chosen: list[tuple[FittingOffer, float]] = []
    if joint is not None:
        chosen.append((joint, float(tubes) if place in ENDS else 1.0))
    if piece is not None:
        chosen.append((piece, 1.0))
    if by_metre is not None:
        chosen.append((by_metre, HOSE_LENGTH[place]))
    return joint, chosen


def _cheapest_lacing(rows: Iterable[FittingOffer]) -> FittingOffer | None:
    """Wire or spacers for the turns, compared at USUAL_HEIGHT."""

    def at_usual_height(f: FittingOffer) -> tuple[float, str]:
        amount = WIRE_PER_HEIGHT * USUAL_HEIGHT if f.per == "m" else 1.0
        return to_pay(f.price, f.owned) * amount, f.fitting_id

    return min((f for f in rows if f.used_at == "turns"), key=at_usual_height, default=None)


def cheapest_end_set(fittings: Sequence[FittingOffer], d_o: float, tubes: int = 1) -> EndSet:
    """The cheapest set of fittings for a tube, by the rule at the head of this module.

    The same row at both ends becomes one line of the bill.

    Parameters
    ----------
    fittings : sequence of FittingOffer
    d_o : float [m]
        Outside diameter of the tube.
    tubes : int
        2 for a parallel coil, whose four ends each need a joint and which takes two tees besides.

    Returns
    -------
    EndSet

    Examples
    --------
    One kind of union serves both ends; of two kinds the cheaper:

    >>> cheap = FittingOffer("a", "union", 4.0, joint="compression")
    >>> dear = FittingOffer("b", "fine union", 6.0, joint="compression")
    >>> ends = cheapest_end_set([dear, cheap], 0.010)
    >>> ends.price, ends.joint_effort, ends.missing
    (8.0, 0.5, ())
    """
    rows = [f for f in fittings if fits_tube(f, d_o)]
    quantities: dict[FittingOffer, float] = {}
    effort = 0.0
    missing: list[str] = []
    for place in ("inlet", "outlet", "tap"):
        joint, chosen = _at_place(rows, place, tubes)
        for fitting, quantity in chosen:
            quantities[fitting] = quantities.get(fitting, 0.0) + quantity
        if place in ENDS and joint is None:
            missing.append(place)
        if joint is not None and place in ENDS:
            effort += tubes * JOINTS[joint.joint]
    if tubes > 1:
        tee = _cheapest(f for f in rows if f.used_at == "tee" and f.per != "m")
        if tee is None:
            missing.append("tee")
        else:
            quantities[tee] = float(TEES)
            effort += TEES * JOINTS_PER_TEE * JOINTS[tee.joint or "hose and clamp"]
    items = tuple(_item(fitting, quantity) for fitting, quantity in quantities.items())
    return EndSet(items, _cheapest_lacing(rows), effort, tuple(missing))


def total_cost(
    roll: ArrayLike,
    form: ArrayLike,
    bender: ArrayLike,
    ends: ArrayLike,
    lacing_pieces: ArrayLike = 0.0,
    lacing_per_height: ArrayLike = 0.0,
    coil_height: ArrayLike = 0.0,
    laced: ArrayLike = True,
) -> Array:
    """Total of many candidates at once, from prices to pay (0 for what is owned); as `itemised_bill` adds it.

    Parameters
    ----------
    roll, form, bender, ends, lacing_pieces : array_like [money]
        Roll; form; bender; `EndSet.price`; `EndSet.lacing_pieces_price`.
    lacing_per_height : array_like [money/m]
        `EndSet.lacing_price_per_height`.
    coil_height : array_like [m]
        Over the tube.
    laced : array_like of bool
        Whether the lacing counts: a coil left touching needs none.

    Returns
    -------
    Array [money], broadcast shape

    Examples
    --------
    45 + 0 + 12 + 8, and a lacing of 20 a metre over 0.2 m:

    >>> total_cost(45.0, 0.0, 12.0, 8.0, 0.0, 20.0, 0.2, laced=[True, False]).tolist()
    [69.0, 65.0]
    """
    roll, form, bender, ends = floats(roll, form, bender, ends)
    pieces, per_height, coil_height = floats(lacing_pieces, lacing_per_height, coil_height)
    lacing = np.where(np.asarray(laced, dtype=bool), pieces + per_height * coil_height, 0.0)
    return roll + form + bender + ends + lacing


def rolls_needed(lengths: ArrayLike, roll: ArrayLike, owned: ArrayLike = False) -> Array:
    """Rolls that two tubes side by side take: 1 where both come out of one, else 2.

    Parameters
    ----------
    lengths : array_like [m]
        Of the two tubes, what is spared for trying included, shape (2, N).
    roll : array_like [m]
        Length of a roll.
    owned : array_like of bool
        The roll is the one at hand, and there is no second.

    Returns
    -------
    Array [-], shape (N,)

    Examples
    --------
    >>> rolls_needed([[7.0, 8.0], [7.5, 8.0]], 15.0).tolist()
    [1.0, 2.0]
    """
    lengths, roll = floats(lengths, roll)
    one = np.asarray(owned, dtype=bool) | (lengths.sum(axis=0) <= roll)
    return np.where(one, 1.0, 2.0)


def itemised_bill(
    purchases: Sequence[Purchase], ends: EndSet, coil_height: float, laced: bool = True
) -> Bill:
    """The bill of one design: roll, form, bender and whatever else, then the fittings, then the lacing.

    Parameters
    ----------
    purchases : sequence of Purchase
    ends : EndSet
    coil_height : float [m]
        Over the tube.
    laced : bool
        Whether the turns are laced.

    Returns
    -------
    Bill

    Examples
    --------
    >>> ends = cheapest_end_set([FittingOffer("a", "union", 4.0, joint="compression")], 0.010)
    >>> bill = itemised_bill([Purchase("roll", 45.0), Purchase("keg", 30.0, owned=True)], ends, 0.2)
    >>> bill.total, [item.note for item in bill.items]
    (53.0, ['', 'already yours', ''])
    """
    items = [Item(p.what, 1.0, p.unit, to_pay(p.price, p.owned), p.owned) for p in purchases]
    items.extend(ends.items)
    if laced and ends.lacing is not None:
        wire = LACING_COLUMNS * WIRE_PER_HEIGHT * coil_height
        items.append(_item(ends.lacing, wire if ends.lacing.per == "m" else float(LACING_COLUMNS)))
    return Bill(tuple(items), ends.missing)
