"""The id of a coil: it follows from what a coil file holds, so that screen, table, page, sheet and the file
itself name one coil alike, and a coil whose sizes are changed is another.

It begins with a letter, or a spreadsheet would take some for numbers; it has no vowel that would make a word
of it, and no sign that is read for another (0 o, 1 l i, 2 z, 5 s, 8 b).
"""

from __future__ import annotations

import hashlib
from collections.abc import Sequence

from optichill.files.coil_file import ASIDE
from optichill.layouts import LAYOUTS
from optichill.problem.riser_tools import RiserTool

LETTERS = "cdfghjkmnpqrtvwx"
DIGITS = "2346789"
SIGNS = LETTERS + DIGITS
LENGTH = 8
"""Of a whole id: of 5 000 coils two have the same once in some ten thousand brewhouses."""

LEAST = 4
"""Signs of its beginning that may stand for it, where no other coil begins so."""


def coil_id(
    *,
    stock_ids: Sequence[str],
    material: str,
    layout: str,
    forms: Sequence[str | None],
    tool: RiserTool,
    sizes: Sequence[float],
    turns: Sequence[float],
    valve_share: float,
) -> str:
    """The id of one coil.

    stock_ids, forms, turns : of each layer, the outer one first; a roll is told once. sizes : all lengths of
    the coil [m]; valve_share : of the full flow.
    """
    bent = tool.kind if tool.bender is None else tool.bender.bender_id
    lengths = (f"{1e3 * (x + ASIDE):.2f}" for x in (*sizes, tool.radius))
    told = [*dict.fromkeys(stock_ids), material, layout, *(form or "" for form in forms), bent, *lengths]
    told += [*(f"{count:.3f}" for count in turns), f"{valve_share:.3f}"]
    number = int.from_bytes(hashlib.sha256("|".join(told).encode()).digest()[:8])
    number, first = divmod(number, len(LETTERS))
    signs = [LETTERS[first]]
    for _ in range(LENGTH - 1):
        number, place = divmod(number, len(SIGNS))
        signs.append(SIGNS[place])
    return "".join(signs)


def inner_pitch(pitches: Sequence[float]) -> tuple[float, ...]:
    """The pitch of an inner layer, as the sizes of a coil tell it: only where it is another than the outer
    one's [m]."""
    return tuple(pitches[1:]) if abs(pitches[-1] - pitches[0]) > 5e-6 else ()


def file_risers(layout: str, riser_in: float, riser_out: float, inner_risers: float) -> tuple[float, float]:
    """Both risers as a coil file has them [m]: it knows one length for each end, and of two tubes the mean
    keeps the whole."""
    if LAYOUTS[layout].tubes == 1:
        return riser_in, riser_out
    longer = 0.5 * (inner_risers - riser_in - riser_out) / 2.0
    return riser_in + longer, riser_out + longer
