"""A kettle that is narrower at its mouth: the widest coil that the sheet allows goes in, and its riser stands
clear of the lip."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest
import small_stock

from optichill.fabrication.mouth import mouth_of
from optichill.fabrication.scene import outermost, scene_of
from optichill.fabrication.work_plan import WorkPlan, plan_work
from optichill.geometry import fit
from optichill.model.coil import Coil
from optichill.problem.basis import DesignBasis
from optichill.rating.coil_rating import in_kettle, quick_rating, standing_checks
from optichill.report.sheet import measure, through, work
from optichill.report.sheet.sizes import Sizes
from optichill.search.designs import Design, as_coil, designs
from optichill.search.enumeration import enumerate_space
from optichill.search.evaluate import rows
from optichill.search.space import space

MM = 1e-3


@pytest.fixture(scope="module")
def keg(tmp_path_factory: pytest.TempPathFactory) -> DesignBasis:
    """A kettle of 36 cm whose lip leaves 28 cm."""
    return small_stock.of(tmp_path_factory.mktemp("keg"), {"kettle": {"mouth": "28 cm"}})


@pytest.fixture(scope="module")
def widest(keg: DesignBasis) -> Design:
    """Of the coils that hold every limit of room the one that leaves least of the mouth."""
    of = space(keg)
    numbers = np.arange(of.size)
    r = rows(of, numbers)
    holds = np.flatnonzero(~r.checks.broken().any(axis=0))
    spare = r.checks.rows["mouth"].margin[holds]
    assert holds.size
    return designs(of, numbers[holds[[int(spare.argmin())]]], None, np.zeros(1, np.intp))[0]


@pytest.fixture(scope="module")
def plan(keg: DesignBasis, widest: Design) -> WorkPlan:
    return plan_work(keg, as_coil(widest))


def through_the_mouth(plan: WorkPlan, D: float) -> float:
    """How wide turns D wide, centre to centre, are with their risers, tube's outside to outside [m], by where
    the riser of each stands."""
    d_o, R_b, pitch = plan.tube.outer_diameter, plan.tool.radius, plan.layers[0].pitch
    opposite = plan.layers[0].turns % 1.0 == 0.5
    return float(fit.across_with_risers(D, R_b, d_o, opposite, not plan.layout.crossing, pitch))


def test_the_widest_coil_that_the_sheet_allows_goes_in(plan: WorkPlan) -> None:
    """Springback of the strongest metal, and the plus of the final check, keep within the mouth's 28 cm."""
    outer, mouth = plan.layers[0], mouth_of(plan)
    assert mouth is not None
    strongest = outer.relaxed(outer.k_low)
    assert strongest > outer.diameter + 1.0 * MM
    assert through_the_mouth(plan, strongest) <= 0.28
    assert through_the_mouth(plan, mouth.most - outer.d_o) <= 0.28 + 1e-6
    assert strongest + outer.d_o <= mouth.most + 1e-6


def test_one_figure_in_limit_sheet_and_file(keg: DesignBasis, widest: Design, plan: WorkPlan) -> None:
    (line,) = (x for x in widest.limits if x.name == "mouth")
    (read,) = (x for x in quick_rating(keg, as_coil(widest)).limits if x.name == "mouth")
    mouth = mouth_of(plan)
    assert mouth is not None
    assert line.value == pytest.approx(read.value, abs=2e-5)
    assert line.value == pytest.approx(
        through_the_mouth(plan, plan.layers[0].relaxed(plan.layers[0].k_low)), abs=1e-4
    )
    assert mouth.spare == pytest.approx(line.margin, abs=2e-5)


def test_it_is_tried_before_a_riser_is_bent(plan: WorkPlan) -> None:
    sizes = Sizes("metric", plan.step)
    steps = [text for text, _ in work.steps(plan, scene_of(plan), sizes)]
    (tried,) = (n for n, text in enumerate(steps) if "Before a riser is bent" in text)
    bent = min(n for n, text in enumerate(steps) if "riser, on the bench" in text or "RIM BEND FIRST" in text)
    assert tried < bent
    assert sizes.length(through.at_most(plan, mouth_of(plan))) in steps[tried]  # type: ignore[arg-type]
    rows_ = {row[0]: row for row in measure.finished(plan, sizes).rows}
    assert rows_["across turns and risers, widest"][2] == "not over 280 mm"


def test_riser_and_turns_stand_inside_the_mouth(keg: DesignBasis, plan: WorkPlan) -> None:
    """Where the sheet has it stand, its riser is not under the lip, and the turns keep their wall."""
    mouth, scene = mouth_of(plan), scene_of(plan)
    assert mouth is not None
    riser = outermost(scene)
    middle = (mouth.off * math.cos(riser.angle), mouth.off * math.sin(riser.angle))
    for x in scene.risers:
        out = math.dist(middle, (x.radius * math.cos(x.angle), x.radius * math.sin(x.angle)))
        assert out + scene.d_o / 2.0 <= 0.14 + 1e-6, x.name
    (wall,) = (x for x in plan.rating.limits if x.name == "wall")
    far = 0.18 - plan.layers[0].diameter / 2.0 - scene.d_o / 2.0 - mouth.off
    assert wall.value == pytest.approx(far, abs=2e-5)
    assert mouth.off > 0.0
    assert "off the kettle's middle, away from" in through.stands(plan, Sizes("metric", 1e-3))


def test_a_coil_that_exists_is_as_wide_as_it_is(keg: DesignBasis, widest: Design) -> None:
    """What is measured across needs no allowance, nor does what improve and new-kettle are asked of."""
    coil = as_coil(widest)
    shape, placement, _ = in_kettle(keg, coil)
    planned, as_is = (
        float(standing_checks(keg, coil, s, placement).rows["mouth"].value[0])
        for s in (shape, shape.as_it_is)
    )
    assert planned - as_is > 1.0 * MM
    measured = coil.model_copy(update={"bought_length": 12.0})
    (line,) = (x for x in quick_rating(keg, measured).limits if x.name == "mouth")
    assert line.value == pytest.approx(as_is, abs=1e-6)


def test_no_coil_that_is_recommended_goes_in_only_by_luck(keg: DesignBasis) -> None:
    found = enumerate_space(space(keg))
    front = rows(found.space, found.front.number)
    assert found.front.number.size
    setups, at = found.space.setups, front.setup
    grown = setups.get("D_c_wide", at) - setups.get("D_c", at)
    assert (grown > 0.5 * MM).all()
    shape = front.shape.as_it_is
    nominal = fit.across_with_risers(
        shape.D_c, shape.R_b, shape.d_o, front.turns % 1.0 == 0.5, ~shape.crosses, shape.pitch
    )
    assert (nominal + 0.98 * grown <= 0.28).all()


def test_a_straight_pot_has_no_mouth_to_speak_of(tmp_path: Path, widest: Design) -> None:
    plain = small_stock.of(tmp_path / "pot", {})
    found: Coil = as_coil(widest)
    assert mouth_of(plan_work(plain, found)) is None
    assert through.stands(plan_work(plain, found), Sizes("metric", 1e-3)) == "evenly off the wall"
