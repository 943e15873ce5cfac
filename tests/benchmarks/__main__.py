"""Speed and memory as ratios against a plain baseline in the same run: `python tests/benchmarks [--smoke]`.

Nothing here is asserted: a shared machine would fail it for reasons of its own. Each line prints what is
wanted beside what was measured.
"""

from __future__ import annotations

import os

for _name in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS"):
    os.environ[_name] = "1"  # "on one core" is meant
os.environ["OPTICHILL_NO_CACHE"] = "1"  # and what is timed is worked out

import argparse  # noqa: E402
import resource  # noqa: E402
import shutil  # noqa: E402
import subprocess  # noqa: E402
import sys  # noqa: E402
import tempfile  # noqa: E402
import time  # noqa: E402
from collections.abc import Callable  # noqa: E402
from dataclasses import replace  # noqa: E402
from pathlib import Path  # noqa: E402

import numpy as np  # noqa: E402

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

import growth  # noqa: E402
import oracle  # noqa: E402
import small_stock  # noqa: E402
import tradeoff_data  # noqa: E402
from against import share_of_time, two_states  # noqa: E402
from browser import chromium  # noqa: E402
from explored import explored  # noqa: E402
from own_coil import SIZES  # noqa: E402
from stock_of_any_size import brewhouse_folder, large_stock  # noqa: E402
from tradeoff_hand import show  # noqa: E402

from optichill.cache_folder import cache_folder  # noqa: E402
from optichill.files.reading import load  # noqa: E402
from optichill.model.coil import Coil  # noqa: E402
from optichill.problem.basis import design_basis  # noqa: E402
from optichill.rating.coil_rating import rate  # noqa: E402
from optichill.report.tradeoff.page import page  # noqa: E402
from optichill.search.conflicts import conflicts  # noqa: E402
from optichill.search.enumeration import enumerate_space  # noqa: E402
from optichill.search.evaluate import coils as own_coils  # noqa: E402
from optichill.search.evaluate import rows  # noqa: E402
from optichill.search.space import space  # noqa: E402
from optichill.thermal.batch import Mixing, Scenario, one_tap  # noqa: E402
from optichill.thermal.coil_performance import CONVERGED, SEARCH, Coils  # noqa: E402
from optichill.thermal.cooldown import chill  # noqa: E402
from optichill.thermal.supply import Supply  # noqa: E402

CATALOGS = Path(__file__).resolve().parents[2] / "catalogs"

NARROW = """
const [value, done] = arguments, start = performance.now();
const field = document.querySelector("[data-most=cost]");
field.value = value;
field.dispatchEvent(new Event("input", {bubbles: true}));
requestAnimationFrame(() => requestAnimationFrame(() => done(performance.now() - start)));"""
"""Writes a budget; tells the time [ms] until it is drawn."""

BATCH = 8192
"""Coils in one call."""

Row = tuple[str, str, str]


def coils(number: int, seed: int = 1) -> Coils:
    """Random coils of household sizes."""
    rng = np.random.default_rng(seed)
    d_o = rng.choice([0.008, 0.009525, 0.010, 0.012, 0.0127, 0.015875], number)
    d_i = d_o - 2.0 * rng.choice([0.0008, 0.001], number)
    length = rng.uniform(5.0, 20.0, number)
    return Coils.of(
        d_o=d_o,
        d_i=d_i,
        k=339.0,
        D_c=rng.uniform(0.18, 0.30, number),
        pitch=d_o * rng.uniform(1.0, 2.0, number),
        wetted_length=length,
        tube_length=length + 1.0,
        metal_capacity=np.pi / 4.0 * (d_o**2 - d_i**2) * (length + 1.0) * 8940.0 * 385.0,
        stranded=rng.uniform(0.02, 0.15, number),
    )


