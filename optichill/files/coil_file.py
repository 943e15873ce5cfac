"""The coil file: what it may hold, and its text."""

from __future__ import annotations

import tomllib
from collections.abc import Sequence

from optichill.errors import printable
from optichill.model.coil import Coil, CoilLayer
from optichill.model.frozen import Frozen
from optichill.model.heard import FROM_TEXT
from optichill.model.stands import Standing


class CoilFile(Frozen):
    """The whole coil file."""

    coil: Coil


DEMO_BANNER = "EXAMPLE KETTLE, NOT YOURS"


ASIDE = 1.37e-6
"""By so much the hundredths of a millimetre are cut aside of where drawn sizes stand [m]: a last digit more
or less in a file then makes no other id."""
DRAWN = 1e-7
"""A size so near to a whole ten-thousandth of a millimetre was drawn there, in millimetres or inches [mm]."""


def coil_text(
    coil: Coil,
    *,
    demo: bool,
    brewhouse: str = "",
    units: str = "metric",
    remarks: Sequence[str] = (),
    exact: bool = False,
) -> str:
    """The coil as a file that a person can edit and every command reads. Sizes that follow from a form, a
    bend or a level stand to a hundredth of a millimetre, of which an id is made, so it stays the same.

    Parameters
    ----------
    coil : the coil.
    demo : True opens the file with the words that it is not for the reader's own kettle.
    brewhouse : name of the kettle it was made for, for the comment.
    units : "us" adds the sizes in inches as comments.
    remarks : more comments, a line each.
    exact : True writes ten digits, for a file that no person edits.
    """

    def size(key: str, metres: float, remark: str = "") -> str:
        inches = f"{metres / 0.0254:.3f} in" if units == "us" else ""
        remarks = "; ".join(text for text in (inches, remark) if text)
        mm = f"{metres * 1e3:.10g}" if exact else as_drawn(metres)
        return f'{key} = "{mm} mm"' + (f"  # {remarks}" if remarks else "")

    def to_make(table: Coil | CoilLayer) -> list[str]:
        remark = "outside diameter of a form that has to be made"
        return [] if table.form_to_make is None else [size("form_to_make", table.form_to_make, remark)]

    lines = [f"# {DEMO_BANNER}: sizes and prices are invented."] if demo else []
    lines += [f"# A coil for {brewhouse}." if brewhouse else "# A coil."]
    lines += [f"# {printable(remark)}" for remark in remarks]
    lines += [
        "# Diameters are centre to centre of the tube, of the coil as it stands free, after springback.",
        "",
        "[coil]",
    ]
    lines += [f'{key} = "{value}"' for key, value in _identity(coil)]
    lines += to_make(coil)
    if len(coil.layers) == 1:
        lines += [size("mean_diameter", coil.mean_diameter), size("pitch", coil.pitch)]
        lines += [f"turns = {coil.turns:.10g}"]
    lines += _stands(coil)
    lines += [
        size("lowest_turn_height", coil.lowest_turn_height, "kettle floor to the tube's centre"),
        size("riser_length_in", coil.riser_length_in, "without trim"),
        size("riser_length_out", coil.riser_length_out, "without trim"),
    ]
    if coil.riser_bend_radius is not None:
        lines += [size("riser_bend_radius", coil.riser_bend_radius)]
    lines += [
        size("outer_diameter", coil.outer_diameter),
        size("wall", coil.wall),
    ]
    if coil.bought_length is not None:
        lines += [size("bought_length", coil.bought_length, "the whole tube, as measured")]
    if coil.flow is not None:
        lines += [f'flow = "{coil.flow * 6e4 if exact else round(coil.flow * 6e4, 3):.10g} L/min"']
    if len(coil.layers) > 1:
        for layer in coil.layers:
            lines += ["", "[[coil.layer]]", size("mean_diameter", layer.mean_diameter)]
            lines += [size("pitch", layer.pitch), f"turns = {layer.turns:.10g}"]
            for key, value in (("stock_id", layer.stock_id), ("form_id", layer.form_id)):
                lines += [] if value is None else [f'{key} = "{_quoted(value)}"']
            lines += to_make(layer)
    return "\n".join(lines) + "\n"


def as_written(coil: Coil) -> Coil:
    """The coil as it would be read back from its file, to the digits that a file has."""
    text = coil_text(coil, demo=False)
    return CoilFile.model_validate(tomllib.loads(text), context=FROM_TEXT).coil


def _identity(coil: Coil) -> list[tuple[str, str]]:
    pairs = [("material", coil.material), ("layout", coil.layout)]
    for key, value in (("stock_id", coil.stock_id), ("form_id", coil.form_id)):
        if value is not None:
            pairs.append((key, _quoted(value)))
    return pairs


def _stands(coil: Coil) -> list[str]:
    """How it stands, where that is known: feet, hooks and the room under it follow from that. Not of one that
    lies on something on the kettle's floor, which no file of a coil knows of."""
    rests = coil.standing.rests
    told = Standing(rests, None, None, coil.lowest_turn_height)
    return [] if rests is None or told.fault(coil.outer_diameter, "metric") else [f'stands = "{rests}"']


def _quoted(text: str) -> str:
    """Text as it may stand between the quotes of a TOML string."""
    return text.replace("\\", "\\\\").replace('"', '\\"')


def as_drawn(metres: float) -> str:
    """A size in millimetres as a person can read it: as it was drawn, else to the hundredth by which an id
    is made.

    Examples
    --------
    >>> as_drawn(0.009525), as_drawn(0.2475371786), as_drawn(0.0297625), as_drawn(0.3)
    ('9.525', '247.54', '29.7625', '300')
    """
    drawn = round(metres * 1e3, 4)
    near = abs(metres * 1e3 - drawn) <= DRAWN
    return f"{drawn if near else round((metres + ASIDE) * 1e3, 2):.10g}"
