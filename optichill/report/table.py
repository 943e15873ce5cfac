"""The ranked table: reads at 100 columns and without colour."""

from __future__ import annotations

import io
from collections.abc import Collection, Sequence
from textwrap import wrap

from optichill.display import show
from optichill.errors import printable
from optichill.layouts import LAYOUTS, with_layers
from optichill.money import money, seen
from optichill.problem.windings import Winding
from optichill.report import ranges
from optichill.report.choice import of_all, when_text
from optichill.report.naming import apart
from optichill.report.origin import legend, number
from optichill.report.paper import WIDTH
from optichill.report.turns_told import counts, gap_cell, turns_cell
from optichill.report.words import build_words, by_hand, roll_words, winding_words
from optichill.search.answer import Answer
from optichill.search.designs import Design

COLUMNS = ("", "tube", "form", "turns", "gap", "across", "minutes", "water", "cost", "work", "coil")
NUMBERS = ("turns", "gap", "across", "minutes", "water", "cost", "in all")
"""Columns that stand to the right."""


def rows(answer: Answer) -> list[tuple[str, ...]]:
    """The shortlist in words and units, a cell for each of COLUMNS."""
    brewhouse = answer.basis.brewhouse
    u, currency = brewhouse.units, brewhouse.stock.currency
    return [
        (
            number(d),
            _cut(d.winding.tube.stock_id, 14),
            _forms(d, u),
            turns_cell(d),
            gap_cell(d, u),
            by_hand.rough(d.across, u),
            ranges.minutes(d.prediction),
            show(d.prediction.told.water, "volume", u) + _VALVES.get(round(d.valve_share, 3), ""),
            money(d.bill.total, currency),
            build_words.difficulty(d.difficulty),
            d.id,
        )
        for d in answer.designs
    ]


def ranked_table(answer: Answer, width: int = WIDTH) -> list[str]:
    """All designs of the shortlist, one a row, with all that tells them apart; no wider than a terminal
    [columns]."""
    cells = rows(answer)
    more = apart([" ".join(row[1:6]) for row in cells], answer.designs, answer.basis.brewhouse.units)
    told = [(row[0], row[1], row[2] + _below(end), *row[3:]) for row, end in zip(cells, more, strict=True)]
    lines = drawn(COLUMNS, told, width, ("gap", "across"))
    if any(d.inner for d in answer.designs):
        marks = ", ".join(f"{x.mark} {x.legend}" for x in with_layers(2).values())
        lines.append(f"a/b: two layers, inner and outer form; {marks}")
    lines += legend(answer.designs, answer.basis.brewhouse.units)
    lines += _valve_marks(answer.designs)
    if any(w.wraps for d in answer.designs for w in (d.winding, d.inner) if w is not None):
        card = winding_words.card(answer.basis.brewhouse.units)
        lines.append(f"+1, +2: the form packed out once or twice with {card}")
    return lines


CHOICES = ("", "what it is", "tube", "turns", "minutes", "water", "cost", "in all", "work", "coil")
SPARED = ("work", "turns", "water", "tube")
"""Columns that a narrow terminal goes without, the first one first."""


def choices(answer: Answer, width: int, first: int | None = None) -> list[str]:
    """Builds to choose from, each with the reason why it is there, no wider than a terminal [columns].
    first : so many of all; else the first two, and those with a reason."""
    brewhouse = answer.basis.brewhouse
    u, currency = brewhouse.units, brewhouse.stock.currency
    shown = chosen(answer, first)
    table = [
        (
            number(d),
            _what_it_is(d, answer, shown),
            tube,
            turns_of(d),
            ranges.minutes(d.prediction),
            show(d.prediction.told.water, "volume", u) + _VALVES.get(round(d.valve_share, 3), ""),
            money(d.bill.total, currency),
            money(seen(float(d.life.total)), currency),
            build_words.difficulty(d.difficulty),
            d.id,
        )
        for d, tube in zip(shown, tube_cells(shown, u), strict=True)
    ]
    if answer.levels is None:
        return _with_legend(drawn(CHOICES, table, width, SPARED), shown, u)
    money_last = CHOICES.index("in all")  # money over the life does not rank here
    head = [name for name in CHOICES if name != "in all"]
    cells = [row[:money_last] + row[money_last + 1 :] for row in table]
    return _with_legend(drawn(head, cells, width, SPARED), shown, u)


def _with_legend(lines: list[str], shown: Sequence[Design], units: str) -> list[str]:
    """A table and what its marks stand for; a narrow one has no column of turns."""
    differ = any(" turns " in f" {line} " for line in lines[:2]) and any(
        len(set(counts(d))) > 1 for d in shown
    )
    below = ["a / b: turns of the inner and of the outer layer"] if differ else []
    marks = _valve_marks(shown) if " water " in f" {' '.join(lines[:2])} " else []
    return lines + below + marks + legend(shown, units)


def _valve_marks(shown: Sequence[Design]) -> list[str]:
    """What the fractions behind the water stand for, those that are there."""
    shares = sorted({round(d.valve_share, 3) for d in shown} & set(_VALVES), reverse=True)
    if not shares:
        return []
    told = [build_words.valve(share).removesuffix(" open") for share in map(_exact, shares)]
    marks = ", ".join(_VALVES[share].strip() for share in shares)
    return [f"{marks} behind the water: with the valve {', '.join(told)} open"]


