"""The starter kit: a brewhouse file made from the packaged example and a few answers, and the five lists; and
by itself a coil file to measure a coil into.

The packaged examples are the only template: an answer replaces the value behind its key, a key that is not
answered and may be left out goes behind a comment sign, and the words that it is an example are taken out.
"""

from __future__ import annotations

import csv
import io
import re
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from optichill.errors import CannotWrite, InputFault, InputFaults
from optichill.files.faults import Findings
from optichill.files.reading import DEFAULT_NAME, packaged, parse_toml, validated
from optichill.files.tables import Cells, read_models, read_text
from optichill.files.writing import write_whole
from optichill.model.brewhouse import Brewhouse
from optichill.model.stock import Form
from optichill.spellings import without_sign
from optichill.units import QuantityError, number

LISTS = ("tubing.csv", "forms.csv", "benders.csv", "fittings.csv", "pumps.csv")
EXAMPLES = {"metric": "", "us": "us/"}
"""Folder of the packaged example by units; a US kit holds the sizes that a shop there sells."""
COIL_NAME = "coil.toml"
DEFAULT_BREWHOUSE = "My brewhouse"
UNKNOWN = "unknown"  # the answer of somebody who has not held a bucket under the tap
NONE = "none"  # no such limit

KEYS = {
    "name": "name",
    "units": "units",
    "inside_diameter": "kettle.inside_diameter",
    "inside_height": "kettle.inside_height",
    "volume": "wort.volume",
    "target_temperature": "wort.target_temperature",
    "mixing": "wort.mixing",
    "temperature": "tap.temperature",
    "open_flow": "tap.open_flow",
    "chill_time": "limits.chill_time",
    "budget": "limits.budget",
}
"""Answer: where it stands in the brewhouse file."""
_MAY_BE_LEFT_OUT = {"open_flow": UNKNOWN, "chill_time": NONE, "budget": NONE, "difficulty": NONE}

_HEAD = """\
# Your brewhouse. Every value is text with its unit; a line behind # is not read.
# The prices in the lists beside this file are invented for the example: put in your own.
# Water near boiling comes out of a chiller at first: hose rated for it, tied to something fixed.

"""


@dataclass(frozen=True)
class Answers:
    """What goes into a starter kit, as text with units; budget is a bare number.

    open_flow may be UNKNOWN, chill_time and budget NONE. forms and rolls are ids of the packaged lists that
    the brewer owns; own_forms are round things of no list, as (outside diameter, height).
    """

    name: str
    units: str
    inside_diameter: str
    inside_height: str
    volume: str
    target_temperature: str
    mixing: str
    temperature: str
    open_flow: str
    chill_time: str = NONE
    budget: str = NONE
    forms: tuple[str, ...] = ()
    own_forms: tuple[tuple[str, str], ...] = ()
    rolls: tuple[str, ...] = ()


def defaults(units: str) -> Answers:
    """The values of the packaged example, without its limits and without what its brewer owns."""
    text = packaged(EXAMPLES[units] + DEFAULT_NAME).read_text(encoding="utf-8")
    left_out = {"name", "units", "chill_time", "budget"}
    found: dict[str, Any] = {key: _value(text, key) for key in KEYS if key not in left_out}
    return Answers(name=DEFAULT_BREWHOUSE, units=units, **found)


def faults_of(answers: Answers) -> list[InputFault]:
    """What a reader of the kit would refuse, by the keys of KEYS and the columns of forms.csv."""
    faults = Findings()
    try:
        raw = parse_toml(brewhouse_text(answers), DEFAULT_NAME, faults)
    except QuantityError as error:
        return [InputFault(DEFAULT_NAME, 0, KEYS["budget"], answers.budget, error.reason, error.allowed)]
    if raw is not None:
        validated(raw, Brewhouse, DEFAULT_NAME, {}, faults)
    rows = [Cells(0, row) for row in _own_rows(answers)]
    read_models(rows, Form, "forms.csv", "form_id", answers.units, faults)
    for name, owned in (("forms.csv", answers.forms), ("tubing.csv", answers.rolls)):
        known = ids_of(name, answers.units)
        faults += [InputFault(name, 0, "owned", key, "not in the list") for key in owned if key not in known]
    return faults


def brewhouse_text(answers: Answers) -> str:
    """The brewhouse file for the answers.

    Raises
    ------
    QuantityError
        For a budget that is no number.
    """
    text = packaged(EXAMPLES[answers.units] + DEFAULT_NAME).read_text(encoding="utf-8")
    text = _HEAD + text[text.index("name = ") :]
    text = re.sub('(?m)^# mouth = "[^"]*"', lambda _: f"# mouth = {_quoted(answers.inside_diameter)}", text)
    for name in KEYS:
        text = _answered(text, name, getattr(answers, name))
    return _answered(text, "difficulty", NONE)


