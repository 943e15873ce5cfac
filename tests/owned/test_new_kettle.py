"""What becomes of a coil in a new kettle: the right answer for the right reason, and every option as it is
told when it is done."""

from __future__ import annotations

import json
import re
from collections import Counter
from collections.abc import Callable
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import filed
import new_kettles as nk
import pytest
import small_stock

import optichill as oc
from optichill.api.upgrade import Upgrade
from optichill.fabrication.obstacles import obstacles
from optichill.fabrication.work_plan import WorkPlan, plan_work
from optichill.files.coil_file import coil_text
from optichill.model.coil import Coil
from optichill.model.mismatches import mismatches
from optichill.owned.new_kettle.kept_coil import set_at
from optichill.owned.new_kettle.kept_options import Kept, keep, stand
from optichill.owned.new_kettle.longer_risers import extend
from optichill.owned.new_kettle.new_build import best_of, replaced, rewound
from optichill.owned.new_kettle.option import LeftOut, Option
from optichill.owned.new_kettle.order import ranked
from optichill.owned.new_kettle.precooled import ICE, precooled
from optichill.owned.new_kettle.ranked import with_pumps_of
from optichill.owned.new_kettle.second_coil import pair
from optichill.owned.new_kettle.ways import heights
from optichill.problem.worth import worth_of
from optichill.rating.coil_rating import placed, quick_rating
from optichill.rating.stood import basis_for
from optichill.report.new_kettle.reasons import REASONS, left_out
from optichill.report.new_kettle.steps import how
from optichill.report.new_kettle.told import Told
from optichill.search.recommend import search_space
from optichill.workshop.lifetime import Lifetime

Made = Callable[..., Upgrade]


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Made:
    """The answer of a case, worked out once."""
    seen: dict[str, Upgrade] = {}

    def of(name: str, **more: Any) -> Upgrade:
        key = f"{name} {more}"
        if key not in seen:
            case = more.pop("case", None) or nk.CASES[name]
            seen[key] = nk.both(tmp_path_factory.mktemp("case"), case, **more)
        return seen[key]

    return of


def why(found: Upgrade) -> dict[str, str]:
    return {out.name: out.why for out in found.found.left_out}


# --- the right answer for the right reason ------------------------------------------------------------------


@pytest.mark.slow
def test_a_little_wider_keeps_it(made: Made) -> None:
    """(d) Turns as wide apart as they may be, risers that reach: nothing pays for a build."""
    found = made("a little wider", coil=nk.coil_of(pitch=0.020, turns=9.0))
    assert found.options[0] == "keep"
    first = found.option()
    assert first.bill.total == first.hours == 0.0 and not first.broken
    others = [float(o.life.total) for o in found.found.options[1:]]
    assert min(others) > float(first.life.total) + found.found.tie
    assert why(found)["extend"] == "reaches" and why(found)["stand"] == "no_gain"


def test_close_turns_are_pulled_open(tmp_path: Path) -> None:
    """Nothing to buy but wire, no tube bent anew: minutes for half an hour."""
    of = kept_in(tmp_path, "a little wider", nk.coil_of())
    kept = keep(of)
    first = stand(of, kept)
    assert isinstance(kept, Option) and isinstance(first, Option) and first.coil.pitch > kept.coil.pitch
    assert ranked([kept, first], worth_of(of.new).minute)[0] is first
    assert first.rating.prediction.told.time < kept.rating.prediction.told.time - 60.0
    # The same tube, to the 0.01 mm in which a file has its new diameter.
    assert first.coil.helix_length == pytest.approx(kept.coil.helix_length, abs=filed.turns_off(first.coil))
    assert {item.part for item in first.bill.items} <= {"feet wire", "lacing"}


def kept_in(at: Path, name: str, coil: Coil) -> Kept:
    """The coil asked in the kettle of a case, without a search."""
    cases = {"old": {}, "new": nk.CASES[name]}
    return Kept.of(*(oc.read(nk.house(at / n, case)).basis for n, case in cases.items()), coil)


