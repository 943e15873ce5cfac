"""JSON for other programs: SI, the suffix says the unit, unknown is null, same input gives the same bytes."""

from __future__ import annotations

import json
import math
from typing import Any

from optichill.errors import printable
from optichill.fabrication.work_plan import WorkPlan
from optichill.files.ownership import HEAD
from optichill.files.reading import Inputs
from optichill.model.stirring import Stirring
from optichill.problem.basis import DesignBasis
from optichill.problem.worth import worth_of
from optichill.rating.coil_rating import CoolDownCurve, Rating
from optichill.rating.prediction import Likely, Prediction
from optichill.rating.remedies import Remedy
from optichill.report import words
from optichill.report.choice import flips_text, habit_text, ladder_text, less_ice_text, role_text
from optichill.report.form_advice import form_advice
from optichill.report.measure import measure, measure_json, regret, regret_json
from optichill.report.no_fit import instead_text, misfits, stirring, too_short, ways_text
from optichill.report.reasons import because
from optichill.report.searched import sample_json
from optichill.report.sheet.refusal import stops
from optichill.report.to_write import to_write
from optichill.report.warnings import of_coil, of_design
from optichill.search.answer import Answer
from optichill.search.designs import Design
from optichill.search.instead import Instead
from optichill.search.ranking import Levels
from optichill.search.ways_out import OpenedDesign
from optichill.workshop.difficulty import band
from optichill.workshop.lifetime import Lifetime

SOURCES = (
    "Schmidt 1967; Gnielinski 1986 (VDI Heat Atlas G3): film inside the helix",
    "White 1929; Ito 1959: friction in the helix",
    "Churchill & Chu 1975; Churchill & Bernstein 1977; Churchill 1977: film in still and moving wort",
    "IAPWS-95 through CoolProp: water; CRC Handbook sucrose tables and ASBC: wort",
    "Kern 1950: batch cooling; own judgement: mixing speeds, wort stranded above the coil, ice baths,"
    " layers, spacing of turns, kettle loss, difficulty",
)


def dumps(data: dict[str, Any]) -> str:
    """As text, which reads back the same. What a terminal would obey, and what of a file's name is not of
    Unicode, is escaped."""
    text = json.dumps(plain(data), ensure_ascii=False, indent=2, allow_nan=False)
    return "".join(f"{printable(line)}\n" for line in text.split("\n"))


def plain(value: Any) -> Any:
    """A document as it is written: floats to 10 significant digits, null for what is not finite."""
    if isinstance(value, dict):
        return {key: plain(inner) for key, inner in value.items()}
    if isinstance(value, list | tuple):
        return [plain(inner) for inner in value]
    if isinstance(value, float):
        return float(f"{value:.10g}") if math.isfinite(value) else None
    return value


def recommend(answer: Answer, inputs: Inputs) -> dict[str, Any]:
    """The recommendation, as documented for other tools."""
    brewhouse, found = answer.basis.brewhouse, answer.conflicts
    return {
        **HEAD,
        "brewhouse": brewhouse.name,
        "demo": brewhouse.demo,
        "calibrated": False,
        "designs": [
            design(d, answer.basis) | _place(d, answer) | regret_json(r)
            for d, r in zip(answer.designs, answer.regrets, strict=True)
        ],
        **_choice(answer),
        "measure": measure_json(answer),
        "search": {
            "engine": "enumeration",
            "enumerated": answer.enumerated,
            "feasible": answer.feasible,
            "front": answer.front,
            "sample": sample_json(answer.sample),
        },
        "advice": _advice(answer),
        "conflicts": _conflicts(answer) if found is not None else [],
        "ranking": _ranking(answer),
        "warnings": [
            *(of_design(answer.designs[0], answer.basis) if answer.designs else []),
            *inputs.warnings,
        ],
        "assumptions": list(inputs.notes),
        "sources": list(SOURCES),
    }


def _place(d: Design, answer: Answer) -> dict[str, Any]:
    """What a design is looked at for, and which others come to the same."""
    roles = [name for role in answer.roles if role.design is d for name in role.names]
    return {"roles": roles, "tied_with": [other.id for other in answer.tied_with(d)]}


def _choice(answer: Answer) -> dict[str, Any]:
    """What more money buys, what would turn the choice, and a habit."""
    habit = answer.habit
    return {
        "ladder": [
            {"cost": step.cost, "chill_time_s": step.chill_time, "id": step.id} for step in answer.ladder
        ],
        "flip": [
            {"text": text, "change": {**vars(flip.change), "id": flip.then.id}}
            for flip, text in zip(answer.flips, flips_text(answer), strict=True)
        ],
        "habit": None
        if habit is None
        else {
            "valve_share": habit.design.valve_share,
            "chill_time_s": habit.design.told["chill_time"],
            "water_m3": habit.design.told["water"],
            "water_saved_m3": habit.water_saved,
            "saves": habit.saves,
        },
    }


