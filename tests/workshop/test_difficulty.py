"""Difficulty: orderings a builder would sign, monotonicity, bounds; never decimals of our own weights."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from optichill.geometry import helix, kinking, springback
from optichill.layouts import LAYOUTS
from optichill.materials import COPPER, STAINLESS_304
from optichill.workshop import difficulty
from optichill.workshop.difficulty import GAPS, TERMS, WEIGHTS, Job

INCH, FOOT = 0.0254, 0.3048
KEG = 9 * INCH


def job(od, wall, feet, metal=COPPER, form=KEG, layout="single", tool=True, **more):
    """A coil of od x wall [in], a whole roll of so many feet, wound on a keg, two bends to the rim."""
    d_o, t = od * INCH, wall * INCH
    d_i = helix.inside_diameter(d_o, t)
    R_i = (form + d_o) / 2
    Y = metal.yield_effective
    R_free = kinking.free_winding_radius(d_o, t, metal.poisson)
    k = springback.springback_ratio(d_o, d_i, R_i, Y, metal.youngs_modulus)
    R_b = 3 * d_o
    return Job(
        rho_coil=R_i / R_free,
        rho_bends=np.inf if tool else 1.1,
        moment=springback.full_plastic_moment(d_o, d_i, Y),
        length=feet * FOOT,
        growth=springback.growth(k),
        layers=LAYOUTS[layout].hardness,
        bends=2 * difficulty.bend_factor(metal.bend_hardness, d_o, t, R_b, np.pi / 2),
        tool_fits=tool,
        joints=0.2,
        gap=GAPS["laced"],
        **more,
    )


def points(a_job):
    return float(difficulty.score(difficulty.difficulty_terms(a_job)))


def rising(*jobs):
    scores = [points(one) for one in jobs]
    return all(a < b for a, b in zip(scores, scores[1:], strict=False))


# --- orderings: common practice, no source ----------------------------------------------------------------


def test_bigger_and_thinner_tube_is_harder():
    assert rising(job(0.375, 0.032, 25), job(0.5, 0.032, 50), job(0.5, 0.028, 50))


def test_stainless_is_harder_and_thicker_stainless_harder_still():
    three_eighths, half = job(0.375, 0.035, 50, STAINLESS_304), job(0.5, 0.035, 50, STAINLESS_304)
    assert rising(job(0.375, 0.032, 25), three_eighths, half)


def test_one_layer_is_easier_than_any_other_layout():
    single = job(0.375, 0.032, 50)
    assert rising(single, job(0.375, 0.032, 50, layout="parallel"))
    assert rising(single, job(0.375, 0.032, 50, layout="nested"))


def test_first_coils_are_for_beginners_and_half_inch_stainless_for_a_workshop():
    assert difficulty.band(points(job(0.375, 0.032, 25))) == "first build"
    assert difficulty.band(points(job(0.5, 0.035, 50, STAINLESS_304))) in ("practised", "workshop")


def test_a_fitting_tool_never_makes_it_look_harder():
    with_tool = job(0.375, 0.032, 25)
    assert rising(with_tool, replace(with_tool, tool_fits=False))


@given(st.floats(0.25, 0.75), st.floats(0.02, 0.06), st.floats(15, 100), st.floats(0.12, 0.4), st.booleans())
def test_stainless_is_never_easier_than_copper(od, wall, feet, form, tool):
    steel, copper = (job(od, wall, feet, metal, form, tool=tool) for metal in (STAINLESS_304, COPPER))
    # Brazier's radius is a little larger for stainless, and every other term too.
    assert points(steel) >= points(copper) - 1e-9


# --- shape of the score -------------------------------------------------------------------------------------

severities = st.lists(st.floats(0.0, 1.0), min_size=len(TERMS), max_size=len(TERMS))


@given(severities, st.integers(0, len(TERMS) - 1), st.floats(0.0, 1.0))
def test_score_is_bounded_and_rises_with_every_term(values, which, more):
    terms = np.array(values) * np.array(list(WEIGHTS.values()))
    harder = terms.copy()
    harder[which] = max(terms[which], more * WEIGHTS[TERMS[which]])
    assert 0.0 <= difficulty.score(terms) <= difficulty.score(harder) <= 10.0


def test_no_hardness_scores_nothing_and_one_bad_factor_shows_in_full():
    easy = Job(rho_coil=2.0, moment=4.0, length=5.0, growth=0.005)
    assert points(easy) == 0.0
    assert points(replace(easy, rho_coil=0.1)) == pytest.approx(10 * WEIGHTS["kink margin"])


@pytest.mark.parametrize(
    ("field", "easier", "harder"),
    [
        ("rho_coil", 1.4, 1.2),
        ("rho_bends", 1.3, 1.1),
        ("moment", 8.0, 20.0),
        ("length", 8.0, 15.0),
        ("growth", 0.02, 0.06),
        ("layers", LAYOUTS["parallel"].hardness, LAYOUTS["nested"].hardness),
        ("bends", 4.0, 8.0),
        ("tool_fits", True, False),
        ("joints", 0.2, 2.0),
        ("form", 0.0, 0.5),
        ("gap", 0.15, 0.4),
        ("riser_inside", False, True),
        ("strips", 2.0, 9.0),
    ],
)
def test_each_field_counts(field, easier, harder):
    base = Job(rho_coil=1.5, moment=6.0, length=8.0, growth=0.02, bends=4.0)
    assert points(replace(base, **{field: easier})) < points(replace(base, **{field: harder}))


@given(st.floats(0.3, 2.0), st.floats(0.3, 2.0), st.floats(0, 60), st.floats(0, 40), st.floats(0, 0.2))
def test_terms_stay_within_their_weights(rho, rho_bends, moment, length, growth):
    terms = difficulty.difficulty_terms(Job(rho, moment, length, growth, rho_bends))
    assert terms.shape == (len(TERMS),)
    assert ((terms >= 0) & (terms <= np.array(list(WEIGHTS.values())))).all()


def test_bend_factor_worked_value():
    # Hand calculation: (4 + 0.2 x 12.5 + 0.5) / 3 = 2.333 for copper 10 x 0.8, R = 3 d_o, 90 deg.
    assert difficulty.bend_factor(2, 0.010, 0.0008, 0.030, np.pi / 2) == pytest.approx(7 / 3)


def test_bands():
    words = ["first build", "careful beginner", "careful beginner", "practised", "workshop", "unknown"]
    assert difficulty.band([3.4, 3.5, 5.4, 5.5, 7.5, np.nan]).tolist() == words
    assert [difficulty.band_limit(b) for b in difficulty.BANDS] == [3.5, 5.5, 7.5, 10.0]
    with pytest.raises(KeyError):
        difficulty.band_limit("expert")


# --- reasons -----------------------------------------------------------------------------------------


def test_reasons_name_the_largest_first():
    tight = Job(rho_coil=0.8, moment=6.0, length=15.0, growth=0.02, bends=5.0, tool_fits=False)
    said = difficulty.reasons(tight)
    assert said[0] == "close to the kink limit: wind it round a grooved roller or fill it"
    assert "the bends up to the rim without a fitting tool" in said
    assert difficulty.reasons(Job(rho_coil=2.0, moment=4.0, length=5.0, growth=0.0)) == []


def test_effort_of_a_tube_alone_is_the_same_sentence_from_the_same_moment_on():
    # 0.60 (M - 5)/30 reaches 0.03, what is worth a sentence, at 6.5 N m.
    for moment, told in ((6.4, False), (6.6, True)):
        said = difficulty.effort(moment)
        assert bool(said) is told
        assert [r for r in difficulty.reasons(Job(2.0, moment, 25.0, 0.0)) if r == said] == [said] * told


def test_reasons_tell_the_layouts_and_hand_bends_apart():
    nested = Job(rho_coil=2.0, moment=4.0, length=5.0, growth=0.0, layers=LAYOUTS["nested"].hardness)
    parallel = replace(nested, layers=LAYOUTS["parallel"].hardness)
    for one, layout in ((nested, LAYOUTS["nested"]), (parallel, LAYOUTS["parallel"])):
        assert difficulty.reasons(one, layers=layout.hard_part) == [layout.hard_part]
    assert LAYOUTS["nested"].hard_part != LAYOUTS["parallel"].hard_part
    by_hand = replace(nested, rho_bends=1.1, layers=0.0)
    assert "by hand" in difficulty.reasons(by_hand)[0]


def test_every_term_has_its_sentence():
    hard = Job(0.1, 99.0, 99.0, 0.5, 2.0, 1.0, 99.0, False, 9.0, 1.0, 1.0, True, 12.0)
    said = difficulty.reasons(hard, most=99)
    assert len(said) == len(set(said)) == len(TERMS)


def test_vector_equals_loop_nan_stays_and_inputs_are_left_alone():
    rho, length = np.array([1.2, np.nan, 0.9]), np.array([8.0, 9.0, 20.0])
    before = rho.copy(), length.copy()
    scores = difficulty.score(difficulty.difficulty_terms(Job(rho, 8.0, length, 0.03)))
    assert np.isnan(scores).tolist() == [False, True, False]
    for i in (0, 2):
        assert scores[i] == pytest.approx(points(Job(rho[i], 8.0, length[i], 0.03)), rel=1e-14)
    np.testing.assert_array_equal(rho, before[0])
    np.testing.assert_array_equal(length, before[1])