def test_risers_too_short_for_the_rim(made: Made) -> None:
    """(c) A rim 6 cm higher: 3.5 cm are missing, by so much it is raised, for the wort is deeper too."""
    found = made("higher by a hand")
    out = next(out for out in found.found.left_out if out.name == "keep")
    assert out.why == "below_rim" and out.sizes["short"] == pytest.approx(0.035)
    first = found.option()
    assert first.name == "stand" and first.sizes["up"] == pytest.approx(0.035)
    assert "too short" in " ".join(" ".join(found.lines()).split())


@pytest.mark.slow
def test_no_joint_is_made_under_the_rim(tmp_path: Path) -> None:
    """(c) A rim 26 cm higher, and no deeper wort: even straightened the risers end under it. Nothing keeps
    the coil, and it is said what a hose there would do."""
    of = kept_in(tmp_path, "tall and thin of wort", nk.coil_of())
    kept = keep(of)
    out = [one for one in (kept, stand(of, kept), extend(of), pair(of, kept)) if isinstance(one, LeftOut)]
    assert {one.name: one.why for one in out} == {
        "keep": "below_rim", "stand": "no_height", "extend": "joint_below", "pair": "not_main"
    }  # fmt: skip
    assert all("drips into the wort" in left_out(one, TOLD) for one in (out[0], out[2]))


def test_longer_risers_are_joined_over_the_rim(made: Made, tmp_path: Path) -> None:
    """It is no row where setting the coil higher does as much for less."""
    bent = kept_in(tmp_path, "higher by a hand", nk.coil_of())
    option, rim = extend(bent), bent.new.brewhouse.kettle.inside_height
    assert isinstance(option, Option)
    start = option.coil
    assert why(made("higher by a hand"))["extend"] == "no_better"
    for name, old, new in (
        ("IN", bent.coil.riser_length_in, start.riser_length_in),
        ("OUT", bent.coil.riser_length_out, start.riser_length_out),
    ):
        foot = start.lowest_turn_height + (0.0 if name == "IN" else start.turns * start.pitch)
        straight = foot + old - (0.040 * 3.14159265 / 2 - 0.040)
        assert new > old and straight >= rim + 0.03 - 1e-6
    assert option.sizes["tube"] == pytest.approx(
        start.riser_length_in
        + start.riser_length_out
        - bent.coil.riser_length_in
        - bent.coil.riser_length_out,
        abs=2.0 * filed.SIZE,  # one riser or both stand in a file now
    )


@pytest.mark.slow
def test_does_not_pass_the_mouth(made: Made) -> None:
    """(b) Nothing that keeps its turns is offered."""
    found = made("narrow mouth")
    assert why(found)["keep"] == "mouth" and why(found)["pair"] == why(found)["stand"] == "in_the_way"
    assert found.options == ("replace", "precool")
    assert "it does not go in" in " ".join(" ".join(found.lines()).split())


def test_hangs_above_the_wort(tmp_path: Path) -> None:
    """(a) It hung from a rim at 34 cm; the new rim is at 60 and the wort stands 24 cm deep."""
    cases = {"old": {"kettle": {"coil_rests": "hangs"}}, "new": nk.CASES["tall and thin of wort"]}
    old, new = (oc.read(nk.house(tmp_path / name, of)).basis for name, of in cases.items())
    out = keep(Kept.of(old, new, nk.coil_of(lowest_turn_height=0.07)))
    assert isinstance(out, LeftOut) and out.why == "dry" and out.sizes["value"] == 0.0
    assert "does not reach the wort" in REASONS["dry"](out, SimpleNamespace())  # type: ignore[arg-type]


@pytest.mark.slow
def test_much_bigger_pairs_or_replaces(made: Made) -> None:
    """(e) One old coil takes more than an hour over 75 L."""
    found = made("much bigger")
    assert set(found.options[:2]) == {"replace", "pair"}
    times = {o.name: o.rating.prediction.told.time for o in found.found.options}
    assert times["pair"] < 0.65 * times["stand"] and times["replace"] < 0.65 * times["stand"]


