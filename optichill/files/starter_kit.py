"""The starter kit: a brewhouse file made from the packaged example and a few answers, and the five lists.

The packaged examples are the only template: an answer replaces the value behind its key, the limits are
put behind comment signs, and the words that it is an example are taken out.
"""

from __future__ import annotations

import csv
import io
import re
from dataclasses import dataclass
from pathlib import Path

from optichill.files.reading import DEFAULT_NAME, packaged
from optichill.files.writing import write_whole

LISTS = ("tubing.csv", "forms.csv", "benders.csv", "fittings.csv", "pumps.csv")
EXAMPLES = {"metric": "", "us": "us/"}
"""Folder of the packaged example by units; a US kit holds the sizes that a shop there sells."""
DEFAULT_BREWHOUSE = "My brewhouse"
UNKNOWN = "unknown"  # the answer of somebody who has not held a bucket under the tap

_HEAD = """\
# Your brewhouse. Every value is text with its unit; a line behind # is not read.
# The prices in the lists beside this file are invented for the example: put in your own.
# Water near boiling comes out of a chiller at first: hose rated for it, tied to something fixed.

"""


@dataclass(frozen=True)
class Answers:
    """What init asks, as text with units; open_flow may be UNKNOWN."""

    name: str
    units: str
    inside_diameter: str
    inside_height: str
    volume: str
    target_temperature: str
    temperature: str
    open_flow: str


def defaults(units: str) -> Answers:
    """The values of the packaged example."""
    text = packaged(EXAMPLES[units] + DEFAULT_NAME).read_text(encoding="utf-8")
    keys = ("inside_diameter", "inside_height", "volume", "target_temperature", "temperature", "open_flow")
    found = {key: _value(text, key) for key in keys}
    return Answers(name=DEFAULT_BREWHOUSE, units=units, **found)


def brewhouse_text(answers: Answers) -> str:
    """The brewhouse file for the answers."""
    text = packaged(EXAMPLES[answers.units] + DEFAULT_NAME).read_text(encoding="utf-8")
    text = _HEAD + text[text.index("name = ") :]
    text = re.sub('(?m)^# mouth = "[^"]*"', f'# mouth = "{answers.inside_diameter}"', text)
    for key, value in vars(answers).items():
        if key != "open_flow" or value != UNKNOWN:
            text = _with_value(text, key, value)
    if answers.open_flow == UNKNOWN:
        text = re.sub("(?m)^open_flow", "# open_flow", text)
    return _without_limits(text)


def _value(text: str, key: str) -> str:
    found = re.search(rf'(?m)^{key} = "([^"]*)"', text)
    if found is None:
        raise LookupError(f"the packaged example lacks {key}")
    return found[1]


def _with_value(text: str, key: str, value: str) -> str:
    quoted = value.replace("\\", "\\\\").replace('"', '\\"')
    return re.sub(rf'(?m)^{key} = "[^"]*"', lambda _: f'{key} = "{quoted}"', text, count=1)


def _without_limits(text: str) -> str:
    head, mark, rest = text.partition("[limits]")
    limits, next_mark, tail = rest.partition("\n# [wishes]")
    return head + mark + re.sub(r"(?m)^([a-z_]+ = )", r"# \1", limits) + next_mark + tail


def list_text(name: str, units: str = "metric") -> str:
    """A packaged list for the reader's own use.

    Forms and benders that the example's brewer owns are not yet the reader's.
    """
    text = packaged(EXAMPLES[units] + name).read_text(encoding="utf-8")
    rows = list(csv.reader(io.StringIO(text, newline="")))
    header = rows[0]
    kept = [header]
    for row in rows[1:]:
        cells = dict(zip(header, row, strict=True))
        if name in ("forms.csv", "benders.csv"):
            cells["owned"] = "no"
        kept.append(list(cells.values()))
    out = io.StringIO(newline="")
    csv.writer(out, lineterminator="\n").writerows(kept)
    return out.getvalue()


@dataclass(frozen=True)
class Written:
    """What init did: files written, and files that were there and stayed."""

    written: tuple[Path, ...]
    kept: tuple[Path, ...]


def write_kit(folder: Path, answers: Answers, *, force: bool = False) -> Written:
    """Write the brewhouse file and the lists; what exists is kept unless force.

    Raises
    ------
    CannotWrite
        A file could not be written; those before it are whole.
    """
    texts = {DEFAULT_NAME: brewhouse_text(answers)}
    texts |= {name: list_text(name, answers.units) for name in LISTS}
    written, kept = [], []
    for name, text in texts.items():
        path = folder / name
        if (path.exists() or path.is_symlink()) and not force:
            kept.append(path)
            continue
        write_whole(path, text)
        written.append(path)
    return Written(tuple(written), tuple(kept))
