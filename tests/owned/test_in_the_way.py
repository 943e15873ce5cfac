"""A coil whose turns would hit what is built into the kettle's wall: that is told first, and lifted first."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from owned.test_improve import BENCH, demo, improved, kit, no_search, obeyed

from optichill.fabrication.obstacles import obstacles
from optichill.fabrication.work_plan import plan_work
from optichill.geometry.fit import AIR_AROUND_PART
from optichill.owned.improve.seen import Seen

__all__ = ["no_search"]

VALVE = '[kettle]\npart = [{ what = "ball valve", where = "wall", height = "6 cm", size = "6 cm" }]'
"""By hand: 33 cm of kettle and 25 cm of coil leave 4 cm, the valve reaches 6 cm in, up to 6 cm high."""


def case(folder: Path, stands: str) -> tuple[str, str, Any]:
    text, coil = demo("").replace("[kettle]", VALVE, 1), BENCH.format(across="25 cm") + stands
    return text, coil, improved(*kit(folder, text, coil))


@pytest.mark.parametrize(
    ("stands", "key"),
    [('stands = "feet"\nfeet_height = "4 cm"', "feet_height"),
     ('stands = "hangs"\nhangs_below_rim = "17.5 cm"', "hangs_below_rim")],
)  # fmt: skip
def test_what_is_in_the_way_is_told_first_and_lifted_over(
    no_search: None, tmp_path: Path, stands: str, key: str
) -> None:
    """Lifting alone helps, and the coil as its lines have it hits nothing by the rule of the build sheet."""
    text, coil, found = case(tmp_path, stands)
    said, screen = found.to_dict(), "\n".join(found.lines())
    assert said["as_it_is"]["runs_into"] == ["ball valve"] and not said["good_enough"]
    assert "would hit the ball valve" in said["verdict"]
    assert screen.index("IN THE WAY") < screen.index("AS IT IS") < screen.index("WHAT HELPS")
    assert [c["kind"] for c in said["changes"]] == ["stand"]  # what leaves it in the valve is no help
    assert {w["key"] for w in said["changes"][0]["write"]} == {key}
    assert {"stir", "pull open"} & {c["kind"] for c in said["not_worth"]}
    then = obeyed(tmp_path / "then", text, coil, said["changes"][0]["write"]).coil
    assert then.lowest_turn_height - then.outer_diameter / 2.0 > 0.06
    now = found.found.now
    assert "part" in {o.name for o in obstacles(plan_work(now.basis, now.coil))}
    lifted = Seen(found.found.helps[0].then.inputs)
    assert lifted.goes_in
    assert "part" not in {o.name for o in obstacles(plan_work(lifted.basis, lifted.coil))}


def test_a_part_that_is_just_cleared_is_only_a_narrow_room(no_search: None, tmp_path: Path) -> None:
    """Less than the air that is wanted beside it is a wish: such a coil stands in the kettle."""
    near = VALVE.replace('size = "6 cm"', f'size = "{39.9 - 500 * AIR_AROUND_PART} mm"')
    text, coil = demo("").replace("[kettle]", near, 1), BENCH.format(across="25 cm")
    now = improved(*kit(tmp_path, text, coil + 'stands = "feet"\nfeet_height = "4 cm"')).found.now
    assert now.goes_in and "wall" in now.broken and not now.in_the_turns
