"""Which fittings a tube takes: joints that fit tube and hose, hoses, clamps, tees and wire.

A joint is made of bore against outside diameter. A hose is pushed over the bare tube only where its bore is
no wider than the tube, and no more than STRETCH narrower; every other tube takes a fitting on it
(compression, solder, barb) whose barb is of the hose's bore. A row that names no bore: a hose is taken to be
of the bore that the flow is reckoned with, a fitting to end in the thread of a hose union, a clamp to go
round any hose.

Which are bought (OWN rule): a row fits when it names no outside diameter, or the tube's own within 0.1 mm,
and no bore, or the hoses' own within 0.5 mm. It is used where its `used_at` says, at both ends when that is
empty. Rows that would do the same work are alternatives and the cheapest is taken: at each place one row with
a joint, one piece without a joint and one thing sold by the metre; lacing, feet's wire and clamps one row
each in all. Two tubes side by side take two tees outside the kettle, with hose round the kettle to them, and
every hose end on a barb a clamp. The set is complete when both ends have a joint, and two tubes their tees.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Protocol

from optichill.geometry.supports import FEET
from optichill.workshop.difficulty import JOINTS

MATCH = 1e-4
"""Diameters that differ by no more than this are the same size [m]."""

SAME_BORE = 5e-4
"""Bores that differ by no more than this are one size of hose [m]: 12.5 mm, 1/2 in and 13 mm are (OWN)."""

STRETCH = 1.1
"""The widest tube that a hose goes over, in its bores (common practice, no source): a hose with a fabric in
its wall gives a tenth at most, softened in hot water."""

ENDS = ("inlet", "outlet")
PUSHED = "hose and clamp"
"""The joint that is a hose pushed over the bare tube, its clamp with it."""

TEES, ARMS = 2, 3
"""Tees of two tubes side by side, and hose ends on each (OWN)."""

JOINTS_PER_TEE = 2
"""Joints that each tee adds to those of the tubes' ends (OWN)."""


@dataclass(frozen=True)
class FittingOffer:
    """A row of the list of fittings; outer_diameter of the tube and bore of the hose [m], or None. used_at
    None: at both ends. metal : of wire, "" where the list names none."""

    fitting_id: str
    description: str
    price: float
    owned: bool = False
    outer_diameter: float | None = None
    joint: str = ""
    used_at: str | None = None
    per: str = "piece"
    bore: float | None = None
    metal: str = ""


class Row(Protocol):
    """What decides whether a row of the list fits, of an offer and of the list's own."""

    @property
    def outer_diameter(self) -> float | None: ...
    @property
    def bore(self) -> float | None: ...
    @property
    def joint(self) -> str | None: ...
    @property
    def used_at(self) -> str | None: ...


@dataclass(frozen=True)
class Hoses:
    """The hoses of a brewhouse. bore : that the flow is reckoned with; inlet, outlet : bought of what is sold
    by the metre there; arm : from a riser's end to its tee [m]. tap, pump : whether the inlet hose goes on
    one first; one that goes from tap to pump later needs no second clamp."""

    bore: float
    inlet: float = 2.0
    outlet: float = 3.0
    arm: float = 0.0
    tap: bool = True
    pump: bool = False


@dataclass(frozen=True)
class Item:
    """One line of the bill; price is for the whole quantity, 0 when owned; fitting : hose, joint, lacing;
    part : what it is in the build, one of PARTS; joint : how it joins, if it does."""

    what: str
    quantity: float
    unit: str
    price: float
    owned: bool
    fitting: bool = False
    part: str = ""
    joint: str = ""

    @property
    def note(self) -> str:
        """What to print beside the price."""
        return "already yours" if self.owned else ""


PARTS = (
    *("roll", "form", "bender", "pump", "joint", "piece", "inlet hose", "outlet hose"),
    *("tap union", "vacuum breaker", "tee", "clamp", "lacing", "feet wire"),
)
"""Every kind of part that a bill can hold."""


