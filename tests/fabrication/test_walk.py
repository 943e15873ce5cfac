"""What the sheet claims of a coil against what is found by walking along its tube in three dimensions.

`walk` lays the tube out from the drawn figures alone; what it finds is held against the marks, the sheet's
tables and the search's checks. A millimetre is what a tape tells.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import kettles
import numpy as np
import pytest
import small_stock
import tiers
import walk
from explored import drawn, one_form
from own_coil import own_bench, two_layers

from optichill.fabrication import markout
from optichill.fabrication.clocking import clock
from optichill.fabrication.obstacles import obstacles
from optichill.fabrication.scene import scene_of
from optichill.fabrication.work_plan import WorkPlan, plan_work
from optichill.files.coil_file import as_written
from optichill.files.reading import load, packaged
from optichill.geometry import supports
from optichill.problem.basis import design_basis
from optichill.problem.placement import fit_checks
from optichill.report.sheet import measure
from optichill.report.sheet.sizes import Sizes
from optichill.report.sheet.work import steps
from optichill.search.designs import as_coil, designs
from optichill.search.explore.grown import grown
from optichill.search.explore.wider import wider
from optichill.search.recommend import recommend, search_space

MM = 1e-3
DEMOS = ("brewhouse.toml", "us/brewhouse.toml", "wide/brewhouse.toml", "stove/brewhouse.toml")


def lengths(plan: WorkPlan, tubes: tuple[walk.Tube, ...]) -> None:
    """Every tube is as long as it is cut, every piece as its marks have it, and one goes on from the other.

    Where a turn ends and its foot bend starts the tube is levelled by the turn's slope, 1 to 3 degrees; the
    crossing between two layers sets off sideways.
    """
    for piece, tube in zip(plan.pieces, tubes, strict=True):
        marks = [s for s in piece.marks.grouped().segments if s.what != markout.TRIM_CUT]
        assert tube.length == pytest.approx(sum(s.length for s in marks), abs=MM)
        for marked, found in zip(marks, tube.stretches, strict=True):
            assert found.what.rstrip("s") == marked.what and found.of.removesuffix(" 2") == marked.of
            assert found.length == pytest.approx(marked.length, abs=MM)
        for apart, bent in tube.joints:
            assert apart < 0.1 * MM
            assert math.degrees(bent) < 3.5 + sideways(plan, marks)


def sideways(plan: WorkPlan, marks: list[markout.Segment]) -> float:
    """By how much a crossing sets off: from layer to layer in its own length [degrees], 0 without one."""
    across = [s.length for s in marks if s.what == markout.CROSSING]
    outer, inner = plan.layers[0], plan.layers[-1]
    return sum(math.degrees(math.asin(0.5 * (outer.diameter - inner.diameter) / x)) for x in across)


def room(plan: WorkPlan, tubes: tuple[walk.Tube, ...]) -> None:
    """Risers keep off the turns, the wall and each other, and end past the rim where the marks have them."""
    kettle, d_o = plan.basis.brewhouse.kettle, plan.tube.outer_diameter
    R, rim = kettle.inside_diameter / 2.0, kettle.inside_height
    layers = [s.points[::6] for tube in tubes for s in tube.all("turns")]
    to_wall, uprights = [], []
    for piece, tube in zip(plan.pieces, tubes, strict=True):
        for planned in (piece.riser_in, piece.riser_out):
            name = next(s.of for s in tube.all("upright") if s.of.startswith(planned.name))
            upright, bend = tube["upright", name].points, tube["foot bend", name].points
            to_wall.append(R - np.hypot(upright[:, 0], upright[:, 1]).max() - d_o / 2.0)
            uprights.append(upright)
            for turns in layers:
                assert walk.nearest(upright, turns) - d_o > 0.005 - 0.5 * MM, "5 mm of air round a riser"
                away = np.linalg.norm(turns - bend[0 if name.startswith("OUT") else -1], axis=1) > 3.0 * d_o
                assert walk.nearest(bend, turns[away]) - d_o > 0.002 - 0.5 * MM, "2 mm of air in its bend"
            level = tube["level", name].points
            end = max(level[[0, -1]], key=lambda p: float(np.hypot(p[0], p[1])))
            assert level[:, 2] == pytest.approx(rim + 0.03)
            assert np.hypot(end[0], end[1]) - R == pytest.approx(
                plan.axis(piece, planned) + planned.bend_radius + planned.level - R, abs=MM
            )
            assert np.hypot(end[0], end[1]) - R > 0.05, "its joint hangs over the wort"
    assert min(to_wall) == pytest.approx(measure.riser_gap(plan), abs=MM)
    for n, one in enumerate(uprights):
        for other in uprights[n + 1 :]:
            assert walk.nearest(one, other) > d_o, "two risers in one place"


def kettle_and_wort(plan: WorkPlan, tubes: tuple[walk.Tube, ...]) -> None:
    """Off the floor, under the wort when it is cold, below the rim when it is hot, and through the mouth."""
    kettle, d_o, basis = plan.basis.brewhouse.kettle, plan.tube.outer_diameter, plan.basis
    points = np.concatenate([s.points for tube in tubes for s in tube.all("turns", "crossing")])
    checks = {
        name: float(c.value[0]) for name, c in fit_checks(basis, plan.shape, plan.placement).rows.items()
    }
    assert points[:, 2].min() - d_o / 2.0 == pytest.approx(checks["floor"], abs=MM)
    for volume, claimed in (
        (basis.cold_volume, plan.placement.cold_level),
        (basis.hot_volume, plan.placement.hot_level),
    ):
        level = walk.surface(tubes, d_o, kettle.inside_diameter, volume)
        assert level == pytest.approx(float(claimed[0]), abs=MM)
    cold = walk.surface(tubes, d_o, kettle.inside_diameter, basis.cold_volume)
    assert cold - points[:, 2].max() - d_o / 2.0 == pytest.approx(checks["submergence"], abs=MM)
    uprights = [s.points for tube in tubes for s in tube.all("upright", "foot bend")]
    assert walk.across(np.concatenate([points, *uprights])) + d_o <= checks["mouth"] + MM


def off_the_form(plan: WorkPlan) -> None:
    """Let go, every layer is wider than its form, also at the least springback, and was never taller."""
    for layer in plan.layers:
        across = (layer.D_form + layer.d_o) / layer.k_high  # closest to the form
        assert across - layer.d_o > layer.D_form
        assert layer.form is None or layer.form.height >= (layer.turns_on_form + 1.0) * layer.d_o


def shown(plan: WorkPlan) -> None:
    """All of it."""
    tubes = walk.walked(scene_of(plan))
    lengths(plan, tubes)
    room(plan, tubes)
    kettle_and_wort(plan, tubes)
    off_the_form(plan)


def random_benches(folder: Path, seed: int, coils: int) -> Iterator[WorkPlan]:
    """Coils that a search finds in households of all kinds, in every layout by turns."""
    rng, found = np.random.default_rng(seed), 0
    for n in range(4 * coils):
        house: dict[str, Any] = kettles.kettle(rng)
        layout = ("single", "nested", "parallel")[n % 3]
        house["workshop"]["layouts"] = [layout]
        house["limits"] = {}
        basis = small_stock.of(folder / str(n), house)
        for design in recommend(basis, top=3).designs[:3]:
            yield plan_work(basis, as_coil(design))
            found += 1
            if found == coils:
                return


OWN = {
    "plain": ({}, {}),
    "tight bends": ({"riser_bend_radius": 0.03, "turns": 9.25}, {}),
    "by hand": ({"riser_bend_radius": 0.06, "turns": 8.0}, {}),
    "riser inside": ({}, {"workshop": {"riser": "inside"}}),
    "touching": ({"pitch": 0.010, "turns": 16.0}, {}),
    "two layers": ({"layout": "nested", **two_layers(0.26, 0.20), "riser_length_in": 0.45}, {}),
    "two coils": ({"layout": "parallel", **two_layers(0.27, 0.19), "riser_length_out": 0.5}, {}),
}


@pytest.mark.parametrize("name", OWN)
def test_coils_of_a_brewer_walked_along(tmp_path: Path, name: str) -> None:
    """Tight and wide bends, part turns, no gap, a riser inside the turns, two layers."""
    coil, house = OWN[name]
    plan = own_bench(tmp_path, house, **coil)[0]
    assert {obstacle.name for obstacle in obstacles(plan)} <= {"stock_length"}
    shown(plan)


@pytest.mark.parametrize(
    "demo",
    [pytest.param(d, marks=pytest.mark.long if d.startswith("stove") else pytest.mark.slow) for d in DEMOS],
)
def test_the_first_four_of_a_demo_walked_along(demo: str) -> None:
    basis = design_basis(load(packaged(demo)))
    designs = recommend(basis, top=4).designs[:4]
    assert len(designs) >= 3
    for design in designs:
        plan = plan_work(basis, as_coil(design))
        shown(plan)
        by_hand(plan)


FEW = 8
"""Of random households' coils: those in which all three layouts are there."""