def _exact(share: float) -> float:
    """The setting of build_words.VALVES that is told by three digits."""
    return min(build_words.VALVES, key=lambda setting: abs(setting - share))


def chosen(answer: Answer, first: int | None = None) -> list[Design]:
    """The builds of the table `choices`."""
    return [d for d in answer.designs[:first] if first or d.rank <= 2 or _what_it_is(d, answer)]


def no_more(answer: Answer, asked: int, first: int | None = None) -> list[str]:
    """What the table `choices` leaves out, and why, where fewer builds were found than looked for (asked);
    else `--full` shows them, as a screen says at its end."""
    if len(answer.designs) >= asked and first is None:
        return []
    shown = {d.rank for d in chosen(answer, first)}
    hidden = [d.rank for d in answer.designs if first is None and d.rank not in shown]
    if hidden:
        differ, them = (f"{len(hidden)} more differ", "them") if hidden[1:] else ("1 more differs", "it")
        return [f"{differ} from these, and nothing beats {them}: --top {hidden[-1]} shows {them} too."]
    if len(shown) >= asked:
        return []
    return ["No more rows: each other coil is better than one of these in nothing you would notice."]


def _what_it_is(d: Design, answer: Answer, shown: Sequence[Design] = ()) -> str:
    """The reason why it is there, true among those that are shown, the first alone of number 1; "" without
    one."""
    names = [name for role in answer.roles if role.design is d for name in of_all(role, shown, answer.basis)]
    if not names and d.rank == 2 and d in answer.tied_with(answer.designs[0]):
        return "as good as number 1"
    if not names:
        return next((when_text(flip, answer) for flip in answer.flips if flip.then.id == d.id), "")
    return ", ".join(names if d.rank > 1 else names[:1])


def _below(more: str) -> str:
    """What tells a coil from one that reads the same, on lines of its own: no column grows by it."""
    return "".join(f"\n{line}" for line in wrap(more.removeprefix(", "), 16))


def turns_of(d: Design) -> str:
    """How many turns, in each layer where there are two."""
    return turns_cell(d) + (" each" if d.inner and len(set(counts(d))) == 1 else "")


def tube_cells(shown: Sequence[Design], units: str) -> list[str]:
    """The roll of each, with what tells it from another that reads the same."""
    tubes = [_tube(d, units) for d in shown]
    more = apart([f"{tube} {turns_of(d)}" for d, tube in zip(shown, tubes, strict=True)], shown, units)
    return [tube + _below(end) for tube, end in zip(tubes, more, strict=True)]


def _tube(d: Design, units: str) -> str:
    """The roll in a few words: "15 m of 10 mm"."""
    tube = d.winding.tube
    return f"{roll_words.lengths(d.bought, units)} of {show(tube.outer_diameter, 'tube', units)}"


def drawn(
    head: Sequence[str],
    cells: Sequence[Sequence[str]],
    width: int,
    spared: Sequence[str],
    numbers: Collection[str] = NUMBERS,
) -> list[str]:
    """A table no wider than so many columns; what is spared goes first where it would be; numbers : columns
    that stand to the right."""
    from rich import box
    from rich.console import Console
    from rich.table import Table

    out = io.StringIO()
    console = Console(
        file=out,
        width=width,
        color_system=None,
        force_terminal=False,
        safe_box=True,
        markup=False,
        emoji=False,
    )
    endless = console.options.update(width=4 * WIDTH)
    left, shown = list(spared), list(head)
    while True:
        table = Table(box=box.SIMPLE_HEAD, pad_edge=False, padding=(0, 0))
        for name in shown:
            # Figures stay whole; what is a name may take two lines.
            whole = name in numbers or not name
            table.add_column(
                name, justify="right" if name in numbers else "left", no_wrap=whole, overflow="fold"
            )
        for row in cells:
            table.add_row(*(cell for name, cell in zip(head, row, strict=True) if name in shown))
        if not left or console.measure(table, options=endless).maximum <= width:
            break
        shown.remove(left.pop(0))
    console.print(table)
    return [line.rstrip() for line in out.getvalue().rstrip().splitlines()]


_VALVES = {0.75: " ¾", 0.667: " ⅔", 0.5: " ½", 0.333: " ⅓", 0.25: " ¼", 0.2: " ⅕"}


def _forms(d: Design, units: str) -> str:
    """Form ids, with packing and layout; of forms that no list names what they are, on lines of their own."""
    if d.inner is None:
        return _made(d.winding, units) or _form(d.winding, 16)
    if d.inner.form.made or d.winding.form.made:
        strips = "strips" if LAYOUTS[d.layout].crossing else ""
        inner = _made(d.inner, units) or _form(d.inner, 14)
        return f"{inner}{LAYOUTS[d.layout].mark}\n{strips or _made(d.winding, units) or _form(d.winding, 14)}"
    return f"{_form(d.inner, 7)}{LAYOUTS[d.layout].mark}{_form(d.winding, 8)}"


def _made(w: Winding, units: str) -> str:
    """A form to be made by its diameter; "" for one of the list."""
    return f"made {show(w.form.outer_diameter, 'length', units)}" if w.form.made else ""


def _form(w: Winding, most: int) -> str:
    packed = f" +{w.wraps}" if w.wraps else ""
    return _cut(w.form.form_id, most - len(packed)) + packed


def _cut(text: str, most: int) -> str:
    """An id as it is shown; one that is too long for its column has its end left off."""
    text = printable(text)
    return text if len(text) <= most else text[: most - 2] + ".."
