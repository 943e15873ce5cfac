"""The best coil as the build sheet draws it: what a reader with scripts off sees of the page's drawing."""

from __future__ import annotations

from typing import Any

from optichill.fabrication.scene import scene_of
from optichill.fabrication.work_plan import plan_work
from optichill.report.sheet.document import Figure
from optichill.report.sheet.drawing.side import side_view
from optichill.report.sheet.html import inline
from optichill.report.sheet.sizes import Sizes
from optichill.search.designs import as_coil
from optichill.search.tradeoff import Tradeoff


def still(t: Tradeoff) -> Any:
    """Markup of the drawing, made here and with all words in it escaped; empty where nothing fits."""
    if not t.answer.designs:
        return ""
    basis = t.answer.basis
    plan = plan_work(basis, as_coil(t.answer.designs[0]))
    scene, sizes = scene_of(plan), Sizes(basis.brewhouse.units, plan.step)
    return inline(Figure(lambda font: side_view(scene, sizes.length, font=font), "", ""))
