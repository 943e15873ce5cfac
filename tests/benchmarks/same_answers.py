"""Whether two states of the project answer alike: `python tests/benchmarks/same_answers.py --against COMMIT`.

Kettles of every kind are asked for their recommendation and their trade-off in both, and the documents held
against each other: every word, id, order, role and whole number must be the same; of other numbers the
largest difference is told, by name. New keys may come, none may go.
"""

from __future__ import annotations

import argparse
import json
import re
import shutil
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))

from against import ROOT, State, two_states  # noqa: E402

CATALOGS = ROOT / "catalogs"
MIXINGS = ("left alone", "steady", "whirlpool pump", "vigorous")
AFTER_TAP = '[[cooling]]\nsource = "tap"\nuntil = {until}\n[[cooling]]\n{then}\n'
ICE = 'source = "ice bath"\npump = "pump-small"\nwater = "10 L"\nice = "6 kg"'
PLANS = {
    "ice": AFTER_TAP.format(until='"35 degC"', then=ICE),
    "ice best": AFTER_TAP.format(until='"best"', then=ICE),
    "bucket": '[[cooling]]\nsource = "bucket"\npump = "pump-small"\nwater = "20 L"\nbucket = "25 L"\n'
    "refills = 3\n",
    "precooled": AFTER_TAP.format(until='"40 degC"', then=ICE.replace("ice bath", "precooled tap")),
    "stand": '[[cooling]]\nsource = "tap"\nuntil = "80 degC"\n[[cooling]]\nhold = "20 min"\n'
    '[[cooling]]\nsource = "tap"\n',
}
LIMITS = {
    "no limits": [(r"(?m)^chill_time = .*\n|^budget = .*\n|^difficulty = .*\n", "")],
    "water": [(r'(?m)^# water = "300 L"', 'water = "120 L"')],
    "short": [(r"(?m)^chill_time = .*", 'chill_time = "14 min"')],
    "too short": [(r"(?m)^chill_time = .*", 'chill_time = "6 min"')],
    "poor": [(r"(?m)^budget = .*", "budget = 45")],
    "first build": [(r"(?m)^difficulty = .*", 'difficulty = "first build"')],
    "poor and short": [
        (r"(?m)^budget = .*", "budget = 60"),
        (r"(?m)^chill_time = .*", 'chill_time = "10 min"'),
    ],
}
KETTLES = {
    "warm tap": [(r'(?m)^temperature = "12 degC"', 'temperature = "24 degC"')],
    "weak tap": [(r'(?m)^open_flow = .*', 'open_flow = "3 L in 60 s"')],
    "large": [(r'inside_diameter = "33 cm"', 'inside_diameter = "45 cm"'),
              (r'inside_height = "33 cm"', 'inside_height = "45 cm"'),
              (r'volume = "24 L"', 'volume = "50 L"')],
    "small": [(r'inside_diameter = "33 cm"', 'inside_diameter = "24 cm"'),
              (r'inside_height = "33 cm"', 'inside_height = "24 cm"'),
              (r'volume = "24 L"', 'volume = "8 L"')],
    "all settings": [(r"(?m)^# flow_settings", "flow_settings"), (r"(?m)^# layouts", "layouts"),
                     (r'\["full", "half", "third"\]', '["full", "three quarters", "half", "quarter"]')],
    "one way": [(r"(?m)^# flow_settings.*", 'flow_settings = ["full"]'),
                (r"(?m)^# layouts.*", 'layouts = ["single"]')],
    "touching": [(r'(?m)^smallest_gap = "5 mm"', 'smallest_gap = "0 mm"')],
    "hangs": [(r'(?m)^coil_rests = "feet" ', 'coil_rests = "hangs" ')],
    "levels": [(r"(?m)^# \[wishes\]", '[wishes]\nchill_time = { target = "15 min" }\n#')],
    "many batches": [(r"(?m)^# \[wishes\]", "[wishes]\nbatches = 400\nhour = 15\n#")],
    "few batches": [(r"(?m)^# \[wishes\]", "[wishes]\nbatches = 8\nhour = 2\ncoils_wound = 4\n#")],
    "dear water": [(r"(?m)^# \[wishes\]", "[wishes]\nwater_price = 20\n#")],
    "volumes": [(r'volume = "24 L"', 'volume = ["18 L", "24 L"]')],
}  # fmt: skip

TOLD = 1e-9
"""Share from which a number counts as another."""


