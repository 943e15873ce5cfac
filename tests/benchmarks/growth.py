"""What a search costs by how many combinations it looks at, from a thousand to ten million: a straight line,
and memory that does not grow. `python tests/benchmarks/growth.py [--smoke]`

Each count is a process of its own, whose peak is its own. Two series: one layer at full flow, whose rows grow
with the forms, and all layouts with the valve at three settings, whose pairs grow with their square.
"""

from __future__ import annotations

import argparse
import subprocess
import sys
import tempfile
from dataclasses import dataclass
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).parent))

from stock_of_any_size import brewhouse_folder  # noqa: E402

SERIES: dict[str, tuple[bool, tuple[int, ...]]] = {
    "one layer": (False, (1_000, 10_000, 150_000, 1_600_000, 17_000_000)),
    "all layouts": (True, (1_000, 14_000, 50_000, 160_000, 530_000)),
}
"""Whether all layouts are looked at, and `rows` as `brewhouse_folder` takes them: what is looked at is about
a thousand, ten thousand, and so on up to ten million."""

IN_SMOKE = 3
"""Counts of each series in a quick pass: up to a hundred thousand."""

CODE = """
import sys, time
from optichill.files.reading import load
from optichill.problem.basis import design_basis
from optichill.search.piece_by_piece import search_all
from optichill.search.space import space

basis = design_basis(load({folder!r}))
best = 1e9
for _ in range({rounds}):
    began = time.perf_counter(), time.process_time()
    found = search_all(space(basis))
    best = min(best, time.process_time() - began[1])
looked_at = found.space.could_hold if found.space.sample is None else found.space.sample.looked_at
peak = [line.split()[1] for line in open("/proc/self/status") if line.startswith("VmHWM")][0]
print(looked_at, best, peak, found.space.raw, found.space.sample is not None)
"""
"""Seconds of the processor, of both lanes together: the wall's hang on who else is at work."""

WIDTH = 30


@dataclass(frozen=True)
class Point:
    """A search: combinations looked at, of the lists in all, seconds, peak memory [MB]; sample : not all."""

    looked_at: int
    of: int
    seconds: float
    peak: float
    sample: bool

    @property
    def each(self) -> float:
        """Microseconds a combination."""
        return 1e6 * self.seconds / self.looked_at


def point(rows: int, *, everything: bool) -> Point:
    """One search in a process of its own."""
    with tempfile.TemporaryDirectory() as folder:
        brewhouse_folder(Path(folder), rows=rows, everything=everything)
        code = CODE.format(folder=folder, rounds=5 if rows < 100_000 else 1)
        out = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    looked_at, seconds, peak, of, sample = out.stdout.split()
    return Point(int(looked_at), int(of), float(seconds), int(peak) / 1024, sample == "True")


def series(name: str, *, smoke: bool) -> list[Point]:
    """One line of the plot, the smallest first."""
    everything, counts = SERIES[name]
    return [point(rows, everything=everything) for rows in counts[: IN_SMOKE if smoke else None]]


def power(points: list[Point]) -> float:
    """With what power of the count the time grows, over the largest half of them: 1 is a straight line."""
    some = points[len(points) // 2 :] if len(points) > 3 else points[-2:]
    count, seconds = (np.log([getattr(p, of) for p in some]) for of in ("looked_at", "seconds"))
    return float(np.polyfit(count, seconds, 1)[0])


def plotted(points: list[Point]) -> list[str]:
    """A line a count, with a mark for its time; both axes go by powers of ten."""
    low, high = (f(np.log10([p.seconds for p in points])) for f in (np.min, np.max))
    lines = []
    for p in points:
        place = int(round(WIDTH * (np.log10(p.seconds) - low) / max(high - low, 1e-9)))
        many = f"{p.looked_at:>12,} of {p.of:>13,}{' (a sample)' if p.sample else ''}"
        lines.append(f"{many}  {p.seconds:8.3f} s  {p.each:6.2f} us  {p.peak:4.0f} MB  |{' ' * place}*")
    return lines


def rows(smoke: bool) -> list[tuple[str, str, str]]:
    """For the benchmark's table."""
    out = []
    for name in SERIES:
        points = series(name, smoke=smoke)
        for p in points:
            measured = f"{p.seconds:.3f} s, {p.each:.2f} us each, {p.peak:.0f} MB"
            out.append((f"{name}: {p.looked_at:,} looked at of {p.of:,}", "straight", measured))
        out.append(("  time grows with the power of the count", "1.0", f"{power(points):.2f}"))
    return out


def main() -> None:
    """Print both series."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--smoke", action="store_true", help="up to a hundred thousand")
    smoke = parser.parse_args().smoke
    for name in SERIES:
        points = series(name, smoke=smoke)
        print(f"{name}: looked at, of the lists; seconds of the processor; of each; peak")
        print("\n".join(plotted(points)))
        print(f"time grows with power {power(points):.2f} of the count\n", flush=True)


if __name__ == "__main__":
    main()
