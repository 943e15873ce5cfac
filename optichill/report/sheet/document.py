"""What a sheet consists of, before it is a page or a PDF: blocks of plain text, no markup in them."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from optichill.fabrication.template import SpacerComb, WrapTemplate

Draw = Callable[[str], Any]
"""Makes a drawing (reportlab.graphics) with the named font."""


@dataclass(frozen=True)
class Text:
    """A paragraph."""

    text: str


@dataclass(frozen=True)
class Steps:
    """Numbered work; numbers go on through the sheet from `first`. An item is what to do, and why."""

    items: tuple[tuple[str, str], ...]
    first: int = 1


@dataclass(frozen=True)
class Points:
    """A list without an order."""

    items: tuple[str, ...]


@dataclass(frozen=True)
class Table:
    """A table; caption for those who hear it. widths : shares of the columns; numbers : columns set to the
    right; ticks : whether rows begin with a box to tick; titled : whether the caption is printed too."""

    caption: str
    head: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    widths: tuple[float, ...]
    numbers: tuple[int, ...] = ()
    ticks: bool = False
    titled: bool = False


@dataclass(frozen=True)
class Figure:
    """A drawing, and what it shows in words."""

    draw: Draw
    words: str
    caption: str


@dataclass(frozen=True)
class Figures:
    """Small drawings, two side by side."""

    items: tuple[Figure, ...]


@dataclass(frozen=True)
class Card:
    """A boxed half page to cut out and hang up."""

    title: str
    blocks: tuple[Text | Steps | Points | Table, ...]


Block = Text | Steps | Points | Table | Figure | Figures | Card


@dataclass(frozen=True)
class Section:
    """A heading with its blocks; new_page : begins on a page of its own when printed."""

    title: str
    blocks: tuple[Block, ...]
    new_page: bool = False


@dataclass(frozen=True)
class Paper:
    """Something printed at true size after the text: the template or comb of a layer."""

    title: str
    what: WrapTemplate | SpacerComb


@dataclass(frozen=True)
class TitleBlock:
    """What every page says of the coil: its id, what it is, of what, its mass and what it holds, by how much
    sizes without a tolerance of their own may be off, and whether views are set in first angle."""

    coil_id: str
    what: str
    material: str
    mass: str
    tolerance: str
    first_angle: bool


@dataclass(frozen=True)
class Sheet:
    """The whole. banner : the example's warning, if it is one; stops : why the coil cannot be built."""

    title: str
    lead: str
    banner: str
    stops: tuple[str, ...]
    sections: tuple[Section, ...]
    papers: tuple[Paper, ...]
    paper: str
    units: str
    block: TitleBlock
