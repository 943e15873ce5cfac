"""What comes after the build: leak test, first cleaning, the card for brew days, and what can hurt."""

from __future__ import annotations

from dataclasses import replace

from optichill.display import US_GALLON, show
from optichill.fabrication.work_plan import WorkPlan
from optichill.materials import Material
from optichill.model.cooling import CoolingStage
from optichill.report import ranges
from optichill.report.dangers import not_called_for, stirs_by_pump
from optichill.report.sheet import throttle
from optichill.report.sheet.document import Card, Points, Steps, Table, Text
from optichill.report.sheet.measure import BLANK
from optichill.report.words import by_hand, plan_words
from optichill.workshop.cautions import CAUTIONS, as_hot, cautions_for

Step = tuple[str, str]


def leak_test(plan: WorkPlan) -> tuple[Step, ...]:
    """The leak test as the trade does it (common practice, no source)."""
    each = "each tube by itself: cap its OUT end" if len(plan.pieces) > 1 else "the coil: cap the OUT end"
    tap = "the cold tap" if plan.basis.brewhouse.tap is not None else "a cold tap (any house has one)"
    return (
        (
            f"Test {each} (the test plug: a hand's length of hose, in its other end a bolt as thick as its "
            f"bore, both ends in worm clamps), join IN to {tap}, and open it slowly to full house pressure "
            "for ten minutes, over a sink or outdoors, the coil dry outside. Never with compressed air.",
            "Water hardly stores energy; a joint that lets go under air flies.",
        ),
        (
            "Look and feel along every bend and joint with dry paper. A drop: close the tap, let the "
            "pressure off, mend, test again.",
            "A leak would water the wort, and it shows best cold.",
        ),
        (
            "Close the tap FIRST, open the cap a little until nothing comes, then take it off. Let the coil "
            "drain, and never heat it with an end closed.",
            "Behind the cap stands full house pressure; a closed coil that is heated bursts.",
        ),
    )


def cleaning(metal: Material) -> tuple[Step, ...]:
    """The first cleaning of a coil of this metal, and its first run (common practice, no source)."""
    return (
        (
            "Wash it inside and out with warm water and a mild detergent; rinse until nothing foams.",
            "Drawing oil, flux and fingers are on new tube.",
        ),
        (
            "If it is still dull or oily: ten minutes in vinegar with as much water, then rinse well. No "
            "longer, and nothing stronger.",
            metal.acid,
        ),
        (f"{metal.barred}, at any time.", metal.barred_because),
        (
            "First run: chill as much hot plain water as you brew, on the plan of the card, and write down "
            "time and temperature every two minutes.",
            "It rinses once more, and it is the first measurement of your own stirring and flow.",
        ),
    )


def brew_day(plan: WorkPlan) -> Card:
    """The half page that hangs by the kettle."""
    brewhouse, p = plan.basis.brewhouse, plan.rating.prediction
    u = brewhouse.units
    target = by_hand.degrees(plan.basis.scenario.T_target, u)
    steps = [*_before(plan), *_plan(plan), *_after(plan, target)]
    rows = [
        ("hot wort", _batch(plan), BLANK),
        ("minutes to " + target, ranges.time(p), BLANK),
        ("water coming in", _cold(plan), BLANK),
        ("bucket of " + ("5 gal" if u == "us" else "10 L") + " fills in", _fills(plan), BLANK),
    ]
    if p.water is not None:
        rows.append(("water used", ranges.water(p, u), BLANK))
    if plan.fully_open is not None:
        rows.append(("fully open", throttle.beside(plan), BLANK))
    if p.ice > 0.0:
        rows.append(("ice melted", ranges.ice(p, u), BLANK))
    log = Table("Planned and today", ("", "planned", "today"), tuple(rows), (3.2, 2.0, 2.0), (1,))
    numbered = Steps(tuple((text, "") for text in steps))
    return Card(f"BREW DAY: {brewhouse.name}", (numbered, log, Text(_hot(plan.basis.scenario.T_start, u))))


def _batch(plan: WorkPlan) -> str:
    """The wort that all figures are of; with a smaller batch, which is sooner cold."""
    batches, u = plan.basis.brewhouse.wort.batches, plan.basis.brewhouse.units
    largest = show(batches[-1], "exact_volume", u)
    if len(batches) == 1:
        return largest
    return f"{largest}; {show(batches[0], 'exact_volume', u)} takes less"


def _hot(T_start: float, units: str) -> str:
    """What must not be forgotten on the day."""
    return (
        f"The first water out is {as_hot(T_start, units)}: "
        f"hose rated {by_hand.degrees(373.15, units)}, tied down. Never "
        "shut the outlet of a filled coil in hot wort. Never lift or move the kettle with the coil in it."
    )


def _before(plan: WorkPlan) -> list[str]:
    """What is done while everything is cold, and as the boil ends."""
    first = next(source for source in plan.basis.scenario.sources)
    outs = "OUT hose" if len(plan.pieces) == 1 else "hose of the OUT tee"
    where = FAR_SIDE if first.returns else "into a bucket or a drain, its end above the water"
    said = [f"While it is cold, fit and tighten the hoses, no water yet; tie the {outs} {where}."]
    if plan.basis.brewhouse.draws_from_tap:
        said[0] += " A vacuum breaker sits on the hose tap."
    if plan.basis.pumps:
        said.append(
            "Pump not plugged in yet: its outlet a GFCI/RCD one, its cord in a drip loop. Unplug it before a "
            "hand goes into the bucket."
        )
    if stirs_by_pump(plan.basis.brewhouse):
        said.append(
            f"Whirlpool pump: hoses and fittings for {by_hand.degrees(373.15, plan.basis.brewhouse.units)}, "
            "each end clamped; its outlet a GFCI/RCD one, its cord in a drip loop."
        )
    said += throttle.before_brewing(plan)
    said.append(
        "Last ten minutes of the boil: lower the drained coil slowly, gloves on. Watch for boil-over."
    )
    said.append(f"Flame out, or element off and unplugged. {_start(plan)}")
    return said


