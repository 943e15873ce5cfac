"""What is measured: before any tube is bought, after the coil was let go, and when it is done.

By how much a size may be off is what the limits leave of room for it, held within what a tape can tell and
what a coil can stand (OWN).
"""

from __future__ import annotations

import math

from optichill.display import show, trim
from optichill.fabrication import markout
from optichill.fabrication.mouth import Mouth, mouth_of
from optichill.fabrication.obstacles import HAIR
from optichill.fabrication.scene import outermost, scene_of
from optichill.fabrication.work_plan import WorkPlan
from optichill.fabrication.wound_layer import WoundLayer
from optichill.geometry import helix, risers
from optichill.geometry.bend_allowance import bend_arc, bend_gain, bend_set_back
from optichill.geometry.levels import bare_level
from optichill.report.sheet import through
from optichill.report.sheet.document import Table
from optichill.report.sheet.phrases import called
from optichill.report.sheet.sizes import Sizes

BLANK = "________"

LEAST_OFF, MOST_OFF = 0.001, 0.010
TUBE_OFF, SPRING_OFF = 0.0002, 0.005
BY_TAPE = 0.003
"""What a tape tells inside a kettle or round a form [m] (OWN): no smaller size stops a purchase."""
BATCH_LEAST, BATCH_VARIES = 0.5e-3, 0.02
"""By what one batch is smaller or larger than another: half a litre [m3], or this share (OWN)."""
ABOVE_RIM_OFF = 0.010
"""20 to 40 mm over the rim, of which the middle is planned (common practice, no source)."""


def room(plan: WorkPlan, name: str) -> float:
    """What a limit leaves of room [m]; 0 where it is broken, the most that matters where it does not
    apply."""
    line = next((line for line in plan.rating.limits if line.name == name), None)
    return MOST_OFF if line is None else max(line.margin, 0.0)


def held(value: float, least: float = LEAST_OFF, most: float = MOST_OFF) -> float:
    """Within what a tape can tell and what a coil can stand [m]."""
    return min(max(value, least), most)


def before(plan: WorkPlan, sizes: Sizes) -> Table:
    """To be measured before buying, and when to stop."""
    kettle = plan.basis.brewhouse.kettle
    across = held(2.0 * room(plan, "wall"), BY_TAPE)
    rows = [
        _row("kettle, inside across", kettle.inside_diameter, across, sizes, "less"),
        _row("kettle, inside height", kettle.inside_height, held(_shortest_upright(plan), BY_TAPE), sizes),
        *_depths(plan, sizes),
    ]
    if kettle.mouth < kettle.inside_diameter:
        off = held(room(plan, "mouth"))
        rows.insert(1, _row("kettle, smallest opening", kettle.mouth, off, sizes, "less"))
    tube = plan.tube
    thin = 0.1 * tube.wall
    rows.append(("tube, outside", sizes.tube(tube.outer_diameter), BLANK, _fine(TUBE_OFF, sizes)))
    rows.append((_wall(plan, sizes), sizes.wall(tube.wall), BLANK, _fine(thin, sizes) + " less"))
    for layer in (layer for layer in plan.layers if not layer.on_strips):
        if layer.form is not None and layer.form.made:
            continue  # measured when it is made
        bare = layer.D_form if layer.form is None else layer.form.outer_diameter
        name = f"form{_which(plan, layer)}, bare, outside ({sizes.length(math.pi * bare)} round)"
        rows.append(_row(name, bare, held(across / 2.0, BY_TAPE, 0.004), sizes))
    if plan.listed:
        rows += _rolls(plan, sizes)
    return Table(
        "Measured again before buying",
        ("what", "planned", "measured", "stop if off by"),
        tuple(rows),
        (4.6, 1.8, 1.8, 2.0),
        (1,),
    )


def _rolls(plan: WorkPlan, sizes: Sizes) -> list[tuple[str, str, str, str]]:
    """Length of the roll; of two of a kind of the one that has less to spare, of two lengths of each."""
    found: dict[str, tuple[float, float]] = {}
    for tube, pieces in plan.by_roll:
        takes = sum(p.marks.cut_length + (p.spare if plan.has_spare else 0.0) for p in pieces)
        what = f"roll of the {pieces[0].name} tube, length" if plan.two_lengths else "roll, length"
        spare = min(tube.length - takes, found.get(what, (0.0, math.inf))[1])
        found[what] = tube.length, spare
    rows = []
    for what, (length, spare) in found.items():
        less = "any" if spare < 1e-3 else sizes.long(spare) if spare >= 0.1 else sizes.off(max(spare, 0.0))
        rows.append((what, sizes.long(length), BLANK, f"{less} less"))
    return rows


