"""A coil that exists or is to be built, drawn or as measured on the bench by tape, string and scales."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace
from typing import Annotated, Self

from pydantic import Field, ValidationInfo, model_validator

from optichill.layouts import LAYOUTS, with_layers
from optichill.materials import MATERIALS, Material
from optichill.model.fields import (
    Choice,
    CoilDiameter,
    Flow,
    Mass,
    MetalName,
    Size,
    Text,
    TubeDiameter,
    TubeLength,
    Turns,
    Wall,
)
from optichill.model.frozen import Frozen, settle
from optichill.model.measured import ANY_ROOM, Room, Tape
from optichill.model.measured_refusals import impossible
from optichill.model.quantity import Quantity
from optichill.model.refusals import refusal
from optichill.model.stands import STANDS, Standing
from optichill.model.stock import FormDiameter, name_of_made

FEET = 0.025  # m, the floor clearance where a coil file does not say how high the lowest turn stands
UNSET = math.nan  # stands in a required field until its validator has settled it

OR_ACROSS = "mean_diameter; or outside_across, string_round or inside_across as measured"

NEEDED = {
    "material": (),
    "outer_diameter": (),
    "wall": ("weight",),
    "turns": ("layer",),
    "mean_diameter": ("outside_across", "string_round", "inside_across", "layer"),
    "pitch": ("overall_height", "layer"),
    "riser_length_in": ("bought_length",),
    "riser_length_out": ("bought_length",),
}
"""Keys that a coil needs, each with those that do in its place."""


def absent(given: Mapping[str, object]) -> dict[str, str]:
    """Keys that a coil as it is given still needs, each with what does.

    Examples
    --------
    >>> absent({"material": "copper", "outer_diameter": "10 mm", "bought_length": "5 m", "layer": []})
    {'wall': 'wall or weight'}
    """
    lacking = {key: others for key, others in NEEDED.items() if not {key, *others} & set(given)}
    return {key: " or ".join((key, *(o for o in others if o != "layer"))) for key, others in lacking.items()}


MOST_LAYERS = max(layout.layers for layout in LAYOUTS.values())
OF_TURNS = (
    "turns",
    "mean_diameter",
    "outside_across",
    "string_round",
    "inside_across",
    "pitch",
    "overall_height",
)
"""Keys of a layer, which a coil of two does not have besides."""

Pitch = Annotated[float, Quantity("length", 0.003, 0.5)]
Riser = Annotated[float, Quantity("length", 0.0, 5.0)]


class CoilLayer(Frozen):
    """One helix: mean diameter (relaxed, centre to centre) [m], pitch [m], turns. Of one that is measured the
    coil settles the first two, for it knows the tube."""

    mean_diameter: CoilDiameter = UNSET
    """Diameter centre to centre of the tube, as the coil stands free; or one of the measured three."""
    pitch: Pitch = UNSET
    """Centre to centre of neighbouring turns; or give overall_height."""
    turns: Turns
    """Turns of the layer."""
    outside_across: Size | None = None
    """Measured: across the layer's turns, outside to outside."""
    string_round: Size | None = None
    """Measured: a string once round the outside of the layer's turns."""
    inside_across: Size | None = None
    """Measured: across inside the layer's turns, such as of an inner layer that no tape gets round."""
    overall_height: Size | None = None
    """Measured: over the layer's turns, outside to outside."""
    stock_id: Text | None = None
    """Of two tubes on tees: its tube's row of tubing.csv, where that is another than the coil's."""
    form_id: Text | None = None
    """The form's row of forms.csv; of the outer layer the coil's own form_id serves as well."""
    form_to_make: FormDiameter | None = None
    """Outside diameter of a form that has to be made, in place of form_id."""

    @property
    def length(self) -> float:
        """Length of the helix [m]: N sqrt((pi D)^2 + p^2)."""
        return self.turns * math.hypot(math.pi * self.mean_diameter, self.pitch)


