"""What is said about sound inputs: assumptions made, and things that do not fit or do not act."""

from __future__ import annotations

from statistics import median

from optichill.display import show
from optichill.layouts import LAYOUTS
from optichill.model.brewhouse import Brewhouse
from optichill.model.coil import Coil
from optichill.model.cooling import ICED, PUMPED, last_cooling
from optichill.model.mismatches import mismatches, room_of
from optichill.model.slips import too_much
from optichill.model.stock import MATCH, WALL_SEEN, Fitting, Stock
from optichill.thermal.supply import PUMP_HOSES
from optichill.workshop.fittings import ENDS, fits_hose, fits_tube, joins


def notes(brewhouse: Brewhouse) -> tuple[str, ...]:
    """Assumptions made because the file left something out, or used one of several values."""
    said = []
    tap, wort, units = brewhouse.tap, brewhouse.wort, brewhouse.units
    if tap is not None:
        temperature = show(tap.temperature, "temperature", units)
        if tap.static_pressure is None and brewhouse.draws_from_tap:
            said.append(f"tap pressure assumed {show(tap.pressure, 'pressure', units)}")
        if tap.open_flow is None and brewhouse.draws_from_tap:
            said.append("tap flow not measured: estimated from hose and tap, often too high: fill a bucket")
        if tap.warm_season is not None:
            said.append(f"tap temperature: the warm season's {temperature}")
        if tap.climate is not None:
            said.append(f"tap temperature estimated from the climate on {tap.climate.date}: {temperature}")
    if wort.into_fermenter is not None:
        hot = show(wort.volume, "exact_volume", units)
        said.append(f"hot wort taken as {hot}: it shrinks by 4 % when cooled to room temperature")
    for key, value, kind in (
        ("start_temperature", wort.start_temperature, "temperature"),
        ("target_temperature", wort.target_temperature, "temperature"),
        ("gravity", wort.gravity, "gravity"),
    ):
        if key not in wort.model_fields_set:
            said.append(f"{key.replace('_', ' ')} assumed {show(value, kind, units)}")
    if "mixing" not in wort.model_fields_set:
        said.append(f"mixing assumed: {wort.mixing}")
    if brewhouse.kettle.metal_mass is None:
        said.append(f"kettle metal estimated as {show(1e-3, 'wall', units)} of stainless steel")
    return (*said, *_about_plan(brewhouse))


def _about_plan(brewhouse: Brewhouse) -> list[str]:
    """What is assumed of pumps, buckets and ice, each once."""
    stages, units = brewhouse.cooling, brewhouse.units
    said = []
    if any(stage.source in PUMPED for stage in stages):
        said.append(f"pump hoses assumed {show(PUMP_HOSES / 2, 'long_length', units)} each way")
    if any(stage.source in PUMPED and stage.return_ == "drain" for stage in stages):
        said.append("a bucket that drains is taken as topped up with the same water, as fast as it is pumped")
    iced = {
        (s.ice_lumps, s.bath_moves): "ice_lumps" in s.model_fields_set for s in stages if s.source in ICED
    }
    for (lumps, moves), told in sorted(iced.items()):
        assumed = "" if told else ", assumed"
        water = "that runs through" if moves else "that stands"
        said.append(f"ice as {lumps}{assumed}, in water {water}: what it lets in is known to a factor of 2.5")
    return said


def warnings(brewhouse: Brewhouse, stock: Stock, coil: Coil | None) -> tuple[str, ...]:
    """What the reader should know before believing an answer."""
    said = []
    much = "" if brewhouse.wort.unusual else too_much(brewhouse.wort.volume, brewhouse.units)
    said += [f"wort: {much}"] if much else []
    said += _floor(brewhouse)
    said += _about_last_water(brewhouse)
    said += _about_stock(brewhouse, stock)
    for place, stage in enumerate(brewhouse.cooling, 1):
        if stage.precooler is not None:
            texts = mismatches(stage.precooler, brewhouse.units)
            said += [f"cooling[{place}].precooler: {text}" for text in texts]
    return (*said, *about_coil(coil, stock, brewhouse))


