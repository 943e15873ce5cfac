"""What an answer says of the coils that it does not show."""

from __future__ import annotations

import re
from itertools import combinations
from pathlib import Path

import numpy as np
import pytest
import small_stock
from tiers import count

from optichill.problem.limits import LIMITS
from optichill.report.no_fit import in_the_way, nothing_fits
from optichill.report.searched import left_text
from optichill.report.table import choices, no_more
from optichill.search.recommend import recommendation_of, search_space
from optichill.search.tradeoff import weigh

VALVES = {"marking_increment": "5 mm", "riser_sides": "same", "flow_settings": ["full", "half"]}


def test_a_table_that_leaves_out_what_nothing_beats_says_so(tmp_path: Path) -> None:
    """Two rows of four were shown, and all else was said to be a near variant of them, or beaten."""
    searched = search_space(small_stock.of(tmp_path, {"workshop": VALVES}))
    few = recommendation_of(searched)
    rows = re.findall(r"(?m)^ *(\d+) .* [a-z2-9]{8}$", "\n".join(choices(few, 200)))
    hidden = len(few.designs) - len(rows)
    assert hidden > 0
    (said,) = no_more(few, len(few.designs) + 1)
    assert said.startswith(f"{hidden} more differ") and f"--top {len(few.designs)}" in said
    assert no_more(few, len(few.designs), len(few.designs)) == []
    assert no_more(few, len(few.designs)) == []  # as many as were looked for: the screen's end names --full
    everything = recommendation_of(searched, top=50)
    assert len(everything.designs) < 50
    assert no_more(everything, 50, 50)[0].startswith("No more rows")


def test_a_coil_is_counted_once_whatever_its_valve(tmp_path: Path) -> None:
    """34 coils were told on the screen where the page has 14."""
    searched = search_space(small_stock.of(tmp_path, {"workshop": VALVES}))
    everything = weigh(searched, in_full=0)
    rows = everything.rows
    assert rows is not None
    apart = set(zip(rows.setup.tolist(), rows.gap.tolist(), rows.turns.tolist(), strict=True))
    assert len(apart) < len(everything)
    said = left_text(everything.answer)
    assert (
        said == f"{len(apart)} coils that nothing beats ({len(everything)} counting the valve set otherwise)"
    )


def minimal_sets(patterns: list[frozenset[str]]) -> tuple[tuple[str, ...], ...]:
    """Of the limits those sets of which each pattern has one, none that contains another."""
    names = sorted(frozenset[str]().union(*patterns))
    found: list[frozenset[str]] = []
    for size in range(1, len(names) + 1):
        for chosen in map(frozenset, combinations(names, size)):
            if all(chosen & p for p in patterns) and not any(f <= chosen for f in found):
                found.append(chosen)
    return tuple(tuple(sorted(f)) for f in found)


@pytest.mark.parametrize("seed", range(count(20, 500)))
def test_without_what_is_in_the_way_something_fits(seed: int) -> None:
    """The budget alone was named, where without it too the chill time and the room to the wall kept all out.
    Coils that break limits at random: with all limits gone that are named, one breaks none."""
    rng = np.random.default_rng(seed)
    some = ["budget", "chill_time", "wall", "difficulty", "water", "submergence"]
    patterns = [frozenset(rng.choice(some, rng.integers(1, 5), replace=False).tolist()) for _ in range(5)]
    text = " ".join(in_the_way(minimal_sets(patterns)))
    named = {name for name in some if LIMITS[name].words in text}
    assert any(p <= named for p in patterns)


def test_what_is_left_in_the_way_is_told_after_it() -> None:
    said = in_the_way(minimal_sets([frozenset({"budget", "wall"}), frozenset({"budget", "chill_time"})]))
    assert said == [
        "IN THE WAY   the budget",
        "IN THE WAY   and then, one of these would have to give: the chill time or the room to the kettle "
        "wall",
    ]


def test_that_no_form_is_owned_is_told_as_what_stands_in_the_way(tmp_path: Path) -> None:
    """It was laid to the room between two layers, and no line to write was told."""
    stock = small_stock.lists()
    for form in stock["forms"]:
        form["owned"] = "no"
    basis = small_stock.of(tmp_path, {"workshop": {"forms_owned_only": True}}, stock)
    said = " ".join(nothing_fits(recommendation_of(search_space(basis))))
    assert "no form of forms.csv is owned" in said and "forms_owned_only = false" in said
    assert "two layers" not in said
