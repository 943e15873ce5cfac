"""What a command may overwrite, what it leaves alone, and what it leaves behind."""

from __future__ import annotations

import json
import os
import time
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import kits
import pytest

from optichill import temporary
from optichill.cli.common import check_places, write_json
from optichill.errors import CannotWrite, OptichillError
from optichill.files.ownership import HEAD, INDEX, write_report
from optichill.files.reading import load
from optichill.files.writing import alone, write_whole
from optichill.model.brewhouse import Brewhouse


def ours(**more: int) -> str:
    return json.dumps({**HEAD, **more}) + "\n"


def test_json_replaces_json_of_ours(tmp_path: Path) -> None:
    file = tmp_path / "a.json"
    for text in (ours(one=1), ours(two=2)):
        write_json(text, str(file))
        assert file.read_text() == text


FOREIGN = [
    "stock_id,price\na,1\n",
    "name = 1\n",
    '{"name": "Pale ale", "schema_version": 1}\n',  # another program's recipe
    '{"made_by": "optichill 0.1.0"}\n',
    '["optichill"]',
    "[" * 100_000,
]


@pytest.mark.parametrize("content", FOREIGN)
def test_json_leaves_what_others_wrote_alone(tmp_path: Path, content: str) -> None:
    file = tmp_path / "recipe.json"
    file.write_text(content)
    with pytest.raises(CannotWrite, match="recipe.json: exists and is not JSON that optichill wrote"):
        write_json(ours(), str(file))
    assert file.read_text() == content
    write_json(ours(), str(file), force=True)
    assert file.read_text() == ours()


def test_a_link_stays_a_link(tmp_path: Path) -> None:
    real, link = tmp_path / "real.json", tmp_path / "link.json"
    real.write_text(ours())
    link.symlink_to(real)
    write_json(ours(new=1), str(link))
    assert link.is_symlink() and real.read_text() == ours(new=1)


def test_a_link_to_itself_is_left_alone(tmp_path: Path) -> None:
    loop = tmp_path / "loop"
    loop.symlink_to(loop)
    for target in (loop, loop / "a.json"):
        with pytest.raises(CannotWrite):
            check_places(str(kits.write_kit(tmp_path)), str(tmp_path), str(target), force=False)
        with pytest.raises(CannotWrite):
            write_json(ours(), str(target))
    assert loop.is_symlink()


def test_a_folder_or_device_is_refused(tmp_path: Path) -> None:
    with pytest.raises(CannotWrite, match="not an ordinary file"):
        write_whole(tmp_path, "text")
    for force in (False, True):
        with pytest.raises(CannotWrite):
            write_json(ours(), "/dev/null", force=force)
    assert not Path("/dev/null").is_file()


@pytest.mark.parametrize("name", ["brewhouse.toml", "tubing.csv", "pumps.csv", "coil.toml"])
@pytest.mark.parametrize("way", ["json", "save_coil"])
def test_an_input_is_never_written_over(tmp_path: Path, name: str, way: str) -> None:
    """Under its own name, another spelling, or a second name of the same file; with --force too."""
    folder = kits.write_kit(tmp_path)
    (folder / "coil.toml").write_text(kits.COIL)
    os.link(folder / name, folder / "second-name")
    for target in (folder / name, folder / "x" / ".." / name, folder / "second-name"):
        (folder / "x").mkdir(exist_ok=True)
        json_file, save_coil = (str(target), None) if way == "json" else (None, str(target))
        with pytest.raises(CannotWrite, match="never written over"):
            check_places(
                str(folder), ".", json_file, force=True, save_coil=save_coil, coil=str(folder / "coil.toml")
            )


def test_a_missing_folder_is_made_but_not_two(tmp_path: Path) -> None:
    folder = str(kits.write_kit(tmp_path))
    check_places(folder, str(tmp_path / "new"), str(tmp_path / "new" / "a.json"), force=False)
    for out, target in ((tmp_path, tmp_path / "no" / "no" / "a.json"), (tmp_path / "no" / "no" / "no", None)):
        with pytest.raises(CannotWrite, match="make it first"):
            check_places(folder, str(out), str(target) if target else None, force=False)