class Coil(Frozen):
    """A coil, in SI. After reading, every size is known; `layers` is never empty, the outer layer first.

    mean_diameter, pitch and turns are the outer layer's. lowest_turn_height runs from the kettle floor to
    the tube's centre; where the file does not say how high it is, reading it with its kettle settles it. The
    bench-measured keys (outside_across, string_round, overall_height, bought_length, weight and so on) are
    kept beside what follows from them; `mismatches` says where two of them disagree.
    """

    material: MetalName
    """Metal of the tube."""
    outer_diameter: TubeDiameter
    """True OUTSIDE diameter of the tube, by caliper; or a string round it, divided by 3.14."""
    wall: Wall = UNSET
    """Wall of the tube; worked out from weight when left out."""
    mean_diameter: CoilDiameter = UNSET
    """Diameter centre to centre, as the coil stands free; or one of the three that are measured."""
    pitch: Pitch = UNSET
    """Centre to centre of neighbouring turns; or give overall_height."""
    turns: Turns = UNSET
    """Turns of the coil, counted along one side; of two layers the outer one's."""
    layout: Annotated[str, Choice(LAYOUTS)] = next(iter(LAYOUTS))
    """One layer, two layers of one tube, or two tubes on tees."""
    lowest_turn_height: Size = UNSET
    """Kettle floor to the centre of the lowest turn; without it say how it stands, or you are asked."""
    stands: Annotated[str, Choice(STANDS)] | None = None
    """How it stands: on feet (feet_height), its lowest turn on the floor, or hung (hangs_below_rim)."""
    feet_height: Size | None = None
    """Measured: table to the underside of the lowest turn, the coil on its feet."""
    hangs_below_rim: Size | None = None
    """Measured: kettle's rim down to the top of the top turn, the coil hung in the kettle."""
    riser_length_in: Riser = UNSET
    """Tube from the turns to the inlet, without trim; may be left out beside bought_length."""
    riser_length_out: Riser = UNSET
    """Tube from the turns to the outlet, without trim; may be left out beside bought_length."""
    riser_bend_radius: Size | None = None
    """Bend radius of the risers, to the centre line; that of the tool at hand when left out."""
    stock_id: Text | None = None
    """The tube's row of tubing.csv; of two tubes a [[coil.layer]] may name another of the same size."""
    form_id: Text | None = None
    """The form's row of forms.csv; of two the outer one's."""
    form_to_make: FormDiameter | None = None
    """Outside diameter of a form that has to be made, in place of form_id; of two the outer one's."""
    flow: Flow | None = None
    """Flow at the start, where a valve keeps it back."""
    outside_across: Size | None = None
    """Measured: across the turns, outside to outside."""
    string_round: Size | None = None
    """Measured: a string once round the outside of the turns, in place of outside_across."""
    inside_across: Size | None = None
    """Measured: across inside the turns, in place of outside_across."""
    overall_height: Size | None = None
    """Measured: over the turns, from under the lowest to over the highest, without risers."""
    bought_length: TubeLength | None = None
    """Measured: the whole tube, turns and risers."""
    weight: Mass | None = None
    """Measured: the dry coil without fittings, hose and water."""
    layers: tuple[CoilLayer, ...] = Field(default=(), alias="layer")
    """Two layers, each a table [[coil.layer]], in place of mean_diameter, pitch and turns."""

    @model_validator(mode="after")
    def _settle(self, info: ValidationInfo) -> Self:
        units = (info.context or {}).get("units") or "metric"
        self._refuse_told_twice()
        self._refuse_missing()
        self._refuse_two_forms()
        self._settle_layers(units)
        tape = self.tape((info.context or {}).get("room") or ANY_ROOM)
        _refuse_impossible(tape, units)
        self._settle_helix(tape)
        self._settle_risers()
        if math.isnan(self.wall):
            settle(self, wall=tape.wall_by_weight())
        self._settle_height(units)
        self._refuse_nonsense()
        return self

    def _refuse_told_twice(self) -> None:
        """Sizes of turns beside layers that have their own, which nothing would read; and too many layers."""
        if len(self.layers) > MOST_LAYERS:
            count = f"{len(self.layers)} layers"
            raise refusal(count, "one or two: more are not worked out", f"layer.{MOST_LAYERS}")
        told = [key for key in OF_TURNS if key in self.model_fields_set]
        if self.layers and told:
            also = f", as {'is' if len(told) == 2 else 'are'} {' and '.join(told[1:])}," if told[1:] else ","
            reason = f"told here{also} and again by each [[coil.layer]]"
            raise refusal(reason, "left out here: of two layers each has its own", told[0])

    def _refuse_missing(self) -> None:
        if not self.layers:
            if math.isnan(self.turns):
                raise refusal("missing", "turns of the coil, such as 10.5", "turns")
            _refuse_unmeasured(self)
        if math.isnan(self.wall) and self.weight is None:
            raise refusal("missing", "wall, or weight as measured", "wall")

    def _refuse_two_forms(self) -> None:
        """A form of the list, and one to be made, for the same turns."""
        places: list[tuple[str, Coil | CoilLayer]] = [("", self)]
        for place, table in [*places, *((f"layer.{n}.", layer) for n, layer in enumerate(self.layers))]:
            if table.form_id is not None and table.form_to_make is not None:
                allowed = "one of the two: form_id of forms.csv, or form_to_make"
                raise refusal("given besides form_id", allowed, f"{place}form_to_make")

    def _settle_layers(self, units: str) -> None:
        """Layers that are measured, each as a copy of its own, for it may be another coil's too; the outer
        one first."""
        settled = []
        for place, layer in enumerate(self.layers):
            _refuse_unmeasured(layer, f"layer.{place}.")
            own, tape = layer.model_copy(), _tape_of(layer, self.outer_diameter, self.metal)
            _refuse_impossible(tape, units, f"layer.{place}.")
            settle(own, mean_diameter=tape.mean, pitch=tape.climb)
            if own.pitch < self.outer_diameter - 1e-4:
                raise refusal("turns would overlap", "outer_diameter or more", f"layer.{place}.pitch")
            settled.append(own)
        outer_first = sorted(settled, key=lambda layer: (-layer.mean_diameter, layer.pitch, layer.turns))
        settle(self, layers=tuple(outer_first))

    def _settle_helix(self, tape: Tape) -> None:
        if not self.layers:
            one = CoilLayer(mean_diameter=tape.mean, pitch=tape.climb, turns=self.turns)
            settle(self, layers=(one,))
        first = self.layers[0]
        settle(self, mean_diameter=first.mean_diameter, pitch=first.pitch, turns=first.turns)

    def _settle_risers(self) -> None:
        both = ("riser_length_in", "riser_length_out")
        missing = [name for name in both if math.isnan(getattr(self, name))]
        if missing and self.bought_length is None:
            raise refusal(
                "missing", "tube from the last turn to its end, or bought_length as measured", missing[0]
            )
        if missing and self.bought_length is not None:
            known = sum(getattr(self, name) for name in both if name not in missing)
            for_risers = (self.bought_length - self.helix_length) / LAYOUTS[self.layout].tubes
            rest = max(0.0, for_risers - known)
            settle(self, **{name: rest / len(missing) for name in missing})

    def _settle_height(self, units: str) -> None:
        """The lowest turn, where the coil file alone tells it; else feet, until its kettle is known."""
        fault = self.standing.fault(self.outer_diameter, units)
        if fault is not None:
            raise refusal(*fault)
        if math.isnan(self.lowest_turn_height):
            told = self.standing.alone(self.outer_diameter)
            settle(self, lowest_turn_height=FEET + self.outer_diameter / 2 if told is None else told)

    def _refuse_nonsense(self) -> None:
        if self.wall >= self.outer_diameter / 2:
            raise refusal("the wall leaves no bore", "less than half of outer_diameter", "wall")
        if self.pitch < self.outer_diameter - 1e-4:
            raise refusal("turns would overlap", "outer_diameter or more", "pitch")
        one, two = (" or ".join(x.name for x in with_layers(n).values()) for n in (1, 2))
        layers = LAYOUTS[self.layout].layers
        if layers == 1 and len(self.layers) > 1:
            raise refusal("more than one layer", two, "layout")
        if len(self.layers) < layers:
            raise refusal("needs two [[coil.layer]] entries", f"{one}, or two layers", "layout")
        if LAYOUTS[self.layout].tubes == 1 and len(set(self.stock_ids)) > 1:
            place = next(
                n for n, layer in enumerate(self.layers) if layer.stock_id not in (None, self.stock_id)
            )
            on_tees = " or ".join(x.name for x in LAYOUTS.values() if x.tubes > 1)
            allowed = f"left out, or layout {on_tees}"
            raise refusal("another roll, but one tube makes all layers", allowed, f"layer.{place}.stock_id")

    def tape(self, room: Room = ANY_ROOM) -> Tape:
        """Its sizes as they were given, of the outer layer where there are two; room : of its kettle."""
        told = self.model_fields_set
        one = _tape_of(self.layers[0] if "layers" in told and self.layers else self, *self._tube)
        risers = (self.riser_length_in, self.riser_length_out)
        free = [name not in told for name in ("riser_length_in", "riser_length_out")]
        return replace(
            one,
            length=self.bought_length,
            weight=self.weight,
            wall=self.wall if "wall" in told else UNSET,
            risers=(UNSET if free[0] else risers[0], UNSET if free[1] else risers[1]),
            more=sum(layer.length for layer in self.layers[1:]),
            tubes=LAYOUTS[self.layout].tubes,
            room=room,
        )

    @property
    def _tube(self) -> tuple[float, Material]:
        return self.outer_diameter, self.metal

    @property
    def standing(self) -> Standing:
        """How its file says it stands."""
        lowest = self.lowest_turn_height if "lowest_turn_height" in self.model_fields_set else None
        return Standing(self.stands, self.feet_height, self.hangs_below_rim, lowest)

    @property
    def metal(self) -> Material:
        """All that is particular to its metal."""
        return MATERIALS[self.material]

    @property
    def stock_ids(self) -> tuple[str | None, ...]:
        """Names of the rolls that the layers are cut from, the outer layer's first; None where the file
        tells none."""
        named = [layer.stock_id or self.stock_id for layer in self.layers]
        first = next((name for name in named if name is not None), None)
        return tuple(name or first for name in named)

    @property
    def form_ids(self) -> tuple[str | None, ...]:
        """Names of the forms, of the outer layer first, also of those that have to be made; None where the
        file tells none."""
        named = (self.layers[0].form_id or self.form_id, *(layer.form_id for layer in self.layers[1:]))
        made = (None if size is None else name_of_made(size) for size in self.forms_to_make)
        return tuple(name or other for name, other in zip(named, made, strict=True))

    @property
    def forms_to_make(self) -> tuple[float | None, ...]:
        """Diameters of the forms that have to be made [m], of the outer layer first; None where none has."""
        first, *others = self.layers
        return (first.form_to_make or self.form_to_make, *(layer.form_to_make for layer in others))

    @property
    def helix_length(self) -> float:
        """Length of all turns [m]."""
        return sum(layer.length for layer in self.layers)

    @property
    def turns_volume(self) -> float:
        """What the tube of its turns displaces [m3]."""
        return math.pi / 4 * self.outer_diameter**2 * self.helix_length

    @property
    def takes(self) -> float:
        """Tube of turns and risers, without trim [m]; of two tubes each has both risers."""
        risers = self.riser_length_in + self.riser_length_out
        return self.helix_length + LAYOUTS[self.layout].tubes * risers

    @property
    def bore(self) -> float:
        """Inside diameter of the tube [m]."""
        return self.outer_diameter - 2 * self.wall

    @property
    def height(self) -> float:
        """Over the turns, outside of tube to outside of tube [m]: N p + d_o of the tallest layer."""
        return max(layer.turns * layer.pitch for layer in self.layers) + self.outer_diameter


