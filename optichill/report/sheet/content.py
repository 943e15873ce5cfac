"""The build sheet of a coil: every section, in the order of work."""

from __future__ import annotations

import math

from optichill.build import bending, cost, risers
from optichill.build.cautions import cautions_for
from optichill.build.cost import LACING_COLUMNS
from optichill.inputs.coil import DEMO_BANNER
from optichill.inputs.load import Inputs
from optichill.report import warnings, words
from optichill.report.sheet import card, marks, measure, refusal, work
from optichill.report.sheet.document import Block, Figure, Paper, Points, Section, Sheet, Steps, Table, Text
from optichill.report.sheet.drawing.in_words import side_words, top_words
from optichill.report.sheet.drawing.side import side_view
from optichill.report.sheet.drawing.top import top_view
from optichill.report.sheet.phrases import turns_words
from optichill.report.sheet.scene import Scene, scene_of
from optichill.report.sheet.sizes import Sizes
from optichill.search.bench import Bench
from optichill.units import FOOT, money, show, trim

WIDTH, TOP = 515.0, 240.0
SIDE = {"a4": 285.0, "letter": 255.0}
"""The drawings, so that both fit one page [pt]."""
LINE = 14.0


def sheet(b: Bench, inputs: Inputs, paper: str) -> Sheet:
    """All of it."""
    house = b.setting.brewhouse
    sizes = Sizes(house.units, b.step)
    scene = scene_of(b)
    stops = refusal.reasons(b, sizes)
    sections = [_picture(b, scene, sizes, SIDE[paper])]
    if stops:  # nothing to buy, wind or brew with: only what was reckoned with
        sections += [_reckoned(b, sizes), Section("Take care", (card.cautions(b),))]
    else:
        sections.append(_before(b, inputs, sizes))
        sections.append(Section("Measure again", (Text(MEASURE), measure.before(b, sizes))))
        sections += _the_work(b, scene, sizes)
        sections += _after(b, sizes)
        sections.append(
            Section(
                "Appendix: every piece of tube",
                (Text(APPENDIX), *(marks.full_table(b, piece, sizes) for piece in b.pieces)),
                new_page=True,
            )
        )
    return Sheet(
        title=f"Build sheet: {house.name}",
        lead=_lead(b, sizes, bool(stops)),
        banner=f"{DEMO_BANNER}: sizes and prices are invented." if house.demo else "",
        stops=stops,
        sections=tuple(sections),
        papers=() if stops else _papers(b, sizes),
        paper=paper,
        units=house.units,
    )


MEASURE = (
    "Before you buy, measure what is there. If anything is off by more than the last column, stop: put what "
    "you measured into the brewhouse file and ask again."
)
RECKONED = (
    "No marks, shopping list or brew-day card: it cannot be built like this. These are the sizes that were "
    "reckoned with; mend the coil file or the brewhouse file by the reasons on top and ask again."
)
APPENDIX = (
    "Distances along the tube, from the end where water goes in, as it lies on the form. Marks are rounded "
    "one by one, never added up."
)
MARKS = (
    "Straight tube, from the end where water goes in. Lettered marks are all that is needed at the bench; "
    "every turn is in the appendix."
)


def _lead(b: Bench, sizes: Sizes, stopped: bool) -> str:
    """The coil in a sentence or two."""
    tube, outer, p = b.tube, b.layers[0], b.given.prediction
    soft = {"annealed": "soft ", "half hard": "half hard ", "hard": "hard "}[tube.temper]
    roll = f"{sizes.long(tube.length)} roll" if b.listed else f"{sizes.long(b.cut_length)}"
    roll = f"two {roll}s" if b.rolls == 2 else roll
    gap = "touching" if outer.gap < 1e-4 else f"{sizes.length(outer.gap)} open between turns"
    layout = {"single": "", "nested": ", two layers of one tube", "parallel": ", two coils on tees"}[
        b.coil.layout
    ]
    time = ""
    if p.chill_time is not None and not stopped:
        cold = words.degrees(b.setting.scenario.T_target, sizes.units)
        time = f" Chills to {cold} in about {p.chill_time / 60:.0f} min."
    cut = " and ".join(sizes.mark(sizes.rounded(piece.marks).cut_length) for piece in b.pieces)
    count = f"{turns_words(outer.turns)} turns" + (" in each layer" if len(b.layers) > 1 else "")
    return (
        f"{roll} of {soft}{tube.material}, {sizes.tube(tube.outer_diameter)} OUTSIDE, "
        f"{sizes.wall(tube.wall)} wall{layout}; {count}, {gap}; {sizes.length(outer.diameter + outer.d_o)} "
        f"across, {sizes.length(max(x.turns * x.pitch for x in b.layers) + outer.d_o)} tall. Cut length "
        f"{cut}.{time}"
    )