def _said(answer: Answer) -> list[tuple[str, list[str]]]:
    """Kinds of what is said of the choice, with the sentences."""
    return [
        ("because", because(answer)),
        *((f"role: {', '.join(role.names)}", role_text(role, answer)) for role in answer.roles),
        ("ladder", ladder_text(answer)),
        ("valve", habit_text(answer)),
        ("less ice", less_ice_text(answer)),
        ("regret", regret(answer)),
        ("measure", measure(answer)),
    ]


def _advice(answer: Answer) -> list[dict[str, Any]]:
    brewhouse = answer.basis.brewhouse
    advice: list[dict[str, Any]] = [
        {"kind": kind, "text": text, "change": None, "gain": None}
        for kind, texts in (_said(answer) if answer.designs else ())
        for text in texts
    ]
    if answer.stirred is not None:
        mixing = brewhouse.wort.mixing
        steady = mixing.table | {"seconds_a_minute": 60.0} if isinstance(mixing, Stirring) else "steady"
        change = {"mixing": steady, "chill_time_s": answer.stirred.prediction.steady}
        advice.append(
            {"kind": "habit", "text": f"keep stirring: {stirring(answer)}", "change": change, "gain": None}
        )
    if answer.form_advice is not None:
        form = {"form_id": answer.form_advice.form_id, "to_m": answer.form_advice.diameter}
        gain = {"chill_time_s": answer.form_advice.time, "lifetime_cost": answer.form_advice.money}
        advice.append({"kind": "form", "text": form_advice(answer)[0], "change": form, "gain": gain})
    for step, text in misfits(answer):
        change = {"limit": step.limit, "bound": step.now, "short_by": abs(step.now - step.to)}
        advice.append({"kind": "does not fit", "text": text, "change": change, "gain": None})
    for text in too_short(answer):
        change = {"limit": "chill_time", "bound": brewhouse.limits.chill_time, "least_s": answer.shortest}
        advice.append({"kind": "impossible", "text": text, "change": change, "gain": None})
    for other in answer.instead:
        advice.append(_instead(other))
    if answer.quickest is not None:
        built = {"design": design(answer.quickest, answer.basis)}
        text = words.short(answer.quickest, brewhouse.units)
        advice.append({"kind": "quickest coil", "text": text, "change": built, "gain": None})
    for way in answer.warm_tap_remedies:
        told: dict[str, Any] = {
            "end_K": way.temperature,
            "chill_time_s": way.time,
            "ice_kg": way.ice,
            "until_K": way.change,
            "water_m3": way.water,
            "pump": way.pump,
            "vessel_m3": way.filled,
            "precooler": _precooler(way),
        }
        text = ways_text(way, brewhouse.units)
        advice.append({"kind": f"too warm: {way.kind}", "text": text, "change": told, "gain": None})
    return advice


def _precooler(way: Remedy) -> dict[str, Any] | None:
    """The coil in the ice of a way out of a warm tap."""
    c = way.precooler
    if c is None:
        return None
    return {
        "material": c.material,
        "outer_diameter_m": c.outer_diameter,
        "wall_m": c.wall,
        "mean_diameter_m": c.mean_diameter,
        "pitch_m": c.pitch,
        "turns": c.turns,
        "riser_length_in_m": c.riser_length_in,
        "riser_length_out_m": c.riser_length_out,
    }


def _instead(other: Instead) -> dict[str, Any]:
    """What opens a design where a limit cannot be moved."""
    change: dict[str, Any] = {"mends": other.limit, "design": design(other.design, other.basis)}
    if other.form is None:
        change |= {"from_m3": other.now, "to_m3": other.to}
    else:
        change |= {"form_id": other.form.form_id, "from_m": other.now, "to_m": other.to}
    kind = "less wort" if other.form is None else "smaller form"
    return {"kind": kind, "text": instead_text(other), "change": change, "gain": None}


def _ranking(answer: Answer) -> dict[str, Any] | None:
    if not answer.designs:
        return None
    return {
        "method": _METHODS[answer.levels is not None],
        **_levels(answer.levels),
        "worth": _worth(answer.basis),
    }


_METHODS = ("least cost over the coil's life", "augmented achievement scalarization (Wierzbicki 1980)")


def _levels(by: Levels | None) -> dict[str, Any]:
    """The levels that rank, none where lifetime cost does."""
    if by is None:
        return {"levels": None, "fixed_levels": []}
    goals = ("chill_time_s", "cost", "water_m3", "difficulty")
    return {
        "levels": {
            goal: {
                "good": float(by.good[i]),
                "acceptable": float(by.acceptable[i]),
                "weight": float(by.weight[i]),
            }
            for i, goal in enumerate(goals)
        },
        "fixed_levels": list(by.assumed),
    }


