"""A study's file that somebody cut, wrote into, or that is another program's: told by its line, never ended
by it, and never written over."""

from __future__ import annotations

import json
import os
import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import optuna
import pytest
from toy_explored import Toy, opened, tried, tries

from optichill.errors import OptichillError
from optichill.search.explore.storage import address
from optichill.search.explore.study_team import kept

HEAD = 4
COILS = 20


@pytest.fixture(scope="module")
def good(tmp_path_factory: pytest.TempPathFactory) -> bytes:
    """A study of 20 coils."""
    path = tmp_path_factory.mktemp("good") / "s"
    tries(path, COILS)
    return path.read_bytes()


def read(path: Path) -> int:
    """Coils in it, as recommend reads them."""
    return kept(Toy(), address(path, "x"), "toy").tried


def changed(**more: Any) -> Callable[[dict[str, Any]], dict[str, Any]]:
    """Of a coil's record."""
    return lambda record: {**record, **more}


def coil(**more: Any) -> Callable[[dict[str, Any]], dict[str, Any]]:
    """Of the coil in it."""
    return lambda r: {**r, "user_attrs": {"coil": {**r["user_attrs"]["coil"], **more}}}


WRONG: dict[str, Any] = {
    "unknown": lambda _: {"op_code": 99},
    "bare": lambda _: {"op_code": 4},
    "deletes the study": lambda _: {"op_code": 1, "study_id": 0, "worker_id": "x"},
    "true": changed(op_code=False),
    "a list": lambda _: [{"op_code": 4}],
    "nan": changed(values=[float("nan"), 1.0, 2.0, 3.0]),
    "huge": changed(values=[10**400, 1.0, 2.0, 3.0]),
    "three": changed(values=[1.0, 2.0, 3.0]),
    "no values": changed(values=None),
    "day": changed(datetime_start="yesterday"),
    "other study": changed(study_id=1),
    "running": changed(state=0),
    "attributes": changed(user_attrs=[]),
    "limits": changed(system_attrs={"constraints:gap": "wide"}),
    "nested": coil(turns={}),
    "no number": coil(turns=float("nan")),
}


@pytest.mark.parametrize("name", WRONG)
def test_a_line_that_is_json_and_no_record_is_named_and_can_be_taken_out(
    good: bytes, tmp_path: Path, name: str
) -> None:
    lines = good.splitlines(keepends=True)
    hurt = json.dumps(WRONG[name](json.loads(lines[-1]))).encode() + b"\n"
    path = tmp_path / "s"
    path.write_bytes(b"".join([*lines[:10], hurt, *lines[10:]]))
    before = path.read_bytes()
    for ask in (read, lambda path: tries(path, 10)):
        with pytest.raises(
            OptichillError, match=f"^{re.escape(str(path))}:11: damaged: .*take this line out"
        ):
            ask(path)
        assert path.read_bytes() == before
    path.write_bytes(good)  # as it says
    assert read(path) == COILS


@pytest.mark.parametrize(
    ("more", "said"),
    [
        ({"tube": "nosuch"}, "tube: nosuch: not a value of it .allowed: thin, thick.: take this line out"),
        ({"turns": "x"}, "turns: x: not a value of it"),
        ({"outer_form_mm": -5}, "outer_form_mm: -5: not a value of it"),
        ({"colour": "red"}, "colour: no such knob"),
    ],
)
def test_a_coil_that_this_brewhouse_does_not_know_is_named_by_its_line(
    good: bytes, tmp_path: Path, more: dict[str, Any], said: str
) -> None:
    lines = good.splitlines(keepends=True)
    lines[9] = json.dumps(coil(**more)(json.loads(lines[9]))).encode() + b"\n"
    (tmp_path / "s").write_bytes(b"".join(lines))
    with pytest.raises(OptichillError, match=f"^{re.escape(str(tmp_path / 's'))}:10: {said}"):
        read(tmp_path / "s")