def _value(text: str, key: str) -> str:
    found = re.search(rf'(?m)^{key} = "([^"]*)"', text)
    if found is None:
        raise LookupError(f"the packaged example lacks {key}")
    return found[1]


def _answered(text: str, key: str, value: str) -> str:
    """The text with a value behind its key, or with the key's line behind a comment sign."""
    line = rf'(?m)^{key} = ("[^"]*"|[0-9.]+)'
    if value == _MAY_BE_LEFT_OUT.get(key):
        return re.sub(line, r"# \g<0>", text)
    if key == "budget":
        plain, sign = without_sign(value, _value(text, "currency") if 'currency = "' in text else "EUR")
        if sign and not plain:
            raise QuantityError(f"'{sign}' is not the currency of this kit", "a number such as 300")
        written = f"{number(plain):.10g}"
    else:
        written = _quoted(value)
    return re.sub(line, lambda _: f"{key} = {written}", text, count=1)


def _quoted(value: str) -> str:
    escaped = value.replace("\\", "\\\\").replace('"', '\\"')
    return f'"{escaped}"'


def ids_of(name: str, units: str) -> dict[str, dict[str, str]]:
    """Rows of a packaged list by the id in their first column, in its order."""
    rows = csv.DictReader(
        io.StringIO(packaged(EXAMPLES[units] + name).read_text(encoding="utf-8"), newline="")
    )
    return {next(iter(row.values())): row for row in rows}


def list_text(name: str, answers: Answers) -> str:
    """A packaged list for the reader's own use.

    Tubes, forms and benders that the example's brewer owns are the reader's only by the answers.
    """
    rows = ids_of(name, answers.units)
    owned = {"tubing.csv": answers.rolls, "forms.csv": answers.forms, "benders.csv": ()}.get(name)
    if owned is not None:
        for key, row in rows.items():
            row["owned"] = "yes" if key in owned else "no"
    written = [*rows.values(), *(_own_rows(answers) if name == "forms.csv" else ())]
    out = io.StringIO(newline="")
    writer = csv.DictWriter(out, list(written[0]), lineterminator="\n")
    writer.writeheader()
    writer.writerows(written)
    return out.getvalue()


def _own_rows(answers: Answers) -> list[dict[str, str]]:
    """Rows of forms.csv for the brewer's own forms."""
    return [
        {
            "form_id": f"own-{place}",
            "description": f"round form {place}; a coil must slide off one end",
            "outer_diameter": across,
            "height": tall,
            "open_end": "yes",
            "owned": "yes",
        }
        for place, (across, tall) in enumerate(answers.own_forms, 1)
    ]


@dataclass(frozen=True)
class Written:
    """What init did: files written, and files that were there and stayed."""

    written: tuple[Path, ...]
    kept: tuple[Path, ...]


def write_kit(folder: Path, answers: Answers, *, force: bool = False) -> Written:
    """Write the brewhouse file and the lists; what exists is kept unless force.

    Raises
    ------
    InputFaults
        The kit could not be read back; nothing was written.
    CannotWrite
        A file could not be written; those before it are whole.
    """
    faults = faults_of(answers)
    if faults:
        raise InputFaults(faults)
    texts = {DEFAULT_NAME: brewhouse_text(answers)}
    texts |= {name: list_text(name, answers) for name in LISTS}
    return _written(folder, texts, force)


def write_coil(folder: Path, units: str, *, force: bool = False) -> Written:
    """Write the example of a coil as measured, and nothing else; one that exists is kept unless force.

    Raises
    ------
    CannotWrite
        The file could not be written.
    """
    text = packaged(EXAMPLES[units] + COIL_NAME).read_text(encoding="utf-8")
    return _written(folder, {COIL_NAME: text}, force)


def refuse_no_folder(folder: Path) -> None:
    """Raise CannotWrite where a kit is to go into what is no folder."""
    if exists(folder) and not folder.is_dir():
        raise CannotWrite(
            f"{folder}: is no folder, and five files go into one: give a folder, an existing or a new one"
        )


def _written(folder: Path, texts: dict[str, str], force: bool) -> Written:
    refuse_no_folder(folder)
    written, kept = [], []
    for name, text in texts.items():
        path = folder / name
        if exists(path) and not force:
            kept.append(path)
            continue
        write_whole(path, text)
        written.append(path)
    return Written(tuple(written), tuple(kept))


def units_there(folder: Path) -> str:
    """Units of a folder's brewhouse file; metric where there is none, or none that can be read."""
    file = folder / DEFAULT_NAME
    text = read_text(file, "", Findings()) if exists(file) else None
    said = (parse_toml(text or "", "", Findings()) or {}).get("units")
    return said if isinstance(said, str) and said in EXAMPLES else "metric"


def exists(path: Path) -> bool:
    """Whether something stands there, a dangling link too."""
    return path.exists() or path.is_symlink()
