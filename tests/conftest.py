"""Shared fixtures."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest
from hypothesis import settings
from tiers import LONG

from optichill.cli import main as cli
from optichill.search import recommend as recommend_module

# The same examples on every machine, however slow: a red test then means a change, not chance or load.
# `.ci/long` draws others, and many of them, for hunting.
settings.register_profile("steady", deadline=None, derandomize=True)
settings.register_profile("long", deadline=None, derandomize=False, max_examples=1000)
settings.load_profile("long" if LONG else "steady")


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


@pytest.fixture(scope="module", autouse=True)
def without_march(request: pytest.FixtureRequest) -> Iterator[None]:
    """Leave out the march in time beside the shortlist, which checks the answer and does not make it; modules
    marked `marched` keep it."""
    from optichill.search import designs

    if request.node.get_closest_marker("marched"):
        yield
        return

    def unmarched(*rows: object, march: bool = False) -> object:
        return designs.designs(*rows)  # type: ignore[arg-type]

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(recommend_module, "designs", unmarched)
        yield
