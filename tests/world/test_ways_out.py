"""Every way out that is shown is taken, in the file as a brewer would write it: it opens what it says.

On the examples with a limit set too tight, and on brewhouses drawn at random with a small stock.
"""

from __future__ import annotations

import copy
import json
import re
import tomllib
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import small_stock
from conftest import Done
from tiers import count
from where import ROOT

slow, long = pytest.mark.slow, pytest.mark.long

Run = Callable[..., Done]
Apply = Callable[[dict[str, Any], re.Match[str]], None]
DEMOS = ROOT / "catalogs"
DRAWN = count(5, 100)


def put(table: str, key: str, read: Callable[[str], Any] = str) -> Apply:
    """Writes the first figure of the step under a key of a table."""

    def apply(house: dict[str, Any], step: re.Match[str]) -> None:
        house.setdefault(table, {})[key] = read(step[1])

    return apply


LENGTH = r"([\d./ ]+ (?:mm|cm|m|in|ft))"
STEPS: tuple[tuple[str, Apply], ...] = (
    (r"(?:allow|ask for no less than) ([\d.]+ min)", put("limits", "chill_time")),
    (r"allow ([\d.]+) (?:EUR|USD) instead", put("limits", "budget", float)),
    (r"allow ([\d.]+ (?:L|gal)) of water", put("limits", "water")),
    (r"difficulty ([\d.]+) of 10", put("limits", "difficulty", float)),
    (rf"let the turns stand {LENGTH} apart", put("workshop", "smallest_gap")),
    (rf"accept {LENGTH} to the wall", put("kettle", "wall_clearance")),
    (rf"accept {LENGTH} to the floor", put("kettle", "floor_clearance")),
    (rf"accept {LENGTH} of wort over", put("kettle", "top_clearance")),
    (rf"accept {LENGTH} of free rim", put("workshop", "headspace")),
    (r"boil less: at most ([\d.]+ (?:L|gal))", put("wort", "volume")),
)
"""A way out as it is said, and where it is written. Steps of the stock lists are not among them."""


def said_by(optichill: Run, folder: Path, house: dict[str, Any], stock: Any = None) -> tuple[int, str]:
    done = optichill("recommend", small_stock.write(folder, house, stock), "--top", "1")
    return done.status, done.out


def taken(house: dict[str, Any], way: str) -> dict[str, Any] | None:
    """The brewhouse with a way out written into it; None where a part of it is no key of the brewhouse."""
    changed = copy.deepcopy(house)
    for part in way.split("; and "):
        match = next(((m, apply) for said, apply in STEPS if (m := re.search(said, part))), None)
        if match is None:
            return None
        match[1](changed, match[0])
    return changed


def ways(out: str) -> list[str]:
    """The ways out of a screen, each in one line."""
    return [w.split(" opens ")[0] for w in re.split(r"WAY OUT \d+", " ".join(out.split()))[1:]]


def all_hold(optichill: Run, folder: Path, house: dict[str, Any], stock: Any = None) -> int:
    """Take every way out that is shown; how many there were."""
    status, out = said_by(optichill, folder, house, stock)
    if status == 0:
        return 0
    assert status == 3, out
    assert re.search("WAY OUT|DOES NOT FIT|TOO WARM|BUT  ", out), out
    tried = [changed for way in ways(out) if (changed := taken(house, way)) is not None]
    for changed in tried:
        again, answer = said_by(optichill, folder, changed, stock)
        assert again == 0, f"{ways(out)} does not open anything:\n{answer}"
    return len(tried)


def drawn(rng: np.random.Generator) -> dict[str, Any]:
    """A brewhouse where nothing may fit: a kettle with its batch, and some limits that may be tight."""
    wide, tall = rng.uniform(24.0, 42.0), rng.uniform(26.0, 44.0)
    most = np.pi / 4.0 * wide**2 * tall / 1000.0
    limits: dict[str, Any] = {
        "chill_time": f"{rng.uniform(3.0, 30.0):.1f} min",
        "budget": round(rng.uniform(40.0, 120.0), 1),
        "water": f"{rng.uniform(40.0, 250.0):.0f} L",
        "difficulty": round(rng.uniform(1.0, 5.0), 1),
    }
    stated = {key: value for key, value in limits.items() if rng.random() < 0.4}
    return {
        "kettle": {"inside_diameter": f"{wide:.1f} cm", "inside_height": f"{tall:.1f} cm"},
        "wort": {"volume": f"{most * rng.uniform(0.35, 0.97):.2f} L"},
        "tap": {"temperature": f"{rng.uniform(6.0, 17.0):.1f} degC"},
        "workshop": {"riser_sides": "same", "marking_increment": "5 mm"},
        "limits": stated,
    }


@slow
@pytest.mark.parametrize("seed", range(DRAWN))
def test_every_way_out_of_a_drawn_brewhouse_opens_a_coil(optichill: Run, tmp_path: Path, seed: int) -> None:
    all_hold(optichill, tmp_path, drawn(np.random.default_rng(seed)))


TIGHT: tuple[dict[str, Any], ...] = ({"chill_time": "9 min"}, {"budget": 30}, {"difficulty": 0.5})


GATE = {(".", "budget"), ("us", "difficulty"), ("stove", "time")}
"""One tap in both units and a plan, each limit once; the rest is for the long run."""


@pytest.mark.parametrize(
    ("demo", "tight"),
    [
        pytest.param(demo, tight, id=f"{limit}-{demo}", marks=slow if (demo, limit) in GATE else long)
        for limit, tight in zip(("time", "budget", "difficulty"), TIGHT, strict=True)
        for demo in (".", "us", "wide", "stove")
    ],
)
def test_every_way_out_of_an_example_opens_a_coil(
    tmp_path: Path, demo: str, tight: dict[str, Any], optichill: Run
) -> None:
    text = (DEMOS / demo / "brewhouse.toml").read_text(encoding="utf-8")
    house = tomllib.loads(text)
    house["stock"]["folder"] = str((DEMOS / demo / house["stock"]["folder"]).resolve())
    house["limits"] = {**house["limits"], **tight}

    def run(house: dict[str, Any]) -> tuple[int, str]:
        file = tmp_path / "brewhouse.toml"
        file.write_text(written(house), encoding="utf-8")
        done = optichill("recommend", file, "--top", "1")
        return done.status, done.out

    status, out = run(house)
    assert status == 3 and ways(out), out
    for way in ways(out)[: count(3, 99)]:
        changed = taken(house, way)
        if changed is not None:
            again, answer = run(changed)
            assert again == 0, f"{way} does not open anything:\n{answer}"


def written(house: dict[str, Any]) -> str:
    """A brewhouse as TOML; strings, numbers and lists are written as JSON writes them."""
    plain = [f"{k} = {json.dumps(v)}" for k, v in house.items() if not isinstance(v, dict | list)]
    for name, table in house.items():
        for entry in table if isinstance(table, list) else [table] * isinstance(table, dict):
            plain.append(f"[[{name}]]" if isinstance(table, list) else f"[{name}]")
            plain += [f"{k} = {inline(v)}" for k, v in entry.items()]
    return "\n".join(plain) + "\n"


def inline(value: Any) -> str:
    """A value of a key, tables in one line."""
    if isinstance(value, dict):
        return "{ " + ", ".join(f"{k} = {inline(v)}" for k, v in value.items()) + " }"
    if isinstance(value, list):
        return "[" + ", ".join(inline(v) for v in value) + "]"
    return json.dumps(value)
