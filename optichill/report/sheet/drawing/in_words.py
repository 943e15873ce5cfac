"""The drawings in words, for those who cannot see them."""

from __future__ import annotations

from optichill.fabrication.clocking import clock
from optichill.fabrication.scene import SIX_O_CLOCK, Scene
from optichill.report.sheet.drawing import pen as pens
from optichill.report.sheet.drawing import tube
from optichill.report.sheet.drawing.measures import (
    SMALLEST,
    Length,
    Measures,
    checked,
    cover_room,
    measures,
    rim_room,
    stands_off,
    wall_room,
)
from optichill.report.sheet.drawing.view import hour_name, hour_of_view, view_from


def side_words(scene: Scene, length: Length) -> str:
    """What the side view shows, for those who cannot see it."""
    checked(scene, *SMALLEST)
    sizes, hour = measures(scene), hour_of_view(scene)
    cover, rim = (" ".join(pair(sizes, length)) for pair in (cover_room, rim_room))
    largest, smallest = (f" of {batch}" if batch else "" for batch in scene.batches)
    told = [
        f"The kettle cut open and seen from {hour_name(hour)}, to scale.",
        f"{_kettle_words(scene, length)} The coil {_coil_words(scene)}.",
        f"It {_rest_words(scene, sizes, length)}.",
        f"Across the turns {length(sizes.across)}, height of the turns {length(sizes.top - sizes.bottom)}.",
        f"Hot wort{largest} stands {length(scene.hot)} deep and cold wort{smallest} {length(scene.cold)}: "
        f"{cover}, {rim}.",
        f"{_capital(' '.join(wall_room(sizes, length)))}.",
        *_aside(scene, length),
    ]
    for riser in scene.risers:
        x = tube.seen(tube.riser_points(riser)[tube.UPRIGHT], view_from(hour))[0]
        side = "left" if x < 0.0 else "right"
        told.append(
            f"{riser.name} climbs on the {side} to {length(riser.crossing)} above the floor, then goes out."
        )
    return " ".join([*told, *_part_words(scene, length)])


def top_words(scene: Scene, length: Length) -> str:
    """What the view from above shows, for those who cannot see it."""
    checked(scene, *SMALLEST)
    sizes = measures(scene)
    told = [
        "The kettle from above, to scale, 6 o'clock at the bottom.",
        f"{_kettle_words(scene, length)} The coil {_coil_words(scene)}.",
        f"Across the turns {length(sizes.across)}, free inside {length(sizes.free)},",
        f"{' '.join(wall_room(sizes, length))}.",
        *_aside(scene, length),
    ]
    for riser in scene.risers:
        told.append(
            f"{riser.name} goes over the rim near {clock(riser.angle - SIX_O_CLOCK)}, "
            f"{length(riser.reach)} out from the middle."
        )
    told.append(f"An arrow at {hour_name(hour_of_view(scene))} shows from where the side view is seen.")
    return " ".join([*told, *_part_words(scene, length)])


def _aside(scene: Scene, length: Length) -> list[str]:
    aside = stands_off(scene, length)
    return [f"{_capital(aside)}."] if aside else []


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


def _kettle_words(scene: Scene, length: Length) -> str:
    narrower = f", its mouth {length(scene.mouth)}" if scene.mouth < scene.kettle_diameter else ""
    wide, high = length(scene.kettle_diameter), length(scene.kettle_height)
    return f"The kettle is {wide} wide and {high} high inside{narrower}."


def _coil_words(scene: Scene) -> str:
    counts = [f"{0.05 * round(20.0 * helix.turns):.3g}" for helix in scene.helices]
    if len(counts) == 1:
        return f"has {counts[0]} turn{'' if counts[0] == '1' else 's'}"
    if not scene.crossing:
        return f"is {len(counts)} coils of {' and '.join(counts)} turns, one in the other"
    return f"has {len(counts)} layers of {' and '.join(counts)} turns, joined underneath"


def _rest_words(scene: Scene, sizes: Measures, length: Length) -> str:
    way = {"feet": "stands on wire feet", "floor": "lies on the floor", "hangs": "hangs from the rim"}
    side = "above" if sizes.bottom >= 0.0 else "below"
    under = f"the underside of its lowest turn {length(abs(sizes.bottom))} {side} the floor"
    return f"{way.get(scene.rests, 'rests')}, {under}"


def _part_words(scene: Scene, length: Length) -> list[str]:
    told = []
    for part in scene.parts:
        name, top = _capital(pens.one_line(part.what)), f"upper edge at {length(part.height)}"
        if part.where == "wall":
            told.append(
                f"{name}: on the wall (where round it is not known), {top}, stands out {length(part.size)}."
            )
        elif part.where == "floor":
            told.append(f"{name}: across the floor, {top}.")
        else:
            told.append(f"{name}: in the centre, {length(part.size)} wide, {top}.")
    return told