def scenario(mixing: str) -> Scenario:
    """24 L behind an ordinary tap."""
    return Scenario(
        volume=0.024,
        plato=12.0,
        T_start=371.15,
        T_target=293.15,
        T_ambient=293.15,
        kettle_diameter=0.33,
        stages=one_tap(285.15, Supply.tap(static_pressure=3e5, open_flow=10e-3 / 60.0, hose_bore=0.0125)),
        mixing=Mixing.of(mixing),
    )


def best_of(rounds: int, work: Callable[[], object], clock: Callable[[], float] = time.perf_counter) -> float:
    """Seconds of the fastest of some rounds: what the machine can do when nobody disturbs it."""
    times = []
    for _ in range(rounds):
        start = clock()
        work()
        times.append(clock() - start)
    return min(times)


def predictions(smoke: bool) -> list[Row]:
    """Full chill predictions a second, their error, and the ratio to a loop of solve_ivp over ht."""
    rows, rounds = [], 3 if smoke else 20
    case = oracle.Case(T_target=293.15, volume_hot=0.024, V_open=10e-3 / 60.0, mixing="steady")
    plain = best_of(1 if smoke else 3, lambda: oracle.chill(case, segments=30, rtol=1e-6))
    batch, sample = coils(BATCH), coils(200 if smoke else 2000, seed=2)
    for mixing in ("left alone", "steady", "now and then"):
        s = scenario(mixing)
        each = best_of(rounds, lambda s=s: chill(batch, s, SEARCH)) / BATCH
        # Two zones are walked down in steps, forty segments each: fewer coils and steps do for a reference.
        tried = sample.take(np.arange(min(100, len(sample)))) if mixing == "left alone" else sample
        reference = chill(tried, s, replace(CONVERGED, steps=16.0)).time
        error = np.abs(chill(tried, s, SEARCH).time / reference - 1.0)
        states = "two states of the wort, each worked out" if mixing == "now and then" else "one state"
        rows.append((f"predictions a second, {mixing}", "200,000", f"{1.0 / each:,.0f} ({states})"))
        off = np.percentile(error, 95)
        rows.append((f"  95th percentile off a converged run, {mixing}", "0.5 %", f"{100.0 * off:.2f} %"))
        if mixing == "steady":
            ratio = f"{plain / each:,.0f} x (one takes {plain:.2f} s)"
            rows.append(("  against solve_ivp over ht, 30 segments", "20,000 x", ratio))
    return rows


def of_the_example(smoke: bool) -> list[Row]:
    """The same of a random sample of the example's own space, rows that hold every limit that needs no chill:
    each is worked out, none left out by proof or a rough idea."""
    rng, rows_, rounds = np.random.default_rng(7), [], 3 if smoke else 20
    basis = design_basis(load(CATALOGS / "brewhouse.toml"))
    everything = space(basis)
    every = np.concatenate([*everything.chunks(65536)])
    some = rng.choice(every, 3 * BATCH, replace=False)
    r = rows(everything, some + rng.integers(len(everything.valve_shares), size=some.size))
    fits = np.flatnonzero(~everything.barred(r.checks) & ~r.shape.on_tees)[:BATCH]
    batch = own_coils(everything, r, fits)
    tried = batch.take(np.arange(100 if smoke else 500))
    for mixing in ("left alone", "now and then", "steady"):
        s = replace(basis.scenario, mixing=Mixing.of(mixing))
        each = best_of(rounds, lambda s=s: chill(batch, s, SEARCH), time.process_time) / fits.size
        off = np.abs(
            chill(tried, s, SEARCH).time / chill(tried, s, replace(CONVERGED, steps=16.0)).time - 1.0
        )
        error = f"{100.0 * np.nanpercentile(off, 95):.2f} % off at the 95th percentile"
        rows_.append(
            (f"the example's own space, {mixing}", "500,000", f"{1.0 / each:,.0f} a second, {error}")
        )
    return rows_