def _worth(basis: DesignBasis) -> dict[str, Any]:
    """What counts for what; prices in the list's currency."""
    worth = worth_of(basis)
    return {
        "batches": worth.batches,
        "hour": worth.hour,
        "hour_of_waiting": worth.waiting,
        "water_per_m3": worth.water,
        "ice_per_kg": worth.ice,
        "good_time_s": worth.good_time,
        "wound_before": worth.practised,
        "tie": worth.minute,
        "assumed": list(worth.assumed),
    }


def lifetime(life: Lifetime) -> dict[str, float]:
    """What one coil costs over its life; time : its waiting."""
    parts = {name: float(part) for name, part in life.parts.items()}
    return {"total": float(life.total), "time": parts.pop("waiting"), **parts}


def _conflicts(answer: Answer) -> list[dict[str, Any]]:
    """Every minimal conflicting set, with the relaxations that free one of its limits."""
    found = answer.conflicts
    assert found is not None
    steps = [
        {
            "limit": s.limit,
            "from": s.now,
            "to": s.to,
            "together_with": [o.limit for o in way.relaxation.steps if o.limit != s.limit],
            "design": design(way.design, answer.basis),
            "write": to_write(way.steps, answer.basis),
            "further": _further(way, s.limit, answer.basis),
        }
        for way in answer.opened
        for s in way.least or way.steps
    ]
    return [
        {"limits": list(names), "relax": [step for step in steps if step["limit"] in names]}
        for names in found.sets
    ]


def _further(way: OpenedDesign, limit: str, basis: DesignBasis) -> dict[str, Any] | None:
    """What a little larger step opens, where that is much better; instead : the smallest opens only a toy."""
    more = way.further
    if more is None:
        return None
    to = next(s.to for s in more.steps if s.limit == limit)
    written = to_write(more.steps, basis)
    return {"to": to, "instead": way.is_toy, "write": written, "design": design(more.design, basis)}


def design(d: Design, basis: DesignBasis) -> dict[str, Any]:
    """One design."""
    w = d.winding
    return {
        "rank": d.rank,
        "id": d.id,
        "origin": "enumerated",
        "stock_id": w.tube.stock_id,
        "form_id": w.form.form_id,
        "lagging": w.wraps,
        "riser_tool": w.tool.kind if w.tool.bender is None else w.tool.bender.bender_id,
        "layout": d.layout,
        "rolls": d.rolls,
        "valve_share": d.valve_share,
        "coil": {
            "material": w.tube.material,
            "outer_diameter_m": w.tube.outer_diameter,
            "wall_m": w.tube.wall,
            "mean_diameter_m": d.mean_diameter,
            "pitch_m": d.pitch,
            "turns": d.turns,
            "height_m": d.height,
            "wetted_length_m": d.wetted_length,
            "tube_length_m": d.tube_length,
            "offcut_m": d.offcut,
            "mass_kg": d.mass,
            "holds_water_m3": d.holds_water,
            "displaces_m3": d.displaces,
            "lowest_turn_height_m": d.lowest,
            "riser_length_in_m": d.riser_in,
            "riser_length_out_m": d.riser_out,
            "springback": d.springback,
        },
        "layers": _layers(d),
        "prediction": prediction(d.prediction),
        "cost": {
            "total": d.bill.total,
            "currency": basis.brewhouse.stock.currency,
            "items": [
                {"what": i.what, "quantity": i.quantity, "unit": i.unit, "price": i.price, "owned": i.owned}
                for i in d.bill.items
            ],
            "not_counted": [what for what, _ in words.not_counted(d.bill, basis)],
        },
        "difficulty": {"score": d.difficulty, "band": str(band(d.difficulty)), "reasons": list(d.reasons)},
        "limits": [vars(line) for line in d.limits],
        "warnings": of_design(d, basis),
        "score": d.score,
        "lifetime": lifetime(d.life),
        "near_variants": d.near_variants,
    }


def _layers(d: Design) -> list[dict[str, Any]]:
    """Both layers, the outer first; empty for one."""
    if d.inner is None:
        return []
    sizes = ((d.winding, d.mean_diameter), (d.inner, d.inner_diameter))
    return [
        {
            "form_id": w.form.form_id,
            "lagging": w.wraps,
            "mean_diameter_m": diameter,
            "pitch_m": d.pitch,
            "turns": d.turns,
        }
        for w, diameter in sizes
    ]


