"""Two tubes on tees out of rolls of two lengths: what they cost, which is left out, and that every reader is
told the same two rolls. Prices are INVENTED."""

from __future__ import annotations

import csv
import html
import io
import itertools
import json
import re
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import small_stock
from row_keys import keys
from tiers import count

import optichill as oc
from optichill.api.recommendation import Recommendation
from optichill.errors import InputFaults
from optichill.files.coil_file import coil_text
from optichill.files.reading import packaged
from optichill.model.coil import Coil
from optichill.model.stock import Tube
from optichill.problem import rolls as rolls_module
from optichill.problem.basis import DesignBasis
from optichill.problem.mates import NONE, Mates, mates_of
from optichill.report.table import tube_cells
from optichill.report.tradeoff.write import csv as front_csv
from optichill.search.designs import Design, as_coil, designs
from optichill.search.enumeration import enumerate_space
from optichill.search.evaluate import Rows, bought, cut_from, rows
from optichill.search.explore.grown import grown
from optichill.search.explore.wound_coil import Size, WoundCoil
from optichill.search.ids import ids_of
from optichill.search.space import Space, space

SHOP = {
    "marking_increment": "5 mm",
    "flow_settings": ["full", "half"],
    "layouts": ["single", "nested", "parallel"],
}
ALIKE = {"material": "copper", "temper": "annealed", "outer_diameter": 0.010, "wall": 0.001}


def lengths(folder: Path, *rolls: tuple[float, float, bool], **house: Any) -> DesignBasis:
    """The small kettle with these rolls of its first tube alone: length [m], price, at hand."""
    lists = small_stock.lists()
    first = lists["tubing"][0]
    lists["tubing"] = [
        {**first, "stock_id": f"t{n}", "length": f"{x} m", "price": f"{p}", "owned": "yes" if own else "no"}
        for n, (x, p, own) in enumerate(rolls)
    ]
    return small_stock.of(folder, {"workshop": SHOP, **house}, lists)


def every_row(of: Space) -> Rows:
    return rows(of, np.arange(0, of.size, len(of.valve_shares)))


def mixed(r: Rows) -> np.ndarray:
    return np.flatnonzero(r.mate != NONE)


# --- mates ------------------------------------------------------------------------------------------------


def test_the_mate_is_the_cheapest_that_holds_it_of_all_pairs() -> None:
    """Against a plain look at every roll, of random lists."""
    rng = np.random.default_rng(5)
    for _ in range(count(40, 2000)):
        rolls = [
            Tube(stock_id=f"t{n}", length=float(x), price=float(p), owned=bool(o), **ALIKE)
            for n, (x, p, o) in enumerate(
                zip(rng.integers(3, 12, 6), rng.integers(2, 9, 6), rng.random(6) < 0.25, strict=True)
            )
        ]
        found = Mates.of(mates_of(rolls), rolls)
        for way, tube in enumerate(rolls):
            lengths = np.arange(2.5, tube.length, 0.5)
            place, price = found.holding(np.full(lengths.size, way), lengths)
            for i, length in enumerate(lengths):
                others = [t for t in rolls if t is not tube and t.length >= length]
                least = min((t.cost for t in others), default=np.inf)
                if least < (np.inf if tube.owned else tube.cost):
                    assert price[i] == least
                    assert found.tubes[way][place[i]].length >= length
                else:
                    assert place[i] == NONE and price[i] == 0.0


def test_another_size_is_no_mate() -> None:
    base = Tube(stock_id="a", length=15.0, price=60.0, **ALIKE)
    unlike: list[dict[str, Any]] = [
        {"material": "stainless 304"},
        {"temper": "half hard"},
        {"outer_diameter": 0.012},
        {"wall": 0.0008},
    ]
    for change in unlike:
        other = Tube(**{**ALIKE, "stock_id": "b", "length": 9.0, "price": 20.0, **change})
        assert mates_of([base, other])["a"] == ()


# --- costs by hand ----------------------------------------------------------------------------------------


