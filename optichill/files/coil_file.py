"""The coil file: what it may hold, and its text."""

from __future__ import annotations

import tomllib
from collections.abc import Sequence

from optichill.errors import printable
from optichill.model.coil import Coil, CoilLayer
from optichill.model.frozen import Frozen
from optichill.model.heard import FROM_TEXT


class CoilFile(Frozen):
    """The whole coil file."""

    coil: Coil


DEMO_BANNER = "EXAMPLE KETTLE, NOT YOURS"


def coil_text(
    coil: Coil, *, demo: bool, brewhouse: str = "", units: str = "metric", remarks: Sequence[str] = ()
) -> str:
    """The coil as a file that a person can edit and every command reads.

    Parameters
    ----------
    coil : the coil.
    demo : True opens the file with the words that it is not for the reader's own kettle.
    brewhouse : name of the kettle it was made for, for the comment.
    units : "us" adds the sizes in inches as comments.
    remarks : more comments, a line each.
    """
    lines = [f"# {DEMO_BANNER}: sizes and prices are invented."] if demo else []
    lines += [f"# A coil for {brewhouse}." if brewhouse else "# A coil."]
    lines += [f"# {printable(remark)}" for remark in remarks]
    lines += [
        "# Diameters are centre to centre of the tube, of the coil as it stands free, after springback.",
        "",
        "[coil]",
    ]
    lines += [f'{key} = "{value}"' for key, value in _identity(coil)]
    lines += _to_make(coil, units)
    if len(coil.layers) == 1:
        lines += [_size("mean_diameter", coil.mean_diameter, units), _size("pitch", coil.pitch, units)]
        lines += [f"turns = {coil.turns:.10g}"]
    lines += [
        _size("lowest_turn_height", coil.lowest_turn_height, units, "kettle floor to the tube's centre"),
        _size("riser_length_in", coil.riser_length_in, units, "without trim"),
        _size("riser_length_out", coil.riser_length_out, units, "without trim"),
    ]
    if coil.riser_bend_radius is not None:
        lines += [_size("riser_bend_radius", coil.riser_bend_radius, units)]
    lines += [
        _size("outer_diameter", coil.outer_diameter, units),
        _size("wall", coil.wall, units),
    ]
    if coil.bought_length is not None:
        lines += [_size("bought_length", coil.bought_length, units, "the whole tube, as measured")]
    if coil.flow is not None:
        lines += [f'flow = "{coil.flow * 6e4:.10g} L/min"']
    if len(coil.layers) > 1:
        for layer in coil.layers:
            lines += ["", "[[coil.layer]]", _size("mean_diameter", layer.mean_diameter, units)]
            lines += [_size("pitch", layer.pitch, units), f"turns = {layer.turns:.10g}"]
            lines += [f'form_id = "{_quoted(layer.form_id)}"'] if layer.form_id is not None else []
            lines += _to_make(layer, units)
    return "\n".join(lines) + "\n"


def as_written(coil: Coil) -> Coil:
    """The coil as it would be read back from its file, to the digits that a file has."""
    text = coil_text(coil, demo=False)
    return CoilFile.model_validate(tomllib.loads(text), context=FROM_TEXT).coil


def _to_make(table: Coil | CoilLayer, units: str) -> list[str]:
    """A form that has to be made, where there is one."""
    remark = "outside diameter of a form that has to be made"
    return [] if table.form_to_make is None else [_size("form_to_make", table.form_to_make, units, remark)]


def _identity(coil: Coil) -> list[tuple[str, str]]:
    pairs = [("material", coil.material), ("layout", coil.layout)]
    for key, value in (("stock_id", coil.stock_id), ("form_id", coil.form_id)):
        if value is not None:
            pairs.append((key, _quoted(value)))
    return pairs


def _quoted(text: str) -> str:
    """Text as it may stand between the quotes of a TOML string."""
    return text.replace("\\", "\\\\").replace('"', '\\"')


def _size(key: str, metres: float, units: str, remark: str = "") -> str:
    inches = f"{metres / 0.0254:.3f} in" if units == "us" else ""
    remarks = "; ".join(text for text in (inches, remark) if text)
    return f'{key} = "{metres * 1e3:.10g} mm"' + (f"  # {remarks}" if remarks else "")
