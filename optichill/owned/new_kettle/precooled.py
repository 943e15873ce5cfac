"""The old coil in ice, before a new main one: tap water runs through it on the last stretch of the chill."""

from __future__ import annotations

import math
import tomllib
from collections.abc import Iterator

from optichill.display import POUND, US_GALLON, trim
from optichill.errors import OptichillError
from optichill.files.coil_file import coil_text
from optichill.files.faults import Findings
from optichill.files.reading import check_plan
from optichill.layouts import LAYOUTS
from optichill.model.brewhouse import Brewhouse
from optichill.model.coil import Coil
from optichill.model.cooling import CoolingStage
from optichill.model.heard import FROM_TEXT
from optichill.owned.new_kettle import kept_coil
from optichill.owned.new_kettle.kept_options import Kept, gains_enough
from optichill.owned.new_kettle.new_build import best_of, fresh_work
from optichill.owned.new_kettle.option import LeftOut, Option, worked_out
from optichill.owned.outfit import outfit
from optichill.problem.basis import DesignBasis
from optichill.problem.bill import beyond
from optichill.problem.worth import bagged_ice, worth_of
from optichill.rating.coil_rating import idea_of_time
from optichill.search.designs import Design, as_coil
from optichill.search.recommend import search_space
from optichill.thermal.sources import ICE_DENSITY

ICE = {"metric": (4.0, 8.0, 12.0), "us": (10.0 * POUND, 20.0 * POUND, 30.0 * POUND)}
"""Ice that is tried [kg], in whole bags (OWN)."""

ROUND_IT, OVER_IT = 0.02, 0.05
"""Room in the vessel round the coil, and above its turns [m] (OWN)."""

FULL = 0.9
"""Share of the vessel up to which water fills what coil and ice leave of it (OWN)."""


def precooled(of: Kept, main: Design | None, without: float | None = None) -> Option | LeftOut:
    """A new main coil with the old one in so much ice as pays. main : the best without ice, where there is
    one; else the best with it; without : what the main coil takes without ice [s]."""
    plan = of.new.brewhouse.cooling
    if len(plan) != 1 or plan[0].source != "tap":
        return LeftOut("precool", "plan")
    if LAYOUTS[of.coil.layout].layers > 1:
        return LeftOut("precool", "layers")
    gain, plain = None, None if main is None else idea_of_time(of.new, as_coil(main))
    for ice, lines, basis in _plans(of):
        best = main or best_of(search_space(basis))
        if best is None:
            continue
        if without is not None and plain is not None:
            gains = plain - idea_of_time(basis, as_coil(best))
            if not gains_enough(without, without - SURELY * gains):
                gain = max(gains, gain or 0.0)
                continue
        found = _worked_out(of, basis, best, lines, ice)
        time = found.rating.prediction.told.time
        if time is None:
            continue
        if without is None or gains_enough(without, time):
            return found
        gain = max(without - time, gain or 0.0)
    if gain is None:
        return LeftOut("precool", "nothing_fits")
    return LeftOut("precool", "no_gain", {"gain": gain})


SURELY = 1.5
"""Ice is looked at more closely where so many times of what one run says that it gains would be enough."""


def _plans(of: Kept) -> Iterator[tuple[float, tuple[str, ...], DesignBasis]]:
    """Amounts of ice [kg] with the lines that say so and the kettle with them. Of ice that is paid for the
    less the better; from one's own freezer the more."""
    amounts = ICE[of.new.brewhouse.units]
    for ice in amounts if ice_price(of.new) > 0.0 else amounts[::-1]:
        lines = plan_lines(of, ice)
        brewhouse = with_plan(of.new, lines)
        if brewhouse is not None:
            yield ice, lines, of.new.restated(brewhouse)


def ice_price(new: DesignBasis) -> float:
    """What a kilogram of ice counts: as stated, else as bought in bags, for the plan had none [money]."""
    stated = new.brewhouse.wishes.ice_price
    return bagged_ice(new) if stated is None else stated


