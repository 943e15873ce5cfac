"""All files of a coil for other machines, by name."""

from __future__ import annotations

from dataclasses import replace

from optichill.fabrication.centre_line import centre_lines
from optichill.fabrication.feet import feet
from optichill.fabrication.scene import scene_of
from optichill.fabrication.work_plan import WorkPlan
from optichill.fabrication.wound_layer import WoundLayer
from optichill.report.machines import drawings, dxf, stl
from optichill.report.machines.svg import svg
from optichill.report.sheet.phrases import called
from optichill.report.sheet.sizes import Sizes

LINE = 1.2e-5
"""Chords of the drawn middle line are nowhere farther from it than this [m]: it is half a millimetre short
over 15 m."""


def files(plan: WorkPlan) -> dict[str, bytes]:
    """Comb, feet and template as DXF and SVG, the middle line as DXF, tube and form as STL."""
    found: dict[str, bytes] = {}
    coil = plan.coil_id
    for drawing in flat(plan):
        found[f"{drawing.name}.dxf"], found[f"{drawing.name}.svg"] = dxf.flat(drawing), svg(drawing)
    scene, d_o = scene_of(plan), plan.tube.outer_diameter
    found["coil.dxf"] = dxf.middle(
        centre_lines(scene, LINE), drawings.stamped(coil, "middle line of the tube")
    )
    for line in centre_lines(scene, stl.ALONG):
        parts = stl.tube(line.points, d_o, drawings.stamped(coil, "tube"))
        for n, part in enumerate(parts):
            number = f"-part-{n + 1}" if len(parts) > 1 else ""
            found[f"tube{_dashed(line.name)}{number}.stl"] = part
    for layer in (layer for layer in plan.layers if not layer.on_strips):
        # As a jig it may be as tall as it takes to wind along the template.
        tall = max(layer.form_height, layer.template.height + layer.pitch)
        found[f"form{_dashed(_which(plan, layer))}.stl"] = stl.form(
            layer.D_form, tall, drawings.stamped(coil, "form, a jig")
        )
    return found


def flat(plan: WorkPlan) -> list[drawings.Drawing]:
    """Every flat piece; touching turns have no comb and no template."""
    sizes, found = Sizes(plan.basis.brewhouse.units, plan.step), []
    for layer in plan.layers:
        which = _which(plan, layer)
        said = f", {called(plan, layer)}" if which else ""
        if layer.combed:
            found.append(drawings.comb(f"comb{_dashed(which)}", layer.comb, said, sizes))
        if layer.open:
            found.append(drawings.template(f"template{_dashed(which)}", layer.template, said, sizes))
    for layer in plan.layers:
        which = _which(plan, layer)
        said = f", {called(plan, layer)}" if which else ""
        for n, foot in enumerate(feet(plan, layer)):
            found.append(drawings.foot(f"foot{_dashed(which)}-{n + 1}", foot, n + 1, said, sizes))
    coil = plan.coil_id
    return [replace(drawing, stamp=drawings.stamped(coil, drawing.title)) for drawing in found]


def _which(plan: WorkPlan, layer: WoundLayer) -> str:
    if len(plan.layers) == 1:
        return ""
    return "outer" if layer is plan.layers[0] else "inner"


def _dashed(name: str) -> str:
    return f"-{name}" if name else ""