@dataclass(frozen=True)
class EndSet:
    """Fittings for one tube and one number of tubes in parallel.

    items : everything but wire. lacing, feet : wire or spacers for the turns, and wire for feet or hooks,
    None when the list has none. joint_effort : sum of the joints' difficulty, for `difficulty.Job.joints`.
    missing : ends without a joint that fits, "tee" where two tubes have none, "clamp" where barbs have none,
    "inlet hose" and "outlet hose" where those of the list have another bore, "lacing" where its wire is of
    another metal; empty when complete. d_o : of
    the tube [m].
    """

    items: tuple[Item, ...]
    lacing: FittingOffer | None
    feet: FittingOffer | None
    joint_effort: float
    missing: tuple[str, ...]
    d_o: float

    @property
    def price(self) -> float:
        """Price without wire."""
        return sum(item.price for item in self.items)

    @property
    def lacing_pieces_price(self) -> float:
        """Price of spacers sold by the piece, whatever the coil's height."""
        if self.lacing is None or self.lacing.per == "m":
            return 0.0
        return FEET * to_pay(self.lacing.price, self.lacing.owned)

    @property
    def lacing_per_metre(self) -> float:
        """Price of a metre of lacing wire."""
        return _per_metre(self.lacing)

    @property
    def feet_per_metre(self) -> float:
        """Price of a metre of the wire for feet or hooks."""
        return _per_metre(self.feet)

    def wire_items(self, lacing: float, feet: float) -> list[Item]:
        """The lines for so much wire [m]; spacers in its place by the piece."""
        items = []
        if self.lacing is not None:
            quantity = lacing if self.lacing.per == "m" else float(FEET)
            items.append(_item(self.lacing, quantity, "lacing"))
        if self.feet is not None and feet > 0.0:
            items.append(_item(self.feet, feet, "feet wire"))
        return items


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