def scaling(smoke: bool) -> list[Row]:
    """Cost per design from ten thousand to a million candidates, and the memory of the largest."""
    rows = []
    for wanted in (10_000, 100_000) if smoke else (10_000, 100_000, 1_000_000):
        code = (
            "import sys, time; sys.path[:0] = [{here!r}]\n"
            "from optichill.files.reading import load\n"
            "from optichill.problem.basis import design_basis\n"
            "from optichill.search.space import space\n"
            "from optichill.search.enumeration import enumerate_space\n"
            "s = space(design_basis(load({folder!r})))\n"
            "best = 1e9\n"
            "for _ in range(5 if s.size < 50_000 else 2):\n"
            "    t = time.perf_counter(); o = enumerate_space(s); best = min(best, time.perf_counter() - t)\n"
            # the resource module would tell the parent's peak, which outlives the start of a new program
            "peak = [l.split()[1] for l in open('/proc/self/status') if l.startswith('VmHWM')][0]\n"
            "print(s.size, o.buildable, best, peak)\n"
        )
        with tempfile.TemporaryDirectory() as folder:
            brewhouse_folder(Path(folder), rows=wanted)
            here = str(Path(__file__).parent)
            out = subprocess.run(
                [sys.executable, "-c", code.format(here=here, folder=folder)],
                capture_output=True,
                text=True,
                check=True,
            ).stdout.split()
        size, buildable, seconds, peak = int(out[0]), int(out[1]), float(out[2]), int(out[3])
        share = f"{buildable / size:.0%} of them chilled"
        rows.append((f"{size:,} candidates ({share})", "flat", f"{1e6 * seconds / size:.2f} us each"))
        rows.append(("  peak memory", "350 MB", f"{peak / 1024:.0f} MB"))
    return rows


def everything(smoke: bool) -> list[Row]:
    """All layouts and flow settings on the examples: the unpruned product, time and memory of a pass."""
    rows = []
    for name in ("brewhouse.toml",) if smoke else ("brewhouse.toml", "us", "wide", "stove"):
        code = (
            "import sys, time\n"
            "from pathlib import Path\n"
            "from optichill.files.reading import load\n"
            "from optichill.problem.basis import design_basis\n"
            "from optichill.search.space import space\n"
            "from optichill.search.enumeration import enumerate_space\n"
            f"t = time.perf_counter(); s = space(design_basis(load(Path({str(CATALOGS / name)!r}))))\n"
            "o = enumerate_space(s); t = time.perf_counter() - t\n"
            "peak = [l.split()[1] for l in open('/proc/self/status') if l.startswith('VmHWM')][0]\n"
            "print(s.raw, o.buildable, len(o.front), t, peak)\n"
        )
        out = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
        raw, buildable, front, seconds, peak = (float(v) for v in out.stdout.split())
        what = f"{name}: {raw:,.0f} combinations, {buildable:,.0f} buildable"
        rows.append(
            (what, "5 s", f"{seconds:.2f} s, {1e6 * seconds / raw:.2f} us each, {front:.0f} on the front")
        )
        rows.append(("  peak memory", "350 MB", f"{peak / 1024:.0f} MB"))
    return rows


def long_lists(smoke: bool) -> list[Row]:
    """A merchant's whole catalogue: time and memory of `recommend` as a process of its own."""
    rows = []
    for tubes, forms, wanted in ((30, 30, "5 s"),) if smoke else ((300, 100, "20 s"), (3000, 300, "60 s")):
        code = (
            "from optichill.cli.main import run\n"
            "run(['recommend', {folder!r}, ])\n"
            "print([l.split()[1] for l in open('/proc/self/status') if l.startswith('VmHWM')][0])\n"
        )
        with tempfile.TemporaryDirectory() as folder:
            large_stock(Path(folder), tubes=tubes, forms=forms)
            started = time.perf_counter()
            out = subprocess.run(
                [sys.executable, "-c", code.format(folder=folder)], capture_output=True, text=True, check=True
            ).stdout.split()
        seconds, peak = time.perf_counter() - started, int(out[-1])
        rows.append((f"{tubes} tubes on {forms} forms", wanted, f"{seconds:.1f} s"))
        rows.append(("  peak memory", "400 MB", f"{peak / 1024:.0f} MB"))
    return rows


