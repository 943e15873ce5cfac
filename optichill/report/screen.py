"""The first screen: the answer in a dozen lines, without jargon."""

from __future__ import annotations

from optichill.display import show, trim
from optichill.files.reading import Inputs
from optichill.layouts import LAYOUTS
from optichill.money import bill_figures, money, that_add_up
from optichill.problem.basis import DesignBasis
from optichill.problem.bill import TOOLS
from optichill.problem.worth import worth_of
from optichill.rating.prediction import Prediction
from optichill.report import calibrated, ranges
from optichill.report.choice import (
    a_little_more_text,
    beyond_is_a_sample,
    habit_text,
    ladder_text,
    less_ice_text,
)
from optichill.report.dangers import in_a_line_each, on_screen
from optichill.report.form_advice import form_advice
from optichill.report.left_out import not_counted
from optichill.report.lifetime import freezer_ice, hour, over_its_life, rates
from optichill.report.measure import measure, regret
from optichill.report.no_fit import nothing_fits
from optichill.report.origin import origin_told
from optichill.report.otherwise import about, dirt, last_degrees, stirred, stirring_word
from optichill.report.paper import entry
from optichill.report.reasons import because
from optichill.report.searched import (
    left_out_text,
    left_text,
    proved_text,
    sample_text,
    weighed_text,
)
from optichill.report.turns_told import counts, gaps_told, turns_told
from optichill.report.warnings import of_design
from optichill.report.words import (
    build_words,
    by_hand,
    mouth_words,
    plan_words,
    roll_words,
    winding_words,
)
from optichill.report.words.sentences import sentence
from optichill.search.answer import Answer
from optichill.search.designs import Design
from optichill.workshop.cautions import cautions_for
from optichill.workshop.fittings import Item


def kettle_line(basis: DesignBasis) -> list[str]:
    """YOUR KETTLE: what everything rests on, and by what it is calibrated."""
    return entry("YOUR KETTLE", kettle_text(basis)) + calibrated.lines(basis.brewhouse, basis.calibration)


def kettle_text(basis: DesignBasis) -> str:
    """A kettle with its batch and tap, in a few words."""
    brewhouse = basis.brewhouse
    kettle, wort, tap, u = brewhouse.kettle, brewhouse.wort, brewhouse.tap, brewhouse.units
    depth = show(basis.hot_volume / kettle.area, "length", u)
    text = (
        f"{show(kettle.inside_diameter, 'length', u)} wide, {show(wort.volume, 'exact_volume', u)} hot wort"
        f" = {depth} deep."
    )
    if basis.scenario.T_target > wort.target_temperature + 0.05 or wort.top_up is not None:
        text += _top_up(basis)
    if tap is not None:
        draws = brewhouse.draws_from_tap  # else it fills a bucket, and is only as cold as it is
        flow = f", {show(tap.open_flow, 'flow', u)} out of the open hose" if tap.open_flow and draws else ""
        text += f" Tap {show(tap.temperature, 'temperature', u)}{flow}."
    return f"{text} Down to {show(wort.target_temperature, 'temperature', u)}."


def _top_up(basis: DesignBasis) -> str:
    """A partial boil: how far the kettle is chilled."""
    top_up, u = basis.brewhouse.wort.top_up, basis.brewhouse.units
    assert top_up is not None
    added = f"{show(top_up.volume, 'exact_volume', u)} at {show(top_up.temperature, 'temperature', u)}"
    if basis.scenario.T_target >= basis.scenario.T_start:
        return f" Topped up with {added}: that alone cools it enough."
    return (
        f" Topped up with {added}: the kettle need only reach {by_hand.degrees(basis.scenario.T_target, u)}."
    )


