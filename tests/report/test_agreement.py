"""A check that fails says so, and no two lines of a screen contradict each other."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
import small_stock
from conftest import Done
from own_coil import SIZES

from optichill.files.coil_file import coil_text
from optichill.files.reading import load
from optichill.model.coil import Coil
from optichill.problem.basis import design_basis
from optichill.rating import hours
from optichill.rating.prediction import AGREES
from optichill.rating.remedies import Remedy
from optichill.report.no_fit import ways_text
from optichill.report.tradeoff.data import page_data
from optichill.report.warnings import of_design
from optichill.search.recommend import search_space
from optichill.search.tradeoff import weigh
from optichill.thermal import cooldown

Run = Callable[..., Done]


def folder_with_coil(folder: Path, house: dict[str, object] | None = None) -> Path:
    small_stock.write(folder, house)
    text = coil_text(Coil(**SIZES), demo=False, brewhouse="Small kettle", units="metric")
    (folder / "coil.toml").write_text(text, encoding="utf-8")
    return folder


def test_a_check_that_fails_is_a_warning(
    optichill: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The quadrature is made wrong by a share: past half a percent the march is told, in every line."""
    folder = folder_with_coil(tmp_path, {"limits": {"chill_time": "60 min"}})
    right = optichill("predict", folder, "--coil", folder / "coil.toml").out
    said = " ".join(right.split())
    assert "agrees within" in said and "failed its own check" not in said
    off = 0.74
    assert abs(1.0 / off - 1.0) > AGREES
    chill = cooldown.chill

    def wrong(*given: object) -> object:
        from dataclasses import replace

        found = chill(*given)  # type: ignore[arg-type]
        return replace(found, time=off * found.time)

    monkeypatch.setattr(hours, "chill", wrong)
    done = optichill("predict", folder, "--coil", folder / "coil.toml")
    said = " ".join(done.out.split())
    assert done.status == 0
    assert "failed its own check" in said and "agrees within" not in said
    time = next(line.split(",")[0] for line in right.splitlines() if line.startswith("TIME"))
    assert time in done.out  # the march's own, which was right


def test_a_way_out_that_is_out_of_reach_is_not_reached_in_any_time() -> None:
    said = ways_text(Remedy("fridge", None, 0.0, 297.15), "metric")
    assert "reached in" not in said and "out of reach" in said
    assert "reached in 12 min" in ways_text(Remedy("fridge", 720.0, 0.0, 297.15), "metric")


def test_a_coils_warnings_are_its_own_on_the_page(tmp_path: Path) -> None:
    stock = small_stock.lists()
    stock["tubing"][0]["wall"] = "0.65 mm"  # so light that it has a warning of its own
    small_stock.write(tmp_path, {}, stock)
    inputs = load(tmp_path)
    basis = design_basis(inputs)
    found = weigh(search_space(basis), in_full=30)
    page = page_data(found, inputs, {})
    light = [
        any("light wall" in text.lower() for text in details["warnings"])
        for details in page["details"].values()
    ]
    assert any(light) and not all(light)
    for name, details in page["details"].items():
        own = of_design(found.full[name], basis)
        assert [text.lower().rstrip(".") for text in details["warnings"]] == [
            text.lower().rstrip(".") for text in own
        ]
    assert not any("light wall" in text.lower() for text in page["warnings"])