def nothing_fits(smoke: bool) -> list[Row]:
    """The nothing-fits answer against a search of the same space that finds something."""
    rows = []
    with tempfile.TemporaryDirectory() as folder:
        size = 60_000 if smoke else 400_000
        brewhouse_folder(Path(folder), rows=size)
        found = best_of(2, lambda: enumerate_space(space(design_basis(load(folder)))))
        for name, limits in (
            ("budget far too low", "budget = 1"),
            ("time and budget", 'chill_time = "10 min"\nbudget = 45'),
            ("difficulty", "difficulty = 0.2"),
        ):
            brewhouse_folder(Path(folder), rows=size, limits=limits)
            dry = best_of(2, lambda: conflicts(enumerate_space(space(design_basis(load(folder))))))
            rows.append((f"nothing fits ({name}) against a search", "1.0 x", f"{dry / found:.2f} x"))
    return rows


def commands(smoke: bool) -> list[Row]:
    """Whole processes: --help against importing click, and recommend on the example."""
    rounds = 1 if smoke else 5

    def run(*arguments: str, environment: dict[str, str] | None = None) -> Callable[[], object]:
        line = [sys.executable, *arguments]
        return lambda: subprocess.run(line, capture_output=True, check=True, env=environment)

    click = best_of(4 * rounds, run("-c", "import click"))
    helped = best_of(4 * rounds, run("-m", "optichill.cli.main", "--help"))
    numpy = best_of(4 * rounds, run("-c", "import numpy"))
    door = best_of(4 * rounds, run("-c", "import optichill, numpy"))
    answered = best_of(rounds, run("-m", "optichill.cli.main", "recommend"))
    loaded = subprocess.run(
        [sys.executable, "-c", "import sys\nfrom optichill.cli.main import run\nrun(['recommend'])\n"
         "print('CoolProp' in sys.modules, file=sys.stderr)"],
        capture_output=True, text=True, check=True,
    ).stderr.split()[-1]  # fmt: skip
    water = cache_folder()
    with tempfile.TemporaryDirectory() as folder:
        if water is not None:  # the table of water is there already, as it mostly is
            shutil.copytree(water, folder, dirs_exist_ok=True, ignore=shutil.ignore_patterns("answers"))
        kept = {**os.environ, "OPTICHILL_CACHE": folder}
        del kept["OPTICHILL_NO_CACHE"]
        again = run("-m", "optichill.cli.main", "recommend", environment=kept)
        again()
        told = best_of(4 * rounds, again)
    return [
        ("--help against importing click", "1.2 x", f"{helped / click:.2f} x"),
        ("importing optichill and numpy against numpy", "1.2 x", f"{door / numpy:.2f} x"),
        ("recommend on the example", "5 s", f"{answered:.2f} s ({answered / click:.0f} x importing click)"),
        ("  the same again, unchanged", "0.2 x", f"{told / answered:.2f} x ({told:.2f} s)"),
        ("  CoolProp imported", "no", "yes" if loaded == "True" else "no"),
    ]


def fillings(smoke: bool) -> list[Row]:
    """One coil rated behind a bucket that is filled 51 times, against one that is filled 4 times: each is
    a march of its own, and costs little beside the coil's table."""
    seconds = []
    with tempfile.TemporaryDirectory() as folder:
        for refills, bucket in ((3, "17 L"), (50, "1.3 L")):
            small_stock.write(Path(folder))
            with (Path(folder) / "brewhouse.toml").open("a", encoding="utf-8") as file:
                file.write(f'\n[[cooling]]\nsource = "bucket"\npump = "small"\nrefills = {refills}\n')
                file.write(f'bucket = "{bucket}"\n')
            basis, coil = design_basis(load(folder)), Coil(**SIZES)
            seconds.append(best_of(1 if smoke else 3, lambda basis=basis, coil=coil: rate(basis, coil)))
    few, many = seconds
    return [("one coil rated: 51 fillings against 4", "3 x", f"{many / few:.1f} x ({many:.1f} s)")]


