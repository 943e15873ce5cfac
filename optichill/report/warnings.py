"""What is no limit but should be known about a coil, in sentences for screens and JSON alike."""

from __future__ import annotations

from dataclasses import replace

from optichill.display import show
from optichill.fabrication.mouth import goes_as_planned
from optichill.fabrication.obstacles import obstacles
from optichill.fabrication.purse import stated
from optichill.fabrication.work_plan import WorkPlan
from optichill.files.reading import stands_at
from optichill.geometry.kinking import LIGHT_WALL_RATIO
from optichill.problem.basis import DesignBasis
from optichill.problem.limits import BROKEN, LIMITS
from optichill.problem.widest import to_be_wound
from optichill.rating.coil_rating import QuickRating
from optichill.rating.floor import shortest_time
from optichill.rating.prediction import LimitLine, Prediction, StageLine
from optichill.rating.remedies import SHORT_OF_ICE
from optichill.report.sheet.refusal import stops, warned
from optichill.report.words import by_hand, limit_words, plan_words
from optichill.search.designs import Design
from optichill.thermal.sources import GIVEN_OUT

USUAL_HOSE = 333.15  # K, what an outlet hose of unknown rating is trusted with
STRANDED_TOP = 3.0
"""How much warmer than the rest the wort above the coil may end before it is worth a word [K]."""
USELESS, WET = 0.5, 0.999


def of_design(d: Design, basis: DesignBasis) -> list[str]:
    """Warnings about a recommended coil; dry turns are of one that was made for another kettle."""
    tube = d.winding.tube
    said = _light_wall(tube.outer_diameter, tube.wall) + _dry(d.wet_share)
    return said + hose_too_cool(d.prediction.outlet_start, basis) + of_plan(d.prediction, basis)


def _light_wall(d_o: float, wall: float) -> list[str]:
    if d_o / wall <= LIGHT_WALL_RATIO:
        return []
    return ["light wall: looks like ordinary tube and kinks sooner. Try a bend in a scrap piece."]


def of_coil(plan: WorkPlan, rating: QuickRating) -> list[str]:
    """All warnings about a coil that is looked at: what its build sheet stops at, then what it breaks. What
    the build would cost and ask is not among them: a coil that is there is paid for and wound."""
    told = {obstacle.name for obstacle in obstacles(plan)}
    lines = tuple(line for line in rating.limits if line.name not in told)
    return warned(plan) + of_given(replace(rating, limits=lines), plan.basis)


def beyond(plan: WorkPlan) -> list[str]:
    """That the build is dearer or harder than its maker wants."""
    return [broken(line.name, line.value, line.limit, plan.basis) for line in stated(plan) if not line.holds]


def of_given(rating: QuickRating, basis: DesignBasis) -> list[str]:
    """Warnings about a coil that is looked at: its wall, and what there is to say of it in use."""
    return _light_wall(rating.coil.outer_diameter, rating.coil.wall) + in_use(rating, basis)


def in_use(rating: QuickRating, basis: DesignBasis) -> list[str]:
    """Warnings about a coil that exists: dry turns, broken limits, hose, formulas outside their data."""
    said = _dry(rating.wet_share)
    said += [
        broken(line.name, line.value, line.limit, basis)
        for line in rating.limits
        if _worth_saying(line, rating)
    ]
    said += dry_in_the_smallest(rating, basis)
    said += _below_least(rating.prediction, basis)
    said += hose_too_cool(rating.prediction.outlet_start, basis)
    said += of_plan(rating.prediction, basis)
    said += [
        f"{use.formula}: {use.argument} of {_span(use.least, use.most)} is outside its data "
        f"({use.valid_from:g} to {use.valid_to:g})."
        for use in rating.uses
        if not use.inside
    ]
    return said


def _dry(wet_share: float) -> list[str]:
    """That turns are out of the wort."""
    if wet_share < USELESS:
        return ["less than half of the coil is in the wort when cold: it is useless like this."]
    if wet_share < WET:
        return [f"{100 * (1 - wet_share):.0f} % of the turns stand dry once the wort is cold."]
    return []