def _picture(b: Bench, scene: Scene, sizes: Sizes, height: float) -> Section:
    said = _warnings(b)
    height = max(height - LINE * max(len(said) - 2, 0), TOP)
    blocks: list[Block] = [Points(tuple(said))] if said else []
    blocks += [
        Figure(
            lambda font: side_view(scene, sizes.length, WIDTH, height, font=font),
            side_words(scene, sizes.length),
            "Side: the hot wort dashed, the cold wort solid.",
        ),
        Figure(
            lambda font: top_view(scene, sizes.length, WIDTH, TOP, font=font),
            top_words(scene, sizes.length),
            "From above: where the legs come out, with IN at 6 o'clock.",
        ),
    ]
    return Section("The coil in its kettle", tuple(blocks))


def _warnings(b: Bench) -> list[str]:
    """What should be known, from the prediction and from the bench."""
    said = [text for text in warnings.of_given(b.given, b.setting) if "stand dry" not in text]
    u = b.setting.brewhouse.units
    said += [f"{note}." for note in b.notes]
    said += _legs_meet(b) + _no_spare(b)
    said += _springs_far(b) + _near_parts(b) + _shallow(b)
    if all(piece.marks.possible for piece in b.pieces):
        said += _short_straights(b)
    for layer in b.layers:
        if layer.form is None:
            size = show(layer.D_form, "length", u)
            said.append(f"no form in your list gives this coil: it needs one of {size} outside diameter.")
    if not b.listed:
        said.append("the tube is not in your list: no price, and it is taken to be soft.")
    if not b.tool_known:
        said.append(
            "no bender in your list, nor a bend by hand, makes the radius that the coil file asks for."
        )
    elif not b.tool.owned:
        said.append("no tool you own makes the legs' bends: one has to be bought.")
    return [f"{text[0].upper()}{text[1:]}" for text in said]


GRIP = 3.0
"""Straight that a bender or a hand must hold between two bends, in outside diameters (OWN)."""


def _short_straights(b: Bench) -> list[str]:
    """Legs whose bends come so near each other that there is nothing to hold."""
    sizes, d_o = Sizes(b.setting.brewhouse.units, b.step), b.tube.outer_diameter
    return [
        f"only {sizes.length(leg.upright)} of straight between the bends of the {leg.name} leg: make the "
        "rim bend first there, while the leg is still long."
        for piece in b.pieces
        for leg in (piece.leg_in, piece.leg_out)
        if 0.0 <= leg.upright < GRIP * d_o
    ]


def _springs_far(b: Bench) -> list[str]:
    """Where the soft end of the springback range takes more than the wished room to the wall leaves."""
    sizes, outer = Sizes(b.setting.brewhouse.units, b.step), b.layers[0]
    more = outer.relaxed(outer.k_low) - outer.diameter - 2.0 * measure.room(b, "wall")
    if more < 5e-4 or measure.room(b, "wall") == measure.MOST_OFF:
        return []
    line = next(line for line in b.given.limits if line.name == "wall")
    left = line.value - (outer.relaxed(outer.k_low) - outer.diameter) / 2.0
    return [
        f"tube that springs most opens so far that {sizes.length(left)} are left to the wall, not "
        f"{sizes.length(line.limit)}: fit it in the kettle before the legs are bent."
    ]