def _wall(plan: WorkPlan, sizes: Sizes) -> str:
    """The wall, and what the whole roll weighs with it."""
    tube, units = plan.tube, plan.basis.brewhouse.units
    if not plan.listed:
        return "tube, wall"
    d_i = tube.outer_diameter - 2.0 * tube.wall
    mass = float(helix.tube_mass(tube.outer_diameter, d_i, tube.length, tube.metal.density))
    roll = f"the {sizes.long(tube.length)} roll" if plan.two_lengths else "the roll"
    return f"tube, wall (by weight: {roll} weighs {show(mass, 'mass', units)})"


def _row(what: str, planned: float, off: float, sizes: Sizes, way: str = "") -> tuple[str, str, str, str]:
    return (what, sizes.length(planned), BLANK, f"{sizes.off(off)} {way}".rstrip())


def _shortest_upright(plan: WorkPlan) -> float:
    """Straight between the bends of the shorter riser: so much lower may the kettle be [m]."""
    return min(riser.upright for piece in plan.pieces for riser in (piece.riser_in, piece.riser_out))


def _depths(plan: WorkPlan, sizes: Sizes) -> list[tuple[str, str, str, str]]:
    """Less of the smallest batch would bare the turns, more of the largest would stand too near the rim."""
    wort, kettle = plan.basis.brewhouse.wort, plan.basis.brewhouse.kettle
    what = "depth of hot wort at flame-out, coil out"

    def off(name: str, volume: float) -> str:
        varies = max(BATCH_LEAST, BATCH_VARIES * volume) / (math.pi / 4.0 * kettle.inside_diameter**2)
        return sizes.off(held(room(plan, name), varies))

    def row(volume: float, name: str, stop: str) -> tuple[str, str, str, str]:
        return name, sizes.length(float(bare_level(volume, kettle.inside_diameter))), BLANK, stop

    smallest, largest = wort.batches[0], wort.batches[-1]
    less, more = f"{off('submergence', smallest)} less", f"{off('headspace', largest)} more"
    if len(wort.batches) == 1:
        return [row(largest, what, f"{less}, {more}")]
    small, large = (show(volume, "exact_volume", sizes.units) for volume in (smallest, largest))
    return [
        row(largest, f"{what}, of the largest batch, {large}", more),
        row(smallest, f"the same of the smallest batch, {small}", less),
    ]


def _fine(metres: float, sizes: Sizes) -> str:
    return f"{metres / 0.0254:.3f} in" if sizes.units == "us" else f"{trim(metres * 1e3, 2)} mm"


def _which(plan: WorkPlan, layer: WoundLayer) -> str:
    name = called(plan, layer)
    return f" of the {name}" if name else ""


def springback(plan: WorkPlan, sizes: Sizes) -> Table:
    """Both states of each layer: on the form, and let go, with the range that the metal leaves open."""
    rows = []
    for layer in plan.layers:
        which = _which(plan, layer)
        low, high = (layer.relaxed(k) + layer.d_o for k in (layer.k_high, layer.k_low))
        on_form = layer.on_form + layer.d_o
        few, many = layer.turns_on_form * layer.k_low, layer.turns_on_form * layer.k_high
        rows += [
            (
                f"outside across{which}",
                sizes.length(on_form),
                sizes.length(layer.diameter + layer.d_o),
                f"{sizes.length(low)} to {sizes.length(high)}",
                BLANK,
            ),
            (
                f"turns{which}",
                trim(layer.turns_on_form, 2),
                trim(layer.turns, 2),
                f"{trim(few, 2)} to {trim(many, 2)}",
                BLANK,
            ),
            (
                f"height of the turns{which}, touching",
                sizes.length(layer.turns_on_form * layer.d_o + layer.d_o),
                sizes.length(layer.turns * layer.d_o + layer.d_o),
                "",
                BLANK,
            ),
        ]
    return Table(
        "Sizes on the form and after letting go",
        ("size", "on the form", "let go, expected", "let go, range", "measured"),
        tuple(rows),
        (3.4, 1.7, 1.9, 2.6, 1.5),
        (1, 2),
    )