def about_coil(coil: Coil | None, stock: Stock, brewhouse: Brewhouse) -> tuple[str, ...]:
    """Where a given coil contradicts itself or the lists, with both figures."""
    if coil is None:
        return ()
    units = brewhouse.units
    return (*mismatches(coil, units, room_of(brewhouse)), *_against_stock(coil, stock, units))


NEAR_TAP = 2.0  # K: so near, half a degree on the thermometer decides about the time


def _about_last_water(brewhouse: Brewhouse) -> list[str]:
    """Where the water of the last stage is too warm for the target, or so near that the thermometer decides.

    Ice at the end cures both, and so may a cold top-up: then the wort need not come down to the target.
    """
    wort, u = brewhouse.wort, brewhouse.units
    last = brewhouse.cooling[last_cooling(brewhouse.cooling)]
    T = last.filled_at(brewhouse.tap.temperature if brewhouse.tap else None)
    cold_top_up = wort.top_up is not None and wort.top_up.temperature < wort.target_temperature
    if last.source in ICED or T is None or cold_top_up or wort.target_temperature - T > NEAR_TAP:
        return []
    name = "tap" if last.source == "tap" or last.water_temperature is None else "bucket"
    cold, target = show(T, "temperature", u), show(wort.target_temperature, "temperature", u)
    if wort.target_temperature <= T:
        return [f"{name} water at {cold} cannot bring wort to {target}"]
    return [
        f"{target} is so near to the {name}'s {cold} that half a degree on the thermometer changes the answer"
    ]


def _about_stock(brewhouse: Brewhouse, stock: Stock) -> list[str]:
    said = []
    hard = [tube.stock_id for tube in stock.tubing if not tube.windable]
    if hard:
        said.append(f"hard tube is left out of coils: {_named(hard)}")
    if stock.fittings:
        ends = [f for f in stock.fittings if f.joint and f.used_at in (None, *ENDS)]
        windable = {tube.outer_diameter for tube in stock.tubing if tube.windable}
        bare = sorted(d_o for d_o in windable if not any(joins(f, d_o, brewhouse.hose_bore) for f in ends))
        said += _no_ends(bare, ends, brewhouse)
        tees = any(LAYOUTS[name].tees for name in brewhouse.workshop.layouts)
        if tees and not any(f.used_at == "tee" for f in stock.fittings):
            said.append("fittings.csv has no tee: two tubes side by side are left out")
        said += _hoses(stock, brewhouse)
    said += _cheap(stock, brewhouse.stock.currency)
    if brewhouse.workshop.forms_owned_only and not any(form.owned for form in stock.forms):
        said.append("workshop.forms_owned_only, but no form of forms.csv is owned")
    return said


def _no_ends(bare: list[float], ends: list[Fitting], brewhouse: Brewhouse) -> list[str]:
    """Tubes [m] that no end joins to the hose: those that have none, and those whose ends are for another."""
    u, said = brewhouse.units, []
    hose = show(brewhouse.hose_bore, "tube", u)
    loose = {d_o: [f for f in ends if fits_tube(f, d_o)] for d_o in bare}
    none = dict.fromkeys(show(d_o, "tube", u) for d_o, there in loose.items() if not there)
    if none:
        said.append(f"fittings.csv has no ends for tube of {_named(list(none))}")
    rows: dict[str, str] = {}
    for d_o, there in loose.items():
        for f in there[:1]:
            of = f"fittings.csv:{f.line}" if f.line else f"fitting {f.fitting_id}"
            fits = "is loose on it" if brewhouse.hose_bore > d_o else "is too narrow for it"
            why = f"{of}: the hose {fits}"
            if f.bore is not None and not fits_hose(f, brewhouse.hose_bore):
                why = f"{of}, for {show(f.bore, 'tube', u)} hose"
            rows[show(d_o, "tube", u)] = why
    if rows:
        told = _named([f"{size} ({why})" for size, why in rows.items()])
        said.append(f"fittings.csv has no ends that join {hose} hose, reckoned with, to tube of {told}")
    return said