def dry_in_the_smallest(rating: QuickRating, basis: DesignBasis) -> list[str]:
    """That a smaller batch leaves turns out of the wort; the chill is the largest one's."""
    batches, u = basis.brewhouse.wort.batches, basis.brewhouse.units
    over = [line.value for line in rating.limits if line.name == "submergence"]
    if len(batches) < 2 or not over or over[0] >= 0.0:
        return []
    smallest, dry = show(batches[0], "exact_volume", u), by_hand.rough(-over[0], u)
    return [f"In the smallest batch, {smallest}, the top turn stands {dry} out of the wort when it is cold."]


def _span(least: float, most: float) -> str:
    """A range, or one figure where both ends read alike."""
    return f"{least:.3g}" if f"{least:.3g}" == f"{most:.3g}" else f"{least:.3g} to {most:.3g}"


def _below_least(p: Prediction, basis: DesignBasis) -> list[str]:
    """That no coil at all could keep the time asked for."""
    asked = basis.brewhouse.limits.chill_time
    if asked is None or p.limit_time is None or asked >= p.limit_time:
        return []
    least = shortest_time(basis)
    return [limit_words.below_least(asked, least, basis)] if least is not None and asked < least else []


def _worth_saying(line: LimitLine, rating: QuickRating) -> bool:
    """Dry turns and an unreached target have sentences of their own."""
    if line.name == "submergence" and line.value < 0.0 and _dry(rating.wet_share):
        return False
    return not line.holds and LIMITS[line.name].warning is not None


def broken(name: str, value: float, bound: float, basis: DesignBasis) -> str:
    """That a limit is broken, and by how much: value and bound [SI]."""
    limit = LIMITS[name]
    if value < 0.0:
        short = limit_words.limit_value(limit, bound - value, basis, enough=False)
        return f"{limit.words}: {short} too little."
    part = ""
    if limit.of_a_part(bound, basis.brewhouse.kettle):
        at_wall = [p for p in basis.parts if p.where == "wall"]
        part = "".join(f" (the {p.what} and 5 mm)" for p in sorted(at_wall, key=lambda p: -p.size)[:1])
    said, wanted = limit_words.told_apart(limit, value, bound, basis, enough=limit.no_more)
    often = f"{10.0 * basis.brewhouse.limits.sure:.3g} times in 10"
    kept = f" that is kept {often}" if name == "chill_time" else ""
    return (limit.warning or BROKEN).format(words=limit.words + kept, value=said, bound=wanted, part=part)


BENDS_TAKEN = (
    "Its risers' bends are taken as the tool at hand makes them: measure the coil across its risers first, "
    "and tell riser_bend_radius in its file if they stand nearer."
)
"""Of a coil whose file does not tell the radius of its risers' bends."""


def does_not_go_in(rating: QuickRating, plan: WorkPlan) -> str | None:
    """Why a coil cannot stand in this kettle at all, if so, in sentences; and what to measure first."""
    kettle, c, u = plan.basis.brewhouse.kettle, rating.coil, plan.basis.brewhouse.units
    across = c.mean_diameter + c.outer_diameter
    if across > kettle.mouth:
        return f"{by_hand.rough(across, u)} of coil, {by_hand.rough(kettle.mouth, u)} of kettle mouth."
    mouth = next((line for line in rating.limits if line.name == "mouth" and not line.holds), None)
    if mouth is not None and not goes_as_planned(plan):
        limit = LIMITS["mouth"]
        said = limit_words.told_apart(limit, mouth.value, mouth.limit, plan.basis)
        first = f" {BENDS_TAKEN}" if c.riser_bend_radius is None else ""
        up_to = "up to " if to_be_wound(c) else ""
        return f"With its risers {up_to}{said[0]} of coil, {said[1]} of kettle mouth.{first}"
    return next((stop["text"] for stop in stops(plan) if stop["name"] == "rim"), None)


def runs_into(plan: WorkPlan) -> list[str]:
    """What the turns would hit at the kettle's wall, in sentences."""
    return [stop["text"] for stop in stops(plan) if stop["name"] == "part"]


def ends_inside(plan: WorkPlan) -> list[str]:
    """Ends of a coil whose joints hang over the wort or in it, in sentences."""
    return [stop["text"] for stop in stops(plan) if stop["name"] in ("leg_below_rim", "leg_inside")]


