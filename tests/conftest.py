"""Shared fixtures."""

from __future__ import annotations

import gc
import os
import sys
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest
from hypothesis import settings
from once import Searches, once
from tiers import LONG

from optichill.api import recommendation as recommendation_module
from optichill.api import search_pass
from optichill.cli import main as cli
from optichill.rating import coil_rating, likely
from optichill.rating.prediction import FINE
from optichill.search import designs, evaluate
from optichill.search import recommend as recommend_module
from optichill.search import tradeoff as tradeoff_module
from optichill.thermal import cooldown
from optichill.thermal.batch import Scenario
from optichill.thermal.coil_performance import Coils, Numerics
from optichill.thermal.march import March, march

# Bytecode that is kept spares every process that a test starts the compiling of all our modules.
os.environ.pop("PYTHONDONTWRITEBYTECODE", None)
sys.dont_write_bytecode = False

# What is tested is worked out, here and in every process that a test starts; tests/cli/test_kept.py alone has
# answers that are kept.
os.environ["OPTICHILL_NO_CACHE"] = "1"

# The same examples on every machine, however slow: a red test then means a change, not chance or load.
# `.ci/long` draws others, and many of them, for hunting.
settings.register_profile("steady", deadline=None, derandomize=True)
settings.register_profile("long", deadline=None, derandomize=False, max_examples=1000)
settings.load_profile("long" if LONG else "steady")


def pytest_collection_finish() -> None:
    """What is loaded by now stays to the end: to look it through for garbage again and again would take a
    seventh of the time."""
    gc.collect()
    gc.freeze()
    gc.set_threshold(20_000, 20, 10)


@dataclass(frozen=True)
class Done:
    """What a command line gave back."""

    status: int
    out: str
    err: str


@pytest.fixture
def optichill(capsys: pytest.CaptureFixture[str]) -> Callable[..., Done]:
    """Run a command line in this process, as the installed command does."""

    def run(*arguments: str | Path) -> Done:
        capsys.readouterr()
        status = cli.run([str(a) for a in arguments])
        said = capsys.readouterr()
        return Done(status, said.out, said.err)

    return run


CHILL, MARCH = once(cooldown.chill), once(march)
SEARCHES = Searches(recommend_module.search_space, recommend_module.recommendation_of)


def pytest_runtest_setup(item: pytest.Item) -> None:
    """A test that patches something, or asks twice to see that the answers are the same, asks afresh."""
    patches = "monkeypatch" in getattr(item, "fixturenames", ())
    SEARCHES.afresh = patches or item.get_closest_marker("afresh") is not None


@pytest.fixture(scope="module", autouse=True)
def as_little_as_need_be(request: pytest.FixtureRequest) -> Iterator[None]:
    """No chill and no search is worked out twice. The march in time beside the shortlist, which checks the
    answer and does not make it, is left out, and a coil that is rated is marched as finely as a shortlist is
    chilled. Modules marked `marched` keep all of it as it is."""
    if request.node.get_closest_marker("marched"):
        yield
        return

    def unmarched(*rows: object, march: bool = False) -> object:
        return designs.designs(*rows)  # type: ignore[arg-type]

    def loosely(coils: Coils, scenario: Scenario, _: Numerics, *, rtol: float, integrate: object) -> March:
        return MARCH(coils, scenario, FINE, rtol=max(rtol, 1e-5))

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(recommend_module, "designs", unmarched)
        patch.setattr(coil_rating, "march", loosely)
        for module in (cooldown, evaluate, likely):
            patch.setattr(module, "chill", CHILL)
        for module in (recommend_module, search_pass):
            patch.setattr(module, "search_space", SEARCHES.search)
        for module in (recommend_module, recommendation_module, tradeoff_module):
            patch.setattr(module, "recommendation_of", SEARCHES.answer)
        yield