def widths(table: Coil | CoilLayer) -> dict[str, float]:
    """What its diameter is given by: each key that stands there [m]."""
    ways = {
        "mean_diameter": table.mean_diameter,
        "outside_across": table.outside_across,
        "inside_across": table.inside_across,
        "string_round": table.string_round,
    }
    told = table.model_fields_set
    return {key: x for key, x in ways.items() if key in told and x is not None}


def _refuse_unmeasured(table: Coil | CoilLayer, place: str = "") -> None:
    """A helix of no diameter or no height."""
    if not widths(table):
        raise refusal("missing", OR_ACROSS, f"{place}mean_diameter")
    if "pitch" not in table.model_fields_set and table.overall_height is None:
        raise refusal("missing", "pitch, or overall_height as measured", f"{place}pitch")


def _refuse_impossible(tape: Tape, units: str, place: str = "") -> None:
    fault = impossible(tape, units)
    if fault is not None:
        reason, allowed, key = fault
        raise refusal(reason, allowed, place + key)


def _tape_of(table: Coil | CoilLayer, d_o: float, metal: Material) -> Tape:
    """The helix as it was given."""
    key, written = next(iter(widths(table).items()))
    drawn = "pitch" in table.model_fields_set
    return Tape(
        d_o=d_o,
        density=metal.density,
        across=written,
        across_key=key,
        turns=table.turns,
        height=None if drawn else table.overall_height,
        pitch=table.pitch if drawn else UNSET,
        plumbing=metal.plumbing,
    )
