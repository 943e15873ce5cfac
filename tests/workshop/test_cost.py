"""The bill: whole rolls, owned things, the cheapest complete set of ends. All prices here are invented."""

from dataclasses import replace

import numpy as np
import pytest

from optichill.workshop import cost
from optichill.workshop.cost import FittingOffer, Purchase

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


def test_cheapest_set_is_taken_at_each_place():
    ends = cost.cheapest_end_set(LIST, THREE_EIGHTHS)
    bought = {item.what: (item.quantity, item.price) for item in ends.items}
    assert bought == {"hose and clamp": (2.0, 3.0), "hose, 100 degC": (3.0, 9.0), "tap adapter": (1.0, 6.0)}
    assert ends.price == 18.0
    assert ends.missing == ()
    assert ends.lacing is WIRE


def test_diameters_match_within_a_tenth_of_a_millimetre():
    assert cost.fits_tube(COMPRESSION, 0.009625) and cost.fits_tube(COMPRESSION, 0.009425)
    assert not cost.fits_tube(COMPRESSION, 0.009630)
    assert cost.fits_tube(HOSE, 0.022)


def test_set_without_a_joint_that_fits_is_incomplete():
    assert cost.cheapest_end_set((COMPRESSION, HOSE), 0.0127).missing == ("inlet", "outlet")
    one_end = replace(CLAMPED, used_at="inlet")
    assert cost.cheapest_end_set((one_end,), THREE_EIGHTHS).missing == ("outlet",)


def test_owned_is_cheapest_and_costs_nothing():
    owned = replace(COMPRESSION, owned=True)
    ends = cost.cheapest_end_set((owned, CLAMPED), THREE_EIGHTHS)
    (item,) = ends.items
    assert (item.what, item.price, item.owned) == ("compression to hose", 0.0, True)
    assert item.note == "already yours"


def test_joints_are_counted_for_the_difficulty():
    one = cost.cheapest_end_set((COMPRESSION,), THREE_EIGHTHS)
    two = cost.cheapest_end_set((COMPRESSION,), THREE_EIGHTHS, tubes=2)
    assert one.joint_effort == pytest.approx(2 * 0.25)
    assert two.joint_effort == pytest.approx(4 * 0.25)
    assert two.price == 2 * one.price


TEE = FittingOffer("t1", "tee, barbs", 4.0, joint="barb", used_at="tee")
DEAR_TEE = FittingOffer("t2", "tee, compression", 9.0, joint="compression", used_at="tee")


def test_two_tubes_side_by_side_take_two_of_the_cheapest_tee():
    ends = cost.cheapest_end_set((COMPRESSION, DEAR_TEE, TEE), THREE_EIGHTHS, tubes=2)
    bought = {item.what: (item.quantity, item.price) for item in ends.items}
    assert bought == {"compression to hose": (4.0, 16.0), "tee, barbs": (2.0, 8.0)}
    assert ends.missing == () and ends.price == 24.0
    assert ends.joint_effort == pytest.approx(4 * 0.25 + 4 * 0.1)


def test_one_tube_takes_no_tee():
    with_tees = cost.cheapest_end_set((*LIST, TEE, DEAR_TEE), THREE_EIGHTHS)
    assert with_tees == cost.cheapest_end_set(LIST, THREE_EIGHTHS)


def test_two_tubes_without_a_tee_say_so():
    assert cost.cheapest_end_set((COMPRESSION,), THREE_EIGHTHS, tubes=2).missing == ("tee",)
    wrong_size = replace(TEE, outer_diameter=0.0127)
    by_metre = replace(TEE, per="m")
    ends = cost.cheapest_end_set((wrong_size, by_metre), THREE_EIGHTHS, tubes=2)
    assert ends.missing == ("inlet", "outlet", "tee") and ends.items == ()


@pytest.mark.parametrize(("joint", "effort"), [("", 0.1), ("compression", 0.25), ("solder", 1.0)])
def test_each_tee_adds_two_joints_of_its_kind(joint, effort):
    rows = (COMPRESSION, replace(TEE, joint=joint))
    found = cost.cheapest_end_set(rows, THREE_EIGHTHS, tubes=2).joint_effort
    assert found == pytest.approx(4 * 0.25 + 2 * 2 * effort)


def test_an_owned_tee_costs_nothing():
    ends = cost.cheapest_end_set((COMPRESSION, TEE, replace(DEAR_TEE, owned=True)), THREE_EIGHTHS, tubes=2)
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
        assert cost.cheapest_end_set(rows, THREE_EIGHTHS).items[0].what == "A"


def test_lacing_by_the_metre_follows_the_height_and_spacers_do_not():
    ends = cost.cheapest_end_set(LIST, THREE_EIGHTHS)
    bill = cost.itemised_bill((ROLL, FORM), ends, coil_height=0.2)
    wire = next(item for item in bill.items if item.what == "bare copper wire")
    assert wire.quantity == pytest.approx(3 * 2.2 * 0.2)
    spacers = replace(WIRE, per="piece", price=0.5, description="spacer")
    by_piece = cost.cheapest_end_set((*LIST[:-1], spacers), THREE_EIGHTHS)
    totals = {cost.itemised_bill((ROLL,), by_piece, height).total for height in (0.1, 0.3)}
    assert totals == {60.0 + 18.0 + 3 * 0.5}


def test_whole_roll_is_paid():
    ends = cost.cheapest_end_set((), THREE_EIGHTHS)
    assert cost.itemised_bill((ROLL, FORM), ends, 0.2).total == 60.0


@pytest.mark.parametrize("laced", [True, False])
def test_total_of_many_equals_each_bill(laced):
    heights, rolls = np.array([0.1, 0.2, 0.25]), np.array([60.0, 42.0, 0.0])
    ends = cost.cheapest_end_set(LIST, THREE_EIGHTHS)
    totals = cost.total_cost(
        rolls, 0.0, 12.0, ends.price, ends.lacing_pieces_price, ends.lacing_price_per_height, heights, laced
    )
    bender = Purchase("lever bender", 12.0)
    for height, roll, total in zip(heights, rolls, totals, strict=True):
        purchases = (Purchase("roll", roll), FORM, bender)
        assert cost.itemised_bill(purchases, ends, height, laced).total == pytest.approx(total)


def test_nan_stays_and_inputs_are_left_alone():
    rolls = np.array([60.0, np.nan])
    before = rolls.copy()
    assert np.isnan(cost.total_cost(rolls, 1.0, 1.0, 1.0)).tolist() == [False, True]
    np.testing.assert_array_equal(rolls, before)


def test_every_priced_row_that_is_used_moves_the_total():
    def total(rows):
        ends = cost.cheapest_end_set(rows, THREE_EIGHTHS)
        return cost.itemised_bill((ROLL,), ends, 0.2).total

    for row in (CLAMPED, HOSE, TAP, WIRE):
        dearer = tuple(replace(f, price=f.price + 0.1) if f is row else f for f in LIST)
        assert total(dearer) > total(LIST)
