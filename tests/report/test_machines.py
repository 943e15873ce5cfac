"""Files for other machines, read back by other libraries than wrote them."""

from __future__ import annotations

import io
import json
import math
import re
from pathlib import Path
from typing import Any

import dxfgrabber
import numpy as np
import pytest
import small_stock
import stl
import svgelements
import walk
from own_coil import SIZES, own_bench, two_layers

from optichill import api
from optichill.cli.main import run
from optichill.errors import CannotWrite
from optichill.fabrication.feet import feet
from optichill.fabrication.scene import scene_of
from optichill.fabrication.work_plan import WorkPlan
from optichill.files.coil_file import coil_text
from optichill.model.coil import Coil
from optichill.report.machines.write import files
from optichill.report.sheet.paper.comb import Comb
from optichill.report.sheet.paper.sizes import POINTS

COILS: dict[str, dict[str, Any]] = {
    "single": {"turns": 9.0},
    "nested": {"layout": "nested", **two_layers(0.26, 0.20, 5.0), "riser_length_in": 0.45},
    "parallel": {"layout": "parallel", **two_layers(0.27, 0.19, 4.0), "riser_length_out": 0.5},
}


@pytest.fixture(scope="module", params=COILS)
def made(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Any:
    plan = own_bench(tmp_path_factory.mktemp(request.param), None, **COILS[request.param])[0]
    return plan, files(plan)


def drawn(data: bytes) -> Any:
    found = dxfgrabber.read(io.StringIO(data.decode()))
    assert found.dxfversion == "AC1024"  # R2010
    assert found.header["$INSUNITS"] == 4  # millimetres
    return found


def line_length(entity: Any) -> float:
    return walk.length(np.array([v.location if hasattr(v, "location") else v for v in entity.vertices]))


def solid(data: bytes) -> Any:
    return stl.mesh.Mesh.from_file("solid.stl", fh=io.BytesIO(data), mode=stl.Mode.BINARY)


def closed(mesh: Any) -> bool:
    """Every edge of a triangle is met once by another that goes along it the other way."""
    places = np.ascontiguousarray(mesh.vectors.reshape(-1, 3)).view("V12").ravel()
    corners = np.unique(places, return_inverse=True)[1].reshape(-1, 3).astype(np.int64)
    a, b = (np.roll(corners, n, axis=1).ravel() for n in (0, -1))
    forth, back = np.sort(a * len(places) + b), np.sort(b * len(places) + a)
    return bool((np.diff(forth) > 0).all() and (forth == back).all())


def volume(mesh: Any) -> float:
    """Of a closed solid whose faces look outwards [mm3]: the tetrahedra under its faces."""
    v = mesh.vectors.astype(float)
    return float(np.einsum("ij,ij->i", v[:, 0], np.cross(v[:, 1], v[:, 2])).sum() / 6.0)


def layers(plan: WorkPlan) -> list[tuple[str, Any]]:
    if len(plan.layers) == 1:
        return [("", plan.layers[0])]
    return list(zip(("-outer", "-inner"), plan.layers, strict=True))


def test_the_comb_for_a_cutter(made: Any) -> None:
    plan, found = made
    for which, layer in layers(plan):
        dxf, svg = drawn(found[f"comb{which}.dxf"]), found[f"comb{which}.svg"]
        holes = sorted((e.center[0], e.radius) for e in dxf.entities if e.dxftype == "CIRCLE")
        assert len(holes) == math.ceil(layer.turns)
        np.testing.assert_allclose(np.diff([x for x, _ in holes]), layer.pitch * 1e3, atol=1e-6)
        np.testing.assert_allclose([2 * r for _, r in holes], layer.d_o * 1e3 + 0.5, atol=1e-6)
        (outline,) = (e for e in dxf.entities if e.dxftype == "LWPOLYLINE" and e.layer == "CUT")
        assert outline.is_closed
        # Whole bars thread over no riser: from end to end through every hole's middle they are sawn in two.
        (saw,) = (np.array([p[:2] for p in e.points]) for e in dxf.entities if e.layer == "SAW")
        middle = {e.center[1] for e in dxf.entities if e.dxftype == "CIRCLE"}
        assert set(saw[:, 1]) == middle and np.ptp(saw[:, 0]) == np.ptp([p[0] for p in outline.points])
        size = np.ptp(np.array([p[:2] for p in outline.points]), axis=0)
        assert size[0] == pytest.approx(holes[-1][0] - holes[0][0] + layer.d_o * 1e3 + 20.0)
        assert size[1] == pytest.approx(Comb(layer.comb, str, "metric").height / POINTS * 1e3)
        assert {e.layer for e in dxf.entities} == {"CUT", "SAW", "TEXT", "TITLE"}
        # A viewer that knows that an inch has 25.4 mm finds the same holes where they are.
        image = svgelements.SVG.parse(io.BytesIO(svg), ppi=25.4)
        round_ones = sorted(
            (s.bbox()[0], s.bbox()[2]) for s in image.elements() if isinstance(s, svgelements.Circle)
        )
        middles = [(a + b) / 2.0 for a, b in round_ones]
        np.testing.assert_allclose(np.diff(middles), layer.pitch * 1e3, atol=1e-3)
        assert round_ones[0][1] - round_ones[0][0] == pytest.approx(layer.d_o * 1e3 + 0.5, abs=1e-3)


def test_the_template_for_a_plotter(made: Any) -> None:
    plan, found = made
    for which, layer in layers(plan):
        dxf = drawn(found[f"template{which}.dxf"])
        cut = [e for e in dxf.entities if e.layer == "CUT"]
        marked = [np.array([p[:2] for p in e.points]) for e in dxf.entities if e.layer == "MARK"]
        (outline,) = cut
        assert np.ptp([p[0] for p in outline.points]) == pytest.approx(math.pi * layer.D_form * 1e3)
        # Wound out by half the tube's thickness, the marked lines are the tube that the turns take.
        shares = sum(float(np.ptp(line[:, 0])) for line in marked) / (math.pi * layer.D_form * 1e3)
        each = math.hypot(math.pi * (layer.D_form + layer.d_o), layer.k * layer.pitch)
        assert shares * each == pytest.approx(layer.tube, abs=1e-3)
        image = svgelements.SVG.parse(io.BytesIO(found[f"template{which}.svg"]), ppi=25.4)
        paths = [s.bbox() for s in image.elements() if isinstance(s, svgelements.Path)]
        assert max(b[2] - b[0] for b in paths) == pytest.approx(math.pi * layer.D_form * 1e3, abs=1e-3)
        assert len(paths) == 1 + len(marked)


def test_three_feet_of_three_heights(made: Any) -> None:
    plan, found = made
    names = ("",) if len(plan.layers) == 1 else ("outer-", "inner-")
    for layer, name in zip(plan.layers, names, strict=True):
        planned = feet(plan, layer)
        low = float(plan.placement.lowest[0]) - plan.tube.outer_diameter / 2.0
        pitch = layer.pitch
        heights = []
        for n in range(3):
            dxf = drawn(found[f"foot-{name}{n + 1}.dxf"])
            (plate,) = (e for e in dxf.entities if e.dxftype == "LWPOLYLINE")
            points = np.array([p[:2] for p in plate.points])
            heights.append(sorted(set(points[:, 1].round(6)))[1] / 1e3)  # floor, notch, top
        assert heights == pytest.approx([low, low + pitch / 3.0, low + 2.0 * pitch / 3.0])
        assert [foot.height for foot in planned] == pytest.approx(heights)
        assert all(0.0 < y < foot.height for foot in planned for _, y in foot.holes)


def test_the_middle_line_in_space(made: Any) -> None:
    """As long as the tube between the trims, and nowhere off an independent walk along it."""
    plan, found = made
    dxf = drawn(found["coil.dxf"])
    lines = [e for e in dxf.entities if e.dxftype == "POLYLINE"]
    assert {e.layer for e in lines} == {"TURNS", "RISERS"} and all(e.mode == "polyline3d" for e in lines)
    turns = sum(line_length(e) for e in lines if e.layer == "TURNS") / 1e3
    marked = [s for p in plan.pieces for s in p.marks.segments]
    assert turns == pytest.approx(sum(s.length for s in marked if s.what in ("turn", "crossing")), abs=1e-3)
    whole = sum(line_length(e) for e in lines) / 1e3
    assert whole == pytest.approx(sum(s.length for s in marked if s.what != "trim"), abs=1.5e-3)
    trod = np.concatenate([s.points for tube in walk.walked(scene_of(plan)) for s in tube.stretches])
    corners = np.concatenate([[v.location for v in e.vertices] for e in lines])[::20] / 1e3
    assert max(walk.nearest(corner[None], trod) for corner in corners) < 1.5e-3  # straights are trod in steps


def test_tube_and_form_for_a_printer(made: Any) -> None:
    plan, found = made
    tubes = [data for name, data in found.items() if name.startswith("tube")]
    assert len(tubes) == len(plan.pieces) and all(len(data) < 2_000_000 for data in found.values())
    for piece, data in zip(plan.pieces, tubes, strict=True):
        mesh = solid(data)
        assert closed(mesh)
        length = piece.marks.cut_length - 0.1
        bar = math.pi / 4.0 * (plan.tube.outer_diameter * 1e3) ** 2 * length * 1e3
        assert volume(mesh) == pytest.approx(bar, rel=0.02)
        middle = np.concatenate(
            [s.points for s in walk.walked(scene_of(plan))[plan.pieces.index(piece)].stretches]
        )
        for point in mesh.vectors.reshape(-1, 3)[::997] / 1e3:
            away = float(np.linalg.norm(middle - point, axis=1).min())
            assert away < plan.tube.outer_diameter / 2.0 + 0.0002
    for which, layer in layers(plan):
        if layer.on_strips:
            assert f"form{which}.stl" not in found
            continue
        mesh = solid(found[f"form{which}.stl"])
        assert closed(mesh)
        tall = max(layer.form_height, layer.template.height + layer.pitch)  # a turn of grip above the lines
        exact = math.pi / 4.0 * (layer.D_form * 1e3) ** 2 * tall * 1e3
        assert volume(mesh) == pytest.approx(exact, rel=0.004)
        v = mesh.vectors.reshape(-1, 3)
        assert np.hypot(v[:, 0], v[:, 1]).max() == pytest.approx(layer.D_form * 500.0, abs=0.1)
        assert v[:, 2].min() == 0.0


def test_a_long_tube_is_told_in_parts_that_meet(tmp_path: Path) -> None:
    plan = own_bench(tmp_path, None, turns=26.0, pitch=0.012)[0]
    parts = [data for name, data in files(plan).items() if name.startswith("tube")]
    assert len(parts) > 1 and all(len(data) < 2_000_000 and closed(solid(data)) for data in parts)
    one, two = (solid(data).vectors.reshape(-1, 3) for data in parts[:2])
    assert {*map(tuple, one)} & {*map(tuple, two)}  # the middle of the faces where they meet


@pytest.mark.slow
def test_the_command_writes_a_folder_beside_the_sheet(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Known by index.json like the sheet, the same bytes twice, and never over what somebody changed."""
    where = small_stock.write(tmp_path / "kettle")
    (where / "mine.toml").write_text(coil_text(Coil(**SIZES), demo=False), encoding="utf-8")

    def make(out: str, *more: str) -> int:
        return run(
            ["sheet", str(where), "--coil", str(where / "mine.toml"), "--out", str(tmp_path / out), *more]
        )

    assert make("one", "--for-machines", "--json", str(tmp_path / "sheet.json")) == 0
    assert "sheet-mine-machines: 13 files in millimetres" in " ".join(capsys.readouterr().out.split())
    assert make("two", "--for-machines") == 0
    one, two = (tmp_path / out / "small-kettle" for out in ("one", "two"))
    written = sorted(p.relative_to(one).as_posix() for p in one.rglob("*") if p.is_file())
    machines = [name for name in written if name.startswith("sheet-mine-machines/")]
    assert len(machines) == 13
    for name in machines:
        assert (one / name).read_bytes() == (two / name).read_bytes(), name
    index = json.loads((one / "index.json").read_text())
    assert set(index["files"]) == {*written} - {"index.json"}
    document = json.loads((tmp_path / "sheet.json").read_text())
    assert sorted(document["files"]) == sorted(set(written) - {"index.json"})
    (one / machines[0]).write_text("mine now")
    assert make("one", "--for-machines") == 5 and (one / machines[0]).read_text() == "mine now"
    assert make("one", "--for-machines", "--force") == 0
    assert (one / machines[0]).read_bytes() == (two / machines[0]).read_bytes()
    assert make("three") == 0 and not (tmp_path / "three/small-kettle/sheet-mine-machines").exists()


def test_from_python_and_not_for_what_cannot_be_built(tmp_path: Path) -> None:
    kettle = api.read(small_stock.write(tmp_path / "kettle"))
    made = api.plan_work(Coil(**SIZES), kettle).save_machines(tmp_path / "laser")
    assert {p.name for p in (tmp_path / "laser").iterdir()} == {p.name for p in made}
    too_wide = api.plan_work(Coil(**{**SIZES, "mean_diameter": 0.355}), kettle)
    with pytest.raises(CannotWrite, match="cannot be built"):
        too_wide.save_machines(tmp_path / "none")
    files = too_wide.report(tmp_path / "sheets", "wide", for_machines=True)
    assert [file.suffix for file in files] == [".html", ".pdf"] and not (tmp_path / "none").exists()


def test_every_file_says_of_which_coil_it_is(made: Any) -> None:
    """In a layer of its own, which holds no line to cut; in a solid's head, which has 80 bytes."""
    plan, found = made
    for name, data in found.items():
        stamp, scale = f"coil {plan.coil_id}: ", "scale 1:1, millimetres"
        if name.endswith(".stl"):
            assert data[:80].startswith(stamp.encode()) and scale.encode() in data[:80], name
            assert len(data) == 84 + 50 * int.from_bytes(data[80:84], "little"), name
        elif name.endswith(".dxf"):
            dxf = drawn(data)
            (title,) = (e for e in dxf.entities if e.layer == "TITLE")
            assert title.dxftype == "TEXT" and title.text.startswith(stamp) and scale in title.text, name
            others = [e.insert[1] for e in dxf.entities if e.dxftype == "TEXT" and e.layer == "TEXT"]
            assert all(title.insert[1] < y - 4.0 for y in others), name
        else:
            assert re.search(rf'<g id="TITLE"[^>]*>\n<text [^>]*>{stamp}[^<]*{scale}</text>', data.decode())
    assert b": middle line of the tube;" in found["coil.dxf"]


def test_texts_are_in_the_brewers_units(tmp_path: Path) -> None:
    plan = own_bench(tmp_path, {"units": "us"})[0]
    said = " ".join(e.text for e in drawn(files(plan)["comb.dxf"]).entities if e.dxftype == "TEXT")
    assert "pitch 0.630 in" in said and " mm" not in said  # 16 mm


def test_chords_keep_to_the_tube() -> None:
    """A polygon whose corners stand out by half of what its flats fall short: both within a tenth of a
    millimetre (hand calculation: 10 mm across, 12 sides, 5.085 and 4.912)."""
    from optichill.report.machines.stl import sides

    assert sides(0.005, 0.0001) == 12
    assert (1 + (1 - math.cos(math.pi / 12)) / 2) * 5.0 == pytest.approx(5.085, abs=1e-3)
