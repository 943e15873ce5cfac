"""The folder of kept answers, and the key that they stand under."""

from __future__ import annotations

import os
import random
import shutil
import signal
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

import kits
import pytest
from tiers import count

from optichill.files import texts
from optichill.files.kept import program, shelf
from optichill.files.kept.question import Question, question
from optichill.files.lists import LISTS
from optichill.files.places import LIST_NAMES, sources

KEY, OTHER = 64 * "a", 64 * "b"
ROOT_MAY_ALL = not hasattr(os, "getuid") or os.getuid() == 0


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("OPTICHILL_CACHE", str(tmp_path / "cache"))
    return tmp_path / "cache" / "answers"


# --- the folder -------------------------------------------------------------------------------------------


def test_what_is_kept_is_given_back(folder: Path) -> None:
    text = 'Ice, ½ kg\n"\\udcff" {}'
    assert shelf.take(KEY) is None
    shelf.put(KEY, text)
    assert shelf.take(KEY) == text and shelf.take(OTHER) is None
    if os.name == "posix":
        assert folder.stat().st_mode & 0o777 == 0o700


SPOILS: dict[str, Callable[[Path], object]] = {
    "cut short": lambda file: file.write_bytes(file.read_bytes()[:-1]),
    "only its head": lambda file: file.write_bytes(file.read_bytes().split(b"\n")[0]),
    "empty": lambda file: file.write_bytes(b""),
    "one byte": lambda file: file.write_bytes(file.read_bytes().replace(b"24 min", b"25 min")),
    "longer": lambda file: file.write_bytes(file.read_bytes() + b" "),
    "another's": lambda file: file.write_bytes(file.read_bytes().replace(KEY.encode(), OTHER.encode())),
    "no text": lambda file: file.write_bytes(os.urandom(200)),
    "another program's": lambda file: file.write_text('{"question": "none"}\n[]'),
    "huge": lambda file: os.truncate(file, 3 * shelf.LARGEST),
}


@pytest.mark.parametrize("spoil", SPOILS.values(), ids=SPOILS)
def test_what_is_damaged_or_foreign_is_not_told_and_is_replaced(
    folder: Path, spoil: Callable[[Path], object]
) -> None:
    shelf.put(KEY, "24 min")
    (file,) = folder.iterdir()
    spoil(file)
    assert shelf.take(KEY) is None
    shelf.put(KEY, "24 min")
    assert shelf.take(KEY) == "24 min" and list(folder.iterdir()) == [file]


def test_an_answer_under_another_name_is_not_told(folder: Path) -> None:
    shelf.put(KEY, "24 min")
    (file,) = folder.iterdir()
    file.rename(file.with_name(file.name.replace(KEY, OTHER)))
    assert shelf.take(OTHER) is None


@pytest.mark.skipif(os.name != "posix", reason="links and owners as POSIX has them")
def test_no_link_is_followed(folder: Path, tmp_path: Path) -> None:
    shelf.put(KEY, "24 min")
    (file,) = folder.iterdir()
    elsewhere = tmp_path / "elsewhere"
    file.rename(elsewhere)
    file.symlink_to(elsewhere)
    whole = elsewhere.read_bytes()
    assert shelf.take(KEY) is None
    shelf.put(KEY, "25 min")
    assert shelf.take(KEY) == "25 min" and elsewhere.read_bytes() == whole

    folder.rename(tmp_path / "folder")
    folder.symlink_to(tmp_path / "folder")
    assert shelf.take(KEY) is None
    before = sorted((tmp_path / "folder").iterdir())
    shelf.put(OTHER, "26 min")
    assert sorted((tmp_path / "folder").iterdir()) == before


@pytest.mark.skipif(os.name != "posix", reason="modes and owners as POSIX has them")
@pytest.mark.parametrize("mode", [0o770, 0o707, 0o750, 0o701])
def test_a_folder_that_others_may_enter_is_not_used(folder: Path, mode: int) -> None:
    shelf.put(KEY, "24 min")
    folder.chmod(mode)
    assert shelf.take(KEY) is None
    shelf.put(OTHER, "25 min")
    assert len(list(folder.iterdir())) == 1


