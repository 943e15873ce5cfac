"""A coil that is wound for the new kettle: of the old tube, or of new."""

from __future__ import annotations

from optichill.layouts import LAYOUTS
from optichill.model.stock import Tube
from optichill.owned.new_kettle import kept_coil
from optichill.owned.new_kettle.kept_options import Kept
from optichill.owned.new_kettle.option import LeftOut, Option, Work, worked_out
from optichill.owned.new_kettle.rolls import price_of_such_a_roll
from optichill.owned.outfit import outfit
from optichill.problem.basis import DesignBasis
from optichill.problem.bill import beyond
from optichill.search.designs import Design, as_coil, designs
from optichill.search.ranking import shortlist
from optichill.search.recommend import SearchResult, search_space
from optichill.workshop.cost import Bill
from optichill.workshop.fittings import Item

UNWINDING = 1.0
"""Hours to unwind a coil and to roll its tube straight (OWN)."""

OLD_TUBE = "old-coil"
"""stock_id of the old coil's tube, unwound."""


def best_of(searched: SearchResult) -> Design | None:
    """The first that `recommend` has of a search, without all that it says besides; None where nothing
    fits."""
    front, ranking = searched.front, searched.ranking
    if front is None or ranking is None:
        return None
    first = shortlist(front, ranking, 1).entry
    return designs(searched.enumeration.space, front.number[first], ranking.levels, 0 * first)[0]


def replaced(of: Kept, best: Design | None) -> Option | LeftOut:
    """The best coil of a fresh search in the new kettle; the old one's hoses and what fits serve again."""
    if best is None:
        return LeftOut("replace", "nothing_fits")
    bill, reused = beyond(best.bill, outfit(of.new, of.coil))
    return _built("replace", of.new, best, bill, reused, fresh_work(best))


def fresh_work(best: Design) -> Work:
    """Winding it, of tube that may be spoilt."""
    return Work(0.0, best.difficulty, best.winding.tube.price or 0.0)


def _built(
    name: str,
    basis: DesignBasis,
    best: Design,
    bill: Bill,
    reused: tuple[Item, ...],
    work: Work,
    row: str = "",
) -> Option:
    """A design that a search found, as its file has it."""
    roll = best.winding.tube
    texts = {
        "roll": roll.stock_id,
        "form": best.winding.form.description or best.winding.form.form_id,
        "id": best.id,
        "layout": best.layout,
    }
    sizes = {
        "roll": roll.length,
        "rolls": float(best.rolls),
        "across": best.across,
        "turns": best.turns,
        "d_o": roll.outer_diameter,
        "form": best.winding.form.outer_diameter,
    }
    return worked_out(
        name,
        basis,
        kept_coil.in_a_file(as_coil(best)),
        bill,
        work,
        reused=reused,
        rows=(row,) if row else (),
        sizes=sizes,
        texts=texts,
        design=best,
    )


def rewound(of: Kept) -> Option | LeftOut:
    """The old coil's tube unwound and wound on a larger form: it has hardened, so that it takes no turn as
    tight as soft tube does; the bends of its risers are cut off, for nobody straightens them."""
    coil = of.coil
    if not coil.metal.bent_freehand:
        return LeftOut("rewind", "not_by_hand")
    if LAYOUTS[coil.layout].tubes > 1:
        return LeftOut("rewind", "two_tubes")
    tube = old_tube(of)
    across = max(layer.mean_diameter for layer in coil.layers) - coil.outer_diameter
    forms = tuple(form for form in of.new.stock.forms if form.open_end and form.outer_diameter > across)
    if not forms:
        return LeftOut("rewind", "no_form", {"across": across})
    stock = of.new.stock.model_copy(update={"tubing": (*of.new.stock.tubing, tube), "forms": forms})
    best = best_of(search_space(of.new.restated(stock=stock), tube=tube.stock_id))
    if best is None:
        return LeftOut("rewind", "nothing_fits", {"tube": tube.length, "across": across})
    bill, reused = beyond(best.bill, outfit(of.new, coil))
    work = Work(UNWINDING, best.difficulty, price_of_such_a_roll(of.new, coil))
    return _built("rewind", of.new, best, bill, reused, work, row=row_of(tube))


def old_tube(of: Kept) -> Tube:
    """What its turns give of tube, as a row of the list would have it: half hard, and there already."""
    coil, name = of.coil, OLD_TUBE
    while of.new.stock.tube(name) is not None:
        name += "-2"
    return Tube(
        stock_id=name,
        description="tube of the old coil",
        material=coil.material,
        temper="half hard",
        outer_diameter=coil.outer_diameter,
        wall=coil.wall,
        length=coil.helix_length,
        owned=True,
        price=0.0,
    )


def row_of(tube: Tube) -> str:
    """The row of tubing.csv for the old tube."""
    sizes = (f"{1e3 * tube.outer_diameter:.4g} mm", f"{1e3 * tube.wall:.4g} mm", f"{tube.length:.2f} m")
    return ",".join((tube.stock_id, tube.description, tube.material, tube.temper, *sizes, "", "yes"))


ROW_HEAD = "stock_id,description,material,temper,outer_diameter,wall,length,price,owned"
"""Columns of that row."""
