"""The screen of `new-kettle`: what becomes of the coil, why, and every option beside what it does today."""

from __future__ import annotations

from optichill.display import show
from optichill.fabrication.work_plan import plan_work
from optichill.files.reading import Inputs
from optichill.money import money, seen
from optichill.owned.new_kettle.new_build import ROW_HEAD
from optichill.owned.new_kettle.option import Option
from optichill.problem.basis import DesignBasis
from optichill.problem.bill import form_of, rolls_of
from optichill.problem.limits import LIMITS
from optichill.problem.worth import worth_of
from optichill.report import calibrated_elsewhere, ranges
from optichill.report.dangers import in_a_line_each
from optichill.report.lifetime import hour
from optichill.report.new_kettle.reasons import asked_for, not_these, not_worth
from optichill.report.new_kettle.steps import LATER, fits, how, sell
from optichill.report.new_kettle.stirring import label, or_stir
from optichill.report.new_kettle.told import Told
from optichill.report.new_kettle.words import (
    do_this,
    option_left_out,
    reused,
    title,
    to_buy,
    why,
    work,
)
from optichill.report.paper import WIDTH, entry, folded, whole
from optichill.report.table import drawn
from optichill.report.words import by_hand, roll_words
from optichill.report.words.sentences import sentence
from optichill.workshop.cautions import cautions_for
from optichill.workshop.fittings import Item

COLUMNS = ("", "what becomes of it", "minutes", "water", "to buy", "in all", "work", "reused", "coil")
TWO_LINES = "\nand "
"""Two things that are done stand on two lines, or a column of figures would have to go for them."""
SPARED = ("reused", "coil", "work", "water", "in all")
"""Columns that a narrow terminal goes without, the first one first."""


def screen(told: Told, old: Inputs, new: Inputs, name: str | None, width: int = WIDTH) -> list[str]:
    """All lines, folded to a width [columns]; name : of the option that is told in full, the first without,
    or where it does not apply."""
    found = told.found
    option = (None if name is None else found.option(name)) or found.first
    lines = [_kettle("OLD", old, found.old, told), _kettle("NEW", new, found.new, told)]
    lines += [*calibrated_elsewhere.lines((found.old, found.new)), ""]
    if found.first is None:
        lines += entry("DO THIS", "Nothing here chills the new kettle: recommend says what would help.")
    else:
        lines += entry("DO THIS", _advice(told, found.first))
    lines += entry(label(told), *or_stir(told, whole))
    lines = folded(lines, width)
    drawn_table = table(told, width)
    lines += ["", *drawn_table]
    lines += (
        folded(_money_note(told), width)
        if found.options and any("in all" in row for row in drawn_table)
        else []
    )
    more: list[str] = []
    more += entry("ASKED FOR", asked_for(name, told)) if name and found.option(name) is None else []
    more += entry("NOT WORTH IT", *not_worth(told))
    more += entry("LEFT OUT", *not_these(told))
    if option is not None:
        first = option is found.first
        steps = [sentence(text) for text in how(option, told)]
        more += entry(
            "HOW" if first else "HOW ELSE", *([] if first else [f"{do_this(option, told)}."]), *steps
        )
        more += entry("FITS", fits(option, told))
        more += entry("TO BUY", *_bill(option, told))
        more += _to_write(option)
        more += entry("LIMITS", *_broken(option))
    if option is None or option.name == "replace":  # else it is still of use
        more += entry("SELL IT", sell(told))
        more += entry("LATER", LATER) if found.coil.metal.bent_freehand else []
    more += entry("WARNING", *(sentence(text) for text in new.warnings))
    more += entry("TAKE CARE", *_cautions(option, found.new))
    return [*lines, "", *folded(more, width)]


def _kettle(label: str, inputs: Inputs, basis: DesignBasis, told: Told) -> str:
    kettle, u = inputs.brewhouse.kettle, told.units
    sizes = (kettle.inside_diameter, kettle.inside_height)
    wide, tall = (show(size, "length", u) for size in sizes)
    wort = show(basis.hot_volume, "exact_volume", u)
    which = inputs.first_line.removeprefix("Brewhouse: ")  # the label says that
    return entry(label, f"{which}: {wide} wide, {tall} tall, {wort} hot wort")[0]


def _advice(told: Told, first: Option) -> str:
    """The first sentence: what to do, what it does, and why."""
    p, before = first.rating.prediction, told.found.before.prediction
    was = "not at all" if before.told.time is None else f"{before.told.time / 60.0:.0f}"
    buys = f"{to_buy(first, told)} to buy"
    said = f"{do_this(first, told)}: {ranges.time(p)} (in the old kettle {was}), {buys}."
    reason = why(told)
    said += f" {reason[0].upper()}{reason[1:]}." if reason else ""
    if not first.holds:
        now = " as the wort is stirred now" if told.found.stirred else ""
        said += f" No option holds your limits{now}: this one breaks the {_names(first)}."
    return said


def _names(option: Option) -> str:
    return " and ".join(LIMITS[line.name].words.removeprefix("the ") for line in option.broken)


