"""The build sheet of a coil: every section, in the order of work."""

from __future__ import annotations

from optichill.display import plural
from optichill.fabrication.scene import Scene, scene_of
from optichill.fabrication.work_plan import WorkPlan
from optichill.files.coil_file import DEMO_BANNER
from optichill.files.reading import Inputs
from optichill.geometry.supports import FEET
from optichill.report import ranges
from optichill.report.sheet import card, marks, measure, otherwise, refusal, shopping, throttle, work
from optichill.report.sheet.bending import by_eye
from optichill.report.sheet.document import Block, Figure, Paper, Points, Section, Sheet, Steps, Text
from optichill.report.sheet.drawing.in_words import side_words, top_words
from optichill.report.sheet.drawing.side import side_view
from optichill.report.sheet.drawing.top import top_view
from optichill.report.sheet.hose_ends import joint_kinds
from optichill.report.sheet.notes import notes
from optichill.report.sheet.phrases import called, turns_words
from optichill.report.sheet.riser_sheet import riser_section
from optichill.report.sheet.sizes import Sizes
from optichill.report.sheet.sketches import sketch_section
from optichill.report.sheet.title import title_block
from optichill.report.words import by_hand, roll_words
from optichill.workshop.cautions import cautions_for
from optichill.workshop.difficulty import effort

WIDTH, TOP = 515.0, 222.0
SIDE = {"a4": 285.0, "letter": 250.0}
"""The drawings, so that both fit one page [pt]."""
LINE = 14.0


def sheet(plan: WorkPlan, inputs: Inputs, paper: str) -> Sheet:
    """The whole build sheet; of a coil that cannot be built, what stops it. paper : a4 or letter."""
    brewhouse = plan.basis.brewhouse
    sizes = Sizes(brewhouse.units, plan.step)
    scene = scene_of(plan)
    stops = refusal.reasons(plan, sizes)
    sections = [_picture(plan, scene, sizes, SIDE[paper], bool(stops))]
    if stops:  # nothing to buy, wind or brew with: only what was reckoned with
        sections += [_reckoned(plan, sizes), Section("Take care", (card.cautions(plan),))]
    else:
        sections.append(_before(plan, inputs, sizes))
        sections.append(Section("Measure again", (Text(MEASURE), measure.before(plan, sizes))))
        sections.append(riser_section(plan, scene, sizes, paper))
        sections.append(sketch_section(plan, scene, sizes))
        sections += _the_work(plan, scene, sizes)
        sections += _after(plan, sizes)
        sections.append(
            Section(
                "Appendix: every piece of tube",
                (Text(APPENDIX), *(marks.full_table(plan, piece, sizes) for piece in plan.pieces)),
            )
        )
    return Sheet(
        title=f"Build sheet: {brewhouse.name}",
        lead=_lead(plan, sizes, bool(stops)),
        banner=f"{DEMO_BANNER}: sizes and prices are invented." if brewhouse.demo else "",
        stops=stops,
        sections=tuple(sections),
        papers=() if stops else _papers(plan, sizes),
        paper=paper,
        units=brewhouse.units,
        block=title_block(plan, sizes),
    )


MEASURE = (
    "Before you buy, measure what is there. If anything is off by more than the last column, stop: put what "
    "you measured into the brewhouse file and ask again."
)
RECKONED = (
    "No marks, shopping list or brew-day card: it cannot be built like this. These are the sizes that were "
    "reckoned with; mend the coil file or the brewhouse file by the reasons on top and ask again."
)
OTHERWISE = (
    "If it came out narrower or wider than expected it is still good: take the line that is nearest to what "
    "you measured, pull the turns to the height that stands there, and let the final check go by that line."
)
APPENDIX = (
    "Distances along the tube, from the end where water goes in, as it lies on the form. Marks are rounded "
    "one by one, never added up. For laser, plotter or printer: the sheet command with --for-machines."
)
MARKS = (
    "Straight tube, from the end where water goes in. Lettered marks are all that is needed at the bench; "
    "every turn is in the appendix. Those of the OUT riser are set anew when it is made, from the last "
    "turn on."
)