def first_screen(answer: Answer, inputs: Inputs, *, full: bool = False) -> list[str]:
    """The answer of `recommend` without its table, not folded: what to build and why; full : how it was found
    too."""
    lines = [inputs.first_line, "", *kettle_line(answer.basis)]
    if not answer.designs:
        return [*lines, *nothing_fits(answer), *warnings(inputs)]
    best, basis = answer.designs[0], answer.basis
    lines += build_this(best, basis, full=full)
    lines += _numbers(best, answer, inputs, full=full)
    lines += entry("FITS", fits_text(best, basis))
    lines += entry("BECAUSE", *(f"{reason[0].upper()}{reason[1:]}." for reason in because(answer)))
    beyond = a_little_more_text(answer, None if full else 2)
    lines += entry("JUST BEYOND", *beyond, *beyond_is_a_sample(answer, full=full))
    lines += entry("MONEY BUYS" if len(answer.ladder) > 1 else "FOR NOTHING", *ladder_text(answer))
    lines += entry("HABIT", *habit_text(answer))
    lines += entry("LESS ICE", *less_ice_text(answer))
    lines += entry("FORM", *form_advice(answer))
    lines += entry("MEASURE", *(sentence(text) for text in measure(answer, full=full)))
    lines += _ranked_by(answer)
    lines += entry("A SAMPLE", *sample_text(answer.sample))
    lines += entry("WARNING", *map(sentence, of_design(best, basis)))
    if full:
        lines += entry("HOW SURE", *(sentence(text) for text in regret(answer)))
        lines += _checked(answer)
        lines += entry("ROLLS", *map(sentence, left_out_text(answer.left_out)))
        lines += not_sure(inputs)
    lines += warnings(inputs)
    return lines + (take_care(basis) if full else entry("TAKE CARE", *in_a_line_each(basis)))


def build_this(d: Design, basis: DesignBasis, *, full: bool) -> list[str]:
    """BUILD THIS: tube, form, turns and risers; full : also what it weighs and how far it springs open."""
    u = basis.brewhouse.units
    ends = "both ends up outside" if basis.brewhouse.workshop.riser == "outside" else "one end up inside"
    laid = LAYOUTS[d.layout]
    cut = show(d.tube_length, "long_length", u)
    if laid.tubes > 1:
        outer = show(d.tube_length - d.inner_length, "long_length", u)
        cut = f"{outer} for the outer and {show(d.inner_length, 'long_length', u)} for the inner coil"
    lines = [f"{roll_words.roll(d, u)}, {winding_words.forms(d, u)}"]
    if d.inner is not None:
        lines.append(laid.full)
    lines.append(
        f"{turns_told(counts(d), 'in each layer')}, {gaps_told(d, u)}; {by_hand.rough(d.across, u)} across, "
        f"{by_hand.rough(d.height, u)} tall; cut {cut}; {ends}, {winding_words.tool(d.winding)}"
    )
    if full:
        opens = f"{100 * (1 / d.springback - 1):.0f} %"
        lines.append(
            f"springs open by {opens} when let go (already counted); weighs {show(d.mass, 'mass', u)}, holds "
            f"{show(d.holds_water, 'exact_volume', u)} of water"
        )
    return entry("BUILD THIS", *lines) + entry("EXPLORED", *origin_told(d, basis))


def _numbers(d: Design, answer: Answer, inputs: Inputs, *, full: bool) -> list[str]:
    brewhouse, p, u = answer.basis.brewhouse, d.prediction, answer.basis.brewhouse.units
    how = stirred(p, brewhouse.wort, u) if full else stirring_word(brewhouse.wort, u)
    lines = entry("TIME", f"{ranges.time(p)}, {how}")
    lines += time_lines(p, answer.basis, full=full)
    lines += plan_lines(p, answer.basis)
    enough = ranges.enough_water(p, brewhouse.limits, u)
    lines += entry("WATER", _water(p, d.valve_share, answer.basis, full=full), *filter(None, [enough]))
    left_out = (" ".join(filter(None, part)) for part in not_counted(d.bill, answer.basis))
    lines += entry("COST", cost_text(d, answer.basis, inputs, full=full), *left_out)
    hard = d.reasons[0] if d.reasons else "nothing in particular"
    lines += entry("WORK", f"{build_words.difficulty(d.difficulty)}; the hard part: {hard}")
    if answer.levels is not None:
        return lines
    worth, currency = worth_of(answer.basis), brewhouse.stock.currency
    life, by = over_its_life(d, worth, currency), rates(worth, currency, u)
    told = f"{life}; {by}. {YOUR_OWN}" if full else f"{life} ({hour(worth, currency)})"
    return lines + entry("IN ALL", told, *freezer_ice(answer.basis)[0 if full else 1 :])


YOUR_OWN = "Say your own under [wishes]."


def time_lines(p: Prediction, basis: DesignBasis, *, full: bool = True) -> list[str]:
    """What more there is to say of the time: how surely it is kept, what its last degrees and dirt cost.
    full : also that it is kept where there is hardly a doubt."""
    limits = basis.brewhouse.limits
    kept = ranges.in_time(p, limits) if full or not ranges.surely(p, limits) else None
    lines = entry("IN TIME", *filter(None, [kept]))
    lines += entry("LAST DEGREES", *filter(None, [last_degrees(p, basis)]))
    return lines + entry("DIRT", *filter(None, [dirt(p, basis.brewhouse.wort)]))


