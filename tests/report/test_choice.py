"""What there is to choose between, in words: nothing that a person could not see, and nothing of money over
the life where stated levels rank."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path

import pytest
import small_stock

from optichill.fabrication.work_plan import plan_work
from optichill.files.reading import load
from optichill.report import jsonout
from optichill.report.choice import (
    apart,
    beyond_is_a_sample,
    flips_text,
    habit_text,
    ladder_text,
    of_all,
    role_text,
)
from optichill.report.reasons import because
from optichill.report.screen import first_screen
from optichill.report.sheet.sizes import Sizes
from optichill.report.sheet.title import title_block
from optichill.report.table import choices, ranked_table
from optichill.report.words import build_words
from optichill.search.answer import Answer
from optichill.search.designs import Design, as_coil
from optichill.search.glance import Glance
from optichill.search.recommend import recommend
from optichill.search.roles import EASIEST, LEAST_WATER, Role
from optichill.workshop.difficulty import band

SHOP = {"layouts": ["single", "nested"], "marking_increment": "10 mm", "flow_settings": ["full", "half"]}
LEVELS = {"cost": {"good": 60, "acceptable": 120}, "water": {"good": "90 L", "acceptable": "200 L"}}


@pytest.fixture(scope="module")
def found(tmp_path_factory: pytest.TempPathFactory) -> Answer:
    return recommend(small_stock.of(tmp_path_factory.mktemp("life"), {"workshop": SHOP}))


@pytest.fixture(scope="module")
def levelled(tmp_path_factory: pytest.TempPathFactory) -> Answer:
    return recommend(small_stock.of(tmp_path_factory.mktemp("levels"), {"workshop": SHOP, "wishes": LEVELS}))


def said(answer: Answer) -> list[str]:
    texts = [text for role in answer.roles for text in role_text(role, answer)]
    return [*texts, *ladder_text(answer), *flips_text(answer), *habit_text(answer)]


def test_plain_sentences_with_figures_that_can_be_seen(found: Answer, levelled: Answer) -> None:
    for text in [*said(found), *said(levelled)]:
        sentence = text[0].isupper() and text.endswith(".")
        assert sentence or text in [*ladder_text(found), *ladder_text(levelled)], text
        assert not re.search(r"nan|inf|None|unknown|\bid\b", text), text
        assert not re.search(r"\d\d\.\d+ EUR|\d\.\d+ (min|L)\b", text), text


def test_by_stated_levels_nothing_is_said_of_the_life(found: Answer, levelled: Answer) -> None:
    over = re.compile(r"over \d+ batches|tied|clearly ahead")
    assert any(over.search(text) for text in said(found))
    assert not any(over.search(text) for text in [*said(levelled), *because(levelled)])


def test_the_ladder_tells_each_step_with_its_money_and_minutes(found: Answer) -> None:
    steps = found.ladder
    told = re.findall(r"(\d+)(?: min)? for (\d+)", ladder_text(found)[0])
    assert told == [(f"{s.chill_time / 60.0:.0f}", f"{s.cost:.0f}") for s in steps]


def test_a_step_of_harder_work_says_so_wherever_it_stands(found: Answer) -> None:
    """21 min for 70, of a careful beginner, stood between two first builds as if it were one."""
    low, *others = found.ladder
    assert len(others) > 1
    steps = (low, replace(others[0], difficulty=9.0), replace(others[1], difficulty=0.5))
    told = ladder_text(replace(found, ladder=steps))[0]
    assert f"for {others[0].cost:.0f} (harder to build), " in told and told.count("harder to build") == 1
    last = ladder_text(replace(found, ladder=(low, replace(others[0], difficulty=9.0))))[0]
    assert "; harder to build: " in last


def test_a_label_is_true_among_the_rows_that_are_shown(found: Answer) -> None:
    """ "Least water" stood on the row of 120 L, two rows of 100 L below it; of sensible coils it was."""
    first, other, *_ = found.designs
    role = Role((LEAST_WATER, EASIEST), other, first)
    thrifty = told_otherwise(other, water=0.5 * other.told["water"])
    assert of_all(role, [first, other], found.basis)[0] == LEAST_WATER
    assert of_all(role, [first, other, thrifty], found.basis)[0] == "less water"
    easier = replace(other, difficulty=0.1)
    assert of_all(role, [replace(other, difficulty=5.0), other], found.basis)[1] == EASIEST
    assert of_all(Role((EASIEST,), replace(other, difficulty=5.0), first), [easier], found.basis) == [
        "easier"
    ]


def told_otherwise(d: Design, water: float) -> Design:
    likely = d.prediction.likely
    assert likely is not None
    return replace(
        d,
        prediction=replace(d.prediction, likely=replace(likely, water=replace(likely.water, p50=water))),
    )


def test_that_nothing_is_just_beyond_a_limit_is_said_to_be_a_sample(found: Answer) -> None:
    limits = found.basis.brewhouse.limits.model_copy(update={"budget": 500.0})
    brewhouse = found.basis.brewhouse.model_copy(update={"limits": limits})
    limited = replace(found, basis=replace(found.basis, brewhouse=brewhouse), a_little_more=())
    assert "not all were tried" in " ".join(beyond_is_a_sample(limited, full=True))
    assert not beyond_is_a_sample(limited, full=False)


def test_stirring_costs_nothing_where_it_helps(found: Answer, tmp_path: Path) -> None:
    steady = found.designs[0].prediction.steady
    assert steady is not None and f"keep stirring, for nothing: {steady / 60.0:.0f} min" in said_of(found)
    stirred = recommend(small_stock.of(tmp_path, {"workshop": SHOP, "wort": {"mixing": "steady"}}), top=1)
    assert "stirring" not in said_of(stirred)


def said_of(answer: Answer) -> str:
    return " ".join(ladder_text(answer))


def test_work_is_told_apart_by_its_band_alone(found: Answer) -> None:
    first = found.designs[0]
    for other in found.designs[1:]:
        told = " ".join([*apart(first, other, found)[0], *apart(first, other, found)[1]])
        same = str(band(first.difficulty)) == str(band(other.difficulty))
        assert ("harder" not in told and "easier" not in told) == same


def test_who_would_come_first_reads_otherwise_than_number_1(found: Answer) -> None:
    """ "15.2 m of 9.5 mm copper is clearly ahead" of number 1, which is 15.2 m of 9.5 mm copper."""
    d, u = found.designs[0], found.basis.brewhouse.units
    same = Glance("zzzzzzzz", d.bought, d.layout, d.turns, d.across, 1.0, 1200.0, 90.0, 0.1, 3.0)
    wall = d.bought[0].model_copy(update={"wall": 8e-4})
    for then, told in (
        (replace(same, bought=(wall, *d.bought[1:])), ", 0.8 mm wall, is clearly ahead"),
        (replace(same, turns=d.turns + 1.0), " turns, is clearly ahead"),
        (same, ", coil zzzzzzzz, is clearly ahead"),
    ):
        flip = flips_text(replace(found, flips=(replace(found.flips[0], then=then),)))[0]
        assert f"{build_words.kind(then.bought, d.layout, u)}" in flip and told in flip


def test_reasons_are_few(found: Answer) -> None:
    reasons = because(found)
    assert reasons[0].startswith("number 2 (")
    turned = [text[0].lower() + text[1:].removesuffix(".") for text in flips_text(found)]
    assert [text for text in reasons if text in turned] == turned[:2]


def test_json_tells_all_of_it(found: Answer) -> None:
    class Read:
        warnings: tuple[str, ...] = ()
        notes: tuple[str, ...] = ()

    told = jsonout.plain(jsonout.recommend(found, Read()))  # type: ignore[arg-type]
    assert [step["id"] for step in told["ladder"]] == [step.id for step in found.ladder]
    assert {"text", "change"} == set(told["flip"][0]) and told["flip"][0]["change"]["to"] > 0.0
    names = [name for design in told["designs"] for name in design["roles"]]
    assert sorted(names) == sorted(name for role in found.roles for name in role.names)
    ids = {design["id"] for design in told["designs"]}
    assert all(set(design["tied_with"]) <= ids - {design["id"]} for design in told["designs"])


def test_two_rolls_are_one_part_of_the_price(found: Answer, tmp_path: Path) -> None:
    """The screen tells a roll that is bought twice once, with what both cost."""
    best = found.designs[0]
    roll, *rest = best.bill.items
    assert roll.unit == "roll" and not roll.owned
    two = replace(best.bill, items=(replace(roll, quantity=2.0, price=94.0), *rest))
    answer = replace(found, designs=(replace(best, bill=two), *found.designs[1:]))
    screen = " ".join(first_screen(answer, load(small_stock.write(tmp_path))))
    name = roll.what.split(",")[0]
    assert re.search(rf": 2 x {re.escape(name)} 94(\.0+)?,", screen) and screen.count(name + " 94") == 1


def test_the_marks_behind_the_water_have_their_legend_on_every_screen(found: Answer) -> None:
    """ "105 L ½" stood there, and what it means only under --full."""
    half = replace(found, designs=(replace(found.designs[0], valve_share=0.5), *found.designs[1:]))
    assert "½ behind the water: with the valve half open" in choices(half, 100)
    assert not [line for line in choices(found, 100) if "behind the water" in line]
    assert len([line for line in ranked_table(half) if "behind the water" in line]) == 1


def test_a_coil_weighs_what_its_sheet_says(found: Answer) -> None:
    """8.7 lb on the screen, 8.6 lb on the sheet: the trim that is cut off was weighed with it."""
    plan = plan_work(found.basis, as_coil(found.designs[0]))
    told = title_block(plan, Sizes("metric", 0.01)).mass
    assert told.startswith(
        f"{found.designs[0].mass:.2f} kg, holds {1e3 * found.designs[0].holds_water:.2f} L"
    )