def _lead(plan: WorkPlan, sizes: Sizes, stopped: bool) -> str:
    """The coil in a sentence or two."""
    tube, outer, p = plan.tube, plan.layers[0], plan.rating.prediction
    roll = roll_words.rolls([sizes.long(of.length) for of, _ in plan.by_roll])
    roll = roll if plan.listed else sizes.long(plan.cut_length)
    gaps = ["touching" if not x.open else f"{sizes.length(x.gap)} open" for x in plan.layers]
    gap = gaps[0] + (" between turns" if outer.open else "")
    if len(set(gaps)) > 1:
        gap = f"{gaps[0]} between turns outside, {gaps[1]} inside"
    layout = f", {plan.layout.called}" if plan.layout.layers > 1 else ""
    time = ""
    if p.chill_time is not None and not stopped:
        cold = by_hand.degrees(plan.basis.scenario.T_target, sizes.units)
        time = f" Chills to {cold} in {ranges.time(p)}.{throttle.lead(plan)}"
    cut = " and ".join(sizes.mark(sizes.rounded(piece.marks).cut_length) for piece in plan.pieces)
    told = list(dict.fromkeys(plural(turns_words(layer.turns)) for layer in plan.layers))
    each = " in each coil" if plan.layout.tees else " in each layer"
    count = told[0] + (each if len(plan.layers) > 1 else "")
    if len(told) > 1:
        count = f"{told[0]} outside, {told[1]} inside"
    return (
        f"{roll} of {roll_words.temper(tube)} {tube.material}, {sizes.tube(tube.outer_diameter)} OUTSIDE, "
        f"{sizes.wall(tube.wall)} wall{layout}; {count}, {gap}; {sizes.length(outer.diameter + outer.d_o)} "
        f"across, {sizes.length(max(x.turns * x.pitch for x in plan.layers) + outer.d_o)} tall. Cut length "
        f"{cut}.{time}"
    )


def _picture(plan: WorkPlan, scene: Scene, sizes: Sizes, height: float, stopped: bool) -> Section:
    said = notes(plan, stopped)
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
            "From above: where the risers come out, with IN at 6 o'clock.",
        ),
    ]
    return Section("The coil in its kettle", tuple(blocks))


def _before(plan: WorkPlan, inputs: Inputs, sizes: Sizes) -> Section:
    mine = card.situations(plan)
    first = ("first water", "leak test", "cut ends", "torch", "filling", "always")
    T_start = plan.basis.scenario.T_start
    hurts = [cautions_for(name, units=sizes.units, T_start=T_start)[0] for name in first if name in mine]
    return Section(
        "Before you start",
        (
            Text("What can hurt: " + " ".join(hurts)),
            Text("Tools: " + "; ".join(_tools(plan, sizes)) + "."),
            *shopping.tables(plan, inputs, sizes),
            Text(_offcut(plan, sizes)),
        ),
        new_page=True,
    )


def _tools(plan: WorkPlan, sizes: Sizes) -> list[str]:
    tool = {
        "lever": "lever bender for this tube",
        "spring": "bending spring for this tube",
        "hand": "a disc to bend round",
    }
    return [
        "tape measure, felt pen",
        "tube cutter and reamer",
        tool[plan.tool.kind],
        "pliers that cut wire",
        *(["two spanners"] if "compression" in joint_kinds(plan) else []),
        "knife and scissors, for hose, card and paper",
        *_for_wood(plan, sizes),
        "screwdriver",
        "gloves",
        *_hands(plan),
    ]