def test_smaller_than_the_old_one(tmp_path: Path) -> None:
    """(h) Turns of 27 cm in 26 cm of kettle: nothing that keeps them goes in."""
    of = kept_in(tmp_path, "smaller", nk.coil_of())
    out = keep(of)
    assert isinstance(out, LeftOut) and out.why == "wall" and of.in_the_way.name == "wall"
    assert "wider than the kettle" in left_out(out, TOLD)
    assert isinstance(replaced(of, best_of(search_space(of.new))), Option)


TOLD = Told(None, "metric", "EUR")  # type: ignore[arg-type]
"""For words that need no more of an answer than its units."""


@pytest.mark.slow
def test_two_layers_stay_two_layers(made: Made) -> None:
    """(f) A nested coil is kept and raised as one; a second coil has no place in it. Of a new one like it
    both forms are told."""
    layers = [
        {"mean_diameter": 0.27, "pitch": 0.016, "turns": 8.0},
        {"mean_diameter": 0.22, "pitch": 0.016, "turns": 8.0},
    ]
    sizes = {"layer": layers, "layout": "nested", "riser_length_in": 0.40, "riser_length_out": 0.40}
    coil = nk.coil_of(**sizes, stock_id=None, form_id=None)
    case = nk.CASES["a little wider"] | {"workshop": {"layouts": ["nested"]}}
    found = made("nested", case=case, coil=coil)
    assert why(found)["pair"] == "two_already" and why(found)["precool"] == "layers"
    kept = found.option("keep")
    assert kept.coil.layout == "nested" and len(kept.coil.layers) == 2
    assert "two layers" in " ".join(" ".join(found.lines(200)).split())
    design, said = (
        found.option("replace").design,
        " ".join(how(found.option("replace"), Told.of(found.found))),
    )
    assert design is not None and design.inner is not None
    inner = design.inner.form.description.split(";")[0].split(",")[0]
    assert f"inner layer on the {inner}" in said and "outer layer over strips to" in said
    assert "turns in each layer" in said


@pytest.mark.slow
def test_stainless_is_not_straightened_nor_unwound(tmp_path: Path) -> None:
    """(g) And no word of copper is said of it."""
    of = kept_in(tmp_path, "higher by a hand", nk.coil_of(material="stainless 304", stock_id="ss-10-15"))
    stood, outs = stand(of, keep(of)), [extend(of), rewound(of)]
    assert [getattr(out, "why", "") for out in outs] == ["not_by_hand", "not_by_hand"]
    told = Told(SimpleNamespace(coil=of.coil), "metric", "EUR")  # type: ignore[arg-type]
    for out in outs:
        assert isinstance(out, LeftOut) and "stainless 304" in left_out(out, told)
        assert "copper" not in left_out(out, told)
    second = pair(of, stood)
    assert isinstance(second, Option) and second.coil.material == "stainless 304"


@pytest.mark.slow
def test_hardened_tube_is_wound_on_larger_forms_only(made: Made) -> None:
    found = made("much bigger")
    option = found.option("rewind")
    old = found.found.coil
    assert option.coil.mean_diameter > old.mean_diameter
    # The risers' bends are cut off: the turns alone are there to be wound.
    assert option.coil.takes + 0.1 <= old.helix_length + 1e-6
    assert option.work.at_risk > 0.0 and option.bill.total < found.option("replace").bill.total


# --- done as it is told -------------------------------------------------------------------------------------


def applied(found: Upgrade, option: Option, folder: Path) -> tuple[Any, WorkPlan]:
    """A copy of the new kettle's files with all lines written that the option asks for, and its coil."""
    source = found.new.brewhouse.path.parent
    folder.mkdir()
    for file in source.iterdir():
        text = file.read_text(encoding="utf-8")
        if file.name == "brewhouse.toml" and option.plan:
            text += "\n" + "\n".join(option.plan) + "\n"
        if file.name == "tubing.csv" and option.rows:
            text += "\n".join(f"{row},," for row in option.rows) + "\n"
        (folder / file.name).write_text(text, encoding="utf-8")
    (folder / "coil.toml").write_text(coil_text(option.coil, demo=False), encoding="utf-8")
    problem = oc.read(folder, coil=folder / "coil.toml")
    basis = basis_for(problem.basis, problem.coil)
    return quick_rating(basis, problem.coil), plan_work(basis, problem.coil)  # predict's, without its march


