"""The bill: whole rolls, owned things, the cheapest complete set of ends. All prices here are invented."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import pytest

from optichill.workshop import cost
from optichill.workshop.cost import Purchase
from optichill.workshop.fittings import EndSet, FittingOffer, Hoses, cheapest_end_set, fits_tube, joins

THREE_EIGHTHS = 0.009525
COMPRESSION = FittingOffer("f1", "compression to hose", 4.0, outer_diameter=0.009525, joint="compression")
CLAMPED = FittingOffer("f2", "hose and clamp", 1.5, joint="hose and clamp")
WRONG_SIZE = FittingOffer("f3", "compression 1/2", 0.5, outer_diameter=0.0127, joint="compression")
HOSE = FittingOffer("f4", "hose, 100 degC", 3.0, used_at="outlet", per="m")
DEAR_HOSE = FittingOffer("f5", "better hose", 5.0, used_at="outlet", per="m")
TAP = FittingOffer("f6", "tap adapter", 6.0, used_at="tap", joint="hose and clamp")
WIRE = FittingOffer("f7", "bare copper wire", 2.0, used_at="turns", per="m")
LIST = (COMPRESSION, CLAMPED, WRONG_SIZE, HOSE, DEAR_HOSE, TAP, WIRE)
ROLL = Purchase("soft copper 3/8 x .032, 15 m", 60.0, unit="roll")
FORM = Purchase("keg", 0.0, owned=True)
NARROW = Hoses(bore=0.0095)
"""A hose that goes over 3/8 in tube."""


def ends_of(rows: Sequence[FittingOffer], d_o: float, tubes: int = 1, hoses: Hoses = NARROW) -> EndSet:
    return cheapest_end_set(rows, d_o, hoses, tubes)


def test_cheapest_set_is_taken_at_each_place():
    ends = ends_of(LIST, THREE_EIGHTHS)
    bought = {item.what: (item.quantity, item.price) for item in ends.items}
    assert bought == {"hose and clamp": (2.0, 3.0), "hose, 100 degC": (3.0, 9.0), "tap adapter": (1.0, 6.0)}
    assert ends.price == 18.0
    assert ends.missing == ()
    assert ends.lacing is WIRE


def test_diameters_match_within_a_tenth_of_a_millimetre():
    assert fits_tube(COMPRESSION, 0.009625) and fits_tube(COMPRESSION, 0.009425)
    assert not fits_tube(COMPRESSION, 0.009630)
    assert fits_tube(HOSE, 0.022)


def test_set_without_a_joint_that_fits_is_incomplete():
    assert ends_of((COMPRESSION, HOSE), 0.0127).missing == ("inlet", "outlet")
    one_end = replace(CLAMPED, used_at="inlet")
    assert ends_of((one_end,), THREE_EIGHTHS).missing == ("outlet",)


def test_owned_is_cheapest_and_costs_nothing():
    owned = replace(COMPRESSION, owned=True)
    ends = ends_of((owned, CLAMPED), THREE_EIGHTHS)
    (item,) = ends.items
    assert (item.what, item.price, item.owned) == ("compression to hose", 0.0, True)
    assert item.note == "already yours"


def test_joints_are_counted_for_the_difficulty():
    one = ends_of((COMPRESSION,), THREE_EIGHTHS)
    two = ends_of((COMPRESSION,), THREE_EIGHTHS, tubes=2)
    assert one.joint_effort == pytest.approx(2 * 0.25)
    assert two.joint_effort == pytest.approx(4 * 0.25)
    assert two.price == 2 * one.price


CLAMP = FittingOffer("c1", "worm clamp", 0.5, used_at="clamp")
TEE = FittingOffer("t1", "tee, barbs", 4.0, joint="barb", used_at="tee")
DEAR_TEE = FittingOffer("t2", "tee, compression", 9.0, joint="compression", used_at="tee")


def test_two_tubes_side_by_side_take_two_of_the_cheapest_tee():
    ends = ends_of((COMPRESSION, DEAR_TEE, TEE, CLAMP), THREE_EIGHTHS, tubes=2)
    bought = {item.what: (item.quantity, item.price) for item in ends.items}
    assert bought == {"compression to hose": (4.0, 16.0), "tee, barbs": (2.0, 8.0), "worm clamp": (6.0, 3.0)}
    assert ends.missing == () and ends.price == 27.0
    assert ends.joint_effort == pytest.approx(4 * 0.25 + 4 * 0.1)


def test_one_tube_takes_no_tee():
    with_tees = ends_of((*LIST, TEE, DEAR_TEE), THREE_EIGHTHS)
    assert with_tees == ends_of(LIST, THREE_EIGHTHS)


def test_two_tubes_without_a_tee_say_so():
    assert ends_of((COMPRESSION,), THREE_EIGHTHS, tubes=2).missing == ("tee",)
    wrong_size = replace(TEE, outer_diameter=0.0127)
    by_metre = replace(TEE, per="m")
    ends = ends_of((wrong_size, by_metre), THREE_EIGHTHS, tubes=2)
    assert ends.missing == ("inlet", "outlet", "tee") and ends.items == ()


@pytest.mark.parametrize(("joint", "effort"), [("", 0.1), ("compression", 0.25), ("solder", 1.0)])
def test_each_tee_adds_two_joints_of_its_kind(joint, effort):
    rows = (COMPRESSION, replace(TEE, joint=joint))
    found = ends_of(rows, THREE_EIGHTHS, tubes=2).joint_effort
    assert found == pytest.approx(4 * 0.25 + 2 * 2 * effort)


def test_an_owned_tee_costs_nothing():
    ends = ends_of((COMPRESSION, TEE, replace(DEAR_TEE, owned=True)), THREE_EIGHTHS, tubes=2)
    tees = [item for item in ends.items if item.what.startswith("tee")]
    assert [(item.what, item.quantity, item.price, item.owned) for item in tees] == [
        ("tee, compression", 2.0, 0.0, True)
    ]


def test_rolls_for_two_tubes():
    """Two pieces of one 15 m roll, a whole roll used up, a piece too many, and a roll at hand."""
    lengths = np.array([[7.0, 7.5, 7.5, 9.0], [6.0, 7.5, 7.6, 9.0]])
    before = lengths.copy()
    np.testing.assert_array_equal(
        cost.rolls_needed(lengths, 15.0, [False, False, False, True]), [1.0, 1.0, 2.0, 1.0]
    )
    np.testing.assert_array_equal(lengths, before)
    many = cost.rolls_needed(lengths, [15.0, 10.0, 25.0, 10.0])
    np.testing.assert_array_equal(many, [1.0, 2.0, 1.0, 2.0])
    for column, rolls in enumerate([1.0, 1.0, 2.0, 2.0]):
        np.testing.assert_array_equal(cost.rolls_needed(lengths[:, [column]], 15.0), [rolls])


def test_equal_prices_break_the_tie_by_id_whatever_the_order():
    a, b = replace(CLAMPED, fitting_id="a", description="A"), replace(CLAMPED, fitting_id="b")
    for rows in ((a, b), (b, a)):
        assert ends_of(rows, THREE_EIGHTHS).items[0].what == "A"


def test_lacing_by_the_metre_follows_its_length_and_spacers_do_not():
    ends = ends_of(LIST, THREE_EIGHTHS)
    bill = cost.itemised_bill((ROLL, FORM), ends, lacing=2.1)
    wire = next(item for item in bill.items if item.what == "bare copper wire")
    assert wire.quantity == 2.1
    spacers = replace(WIRE, per="piece", price=0.5, description="spacer")
    by_piece = ends_of((*LIST[:-1], spacers), THREE_EIGHTHS)
    totals = {cost.itemised_bill((ROLL,), by_piece, lacing).total for lacing in (1.0, 3.0)}
    assert totals == {60.0 + 18.0 + 3 * 0.5}


def test_whole_roll_is_paid():
    ends = ends_of((), THREE_EIGHTHS)
    assert cost.itemised_bill((ROLL, FORM), ends, 2.0).total == 60.0


def test_total_of_many_equals_each_bill():
    lacings, feet, rolls = np.array([1.0, 2.0, 2.5]), np.array([0.0, 0.7, 1.4]), np.array([60.0, 42.0, 0.0])
    ends = ends_of((*LIST, replace(WIRE, fitting_id="f8", used_at="feet", price=1.5)), THREE_EIGHTHS)
    totals = cost.total_cost(
        rolls + 12.0,
        ends.price,
        ends.lacing_pieces_price,
        ends.lacing_per_metre,
        lacings,
        ends.feet_per_metre,
        feet,
    )
    bender = Purchase("lever bender", 12.0)
    for lacing, foot, roll, total in zip(lacings, feet, rolls, totals, strict=True):
        purchases = (Purchase("roll", roll), FORM, bender)
        assert cost.itemised_bill(purchases, ends, lacing, foot).total == pytest.approx(total)


def test_nan_stays_and_inputs_are_left_alone():
    rolls = np.array([60.0, np.nan])
    before = rolls.copy()
    assert np.isnan(cost.total_cost(rolls, 1.0)).tolist() == [False, True]
    np.testing.assert_array_equal(rolls, before)


def test_every_priced_row_that_is_used_moves_the_total():
    def total(rows):
        ends = ends_of(rows, THREE_EIGHTHS)
        return cost.itemised_bill((ROLL,), ends, 2.0).total

    for row in (CLAMPED, HOSE, TAP, WIRE):
        dearer = tuple(replace(f, price=f.price + 0.1) if f is row else f for f in LIST)
        assert total(dearer) > total(LIST)


BARB = FittingOffer("f9", "barb for 12.5 mm", 4.0, outer_diameter=0.010, joint="compression", bore=0.0125)
UNION = FittingOffer("u1", "tap union", 3.0, joint="barb", used_at="tap", bore=0.0125)
BREAKER = FittingOffer("v1", "vacuum breaker", 4.0, used_at="tap")
FULL = (CLAMPED, BARB, UNION, BREAKER, CLAMP, replace(TEE, bore=0.0125))


def counted(ends: EndSet) -> dict[str, float]:
    return {item.part: item.quantity for item in ends.items}


def test_a_loose_hose_is_never_clamped_on_a_tube():
    """12.5 mm bore on tube of 7.9 to 15 mm: it clamps on 1/2 in alone (common practice, no source)."""
    fits = [joins(CLAMPED, d_o, 0.0125) for d_o in (0.0079, 0.0095, 0.010, 0.012, 0.0127, 0.015)]
    assert fits == [False, False, False, False, True, False]
    ends = ends_of(FULL, 0.010, hoses=Hoses(0.0125))
    assert [item.what for item in ends.items if item.part == "joint"] == ["barb for 12.5 mm"]
    assert ends_of((CLAMPED,), 0.010, hoses=Hoses(0.0125)).missing == ("inlet", "outlet")


def test_a_barb_of_another_bore_is_no_joint():
    assert ends_of((BARB, CLAMP), 0.010, hoses=Hoses(0.019)).missing == ("inlet", "outlet")


def test_clamps_and_hoses_are_counted():
    """One tube: union, inlet, outlet. Two on tees: four ends, three arms on each tee, and the union."""
    assert counted(ends_of(FULL, 0.010, hoses=Hoses(0.0125)))["clamp"] == 3
    two = counted(ends_of((*FULL, HOSE), 0.010, 2, Hoses(0.0125, outlet=3.0, arm=0.5)))
    assert (two["clamp"], two["joint"], two["tee"], two["outlet hose"]) == (11, 4, 2, 4.0)
    assert counted(ends_of(FULL, 0.010, hoses=Hoses(0.0125, tap=False, pump=True)))["clamp"] == 3
    assert ends_of(FULL[:4], 0.010, hoses=Hoses(0.0125)).missing == ("clamp",)
