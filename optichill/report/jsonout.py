"""JSON for other programs: SI, the suffix says the unit, unknown is null, same input gives the same bytes."""

from __future__ import annotations

import json
import math
from typing import Any

from optichill.errors import printable
from optichill.fabrication.work_plan import WorkPlan
from optichill.files.ownership import HEAD
from optichill.files.reading import Inputs
from optichill.model.coil import CoilLayer
from optichill.problem.basis import DesignBasis
from optichill.problem.worth import worth_of
from optichill.rating.coil_rating import CoolDownCurve, Rating
from optichill.report import longer_roll
from optichill.report.advice import advice, precooler
from optichill.report.calibrated import in_use
from optichill.report.choice import a_little_more_text, flips_text
from optichill.report.design_json import design, prediction
from optichill.report.measure import measure_json, regret_json
from optichill.report.searched import left_out_json, sample_json
from optichill.report.sheet.refusal import stops
from optichill.report.to_write import to_write, way_to_write
from optichill.report.warnings import of_coil, of_design
from optichill.search.answer import Answer
from optichill.search.designs import Design
from optichill.search.ranking import Levels
from optichill.search.ways_out import OpenedDesign

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
        "calibrated": in_use(brewhouse, answer.basis.calibration),
        "designs": [
            design(d, answer.basis) | _place(d, answer) | regret_json(r)
            for d, r in zip(answer.designs, answer.regrets, strict=True)
        ],
        **_choice(answer),
        "measure": measure_json(answer),
        "search": {
            "engine": "enumeration",
            "enumerated": answer.enumerated,
            "buildable": answer.buildable,
            "excluded": answer.excluded,
            "feasible": answer.feasible,
            "front": answer.front,
            "sample": sample_json(answer.sample),
            "left_out": left_out_json(answer.left_out),
        },
        "advice": advice(answer),
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
        "a_little_more": [
            {**vars(more.step), "saves": more.saves, "text": text, "id": more.then.id}
            for more, text in zip(answer.a_little_more, a_little_more_text(answer, None), strict=True)
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


def _ranking(answer: Answer) -> dict[str, Any] | None:
    if not answer.designs:
        return None
    return {
        "method": _METHODS[answer.levels is not None],
        **_levels(answer.levels),
        "worth": worth_json(answer.basis),
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


def worth_json(basis: DesignBasis) -> dict[str, Any]:
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
            "write": to_write(way.asked, answer.basis),
            "further": _further(way, s.limit, answer.basis),
            "longer_roll": longer_roll.document(longer_roll.longer_roll(way.design, way.steps, answer.basis)),
        }
        for way in answer.opened
        for s in way.least or way.steps
    ]
    return [
        {"limits": list(names), "relax": [step for step in steps if step["limit"] in names]}
        for names in found.sets
    ]


def _further(way: OpenedDesign, limit: str, basis: DesignBasis) -> dict[str, Any] | None:
    """What a little larger step opens, where that is much better; instead : nobody stops before."""
    more = way.further
    if more is None:
        return None
    to = next(s.to for s in more.steps if s.limit == limit)
    written = to_write(more.steps, basis)
    return {
        "to": to,
        "instead": way.is_passed,
        "write": written,
        "design": design(more.design, basis),
        "further": _further(more, limit, basis),
    }


def _layer(layer: CoilLayer, stock_id: str | None) -> dict[str, Any]:
    """A layer as it is, however it was measured; stock_id : of its roll."""
    sizes = {"mean_diameter": layer.mean_diameter, "pitch": layer.pitch, "turns": layer.turns}
    return {**sizes, "stock_id": stock_id, "form_id": layer.form_id}


def predict(rating: Rating, inputs: Inputs, plan: WorkPlan) -> dict[str, Any]:
    """The prediction of one coil, as documented for other tools."""
    coil, energy, found = rating.coil, rating.energy, stops(plan)
    layers = zip(coil.layers, coil.stock_ids, strict=True)
    return {
        **HEAD,
        "brewhouse": inputs.brewhouse.name,
        "calibrated": in_use(inputs.brewhouse, inputs.calibration, coil),
        "coil": {
            "id": plan.coil_id,
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
            "layers": [_layer(*one) for one in layers] if len(coil.layers) > 1 else [],
        },
        "prediction": prediction(rating.prediction),
        "closest_K": rating.closest,
        "closest_after_s": rating.closest_after,
        "end_K": rating.end,
        "scalding_water_m3": rating.scalding,
        "ways_out": [
            {
                **{
                    key: value for key, value in vars(way).items() if key != "missed"
                },  # asked by a search alone
                "precooler": precooler(way),
                "write": way_to_write(way, plan.basis),
            }
            for way in rating.warm_tap_remedies
        ],
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