def test_costs_by_hand(tmp_path: Path) -> None:
    """Rolls of 12 m for 50 and 9 m for 38. Two tubes of up to 12 m in all come out of the long one; else the
    shorter one out of the short roll where 9 m hold it, for 88, and out of a second long one for 100."""
    of = space(lengths(tmp_path, (12, 50, False), (9, 38, False)), prune=False)
    r = every_row(of)
    on_long = of.setups.get("roll", r.setup) == 12.0
    tees = np.flatnonzero(of.setups.trait("tees", r.setup) & on_long)
    outer, inner = (x[tees] for x in of.setups.spares(r.setup))
    first = r.placement.tube_length[tees] - r.placement.inner_length[tees] + outer
    second = r.placement.inner_length[tees] + inner
    shorter = np.minimum(first, second)
    paid = np.where(first + second <= 12.0, 50.0, np.where(shorter <= 9.0, 88.0, 100.0))
    assert set(paid) == {50.0, 88.0, 100.0}
    alone = np.array([50.0 if len(set(bought(of, r, i))) == 1 else 88.0 for i in tees.tolist()])
    np.testing.assert_array_equal(alone == 88.0, paid == 88.0)
    rolls = np.array([sum(tube.cost for tube in bought(of, r, i)) for i in tees.tolist()])
    np.testing.assert_array_equal(rolls, paid)
    # All else that is bought is the same as without the mate.
    one = next(i for i in tees.tolist() if r.mate[i] != NONE)
    d = designs(of, r.number[[one]], None, np.zeros(1, np.intp))[0]
    assert d.bill.total == pytest.approx(r.cost[one])
    assert d.bill.total - sum(i.price for i in d.bill.items if i.part != "roll") == pytest.approx(88.0)
    assert d.offcut == pytest.approx(21.0 - d.tube_length) and d.rolls == 2


def test_the_roll_at_hand_gives_one_tube_and_a_bought_one_the_other(tmp_path: Path) -> None:
    """Without another roll both must come out of what is at hand."""
    own = space(lengths(tmp_path / "own", (12, 50, True)), prune=False)
    two = space(lengths(tmp_path / "two", (12, 50, True), (9, 38, False)), prune=False)
    alone, beside = every_row(own), every_row(two)
    tees = of_own = np.flatnonzero(own.setups.trait("tees", alone.setup))
    at_hand = two.setups.get("roll_owned", beside.setup).astype(bool)
    tees = np.flatnonzero(two.setups.trait("tees", beside.setup) & at_hand)
    assert of_own.size == tees.size
    before, after = (r.checks.rows["stock_length"].broken[t] for r, t in ((alone, of_own), (beside, tees)))
    opened = before & ~after
    assert opened.any() and not (after & ~before).any()
    np.testing.assert_allclose(beside.cost[tees][opened], alone.cost[of_own][opened] + 38.0)
    np.testing.assert_allclose(beside.cost[tees][~before], alone.cost[of_own][~before])
    # Owned rolls are listed once, and not paid.
    i = int(tees[np.flatnonzero(opened)[0]])
    d = designs(two, beside.number[[i]], None, np.zeros(1, np.intp))[0]
    assert [(x.quantity, x.owned, x.price) for x in d.bill.items if x.part == "roll"] == [
        (1.0, True, 0.0),
        (1.0, False, 38.0),
    ]


RANDOM = [*range(2), *(pytest.param(n, marks=pytest.mark.slow) for n in range(2, count(5, 40)))]


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(count(2, 12)))
def test_each_coil_costs_what_plain_loops_over_all_rolls_find(tmp_path: Path, seed: int) -> None:
    rng = np.random.default_rng([7, seed])
    rolls = [(float(x), float(3 * x + rng.integers(0, 12)), bool(rng.random() < 0.2)) for x in (7, 9, 13)]
    basis = lengths(tmp_path, *rolls, workshop={**SHOP, "layouts": ["parallel"]})
    of = space(basis, prune=False)
    r = every_row(of)
    theirs = {coil["key"]: coil for coil in small_stock._coils(basis)}
    assert len(theirs) == len(r)
    assert mixed(r).size
    for i, key in enumerate(keys(of, r.number)):
        coil = theirs[key[:-1]]
        assert r.cost[i] == pytest.approx(coil["cost"], rel=1e-9), key
        value, bound = coil["checks"]["stock_length"]
        if value > bound or r.checks.rows["stock_length"].broken[i]:
            assert r.checks.rows["stock_length"].value[i] == pytest.approx(value, rel=1e-9), key