def _worked_out(of: Kept, basis: DesignBasis, best: Design, lines: tuple[str, ...], ice: float) -> Option:
    bill, reused = beyond(best.bill, outfit(of.new, of.coil))
    sizes = {
        "ice": ice,
        "vessel": vessel(of.coil, of.new.brewhouse.units),
        "across": of.coil.mean_diameter + of.coil.outer_diameter + 2.0 * ROUND_IT,
        "roll": best.winding.tube.length,
        "d_o": best.winding.tube.outer_diameter,
        "turns": best.turns,
        "ice_price": worth_of(basis).ice,
    }
    return worked_out(
        "precool",
        basis,
        kept_coil.in_a_file(as_coil(best)),
        bill,
        fresh_work(best),
        reused=reused,
        plan=lines,
        sizes=sizes,
        design=best,
        texts={"id": best.id, "layout": best.layout, "roll": best.winding.tube.stock_id},
    )


def vessel(coil: Coil, units: str) -> float:
    """What a round vessel holds that takes the coil upright [m3], up to whole litres or gallons."""
    unit = US_GALLON if units == "us" else 1e-3
    across = coil.mean_diameter + coil.outer_diameter + 2.0 * ROUND_IT
    return unit * math.ceil(math.pi / 4.0 * across**2 * (coil.height + OVER_IT) / unit - 1e-6)


def plan_lines(of: Kept, ice: float) -> tuple[str, ...]:
    """The plan as the brewhouse file has it: the tap first, then the tap through the old coil in ice."""
    units = of.new.brewhouse.units
    holds = vessel(of.coil, units)
    free = FULL * holds - ice / ICE_DENSITY - of.coil.turns_volume
    room, water = _litres(holds, units), _litres(max(free, 0.0), units)
    weighs = f"{trim(ice / POUND)} lb" if units == "us" else f"{trim(ice)} kg"
    stages = ["[[cooling]]", 'source = "tap"', 'until = "best"', "", "[[cooling]]"]
    stages += ['source = "precooled tap"', f'water = "{water}"', f'ice = "{weighs}"', f'bucket = "{room}"']
    if of.new.brewhouse.wishes.ice_price is None:
        stages += [f"ice_price = {ice_price(of.new):.2f}  # of a kilogram in a bag; 0 from your own freezer"]
    return (*stages, "", "[cooling.precooler]", *_keys(of.coil, units))


def _litres(volume: float, units: str) -> str:
    """A volume as it is written into the file, down to the tenth."""
    size, name = (US_GALLON, "gal") if units == "us" else (1e-3, "L")
    return f"{trim(math.floor(10.0 * volume / size + 1e-6) / 10.0)} {name}"


SKIPPED = ("layout", "stock_id", "form_id", "flow", "lowest_turn_height", "stands")
"""Keys of a coil file that mean nothing in ice."""


def _keys(coil: Coil, units: str) -> Iterator[str]:
    """The keys of the old coil."""
    for line in coil_text(coil, demo=False, units=units).splitlines():
        key = line.split(" =")[0]
        if line and line[0] not in "#[" and key not in SKIPPED:
            yield line


def with_plan(new: DesignBasis, lines: tuple[str, ...]) -> Brewhouse | None:
    """The new brewhouse with this plan, None where the plan cannot be: no vessel, or water too warm."""
    tables = tomllib.loads("\n".join(lines))["cooling"]
    context = {**FROM_TEXT, "units": new.brewhouse.units}
    try:
        stages = tuple(CoolingStage.model_validate(table, context=context) for table in tables)
    except (OptichillError, ValueError):
        return None
    brewhouse = new.brewhouse.model_copy(update={"cooling": stages})
    faults = Findings()
    check_plan(brewhouse, new.stock, "", {}, faults)
    return None if faults else brewhouse
