"""How the turns are held where they stand: wire or combs, which way they go in, and the half turns last."""

from __future__ import annotations

from optichill.fabrication.lacing import Columns, columns
from optichill.fabrication.pieces import Piece
from optichill.fabrication.scene import Scene
from optichill.fabrication.work_plan import WorkPlan
from optichill.fabrication.wound_layer import WoundLayer
from optichill.geometry.supports import LACING_WIRE
from optichill.report.sheet.marks import letter
from optichill.report.sheet.phrases import bare_wire, spacers_of
from optichill.report.sheet.sizes import Sizes

Step = tuple[str, str]


def held(plan: WorkPlan, piece: Piece, scene: Scene, sizes: Sizes) -> str:
    """The columns of one tube's layers, all but the half turns at the ends."""
    at = dict(zip(map(id, plan.layers), columns(plan, scene), strict=True))
    laid = [(layer, at[id(layer)]) for layer in reversed(piece.layers)]
    places = "; ".join(_place(plan, piece, layer, column, sizes) for layer, column in laid)
    each = "" if len(laid) == 1 else " in each layer"
    first, bought = laid[0][1], spacers_of(plan)
    tied = f"Lace it with {bare_wire(plan)}{_thin(first, sizes)}"
    how = f"{_wire(first)}{_by_hook(plan, first)}{_combs(plan, laid)} "
    return (
        f"{f'Hold it with the {bought}' if bought else tied} in three columns straight across the "
        f"turns{each}, {places}: no riser comes there. {'' if bought else how}"
        "All but the half turn at either end."
    )


def _place(plan: WorkPlan, piece: Piece, layer: WoundLayer, column: Columns, sizes: Sizes) -> str:
    """Where a layer's columns stand, told along the turn that a tape lies on."""
    inner = len(piece.layers) == 2 and layer is piece.layers[0]
    mark = letter(piece, "outer first" if len(piece.layers) == 2 and not inner else "first")
    which = "" if len(piece.layers) == 1 else f"of the {'inner' if inner else 'outer'} layer "
    return (
        f"{which}the first {sizes.length(column.first)} along the tube from mark {mark}, the others a third "
        f"of the way round, {sizes.length(column.apart)}, on"
    )


def _thin(column: Columns, sizes: Sizes) -> str:
    if not column.crossed or column.thick >= LACING_WIRE:
        return ""
    return f", no thicker than the gap, {sizes.wall(column.thick)},"


def _wire(column: Columns) -> str:
    if column.crossed:
        return "The wire is doubled, a strand on each side of a turn, crossed in every gap, its ends twisted."
    return "Each is one loop, up outside all turns and down inside, its ends twisted: it passes between none."


def _by_hook(plan: WorkPlan, column: Columns) -> str:
    """Where no hand reaches both sides of a turn."""
    if not column.by_hook:
        return ""
    where = "between the layers" if plan.layout.crossing else "inside the turns"
    if not column.crossed:
        return f" No hand goes {where}: push the wire through there from one end."
    return (
        f" No hand goes {where}: push the wire in through one gap, and fetch it out through the next with a "
        "small hook of wire."
    )


def _combs(plan: WorkPlan, laid: list[tuple[WoundLayer, Columns]]) -> str:
    """Drilled bars do not thread over a riser: they are laid round the turns in halves."""
    if not all(layer.combed for layer, _ in laid):
        return ""
    halves = "one half laid in from inside and one from outside"
    if plan.layout.crossing:
        halves += " (between the layers it is slid down, then pressed in)"
    return (
        f" Or hold it there in three combs{' a layer' if len(laid) == 2 else ''} (last pages), each sawn in "
        f"two along its holes, {halves}, tied together with wire between the turns."
    )


def end_turns(plan: WorkPlan) -> list[Step]:
    """What was left free for the bends."""
    each = "each coil" if len(plan.pieces) > 1 else "the coil"
    like = "at the gap of the others" if plan.layers[0].open else "touching like the others"
    combs = ", or tie the combs' ends over them" if all(layer.combed for layer in plan.layers) else ""
    return [
        (
            f"Lace down the half turns at both ends of {each}, {like}{combs}.",
            "They were left free for the bends.",
        )
    ]