@pytest.mark.slow
def test_coils_of_random_households_walked_along(tmp_path: Path) -> None:
    """A few in the gate, a hundred in the long run."""
    benches = list(random_benches(tmp_path, 14, tiers.count(FEW, 100)))
    assert len(benches) == tiers.count(FEW, 100)
    assert {plan.coil.layout for plan in benches} == {"single", "nested", "parallel"}
    for plan in benches:
        shown(plan)
        by_hand(plan)


LEVER = 0.010
"""By how much a bender's former is thicker than the tube, at the least [m] (common practice, no source)."""


@pytest.mark.parametrize("name", OWN)
def test_where_a_tool_has_room_for_a_foot_bend(tmp_path: Path, name: str) -> None:
    """None between a riser from below and the turns above it: such a bend is made with its half turn swung
    out. At the top nothing is in the way."""
    coil, house = OWN[name]
    plan = own_bench(tmp_path, house, **coil)[0]
    for piece, tube in zip(plan.pieces, walk.walked(scene_of(plan)), strict=True):
        turns = np.concatenate([s.points for s in tube.all("turns")])
        for planned in (piece.riser_in, piece.riser_out):
            bend = next(s for s in tube.all("foot bend") if s.of.startswith(planned.name))
            foot = bend.points[::-1] if planned.name == "IN" else bend.points
            d_o = plan.tube.outer_diameter
            room = walk.room_of_a_former(turns, foot, plan.tool.radius, d_o + LEVER, d_o)
            assert (room < 0.0) == plan.from_below(planned)