def riser_table(plan: WorkPlan, sizes: Sizes) -> Table:
    """Both risers of each tube: lengths, as the marks have them."""
    rows = []
    for piece in plan.pieces:
        for riser in (piece.riser_in, piece.riser_out):
            name = f"{riser.name}{' 2' if piece.name == 'inner' else ''}"
            told = piece.between_marks(sizes.step, riser.name)
            rows.append(
                (
                    name,
                    sizes.length(riser.foot),
                    _there(riser.upright, told[markout.UPRIGHT], sizes),
                    _there(riser.level, told[markout.LEVEL], sizes),
                    _there(riser.length, sum(told.values()), sizes),
                )
            )
    return Table(
        "The risers",
        ("riser", "foot, over the floor", "straight between bends", "level, straight", "tube without trim"),
        tuple(rows),
        (0.9, 2.2, 2.4, 1.9, 2.2),
        (1, 2, 3, 4),
    )


def _there(length: float, told: float, sizes: Sizes) -> str:
    """A length of tube, `told` between marks, or that there is none: its bends take more than the riser
    has."""
    return sizes.mark(told) if length > -HAIR else "too short"


def bend(plan: WorkPlan, sizes: Sizes) -> str:
    """What one square bend takes: arc, set-back and gain."""
    R = plan.tool.radius
    square = math.pi / 2.0
    arc, back, gain = (float(f(R, square)) for f in (bend_arc, bend_set_back, bend_gain))
    marked = sorted(
        {
            told[bent]
            for piece in plan.pieces
            for told in (piece.between_marks(sizes.step, name) for name in ("IN", "OUT"))
            for bent in (markout.RIM_BEND, markout.FOOT_BEND)
        }
    )
    found = " or ".join(dict.fromkeys(map(sizes.mark, marked)))
    apart = "" if found == sizes.length(arc) else f" ({found} between marks, which are rounded one by one)"
    return (
        f"Every bend is square, radius {sizes.length(R)} to the tube's middle. It takes {sizes.length(arc)} "
        f"of tube{apart}; it begins {sizes.length(back)} before the corner of the two straight lines "
        f"(set-back) and saves {sizes.length(gain)} against going through the corner (gain). Both are in "
        "the marks already."
    )


def finished(plan: WorkPlan, sizes: Sizes) -> Table:
    """The final check: six sizes, what each may be off, and why."""
    outer, kettle = plan.layers[0], plan.basis.brewhouse.kettle
    d_o = outer.d_o
    springs = (outer.relaxed(k) - outer.diameter for k in (outer.k_low, outer.k_high))
    most, least = springs
    wider = max(held(2.0 * room(plan, "wall"), most=SPRING_OFF), most)
    mouth = mouth_of(plan)
    if mouth is not None:  # what the wall would stand, the mouth may not
        wider = min(wider, max(mouth.most - mouth.across, 0.0))
    narrower = max(SPRING_OFF, -least)
    if len(plan.layers) == 2:
        narrower = min(narrower, max(2.0 * room(plan, "layer_gap"), -least))
    # Height and feet share what the wort leaves over the turns.
    taller = min(room(plan, "submergence") / 2.0, SPRING_OFF)
    lower = min(room(plan, "floor"), SPRING_OFF)
    lowest, top = float(plan.placement.lowest[0]), float(plan.placement.top[0])
    rows: tuple[tuple[str, ...], ...] = (
        (
            "across the turns, outside",
            sizes.length(outer.diameter + d_o),
            sizes.either_way(outer.diameter + d_o, wider, narrower),
            _across_because(mouth, wider),
        ),
        *through.final_row(plan, sizes),
        (
            "turns, lowest underside to top",
            sizes.length(top - lowest + d_o),
            sizes.either_way(top - lowest + d_o, taller, SPRING_OFF),
            f"stays under the cold wort{of_the_smallest(plan)}",
        ),
        *_gap_rows(plan, sizes),
        (
            "underside over the kettle floor",
            sizes.length(lowest - d_o / 2.0),
            _flat_or(sizes.either_way(lowest - d_o / 2.0, taller, lower), plan),
            _under(plan, taller, lower),
        ),
        (
            "level risers over the rim, tube's middle",
            sizes.length(risers.ABOVE_RIM),
            sizes.either_way(risers.ABOVE_RIM, ABOVE_RIM_OFF, ABOVE_RIM_OFF),
            "clears rim and lid, no joint in the wort",
        ),
        (
            "risers to the kettle wall, free gap",
            sizes.length(riser_gap(plan)),
            f"not under {sizes.length(risers.AIR_AROUND_RISER)}",
            "the kettle can be filled and emptied round it",
        ),
    )
    if len(plan.layers) == 2:
        rows = (rows[0], _inner_row(plan, sizes), *rows[1:])
    total = sizes.length(kettle.inside_height)
    return Table(
        f"Final check, standing in the kettle ({total} high inside)",
        ("size", "planned", "may be off", "because"),
        rows,
        (3.4, 1.7, 2.2, 3.4),
        (1,),
    )