def test_a_damaged_line_among_the_first_says_nothing_of_taking_it_out(good: bytes, tmp_path: Path) -> None:
    lines = good.splitlines(keepends=True)
    (tmp_path / "s").write_bytes(b"".join([lines[0], b"{}\n", *lines[2:]]))
    with pytest.raises(
        OptichillError, match=r":2: damaged: not a line of a study: give another --study name$"
    ):
        read(tmp_path / "s")


def test_a_study_cut_before_its_first_coil_goes_on_and_is_not_disowned(good: bytes, tmp_path: Path) -> None:
    """Cut after any of its first bytes: reading says that no coil is in it, exploring goes on with it."""
    head = sum(map(len, good.splitlines(keepends=True)[:HEAD]))
    path = tmp_path / "s"
    for kept_bytes in range(0, head, 23):
        path.write_bytes(good[:kept_bytes])
        with pytest.raises(OptichillError, match=r"(no coil is in it yet|cut short before its first coil)"):
            read(path)
        assert path.read_bytes() == good[:kept_bytes]
        opened(path, Toy())
        assert read(path) == 0
    tries(path, COILS)
    assert len(tried(path)) == COILS


def test_a_study_without_its_first_lines_is_left_as_it_is(good: bytes, tmp_path: Path) -> None:
    lines, path = good.splitlines(keepends=True), tmp_path / "s"
    for gone in (2, 3):  # form, key
        path.write_bytes(b"".join(line for n, line in enumerate(lines) if n != gone))
        before = path.read_bytes()
        for ask in (read, lambda path: opened(path, Toy())):
            with pytest.raises(OptichillError, match="says no more whose study it is"):
                ask(path)
        assert path.read_bytes() == before


@pytest.mark.parametrize("end", ["\n", ""])
def test_another_programs_journal_is_refused_and_left_as_it_is(tmp_path: Path, end: str) -> None:
    """Written by optuna itself, for somebody's own study; also without the end of its only line."""
    path = tmp_path / "opt.log"
    storage = optuna.storages.JournalStorage(optuna.storages.journal.JournalFileBackend(str(path)))
    optuna.create_study(study_name="mystudy", storage=storage)
    path.write_bytes(path.read_bytes().rstrip(b"\n") + end.encode())
    before = path.read_bytes()
    for ask in (read, lambda path: opened(path, Toy())):
        with pytest.raises(OptichillError, match="exists and is no study of optichill: left as it is"):
            ask(path)
    assert path.read_bytes() == before and before.count(b"\n") == len(end)


def test_what_is_no_file_is_told_by_what_it_is(tmp_path: Path) -> None:
    (tmp_path / "link").symlink_to(tmp_path / "nowhere")
    os.mkfifo(tmp_path / "pipe")
    told = {
        tmp_path: "is a folder",
        tmp_path / "link": "is a link to .*, where nothing is",
        tmp_path / "pipe": "is a pipe, no file",
        Path("/dev/null"): "is a device, no file",
    }
    for path, said in told.items():
        for ask in (read, lambda path: opened(path, Toy())):
            with pytest.raises(OptichillError, match=f"{said} .allowed: a file for the study"):
                ask(path)
    assert not (tmp_path / "nowhere").exists()


@pytest.mark.parametrize(
    ("given", "said"),
    [
        ("postgresql://club:se-cret@pi:99999/brew", "99999: not a port .allowed: 1 to 65535"),
        ("postgresql://pi:abc/brew", "abc: not a port"),
        ("postgresql://pi,[::1]:0/brew", "0: not a port"),
        ("postgresql:///brew?host=/run/pg&port=70000", "70000: not a port"),
        ("postgresql://club:se-cret@pi/brew?study=", r"\?study=: empty .allowed: a name"),
        ("postgresql://[pi/brew", "not an address"),
    ],
)
def test_an_address_that_none_can_be_is_told_before_anybody_is_asked(given: str, said: str) -> None:
    with pytest.raises(OptichillError, match=f"^--study .*{said}") as found:
        address(given, "x")
    assert "se-cret" not in str(found.value)
    assert address("postgresql://a:5432,[::1]:5433/brew?port=5432", "x").name == "x"