def fits_tube(fitting: Row, d_o: float) -> bool:
    """Whether a fitting goes with a tube: it names no diameter, or the tube's own within 0.1 mm.

    Parameters
    ----------
    fitting : Row
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


def goes_over(bore: float, d_o: float) -> bool:
    """Whether a hose is pushed over a tube and sits tight: no wider than it, and not stretched too far.

    Parameters
    ----------
    bore, d_o : float [m]
        Of the hose; outside diameter of the tube.

    Returns
    -------
    bool

    Examples
    --------
    A 12.5 mm hose is loose on 10 mm tube, tight on 1/2 in, and does not go over 15 mm:

    >>> [goes_over(0.0125, d_o) for d_o in (0.010, 0.0127, 0.015)]
    [False, True, False]
    """
    return bore <= d_o + MATCH + 1e-9 and d_o <= STRETCH * bore + 1e-9


def fits_hose(fitting: Row, bore: float) -> bool:
    """Whether a hose, barb or clamp is of the bore that is asked for, or names none.

    Parameters
    ----------
    fitting : Row
    bore : float [m]

    Returns
    -------
    bool

    Examples
    --------
    >>> barb = FittingOffer("b", "barb 1/2 in", 4.0, joint="barb", bore=0.0127)
    >>> fits_hose(barb, 0.0125), fits_hose(barb, 0.010)
    (True, False)
    """
    return fitting.bore is None or abs(fitting.bore - bore) <= SAME_BORE + 1e-9


def joins(fitting: Row, d_o: float, bore: float) -> bool:
    """Whether a fitting joins this tube and this hose, or is no joint between them and fits both.

    Parameters
    ----------
    fitting : Row
    d_o, bore : float [m]
        Outside diameter of the tube; of the hose.

    Returns
    -------
    bool

    Examples
    --------
    A clamp does not make a loose hose tight, at a tee the hose is on the tee's own barb:

    >>> clamp = FittingOffer("c", "hose and clamp", 2.0, joint="hose and clamp")
    >>> tee = FittingOffer("t", "tee", 4.0, joint="hose and clamp", used_at="tee")
    >>> joins(clamp, 0.010, 0.0125), joins(clamp, 0.010, 0.010), joins(tee, 0.010, 0.0125)
    (False, True, True)
    """
    pushed = fitting.joint == PUSHED and fitting.used_at in (None, *ENDS)
    own = fits_tube(fitting, d_o) and fits_hose(fitting, bore)
    return own and (not pushed or goes_over(bore, d_o))


def cheapest_end_set(
    fittings: Sequence[FittingOffer], d_o: float, hoses: Hoses, tubes: int = 1, wires: Sequence[str] = ()
) -> EndSet:
    """The cheapest set of fittings for a tube, by the rule at the head of this module.

    The same row at both ends becomes one line of the bill.

    Parameters
    ----------
    fittings : sequence of FittingOffer
    d_o : float [m]
        Outside diameter of the tube.
    hoses : Hoses
    tubes : int
        2 for a parallel coil, whose four ends each need a joint and which takes two tees besides.
    wires : sequence of str
        Metals of the wire that may lace the tube, `Material.wire`; a row of another is left out. Empty: any.

    Returns
    -------
    EndSet

    Examples
    --------
    One kind of union serves both ends; of two kinds the cheaper:

    >>> cheap = FittingOffer("a", "union", 4.0, joint="compression")
    >>> dear = FittingOffer("b", "fine union", 6.0, joint="compression")
    >>> ends = cheapest_end_set([dear, cheap], 0.010, Hoses(0.0125))
    >>> ends.price, ends.joint_effort, ends.missing
    (8.0, 0.5, ())
    """
    rows = [f for f in fittings if joins(f, d_o, hoses.bore)]
    chosen: dict[tuple[FittingOffer, str], float] = {}
    effort, clamps = 0.0, 1.0 if hoses.pump and not hoses.tap else 0.0
    missing: list[str] = []

    def take(fitting: FittingOffer | None, part: str, quantity: float) -> None:
        if fitting is not None:
            chosen[fitting, part] = chosen.get((fitting, part), 0.0) + quantity

    for place in ENDS:
        here = [f for f in rows if f.used_at in (None, place)]
        joint = _cheapest(f for f in here if f.joint and f.per != "m")
        take(joint, "joint", float(tubes))
        take(_cheapest(f for f in here if not f.joint and f.per != "m"), "piece", 1.0)
        length = (hoses.inlet if place == "inlet" else hoses.outlet) + (tubes > 1) * 2.0 * hoses.arm
        hose = _cheapest(f for f in here if f.per == "m")
        take(hose, f"{place} hose", length)
        if hose is None and any(f.per == "m" and f.used_at in (None, place) for f in fittings):
            missing.append(f"{place} hose")
        if joint is None:
            missing.append(place)
        else:
            effort += tubes * JOINTS[joint.joint]
            clamps += tubes if _on_a_barb(joint) else 0.0
    if hoses.tap:
        here = [f for f in rows if f.used_at == "tap" and f.per != "m"]
        union = _cheapest(f for f in here if f.joint)
        take(union, "tap union", 1.0)
        take(_cheapest(f for f in here if not f.joint), "vacuum breaker", 1.0)
        clamps += 1.0 if union is not None and _on_a_barb(union) else 0.0
    if tubes > 1:
        tee = _cheapest(f for f in rows if f.used_at == "tee" and f.per != "m")
        take(tee, "tee", float(TEES))
        if tee is None:
            missing.append("tee")
        else:
            effort += TEES * JOINTS_PER_TEE * JOINTS[tee.joint or PUSHED]
        if tee is None:  # one from elsewhere has barbs
            clamps += TEES * ARMS if any(f.used_at == "clamp" for f in rows) else 0.0
        else:
            clamps += TEES * ARMS if (tee.joint or PUSHED) in (PUSHED, "barb") else 0.0
    if clamps:
        clamp = _cheapest(f for f in rows if f.used_at == "clamp")
        take(clamp, "clamp", clamps)
        missing += ["clamp"] if clamp is None else []
    items = tuple(_item(fitting, quantity, part) for (fitting, part), quantity in chosen.items())
    feet = _cheapest(f for f in rows if f.used_at == "feet" and f.per == "m")
    lacing = _cheapest_lacing(f for f in rows if not (f.metal and wires) or f.metal in wires)
    if lacing is None and any(f.used_at == "turns" for f in fittings):
        missing.append("lacing")
    return EndSet(items, lacing, feet, effort, tuple(missing), d_o)


def _on_a_barb(joint: FittingOffer) -> bool:
    """Whether a hose is pushed on the fitting and wants a clamp: a barb does, a hose over the bare tube has
    its own, a union its thread."""
    return joint.joint != PUSHED and (joint.bore is not None or joint.joint == "barb")


def _cheapest(rows: Iterable[FittingOffer]) -> FittingOffer | None:
    """The cheapest of the rows, the first by id of equals."""
    return min(rows, key=lambda f: (to_pay(f.price, f.owned), f.fitting_id), default=None)


def _per_metre(wire: FittingOffer | None) -> float:
    return 0.0 if wire is None or wire.per != "m" else to_pay(wire.price, wire.owned)


def _item(fitting: FittingOffer, quantity: float, part: str) -> Item:
    """A line of the bill."""
    price = to_pay(fitting.price, fitting.owned) * quantity
    return Item(fitting.description, quantity, fitting.per, price, fitting.owned, True, part, fitting.joint)


USUAL_LACING = 2.0
"""Lacing at which wire by the metre is compared with spacers by the piece [m] (OWN)."""


def _cheapest_lacing(rows: Iterable[FittingOffer]) -> FittingOffer | None:
    """Wire or spacers for the turns, compared at USUAL_LACING."""

    def usually(f: FittingOffer) -> tuple[float, str]:
        return to_pay(f.price, f.owned) * (USUAL_LACING if f.per == "m" else FEET), f.fitting_id

    return min((f for f in rows if f.used_at == "turns"), key=usually, default=None)