def hose_too_cool(outlet: float, basis: DesignBasis) -> list[str]:
    """Where the first water is hotter than the outlet hose is known to stand."""
    tap, u = basis.brewhouse.tap, basis.brewhouse.units
    rating = tap.hose_rating if tap is not None else None
    if outlet <= (rating or USUAL_HOSE):
        return []
    hot = by_hand.degrees(outlet, u)
    if rating is None:
        rated = by_hand.degrees(373.15, u)
        return [f"running, water leaves at {hot} at first: too hot for a plain hose, use one rated {rated}."]
    return [
        f"running, water leaves at {hot} at first: more than the hose's {show(rating, 'temperature', u)}."
    ]


def _disagreement(p: Prediction) -> list[str]:
    """That two ways of working out the time do not agree, and which of the two is told."""
    if p.agrees:
        return []
    marched, other = (
        "out of reach" if time is None else f"{time / 60.0:.0f} min"
        for time in (p.marched_time, p.quadrature_time)
    )
    apart = "" if p.difference is None else f", {100.0 * abs(p.difference):.1f} % apart"
    return [
        f"the time failed its own check: in steps of time it is {marched}, which is told; worked out over "
        f"temperature, {other}{apart}. Trust neither to the minute."
    ]


def _below_target(line: StageLine, basis: DesignBasis) -> str:
    """That a hold cools the wort past the target by itself, and when."""
    u = basis.brewhouse.units
    file, number, key = stands_at(basis.brewhouse, "cooling", line.number - 1, "hold")
    place = f"{file}:{number}: {key}" if number else key
    ends, target = (show(T, "temperature", u) for T in (line.until, basis.scenario.T_target))
    return (
        f"{place}: the wort falls to {ends} in this hold, below the target of {target}: it passes it about "
        f"{(line.passed or 0.0) / 60.0:.0f} min into the hold, and later stages have nothing to do."
    )


SOONEST = 30.0
"""A bucket takes no less to be poured out and filled again [s] (OWN)."""

LOOSE_ICE_GAINS = 60.0
"""Time from which it is worth telling what smaller ice gains [s]."""


def _with_more_ice(line: StageLine, p: Prediction) -> str:
    """The time with the ice that a stage is short of, where it is another."""
    found = p.more_ice
    if found is None or found.stage != line.number or found.time is None:
        return ""
    if p.chill_time is None:
        return f": {found.time / 60.0:.0f} min"
    now, then = round(p.chill_time / 60.0), round(found.time / 60.0)
    return f": {then} min instead of {now}" if then < now else ""


def of_plan(p: Prediction, basis: DesignBasis) -> list[str]:
    """Wort that stays hot above the coil, and ice that runs out or short."""
    u, said = basis.brewhouse.units, _disagreement(p)
    if p.loose_ice is not None and (p.chill_time is None or p.chill_time - p.loose_ice > LOOSE_ICE_GAINS):
        loose = f"{p.loose_ice / 60.0:.0f} min"
        gain = "" if p.chill_time is None else f", {(p.chill_time - p.loose_ice) / 60.0:.0f} min less"
        said.append(f"with the ice broken or shaken loose into small cubes: {loose}{gain}.")
    target = basis.scenario.T_target
    if basis.scenario.mixing.still and p.top is not None and p.top - target > STRANDED_TOP:
        higher = "hang" if basis.brewhouse.kettle.coil_rests == "hangs" else "set"
        said.append(
            f"left alone, the wort above the top turn still stands at {by_hand.degrees(p.top, u)} when the "
            f"whole is at {by_hand.degrees(target, u)} on average: stir before you read the thermometer, or "
            f"{higher} the coil higher."
        )
    for line, stage in zip(p.stages, basis.brewhouse.cooling, strict=True):
        if line.missing > SHORT_OF_ICE and stage.ice and p.more_ice is not None:
            runs = "out" if line.ice >= GIVEN_OUT * stage.ice else "short"
            missing = plan_words.missing_ice(line, stage, u, p.switch, _with_more_ice(line, p))
            said.append(f"the ice runs {runs}: {missing}.")
        each = line.time / (1 + (stage.refills or 0))
        if stage.refills and line.done and 0.0 < each < SOONEST:
            said.append(
                f"stage {line.number}: a filling lasts {each:.0f} s, less than it takes to change it, which "
                "is not counted: take a larger bucket, or fewer refills."
            )
        if line.passed is not None:
            said.append(_below_target(line, basis))
    return said