DONE = {
    "higher by a hand": {"stand", "pair", "replace"},
    "much bigger": {"stand", "extend", "pair", "rewind", "replace"},
    "narrow mouth": {"replace", "precool"},
}
"""Options of a case: among them all but to keep it as it is, for which nothing is written."""


def per_piece(items: Any) -> dict[tuple[str, str], float]:
    return {(i.what, i.part): i.price / i.quantity for i in items if i.quantity and not i.owned}


@pytest.mark.slow
@pytest.mark.parametrize("name", ["higher by a hand", "much bigger", "narrow mouth"])
def test_every_option_holds_when_it_is_done(made: Made, tmp_path: Path, name: str) -> None:
    """Its lines and its coil file written, and the new kettle asked again: the same minutes, water and ice;
    nothing stops a sheet; each thing bought at the price that the lists have; and where all is counted, the
    same sum."""
    found = made(name)
    assert set(found.options) == DONE[name]
    for option in found.found.options:
        rating, plan = applied(found, option, tmp_path / option.name)
        then, now = rating.prediction.told, option.rating.prediction.told
        assert then.time == pytest.approx(now.time, rel=1e-4), option.name
        assert then.water == pytest.approx(now.water, rel=1e-4)
        assert then.ice == pytest.approx(now.ice, rel=1e-3, abs=1e-6)
        assert not obstacles(plan), option.name
        assert plan.coil_id == plan_work(option.basis, option.coil).coil_id
        assert not [text for text in mismatches(plan.coil) if "measure again" in text]
        prices, again = per_piece(plan.bill.items), per_piece(option.bill.items)
        shared = set(prices) & set(again)
        assert all(prices[key] == pytest.approx(again[key]) for key in shared)
        if option.name in ("replace", "precool", "rewind"):
            reused = sum(item.price for item in option.reused)
            assert option.bill.total + reused == pytest.approx(plan.bill.total, abs=0.01), option.name


def test_what_is_there_is_not_bought_again(made: Made) -> None:
    """A pair takes four ends, of which two are there, one roll, and both tees; its form is there too."""
    found = made("higher by a hand")
    bill = Counter({i.part: i.quantity for i in found.option("pair").bill.items if i.part != "joint"})
    ends = [i.quantity for i in found.option("pair").bill.items if i.part == "joint"]
    assert ends == [2.0] and bill["roll"] == 1.0 and bill["tee"] == 2.0
    assert (
        "form" not in bill and "tap union" not in bill and "outlet hose" in bill
    )  # only what leads round the kettle


@pytest.mark.slow
def test_money_is_that_of_the_batches(made: Made) -> None:
    """The sum by hand for keeping it: batches times waiting past the good time, and water; no build."""
    found = made("a little wider", coil=nk.coil_of(pitch=0.020, turns=9.0))
    kept, worth = found.option("keep"), worth_of(found.new.basis)
    drawn = kept.rating.drawn
    beyond = [max(t - worth.good_time, 0.0) for t in drawn.time[:, 0]]
    waiting = worth.batches * worth.waiting * sum(beyond) / len(beyond) / 3600.0
    water = worth.batches * worth.water * float(drawn.water[:, 0].mean())
    assert float(kept.life.total) == pytest.approx(waiting + water)