@pytest.mark.skipif(not ROOT_MAY_ALL or os.name != "posix", reason="only root can give a folder away")
def test_a_folder_of_another_user_is_not_used(folder: Path) -> None:
    shelf.put(KEY, "24 min")
    os.chown(folder, 65534, 65534)
    assert shelf.take(KEY) is None


@pytest.mark.parametrize("where", ["cache", "cache/answers"])
def test_a_file_where_the_folder_should_be(folder: Path, tmp_path: Path, where: str) -> None:
    (tmp_path / where).parent.mkdir(exist_ok=True)
    (tmp_path / where).write_text("in the way")
    shelf.put(KEY, "24 min")
    assert shelf.take(KEY) is None and (tmp_path / where).read_text() == "in the way"


def test_a_folder_in_the_place_of_an_answer(folder: Path) -> None:
    shelf.put(KEY, "24 min")
    (file,) = folder.iterdir()
    file.unlink()
    file.mkdir()
    assert shelf.take(KEY) is None
    shelf.put(KEY, "24 min")
    assert shelf.take(KEY) is None and list(folder.iterdir()) == [file]


@pytest.mark.skipif(ROOT_MAY_ALL, reason="root writes everywhere")
def test_a_folder_that_cannot_be_written(folder: Path) -> None:
    shelf.put(KEY, "24 min")
    folder.chmod(0o500)
    shelf.put(OTHER, "25 min")
    assert shelf.take(KEY) == "24 min" and shelf.take(OTHER) is None
    folder.chmod(0o700)


@pytest.mark.parametrize("call", ["os.makedirs", "os.open", "os.replace", "os.unlink", "os.utime"])
@pytest.mark.parametrize("error", [PermissionError, OSError])
def test_a_disk_that_refuses_disturbs_nobody(
    folder: Path, monkeypatch: pytest.MonkeyPatch, call: str, error: type[OSError]
) -> None:
    """Read-only, full, or failing: whatever the system says no to."""

    def refuse(*_: object, **__: object) -> None:
        raise error(28, "No space left on device")

    shelf.put(KEY, "24 min")
    with monkeypatch.context() as patch:
        patch.setattr(call, refuse)
        shelf.put(OTHER, "25 min")
        told = shelf.take(KEY), shelf.take(OTHER)
    assert told[0] == (None if call == "os.open" else "24 min") and told[1] in (None, "25 min")
    assert shelf.take(KEY) == "24 min" and shelf.take(OTHER) in (None, "25 min")


def test_where_there_is_no_home(monkeypatch: pytest.MonkeyPatch) -> None:
    def unknown() -> Path:
        raise RuntimeError("Could not determine home directory.")

    for name in ("OPTICHILL_CACHE", "XDG_CACHE_HOME", "LOCALAPPDATA"):
        monkeypatch.delenv(name, raising=False)
    monkeypatch.setattr(Path, "home", unknown)
    shelf.put(KEY, "24 min")
    assert shelf.take(KEY) is None


