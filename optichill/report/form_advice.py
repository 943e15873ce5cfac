"""What is said of a form that the list has not, and that would be worth looking for."""

from __future__ import annotations

from optichill.display import show, turns
from optichill.money import money, seen
from optichill.report.words import by_hand
from optichill.search.answer import Answer


def form_advice(answer: Answer) -> list[str]:
    """One sentence, or nothing: the gain is rounded down to what surely holds."""
    found, brewhouse = answer.form_advice, answer.basis.brewhouse
    if found is None or not answer.designs:
        return []
    u, old = brewhouse.units, answer.designs[0].winding.form.outer_diameter
    across, instead = by_hand.rough(found.diameter, u), by_hand.rough(old, u)
    life = money(seen(found.money), brewhouse.stock.currency)
    return [
        f"A round thing about {across} across in the place of {found.form_id} ({instead}) would save "
        f"{int(found.time // 60.0)} min a batch with the same tube, and about "
        f"{life} over the coil's life: {turns(found.turns)} turns, "
        f"{show(found.gap, 'length', u)} open between them."
    ]