# --- what is left out -------------------------------------------------------------------------------------


@pytest.mark.parametrize("seed", RANDOM)
def test_of_beaten_rolls_nothing_is_lost(tmp_path: Path, seed: int) -> None:
    """Each coil of all rolls that holds every limit is there among those looked at, for no more."""
    rng = np.random.default_rng([8, seed])
    rolls = [
        (float(x), float(4 * x * rng.uniform(0.6, 1.4)), bool(rng.random() < 0.3))
        for x in rng.integers(6, 22, 7)
    ]
    basis = lengths(tmp_path, *rolls, limits={"budget": 170})
    some, every = space(basis), space(basis, prune=False)

    def content(of: Space, r: Rows) -> list[tuple[Any, ...]]:
        return [key[1:] for key in keys(of, r.number)]

    ours, all_ = rows(some, np.concatenate([*some.chunks(10**6)])), every_row(every)
    least: dict[tuple[Any, ...], float] = {}
    held = ~ours.checks.broken().any(axis=0)
    for key, cost, holds in zip(content(some, ours), ours.cost.tolist(), held.tolist(), strict=True):
        least[key] = min(least.get(key, np.inf), cost if holds else np.inf)
    holds = np.flatnonzero(~all_.checks.broken().any(axis=0))
    assert len(every.windings) > len(some.windings) and mixed(all_).size
    names = content(every, all_)
    assert [names[i] for i in holds.tolist() if least[names[i]] > all_.cost[i] + 1e-9] == []


def test_a_tube_that_is_asked_for_has_no_mate(tmp_path: Path) -> None:
    basis = lengths(tmp_path, (12, 50, False), (9, 38, False))
    assert mixed(every_row(space(basis))).size and not mixed(every_row(space(basis, tube="t0"))).size


@pytest.fixture(scope="module")
def us() -> oc.Problem:
    return oc.read(packaged("us/brewhouse.toml"))


@pytest.mark.slow
def test_other_coils_keep_ids_and_goals(us: oc.Problem, monkeypatch: pytest.MonkeyPatch) -> None:
    """Of the packaged example in US units: what is new on its front is two lengths, and what is gone is
    beaten by such a coil; its table names both rolls."""
    table = list(csv.DictReader(io.StringIO(front_csv(oc.front(us).tradeoff))))
    after = enumerate_space(space(us.basis))
    monkeypatch.setattr(rolls_module, "mates_of", lambda tubes: {})
    before = enumerate_space(space(us.basis))
    ours, theirs = (rows(e.space, e.front.number) for e in (after, before))
    assert not mixed(theirs).size
    new, old = (
        dict(zip(ids_of(e.space, r), e.front.goals.tolist(), strict=True))
        for e, r in ((after, ours), (before, theirs))
    )
    of_two = {name for name, mate in zip(new, ours.mate.tolist(), strict=True) if mate != NONE}
    assert len(of_two) > 5 and set(new) - set(old) == of_two
    assert all(new[name] == old[name] for name in set(new) & set(old))
    step = np.asarray(after.front.steps)
    for name in set(old) - set(new):
        assert any((np.array(new[two]) <= np.array(old[name]) + step).all() for two in of_two)
    named = {row["id"]: (row["rolls"], row["stock_id"], row["second_stock_id"]) for row in table}
    assert {name for name, (_, one, two) in named.items() if two not in ("", one)} == of_two
    assert all((rolls == "1") == (two == "") for rolls, _, two in named.values())
    # 12 % quicker than any other coil within the budget of 150.
    quickest = min(goals[0] for goals in old.values()) / min(goals[0] for goals in new.values())
    assert 1.08 < quickest < 1.20


