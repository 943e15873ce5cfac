"""The packaged examples and lists: they load, are marked as examples, hold true sizes and are shipped."""

from __future__ import annotations

import math
import tomllib

import pytest
from where import ROOT

from optichill.files.reading import load, packaged


@pytest.mark.parametrize(
    ("name", "units", "currency"),
    [
        ("brewhouse.toml", "metric", "EUR"),
        ("us/brewhouse.toml", "us", "USD"),
        ("wide/brewhouse.toml", "metric", "EUR"),
        ("stove/brewhouse.toml", "metric", "EUR"),
    ],
)
def test_packaged_examples(name: str, units: str, currency: str) -> None:
    inputs = load(packaged(name))
    house = inputs.brewhouse
    assert house.demo and (house.units, house.stock.currency) == (units, currency)
    assert inputs.first_line.startswith("EXAMPLE KETTLE, NOT YOURS") and "packaged" in inputs.first_line
    assert inputs.warnings == () and inputs.stock.example_prices


def test_packaged_examples_share_lists_and_no_names() -> None:
    names = ("brewhouse.toml", "us/brewhouse.toml", "wide/brewhouse.toml", "stove/brewhouse.toml")
    found = [load(packaged(name)) for name in names]
    assert found[2].stock == found[3].stock == found[0].stock
    assert len({inputs.brewhouse.slug for inputs in found}) == 4
    for inputs, name in zip(found, names, strict=True):
        assert inputs.first_line.endswith(f"(packaged {name})")


def test_packaged_wide_kettle() -> None:
    """24 L over pi/4 40 cm squared stand 19.1 cm deep."""
    house = load(packaged("wide/brewhouse.toml")).brewhouse
    assert house.wort.volume / house.kettle.area == pytest.approx(0.191, abs=5e-4)
    assert house.workshop.layouts == ("single", "nested", "parallel")


def test_packaged_stove_pot() -> None:
    """No tap; the pump keeps to cold water, and what it stands beside has its cautions in the file."""
    inputs = load(packaged("stove/brewhouse.toml"))
    house = inputs.brewhouse
    assert house.tap is None and [stage.source for stage in house.cooling] == ["bucket", "ice bath"]
    (name,) = {stage.pump for stage in house.cooling}
    pump = inputs.stock.pump(name or "")
    assert pump is not None
    # Each filling takes half of the drop in ln(T - T_water); the wort's heat is 4 kJ/(L K), the water's 4.19.
    water, start, until = 14.0, 98.0, 38.0
    after_first = water + math.sqrt((start - water) * (until - water))
    warmest = water + 12 * 4.0 * (start - after_first) / (20 * 4.19)
    assert warmest < pump.max_temperature - 273.15 - 5.0
    text = packaged("stove/brewhouse.toml").read_text(encoding="utf-8")
    for word in ("GFCI", "drip loop", "Local codes", "invented"):
        assert word in text


def test_every_catalog_file_is_shipped() -> None:
    """What the wheel takes along is named in the project file; a folder left out would be missing there."""
    root = ROOT
    project = tomllib.loads((root / "pyproject.toml").read_text(encoding="utf-8"))
    globs = project["tool"]["setuptools"]["package-data"]["optichill.catalogs"]
    shipped = {path for glob in globs for path in (root / "catalogs").glob(glob)}
    there = {p for p in (root / "catalogs").rglob("*") if p.suffix in (".csv", ".toml")}
    assert there and shipped == there


@pytest.mark.parametrize("name", ["brewhouse.toml", "us/brewhouse.toml"])
def test_packaged_lists_have_a_tee(name: str) -> None:
    assert any(f.used_at == "tee" and "example" in f.description for f in load(packaged(name)).stock.fittings)


def test_packaged_lists_are_full() -> None:
    stock = load(packaged("brewhouse.toml")).stock
    assert len(stock.tubing) >= 24 and len(stock.forms) >= 14
    assert {tube.source for tube in stock.tubing} == {"invented for the example"}
    assert {tube.material for tube in stock.tubing} == {"copper", "stainless 304", "stainless 316"}
    assert sum(0.18 <= form.outer_diameter <= 0.32 for form in stock.forms) >= 10
    assert any(form.owned for form in stock.forms) and not all(form.owned for form in stock.forms)


# True sizes by designation (V): ASTM B280 3/8 .375 x .032, 1/2 .500 x .032, 5/8 .625 x .035 in; ASTM B88 L
# nominal 3/8 .500 x .035, nominal 1/2 .625 x .040 in; ASME B36.10 NPS 8 8.625, NPS 10 10.75 in.
@pytest.mark.parametrize(
    ("stock_id", "inches"),
    [
        ("acr-3/8-50ft", (0.375, 0.032)),
        ("acr-1/2-50ft", (0.5, 0.032)),
        ("acr-5/8-50ft", (0.625, 0.035)),
        ("typeL-3/8-50ft", (0.5, 0.035)),
        ("typeL-1/2-50ft", (0.625, 0.040)),
    ],
)
def test_packaged_tube_sizes(stock_id: str, inches: tuple[float, float]) -> None:
    tube = load(packaged("brewhouse.toml")).stock.tube(stock_id)
    assert tube is not None
    assert (tube.outer_diameter / 0.0254, tube.wall / 0.0254) == pytest.approx(inches)


def test_packaged_pipe_sizes() -> None:
    stock = load(packaged("brewhouse.toml")).stock
    for form_id, inches in (("pipe-8-steel", 8.625), ("pipe-10-steel", 10.75)):
        form = stock.form(form_id)
        assert form is not None and form.outer_diameter / 0.0254 == pytest.approx(inches)


def test_every_package_is_shipped() -> None:
    """Each folder with code is named in pyproject.toml: an editable install would hide a missing one."""
    root = ROOT
    tools = tomllib.loads((root / "pyproject.toml").read_text(encoding="utf-8"))["tool"]["setuptools"]
    found = {
        ".".join(path.parent.relative_to(root).parts) for path in (root / "optichill").rglob("__init__.py")
    }
    assert set(tools["packages"]) == found | {"optichill.catalogs"}
    for template in (root / "optichill").rglob("*.jinja"):
        package = next(folder for folder in template.parents if (folder / "__init__.py").exists())
        inside = template.relative_to(package).parent.as_posix()
        shipped = tools["package-data"][".".join(package.relative_to(root).parts)]
        assert ("*.jinja" if inside == "." else f"{inside}/*") in shipped