def _water(p: Prediction, valve: float, basis: DesignBasis, *, full: bool) -> str:
    """Water used, how the valve stands, and that it comes out hot."""
    u = basis.brewhouse.units
    assert p.water is not None
    flow = show(p.flow, "flow", u)
    flow += " through the coil" if full or valve < 1.0 else ""
    if valve < 1.0:
        flow = f"valve {build_words.valve(valve)}: {flow}, {by_hand.bucket_time(p.flow, u)}"
    elif len(basis.valve_shares) > 1:
        flow = f"valve open: {flow}, {by_hand.bucket_time(p.flow, u)}" if full else f"{flow}, valve open"
    hot = f"   ({plan_words.first_out(p.outlet_start, basis)})" if full else ""
    return f"{ranges.water(p, u)}; {flow}{hot}"


def plan_lines(p: Prediction, basis: DesignBasis) -> list[str]:
    """The stages of the plan, when to change, ice, and the colder season; nothing for one tap all year."""
    brewhouse = basis.brewhouse
    u, lines = brewhouse.units, []
    if len(p.stages) > 1 or any(s.source != "tap" for s in brewhouse.cooling):
        begins = [basis.scenario.T_start, *(line.until or 0.0 for line in p.stages)]
        told = [plan_words.stage_line(line, T, basis) for line, T in zip(p.stages, begins, strict=False)]
        lines += entry("STAGES", *(f"{n}. {text}" for n, text in enumerate(told, 1)))
    if p.switch is not None and p.stages[basis.switch or 0].time > 0.0:
        at, low, high = (by_hand.degrees(T, u) for T in (p.switch.at, p.switch.low, p.switch.high))
        same = f", anything from {low} to {high} is the same" if low != high else ""
        lines += entry("CHANGE AT", f"{at}{same}")
    running = [s for line, s in zip(p.stages, brewhouse.cooling, strict=False) if not line.idle]
    prices = [s.ice_price * s.ice for s in running if s.ice and s.ice_price is not None]
    if p.ice > 0.0:
        bought = sum(s.ice or 0.0 for s in running)
        price = f", about {money(sum(prices), brewhouse.stock.currency)} a brew" if prices else ""
        lines += entry("ICE", f"melts {ranges.ice(p, u)}, of {show(bought, 'mass', u)}{price}")
    lines += entry("HOW SURELY", *ranges.borne(p))
    if p.winter is not None and brewhouse.tap is not None:
        cold = show(brewhouse.tap.cold_season, "temperature", u)
        time, water = p.winter
        used = f", {show(water, 'volume', u)}" if water is not None else ""
        said = about(time) if time is None else f"about {about(time)}"
        lines += entry("IN THE COLD", f"with the tap at {cold}: {said}{used}")
    return lines


def cost_text(d: Design, basis: DesignBasis, inputs: Inputs, *, full: bool) -> str:
    """The price of the build in parts that add up; full : every hose and fitting for itself."""
    brewhouse = basis.brewhouse
    bought = [i for i in d.bill.items if not i.owned]
    fittings = [] if full else [i.price for i in bought if i.fitting]
    parts = [(_short_name(i), i.price) for i in bought if full or not i.fitting]
    parts += [("hose and fittings", sum(fittings))] if fittings else []
    decimals = that_add_up([price for _, price in parts])
    *prices, total = bill_figures([price for _, price in parts], d.bill.total, decimals)
    said = ", ".join(f"{name} {price}" for (name, _), price in zip(parts, prices, strict=True))
    left = by_hand.left_over(d.offcut, brewhouse.units)
    return f"{total} {brewhouse.stock.currency} ({_prices(d, inputs)}): {said}; tube left over: {left}"


def _prices(d: Design, inputs: Inputs) -> str:
    """What the prices are worth: invented, dated, or of unknown age."""
    if inputs.stock.example_prices:
        return "example prices"
    return roll_words.price_date(d.bought)


def _short_name(item: Item) -> str:
    """What is bought, in a few words; a form by its own name, a bender without its id; and how many rolls."""
    name = item.what.split(",")[0].removeprefix("form: ")
    if name.startswith("pump "):
        name = name.split(": ")[-1]
    if name.startswith(TOOLS["hand"]):
        return TOOLS["hand"]
    kind = name.split(" bender ")[0]
    if " bender " in name:
        return _BENDERS.get(kind, name)
    return name if item.fitting or item.quantity == 1.0 else f"{trim(item.quantity)} x {name}"


