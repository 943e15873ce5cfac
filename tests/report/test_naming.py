"""No two coils of one list have the same name."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

import optichill as oc
from optichill.report.naming import RowBuild, apart, builds, gap, names, names_of
from optichill.report.table import choices, ranked_table
from optichill.report.tradeoff.write import table
from optichill.search.evaluate import rows

SLOW, LONG = pytest.mark.slow, pytest.mark.long
CATALOGS = Path(__file__).parents[2] / "catalogs"


@pytest.fixture(scope="module")
def some() -> list[RowBuild]:
    """Coils of one tube and one form: what differs is made."""
    searched = oc.recommend(oc.read(), tube="cu-10x1-10m", form="keg-soda", top=1).searched
    assert searched.front is not None
    space = searched.enumeration.space
    return builds(space, rows(space, searched.front.number))


def test_what_differs_stands_behind_a_name_that_two_have(some: list[RowBuild]) -> None:
    one = some[0]
    thin = replace(one, winding=replace(one.winding, tube=one.winding.tube.model_copy(update={"wall": 6e-4})))
    packed = replace(one, winding=replace(one.winding, wraps=2))
    wide = replace(one, gap=one.gap + 1e-3)
    assert names((one,), "metric") == [names((one, replace(one, turns=one.turns + 1)), "metric")[0]]
    (plain,) = names((one,), "metric")
    for other, word in ((thin, "0.6 mm wall"), (packed, "packed out twice"), (wide, "mm gap")):
        mine, its = names((one, other), "metric")
        assert mine != its and mine.startswith(plain) and its.startswith(plain)
        assert word in its and word not in mine.replace(f", {gap(one, 'metric')}", "")
    assert len(set(names((one, thin, packed, wide), "metric"))) == 4
    assert apart(["a", "b"], (one, thin), "metric") == ["", ""]


def test_two_coils_on_tees_are_called_so(some: list[RowBuild]) -> None:
    one = some[0]
    (name,) = names((replace(one, layout="parallel", inner=one.winding),), "us")
    assert "two coils on tees" in name and "turns each" in name


@pytest.mark.parametrize(
    "name",
    [
        pytest.param(name, marks=mark)
        for name, mark in (("", SLOW), ("us", SLOW), ("wide", LONG), ("stove", LONG))
    ],
)
def test_no_two_coils_of_the_examples_have_one_name(name: str) -> None:
    found = oc.recommend(oc.read(CATALOGS / name), top=8)
    front = found.front.tradeoff
    basis = front.answer.basis
    called = names_of(front)
    assert len(set(called)) == len(called) == len(front)
    assert [row["name"] for row in table(front)] == called
    coils = dict(zip(front.coil.tolist(), names_of(front, valve=False), strict=True))
    assert len(set(coils.values())) == len(coils)
    assert [coils[n] for n in front.coil.tolist()] == names_of(front, valve=False)
    shortlist = names(found.designs, basis.brewhouse.units)
    assert len(set(shortlist)) == len(shortlist)
    for lines in (choices(found.answer, 100, 8), ranked_table(found.answer, 100)):
        assert all(any(d.id in line for line in lines) for d in found.designs)