def _for_wood(plan: WorkPlan, sizes: Sizes) -> list[str]:
    """For strips between two layers, a form that has to be made, and a disc that must be true."""
    made = any(x.form is not None and x.form.made and not x.on_strips for x in plan.layers)
    sawn = plan.tool.kind != "lever" and not by_eye(plan, sizes)
    for_what = [
        *(["strips"] if plan.layout.crossing else []),
        *(["form"] if made else []),
        *(["disc to bend round"] if sawn else []),
    ]
    saw = "saw, plane and drill" if made else "saw and plane" if plan.layout.crossing else "saw and rasp"
    return [f"{saw}, for the {' and the '.join(for_what)}"] if for_what else []


def _hands(plan: WorkPlan) -> list[str]:
    """Who is needed: two for two layers of one tube; for stiff tube as `recommend` says it."""
    two = "a second pair of hands" if plan.layout.crossing else ""
    needed = [text for text in (two, effort(plan.moment)) if text]
    return needed or ["a helper to hold the roll is welcome"]


def _offcut(plan: WorkPlan, sizes: Sizes) -> str:
    if not plan.listed:
        return f"The coil takes {sizes.long(plan.cut_length)} of tube."
    left = plan.offcut
    rolls = "two rolls" if plan.rolls == 2 else "roll"
    if left < 0.05:
        return f"The coil takes {sizes.long(plan.cut_length)}: the whole {rolls}."
    rest = by_hand.left_over(left, sizes.units)
    spare = by_hand.rough(plan.spare, sizes.units)
    within = (
        f"of which the half turn to spare takes {spare}"
        if plan.spare < left
        else f"too little for the half turn to spare, {spare}"
    )
    taken = sizes.long(plan.cut_length)
    return f"The coil takes {taken}; tube left over of the {rolls}: {rest}, {within}."


def _the_work(plan: WorkPlan, scene: Scene, sizes: Sizes) -> list[Section]:
    steps = work.steps(plan, scene, sizes)
    table = [marks.main_table(plan, piece, sizes) for piece in plan.pieces]
    return [
        Section("The marks", (Text(MARKS), *table), new_page=True),
        Section(
            "The work, in order",
            (
                Steps(tuple(steps)),
                Text(measure.bend(plan, sizes)),
                measure.riser_table(plan, sizes),
            ),
        ),
        Section(
            "What springback does",
            (
                Text(
                    "Marks and template are for the tube on the form; the kettle sees the coil let go. The "
                    f"range is that of {roll_words.temper(plan.tube)} tube as it is sold."
                ),
                measure.springback(plan, sizes),
                *_otherwise(plan, sizes),
            ),
        ),
    ]


def _otherwise(plan: WorkPlan, sizes: Sizes) -> tuple[Block, ...]:
    """What to do with a coil that came out narrower or wider; touching turns are not pulled."""
    if not plan.layers[0].open or plan.coil.bought_length is not None:
        return ()
    return Text(OTHERWISE), otherwise.table(plan, sizes)


def _reckoned(plan: WorkPlan, sizes: Sizes) -> Section:
    """The sizes behind a refusal."""
    tables = (measure.before(plan, sizes), measure.springback(plan, sizes), measure.riser_table(plan, sizes))
    return Section("What was reckoned with", (Text(RECKONED), *tables), new_page=True)


def _after(plan: WorkPlan, sizes: Sizes) -> list[Section]:
    return [
        Section("Leak test, cold", (Steps(card.leak_test(plan)),)),
        Section("First cleaning and first run", (Steps(card.cleaning(plan.tube.metal)),)),
        Section("Final check", (measure.finished(plan, sizes),)),
        Section("For the brew day", (card.brew_day(plan),)),
        Section("Take care", (card.cautions(plan),)),
    ]


def _papers(plan: WorkPlan, sizes: Sizes) -> tuple[Paper, ...]:
    """Templates and combs, one of each for every layer that has a gap; touching turns need none, and a form
    that is too low for a template gets none."""
    found = []
    for layer in plan.layers:
        which = f" {called(plan, layer)}".rstrip()
        if plan.by_template(layer):
            found.append(Paper(f"Wrap template{which}", layer.template))
        if layer.combed:
            found.append(Paper(f"Spacer comb{which} (make {FEET})", layer.comb))
    return tuple(found)
