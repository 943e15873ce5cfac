"""The same commands from two states of the project, turn by turn, and what share of the time one takes.

The other state is unpacked into a temporary folder with `git archive`. Both run with their bytecode written
beforehand, into folders of their own, as an installed program has it; what counts is processor time, the
least of several rounds: what a machine shared with others still tells.
"""

from __future__ import annotations

import io
import os
import subprocess
import sys
import tarfile
import tempfile
import time
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]


@dataclass(frozen=True)
class State:
    """The project at one commit, or as it lies here; compiled : where its bytecode is kept."""

    name: str
    root: Path
    compiled: Path

    @property
    def environment(self) -> dict[str, str]:
        """Of a program that runs this state's code."""
        left_out = ("PYTHONDONTWRITEBYTECODE", "PYTHONPATH", "OPTICHILL_LONG")
        mine = {name: value for name, value in os.environ.items() if name not in left_out}
        one = dict.fromkeys(("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS"), "1")
        where = {"PYTHONPATH": str(self.root), "PYTHONPYCACHEPREFIX": str(self.compiled)}
        return mine | one | where | {"OPTICHILL_NO_CACHE": "1"}

    def run(self, arguments: Sequence[str], folder: Path, *, check: bool = True) -> tuple[str, float, float]:
        """Run Python with these arguments in a folder: what it wrote, processor and wall time [s]."""
        began = time.perf_counter()
        child = subprocess.Popen(
            [sys.executable, *arguments],
            env=self.environment,
            cwd=folder,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
        )
        assert child.stdout is not None and child.stderr is not None
        said, complained = child.stdout.read(), child.stderr.read()
        _, status, used = os.wait4(child.pid, 0)
        child.returncode = os.waitstatus_to_exitcode(status)
        if check and child.returncode:
            raise RuntimeError(f"{self.name}: {' '.join(arguments)[:200]}\n{complained}")
        return said, used.ru_utime + used.ru_stime, time.perf_counter() - began


@contextmanager
def two_states(commit: str) -> Iterator[tuple[State, State]]:
    """The project as it lies here, and as it was at a commit."""
    with tempfile.TemporaryDirectory() as folder:
        there = Path(folder, "there")
        packed = subprocess.run(["git", "archive", commit], cwd=ROOT, capture_output=True, check=True).stdout
        with tarfile.open(fileobj=io.BytesIO(packed)) as archive:
            archive.extractall(there, filter="data")
        # In a wheel the lists lie inside the package.
        (there / "optichill" / "catalogs").symlink_to(there / "catalogs")
        yield State("here", ROOT, Path(folder, "c1")), State(commit, there, Path(folder, "c2"))


def share_of_time(
    states: tuple[State, State], arguments: Sequence[str], rounds: int
) -> tuple[float, float, float]:
    """Least processor time [s] here and there, and how much less of it here, taken turn by turn."""
    least = [float("inf"), float("inf")]
    with tempfile.TemporaryDirectory() as folder:
        for state in states:
            state.run(arguments, Path(folder))  # writes its bytecode
        for _ in range(rounds):
            for n, state in enumerate(states):
                least[n] = min(least[n], state.run(arguments, Path(folder))[1])
    return least[0], least[1], least[0] / least[1]