def houses(folder: Path) -> Iterator[tuple[str, Path]]:
    """Kettles of every kind, written into a folder: their names, and where they lie."""
    shutil.copytree(CATALOGS, folder / "catalogs")
    edits: dict[str, list[tuple[str, str]]] = {}
    for demo in ("", "us", "wide", "stove"):
        edits[f"{demo}|"] = []
        for mixing in MIXINGS:
            edits[f"{demo}|{mixing}"] = [(r'(?m)^mixing = "now and then"', f'mixing = "{mixing}"')]
    for name, plan in PLANS.items():
        edits[f"|{name}"] = [(r"(?m)^\[workshop\]", plan.replace("\\", "") + "\n[workshop]")]
    edits |= {f"|{name}": changes for name, changes in (LIMITS | KETTLES).items()}
    for name in ("short", "poor", "poor and short"):
        edits[f"us|{name}"] = LIMITS[name]
        edits[f"stove|{name}"] = LIMITS[name]
    for name, changes in edits.items():
        demo, what = name.split("|")
        file = folder / "catalogs" / demo / "brewhouse.toml"
        text = file.read_text(encoding="utf-8")
        for pattern, by in changes:
            text, found = re.subn(pattern, by, text)
            assert found, (name, pattern)
        into = file.with_name(f"{what or 'as it is'}.toml")
        into.write_text(text, encoding="utf-8")
        yield f"{demo or 'brewhouse'}: {what or 'as it is'}", into


def answers(state: State, file: Path, folder: Path) -> dict[str, object]:
    """What a state says of a kettle: its trade-off with the whole front, in which the recommendation is."""
    found: dict[str, object] = {}
    command = ["-m", "optichill.cli.main"]
    out = folder / state.name.replace("/", "_")
    shutil.rmtree(out, ignore_errors=True)
    state.run([*command, "pareto", str(file), "--out", str(out)], folder, check=False)
    for result in out.rglob("result.json"):
        found["pareto"] = json.loads(result.read_text(encoding="utf-8"))
    for table in out.rglob("front.csv"):
        found["front"] = [line.split(",")[0] for line in table.read_text(encoding="utf-8").splitlines()[1:]]
    if not found:
        said, *_ = state.run([*command, "recommend", str(file), "--json", "-"], folder, check=False)
        found["recommend"] = json.loads(said) if said.startswith("{") else said
    return found


def differences(here: object, there: object, path: str = "") -> Iterator[tuple[str, float, str]]:
    """Where two documents differ: path, by what share (inf where it is no matter of degree), and how."""
    if isinstance(here, dict) and isinstance(there, dict):
        for key in there:
            if key not in here:
                yield f"{path}.{key}", float("inf"), "gone"
            else:
                yield from differences(here[key], there[key], f"{path}.{key}")
    elif isinstance(here, list) and isinstance(there, list):
        if len(here) != len(there):
            yield path, float("inf"), f"{len(here)} for {len(there)}"
        for n, (a, b) in enumerate(zip(here, there, strict=False)):
            yield from differences(a, b, f"{path}[{n}]")
    elif isinstance(here, float) and isinstance(there, float):
        share = abs(here - there) / max(abs(here), abs(there), 1e-300)
        if share > TOLD:
            yield path, share, f"{here!r} for {there!r}"
    elif here != there and not path.endswith((".made_by", ".version")):
        yield path, float("inf"), f"{here!r} for {there!r}"[:200]


def main() -> int:
    """Print, kettle by kettle, what differs; the exit status is 1 where anything but numbers does."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--against", default="HEAD", metavar="COMMIT")
    parser.add_argument("--only", default="", help="kettles whose name holds this")
    given = parser.parse_args()
    worst: dict[str, tuple[float, str]] = {}
    different = asked = 0
    with two_states(given.against) as (here, there), tempfile.TemporaryDirectory() as folder:
        for name, file in houses(Path(folder)):
            if given.only not in name:
                continue
            asked += 1
            new, old = (answers(state, file, Path(folder)) for state in (here, there))
            found = list(differences(new, old))
            numbers = [f for f in found if f[1] < float("inf")]
            others = [f for f in found if f[1] == float("inf")]
            for path, share, how in numbers:
                key = re.sub(r"\[\d+\]", "[]", path)
                if share > worst.get(key, (0.0, ""))[0]:
                    worst[key] = (share, f"{name}: {how}")
            different += bool(others)
            most = max((f[1] for f in numbers), default=0.0)
            ids = len(old.get("front", []))  # type: ignore[arg-type]
            print(
                f"{name:<32} front {ids:>4}  other than numbers {len(others):>3}  numbers within {most:.1e}"
            )
            for path, _, how in others[:8]:
                print(f"    {path}: {how}")
            sys.stdout.flush()
    print(f"{asked} kettles, {different} of them answered otherwise; numbers that differ most:")
    for key, (share, how) in sorted(worst.items(), key=lambda item: -item[1][0])[:40]:
        print(f"  {share:.1e} {key}  ({how})")
    return 1 if different else 0


if __name__ == "__main__":
    sys.exit(main())
