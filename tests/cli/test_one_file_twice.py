"""Nothing of what a command writes is lost to the JSON that it writes last."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
import small_stock
from conftest import Done

Run = Callable[..., Done]


@pytest.fixture
def nothing_is_searched(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("optichill.api.search_pass.search_space", None)


@pytest.mark.usefixtures("nothing_is_searched")
def test_json_over_the_coil_is_refused_at_once(optichill: Run, tmp_path: Path) -> None:
    folder, coil = small_stock.write(tmp_path), tmp_path / "coil.toml"
    (tmp_path / "out").mkdir()
    (tmp_path / "link").symlink_to(coil)
    for same in (coil, tmp_path / "out" / ".." / "coil.toml", tmp_path / "link"):
        for more in ((), ("--force",)):
            done = optichill("recommend", folder, "--save-coil", coil, "--json", same, *more)
            assert done.status == 2 and done.out == "" and len(done.err.splitlines()) == 1
            assert str(same) in done.err and "give another name" in done.err
            assert not coil.exists()


@pytest.mark.usefixtures("nothing_is_searched")
@pytest.mark.parametrize("name", ["result.json", "front.csv", "tradeoff.html", "index.json"])
def test_json_over_a_file_of_the_report_is_refused(optichill: Run, tmp_path: Path, name: str) -> None:
    folder, out = small_stock.write(tmp_path), tmp_path / "out"
    out.mkdir()
    at = out / "small-kettle" / name
    done = optichill("pareto", folder, "--out", out, "--json", at, "--force")
    assert done.status == 2 and len(done.err.splitlines()) == 1 and str(at) in done.err
    assert not list(out.iterdir())


def test_json_over_the_sheet_is_refused(optichill: Run, tmp_path: Path) -> None:
    folder, out = small_stock.write(tmp_path), tmp_path / "out"
    out.mkdir()
    for name in ("sheet-rank-1.html", "sheet-rank-1.pdf", "index.json"):
        at = out / "small-kettle" / name
        done = optichill("sheet", folder, "--rank", "1", "--out", out, "--json", at, "--force")
        assert done.status == 2 and len(done.err.splitlines()) == 1 and str(at) in done.err
        assert not list(out.iterdir())