def table(told: Told, width: int) -> list[str]:
    """Before, and every option, no wider than a terminal [columns]."""
    rows = [_before(told), *(_row(n, option, told) for n, option in enumerate(told.found.options, 1))]
    return drawn(COLUMNS, rows, width, SPARED)


def _money_note(told: Told) -> list[str]:
    """What `in all` is."""
    worth, batches = worth_of(told.found.new), told.found.new.brewhouse.wishes.batches
    return [
        f"In all: money over {batches} batches in the new kettle, without what is spent already "
        f"({hour(worth, told.currency)})."
    ]


def _before(told: Told) -> tuple[str, ...]:
    coil = plan_work(told.found.old, told.found.coil).coil_id
    return ("", "today, in the old one", *told.today(), "", "", "", "", coil)


def _row(number: int, option: Option, told: Told) -> tuple[str, ...]:
    p = option.rating.prediction
    ice = f"\n(with {show(option.sizes['ice'], 'mass', told.units)} of ice)" if option.plan else ""
    broken = "" if option.holds else f"\n(breaks {_names(option)})"
    tied = "\n(as good as 1)" if told.found.tied(option) else ""
    near = "\n(less wort over it)" if option.brought_near else ""
    near += "\n(not all of it priced)" if option_left_out(option) else ""
    return (
        str(number),
        f"{title(option, told).replace(' and ', TWO_LINES)}{ice}{broken}{near}{tied}",
        ranges.minutes(p),
        show(p.told.water, "volume", told.units),
        to_buy(option, told),
        money(seen(float(option.life.total)), told.currency),
        work(option),
        reused(option, told),
        plan_work(option.basis, option.coil).coil_id,
    )


def _thing(item: Item, option: Option, told: Told) -> str:
    """A line of the bill; a form with its own size: two layers have two."""
    if item.part != "form":
        return item.what
    across = " and ".join(show(size, "length", told.units) for size in _sizes_of(item, option))
    return f"{item.what} ({across} across)"


def _sizes_of(item: Item, option: Option) -> list[float]:
    """What the forms of a line measure [m]: those that the coil is wound on, for many rows of a list may have
    one description."""
    if option.design is None:
        return [option.sizes["form"]]
    wound = [w.form for w in (option.design.winding, option.design.inner) if w is not None]
    sizes = {form.outer_diameter for form in wound if form_of(form).what == item.what}
    return sorted(sizes)


def _roll(stock_id: str, option: Option, told: Told) -> str:
    """A roll as a shop has it."""
    tube = option.basis.stock.tube(stock_id)
    assert tube is not None
    return (
        f"{told.tube(tube.length)} roll of {roll_words.temper(tube)} {tube.material}, "
        f"{told.across(tube.outer_diameter)} outside, {show(tube.wall, 'wall', told.units)} wall "
        f"({tube.stock_id})"
    )


def _bill(option: Option, told: Told) -> list[str]:
    """What has to be bought, each with its price."""
    lines = []
    rolls = [name for name in (option.texts.get("first_roll"), option.texts.get("roll")) if name]
    if sum(item.part == "roll" for item in option.bill.items) < len(rolls):
        rolls = rolls[-1:]  # the second coil's roll gives both
    if option.design is not None:  # in the bill's order; what is at hand is not in it
        told_as = zip(rolls_of(option.design.bought, told.units), option.design.bought, strict=True)
        named = {bought.what: tube.stock_id for bought, tube in told_as if not bought.owned}
        rolls = [named[item.what] for item in option.bill.items if item.part == "roll"]
    for item in option.bill.items:
        price = money(item.price, told.currency, 2) if item.price < 10.0 else told.money(item.price)
        many = by_hand.amount(item.quantity, item.unit, told.units)
        many = "" if many == "1" else f"{many} x " if item.unit != "m" else f"{many} of "
        what = _roll(rolls.pop(0), option, told) if item.part == "roll" else _thing(item, option, told)
        lines.append(f"{many}{what}: {price}")
    if lines and told.found.new.stock.example_prices:
        lines.append("(example prices)")
    return lines + [f"not counted: {what}" for what in option_left_out(option)]


def _to_write(option: Option) -> list[str]:
    """Lines that go into files of the new kettle."""
    lines: list[str] = []
    if option.plan:
        lines += entry("WRITE", "into the new kettle's brewhouse file, in place of its [[cooling]]:")
        lines += [f"  {whole(line)}" if line else "" for line in option.plan]
    if option.rows:
        lines += entry("WRITE", f"into the new kettle's tubing.csv ({whole(ROW_HEAD)}):")
        lines += [f"  {whole(row)}" for row in option.rows]
    return lines


def _broken(option: Option) -> list[str]:
    return [f"It breaks the {_names(option)}."] if option.broken else []


def _cautions(option: Option | None, basis: DesignBasis) -> list[str]:
    """The two of every screen, and what the option's own work calls for."""
    u, hot = basis.brewhouse.units, basis.scenario.T_start
    own = {"extend": ("torch", "lead", "leak test"), "rewind": ("cut ends", "leak test")}
    name = "" if option is None else option.texts.get("first", option.name)
    named = own.get(name, ())
    more = cautions_for(*named, metal=None, units=u, T_start=hot) if named else ()
    return [*in_a_line_each(basis if option is None else option.basis), *more]