def test_a_coil_beyond_the_lists_has_mates_too(tmp_path: Path) -> None:
    """Grown behind a space it takes the rolls that its twin from the lists takes."""
    of = space(lengths(tmp_path, (12, 50, False), (9, 38, False)), prune=False)
    r = every_row(of)
    i = int(mixed(r)[0])
    outer, inner, layout = of.wound(int(r.setup[i]))
    assert inner is not None
    sizes = Size(outer.form, outer.wraps), Size(inner.form, inner.wraps)
    turns, gap = float(r.turns[i]), float(r.gap[i])
    coil = WoundCoil(outer.tube, outer.tool, layout.name, sizes, (gap, gap), (turns, turns), 1.0)
    bigger, number = grown(of, [coil])
    twin = rows(bigger, number)
    assert bigger.explored(number).all() and bought(bigger, twin, 0) == bought(of, r, i)
    assert twin.cost[0] == pytest.approx(r.cost[i]) and ids_of(bigger, twin)[0] == ids_of(of, r)[i]


def test_more_turns_inside_give_the_longer_tube_to_the_inner_coil(tmp_path: Path) -> None:
    """Then the outer one is cut from the mate, and screen, file and plan say so."""
    basis = lengths(tmp_path, (14, 50, False), (9, 36, False), kettle={"inside_height": "60 cm"})
    of = space(basis, prune=False)
    form = {f.form_id: f for f in basis.stock.forms}
    tube = next(w for w in of.windings if w.tube.length == 14.0)
    sizes = Size(form["pot"], 0), Size(form["pipe"], 0)
    gap = 0.005
    coil = WoundCoil(tube.tube, tube.tool, "parallel", sizes, (gap, gap), (5.0, 13.0), 1.0)
    bigger, number = grown(of, [coil])
    r = rows(bigger, number)
    assert r.mate_outer[0] and [t.length for t in cut_from(bigger, r, 0)] == [9.0, 14.0]
    d = designs(bigger, number, None, np.zeros(1, np.intp))[0]
    assert [layer.stock_id for layer in as_coil(d).layers] == ["t1", None]
    plan = oc.plan_work(as_coil(d), oc.Problem.of(_inputs(tmp_path)))
    assert [t.length for t in plan.plan.cut_from] == [9.0, 14.0] and plan.plan.coil_id == d.id
    assert plan.plan.bill.total == pytest.approx(d.bill.total, abs=1e-3)


def _inputs(folder: Path) -> Any:
    from optichill.files.reading import load

    return load(folder)


# --- told alike -------------------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def many(us: oc.Problem) -> Recommendation:
    """The US example over so many batches that two lengths of one tube come first."""
    changed = us.brewhouse.model_copy(
        update={
            "wishes": us.brewhouse.wishes.model_copy(update={"batches": 400}),
            "limits": us.brewhouse.limits.model_copy(update={"chill_time": None}),
        }
    )
    answer: Recommendation = oc.recommend(oc.Problem.of(replace(us.inputs, brewhouse=changed)))
    return answer


def test_first_screen_names_both_rolls(many: Any) -> None:
    d: Design = many.best
    assert [tube.stock_id for tube in d.bought] == ["light-3/8-50ft", "light-3/8-25ft"]
    text = " ".join(" ".join(many.lines()).split())
    assert "50 ft roll and 25 ft roll of soft copper, 3/8 in outside" in text
    assert "50 ft roll: soft copper 47, 25 ft roll: soft copper 26" in text
    assert tube_cells(many.designs[:1], "us") == ["50 + 25 ft of 3/8 in"]
    assert d.offcut == pytest.approx(75 * 0.3048 - d.tube_length)
    assert "number 1's roll" not in text and "number 1's 50 ft roll at" in text


def test_document_and_table_name_both(many: Any) -> None:
    d: Design = many.best
    told = many.to_dict()["designs"][0]
    assert told["stock_id"] == "light-3/8-50ft" and told["rolls"] == 2
    assert [layer["stock_id"] for layer in told["layers"]] == [t.stock_id for t in d.cut_from]
    items = [item for item in told["cost"]["items"] if item["unit"] == "roll"]
    assert [(i["quantity"], i["price"]) for i in items] == [(1.0, 47.0), (1.0, 26.0)]
    assert told["cost"]["total"] == pytest.approx(sum(i["price"] for i in told["cost"]["items"]))