def test_an_overlong_name_is_refused_at_once(tmp_path: Path) -> None:
    folder, long = str(kits.write_kit(tmp_path)), str(tmp_path / ("a" * 5000))
    for more in ({"out": long}, {"json_file": long}, {"save_coil": long}):
        with pytest.raises(OptichillError, match=r"\.\.\.: cannot be written: ") as caught:
            check_places(folder, **{"out": str(tmp_path), "json_file": None, "force": True, **more})  # type: ignore[arg-type]
        assert caught.value.exit_code == 4 and len(str(caught.value)) < 200


# --- a report folder --------------------------------------------------------------------------------------


@pytest.fixture
def brewhouse(tmp_path: Path) -> Brewhouse:
    (tmp_path / "kit").mkdir()
    return load(kits.write_kit(tmp_path / "kit")).brewhouse


def test_a_report_may_be_written_again(brewhouse: Brewhouse, tmp_path: Path) -> None:
    for text in ("one", "two"):
        write_report(tmp_path / "r", {"front.csv": text}, brewhouse)
        assert (tmp_path / "r" / "front.csv").read_text() == text
    write_report(tmp_path / "r", {"sheet.html": "three"}, brewhouse)
    write_report(tmp_path / "r", {"front.csv": "four"}, brewhouse)
    assert set(json.loads((tmp_path / "r" / INDEX).read_text())["files"]) == {"front.csv", "sheet.html"}


@pytest.mark.parametrize("name", ["front.csv", INDEX])
def test_what_somebody_else_wrote_into_the_folder_stays(
    brewhouse: Brewhouse, tmp_path: Path, name: str
) -> None:
    (tmp_path / name).write_text("mine")
    with pytest.raises(CannotWrite, match="left as it is"):
        write_report(tmp_path, {"front.csv": "new"}, brewhouse)
    assert (tmp_path / name).read_text() == "mine"
    write_report(tmp_path, {"front.csv": "new"}, brewhouse, force=True)
    assert (tmp_path / "front.csv").read_text() == "new"


def test_a_report_that_was_changed_since_stays(brewhouse: Brewhouse, tmp_path: Path) -> None:
    write_report(tmp_path / "r", {"front.csv": "old"}, brewhouse)
    (tmp_path / "r" / "front.csv").write_text("with my remarks")
    with pytest.raises(CannotWrite, match="changed since"):
        write_report(tmp_path / "r", {"front.csv": "new"}, brewhouse)
    assert (tmp_path / "r" / "front.csv").read_text() == "with my remarks"


def test_two_brewhouses_of_one_name_do_not_share_a_folder(brewhouse: Brewhouse, tmp_path: Path) -> None:
    (tmp_path / "other").mkdir()
    other = load(kits.write_kit(tmp_path / "other")).brewhouse
    assert other.slug == brewhouse.slug
    write_report(tmp_path / "r", {"front.csv": "first"}, brewhouse)
    with pytest.raises(
        CannotWrite, match=r"another brewhouse of this name, read from \.\./kit/brewhouse.toml"
    ):
        write_report(tmp_path / "r", {"sheet.html": "second"}, other)
    assert not (tmp_path / "r" / "sheet.html").exists()
    write_report(tmp_path / "r", {"front.csv": "second"}, other, force=True)
    assert (tmp_path / "r" / "front.csv").read_text() == "second"