def likely(x: Likely | None) -> dict[str, Any]:
    """Tenths of what is likely, p50 what is most likely; null where not worked out or out of reach. Those of
    water and ice are over the draws that come to the target: a chill that never ends says nothing."""
    spans = {} if x is None else {"chill_time_{}_s": x.time, "water_{}_m3": x.water, "ice_{}_kg": x.ice}
    names = ("chill_time_{}_s", "water_{}_m3", "ice_{}_kg")
    tenths = {
        name.format(p): None if name not in spans else getattr(spans[name], p)
        for name in names
        for p in ("p10", "p50", "p90")
    }
    return tenths | {"deadline_probability": None if x is None else x.in_time}


def prediction(p: Prediction) -> dict[str, Any]:
    """The chill of one design, with its likely ranges."""
    return {
        "chill_time_s": p.chill_time,
        "chill_time_left_alone_s": p.left_alone,
        "chill_time_steady_s": p.steady,
        "chill_time_marched_s": p.marched_time,
        **likely(p.likely),
        "water_m3": p.water,
        "ice_kg": p.ice,
        "dirt_costs_s": p.dirt,
        "last_degrees": None
        if p.earlier is None
        else {
            "stop_at_K": p.earlier.at,
            "chill_time_s": p.earlier.time,
            "chill_time_p50_s": p.earlier.likely,
        },
        "top_K": p.top,
        "top_left_alone_K": p.top_left_alone,
        "switch": None
        if p.switch is None
        else {"at_K": p.switch.at, "low_K": p.switch.low, "high_K": p.switch.high},
        "cold_season": None if p.winter is None else {"chill_time_s": p.winter[0], "water_m3": p.winter[1]},
        "more_ice": None
        if p.more_ice is None
        else {"stage": p.more_ice.stage, "more_kg": p.more_ice.ice, "chill_time_s": p.more_ice.time},
        "stages": [
            {
                "stage": line.number,
                "time_s": line.time if line.done else None,
                "wort_K": line.until,
                "water_m3": line.water if line.done else None,
                "bath_K": line.bath if line.done else None,
                "ice_melted_kg": line.ice if line.done else None,
                "ice_missing_kg": line.missing if line.done else None,
                "below_target_after_s": line.passed,
            }
            for line in p.stages
        ],
        "flow_m3_s": p.flow,
        "pressure_drop_pa": p.pressure_drop,
        "outlet_start_K": p.outlet_start,
        "U_start_W_m2K": p.U_start,
        "U_end_W_m2K": p.U_end,
        "limit_time_s": p.limit_time,
        "limit_water_m3": p.limit_water,
    }


def predict(rating: Rating, inputs: Inputs, plan: WorkPlan) -> dict[str, Any]:
    """The prediction of one coil, as documented for other tools."""
    coil, energy, found = rating.coil, rating.energy, stops(plan)
    return {
        **HEAD,
        "brewhouse": inputs.brewhouse.name,
        "coil": {
            "material": coil.material,
            "outer_diameter_m": coil.outer_diameter,
            "wall_m": coil.wall,
            "mean_diameter_m": coil.mean_diameter,
            "pitch_m": coil.pitch,
            "turns": coil.turns,
            "layout": coil.layout,
            "height_m": coil.height,
            "lowest_turn_height_m": coil.lowest_turn_height,
            "wetted_length_m": rating.wetted_length,
            "tube_length_m": rating.tube_length,
            "wet_share": rating.wet_share,
            "stock_id": coil.stock_id,
            "form_id": coil.form_id,
            "layers": [vars(layer) for layer in coil.layers] if len(coil.layers) > 1 else [],
        },
        "prediction": prediction(rating.prediction),
        "closest_K": rating.closest,
        "closest_after_s": rating.closest_after,
        "end_K": rating.end,
        "scalding_water_m3": rating.scalding,
        "ways_out": [{**vars(way), "precooler": _precooler(way)} for way in rating.warm_tap_remedies],
        "curve": curve(rating.curve),
        "energy": {
            "wort_J": energy.wort,
            "metal_J": energy.metal,
            "coolant_J": energy.coolant,
            "ambient_J": energy.ambient,
            "closure": energy.closure,
        },
        "check": {
            "solve_ivp_time_s": rating.prediction.marched_time,
            "difference": rating.prediction.difference,
        },
        "limits": [vars(line) for line in rating.limits],
        "validity": [{**vars(u), "inside": u.inside} for u in rating.uses],
        "buildable": not found,
        "stops": found,
        "warnings": [*of_coil(plan, rating), *inputs.warnings],
        "assumptions": list(inputs.notes),
        "sources": list(SOURCES),
    }


def curve(c: CoolDownCurve) -> dict[str, list[Any]]:
    """The cool-down, a list for every column."""
    return {
        "time_s": c.time.tolist(),
        "wort_K": c.wort.tolist(),
        "outlet_K": c.outlet.tolist(),
        "source_K": c.source.tolist(),
        "flow_m3_s": c.flow.tolist(),
        "stage": c.stage.astype(int).tolist(),
        "top_K": c.top.tolist(),
    }