def of_the_smallest(plan: WorkPlan) -> str:
    """Which batch that is, where there are two."""
    batches, units = plan.basis.brewhouse.wort.batches, plan.basis.brewhouse.units
    return f" of the smallest batch, {show(batches[0], 'exact_volume', units)}" if len(batches) > 1 else ""


def _under(plan: WorkPlan, higher: float, lower: float) -> str:
    """Why the underside is where it is: on the floor nothing is under it, and what may not be higher keeps
    the wort over its top."""
    if plan.basis.brewhouse.kettle.coil_rests == "floor":
        return "it lies on the floor"
    below, above = "wort under it, trub left alone", f"cold wort over the top turn{of_the_smallest(plan)}"
    if higher < LEAST_OFF <= lower:
        return above
    return f"{below}; {above}" if higher < SPRING_OFF else below


def _flat_or(off: str, plan: WorkPlan) -> str:
    """What it may be off; a coil on the floor lies on it."""
    return "flat on it" if plan.basis.brewhouse.kettle.coil_rests == "floor" else off


def _across_because(mouth: Mouth | None, wider: float) -> str:
    """What the turns' width keeps."""
    narrow = mouth is not None and mouth.most - mouth.across <= wider
    return "goes through the mouth with its riser" if narrow else "room to the kettle wall"


def _gap_rows(plan: WorkPlan, sizes: Sizes) -> list[tuple[str, str, str, str]]:
    """The gap between turns, of each layer where they differ; none where turns touch."""
    alike = len({round(layer.gap, 5) for layer in plan.layers}) == 1
    rows = []
    for layer in plan.layers[:1] if alike else plan.layers:
        if layer.open:
            uneven = held(0.4 * layer.gap, 0.001, SPRING_OFF)
            narrow = min(uneven, max(layer.gap - plan.basis.brewhouse.workshop.smallest_gap, 0.001))
            name = "every gap between turns" + ("" if alike else _which(plan, layer))
            some = sizes.either_way(layer.gap, uneven, narrow)
            rows.append((name, sizes.length(layer.gap), some, "wort flows through, and it rinses"))
    return rows


def _inner_row(plan: WorkPlan, sizes: Sizes) -> tuple[str, str, str, str]:
    """The inner layer keeps its room to the outer one."""
    inner = plan.layers[1]
    wider = min(2.0 * room(plan, "layer_gap"), SPRING_OFF)
    off = sizes.either_way(inner.diameter + inner.d_o, wider, SPRING_OFF)
    return (
        f"across the {called(plan, plan.layers[-1])}, outside",
        sizes.length(inner.diameter + inner.d_o),
        off,
        f"room between the {'coils' if plan.layout.tees else 'layers'}",
    )


def riser_gap(plan: WorkPlan) -> float:
    """The smallest gap between an upright riser and the kettle wall [m]."""
    R = plan.basis.brewhouse.kettle.inside_diameter / 2.0
    mouth, scene = mouth_of(plan), scene_of(plan)
    aside = 0.0 if mouth is None else mouth.off
    # From the kettle's middle, which lies on the outermost riser's side where the coil stands off it.
    angle = outermost(scene).angle
    middle = aside * math.cos(angle), aside * math.sin(angle)
    out = [
        math.dist(middle, (x.radius * math.cos(x.angle), x.radius * math.sin(x.angle))) for x in scene.risers
    ]
    return R - max(out) - plan.tube.outer_diameter / 2.0
