"""A paddle beside what is bought: told where it does as well, by the figures that predict has of it."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import new_kettles as nk
import pytest

import optichill as oc
from optichill.api.upgrade import Upgrade
from optichill.report.new_kettle.stirring import line, or_stir
from optichill.report.new_kettle.told import Told

COVERED = nk.coil_of(pitch=0.020, turns=9.0)
"""Pulled as wide open as it may be: nothing else is to be done to it."""


def answer(at: Path, limit: str | None, **wort: str) -> Upgrade:
    """The coil in a kettle a little wider, at a limit on time."""
    case: dict[str, Any] = nk.CASES["a little wider"] | ({"limits": {"chill_time": limit}} if limit else {})
    problems = [oc.read(nk.house(at / name, of)) for name, of in (("old", {}), ("new", case))]
    new = Path(str(problems[1].brewhouse.path))
    for key, value in wort.items():
        text = re.sub(rf"(?m)^{key} = .*$", f'{key} = "{value}"', new.read_text(encoding="utf-8"))
        new.write_text(text, encoding="utf-8")
    return oc.new_kettle(COVERED, problems[0], oc.read(new))


@pytest.fixture(scope="module")
def tight(tmp_path_factory: pytest.TempPathFactory) -> Upgrade:
    """A limit that the coil keeps stirred with a paddle, and not as it is stirred now."""
    return answer(tmp_path_factory.mktemp("tight"), "21 min")


def test_a_paddle_that_keeps_the_limit_is_told_beside_what_is_bought(tight: Upgrade, tmp_path: Path) -> None:
    """Minutes, water and the limit are those of predict, with the line written and the coil as it is."""
    found, told = tight.found.stirred, Told.of(tight.found)
    assert found is not None and found.keeps and found.option.name == "keep"
    assert not tight.option("keep").holds and tight.option().name != "keep"
    house = nk.house(tmp_path / "stirred", nk.CASES["a little wider"] | {"limits": {"chill_time": "21 min"}})
    file = house / "brewhouse.toml"
    text = re.sub(r"(?m)^mixing = .*\n", "", file.read_text(encoding="utf-8"))
    file.write_text(text.replace("[wort]\n", f"[wort]\n{line(found)}\n"), encoding="utf-8")
    again = oc.rate(tight.save_coil(tmp_path / "kept.toml", option="keep"), oc.read(house))
    then = found.option.rating.prediction.told
    assert again.prediction.told.time == pytest.approx(then.time, rel=1e-6)
    assert again.prediction.told.water == pytest.approx(then.water, rel=1e-6)
    assert all(limit.holds for limit in again.limits if limit.name == "chill_time")
    said = " ".join(" ".join(tight.lines(100)).split())
    first = said.index("OR STIR")
    assert said.index("DO THIS") < first < said.index("what becomes of it")
    assert f"most likely {then.time / 60.0:.0f}, which keeps your limit (chill time)" in said
    document = tight.to_dict()["stirred"]
    assert document["keeps_limit"] and document["text"] == " ".join(or_stir(told))
    assert document["prediction"]["chill_time_p50_s"] == pytest.approx(then.time)


@pytest.mark.slow
def test_where_nothing_is_to_be_done_no_paddle_is_told(tmp_path: Path) -> None:
    """The coil as it is comes first and holds: what more helps it is for improve to say."""
    found = answer(tmp_path, None)
    assert found.options[0] == "keep" and found.found.stirred is None
    assert "STIR" not in "\n".join(found.lines()) and found.to_dict()["stirred"] is None


@pytest.mark.slow
def test_wort_that_is_stirred_briskly_is_not_stirred_more(tmp_path: Path) -> None:
    found = answer(tmp_path, "5 min", mixing="paddle, brisk")
    assert found.found.stirred is None
