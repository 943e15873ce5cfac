"""The sheet to print, what is said of it on the screen, and the same for other programs."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from optichill.fabrication.pieces import Piece
from optichill.fabrication.work_plan import WorkPlan
from optichill.fabrication.wound_layer import WoundLayer
from optichill.files.ownership import HEAD
from optichill.files.reading import Inputs
from optichill.model.stock import Tube
from optichill.report.calibrated import in_use
from optichill.report.calibrated import lines as calibrated
from optichill.report.sheet import document as doc
from optichill.report.sheet.paper.sizes import CHECK_BARS
from optichill.report.sheet.pdf import pdf
from optichill.report.sheet.refusal import stops
from optichill.report.sheet.sizes import Sizes

NAMES = "sheet-{}.html", "sheet-{}.pdf"
"""Page and PDF in a report folder, with the name of the coil between."""


def printed(sheet: doc.Sheet, plan: WorkPlan) -> bytes:
    """The sheet as a PDF, to be printed at true size."""
    return pdf(sheet, Sizes(sheet.units, plan.step).length)


def screen(
    sheet: doc.Sheet, inputs: Inputs, files: tuple[Path, ...], *, for_machines: bool = False
) -> list[str]:
    """What was made, and why a coil cannot be built. for_machines : whether their files were asked for."""
    from optichill.report.paper import entry
    from optichill.report.screen import warnings

    lines = [inputs.first_line, ""]
    lines += entry("NOT BUILDABLE", *sheet.stops)
    lines += entry("SHEET", f"{sheet.lead} Coil {sheet.block.coil_id}.")
    lines += calibrated(inputs.brewhouse, inputs.calibration)
    lines += warnings(inputs)
    lines += entry("WROTE", *_told(files))
    lines += entry("MACHINES", *_machines(sheet, files, for_machines))
    lines += entry(
        "PRINT",
        f"the PDF on {sheet.paper.upper()} at 100 %; the check bar on the templates is "
        f"{CHECK_BARS[sheet.units].text}",
    )
    return lines


def _machines(sheet: doc.Sheet, files: tuple[Path, ...], asked: bool) -> list[str]:
    """That no files for machines go with this sheet, where somebody may think so."""
    if asked and sheet.stops:
        return ["no files are made of a coil that cannot be built"]
    folder = files[0].parent / f"{files[0].stem}-machines" if files else None
    if folder is not None and folder.is_dir() and not any(file.parent == folder for file in files):
        return [f"{folder} is of an earlier sheet: do not use it with this one, or write it anew"]
    return []


def _told(files: tuple[Path, ...]) -> list[str]:
    """The sheet's files by name, those for machines by their folder."""
    sheets = [file for file in files if file.suffix in (".html", ".pdf")]
    rest = [file for file in files if file not in sheets]
    told = [str(file) for file in sheets]
    if rest:
        jigs = "what is printed is a jig, never for the wort"
        told.append(f"{rest[0].parent}: {len(rest)} files in millimetres; {jigs}")
    return told


def document(plan: WorkPlan, inputs: Inputs, files: tuple[Path, ...]) -> dict[str, Any]:
    """The sheet's numbers in SI."""
    found = stops(plan, to_build=True)
    return {
        **HEAD,
        "brewhouse": inputs.brewhouse.name,
        "coil_id": plan.coil_id,
        "demo": inputs.brewhouse.demo,
        "calibrated": in_use(inputs.brewhouse, inputs.calibration),
        "buildable": not found,
        "stops": found,
        "cut_length_m": plan.cut_length,
        "rolls": plan.rolls,
        "bend_radius_m": plan.tool.radius,
        "layers": [_layer(layer) for layer in plan.layers],
        "tubes": [_piece(*one) for one in zip(plan.pieces, plan.cut_from, strict=True)],
        "files": [file.relative_to(files[0].parent).as_posix() for file in files],
    }


def _layer(layer: WoundLayer) -> dict[str, Any]:
    return {
        "form_id": layer.form.form_id if layer.form else None,
        "form_diameter_m": layer.D_form,
        "form_to_make": layer.form is not None and layer.form.made and not layer.on_strips,
        "lagging_wraps": layer.wraps,
        "springback_k": layer.k,
        "turns_on_form": layer.turns_on_form,
        "turn_length_m": layer.per_turn,
        "pitch_on_form_m": layer.pitch_on_form,
        "mean_diameter_m": layer.diameter,
        "mean_diameter_low_m": layer.relaxed(layer.k_high),
        "mean_diameter_high_m": layer.relaxed(layer.k_low),
        "turns": layer.turns,
        "pitch_m": layer.pitch,
    }


def _piece(piece: Piece, tube: Tube) -> dict[str, Any]:
    return {
        "name": piece.name or None,
        "stock_id": tube.stock_id,
        "cut_length_m": piece.marks.cut_length,
        "marks": marks(piece),
    }


def marks(piece: Piece) -> list[dict[str, Any]]:
    """Where each stretch of a tube ends and what becomes of it; none where a riser cannot hold its bends."""
    if not piece.marks.possible:
        return []
    return [
        {
            "ends_at_m": end,
            "length_m": s.length,
            "becomes": s.what,
            "of": s.of or None,
            "turn": s.number or None,
        }
        for s, end in zip(piece.marks.segments, piece.marks.ends, strict=True)
    ]