def _floor(brewhouse: Brewhouse) -> list[str]:
    """A clearance under a coil that rests on the floor."""
    kettle = brewhouse.kettle
    if kettle.coil_rests != "floor" or "floor_clearance" not in kettle.model_fields_set:
        return []
    told = show(kettle.floor_clearance, "length", brewhouse.units)
    return [f"kettle: floor_clearance of {told} does not count: coil_rests is floor"]


def _hoses(stock: Stock, brewhouse: Brewhouse) -> list[str]:
    """Hoses of another bore than the flow is reckoned with, and those that tell none."""
    bore = show(brewhouse.hose_bore, "tube", brewhouse.units)
    hoses = [f for f in stock.fittings if f.per == "m" and f.used_at in (None, *ENDS)]
    said = [
        f"fittings.csv:{f.line}: {f.fitting_id}: hose of {show(f.bore, 'tube', brewhouse.units)} bore, "
        f"the flow is reckoned with {bore}: it is left out"
        for f in hoses
        if not fits_hose(f, brewhouse.hose_bore)
    ]
    if any(f.bore is None for f in hoses):
        said.append(f"fittings.csv tells no bore of a hose: taken to be {bore}")
    return said


MOST_NAMED = 8
"""Of a long list no more are named: the rest is counted."""


def _named(names: list[str]) -> str:
    told = ", ".join(names[:MOST_NAMED])
    return told if len(names) <= MOST_NAMED else f"{told} and {len(names) - MOST_NAMED} more"


CHEAP = 0.1
"""Of the median of the other tubes, per metre: a price below is more likely a slip than a bargain."""


def _cheap(stock: Stock, currency: str) -> list[str]:
    """Tubes at less than a tenth of what a metre of the others costs."""
    per_metre = {tube.stock_id: tube.cost / tube.length for tube in stock.tubing if not tube.owned}
    if len(per_metre) < 2:
        return []
    usual = median(sorted(per_metre.values())[1:])  # of the others, whichever of the cheap ones is looked at
    return [
        f"tubing.csv: price of {stock_id} is {price:.2g} {currency} a metre, "
        f"the others cost {usual:.2g} {currency}: is it the price of the whole roll?"
        for stock_id, price in per_metre.items()
        if price < CHEAP * usual
    ]


def _against_stock(coil: Coil, stock: Stock, units: str) -> list[str]:
    said = []
    tube = stock.tube(coil.stock_id) if coil.stock_id else None
    if coil.stock_id and tube is None:
        said.append(f"coil: stock_id '{coil.stock_id}' is not in tubing.csv")
    said += [
        f"coil: stock_id '{name}' of a layer is not in tubing.csv"
        for name in dict.fromkeys(layer.stock_id for layer in coil.layers)
        if name and name != coil.stock_id and stock.tube(name) is None
    ]
    if tube is not None:
        for key, kind, near in (("outer_diameter", "tube", MATCH), ("wall", "wall", WALL_SEEN)):
            mine, listed = getattr(coil, key), getattr(tube, key)
            if abs(mine - listed) > near:
                pair = f"{show(mine, kind, units)}, tubing.csv says {show(listed, kind, units)}"
                said.append(f"coil: {key} is {pair} for {tube.stock_id}")
        if tube.material != coil.material:
            said.append(f"coil: {coil.material}, tubing.csv says {tube.material} for {tube.stock_id}")
    said += [
        f"coil: form_id '{name}' is not in forms.csv"
        for name, made in zip(coil.form_ids, coil.forms_to_make, strict=True)
        if name and made is None and stock.form(name) is None
    ]
    return said
