"""What becomes of a coil, for other programs and for the page to compare on."""

from __future__ import annotations

from typing import Any

from optichill.display import show
from optichill.fabrication.work_plan import plan_work
from optichill.files.ownership import HEAD
from optichill.files.reading import Inputs
from optichill.model.coil import Coil
from optichill.money import money, seen
from optichill.owned.new_kettle.option import LeftOut, Option
from optichill.problem.basis import DesignBasis
from optichill.rating.coil_rating import QuickRating
from optichill.report import ranges
from optichill.report.calibrated_elsewhere import documents
from optichill.report.design_json import lifetime, prediction
from optichill.report.jsonout import SOURCES
from optichill.report.new_kettle import stirring
from optichill.report.new_kettle.reasons import left_out, not_these, not_worth
from optichill.report.new_kettle.steps import how, sell
from optichill.report.new_kettle.told import Told
from optichill.report.new_kettle.words import (
    do_this,
    option_left_out,
    reused,
    title,
    to_buy,
    why,
    work,
)
from optichill.report.sheet.refusal import stops
from optichill.workshop.difficulty import band


def document(told: Told, old: Inputs, new: Inputs) -> dict[str, Any]:
    """The answer, in SI."""
    found = told.found
    calibrated_old, calibrated = documents((found.old, found.new), found.coil)
    return {
        **HEAD,
        "old": old.brewhouse.name,
        "new": new.brewhouse.name,
        "demo": old.brewhouse.demo or new.brewhouse.demo,
        "calibrated": calibrated,
        "calibrated_old": calibrated_old,
        "before": _rated(found.before, found.old, found.coil),
        "options": [_option(n, option, told) for n, option in enumerate(found.options, 1)],
        "left_out": [_left_out(out, told) for out in found.left_out],
        "stirred": stirring.document(told),
        "why": why(told) if found.options else None,
        "tie": found.tie,
        "sell": sell(told),
        "warnings": list(new.warnings),
        "sources": list(SOURCES),
    }


def _option(rank: int, option: Option, told: Told) -> dict[str, Any]:
    hard = option.work.difficulty
    return {
        "rank": rank,
        "name": option.name,
        "title": title(option, told),
        "advice": do_this(option, told),
        "steps": how(option, told),
        **_rated(option.rating, option.basis, option.coil),
        "cost": {
            "total": option.bill.total,
            "currency": told.currency,
            "items": [_item(item) for item in option.bill.items],
            "reused": [_item(item) for item in option.reused],
            "not_counted": option_left_out(option),
        },
        "work": {
            "hours": option.hours,
            "difficulty": None if hard is None else {"score": hard, "band": str(band(hard))},
        },
        "lifetime": lifetime(option.life),
        "tied_with_first": told.found.tied(option),
        "holds": option.holds,
        "broken": [vars(line) for line in option.broken],
        "near_top_m": option.near_top,
        "less_room": [vars(line) for line in option.less_room],
        "write": {"brewhouse": list(option.plan), "tubing": list(option.rows)},
    }


def _item(item: Any) -> dict[str, Any]:
    return {"what": item.what, "quantity": item.quantity, "unit": item.unit, "price": item.price}


def _rated(rating: QuickRating, basis: DesignBasis, coil: Coil) -> dict[str, Any]:
    """One coil in one kettle."""
    plan = plan_work(basis, coil)
    return {
        "coil": {
            "id": plan.coil_id,
            "material": coil.material,
            "outer_diameter_m": coil.outer_diameter,
            "wall_m": coil.wall,
            "layout": coil.layout,
            "stands": basis.brewhouse.kettle.coil_rests,
            "lowest_turn_height_m": coil.lowest_turn_height,
            "riser_length_in_m": coil.riser_length_in,
            "riser_length_out_m": coil.riser_length_out,
            "tube_length_m": rating.tube_length,
            "wetted_length_m": rating.wetted_length,
            "wet_share": rating.wet_share,
            "layers": [vars(layer) for layer in coil.layers],
        },
        "prediction": prediction(rating.prediction),
        "limits": [vars(line) for line in rating.limits],
        "stops": stops(plan),
    }


def _left_out(out: LeftOut, told: Told) -> dict[str, Any]:
    return {"name": out.name, "why": out.why, "of": out.of, "sizes": out.sizes, "text": left_out(out, told)}


def page_section(told: Told) -> dict[str, Any]:
    """Before and after, for the head of the page of the new kettle: text unescaped."""
    found, u = told.found, told.units
    rows = [[f"today, in {found.old.brewhouse.name}", *told.today(), "", "", "", ""]]
    for option in found.options:
        p = option.rating.prediction
        ice = f" + {show(option.sizes['ice'], 'mass', u)} ice" if option.plan else ""
        rows.append(
            [
                title(option, told)
                + ("" if option.holds else " (breaks a limit of yours)")
                + (" (less wort over it)" if option.brought_near else ""),
                ranges.minutes(p),
                show(p.told.water, "volume", u) + ice,
                to_buy(option, told),
                money(seen(float(option.life.total)), told.currency),
                work(option),
                reused(option, told),
            ]
        )
    lead = f"{do_this(found.options[0], told)}. {_sentence(why(told))}" if found.options else ""
    lead = " ".join([lead, *stirring.or_stir(told)])
    return {
        "title": f"Before and after: the coil of {found.old.brewhouse.name} in {found.new.brewhouse.name}",
        "lead": lead.strip(),
        "columns": ["what becomes of it", "minutes", "water", "to buy", "in all", "work", "reused"],
        "rows": rows,
        "left_out": [
            *(f"{text[0].upper()}{text[1:]}" for text in not_these(told)),
            *(f"Not worth it: {text}" for text in not_worth(told)),
        ],
    }


def _sentence(text: str) -> str:
    return f"{text[0].upper()}{text[1:]}." if text else ""
