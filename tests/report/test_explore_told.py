"""What explore says of two coils: what a person would notice, and when it says that there is nothing."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
import small_stock

from optichill.files.reading import Inputs, load
from optichill.problem.made_forms import made_form
from optichill.problem.worth import worth_of
from optichill.rating.likely import Span
from optichill.report.explore.document import document
from optichill.report.explore.screen import (
    Tried,
    came_text,
    gain_text,
    is_better,
    joined_lines,
    screen,
    so_far,
    tried_text,
)
from optichill.report.origin import needs
from optichill.report.searched import steps_text
from optichill.search.answer import Answer
from optichill.search.designs import Design
from optichill.search.explore.study_team import Explored
from optichill.search.front import steps_of
from optichill.search.recommend import recommend

FOUND = Explored("my/study.journal", "my/study.journal", 700, 7300, 3, 2216, ({"layout": "single"},))


@pytest.fixture(scope="module")
def house(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return small_stock.write(tmp_path_factory.mktemp("house"))


@pytest.fixture(scope="module")
def inputs(house: Path) -> Inputs:
    return load(house)


@pytest.fixture(scope="module")
def answer(house: Path) -> Answer:
    from optichill.problem.basis import design_basis

    return recommend(design_basis(load(house)))


def like(d: Design, *, quicker: float = 0.0, cheaper: float = 0.0, saves: float = 0.0) -> Design:
    """The same coil, told to be so many seconds quicker, so much cheaper, and over its life."""
    p = d.prediction
    assert p.likely is not None and p.likely.time.p50 is not None
    time = Span(p.likely.time.p10, p.likely.time.p50 - quicker, p.likely.time.p90)
    tube, *others = d.bill.items
    other = replace(
        d,
        id="explored",
        origin="explored",
        prediction=replace(p, likely=replace(p.likely, time=time)),
        bill=replace(d.bill, items=(replace(tube, price=tube.price - cheaper), *others)),
        life=replace(d.life, build=d.life.build - saves),
    )
    assert other.told["chill_time"] == pytest.approx(d.told["chill_time"] - quicker)
    assert float(other.life.total) == pytest.approx(float(d.life.total) - saves)
    return other


def told(answer: Answer, best: Design | None, **more: object) -> Tried:
    return replace(Tried(FOUND, answer, answer, best, 2, 100, True), **more)


def test_less_than_a_minute_and_three_hundredths_is_none(answer: Answer) -> None:
    first = answer.designs[0]
    for quicker, cheaper in ((59.0, 0.0), (0.0, 0.9), (-59.0, 0.9)):
        t = told(answer, like(first, quicker=quicker, cheaper=cheaper))
        assert gain_text(t).startswith("none so far that you would notice") and not is_better(t)


def test_what_a_person_would_notice_is_told_with_what_it_costs(answer: Answer) -> None:
    first, tie = answer.designs[0], worth_of(answer.basis).minute
    t = told(answer, like(first, quicker=240.0, cheaper=-12.0, saves=3.0 * tie))
    said = gain_text(t)
    assert is_better(t) and said.startswith("4 min quicker, 12 EUR dearer to build; over its life about ")
    assert said.endswith("EUR less.")
    t = told(answer, like(first, quicker=240.0, cheaper=-12.0, saves=-3.0 * tie))
    said = gain_text(t)
    assert not is_better(t) and said.startswith("none so far: 4 min quicker") and "EUR more" in said
    assert said.endswith("The first of your lists stays first.")
    t = told(answer, like(first, quicker=240.0, saves=0.5 * tie))
    assert is_better(t) and gain_text(t) == "4 min quicker; over its life it costs the same."
    t = told(answer, like(first, quicker=50.0, cheaper=3.0, saves=0.5 * tie))
    assert not is_better(t) and "over its life it costs the same" in gain_text(t)


@pytest.mark.parametrize(
    ("came", "front", "words"),
    [
        (0, 0, "No coil tried so far holds every limit"),
        (0, 100, "None of them so far comes to the 100 that nothing beats (of coils alike to 10 s"),
        (1, 100, "1 of them comes to the 100 that nothing beats (of coils alike to 10 s"),
        (13, 100, "13 of them come to the 100 that nothing beats (of coils alike to 10 s"),
    ],
)
def test_how_many_came_is_told_also_none(answer: Answer, came: int, front: int, words: str) -> None:
    assert came_text(told(answer, None, came=came, front=front)).startswith(words)


def test_no_gain_is_told_as_of_now_with_whether_it_still_found_better(answer: Answer, inputs: Inputs) -> None:
    t = told(answer, like(answer.designs[0]))
    many: dict[str, object] = {"settings": 100 * ({"layout": "single"},)}
    on = replace(t, found=replace(FOUND, late=40, **many))
    said = " ".join(screen(on, inputs))
    assert "none so far that you would notice" in said
    assert "40 of the 100 that none of them beats came in the last third of what was tried" in said
    assert "still finding better, so go on" in said
    assert "hardly change this" in " ".join(screen(replace(t, found=replace(FOUND, late=2, **many)), inputs))
    out = replace(t, found=replace(FOUND, tried_out=True, late=40, **many))
    assert gain_text(out).startswith("none that you would notice") and not so_far(out.found)


def test_a_form_is_named_only_where_one_has_to_be_made(answer: Answer) -> None:
    none = replace(answer, designs=())
    best = like(answer.designs[0])
    assert not best.to_make
    said = came_text(told(answer, best, came=3, before=none))
    assert "3 coils beyond them do" in said and "has to be made" not in said
    made = replace(best.winding, form=made_form(0.2, answer.basis.stock))
    assert "see the form that has to be made" in came_text(
        told(answer, replace(best, winding=made), came=3, before=none)
    )


def test_beaten_coils_are_told_in_plain_words(answer: Answer) -> None:
    said = joined(joined_lines(FOUND, 0, answer.basis))
    assert "so far a coil of your lists beats each of them, or is alike to 10 s, " in said
    none = joined(joined_lines(replace(FOUND, hold=0), 0, answer.basis))
    assert "none so far holds every limit" in none and "alike" not in none


def joined(lines: list[str]) -> str:
    return " ".join(" ".join(lines).split())


def test_what_counts_as_alike_on_a_front_is_told_in_the_readers_units(answer: Answer) -> None:
    """The steps of the front, whatever they are: coils alike to one of the lists were told as beaten."""
    said = joined(joined_lines(FOUND, 3, answer.basis))
    time, cost, water, work = steps_of(answer.basis.stock).tolist()
    assert (time, water, work) == (10.0, 1e-3, 0.5)
    assert f"of coils alike to 10 s, {cost:.0f} EUR, 1 L and half a point of work one stands for all" in said
    us = answer.basis.brewhouse.model_copy(update={"units": "us"})
    assert ", 0.26 gal and " in steps_text(answer.basis.restated(brewhouse=us))


def test_what_was_tried_is_told_of_this_run_and_of_all(answer: Answer) -> None:
    assert tried_text(FOUND) == [
        "700 coils beyond your lists tried; every one is kept.",
        "In the study: 7,300 coils; 2,216 of them hold every limit.",
    ]
    many = tried_text(replace(FOUND, again=400, tried_out=True, hold=0, now=0, stopped=True))
    assert many[0] == "No other coil was tried this time."
    assert "then stopped" in tried_text(replace(FOUND, stopped=True))[0]
    assert "none of them holds every limit" in many[1] and "tried out" in many[2] and "400" in many[3]
    assert tried_text(replace(FOUND, now=1, tried=1, hold=1))[0].startswith("1 coil beyond")


def test_all_that_is_said_holds_the_width_and_ends_in_what_to_do(answer: Answer, inputs: Inputs) -> None:
    t = told(answer, like(answer.designs[0], quicker=240.0, saves=900.0))
    lines = screen(t, inputs)
    assert any("recommend" in line and "--study" in line for line in lines)
    assert any("--save-coil" in line for line in lines) and any("near boiling" in line for line in lines)
    without = screen(told(answer, None, came=0), inputs)
    assert not any(line.startswith(("THE BEST", "GAIN")) for line in without)
    lost = screen(replace(t, found=replace(FOUND, lost=("no room left",))), inputs)
    assert any("No room left" in line for line in lost)


def test_the_document_has_null_where_nothing_came(answer: Answer, inputs: Inputs) -> None:
    found = document(told(answer, None, came=0), inputs)
    assert found["best"] is None and found["gain"] is None and not found["opened"]
    assert found["study"]["on_the_front"] == 0 and np.isfinite(found["study"]["tried"])


def test_one_layer_on_a_form_of_the_list_is_told_by_its_gap(answer: Answer) -> None:
    """It was said to be packed out for each layer, and has one."""
    one = next(d for d in answer.designs if d.inner is None)
    assert needs(one, "metric") == "a wider gap than the lists are searched for, no form to make"
