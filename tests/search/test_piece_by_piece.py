"""A list too long for one space, searched tube by tube: what one pass over all of it finds."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import small_stock
from row_keys import keys
from tiers import count

from optichill.problem.basis import DesignBasis
from optichill.problem.windings import windings
from optichill.search import piece_by_piece, ruled_out
from optichill.search import recommend as recommend_module
from optichill.search import space as space_module
from optichill.search.enumeration import Enumeration, enumerate_space
from optichill.search.evaluate import rows
from optichill.search.piece_by_piece import Content, goes_piece_by_piece, pieces, search_all
from optichill.search.recommend import recommend
from optichill.search.space import Space, space

HOUSES: list[dict[str, Any]] = [
    {"limits": {"chill_time": "45 min", "budget": 150}},
    {"wort": {"mixing": "steady"}, "limits": {"difficulty": 8.0}},
    {"kettle": {"coil_rests": "hangs"}},
]
SHOP = {
    "marking_increment": "5 mm",
    "flow_settings": ["full", "half"],
    "layouts": ["single", "nested", "parallel"],
}


def merchant(folder: Path, seed: int) -> DesignBasis:
    """Six rolls of three sizes on seven forms; INVENTED."""
    rng, lists = np.random.default_rng([43, seed]), small_stock.lists()
    tube, form = lists["tubing"], lists["forms"][1]
    lists["tubing"] = [
        {**tube[n % 3], "stock_id": f"t{n}", "length": f"{10 + 3 * n} m", "price": f"{40 + 11 * n}"}
        for n in range(6)
    ]
    for n in range(4):
        across = f"{rng.integers(130, 270)} mm"
        lists["forms"].append({**form, "form_id": f"f{n}", "outer_diameter": across})
    house = HOUSES[seed % len(HOUSES)]
    return small_stock.of(folder, {**house, "workshop": {**SHOP, **house.get("workshop", {})}}, lists)


@pytest.fixture
def little_room(monkeypatch: pytest.MonkeyPatch) -> None:
    """A space takes few windings, and a piece a tube or two."""
    monkeypatch.setattr(space_module, "windings", partial(windings, most=40))
    monkeypatch.setattr(piece_by_piece, "WINDINGS", 50)
    monkeypatch.setattr(piece_by_piece, "CHUNK", 700)


def content(found: Enumeration) -> dict[tuple[Any, ...], list[float]]:
    """Designs that nothing beats by what they are, with their goals."""
    front = found.best
    return dict(zip(keys(found.space, front.number), front.goals.tolist(), strict=True))


def in_one_pass(basis: DesignBasis) -> Enumeration:
    """Before `little_room`: everything at once."""
    whole = space(basis)
    assert whole.sample is None and not goes_piece_by_piece(whole)
    return enumerate_space(whole)


@pytest.mark.parametrize(
    "seed", [0, *(pytest.param(n, marks=pytest.mark.slow) for n in range(1, count(4, 30)))]
)
def test_the_front_is_that_of_one_pass(
    tmp_path: Path, seed: int, request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch
) -> None:
    basis = merchant(tmp_path, seed)
    whole = in_one_pass(basis)
    request.getfixturevalue("little_room")
    sampled = space(basis)
    assert sampled.sample is not None and goes_piece_by_piece(sampled)
    told: list[tuple[int, int]] = []
    found = search_all(sampled, tell=lambda done, of: told.append((done, of)))
    assert len(list(pieces(sampled))) >= 3 and len(whole.front) > 10
    ours, theirs = content(found), content(whole)
    assert set(ours) == set(theirs)
    for key, goals in ours.items():
        np.testing.assert_allclose(goals, theirs[key], rtol=1e-9)
    assert (found.buildable, found.cheapest) == (whole.buildable, whole.cheapest)
    assert found.space.sample is None and found.space.could_hold == whole.space.could_hold
    assert found.space.left_out.combinations == whole.space.left_out.combinations
    assert told == sorted(told) and told[-1][0] <= told[-1][1]
    # In their own space the rows are what they were: the same figures come out of their numbers.
    r = rows(found.space, found.best.number)
    np.testing.assert_allclose(r.cost, found.best.goals[:, 1])
    np.testing.assert_allclose(r.difficulty, found.best.goals[:, 3])


@pytest.mark.slow
@pytest.mark.afresh
def test_the_answer_is_that_of_one_pass(tmp_path: Path, request: pytest.FixtureRequest) -> None:
    basis = merchant(tmp_path, 0)
    whole = recommend(basis)
    request.getfixturevalue("little_room")
    some = recommend(basis)
    assert some.sample is None and some.left_out is not None and some.left_out.about
    assert [d.id for d in some.designs] == [d.id for d in whole.designs]
    assert some.designs[0].prediction.chill_time == pytest.approx(whole.designs[0].prediction.chill_time)
    assert [r.names for r in some.roles] == [r.names for r in whole.roles]


def test_what_a_row_is_leads_back_to_its_number(tmp_path: Path) -> None:
    whole = space(merchant(tmp_path, 1))
    some = np.random.default_rng(3).integers(0, whole.size, 500)
    np.testing.assert_array_equal(Content.of(whole, some).numbers(whole), some)


def test_pieces_hold_every_row_that_is_to_be_looked_at_once(tmp_path: Path, little_room: None) -> None:
    sampled = space(merchant(tmp_path, 2))
    found: list[Any] = []
    for piece in pieces(sampled):
        assert piece.sample is None
        found += [key for chunk in piece.chunks(1000) for key in keys(piece, chunk)]
    assert len(set(found)) == len(found)
    assert len(found) * 2 == sum(piece.could_hold for piece in pieces(sampled))


@pytest.mark.parametrize("what", ["too many rows", "nothing holds", "a limit is open"])
def test_else_an_even_sample_is_told_as_one(
    tmp_path: Path, what: str, little_room: None, monkeypatch: pytest.MonkeyPatch
) -> None:
    house = {"limits": {"budget": 3}} if what == "nothing holds" else {"limits": {"budget": 150}}
    lists = small_stock.lists()
    basis = small_stock.of(tmp_path, {**house, "workshop": SHOP}, lists)
    sampled = space(basis, open_to=frozenset({"budget"}) if what == "a limit is open" else frozenset())
    assert sampled.windings.of > len(sampled.windings)
    if what == "too many rows":
        assert goes_piece_by_piece(sampled)
        monkeypatch.setattr(piece_by_piece, "MOST", 100)
        assert not goes_piece_by_piece(sampled)
    found = search_all(sampled)
    assert found.space is sampled
    if what == "too many rows":
        answer = recommend(basis)
        assert answer.designs and answer.sample == sampled.sample


def test_pairs_too_many_for_one_space_go_piece_by_piece(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Two layers are thinned in one space; tube by tube all of them are looked at."""
    basis = merchant(tmp_path, 1)
    whole = in_one_pass(basis)
    thin: Callable[..., Any] = ruled_out.worth_a_look
    monkeypatch.setattr(space_module, "worth_a_look", partial(thin, most=16))
    monkeypatch.setattr(piece_by_piece, "WINDINGS", 21)
    thinned = space(basis)
    assert thinned.sample is not None
    found = search_all(thinned)
    assert content(found) == content(whole)


def test_a_search_uses_them(tmp_path: Path, little_room: None, monkeypatch: pytest.MonkeyPatch) -> None:
    seen: list[Space] = []

    def noted(of: Space, *rest: Any) -> Enumeration:
        seen.append(of)
        return search_all(of, *rest)

    monkeypatch.setattr(recommend_module, "search_all", noted)
    recommend_module.search_space(merchant(tmp_path, 0))
    assert seen and goes_piece_by_piece(seen[0])


def test_too_many_rows_alone_are_gone_through_in_the_space_itself(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    basis = merchant(tmp_path, 1)
    whole = in_one_pass(basis)
    monkeypatch.setattr(space_module, "MOST_ROWS", 300)
    monkeypatch.setattr(piece_by_piece, "pieces", None)
    some = space(basis)
    assert some.sample is not None and some.all_here and goes_piece_by_piece(some)
    found = search_all(some)
    assert found.space.sample is None and content(found) == content(whole)
