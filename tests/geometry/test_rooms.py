"""A room that its sizes leave none of is none, whatever their rounding says."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from own_coil import own_bench

from optichill.geometry import fit, helix, risers
from optichill.rating.coil_rating import quick_rating

ROOMS: dict[str, tuple[Callable[..., float], tuple[int, ...]]] = {
    "riser height": (lambda top, rim, R: risers.riser_straight_height(top, rim, R), (-1, 1, -2)),
    "wall": (lambda D, c, d: 2.0 * fit.wall_gap(D, c, d), (1, -1, -1)),
    "floor": (lambda low, d: 2.0 * fit.floor_gap(low, d), (2, -1)),
    "submergence": (lambda level, top, d: 2.0 * fit.submergence(level, top, d), (2, -2, -1)),
    "headspace": (lambda rim, level: fit.headspace(rim, level), (1, -1)),
    "layers": (lambda inner, outer, d: 2.0 * fit.layer_gap(inner, outer, d), (-1, 1, -2)),
    "gap": (lambda pitch, d: helix.clear_gap(pitch, d), (1, -1)),
}
"""Each room, or twice it, with what its sizes count in it."""


@pytest.mark.parametrize("name", ROOMS)
@given(st.data())
def test_rooms_are_below_nothing_only_where_sizes_in_tenths_of_a_millimetre_are(
    name: str, data: st.DataObject
) -> None:
    """-1.4e-17 m of height between two bends was told of a coil that fits. Held against whole numbers."""
    room, counts = ROOMS[name]
    *sizes, _ = tenths = data.draw(st.tuples(*(st.integers(1, 9999) for _ in counts)))
    if data.draw(st.booleans()):  # the last as large as leaves nothing, where there is such a size
        plus = 300 if name == "riser height" else 0
        last = Fraction(-sum(n * c for n, c in zip(sizes, counts, strict=False)) - plus, counts[-1])
        tenths = (*sizes, int(last)) if last > 0 and last.denominator == 1 else tenths
    exact = sum(n * c for n, c in zip(tenths, counts, strict=True))
    exact += 300 if name == "riser height" else 0  # 3 cm over the rim
    # In two steps, as a height is the sum of others.
    found = float(room(*(0.3 * n * 1e-4 + 0.7 * n * 1e-4 for n in tenths)))
    assert (found < 0.0, found == 0.0) == (exact < 0, exact == 0), (tenths, found)


def test_a_coil_that_just_has_the_height_for_its_bends_is_told_with_none_to_spare(tmp_path: Path) -> None:
    """18 turns of 15 mm on 30 mm, and bends of 4 cm, under a rim of 35 cm and the 3 over it: nothing left."""
    plan, _ = own_bench(
        tmp_path,
        {"kettle": {"inside_height": "35 cm"}, "wort": {"volume": "20 L"}},
        pitch=0.015,
        turns=18.0,
        riser_bend_radius=0.040,
    )
    (line,) = (x for x in quick_rating(plan.basis, plan.coil).limits if x.name == "riser_height")
    assert (line.value, line.margin, line.holds) == (0.0, 0.0, True)