def trade_off_page(smoke: bool) -> list[Row]:
    """A limit written into the page of many coils: until a browser has drawn what follows."""
    count = 300 if smoke else 5000
    with tempfile.TemporaryDirectory() as folder, chromium() as driver:
        file = Path(folder) / "page.html"
        file.write_text(page(tradeoff_data.data(count, min(count, 1000))), encoding="utf-8")
        show(driver, file)
        took = [
            driver.execute_async_script(NARROW, value)
            for value in ("100", "60", "500", "90", "80", "200") * 3
        ]
        size = file.stat().st_size / 1e6
    return [
        (f"page of {count:,} coils: a limit is answered in", "100 ms", f"{np.median(took):.0f} ms (median)"),
        ("  its size", "2 MB at 600", f"{size:.1f} MB"),
    ]


RATE = """
import sys, time
import numpy as np
from dataclasses import replace
from optichill.files.reading import load, packaged
from optichill.problem.basis import design_basis
from optichill.search.evaluate import coils, rows
from optichill.search.space import space
from optichill.thermal.batch import Mixing
from optichill.thermal.coil_performance import SEARCH
from optichill.thermal.cooldown import chill
basis = design_basis(load(packaged("brewhouse.toml")))
everything = space(basis)
some = np.concatenate([*everything.chunks(65536)])[::8]
r = rows(everything, some)
fits = np.flatnonzero(~everything.barred(r.checks) & ~r.shape.on_tees)[:8192]
batch = coils(everything, r, fits)
s = replace(basis.scenario, mixing=Mixing.of({mixing!r}))
for _ in range({times}):
    chill(batch, s, SEARCH)
"""
"""Predictions of a sample of the example's own space, nothing else to speak of."""


def against(commit: str, smoke: bool) -> list[Row]:
    """The commands here and at a commit, turn by turn: least processor time of each, and the share."""
    found, rounds = [], 1 if smoke else 5
    with two_states(commit) as states, tempfile.TemporaryDirectory() as folder:
        command = ["-m", "optichill.cli.main"]
        coil = str(CATALOGS / "coil.toml")
        cases = {
            "recommend": ([*command, "recommend"], rounds, "0.65"),
            "pareto": ([*command, "pareto"], rounds, "0.65"),
            "predict": ([*command, "predict", "--coil", coil], rounds, "1"),
        }
        for mixing in ("left alone", "now and then", "steady"):
            code = RATE.format(mixing=mixing, times=3 if smoke else 40)
            cases[f"predictions, {mixing}"] = (["-c", code], rounds, "1")
        if not smoke:
            large_stock(Path(folder), tubes=300, forms=100)
            cases["300 tubes on 100 forms"] = ([*command, "recommend", folder], 2, "1")
        for name, (arguments, times, wanted) in cases.items():
            here, there, share = share_of_time(states, arguments, times)
            found.append((f"{name}, against {commit}", wanted, f"{share:.2f} ({here:.2f} s, {there:.2f} s)"))
    return found


def main() -> None:
    """Print every measurement."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--smoke", action="store_true", help="small and quick: shows that it runs")
    parser.add_argument("--against", metavar="COMMIT", help="only the commands, here and at a commit")
    given = parser.parse_args()
    smoke = given.smoke
    if given.against:
        for what, wanted, got in against(given.against, smoke):
            print(f"{what:<58} wanted {wanted:>9}   measured {got}", flush=True)
        return
    for group in (
        predictions,
        of_the_example,
        scaling,
        everything,
        long_lists,
        growth.rows,
        nothing_fits,
        fillings,
        trade_off_page,
        explored,
        commands,
    ):
        for what, wanted, got in group(smoke):
            print(f"{what:<58} wanted {wanted:>9}   measured {got}", flush=True)
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    print(f"{'this process, libraries of the baseline included':<58} peak {peak:.0f} MB")


if __name__ == "__main__":
    main()