def test_a_report_cut_short_is_still_known(
    brewhouse: Brewhouse, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The index is written first, with what stood there before."""
    write_report(tmp_path / "r", {"a": "old a", "b": "old b"}, brewhouse)
    real = os.replace

    def stopped(part: str, path: Path) -> None:
        if path.name == "b":
            raise OSError(5, "Input/output error")
        real(part, path)

    with monkeypatch.context() as patch:
        patch.setattr(temporary.os, "replace", stopped)
        with pytest.raises(CannotWrite):
            write_report(tmp_path / "r", {"a": "new a", "b": "new b"}, brewhouse)
    assert (tmp_path / "r" / "b").read_text() == "old b"
    write_report(tmp_path / "r", {"a": "newer a", "b": "newer b"}, brewhouse)


@pytest.mark.parametrize("which", ["index.json", "a", "b"])
def test_a_full_disk_leaves_a_report_as_it_was_and_whose_it_was(
    brewhouse: Brewhouse, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, which: str
) -> None:
    """Also where another was to take it with --force: its own writer is not shut out of it."""
    folder = tmp_path / "r"
    write_report(folder, {"a": "old a", "b": "old b"}, brewhouse)
    (tmp_path / "other").mkdir()
    other = load(kits.write_kit(tmp_path / "other")).brewhouse
    before = {path.name: path.read_bytes() for path in folder.iterdir()}
    real = temporary._write_part

    def full(part: str, data: bytes, path: Path, *, lasting: bool) -> None:
        if path.name == which:
            raise OSError(28, "No space left on device")
        real(part, data, path, lasting=lasting)

    with monkeypatch.context() as patch:
        patch.setattr(temporary, "_write_part", full)
        with pytest.raises(CannotWrite, match="No space left"):
            write_report(folder, {"a": "new a", "b": "new b"}, other, force=True)
    assert {path.name: path.read_bytes() for path in folder.iterdir()} == before
    write_report(folder, {"a": "newer a"}, brewhouse)
    with pytest.raises(CannotWrite, match="another brewhouse"):
        write_report(folder, {"a": "theirs"}, other)


def test_two_reports_into_one_folder_at_once_are_both_known(brewhouse: Brewhouse, tmp_path: Path) -> None:
    names = [f"page-{n}" for n in range(8)]
    with ThreadPoolExecutor(8) as pool:
        list(pool.map(lambda name: write_report(tmp_path / "r", {name: name}, brewhouse), names))
    index = json.loads((tmp_path / "r" / INDEX).read_text())
    assert sorted(index["files"]) == names
    assert parts(tmp_path / "r") == []


def test_a_file_that_a_killed_run_held_is_free_again(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    file = tmp_path / "index.json"
    hold = temporary.alone(file)
    hold.__enter__()
    (mark,) = tmp_path.iterdir()
    monkeypatch.setattr(temporary, "PATIENCE", 0.05)
    with pytest.raises(CannotWrite, match="index.json: .*another run"), alone(file):
        pass
    os.utime(mark, (0, 0))
    with alone(file):
        assert mark.exists()
    assert list(tmp_path.iterdir()) == []


# --- what is half written ---------------------------------------------------------------------------------


def parts(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.iterdir() if path.name.startswith(".optichill-"))


@pytest.mark.parametrize(
    "error", [OSError(28, "Full"), PermissionError(13, "Read-only"), KeyboardInterrupt(), MemoryError()]
)
def test_whatever_ends_a_write_leaves_the_old_file_and_nothing_else(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, error: BaseException
) -> None:
    file = tmp_path / "coil.toml"
    file.write_text("old")

    def fails(*_: object) -> None:
        assert len(parts(tmp_path)) == 1
        raise error

    monkeypatch.setattr(temporary.os, "replace", fails)
    with pytest.raises(CannotWrite if isinstance(error, OSError) else type(error)):
        write_whole(file, "new")
    assert file.read_text() == "old" and parts(tmp_path) == []


def test_a_signal_takes_away_what_is_half_written(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def interrupted(*_: object) -> None:
        temporary.remove_all()
        assert parts(tmp_path) == []
        raise OSError(2, "gone")

    monkeypatch.setattr(temporary.os, "replace", interrupted)
    with pytest.raises(CannotWrite):
        write_whole(tmp_path / "coil.toml", "new")


def test_what_a_kill_left_is_taken_away_an_hour_later(tmp_path: Path) -> None:
    """Only files of our own names, and only old ones."""
    old, fresh, other = (f".optichill-{16 * c}.part" for c in "abz")
    for name in (old, fresh, other, "my.part"):
        (tmp_path / name).write_text("half")
        if name != fresh:
            os.utime(tmp_path / name, (time.time() - 2 * temporary.OLD,) * 2)
    write_whole(tmp_path / "a.txt", "whole")
    assert sorted(path.name for path in tmp_path.iterdir()) == sorted([fresh, other, "a.txt", "my.part"])


def test_permissions_stay_and_a_long_name_can_be_written(tmp_path: Path) -> None:
    file = tmp_path / ("n" * 250)
    write_whole(file, "one")
    file.chmod(0o600)
    write_whole(file, "two")
    assert file.stat().st_mode & 0o777 == 0o600 and file.read_text() == "two"
