"""A coil that exists or is to be built, drawn or as measured on the bench."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Annotated, Self

from pydantic import Field, ValidationInfo, model_validator

from optichill.display import FOOT, INCH, POUND, show, trim
from optichill.layouts import LAYOUTS, with_layers
from optichill.materials import MATERIALS, Material
from optichill.model.fields import (
    THICKEST,
    THINNEST,
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
from optichill.model.quantity import Quantity
from optichill.model.refusals import refusal

FEET = 0.025  # m, the floor clearance where a coil file does not say how high the lowest turn stands
UNSET = math.nan  # stands in a required field until its validator has settled it

SHORT = 0.01
"""Of a tube that is measured: by so much less than turns and risers take it may still be the same tube (OWN:
a tape round ten turns). More, and the sizes cannot all be true."""
SEEN = 0.005  # m, the least difference of two lengths that is seen when they are written

NEEDED = {
    "material": (),
    "outer_diameter": (),
    "wall": ("weight",),
    "turns": ("layer",),
    "mean_diameter": ("outside_across", "layer"),
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


Pitch = Annotated[float, Quantity("length", 0.003, 0.5)]
Riser = Annotated[float, Quantity("length", 0.0, 5.0)]


class CoilLayer(Frozen):
    """One helix: mean diameter (relaxed, centre to centre) [m], pitch [m], turns."""

    mean_diameter: CoilDiameter
    """Diameter centre to centre of the tube, as the coil stands free."""
    pitch: Pitch
    """Centre to centre of neighbouring turns."""
    turns: Turns
    """Turns of the layer."""
    form_id: Text | None = None
    """The form's row of forms.csv; of the outer layer the coil's own form_id serves as well."""

    @property
    def length(self) -> float:
        """Length of the helix [m]: N sqrt((pi D)^2 + p^2)."""
        return self.turns * math.hypot(math.pi * self.mean_diameter, self.pitch)


class Coil(Frozen):
    """A coil, in SI. After reading, every size is known; `layers` is never empty, the outer layer first.

    mean_diameter, pitch and turns are the outer layer's. lowest_turn_height runs from the kettle floor to
    the tube's centre. The bench-measured keys (outside_across, overall_height, bought_length, weight) are
    kept beside what follows from them; `mismatches` says where two of them disagree.
    """

    material: MetalName
    """Metal of the tube."""
    outer_diameter: TubeDiameter
    """True OUTSIDE diameter of the tube."""
    wall: Wall = UNSET
    """Wall of the tube; worked out from weight when left out."""
    mean_diameter: CoilDiameter = UNSET
    """Diameter centre to centre, as the coil stands free; or give outside_across."""
    pitch: Pitch = UNSET
    """Centre to centre of neighbouring turns; or give overall_height."""
    turns: Turns = UNSET
    """Turns of the coil; of two layers the outer one's."""
    layout: Annotated[str, Choice(LAYOUTS)] = next(iter(LAYOUTS))
    """One layer, two layers of one tube, or two tubes on tees."""
    lowest_turn_height: Size = UNSET
    """Kettle floor to the centre of the lowest turn; by the kettle's clearance when left out."""
    riser_length_in: Riser = UNSET
    """Tube from the turns to the inlet, without trim."""
    riser_length_out: Riser = UNSET
    """Tube from the turns to the outlet, without trim."""
    riser_bend_radius: Size | None = None
    """Bend radius of the risers, to the centre line; that of the tool at hand when left out."""
    stock_id: Text | None = None
    """The tube's row of tubing.csv."""
    form_id: Text | None = None
    """The form's row of forms.csv; of two the outer one's."""
    flow: Flow | None = None
    """Flow at the start, where a valve keeps it back."""
    outside_across: Size | None = None
    """Measured: across the turns, outside to outside."""
    overall_height: Size | None = None
    """Measured: over the turns, outside to outside."""
    bought_length: TubeLength | None = None
    """Measured: the whole tube."""
    weight: Mass | None = None
    """Measured: the dry coil without its ends."""
    layers: tuple[CoilLayer, ...] = Field(default=(), alias="layer")
    """Two layers, each a table [[coil.layer]], in place of mean_diameter, pitch and turns."""

    @model_validator(mode="after")
    def _settle(self, info: ValidationInfo) -> Self:
        self._settle_helix()
        self._settle_risers()
        units = (info.context or {}).get("units") or "metric"
        self._refuse_short_tube(units)
        self._settle_wall(units)
        if math.isnan(self.lowest_turn_height):
            settle(self, lowest_turn_height=FEET + self.outer_diameter / 2)
        self._refuse_nonsense()
        return self

    def _settle_helix(self) -> None:
        if self.layers:
            outer = sorted(self.layers, key=lambda layer: (-layer.mean_diameter, layer.pitch, layer.turns))
            first = outer[0]
            settle(self, layers=tuple(outer))
            settle(self, mean_diameter=first.mean_diameter, pitch=first.pitch, turns=first.turns)
        if math.isnan(self.turns):
            raise refusal("missing", "turns of the coil, such as 10.5", "turns")
        if math.isnan(self.mean_diameter):
            if self.outside_across is None:
                raise refusal("missing", "mean_diameter, or outside_across as measured", "mean_diameter")
            settle(self, mean_diameter=self.outside_across - self.outer_diameter)
        if math.isnan(self.pitch):
            if self.overall_height is None:
                raise refusal("missing", "pitch, or overall_height as measured", "pitch")
            pitch = (self.overall_height - self.outer_diameter) / self.turns
            settle(self, pitch=max(pitch, self.outer_diameter))
        if not self.layers:
            settle(
                self,
                layers=(CoilLayer(mean_diameter=self.mean_diameter, pitch=self.pitch, turns=self.turns),),
            )

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

    def _refuse_short_tube(self, units: str) -> None:
        if self.bought_length is None or self.takes <= (1.0 + SHORT) * self.bought_length:
            return
        bought, taken = (_tube(length, units) for length in (self.bought_length, self.takes))
        alone = "turns and risers" if self.takes > self.helix_length else "the turns alone"
        raise refusal(
            f"{bought} of tube, but {alone} take {taken}",
            f"{taken} or more: measure bought_length, turns and their diameter again",
            "bought_length",
        )

    def _settle_wall(self, units: str) -> None:
        if not math.isnan(self.wall):
            return
        if self.weight is None:
            raise refusal("missing", "wall, or weight as measured", "wall")
        density = self.metal.density
        bore_2 = self.outer_diameter**2 - 4.0 * self.weight / (math.pi * density * self._tube_weighed)
        if bore_2 <= 0.0:
            raise refusal(
                "heavier than a solid rod of this length", "the dry coil without its ends", "weight"
            )
        wall = (self.outer_diameter - math.sqrt(bore_2)) / 2
        if not THINNEST <= wall <= THICKEST:
            weight, length = show(self.weight, "mass", units), show(self._tube_weighed, "long_length", units)
            found, thinnest, thickest = (show(w, "wall", units) for w in (wall, THINNEST, THICKEST))
            reason = f"{weight} on {length} of this tube gives a wall of {found}"
            raise refusal(
                reason,
                f"a wall of {thinnest} to {thickest}: weigh the dry coil, measure "
                "bought_length and outer_diameter again",
                "weight",
            )
        settle(self, wall=wall)

    def _refuse_nonsense(self) -> None:
        if self.wall >= self.outer_diameter / 2:
            raise refusal("the wall leaves no bore", "less than half of outer_diameter", "wall")
        for place, layer in enumerate(self.layers):
            if layer.mean_diameter <= 2 * self.outer_diameter:
                raise refusal("too tight for this tube", "more than 2 outer diameters", "mean_diameter")
            if layer.pitch < self.outer_diameter - 1e-4:
                key = "pitch" if len(self.layers) == 1 else f"layer.{place}.pitch"
                raise refusal("turns would overlap", "outer_diameter or more", key)
        one, two = (" or ".join(x.name for x in with_layers(n).values()) for n in (1, 2))
        layers = LAYOUTS[self.layout].layers
        if layers == 1 and len(self.layers) > 1:
            raise refusal("more than one layer", two, "layout")
        if len(self.layers) < layers:
            raise refusal("needs two [[coil.layer]] entries", f"{one}, or two layers", "layout")

    @property
    def metal(self) -> Material:
        """All that is particular to its metal."""
        return MATERIALS[self.material]

    @property
    def form_ids(self) -> tuple[str | None, ...]:
        """Names of the forms, of the outer layer first; None where the file tells none."""
        return (self.layers[0].form_id or self.form_id, *(layer.form_id for layer in self.layers[1:]))

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

    @property
    def _tube_weighed(self) -> float:
        return self.bought_length or self.takes

    def mismatches(self, units: str = "metric") -> tuple[str, ...]:
        """Where measured sizes disagree with the rest: more than 3 mm, 10 % of weight; of a tube that is
        longer than what is made of it 5 %, and of one that is shorter all that is seen."""
        said = []
        across = self.mean_diameter + self.outer_diameter
        if self.outside_across is not None and abs(self.outside_across - across) > 0.003:
            told, drawn = (_across(size, units) for size in (self.outside_across, across))
            said.append(f"outside_across is {told}, by mean_diameter and tube it is {drawn}")
        if self.overall_height is not None and abs(self.overall_height - self.height) > 0.003:
            told, drawn = (_across(size, units) for size in (self.overall_height, self.height))
            said.append(f"overall_height is {told}, {self.turns:g} turns of this pitch stand {drawn}")
        if self.bought_length is not None and not -SEEN <= self.bought_length - self.takes <= (
            0.05 * self.bought_length
        ):
            bought, taken = (_tube(length, units) for length in (self.bought_length, self.takes))
            apart = "; water runs as through the first, heat passes as through the second"
            said.append(f"bought_length is {bought}, turns and risers take {taken}{apart}")
        if self.weight is not None:
            area = math.pi / 4 * (self.outer_diameter**2 - self.bore**2)
            weighs = area * self.metal.density * self._tube_weighed
            if abs(weighs - self.weight) > 0.10 * self.weight:
                mine, due = (_weight(mass, units) for mass in (self.weight, weighs))
                said.append(f"weight is {mine}, tube of this wall weighs {due}")
        return tuple(f"coil: {text}: measure again" for text in said)


def _across(metres: float, units: str) -> str:
    """A size to be measured again across the coil."""
    return f"{metres / INCH:.1f} in" if units == "us" else f"{trim(metres * 1e3, 1)} mm"


def _tube(metres: float, units: str) -> str:
    """A length to be measured again, finely enough to see the difference."""
    return f"{metres / FOOT:.1f} ft" if units == "us" else f"{metres:.2f} m"


def _weight(kilograms: float, units: str) -> str:
    return f"{kilograms / POUND:.2f} lb" if units == "us" else f"{kilograms:.2f} kg"
