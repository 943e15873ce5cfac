"""An explored coil goes the way of every other: screen, table, page, file, prediction, bill and sheet."""

from __future__ import annotations

import csv
import io
import math
import re
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
import small_stock
from explored import drawn, one_form
from filed import difficulty_off

from optichill.errors import InputFaults
from optichill.fabrication.purse import how_hard
from optichill.fabrication.work_plan import WorkPlan, plan_work
from optichill.files.coil_file import as_written
from optichill.files.reading import Inputs, load
from optichill.layouts import LAYOUTS
from optichill.problem.basis import DesignBasis, design_basis
from optichill.problem.made_forms import made_form, price_of_made
from optichill.rating.coil_rating import rate
from optichill.report import jsonout, prediction, screen, table
from optichill.report.origin import needs, origin
from optichill.report.sheet import made_form as wood
from optichill.report.sheet.content import sheet
from optichill.report.sheet.sizes import Sizes
from optichill.report.tradeoff import page, write
from optichill.report.tradeoff.data import page_data
from optichill.search.answer import Answer
from optichill.search.designs import Design, as_coil, designs
from optichill.search.evaluate import rows
from optichill.search.explore.wider import joined, wider
from optichill.search.find import found_again
from optichill.search.recommend import SearchResult, recommendation_of, search_space
from optichill.search.tradeoff import Tradeoff, weigh
from optichill.workshop.difficulty import MADE, PACKED, STRIPS, Job, reasons

ALL = ("single", "nested", "parallel")
"""Layouts."""


def is_in(text: str, lines: list[str]) -> bool:
    return text in re.sub(r"\s+", " ", " ".join(lines))


@pytest.fixture(scope="module")
def inputs(tmp_path_factory: pytest.TempPathFactory) -> Inputs:
    folder = tmp_path_factory.mktemp("explored")
    one_form(folder, layouts=ALL, limits={"chill_time": "45 min"}, workshop={"marking_increment": "1 mm"})
    return load(folder)


@pytest.fixture(scope="module")
def found(inputs: Inputs) -> SearchResult:
    """A search joined by whatever good settings a few thousand draws hit on."""
    searched = search_space(design_basis(inputs))
    w = wider(searched)
    some = drawn(w, 3000, seed=12)
    judged = w.judge(some)
    return joined(searched, [some[i] for i in np.flatnonzero(judged.holds)])


@pytest.fixture(scope="module")
def answer(found: SearchResult) -> Answer:
    return recommendation_of(found, top=5)