def _start(plan: WorkPlan) -> str:
    """How the first water is let run."""
    if plan.basis.brewhouse.begins_with_pump:
        return "Then plug the pump in."
    to = "" if plan.fully_open is None else " as far as the mark on the valve, no further"
    return f"Then open the water slowly{to}."


FAR_SIDE = "to the bucket's far side from the pump"


def _after(plan: WorkPlan, target: str) -> list[str]:
    stages = zip(plan.basis.brewhouse.cooling, plan.rating.prediction.stages, strict=True)
    cooling = [(stage, line.idle) for stage, line in stages if not stage.is_hold]
    last = [stage for stage, idle in cooling if not idle or stage is cooling[0][0]][-1]
    off = "Water off at the tap" if last.pump is None else "Unplug the pump"
    if stirs_by_pump(plan.basis.brewhouse):
        off += ", the whirlpool pump off and unplugged; only then"
    else:
        off += ","
    return [f"Stir, then read: stop at {target}. {off} lift the coil out, drain it, rinse it."]


def _plan(plan: WorkPlan) -> list[str]:
    """The water, stage by stage, as it is turned on, and what is changed between them."""
    basis, p = plan.basis, plan.rating.prediction
    brewhouse = basis.brewhouse
    begins = [basis.scenario.T_start, *(line.until or 0.0 for line in p.stages)]
    said = []
    before: CoolingStage | None = None
    alone = len([line for line in p.stages if not brewhouse.cooling[line.number - 1].is_hold]) == 1
    for line, T in zip(p.stages, begins, strict=False):
        stage = brewhouse.cooling[line.number - 1]
        if not stage.is_hold and not line.idle:
            said += _change(before, stage)
            before = stage
        if alone and not stage.is_hold and p.told.time is not None:  # as on the rest of the sheet
            line = replace(line, time=p.told.time, water=p.told.water or 0.0)
        text = plan_words.stage_line(line, T, basis)
        said.append(f"{text[0].upper()}{text[1:]}.")
        if stage.refills and not line.idle:
            said[-1] += " To change the water: unplug the pump, pour away, fill, plug in."
    move = "Keep the wort moving" if basis.scenario.mixing.share == 1.0 else "Move the wort in every minute"
    stirred = {
        "left alone": "Leave the wort alone.",
        "now and then": "Stir now and then: every two or three minutes, round the coil and up and down.",
        "steady": "Keep stirring.",
    }.get(
        str(brewhouse.wort.mixing),
        f"{move} ({plan_words.mixing(brewhouse.wort.mixing, brewhouse.units)}).",
    )
    p_steady = plan.rating.prediction.told_steady
    if p_steady is not None and basis.scenario.mixing.share < 1.0:
        stirred += f" Stirred all the time it takes {p_steady / 60.0:.0f} min."
    return [*said, stirred]


def _change(before: CoolingStage | None, stage: CoolingStage) -> list[str]:
    """What hands do between two sources, gloves on: the hoses are hot."""
    if before is None or before.source == stage.source == "tap":
        return []
    if before.pump is not None and (before.pump, before.return_) == (stage.pump, stage.return_):
        ice = ", put the ice in" if stage.ice else ""
        return [
            f"Unplug the pump. Gloves on: pour the warm water away, fill fresh{ice}; then plug the pump in."
        ]
    off = "Close the tap" if before.pump is None else "Unplug the pump"
    returns = stage.pump is not None and stage.return_ == "bucket"
    out = f"the OUT hose {FAR_SIDE}" if returns else "the OUT hose into a bucket or a drain"
    to = f"move the IN hose to {'the pump' if stage.pump is not None else 'the tap'} and {out}"
    ice = "; put the ice into the water now" if stage.ice else ""
    on = "plug the pump in" if stage.pump is not None else "open the tap slowly"
    return [f"{off}. Gloves on: {to}{ice}; then {on}."]


def _cold(plan: WorkPlan) -> str:
    stage = next((s for s in plan.basis.scenario.stages if s.source is not None), None)
    if stage is None or stage.source is None:
        return ""
    return by_hand.degrees(stage.source.T_water, plan.basis.brewhouse.units)


def _fills(plan: WorkPlan) -> str:
    """How long the bucket takes at the flow that was reckoned with."""
    flow, us = plan.rating.prediction.flow, plan.basis.brewhouse.units == "us"
    return f"{(5.0 * US_GALLON if us else 10e-3) / flow:.0f} s" if flow > 0.0 else ""


def situations(plan: WorkPlan) -> list[str]:
    """The cautions that this build and its plan call for, by name."""
    joints = {item.joint for item in plan.bill.items}
    left_out = not_called_for(plan.basis.brewhouse)
    if not {"solder", "braze"} & joints:
        left_out |= {"dry coil", "torch"}
    if min(layer.rho for layer in plan.layers) >= 1.0:
        left_out.add("filling")
    if not any(source.returns for source in plan.basis.scenario.sources):
        left_out.add("hot return")
    return [name for name, _ in CAUTIONS if name not in left_out]


def cautions(plan: WorkPlan) -> Points:
    """Everything that can hurt on this build and with this plan."""
    T_start, units = plan.basis.scenario.T_start, plan.basis.brewhouse.units
    return Points(cautions_for(*situations(plan), metal=plan.tube.metal, units=units, T_start=T_start))
