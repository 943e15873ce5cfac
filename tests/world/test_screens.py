"""The packaged examples' first screens as text, at the widths that terminals have.

What is stored is there to make a change seen. When one is meant: `python tests/world/test_screens.py`.
"""

from __future__ import annotations

import os
from pathlib import Path

import pytest
from click.testing import CliRunner
from where import DATA

from optichill.cli.group import group
from optichill.files.reading import packaged

SCREENS = DATA / "screens"
WIDTHS = (60, 80, 100)
DEMOS = ("", "us", "wide", "stove")


def screen(demo: str, width: int) -> str:
    """As a person gets it who asks for the example in the folder where the lists are."""
    here = Path.cwd()
    os.chdir(packaged("brewhouse.toml").parent)
    try:
        done = CliRunner().invoke(group, ["recommend", *filter(None, [demo])], env={"COLUMNS": str(width)})
    finally:
        os.chdir(here)
    assert done.exit_code == 0, done.output
    return done.stdout


def stored(demo: str, width: int) -> Path:
    return SCREENS / f"{demo or 'metric'}-{width}.txt"


@pytest.mark.marched
@pytest.mark.parametrize("demo", DEMOS, ids=lambda demo: demo or "metric")
def test_the_first_screen_is_the_one_agreed(demo: str) -> None:
    for width in WIDTHS:
        said = screen(demo, width)
        assert said == stored(demo, width).read_text(encoding="utf-8"), width
        assert max(len(line) for line in said.splitlines()) <= width


@pytest.mark.parametrize("demo", DEMOS, ids=lambda demo: demo or "metric")
def test_an_answer_is_seen_at_a_glance(demo: str) -> None:
    """One tap, one layer: at most forty lines of eighty columns. A plan, a valve's habit or two seasons have
    eight more, two layers four."""
    lines = stored(demo, 80).read_text(encoding="utf-8").splitlines()
    assert len(lines) <= {"": 40, "wide": 52}.get(demo, 48)


if __name__ == "__main__":
    SCREENS.mkdir(exist_ok=True)
    for demo in DEMOS:
        for width in WIDTHS:
            stored(demo, width).write_text(screen(demo, width), encoding="utf-8")