@pytest.fixture(scope="module")
def explored(found: SearchResult) -> list[Design]:
    """One of each layout that came to the front, in full; of two layers one whose layers differ."""
    space, front = found.enumeration.space, found.front
    assert front is not None
    numbers = front.number[space.explored(front.number)]
    r = rows(space, numbers)
    kinds = space.setups.layout[r.setup] * 2 + (r.own_turns == r.turns)
    order = np.argsort(kinds, kind="stable")
    _, firsts = np.unique(kinds[order] // 2, return_index=True)
    numbers = numbers[order[firsts]]
    made = designs(space, numbers, None, np.zeros(numbers.size, np.intp))
    assert {d.origin for d in made} == {"explored"}
    return list(made)


@pytest.mark.slow
def test_its_file_makes_the_same_coil_again(found: SearchResult, explored: list[Design]) -> None:
    basis = found.enumeration.space.basis
    assert {d.layout for d in explored} >= {"single"} and any(d.inner for d in explored)
    for d in explored:
        coil = as_written(as_coil(d))
        plan = plan_work(basis, coil)
        assert plan.coil_id == d.id  # of what a file holds, and of a row
        assert plan.bill.total == pytest.approx(d.bill.total, abs=1e-6)
        assert how_hard(plan) == pytest.approx(d.difficulty, abs=difficulty_off(plan))
        told = rate(basis, coil).prediction
        assert told.told.time == pytest.approx(d.told["chill_time"], rel=2e-3)
        assert told.told.water == pytest.approx(d.told["water"], rel=2e-3)
        assert [layer.turns for layer in coil.layers] == [turns for turns, _ in d.layers]
        made = [layer.form for layer in plan.layers if layer.form is not None and not layer.on_strips]
        assert sorted(x.outer_diameter for x in made if x.made) == pytest.approx(sorted(d.to_make))


@pytest.mark.slow
def test_it_is_found_by_its_id(found: SearchResult, explored: list[Design]) -> None:
    for d in explored[:2]:
        assert found_again(found, d.id[:6]).to_make == d.to_make


@pytest.mark.slow
def test_screen_and_tables_name_its_origin(inputs: Inputs, answer: Answer, explored: list[Design]) -> None:
    units = "metric"
    assert origin(replace(explored[0], origin="enumerated"), units) == ""
    one = next(d for d in explored if len(d.to_make) == 1 and d.layout == "single")
    size = f"{100.0 * one.to_make[0]:.3g} cm"
    assert origin(one, units).startswith("explored: needs a form") and size in needs(one, units)
    first = replace(
        answer, designs=(replace(one, rank=1), *answer.designs[1:]), roles=(), ladder=(), flips=()
    )
    said = screen.build_this(first.designs[0], first.basis, full=False)
    assert is_in(f"EXPLORED not of your lists: needs a form of {size}", said)
    price = price_of_made(first.basis.stock)
    assert is_in(f"{price:.0f} EUR are counted for it, the middle price of the forms in your list", said)
    assert is_in("to be made", said) and not is_in("form-", said)
    for lines in (table.choices(first, 100, first=3), table.ranked_table(first, 100)):
        assert any(line.strip().startswith("1*") for line in lines)
        assert f"1* {origin(one, units)}" in lines
        assert max(map(len, lines)) <= 100
    listed = [d for d in answer.designs if d.origin == "enumerated"]
    assert all(f"{d.rank}*" not in line for d in listed for line in table.ranked_table(answer, 100)[:1])


@pytest.mark.slow
def test_the_table_names_no_form_that_no_list_has(answer: Answer, explored: list[Design]) -> None:
    """A form to be made stood as "+1=form-224" beside a name that was cut for it."""
    for one in (d for d in explored if d.to_make):
        first = replace(answer, designs=(replace(one, rank=1),), roles=(), ladder=(), flips=())
        said = " ".join(table.ranked_table(first, 100))
        assert "form-" not in said and "made" in said
        assert all(f"{100.0 * size:.3g} cm" in said for size in one.to_make)
        assert ("strips" in said) == (one.layout == "nested")


@pytest.mark.slow
def test_two_layers_that_differ_are_told_apart(answer: Answer, explored: list[Design]) -> None:
    differ = [d for d in explored if len({turns for turns, _ in d.layers}) > 1]
    assert differ
    d = differ[0]
    said = screen.build_this(d, answer.basis, full=False)
    outer, inner = (turns for turns, _ in d.layers)
    assert is_in("turns outside and", said) and not is_in("in each layer", said)
    assert is_in(f"{int(outer)}", said) and is_in(f"{int(inner)}", said)


@pytest.mark.slow
def test_what_other_programs_read_names_it(
    inputs: Inputs, answer: Answer, found: SearchResult, explored: list[Design]
) -> None:
    document = jsonout.plain(jsonout.recommend(answer, inputs))
    told = {d["id"]: d for d in document["designs"]}
    assert {d.id: d.origin for d in answer.designs} == {name: d["origin"] for name, d in told.items()}
    for d in answer.designs:
        assert told[d.id]["forms_to_make_m"] == pytest.approx(list(d.to_make))
    t = weigh(found)
    rows = list(csv.DictReader(io.StringIO(write.csv(t))))
    assert {row["origin"] for row in rows} == {"enumerated", "explored"}
    mine = next(row for row in rows if row["id"] == explored[-1].id)
    assert float(mine["inner_turns"]) == explored[-1].own_turns
    assert float(mine["inner_gap_m"]) == pytest.approx(explored[-1].own_gap)
    _the_page(t, inputs)


def _the_page(t: Tradeoff, inputs: Inputs) -> None:
    """Marks on the page that no colour is needed for, and the words beside them."""
    data = page_data(t, inputs, {})
    many = sum(d["explored"] for d in data["designs"])
    assert 0 < many < len(data["designs"])
    assert any(f"{many} coils of these, marked +" in line for line in data["small_print"])
    text = page.page(data)
    drawn_marks = text.split('id="short"')[0].count('class="plus"')
    assert drawn_marks > 1 and "with a +: explored, beyond your lists" in text
    one = next(name for name, d in zip(t.ids, data["designs"], strict=True) if d["explored"])
    facts = dict(map(tuple, data["details"][one]["facts"]))
    assert facts["origin"].startswith("explored: ")
    plain = page.page({**data, "designs": [{**d, "explored": False} for d in data["designs"]]})
    assert 'class="plus"' not in plain and "with a +:" not in plain


# --- the coil file ----------------------------------------------------------------------------------------


FILE = """
[coil]
material = "copper"
outer_diameter = "10 mm"
wall = "1 mm"
mean_diameter = "247.1 mm"
pitch = "16 mm"
turns = 10.5
lowest_turn_height = "30 mm"
riser_length_in = "60 cm"
riser_length_out = "44 cm"
stock_id = "cu-10-10"
"""


def plan_of(inputs: Inputs, more: str, folder: Path) -> WorkPlan:
    file = folder / "coil.toml"
    file.write_text(FILE + more, encoding="utf-8")
    read = load(inputs.brewhouse.path, file)
    assert read.coil is not None
    return plan_work(design_basis(read), read.coil)


def with_my_form(folder: Path, across: str) -> Inputs:
    """A kettle whose list has one more form, owned, of that diameter: "mine"."""
    stock = small_stock.lists()
    stock["forms"].append({**stock["forms"][0], "form_id": "mine", "outer_diameter": across, "owned": "yes"})
    return load(small_stock.write(folder, {}, stock))


def test_a_form_and_one_to_be_made_are_one_too_many(inputs: Inputs, tmp_path: Path) -> None:
    with pytest.raises(InputFaults) as fault:
        plan_of(inputs, 'form_id = "pipe"\nform_to_make = "23 cm"\n', tmp_path)
    assert "form_to_make" in str(fault.value) and "given besides form_id" in str(fault.value)


def test_what_a_file_says_of_its_form_is_held_against_its_turns(inputs: Inputs, tmp_path: Path) -> None:
    said = plan_of(inputs, 'form_to_make = "230 mm"\n', tmp_path)
    assert said.layers[0].form is not None and said.layers[0].form.made and not said.notes
    assert any(item.what == "form to be made, 23 cm across" for item in said.bill.items)
    other = plan_of(inputs, 'form_to_make = "250 mm"\n', tmp_path)
    assert any("form_to_make is 25 cm" in note for note in other.notes)
    # Without a word of it, it is a form that the list does not have: no price, as ever.
    silent = plan_of(inputs, "", tmp_path)
    assert silent.layers[0].wants_form and silent.bill.total < said.bill.total


def test_a_form_that_has_come_into_the_list_is_taken(tmp_path: Path) -> None:
    plan = plan_of(with_my_form(tmp_path, "230.5 mm"), 'form_to_make = "230 mm"\n', tmp_path)
    assert plan.layers[0].form is not None and plan.layers[0].form.form_id == "mine"


# --- the sheet --------------------------------------------------------------------------------------------


def steps_of(basis: DesignBasis, d: Design, inputs: Inputs) -> str:
    made = sheet(plan_work(basis, as_written(as_coil(d))), inputs, "a4")
    return re.sub(r"\s+", " ", repr(made))


def flat_of(built: wood.Built, R: float) -> float:
    """How far a slat's middle lies under the circle through its edges [m]."""
    return R - math.sqrt(R**2 - (built.wide / 2.0) ** 2)


def _goes_round(built: wood.Built, R: float, thick: float) -> None:
    """Slats laid out on the bench: rectangles on the disc, each turned on by its share. No two share wood,
    the next one more would, and their outer edges lie on the form."""
    r, half = built.disc / 2.0, built.wide / 2.0

    def apart(slats: int) -> float:
        """From a slat's inner corner to the next one's, along the chord between them; below 0: in it."""
        a = 2.0 * math.pi / slats
        x, y = r * math.cos(a) + half * math.sin(a), r * math.sin(a) - half * math.cos(a)
        return math.copysign(math.dist((x, y), (r, half)), y - half)

    assert apart(built.slats) >= -1e-9 > apart(built.slats + 1)
    assert math.hypot(r + thick, half) == pytest.approx(R)
    assert 0.0 < built.gape < 0.008


@pytest.mark.parametrize(
    ("across", "units", "thick"), [(0.231, "metric", 0.012), (0.2730, "us", 0.0127), (0.163, "metric", 0.012)]
)
def test_slats_go_round_their_discs(
    inputs: Inputs, tmp_path: Path, across: float, units: str, thick: float
) -> None:
    """24 slats of 30 mm were told for a disc of 207 mm, which is 650 mm round: 21 go."""
    plan = plan_of(inputs, 'form_to_make = "230 mm"\n', tmp_path)
    house = plan.basis.brewhouse.model_copy(update={"units": units})
    plan = replace(plan, basis=replace(plan.basis, brewhouse=house))
    built = wood.built(plan, replace(plan.layers[0], D_form=across))
    _goes_round(built, across / 2.0, thick)
    assert built.slats * built.wide <= math.pi * built.disc * 1.02
    step = 0.0254 / 16.0 if units == "us" else 0.001
    assert built.wide / step == pytest.approx(round(built.wide / step))


@pytest.mark.slow
def test_the_sheet_says_how_the_form_is_made(
    found: SearchResult, explored: list[Design], inputs: Inputs
) -> None:
    basis = found.enumeration.space.basis
    for d in (d for d in explored if d.to_make):
        plan, sizes = plan_work(basis, as_written(as_coil(d))), Sizes("metric", 0.001)
        text = steps_of(basis, d, inputs)
        for layer in plan.layers:
            if layer.form is None or not layer.form.made or layer.on_strips:
                continue
            built = wood.built(plan, layer)
            assert f"{sizes.length(math.pi * layer.D_form)} round" in text
            assert f"{built.discs} discs of board, {sizes.length(built.disc)} across" in text
            assert f"{built.slats} slats" in text
            _goes_round(built, layer.D_form / 2.0, 0.012)
            assert flat_of(built, layer.D_form / 2.0) <= 0.001 + 1e-9 and built.wide <= 0.040 + 1e-9
            on_it = plan.layers if plan.layout.crossing else (layer,)
            assert all(built.tall > x.height_on_form(plan.by_template(x)) for x in on_it)
            assert built.tall / (built.discs - 1) <= 0.2 + 1e-9
        assert "saw, plane and drill, for the " in text
        assert text.index("Make the form") < text.index("Bend a scrap")
        assert "form-" not in text  # no name that stands in no list


@pytest.mark.slow
def test_a_coil_that_the_lists_do_not_give_back_is_kept_in_a_file(
    found: SearchResult, explored: list[Design], inputs: Inputs
) -> None:
    """Its form written into the list, a coil of one layer is found by the lists; two layers need not be."""
    basis = found.enumeration.space.basis
    assert any(d.inner for d in explored)
    for d in explored:
        told = "keep this coil in a file" in steps_of(basis, d, inputs).lower()
        assert told == (d.inner is not None and (bool(d.to_make) or len(set(d.layers)) > 1))


def test_a_form_written_into_the_list_stands_in_the_coils_file(tmp_path: Path) -> None:
    """The file with form_id in place of form_to_make is the same coil."""
    plan = plan_of(with_my_form(tmp_path, "230 mm"), 'form_id = "mine"\n', tmp_path)
    assert plan.layers[0].form is not None and plan.layers[0].form.form_id == "mine"
    assert not any("form_id" in note for note in plan.notes)


@pytest.mark.slow
def test_the_template_fits_the_form(found: SearchResult, explored: list[Design]) -> None:
    basis = found.enumeration.space.basis
    d = next(d for d in explored if d.layout == "single")
    (layer,) = plan_work(basis, as_written(as_coil(d))).layers
    assert layer.template.width == pytest.approx(math.pi * d.to_make[0], abs=1e-6)


@pytest.mark.slow
def test_strips_need_no_form(found: SearchResult, explored: list[Design], inputs: Inputs) -> None:
    basis = found.enumeration.space.basis
    for d in (d for d in explored if d.layout == "nested"):
        plan = plan_work(basis, as_written(as_coil(d)))
        outer, inner = plan.layers
        assert outer.on_strips and not outer.wraps
        assert inner.turns >= outer.turns - 1.0
        forms = [item for item in plan.bill.items if item.part == "form"]
        assert len(forms) <= 1


def test_a_made_form_is_priced_by_the_list(inputs: Inputs) -> None:
    stock = inputs.stock
    assert made_form(0.2, stock).price == price_of_made(stock) == 8.0
    bare = stock.model_copy(update={"forms": ()})
    assert price_of_made(bare) == pytest.approx(3.0 * 4.1)  # metres of the 10 m roll at 41


def test_the_hard_part_names_what_is_really_done(explored: list[Design], inputs: Inputs) -> None:
    """A form that is made, strips, or card: never one for the other."""
    hard = Job(rho_coil=3.0, moment=1.0, length=1.0, growth=0.01, form=1.0)
    assert reasons(hard, form=MADE) == [MADE] and "packed" not in MADE
    for d in explored:
        said = [r for r in d.reasons if r in (MADE, STRIPS, PACKED)]
        due = MADE if d.to_make else STRIPS if LAYOUTS[d.layout].crossing else PACKED
        assert set(said) <= {due} and not any("packed out or made" in r for r in d.reasons)
    assert any(MADE in d.reasons for d in explored if d.layout == "single")


def test_the_legend_of_turns_stands_where_the_table_has_them(answer: Answer, explored: list[Design]) -> None:
    two = next(d for d in explored if len(set(d.layers)) > 1)
    two = replace(two, rank=1, turns=two.own_turns + 1.0)
    alone = replace(answer, designs=(two,), roles=(), flips=())
    wide, narrow = (table.choices(alone, width, first=1) for width in (140, 64))
    assert is_in("a / b: turns", wide) and is_in(" turns ", wide)
    assert not is_in(" turns ", [line for line in narrow if "layer" not in line])
    assert not is_in("a / b: turns", narrow)


def test_your_coil_tells_the_gap_of_each_layer(found: SearchResult, inputs: Inputs) -> None:
    basis, space = found.enumeration.space.basis, found.enumeration.space
    assert found.front is not None
    numbers = found.front.number[space.explored(found.front.number)]
    r = rows(space, numbers)
    apart = numbers[np.abs(r.own_gap - r.gap) > 1.5e-3][:1]
    assert apart.size
    (d,) = designs(space, apart, None, np.zeros(1, np.intp))
    coil = as_coil(d)
    said = prediction.coil_lines(rate(basis, coil), plan_work(basis, coil))
    told = [f"{1e3 * x:.0f} mm open between turns" for x in (d.gap, d.own_gap)]
    assert told[0] != told[1] and all(is_in(x, said) for x in told)
