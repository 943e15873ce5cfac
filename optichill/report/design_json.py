"""Coils and their chills for other programs: SI, the suffix says the unit."""

from __future__ import annotations

from typing import Any

from optichill.problem.basis import DesignBasis
from optichill.problem.limits import LIMITS
from optichill.rating.prediction import Likely, Prediction
from optichill.report.left_out import not_counted
from optichill.report.warnings import of_design
from optichill.search.designs import Design
from optichill.workshop.difficulty import band
from optichill.workshop.lifetime import Lifetime


def lifetime(life: Lifetime) -> dict[str, float]:
    """What one coil costs over its life; time : its waiting."""
    parts = {name: float(part) for name, part in life.parts.items()}
    return {"total": float(life.total), "time": parts.pop("waiting"), **parts}


def design(d: Design, basis: DesignBasis) -> dict[str, Any]:
    """One design as the documents tell it, in SI."""
    w = d.winding
    return {
        "rank": d.rank,
        "id": d.id,
        "origin": d.origin,
        "stock_id": w.tube.stock_id,
        "form_id": w.form.form_id,
        "forms_to_make_m": list(d.to_make),
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
            "not_counted": [what for what, _ in not_counted(d.bill, basis)],
        },
        "difficulty": {
            "score": d.difficulty,
            "band": str(band(d.difficulty)),
            "reasons": list(d.reasons),
            "terms": dict(d.hard_terms),
        },
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
    sizes = zip((d.winding, d.inner), (d.mean_diameter, d.inner_diameter), d.layers, d.cut_from, strict=True)
    return [
        {
            "stock_id": roll.stock_id,
            "form_id": w.form.form_id,
            "lagging": w.wraps,
            "mean_diameter_m": diameter,
            "pitch_m": pitch,
            "turns": turns,
        }
        for w, diameter, (turns, pitch), roll in sizes
    ]


HELD = tuple(name for name, limit in LIMITS.items() if limit.drawn)
"""Limits with a chance of their own, beside the time's."""


def likely(x: Likely | None) -> dict[str, Any]:
    """Tenths of what is likely, p50 what is most likely, and the chance to keep each limit; null where not
    worked out, out of reach or without a limit. All but those of time are over the draws that come to the
    target: a chill that never ends says nothing."""
    spans = {} if x is None else {"chill_time_{}_s": x.time, "water_{}_m3": x.water, "ice_{}_kg": x.ice}
    names = ("chill_time_{}_s", "water_{}_m3", "ice_{}_kg")
    tenths = {
        name.format(p): None if name not in spans else getattr(spans[name], p)
        for name in names
        for p in ("p10", "p50", "p90")
    }
    held = {f"{name}_probability": None if x is None else x.held.get(name) for name in HELD}
    return tenths | {"deadline_probability": None if x is None else x.in_time} | held


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