def _legs_meet(b: Bench) -> list[str]:
    """Legs that would stand in one place, and how many turns would part them."""
    sizes, legs, d_o = Sizes(b.setting.brewhouse.units, b.step), scene_of(b).legs, b.tube.outer_diameter
    said = []
    for n, one in enumerate(legs):
        for other in legs[:n]:
            where = [(x.radius * math.cos(x.angle), x.radius * math.sin(x.angle)) for x in (one, other)]
            apart = math.dist(*where)
            if apart < d_o + risers.AIR_AROUND_RISER:
                turn = 2.0 * d_o / (math.pi * b.layers[0].diameter)
                said.append(
                    f"the legs {other.name} and {one.name} would stand only {sizes.length(apart)} from "
                    f"middle to middle: wind {trim(max(turn, 0.05), 2)} of a turn more or less."
                )
    return said


def _no_spare(b: Bench) -> list[str]:
    """A roll that holds the coil, but not the half turn more."""
    if not b.listed or b.coil.bought_length is not None:
        return []
    takes = [piece.marks.cut_length + piece.spare for piece in b.pieces]
    if (sum(takes) if b.rolls == 1 else max(takes)) <= b.tube.length + 1e-6:
        return []
    return ["the roll holds the coil, but not the half turn to spare: wind to the last mark and no further."]


def _near_parts(b: Bench) -> list[str]:
    """Wall parts that a leg could run into, which stands nearer to the wall than the turns."""
    sizes = Sizes(b.setting.brewhouse.units, b.step)
    gap = measure.leg_gap(b)
    return [
        f"the {part.what} reaches {sizes.length(part.size)} in, the legs leave {sizes.length(gap)} to the "
        "wall: turn the coil so that no leg comes before it."
        for part in b.setting.parts
        if part.where == "wall" and part.size + risers.AIR_AROUND_RISER > gap
    ]


def _shallow(b: Bench) -> list[str]:
    """Turns nearer to the cold surface than wished, or out of it."""
    sizes = Sizes(b.setting.brewhouse.units, b.step)
    line = next((line for line in b.given.limits if line.name == "submergence" and not line.holds), None)
    if line is None:
        return []
    if line.value < 0.0:
        return [f"the top of the turns stands {sizes.length(-line.value)} out of the cold wort."]
    value, wished = sizes.length(line.value), sizes.length(line.limit)
    return [f"only {value} of cold wort stand over the turns, wished {wished}."]


def _before(b: Bench, inputs: Inputs, sizes: Sizes) -> Section:
    mine = card.situations(b)
    first = ("first water", "leak test", "cut ends", "torch", "filling", "always")
    hurts = [cautions_for(name)[0] for name in first if name in mine]
    return Section(
        "Before you start",
        (
            Text("What can hurt: " + " ".join(hurts)),
            Text("Tools: " + "; ".join(_tools(b)) + "."),
            _shopping(b, inputs, sizes),
            Text(_offcut(b, sizes)),
        ),
        new_page=True,
    )


def _tools(b: Bench) -> list[str]:
    tool = {
        "lever": "lever bender for this tube",
        "spring": "bending spring for this tube",
        "hand": "a disc to bend round",
    }
    house, lagged = b.setting.brewhouse, any(layer.wraps for layer in b.layers)
    return [
        "tape, felt pen, masking tape",
        "tube cutter and reamer",
        tool[b.tool.kind],
        "pliers, bare copper or stainless wire",
        "gloves",
        "a cap or plug for the leak test",
        *(["a vacuum breaker for the hose tap, unless it has one"] if house.tap is not None else []),
        *([f"{words.card(house.units)} and tape, to lag the form"] if lagged else []),
        *(["a drill and three flat bars, if you take combs"] if b.layers[0].gap >= 1e-4 else []),
        "a second pair of hands" if _heavy(b) else "a helper to hold the roll is welcome",
    ]


def _heavy(b: Bench) -> bool:
    """Whether winding takes two."""
    tube = b.tube
    Y = max(layer.k_low for layer in b.layers) and 1e8
    moment = bending.full_plastic_moment(tube.outer_diameter, tube.outer_diameter - 2 * tube.wall, Y)
    return bool(float(moment) > 15.0 or b.coil.layout == "nested")