def test_ice_that_nobody_plans_for_is_paid_for(made: Made) -> None:
    """As bought in bags; the lines say so, and of one's own freezer nothing."""
    found = made("narrow mouth").found
    option = made("narrow mouth").option("precool")
    assert any(line.startswith("ice_price = ") for line in option.plan) and float(option.life.ice) > 0.0
    wishes = found.new.brewhouse.wishes.model_copy(update={"ice_price": 0.0})
    new = found.new.restated(found.new.brewhouse.model_copy(update={"wishes": wishes}))
    free = precooled(Kept.of(found.old, new, found.coil), option.design)
    assert isinstance(free, Option) and free.sizes["ice"] == max(ICE["metric"])
    assert not any("ice_price" in line for line in free.plan) and float(free.life.ice) == 0.0


def test_ice_that_gains_no_minute_is_no_option(made: Made) -> None:
    """It is told with its reason apart from what does not apply; held against the same coil with most ice."""
    found = made("higher by a hand")
    out = next(out for out in found.found.left_out if out.name == "precool")
    assert out.why == "no_gain" and 0.0 <= out.sizes["gain"] < 60.0
    said = " ".join(" ".join(found.lines(100)).split())
    worth = said.split("NOT WORTH IT")[1].split("LEFT OUT")[0]
    assert "in ice: beside the same new coil without ice it gains less than a minute" in worth
    main = found.option("replace")
    with_ice = precooled(Kept.of(found.found.old, found.found.new, found.found.coil), main.design)
    assert isinstance(with_ice, Option)  # asked without what it is held against
    gained = main.rating.prediction.told.time - with_ice.rating.prediction.told.time
    assert gained < 60.0


@pytest.mark.long
def test_the_pump_of_the_plan_is_of_every_option(tmp_path: Path) -> None:
    """Whatever coil it serves, it is bought once; ways to stand are compared at the coil's change-over."""
    folder = nk.house(tmp_path / "new", nk.CASES["a little wider"])
    file = folder / "brewhouse.toml"
    plan = small_stock.TAP_THEN_ICE.replace('"40 degC"', '"best"')
    file.write_text(file.read_text(encoding="utf-8") + plan, encoding="utf-8")
    old = oc.read(nk.house(tmp_path / "old", {}))
    found = oc.new_kettle(nk.coil_of(), old, oc.read(folder))
    assert {"keep", "pair", "replace"} <= set(found.options) and why(found)["precool"] == "plan"
    for option in found.found.options:
        assert [i.quantity for i in option.bill.items if i.part == "pump"] == [1.0], option.name
    assert why(found).get("stand") != "target"


@pytest.mark.slow
def test_a_pump_that_the_old_plan_runs_on_is_not_bought_again(tmp_path: Path) -> None:
    """Of all options: the long tier."""
    old, new = (oc.read(folder).basis for folder in pumped(tmp_path))
    kept = keep(Kept.of(old, with_pumps_of(old, new), nk.coil_of()))
    assert isinstance(kept, Option) and kept.basis.pumps and kept.bill.total == 0.0
    bought = keep(Kept.of(old, new, nk.coil_of()))
    assert isinstance(bought, Option) and bought.bill.total > 0.0


@pytest.mark.long
def test_no_option_buys_the_pump_of_the_old_plan(tmp_path: Path) -> None:
    found = oc.new_kettle(nk.coil_of(), *map(oc.read, pumped(tmp_path)))
    assert {"keep", "pair", "replace"} <= set(found.options)
    for option in found.found.options:
        assert not [i for i in option.bill.items if i.part == "pump" and i.price > 0.0], option.name


def pumped(at: Path) -> list[Path]:
    """Both kettles, with ice behind their taps."""
    folders = [nk.house(at / "old", {}), nk.house(at / "new", nk.CASES["a little wider"])]
    for folder in folders:
        with open(folder / "brewhouse.toml", "a", encoding="utf-8") as file:
            file.write(small_stock.TAP_THEN_ICE)
    return folders


# --- who comes first ----------------------------------------------------------------------------------------


def option_of(name: str, total: float, hours: float, *, holds: bool = True, near: bool = False) -> Any:
    zero = Lifetime(*([0.0] * 6))
    life = Lifetime(**{**vars(zero), "build": total})
    return SimpleNamespace(name=name, life=life, hours=hours, holds=holds, brought_near=near)