_BENDERS = {"spring": "bending spring", "lever": "lever bender"}


def fits_text(d: Design, basis: DesignBasis, short: str = "") -> str:
    """How a coil stands in its kettle; short : that less wort than wished is over it, in words."""
    u = basis.brewhouse.units
    off_floor = by_hand.rough(d.lowest - d.winding.tube.outer_diameter / 2, u)
    rests = {
        "feet": f"stands on wire feet {off_floor} off the floor",
        "floor": "stands on the floor",
        "hangs": f"hangs {off_floor} off the floor",
    }[basis.brewhouse.kettle.coil_rests]
    deep = f"{by_hand.rough(abs(d.submergence), u)} {'under' if d.submergence >= 0.0 else 'out of'} the wort"
    if d.submergence < 0.0:  # of a coil that was made for another kettle
        deep = f"its top turn {deep}"
    through = mouth_words.passes(d.limits, basis.brewhouse.kettle, u)
    return (
        f"{by_hand.rough(d.wall_gap, u)} from turns to wall{build_words.beside_parts(d.wall_gap, basis)}, "
        f"{rests}, {short or f'{deep}{_of_smallest(basis)} when cold'}{f'; {through}' if through else ''}"
    )


def _of_smallest(basis: DesignBasis) -> str:
    """Which batch must cover the coil, where there are two."""
    batches = basis.brewhouse.wort.batches
    if len(batches) < 2:
        return ""
    return f" of the smallest batch ({show(batches[0], 'exact_volume', basis.brewhouse.units)} hot)"


def _ranked_by(answer: Answer) -> list[str]:
    """The levels behind the ranking, where the brewer has not stated wishes."""
    by, u, currency = answer.levels, answer.basis.brewhouse.units, answer.basis.brewhouse.stock.currency
    if by is None:
        return []
    low, high = by.good.tolist(), by.acceptable.tolist()
    said = {
        "chill_time": f"time {low[0] / 60:.0f} and {high[0] / 60:.0f} min",
        "cost": f"cost {money(low[1], currency)} and {money(high[1], currency)}",
        "water": f"water {show(low[2], 'volume', u)} and {show(high[2], 'volume', u)}",
        "difficulty": f"work {low[3]:g} and {high[3]:g} of 10",
    }
    yours = ", ".join(text for goal, text in said.items() if goal not in by.assumed)
    fixed = ", ".join(said[goal] for goal in by.assumed)
    others = f"; of the others, fixed: {fixed}" if fixed else ""
    return entry("RANKED BY", f"what is good and still acceptable: {yours}{others}.")


def _checked(answer: Answer) -> list[str]:
    found = [d.prediction for d in answer.designs if d.prediction.checked]
    if not found:
        return []
    weighed = f"{weighed_text(answer)}{proved_text(answer)}; {left_text(answer)}"
    said = agreement(found)
    second = f"; worked out a second way, in steps of time, the shortlist {said}" if said else ""
    return entry("CHECKED", f"{weighed}{second}")


def agreement(found: list[Prediction]) -> str:
    """How well two ways of working out agree; nothing where they do not, which is a warning."""
    off = [abs(p.difference) for p in found if p.difference is not None]
    if not off or not all(p.agrees for p in found):
        return ""
    return f"agrees within {max(100.0 * max(off), 0.01):.2f} %"


def not_sure(inputs: Inputs) -> list[str]:
    """What was assumed."""
    said = list(inputs.notes)
    house = inputs.brewhouse
    if not house.wort.moves.still and not calibrated.knows_stirring(house, inputs.calibration):
        said.append("how much you stir: time your next batch")
    return entry("NOT SURE", "; ".join(said) + ".") if said else []


def warnings(inputs: Inputs) -> list[str]:
    """What was said on reading."""
    return entry("NOTE", *(sentence(text) for text in inputs.warnings))


def take_care(basis: DesignBasis, *others: DesignBasis) -> list[str]:
    """The cautions that belong on every screen that leads to hot wort, and those of pumps and taps.
    others : of the other kettles that a coil is for."""
    said = [
        text
        for b in (basis, *others)
        for text in cautions_for(
            *on_screen(b.brewhouse), units=basis.brewhouse.units, T_start=b.scenario.T_start
        )
    ]
    return entry("TAKE CARE", *dict.fromkeys(said))
