"""The page of all keys: it cannot fall behind the models."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Annotated

import pytest
from pydantic import BaseModel

from optichill.files.lists import LISTS
from optichill.model.brewhouse import Brewhouse, Kettle
from optichill.model.coil import Coil
from optichill.model.described import keys, meanings
from optichill.model.frozen import Frozen
from optichill.model.quantity import Quantity
from optichill.report.keys import page


def models(model: type[BaseModel]) -> Iterator[type[BaseModel]]:
    """A model and all that stand below it."""
    yield model
    for key in keys(model):
        if key.table is not None:
            yield from models(key.table)


ALL = sorted(
    {m for top in (Brewhouse, Coil, *(row for row, _, _ in LISTS.values())) for m in models(top)},
    key=lambda model: model.__name__,
)


def test_only_words_of_a_person() -> None:
    """Defaults are written as a person would write them, also those that are worked out."""
    text = "\n".join(page())
    assert "Pydantic" not in text and "(single, nested, parallel)" in text


def test_all_models_are_found() -> None:
    assert {m.__name__ for m in ALL} >= {
        "Kettle",
        "Part",
        "TopUp",
        "Climate",
        "CoolingStage",
        "CoilLayer",
        "Pump",
    }


@pytest.fixture(scope="module")
def said() -> list[str]:
    return page()


@pytest.mark.parametrize("model", ALL, ids=lambda model: model.__name__)
def test_every_field_says_what_it_means_and_is_on_the_page(model: type[BaseModel], said: list[str]) -> None:
    joined = " ".join(" ".join(said).split())
    for key in keys(model):
        assert key.means.endswith("."), (
            f"{model.__name__}.{key.name}: a text below the field says what it means"
        )
        assert key.written or key.table, (
            f"{model.__name__}.{key.name}: its type does not say how it is written"
        )
        assert any(line.startswith(f"{key.name} ") for line in said), key.name
        assert key.means in joined, key.name


class Bare(Frozen):
    """A model as somebody might add it."""

    told: Annotated[float, Quantity("length", 0.0, 1.0)] = 0.5
    """What it is."""
    silent: float = 0.0


def test_a_field_without_a_word_is_found() -> None:
    told, silent = keys(Bare)
    assert (told.means, told.written, told.default) == ("What it is.", "length, 0 mm to 100 cm", "50 cm")
    assert (silent.means, silent.written) == ("", "")
    assert meanings(Kettle)["lid"] == "Whether a lid is on while chilling."


def test_ranges_and_defaults_are_the_models() -> None:
    said = "\n".join(page())
    for line in (
        "inside_diameter            length, 10 cm to 3 m  must be given",
        "wall_clearance             length, 0 mm to 100 cm  (30 mm)",
        "return                     bucket, drain  (bucket)",
        "difficulty                 first build, careful beginner, practised, workshop, or a number 0 to 10",
        "owned                      yes, no  (no)",
    ):
        assert f"\n{line}\n" in said, line
    assert max(map(len, page())) <= 100


def test_the_command_needs_no_brewhouse(tmp_path: Path) -> None:
    (tmp_path / "brewhouse.toml").write_text("broken [")
    done = subprocess.run(
        [sys.executable, "-m", "optichill.cli.main", "check", "--keys"],
        capture_output=True,
        text=True,
        cwd=tmp_path,
    )
    assert done.returncode == 0 and done.stdout.splitlines() == page()