@pytest.mark.parametrize(
    ("options", "order"),
    [
        ([("replace", 100.0, 5.0), ("keep", 104.0, 0.0)], "keep replace"),  # within a tie: the less work
        ([("replace", 100.0, 5.0), ("keep", 107.0, 0.0)], "replace keep"),
        ([("keep", 50.0, 0.0, False), ("replace", 300.0, 5.0)], "replace keep"),  # limits first
        ([("stand", 50.0, 0.0, True, True), ("replace", 300.0, 5.0)], "replace stand"),  # then the top turn
        ([("stand", 50.0, 0.0, True, True), ("pair", 9.0, 5.0, False)], "stand pair"),
        ([("pair", 100.0, 5.0), ("extend", 105.0, 3.0), ("keep", 109.0, 0.0)], "extend pair keep"),
    ],
)
def test_ranking(options: list[tuple[Any, ...]], order: str) -> None:
    made = [option_of(*o[:3], holds=o[3] if len(o) > 3 else True, near=len(o) > 4) for o in options]
    assert [o.name for o in ranked(made, 6.0)] == order.split()


# --- units, lists, documents --------------------------------------------------------------------------------


@pytest.mark.slow
def test_units_and_lists_of_the_two_may_differ(made: Made, tmp_path: Path) -> None:
    """An old kettle told in US units is the same kettle; the new one's lists alone are bought from."""
    new = nk.CASES["higher by a hand"]
    us = nk.both(tmp_path, {**new, "units": "us"}, old={"units": "us"})
    metric = made("higher by a hand")
    assert us.options == metric.options
    assert json.dumps(us.to_dict()["before"]) == json.dumps(metric.to_dict()["before"])
    said = " ".join(us.lines(200))
    assert " cm" not in said and " L " not in said and " kg" not in said and "gal" in said
    lists = nk.rolls()
    lists["tubing"] = [row for row in lists["tubing"] if not row["stock_id"].startswith("cu-10")]
    poor = oc.read(nk.house(tmp_path / "poor", new, lists)).basis
    of = Kept.of(us.old.basis, poor, nk.coil_of())
    stood = stand(of, keep(of))
    assert isinstance(stood, Option)
    assert [getattr(out, "why", "") for out in (pair(of, stood), extend(of))] == ["no_tube", "no_tube"]
    instead = replaced(of, best_of(search_space(poor)))
    assert isinstance(instead, Option) and instead.coil.stock_id == "cu-12-15"


def test_the_document_and_the_screen_tell_the_same(made: Made) -> None:
    found = made("higher by a hand")
    document, lines = found.to_dict(), found.lines(100)
    rows = {o["name"]: o for o in document["options"]}
    assert [o["rank"] for o in document["options"]] == list(range(1, len(rows) + 1))
    table = [line for line in lines if line[:2].strip().isdigit()]
    assert len(table) == len(rows)
    for line, option in zip(table, document["options"], strict=True):
        assert f"{option['prediction']['chill_time_p50_s'] / 60.0:.0f} (" in line
        assert option["coil"]["id"] in line and not option["stops"]
        told = sum(option["lifetime"][k] for k in ("time", "build", "water", "ice", "work", "spoiling"))
        assert option["lifetime"]["total"] == pytest.approx(told)
    assert {o["name"] for o in document["left_out"]} | set(rows) == {
        "keep", "hang", "stand", "extend", "pair", "precool", "rewind", "replace"
    }  # fmt: skip


@pytest.mark.parametrize("width", [60, 80, 100])
def test_screens_fold(made: Made, width: int) -> None:
    found = made("higher by a hand")
    wide = [line for line in found.lines(width) if len(line) > width and not line.startswith("  ")]
    assert not wide and "most likely" in " ".join(" ".join(found.lines(width)).split())
    assert found.lines(width)[3].startswith("DO THIS") or "DO THIS" in "\n".join(found.lines(width)[:9])