@pytest.mark.parametrize("name", OWN)
def test_the_sheet_tells_where_the_walk_comes_out(tmp_path: Path, name: str) -> None:
    """Clock positions to the half hour, and from riser to riser to the millimetre or half of one."""
    coil, house = OWN[name]
    plan = own_bench(tmp_path, house, **coil)[0]
    scene, sizes = scene_of(plan), Sizes("metric", 1e-3)
    said = " ".join(what for what, _ in steps(plan, scene, sizes))
    stand = []
    for tube in walk.walked(scene):
        into, out = (s.points[50, :2] for s in tube.all("upright"))
        stand.append(into)
        assert f" {clock(turned(into, out))} if the tube climbs against the clock" in said
        assert f"{sizes.length(float(np.linalg.norm(out - into)))} from riser to riser" in said
    for inner in stand[1:]:
        assert f"IN 2 stands at {clock(turned(stand[0], inner))} when IN is at 6 o'clock" in said


def turned(a: walk.Points, b: walk.Points) -> float:
    """From one place to another about the kettle's axis, against the clock [rad]."""
    return float(np.arctan2(b[1], b[0]) - np.arctan2(a[1], a[0])) % (2.0 * math.pi)


FINGERS = 0.020
"""Air for two fingers with pliers beside a column of lacing [m] (common practice, no source)."""