def test_a_relative_cache_folder_does_not_count(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """XDG Base Directory Specification 0.8: all paths set in these variables must be absolute."""
    monkeypatch.delenv("OPTICHILL_CACHE", raising=False)
    monkeypatch.setattr("sys.platform", "linux")
    monkeypatch.setenv("HOME", str(tmp_path))
    monkeypatch.setenv("XDG_CACHE_HOME", "relative")
    shelf.put(KEY, "24 min")
    assert (tmp_path / ".cache" / "optichill" / "answers").is_dir() and not Path("relative").exists()


def test_its_size_is_bounded_and_the_longest_not_asked_for_go(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    keys = [f"{n:064x}" for n in range(12)]
    monkeypatch.setattr(shelf, "MOST", 10)
    for age, key in enumerate(reversed(keys[:10])):
        shelf.put(key, 1000 * "x")
        os.utime(folder / f"{key}.answer", (time.time() - 1000 + age,) * 2)
    assert shelf.take(keys[9]) is not None  # the oldest, asked for just now
    shelf.put(keys[10], 1000 * "x")
    assert [shelf.take(key) is not None for key in keys[7:11]] == [True, False, True, True]
    monkeypatch.setattr(shelf, "MOST_BYTES", 4000)
    shelf.put(keys[11], 1000 * "x")
    assert sum(file.stat().st_size for file in folder.iterdir()) <= 4000
    assert shelf.take(keys[11]) is not None
    monkeypatch.setattr(shelf, "LARGEST", 999)
    shelf.put(KEY, 1000 * "x")
    assert shelf.take(KEY) is None


WRITES = """
import itertools, sys
from optichill.files.kept import shelf
print("go", flush=True)
for n in itertools.count():
    shelf.put(64 * "a", sys.argv[1] + str(n) + 300_000 * "x")
"""


@pytest.mark.skipif(os.name != "posix", reason="kill -9")
def test_killed_while_writing(folder: Path) -> None:
    """What is there is whole, or is not told; what was half written goes when the folder is written to."""
    chance = random.Random(1)
    for _ in range(count(3, 40)):
        child = subprocess.Popen([sys.executable, "-c", WRITES, "n"], stdout=subprocess.PIPE)
        assert child.stdout is not None and child.stdout.readline() == b"go\n"
        time.sleep(chance.uniform(0.0, 0.03))
        child.send_signal(signal.SIGKILL)
        child.wait()
        child.stdout.close()
        found = shelf.take(KEY)
        assert found is None or (found[0], found[-300_000:]) == ("n", 300_000 * "x")
    left = folder / f".optichill-{16 * '0'}.part"
    left.write_text("half")
    os.utime(left, (time.time() - 7200,) * 2)
    shelf.put(KEY, "24 min")
    assert shelf.take(KEY) == "24 min" and not left.exists()


# --- the key ----------------------------------------------------------------------------------------------


@pytest.fixture
def kit(tmp_path: Path) -> Path:
    (tmp_path / "kit").mkdir()
    (tmp_path / "kit" / "coil.toml").write_text(kits.COIL)
    return kits.write_kit(tmp_path / "kit")


def asked(kit: Path, **options: object) -> Question:
    found = question("predict", options, [str(kit)], str(kit / "coil.toml"))
    assert found is not None
    return found


def test_the_same_question_has_the_same_key(kit: Path) -> None:
    assert asked(kit, columns=80) == asked(kit, columns=80)


def test_every_input_is_in_the_key(kit: Path) -> None:
    (kit / "brewhouse.calibration.json").write_text("{}")
    first = asked(kit)
    keys = {first.key}
    for file in sorted(kit.iterdir()):
        whole = file.read_bytes()
        file.write_bytes(bytes([whole[0] ^ 1]) + whole[1:])
        keys.add(asked(kit).key)
        file.write_bytes(whole)
    assert len(keys) == 1 + len(list(kit.iterdir())) == 9 and asked(kit) == first
    for file in ("brewhouse.calibration.json", "pumps.csv", "benders.csv", "fittings.csv"):
        (kit / file).unlink()
        keys.add(asked(kit).key)
    assert len(keys) == 13


def test_the_lists_of_another_folder_are_in_the_key(kit: Path, tmp_path: Path) -> None:
    shutil.copytree(kit, tmp_path / "lists")
    with (kit / "brewhouse.toml").open("a") as file:
        file.write('\n[stock]\nfolder = "../lists"\n')
    first = asked(kit)
    (tmp_path / "lists" / "forms.csv").write_text(kits.FORMS.replace("25 cm", "26 cm"))
    assert asked(kit) != first


def test_options_width_place_and_environment_are_in_the_key(
    kit: Path, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    keys = {asked(kit).key, asked(kit, top=3).key, asked(kit, top=4).key, asked(kit, columns=80).key}
    found = question("improve", {}, [str(kit)], str(kit / "coil.toml"))
    assert found is not None
    keys.add(found.key)
    monkeypatch.setenv("OPTICHILL_ANYTHING", "1")
    keys.add(asked(kit).key)
    monkeypatch.chdir(tmp_path)
    keys.add(asked(kit).key)
    monkeypatch.setattr("optichill.files.kept.question.stamp", lambda: ["another program"])
    keys.add(asked(kit).key)
    assert len(keys) == 8


def test_what_cannot_be_told_for_sure_has_no_key(kit: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    assert question("predict", {}, [str(kit / "nowhere")], None) is None
    assert question("predict", {}, [str(kit)], str(kit / "none.toml")) is None
    if os.name == "posix":
        os.mkfifo(kit / "pipe.toml")
        assert question("predict", {}, [str(kit)], str(kit / "pipe.toml")) is None
    monkeypatch.setattr("optichill.files.kept.question.LARGEST", 10)
    assert question("predict", {}, [str(kit)], None) is None


def test_sources_are_all_that_is_read(kit: Path) -> None:
    """What the lists are called is known in two places: one that is light, and one that reads them."""
    assert tuple(LISTS) == LIST_NAMES
    with texts.noted() as read:
        kits.load(kit)
    assert {path for path in read} <= set(sources(kit)) and asked(kit).covers(read)
    with texts.noted() as read:
        texts.read_text(kit.parent / "another.toml", "", [])
    assert not asked(kit).covers(read)


# --- the program ------------------------------------------------------------------------------------------


@pytest.fixture
def copy(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    room = tmp_path / "room" / "inner"
    room.mkdir(parents=True)
    (room / "physics.py").write_text("FACTOR = 0.023\n")
    (room / "sobol.npy").write_bytes(b"123")
    monkeypatch.setattr(program, "_folder", lambda room: str(tmp_path / "room"))
    return room


@pytest.mark.parametrize("name", ["physics.py", "sobol.npy"])
def test_a_file_of_the_program_that_changes(copy: Path, name: str) -> None:
    """Also by one byte, with its size kept and its time set back."""
    before, file = program.stamp(), copy / name
    assert program.stamp() == before
    was = file.stat()
    time.sleep(0.02)  # the clock of a file system is not that of a processor
    data = file.read_bytes()
    file.write_bytes(data.replace(b"3", b"4"))
    os.utime(file, ns=(was.st_atime_ns, was.st_mtime_ns))
    assert file.stat().st_size == was.st_size and program.stamp() != before


def test_a_file_of_the_program_that_comes_or_goes(copy: Path) -> None:
    before = program.stamp()
    (copy / "__pycache__").mkdir()
    (copy / "__pycache__" / "physics.pyc").write_bytes(b"1")  # follows from the others
    assert program.stamp() == before
    (copy / "more.py").write_text("")
    assert program.stamp() != before
    (copy / "more.py").unlink()
    (copy / "physics.py").rename(copy / "chemistry.py")
    assert program.stamp() != before


def test_another_library_or_python(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.syspath_prepend(tmp_path)
    stamps = [program.stamp()]
    (tmp_path / "numpy-2.9.0.dist-info").mkdir()
    stamps.append(program.stamp())
    (tmp_path / "numpy-2.9.0.dist-info").rename(tmp_path / "numpy-2.9.1.dist-info")
    stamps.append(program.stamp())
    monkeypatch.setattr(sys, "version", "3.99.0")
    stamps.append(program.stamp())
    assert len({tuple(stamp) for stamp in stamps}) == 4


def test_the_stamp_is_of_the_program_that_runs() -> None:
    said = "\n".join(program.stamp())
    for name in ("outside_film.py", "sobol.npy", "sheet.html.jinja", "tubing.csv", "numpy-"):
        assert name in said, name