@pytest.mark.parametrize("name", ["replace", "precool"])
def test_a_form_to_buy_is_told_with_its_own_size(made: Made, name: str) -> None:
    """Also where the main coil beside the old one in ice needs a form that is not there."""
    found = made("narrow mouth")
    bought = [item.what for item in found.option(name).bill.items if item.part == "form"]
    assert bought
    of = {f"form: {form.description}": form for form in found.new.stock.forms}
    said = " ".join(" ".join(found.lines(100, option=name)).split())
    assert all(f"{what} ({100.0 * of[what].outer_diameter:.4g} cm across):" in said for what in bought)


def test_two_on_tees_have_one_time(made: Made) -> None:
    """What one after the other takes is told as what it is longer or less, not beside another figure for the
    two on tees."""
    for name in ("higher by a hand", "much bigger"):
        found = made(name)
        option, said = found.option("pair"), " ".join(how(found.option("pair"), Told.of(found.found)))
        minutes = [int(number) for number in re.findall(r"(\d+) min", said)]
        apart = option.sizes["series"] - option.sizes["tees"]
        assert [abs(apart)] == pytest.approx([60.0 * m for m in minutes], abs=31.0) if minutes else True
        assert ("longer" in said or "less" in said) == bool(minutes)
        assert minutes or abs(apart) < max(60.0, 0.03 * option.sizes["tees"]) + 1.0


WIDE_AND_SHALLOW = {"kettle": {"inside_diameter": "46 cm", "inside_height": "34 cm"}, "volume": "30 L"}
"""Its wort stands 18 cm deep: the coil's upper turns stay dry."""


def test_a_second_coil_is_wound_no_taller_than_the_wort(made: Made) -> None:
    """Whatever the first one, which exists, is short of; and that is told beside `holds`."""
    found = made("wide and shallow", case=WIDE_AND_SHALLOW)
    kept, pair = found.option("keep"), found.option("pair")
    assert kept.rating.wet_share < 1.0 and [line.name for line in kept.less_room] == ["submergence"]
    told = {o["name"]: o for o in found.to_dict()["options"]}
    for option in (kept, pair):
        short = {line.name for line in option.rating.limits if not line.holds}
        document = told[option.name]
        assert short == {line["name"] for line in document["broken"] + document["less_room"]}
    second = next(layer for layer in pair.coil.layers if layer.turns == pair.sizes["turns"])
    over = found.new.brewhouse.kettle.top_clearance + pair.coil.outer_diameter / 2.0
    level = placed(found.new.basis, pair.coil)[1].cold_level[0]
    assert pair.coil.lowest_turn_height + second.turns * second.pitch + over <= level + 1e-9


@pytest.mark.parametrize("name", ["higher by a hand", "much bigger"])
def test_the_highest_place_keeps_all_that_is_wished_over_the_turns(made: Made, name: str) -> None:
    """To the last digit, as a file tells it."""
    found = made(name).found
    coil = set_at(found.coil, heights(found.new, found.coil)[1])
    assert all(check.holds for check in quick_rating(found.new, coil).limits if check.name == "submergence")


def test_what_stays_in_use_is_not_sold(made: Made) -> None:
    found = made("higher by a hand")
    told = {name: "\n".join(found.lines(100, option=name)) for name in found.options}
    assert {name for name, text in told.items() if "SELL IT" in text} == {"replace"}
    assert "LATER" in told["replace"]


def test_risers_that_were_cut_for_the_new_rim_may_be_bent_for_it(made: Made, tmp_path: Path) -> None:
    """Where today's kettle is the lower one nobody knows for which rim they are bent."""
    short, long = (
        made("higher by a hand"),
        made("higher by a hand", coil=nk.coil_of(riser_length_in=0.60, riser_length_out=0.44)),
    )
    said = "Its tube is long enough: if its risers are bent for this rim already, it stays as it is"
    assert said not in " ".join(" ".join(short.lines(100)).split())
    assert said in " ".join(" ".join(long.lines(100)).split())
