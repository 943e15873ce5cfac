"""The packaged examples' first screens as text, at the widths that terminals have.

What is stored is there to make a change seen; test_golden.py, which has the answers, sees it. When one is
meant: `python tests/world/test_screens.py`.
"""

from __future__ import annotations

import os
from pathlib import Path

import pytest
from where import DATA

import optichill as oc
from optichill.files.reading import packaged

SCREENS = DATA / "screens"
WIDTHS = (60, 80, 100)
DEMOS = ("", "us", "wide", "stove")
NEXT = 3
"""Lines that the command adds: a blank one, and two of what to do next."""


def answered(demo: str) -> oc.Recommendation:
    """As a person gets it who asks for the example in the folder where the lists are."""
    here = Path.cwd()
    os.chdir(packaged("brewhouse.toml").parent)
    try:
        return oc.recommend(oc.read(demo or None))
    finally:
        os.chdir(here)


def screens(answer: oc.Recommendation) -> dict[int, list[str]]:
    """Its first screens, without what is next."""
    return {width: answer.lines(width) for width in WIDTHS}


def stored(demo: str, width: int) -> Path:
    return SCREENS / f"{demo or 'metric'}-{width}.txt"


@pytest.mark.parametrize("demo", DEMOS, ids=lambda demo: demo or "metric")
def test_an_answer_is_seen_at_a_glance(demo: str) -> None:
    """One tap, one layer: at most forty lines of eighty columns. A plan, a valve's habit or two seasons have
    eight more, two layers four."""
    lines = stored(demo, 80).read_text(encoding="utf-8").splitlines()
    assert len(lines) + NEXT <= {"": 40, "wide": 52}.get(demo, 48)


if __name__ == "__main__":
    SCREENS.mkdir(exist_ok=True)
    for demo in DEMOS:
        for width, said in screens(answered(demo)).items():
            stored(demo, width).write_text("".join(f"{line}\n" for line in said), encoding="utf-8")