def test_file_read_back_gives_the_same_bill_and_id(many: Any, us: oc.Problem, tmp_path: Path) -> None:
    d: Design = many.best
    text = coil_text(as_coil(d), demo=False, units="us")
    assert text.count("stock_id") == 2
    (tmp_path / "coil.toml").write_text(text, encoding="utf-8")
    problem = oc.read(packaged("us/brewhouse.toml"), coil=tmp_path / "coil.toml")
    assert problem.coil is not None
    work = oc.plan_work(problem.coil, us)
    plan = work.plan
    assert plan.coil_id == d.id and plan.notes == () and work.buildable
    assert [(i.what, i.price) for i in plan.bill.items] == [
        (i.what, pytest.approx(i.price, abs=1e-3)) for i in d.bill.items
    ]
    assert plan.cut_from == d.cut_from and plan.offcut == pytest.approx(d.offcut, abs=1e-3)
    document = work.to_dict()
    assert [tube["stock_id"] for tube in document["tubes"]] == [t.stock_id for t in d.cut_from]
    assert json.dumps(document)
    path = work.save(tmp_path / "sheet.html")
    page = html.unescape(re.sub("<[^>]+>", " ", path.read_text(encoding="utf-8")))
    page = " ".join(page.split())
    assert "Unroll the outer tube, of the 50 ft roll, flat" in page
    assert "Unroll the inner tube, of the 25 ft roll, flat" in page
    assert re.search(r"50 ft roll, soft, .{50,150} 47\.00 USD 25 ft roll, soft, .{50,150} 26\.00 USD", page)
    assert "roll of the outer tube, length 50 ft" in page and "roll of the inner tube, length 25 ft" in page


def test_the_same_coil_of_two_rolls_of_a_kind_is_another(many: Any, us: oc.Problem) -> None:
    """It costs 21 more, and has an id of its own: that which it always had."""
    d: Design = many.best
    coil = as_coil(d)
    same = tuple(layer.model_copy(update={"stock_id": None}) for layer in coil.layers)
    plan = oc.plan_work(coil.model_copy(update={"layers": same}), us).plan
    assert plan.coil_id != d.id and plan.rolls == 2
    assert plan.bill.total == pytest.approx(d.bill.total + 21.0, abs=1e-3)


# --- what a file may say ----------------------------------------------------------------------------------


def written(layout: str, *stock_ids: str | None) -> Coil:
    names = itertools.zip_longest((0.30, 0.20), stock_ids)
    return Coil.model_validate(
        {
            **{"material": "copper", "outer_diameter": 0.010, "wall": 0.001, "layout": layout},
            **{"riser_length_in": 0.6, "riser_length_out": 0.4, "stock_id": "a"},
            "layer": [
                {"mean_diameter": D, "pitch": 0.015, "turns": 6, **({"stock_id": name} if name else {})}
                for D, name in names
            ],
        }
    )


def test_names_of_layers() -> None:
    assert written("parallel").stock_ids == ("a", "a")
    assert written("parallel", None, "b").stock_ids == ("a", "b")
    assert written("parallel", "b").stock_ids == ("b", "a")
    assert written("nested", "a", "a").stock_ids == ("a", "a")


def test_one_tube_has_one_roll(us: oc.Problem, tmp_path: Path, many: Any) -> None:
    with pytest.raises(ValueError, match="one tube makes all layers"):
        written("nested", None, "b")
    file = tmp_path / "coil.toml"
    text = coil_text(as_coil(many.best), demo=False).replace('layout = "parallel"', 'layout = "nested"')
    file.write_text(text, encoding="utf-8")
    with pytest.raises(InputFaults) as refused:
        oc.read(packaged("us/brewhouse.toml"), coil=file)
    said = str(refused.value)
    assert "stock_id" in said and "another roll" in said and "parallel" in said


def test_a_layer_of_another_tube_is_told(many: Any, us: oc.Problem) -> None:
    coil = as_coil(many.best)
    layers = (coil.layers[0], coil.layers[1].model_copy(update={"stock_id": "acr-1/2-50ft"}))
    plan = oc.plan_work(coil.model_copy(update={"layers": layers}), us).plan
    assert plan.cut_from == (plan.tube, plan.tube)
    assert any("acr-1/2-50ft of a layer is another tube" in note for note in plan.notes)
