"""A coil that hangs, lies on the floor or stands on feet in another kettle: what is told of it is how it
stands, and the minutes are those that `predict` has for a coil that stands so."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Callable
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import new_kettles as nk
import pytest

import optichill as oc
from optichill.api.upgrade import Upgrade
from optichill.files.coil_file import coil_text
from optichill.owned.heights import least, most
from optichill.owned.improve import of_place
from optichill.owned.improve.seen import Seen
from optichill.owned.new_kettle import ways
from optichill.owned.new_kettle.kept_options import Kept, hang, keep, stand
from optichill.owned.new_kettle.option import LeftOut, Option
from optichill.rating.coil_rating import placed
from optichill.rating.stood import basis_for
from optichill.report.new_kettle.steps import how
from optichill.report.new_kettle.told import Told
from optichill.report.new_kettle.words import do_this, title

Made = Callable[..., Upgrade]


def text_of(**more: str) -> str:
    """The coil as somebody measures it who says how it stands."""
    sizes = {
        "material": "copper",
        "outer_diameter": "10 mm",
        "wall": "1 mm",
        "mean_diameter": "26 cm",
        "pitch": "16 mm",
        "riser_length_in": "52 cm",
        "riser_length_out": "36 cm",
        "riser_bend_radius": "40 mm",
        "stock_id": "cu-10-10",
        "form_id": "pot",
    }
    lines = [f'{key} = "{value}"' for key, value in (sizes | more).items()]
    return "\n".join(["[coil]", "turns = 10", *lines]) + "\n"


HUNG = {"stands": "hangs", "hangs_below_rim": "12 cm"}
FLOOR = {"stands": "floor"}


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Made:
    """The answer for a coil of a file, worked out once."""
    seen: dict[str, Upgrade] = {}

    def of(case: str | dict[str, Any], old: dict[str, Any] | None = None, **coil: str) -> Upgrade:
        key = f"{case} {old} {coil}"
        if key not in seen:
            at = tmp_path_factory.mktemp("case")
            (at / "coil.toml").write_text(text_of(**coil), encoding="utf-8")
            new = nk.CASES[case] if isinstance(case, str) else case
            houses = [oc.read(nk.house(at / name, of)) for name, of in (("old", old or {}), ("new", new))]
            seen[key] = oc.new_kettle(at / "coil.toml", *houses)
        return seen[key]

    return of


def words_of(found: Upgrade, option: Option) -> str:
    told = Told.of(found.found)
    return " ".join([title(option, told), do_this(option, told), *how(option, told)])


def folder_of(found: Upgrade) -> Path:
    return Path(str(found.new.brewhouse.path)).parent


def done(found: Upgrade, name: str, tmp: Path) -> Any:
    """What `predict` says of the coil that is kept of an option."""
    file = found.save_coil(tmp / f"{name}.toml", option=name)
    return oc.rate(file, oc.read(folder_of(found)))


# --- how it stands ------------------------------------------------------------------------------------------


def test_a_coil_that_hangs_is_hung_from_the_new_rim(made: Made, tmp_path: Path) -> None:
    """Its own hooks, from a rim 6 cm higher, in kettles that stand their coils on feet: nothing is too short,
    no word of feet, and the minutes are those that predict has for its own file."""
    found = made("higher by a hand", **HUNG)
    kept, by_itself = found.option("keep"), oc.rate(folder_of(found).parent / "coil.toml", found.new)
    assert kept.coil.stands == kept.stands == "hangs"
    assert kept.coil.lowest_turn_height == pytest.approx(0.40 - 0.12 - 10 * 0.016 - 0.005)
    assert by_itself.coil.lowest_turn_height == pytest.approx(kept.coil.lowest_turn_height)
    assert by_itself.prediction.told.time == pytest.approx(kept.rating.prediction.told.time, rel=1e-6)
    for name in [x for x in found.options if x in ("keep", "hang", "extend")]:
        option = found.option(name)
        assert "feet" not in words_of(found, option) and "hooks" in words_of(found, option)
        again = done(found, name, tmp_path)
        assert again.coil.stands == "hangs" and "feet" not in words_of(found, option)
        assert again.prediction.told.time == pytest.approx(option.rating.prediction.told.time, rel=1e-6)
        broken = {line.name for line in again.limits if not line.holds}
        assert broken == {line.name for line in option.rating.limits if not line.holds}
    assert "too short" not in " ".join(" ".join(found.lines()).split())


def test_longer_hooks_are_an_option_of_their_own(tmp_path: Path) -> None:
    """It hangs with its turns out of shallow wort, and is hung lower: by hooks longer by as much."""
    cases = {"old": {}, "new": {"volume": "22 L"}}
    old, new = (oc.read(nk.house(tmp_path / name, of)).basis for name, of in cases.items())
    coil = nk.coil_of(stands="hangs", lowest_turn_height=0.34 - 0.08 - 0.16 - 0.005)
    of = Kept.of(basis_for(old, coil), new, coil)
    kept = keep(of)
    option, other = hang(of, kept), stand(of, kept)
    assert isinstance(option, Option) and isinstance(other, LeftOut) and other.why == "hangs"
    assert option.sizes["up"] == pytest.approx(ways.held_at(option.coil) - ways.held_at(of.as_it_is))
    told = Told(SimpleNamespace(old=of.old, new=new, coil=coil), "metric", "EUR")  # type: ignore[arg-type]
    lower = re.match(r"hung (\d+) mm lower", title(option, told))
    top = re.search(r"top of its turns ([\d.]+) cm below it", " ".join(how(option, told)))
    assert lower and top and 80 + int(lower[1]) == pytest.approx(10 * float(top[1]))  # as told, they add up
    below = 0.34 - option.coil.lowest_turn_height - 10 * option.coil.pitch - 0.005
    assert {item.part for item in option.bill.items} <= {"feet wire", "lacing"}
    assert option.sizes["below"] == pytest.approx(below) and "feet" not in " ".join(how(option, told))


def test_a_kettle_that_hangs_its_coils_hangs_one_that_stood(tmp_path: Path) -> None:
    """How much higher is told of its underside, for it had no hooks before."""
    cases = {"old": {}, "new": nk.CASES["higher by a hand"] | {"kettle": HANGING}}
    old, new = (oc.read(nk.house(tmp_path / name, of)).basis for name, of in cases.items())
    of = Kept.of(old, new, nk.coil_of())
    option = hang(of, keep(of))
    assert isinstance(option, Option) and option.stands == option.coil.stands == "hangs"
    assert option.sizes["up"] == pytest.approx(option.coil.lowest_turn_height - 0.030, abs=1e-9)
    assert 0.0 < option.sizes["up"] < 0.10 and option.sizes["moved"]


HANGING = {"inside_diameter": "34 cm", "inside_height": "40 cm", "coil_rests": "hangs"}


def test_hooks_longer_than_the_kettle_is_deep(tmp_path: Path) -> None:
    """They reach nothing: it lies on the floor."""
    old, low = (
        oc.read(nk.house(tmp_path / name, of)).basis
        for name, of in (("old", {}), ("low", {"kettle": {"inside_height": "26 cm"}, "volume": "12 L"}))
    )
    coil = nk.coil_of(stands="hangs", lowest_turn_height=0.07)
    there = ways.as_it_is(old, low, coil)
    assert there.stands == "floor" and there.lowest_turn_height == pytest.approx(0.005)


@pytest.mark.slow
@pytest.mark.parametrize("part", [0.0, 0.03])
def test_a_coil_on_the_floor_has_no_feet(made: Made, part: float) -> None:
    """It lies on the floor, or on the false bottom that stands there; predict has it there as well."""
    what = [{"what": "false bottom", "where": "floor", "height": "3 cm", "size": "30 cm"}]
    case = {"kettle": {"inside_height": "32 cm", **({"part": what} if part else {})}, "volume": "22 L"}
    found = made(case, **FLOOR)
    kept, by_itself = found.option("keep"), oc.rate(folder_of(found).parent / "coil.toml", found.new)
    assert kept.coil.lowest_turn_height == pytest.approx(part + 0.005)
    assert kept.stands == "floor" and "feet" not in words_of(found, kept)
    assert by_itself.prediction.told.time == pytest.approx(kept.rating.prediction.told.time, rel=1e-6)


@pytest.mark.parametrize("told", [HUNG, FLOOR, {"feet_height": "25 mm"}])
def test_a_coil_file_says_how_the_coil_stands(told: dict[str, str], tmp_path: Path) -> None:
    """What is written of a coil is read again as it was, in any kettle."""
    (tmp_path / "coil.toml").write_text(text_of(**told), encoding="utf-8")
    coil = oc.read(nk.house(tmp_path / "old", {}), coil=tmp_path / "coil.toml").coil
    assert coil is not None
    table = tomllib.loads(coil_text(coil, demo=False))["coil"]
    assert table["stands"] == coil.standing.rests == told.get("stands", "feet")
    assert "stands" not in tomllib.loads(coil_text(nk.coil_of(), demo=False))["coil"]


# --- the top turn -------------------------------------------------------------------------------------------


@pytest.mark.parametrize("volume", ["19 L", pytest.param("22 L", marks=pytest.mark.slow)])
def test_turns_are_pulled_open_no_nearer_to_the_surface_than_asked_for(made: Made, volume: str) -> None:
    """Touching turns in wort that does not cover them pulled open as wide as they might be."""
    found = made({"volume": volume}, pitch="11 mm", lowest_turn_height="30 mm")
    option = found.option("stand")
    assert option.coil.pitch > 0.013 and option.near_top is None
    rows = {line.name: line for line in option.rating.limits}
    assert rows["submergence"].holds and not rows["submergence"].value > 0.030  # as wide as it may be


RAISED = {"kettle": {"inside_height": "40 cm"}, "volume": "21.6 L"}
"""The risers ask for 3.5 cm more, and the wort stands too low for that."""


@pytest.mark.slow
def test_what_is_brought_nearer_says_so_and_comes_after(made: Made) -> None:
    found = made(RAISED, lowest_turn_height="30 mm")
    near = [option.name for option in found.found.options if option.brought_near]
    assert "stand" in near
    places = {name: found.options.index(name) for name in found.options}
    rest = [o for o in found.found.options if o.holds and not o.brought_near]
    assert rest and max(places[o.name] for o in rest) < min(places[name] for name in near)
    option = found.option("stand")
    wished = found.new.brewhouse.kettle.top_clearance
    rows = {line.name: line for line in option.rating.limits}
    assert option.near_top == pytest.approx(rows["submergence"].value, abs=1e-6) and option.near_top < wished
    assert "where you wish for 15 mm (top_clearance)" in words_of(found, option)
    document = {row["name"]: row for row in found.to_dict()["options"]}
    assert document["stand"]["near_top_m"] == pytest.approx(option.near_top)


@pytest.mark.parametrize("volume", ["18 L", "24 L"])
def test_both_rooms_keep_one_rule(tmp_path: Path, volume: str) -> None:
    """How high and how low `improve` and `new-kettle` stand a coil is the same."""
    (tmp_path / "coil.toml").write_text(text_of(feet_height="25 mm"), encoding="utf-8")
    problem = oc.read(nk.house(tmp_path / "house", {"volume": volume}), coil=tmp_path / "coil.toml")
    seen = Seen(problem.inputs)
    low, high = of_place.heights(seen)
    assert (low, high) == (
        least(problem.basis, 0.010),
        most(problem.basis, placed(problem.basis, seen.coil)[0]),
    )
    mine = ways.heights(problem.basis, seen.coil)
    assert mine == (pytest.approx(low), pytest.approx(max(low, high), abs=2.0 * ways.FINEST))