def laced(plan: WorkPlan, tubes: tuple[walk.Tube, ...], said: str) -> None:
    """Where the sheet has the turns laced, fingers have room beside every riser; two layers' combs stand well
    apart."""
    risers = np.concatenate([s.points[::3] for tube in tubes for s in tube.all("foot bend", "upright")])
    told = re.findall(r"the first ([\d.]+) mm along the tube from mark ([A-Z])", said)
    layers = [s for tube in tubes for s in tube.all("turns")]
    if plan.layout.crossing:  # the outer one is told first, but it is wound last
        layers = layers[::-1]
    assert len(told) == len(layers)
    stand = []
    for (first, _), turns in zip(told, layers, strict=True):
        points = turns.points
        gone = np.concatenate([[0.0], np.linalg.norm(np.diff(points, axis=0), axis=1).cumsum()])
        start = points[np.searchsorted(gone, float(first) * MM)]
        half = math.pi * float(np.hypot(*points[len(points) // 2][:2]))
        bound = points[(gone > half) & (gone < gone[-1] - half)]
        angles = np.arctan2(bound[:, 1], bound[:, 0])
        for third in range(3):
            at = math.atan2(start[1], start[0]) + third * 2.0 * math.pi / 3.0
            stand.append(at)
            near = bound[np.cos(angles - at) > math.cos(0.02)]
            assert walk.nearest(near, risers) - plan.tube.outer_diameter > FINGERS
    for outer in stand[:3]:
        for inner in stand[3:]:
            assert math.cos(outer - inner) < math.cos(math.radians(50.0))


@pytest.mark.parametrize("name", OWN)
def test_no_riser_is_in_the_way_of_the_lacing(tmp_path: Path, name: str) -> None:
    """Three columns anywhere had the riser in front of one in every third coil."""
    coil, house = OWN[name]
    plan = own_bench(tmp_path, house, **coil)[0]
    scene = scene_of(plan)
    said = " ".join(what for what, _ in steps(plan, scene, Sizes("metric", 1e-3)))
    laced(plan, walk.walked(scene), said)


@pytest.mark.parametrize("pitch", [0.010, 0.0112, 0.013, 0.016, 0.022])
def test_lacing_goes_round_the_turns_taut_with_a_little_to_spare(pitch: float) -> None:
    """A strand that lies taut: round each turn from where it comes straight from the last to where it leaves
    for the next on the other side; a loop round touching turns."""
    d_o, wire, turns = 0.010, 0.0015, 9.5
    r, met = (d_o + wire) / 2.0, 10
    if pitch == d_o:
        taut = 2.0 * (met - 1) * pitch + 2.0 * math.pi * r
    else:
        lean = math.acos(min(2.0 * r / pitch, 1.0))
        taut = 2.0 * met * (r * (math.pi - 2.0 * lean) + math.sqrt(max(pitch**2 - 4.0 * r**2, 0.0)))
    claimed = float(supports.lacing_wire(turns, pitch, d_o)) / 3.0 - 2.0 * supports.KNOT
    assert taut <= claimed * (1.0 + 1e-9) and claimed < 1.25 * taut


def test_wire_passes_between_turns_only_where_there_is_a_gap(tmp_path: Path) -> None:
    """Touching turns are laced by a loop round all of them; through a gap of 1 mm goes no wire of 1.5; and no
    hand goes between two layers."""

    def said(**coil: Any) -> str:
        plan = own_bench(tmp_path / str(len(list(tmp_path.iterdir()))), None, **coil)[0]
        return " ".join(what for what, _ in steps(plan, scene_of(plan), Sizes("metric", 1e-3)))

    touching = said(pitch=0.010, turns=16.0)
    assert "one loop" in touching and "every gap" not in touching and "comb" not in touching
    assert "no thicker than the gap, 1 mm" in said(pitch=0.011)
    for two in ("nested", "parallel"):
        layers = {"layout": two, **two_layers(0.27, 0.20)}
        told = said(**layers, riser_length_in=0.45, riser_length_out=0.5)
        assert ("with a small hook of wire" in told) == (two == "nested")
        assert "crossed in every gap" in told


HOOK, GRIP = 0.010, 0.030
"""What a lever bender's hook stands out beyond the tube, and what it holds of it [m] (common practice, no
source)."""


@pytest.mark.parametrize("turns", [10.0, 16.0, 16.5])
def test_a_bender_finds_its_hold_for_the_rim_bend(tmp_path: Path, turns: float) -> None:
    """Just under the rim bend its hook stands between riser and turns, or above these; else that bend comes
    first, flat on the bench. The old sheet asked for it beside turns that are 5 mm away."""
    plan = own_bench(tmp_path, turns=turns)[0]
    scene = scene_of(plan)
    (tube,) = walk.walked(scene)
    upright = tube["upright", "IN"].points
    held_by = upright[upright[:, 2] > upright[:, 2].max() - GRIP]
    air = walk.nearest(held_by, tube["turns", ""].points) - plan.tube.outer_diameter
    (said,) = [what for what, _ in steps(plan, scene, Sizes("metric", 1e-3)) if what.startswith("IN riser")]
    assert plan.tool.kind == "lever" and ("RIM BEND FIRST" in said) == (air < HOOK), air


def test_a_riser_inside_the_turns_gets_its_rim_bend(tmp_path: Path) -> None:
    """It is led up through the turns straight, so that the rim bend cannot come first: with little straight
    between the bends no step of the old sheet made it."""
    low = {
        "kettle": {"inside_height": "110 mm"},
        "wort": {"volume": "7 L"},
        "workshop": {"riser": "inside"},
    }
    plan = own_bench(tmp_path, low, turns=2.0, riser_bend_radius=0.050, riser_length_in=0.4)[0]
    (piece,) = plan.pieces
    assert plan.tool.kind != "spring" and piece.riser_in.upright < GRIP
    (rim,) = [w for w, _ in steps(plan, scene_of(plan), Sizes("metric", 1e-3)) if "make the rim bends" in w]
    assert "IN " in rim


@pytest.mark.parametrize("turns", [9.4, 9.6, 9.7, 9.75, 9.8, 9.9])
def test_between_two_risers_a_hand_has_room(tmp_path: Path, turns: float) -> None:
    """Where they come out nearer than 50 mm the sheet says by how much sooner the last turn must end; a coil
    that is shorter by that leaves as much (the other way round where it was past it)."""

    def across(turns: float, name: str) -> tuple[float, str]:
        plan = own_bench(tmp_path / name, turns=turns)[0]
        scene = scene_of(plan)
        (tube,) = walk.walked(scene)
        into, out = (s.points[50, :2] for s in tube.all("upright"))
        return float(np.linalg.norm(into - out)), " ".join(
            w for w, _ in steps(plan, scene, Sizes("metric", 1e-3))
        )

    apart, said = across(turns, "first")
    found = re.search(r"end the turn ([\d.]+) mm sooner", said)
    assert bool(found) == (apart < 0.050)
    if found:
        less = float(found[1]) * MM / (math.pi * 0.2604)
        assert across(turns - less, "sooner")[0] == pytest.approx(0.050, abs=0.003)


def test_the_inner_of_two_coils_is_lowered_straight_down(tmp_path: Path) -> None:
    """Its level parts lie over the rim as the outer coil's risers do: seen from above they pass beside them
    at its place, and strike them when it is turned there, so it is turned above."""
    coil, house = OWN["two coils"]
    plan = own_bench(tmp_path, house, **coil)[0]
    scene = scene_of(plan)
    outer, inner = walk.walked(scene)
    stand = [s.points[::4] for s in outer.all("upright", "level", "rim bend")]
    pass_by = np.concatenate([s.points[::4] for s in inner.all("upright", "level", "rim bend")])

    def nearest(turned: float) -> float:
        c, s = math.cos(turned), math.sin(turned)
        flat = pass_by[:, :2] @ np.array([[c, s], [-s, c]])
        return min(float(np.linalg.norm(flat[:, None] - o[None, :, :2], axis=-1).min()) for o in stand)

    assert nearest(0.0) > 2.0 * plan.tube.outer_diameter
    assert min(nearest(math.radians(a)) for a in range(0, 360, 3)) < plan.tube.outer_diameter
    turns = outer["turns", "outer"].points
    bore = np.hypot(*turns[len(turns) // 2][:2]) - plan.tube.outer_diameter
    for s in inner.all("turns", "foot bend", "upright"):
        assert np.hypot(*s.points[:, :2].T).max() < bore
    (said,) = [w for w, _ in steps(plan, scene, Sizes("metric", 1e-3)) if "inner coil above" in w]
    assert said.index("turn it there") < said.index("lower it straight down")


HANDS, HANDLE, THICK = 0.090, 0.200, 0.015
"""A hand's width; how long a lever bender's handles are from the former's middle, and half as thick as they
are [m] (common practice, no source)."""


def bent_on_the_bench(plan: WorkPlan, said: list[str]) -> None:
    """Where a turn's end was swung out, or lifted off the form, the whole plane of its foot bend misses what
    it left by half a former and two fingers: former, handles and the riser that sweeps are all in it. A
    rim bend that comes first lies on the far side of it."""
    d_o, inside = plan.tube.outer_diameter, plan.basis.brewhouse.workshop.riser == "inside"
    for piece in plan.pieces:
        second = " 2" if piece.name == "inner" else ""
        for riser in (piece.riser_in, piece.riser_out):
            if inside and plan.from_below(riser):
                continue  # closed by hand, no tool
            layer = piece.layers[0] if riser is piece.riser_in else piece.layers[-1]
            starts = (f"{riser.name}{second} riser", f"Now the {riser.name} riser")
            (how,) = [x for x in said if x.startswith(starts) and "oot bend, square" in x]
            lifted = "off the form" in how
            assert lifted or "two hands' widths" in how
            round_ = (layer.on_form if lifted else layer.diameter) / 2.0
            away = HANDS if lifted else 2.0 * HANDS
            place, direction, _ = walk.opened_out(round_, math.pi, away, d_o)
            room = walk.beside_the_plane(place, direction, round_) - d_o / 2.0
            assert room - (d_o + LEVER) / 2.0 > FINGERS, (riser.name, room)
            # Its handles swing under the tube too, where the bench is.
            assert ("over the bench's edge" in how) == (plan.tool.kind == "lever" and not lifted)


def bent_in_its_place(plan: WorkPlan, tubes: tuple[walk.Tube, ...], said: list[str]) -> None:
    """A rim bend that comes last is made round a former beside the upright riser: former, the handle along
    what the hook holds, and the lever on its way, all pass the turns of its own tube, fingers round the
    ends."""
    d_o, R = plan.tube.outer_diameter, plan.tool.radius
    rim = " ".join(x for x in said if "make the rim bends" in x)
    for tube in tubes:
        turns = np.concatenate([s.points[::12] for s in tube.all("turns")])
        for bend in tube.all("rim bend"):
            if not re.search(rf"\b{bend.of} (in the|by hand)", rim):
                continue  # it was made first
            points = bend.points if bend.of.startswith("OUT") else bend.points[::-1]
            up, out = np.array([0.0, 0.0, 1.0]), points[-1] - points[0]
            out = (out - out[2] * up) / np.linalg.norm(out - out[2] * up)
            middle = points[0] + R * out
            away = turns - middle
            square = np.cross(up, out)
            beside = np.hypot(away @ out, away @ up) < R
            if beside.any():
                assert np.abs(away[beside] @ square).min() - d_o / 2.0 > (d_o + LEVER) / 2.0, bend.of
            if plan.tool.kind != "lever":
                continue
            held = -up if f"{bend.of} in the lever bender, hook on the side of the upright" in rim else out
            swept = [math.cos(a) * -out + math.sin(a) * up for a in np.linspace(0.0, math.pi / 2.0, 5)]
            for way in (held, *swept):
                handle = middle + np.linspace(0.0, HANDLE, 11)[:, None] * way
                air = [float(np.linalg.norm(turns - p, axis=1).min()) - d_o / 2.0 - THICK for p in handle]
                assert min(air) > 0.0 and min(air[5:]) > FINGERS, (bend.of, way, air)


def off_past_what_is_bent(plan: WorkPlan, said: list[str]) -> None:
    """When the form is pulled, no riser is bent but that of two layers of one tube: it stands outside the
    form, under the outer layer and its card, points the way the coil comes off, and the strips leave on that
    side, for under the others the crossing lies."""
    off = next(n for n, x in enumerate(said) if "slide it off" in x or "slide the whole off" in x)
    made = [n for n, x in enumerate(said) if re.search("oot bend", x) and n < off]
    if not plan.layout.crossing:
        assert not made
        return
    (bent,) = made
    (piece,) = plan.pieces
    inner, outer = piece.layers
    d_o, R = plan.tube.outer_diameter, plan.tool.radius
    on = inner.on_form / 2.0
    turned = np.linspace(0.0, math.pi / 2.0, 91)
    foot = np.hypot(on, R * np.sin(turned))  # a straight tangent seen from the form's end
    assert foot.min() - d_o / 2.0 >= inner.D_form / 2.0 - 1e-9
    assert foot.max() + d_o / 2.0 < outer.D_form / 2.0, "it lies under the outer layer"
    begun = next(x for x in said if x.startswith("Wind the inner layer"))
    assert "begin at the end over which the form will come off" in begun
    assert "along the form, away from mark" in said[bent]
    assert "out at the IN riser's end" in said[off]
    if "RIM BEND FIRST" in said[bent]:  # its level end stands across the way of a closed roll of card
        assert "card" not in said[off] or "its seam at the riser" in " ".join(said)
    hold, released = said[bent + 1], said[off]
    assert hold.index("strong tape") < hold.index("straps off") < hold.index("wooden strips"), (
        "no second pair"
    )
    assert released.index("Cut string and tape") < released.index("slide the whole off")


def by_hand(plan: WorkPlan) -> None:
    """Every step that needs a tool or a hand's room."""
    scene = scene_of(plan)
    said = [what for what, _ in steps(plan, scene, Sizes("metric", 1e-3))]
    off_past_what_is_bent(plan, said)
    bent_on_the_bench(plan, said)
    bent_in_its_place(plan, walk.walked(scene), said)


@pytest.mark.parametrize("name", OWN)
def test_a_hand_and_its_tool_have_room_at_every_bend(tmp_path: Path, name: str) -> None:
    coil, house = OWN[name]
    by_hand(own_bench(tmp_path, house, **coil)[0])


@pytest.mark.slow
def test_coils_beyond_the_lists_walked_along(tmp_path: Path) -> None:
    """Forms that have to be made, layers of their own turns and gaps: as much room as any other coil has.

    Over a wide step from layer to layer the crossing sets off by more than `lengths` allows a narrow one.
    """
    basis = one_form(tmp_path, layouts=("single", "nested", "parallel"))
    w = wider(search_space(basis))
    some = drawn(w, 3000, seed=21)
    judged = w.judge(some)
    good = np.flatnonzero(judged.holds)
    for layout in ("single", "nested", "parallel"):
        mine = [some[i] for i in good if some[i]["layout"] == layout][:4]
        assert len(mine) > 1
        space, numbers = grown(w.space, [w.coil(setting) for setting in mine])
        for d in designs(space, numbers, None, np.zeros(numbers.size, np.intp)):
            plan = plan_work(basis, as_written(as_coil(d)))
            tubes = walk.walked(scene_of(plan))
            room(plan, tubes)
            kettle_and_wort(plan, tubes)
            off_the_form(plan)
            by_hand(plan)
