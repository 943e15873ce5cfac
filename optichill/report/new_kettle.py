"""The screen of `new-kettle`: what becomes of the coil, why, and every option beside what it does today."""

from __future__ import annotations

from optichill.display import money, seen, show
from optichill.fabrication.work_plan import plan_work
from optichill.files.reading import Inputs
from optichill.owned.new_build import ROW_HEAD
from optichill.owned.option import Option
from optichill.problem.basis import DesignBasis
from optichill.problem.limits import LIMITS
from optichill.report import ranges, words
from optichill.report.new_kettle_reasons import left_out
from optichill.report.new_kettle_steps import LATER, how, sell
from optichill.report.new_kettle_told import Told
from optichill.report.new_kettle_words import do_this, reused, title, to_buy, why, work
from optichill.report.paper import WIDTH, entry, folded, whole
from optichill.report.table import drawn
from optichill.workshop.cautions import cautions_for, in_short

COLUMNS = ("", "what becomes of it", "minutes", "water", "to buy", "in all", "work", "reused", "coil")
SPARED = ("reused", "coil", "in all", "work")
"""Columns that a narrow terminal goes without, the first one first."""


def screen(told: Told, old: Inputs, new: Inputs, name: str | None, width: int = WIDTH) -> list[str]:
    """All lines, folded to a width [columns]; name : of the option that is told in full, the first "
    "without."""
    found = told.found
    option = found.first if name is None else found.option(name)
    lines = [_kettle("OLD", old, found.old), _kettle("NEW", new, found.new), ""]
    if found.first is None:
        lines += entry("DO THIS", "Nothing here chills the new kettle: recommend says what would help.")
    else:
        lines += entry("DO THIS", _advice(told, found.first))
    lines = folded(lines, width)
    lines += ["", *table(told, width)]
    more: list[str] = []
    more += entry("LEFT OUT", *_not_these(told))
    if option is not None:
        label = "HOW" if option is found.first else "HOW ELSE"
        steps = [words.sentence(text) for text in how(option, told)]
        more += entry(label, *([f"{do_this(option, told)}."] if label != "HOW" else []), *steps)
        more += entry("TO BUY", *_bill(option, told))
        more += _to_write(option)
        more += entry("LIMITS", *_broken(option))
    more += entry("SELL IT", sell(told))
    more += entry("LATER", LATER)
    more += entry("WARNING", *(words.sentence(text) for text in new.warnings))
    more += entry("TAKE CARE", *_cautions(option, found.new))
    return [*lines, "", *folded(more, width)]


def _kettle(label: str, inputs: Inputs, basis: DesignBasis) -> str:
    kettle, u = inputs.brewhouse.kettle, inputs.brewhouse.units
    sizes = (kettle.inside_diameter, kettle.inside_height)
    wide, tall = (show(size, "length", u) for size in sizes)
    wort = show(basis.hot_volume, "exact_volume", u)
    return entry(label, f"{inputs.first_line}: {wide} wide, {tall} tall, {wort} hot wort")[0]


def _advice(told: Told, first: Option) -> str:
    """The first sentence: what to do, what it does, and why."""
    p, before = first.rating.prediction, told.found.before.prediction
    was = "not at all" if before.told.time is None else f"{before.told.time / 60.0:.0f}"
    buys = f"{to_buy(first, told)} to buy"
    said = f"{do_this(first, told)}: {ranges.time(p)} (in the old kettle {was}), {buys}."
    reason = why(told)
    said += f" {reason[0].upper()}{reason[1:]}." if reason else ""
    if not first.holds:
        said += f" No option holds your limits: this one breaks {_names(first)}."
    return said


def _names(option: Option) -> str:
    return " and ".join(LIMITS[line.name].words for line in option.broken)


def table(told: Told, width: int) -> list[str]:
    """Before, and every option, no wider than a terminal [columns]."""
    rows = [_before(told), *(_row(n, option, told) for n, option in enumerate(told.found.options, 1))]
    return drawn(COLUMNS, rows, width, SPARED)


def _before(told: Told) -> tuple[str, ...]:
    p = told.found.before.prediction
    water = show(p.told.water, "volume", told.units)
    coil = plan_work(told.found.old, told.found.coil).coil_id
    return ("", "today, in the old kettle", ranges.minutes(p), water, "", "", "", "", coil)


def _row(number: int, option: Option, told: Told) -> tuple[str, ...]:
    p = option.rating.prediction
    ice = f"\n+ {show(option.sizes['ice'], 'mass', told.units)} ice" if option.plan else ""
    broken = "" if option.holds else f"\n(breaks {_names(option)})"
    tied = "\n(as good as 1)" if told.found.tied(option) else ""
    return (
        str(number),
        f"{title(option, told)}{broken}{tied}",
        ranges.minutes(p),
        show(p.told.water, "volume", told.units) + ice,
        to_buy(option, told),
        money(seen(float(option.life.total)), told.currency),
        work(option),
        reused(option, told),
        plan_work(option.basis, option.coil).coil_id,
    )


def _not_these(told: Told) -> list[str]:
    """Every option that does not apply, with its reason; what has the same reason stands together."""
    by_reason: dict[str, list[str]] = {}
    for out in told.found.left_out:
        by_reason.setdefault(left_out(out, told), []).append(out.name)
    return [
        f"{', '.join(NAMED[name] for name in names)}: {_lower(text)}" for text, names in by_reason.items()
    ]


def _lower(text: str) -> str:
    return text[0].lower() + text[1:]


NAMED = {
    "keep": "as it is",
    "stand": "set otherwise",
    "extend": "longer risers",
    "pair": "a second coil",
    "precool": "in ice",
    "rewind": "wound anew",
    "replace": "a new coil",
}
"""What is left out, at the head of its line."""


def _bill(option: Option, told: Told) -> list[str]:
    """What has to be bought, each with its price."""
    lines = []
    for item in option.bill.items:
        price = money(item.price, told.currency, 2) if item.price < 10.0 else told.money(item.price)
        many = words.amount(item.quantity, item.unit, told.units)
        many = "" if many == "1" else f"{many} x " if item.unit != "m" else f"{many} of "
        lines.append(f"{many}{item.what}: {price}")
    if lines and told.found.new.stock.example_prices:
        lines.append("(example prices)")
    return lines


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
    return [f"It breaks {_names(option)}."] if option.broken else []


def _cautions(option: Option | None, basis: DesignBasis) -> list[str]:
    """The two of every screen, and what the option's own work calls for."""
    u, hot = basis.brewhouse.units, basis.scenario.T_start
    own = {"extend": ("torch", "lead", "leak test"), "rewind": ("cut ends", "leak test")}
    named = own.get(option.name, ()) if option is not None else ()
    more = cautions_for(*named, metal=None, units=u, T_start=hot) if named else ()
    return [*in_short(hot, u), *more]
