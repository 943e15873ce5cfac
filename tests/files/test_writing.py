"""What a command may overwrite, and what it leaves alone."""

from __future__ import annotations

from pathlib import Path

import pytest

from optichill.cli.common import write_json
from optichill.errors import CannotWrite
from optichill.files.writing import write_whole


def test_json_replaces_json(tmp_path: Path) -> None:
    file = tmp_path / "a.json"
    for text in ('{"one": 1}\n', '{"two": 2}\n'):
        write_json(text, str(file))
        assert file.read_text() == text


@pytest.mark.parametrize("content", ["stock_id,price\na,1\n", "name = 1\n"])
def test_json_leaves_a_list_alone(tmp_path: Path, content: str) -> None:
    file = tmp_path / "tubing.csv"
    file.write_text(content)
    with pytest.raises(CannotWrite, match="tubing.csv: exists and is not JSON"):
        write_json("{}\n", str(file))
    assert file.read_text() == content


def test_a_link_stays_a_link(tmp_path: Path) -> None:
    real, link = tmp_path / "real.json", tmp_path / "link.json"
    real.write_text("{}")
    link.symlink_to(real)
    write_json('{"new": 1}', str(link))
    assert link.is_symlink() and real.read_text() == '{"new": 1}'


def test_a_folder_or_device_is_refused(tmp_path: Path) -> None:
    with pytest.raises(CannotWrite, match="not an ordinary file"):
        write_whole(tmp_path, "text")
    with pytest.raises(CannotWrite):
        write_json("{}", "/dev/null")
    assert not Path("/dev/null").is_file()