def _shopping(b: Bench, inputs: Inputs, sizes: Sizes) -> Table:
    house = b.setting.brewhouse
    currency = house.stock.currency
    rows = []
    roll = f"{show(b.tube.length, 'long_length', house.units)} roll, soft, OUTSIDE diameter "
    if not b.listed:
        size = f"{sizes.tube(b.tube.outer_diameter)}, {sizes.wall(b.tube.wall)} wall"
        rows.append((f"tube, OUTSIDE diameter {size}", sizes.long(b.cut_length), "not in your list"))
    for item in b.bill.items:
        price = item.note or f"{item.price:.2f} {currency}"
        what = item.what
        if item.unit == "roll":
            what = f"{roll}{sizes.tube(b.tube.outer_diameter)}, {sizes.wall(b.tube.wall)} wall: {what}"
        rows.append((what, _amount(item, sizes), price))
    short = "" if b.complete else " without what your lists do not have"
    rows.append((f"TOTAL{short}{_prices(b, inputs)}", "", money(b.bill.total, currency)))
    return Table(
        "Shopping list", ("what", "how many", "price"), tuple(rows), (6.6, 1.2, 1.8), (1, 2), ticks=True
    )


def _amount(item: cost.Item, sizes: Sizes) -> str:
    """How many, or how much of what is sold by the metre."""
    if item.unit != "m":
        return trim(item.quantity)
    return f"{trim(item.quantity / FOOT)} ft" if sizes.units == "us" else f"{trim(item.quantity)} m"


def _prices(b: Bench, inputs: Inputs) -> str:
    if inputs.stock.example_prices:
        return " (example prices)"
    return f" (tube price of {b.tube.checked})" if b.tube.checked else " (price of unknown date)"


def _offcut(b: Bench, sizes: Sizes) -> str:
    if not b.listed:
        return f"The coil takes {sizes.long(b.cut_length)} of tube."
    left = b.rolls * b.tube.length - b.cut_length
    rolls, tees = "two rolls" if b.rolls == 2 else "roll", ""
    if b.coil.layout == "parallel":
        tees = " The two tees take four short hoses and a clamp on each arm besides: cut them from the hose."
    if left < 0.05:
        return f"The coil takes {sizes.long(b.cut_length)}: the whole {rolls}.{tees}"
    return (
        f"The coil takes {sizes.long(b.cut_length)}; {sizes.long(left)} of the {rolls} is left over: scrap "
        f"bends first, the rest is yours.{tees}"
    )


def _the_work(b: Bench, scene: Scene, sizes: Sizes) -> list[Section]:
    steps = work.steps(b, scene, sizes)
    table = [marks.main_table(b, piece, sizes) for piece in b.pieces]
    return [
        Section("The marks", (Text(MARKS), *table), new_page=True),
        Section(
            "The work, in order",
            (
                Steps(tuple(steps)),
                Text(measure.bend(b, sizes)),
                measure.legs(b, sizes),
            ),
        ),
        Section(
            "What springback does",
            (
                Text(
                    "Marks and template are for the tube on the form; the kettle sees the coil let go. The "
                    "range is that of soft tube as it is sold."
                ),
                measure.springback(b, sizes),
            ),
        ),
    ]


def _reckoned(b: Bench, sizes: Sizes) -> Section:
    """The sizes behind a refusal."""
    tables = (measure.before(b, sizes), measure.springback(b, sizes), measure.legs(b, sizes))
    return Section("What was reckoned with", (Text(RECKONED), *tables), new_page=True)


def _after(b: Bench, sizes: Sizes) -> list[Section]:
    return [
        Section("Leak test, cold", (Steps(card.leak_test(b)),)),
        Section("First cleaning and first run", (Steps(card.CLEANING),)),
        Section("Final check", (measure.finished(b, sizes),)),
        Section("For the brew day", (card.brew_day(b),)),
        Section("Take care", (card.cautions(b),)),
    ]


def _papers(b: Bench, sizes: Sizes) -> tuple[Paper, ...]:
    """Templates and combs, one of each for every layer that has a gap; touching turns need none."""
    found = []
    for layer in b.layers:
        if layer.gap < 1e-4:
            continue
        which = "" if len(b.layers) == 1 else (" outer layer" if layer is b.layers[0] else " inner layer")
        found.append(Paper(f"Wrap template{which}", layer.template))
        found.append(Paper(f"Spacer comb{which} (make {LACING_COLUMNS})", layer.comb))
    return tuple(found)
