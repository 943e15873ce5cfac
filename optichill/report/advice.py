"""Advice for other programs: what the screen says, with its kind, what would change and what that gains."""

from __future__ import annotations

from typing import Any

from optichill.model.stirring import Stirring
from optichill.rating.remedies import Remedy
from optichill.report.choice import habit_text, ladder_text, less_ice_text, role_text
from optichill.report.design_json import design
from optichill.report.form_advice import form_advice
from optichill.report.measure import measure, regret
from optichill.report.no_fit import (
    also_allow,
    done_text,
    instead_text,
    misfits,
    other_order,
    stirring,
    stirring_too,
    too_short,
    ways_text,
)
from optichill.report.reasons import because
from optichill.report.to_write import done_to_write, way_to_write
from optichill.report.words import build_words
from optichill.search.answer import Answer
from optichill.search.done_otherwise import DoneOtherwise
from optichill.search.instead import Instead


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


def advice(answer: Answer) -> list[dict[str, Any]]:
    """Every piece of advice: its kind and text, what would change, and what that gains."""
    brewhouse = answer.basis.brewhouse
    told: list[dict[str, Any]] = [
        {"kind": kind, "text": text, "change": None, "gain": None}
        for kind, texts in (_said(answer) if answer.designs else ())
        for text in texts
    ]
    if answer.stirred is not None:
        mixing = brewhouse.wort.mixing
        steady = mixing.table | {"seconds_a_minute": 60.0} if isinstance(mixing, Stirring) else "steady"
        change = {"mixing": steady, "chill_time_s": answer.stirred.prediction.steady}
        told.append(
            {"kind": "habit", "text": f"keep stirring: {stirring(answer)}", "change": change, "gain": None}
        )
    for text in stirring_too(answer):
        told.append({"kind": "habit", "text": text, "change": None, "gain": None})
    if answer.form_advice is not None:
        form = {"form_id": answer.form_advice.form_id, "to_m": answer.form_advice.diameter}
        gain = {"chill_time_s": answer.form_advice.time, "lifetime_cost": answer.form_advice.money}
        told.append({"kind": "form", "text": form_advice(answer)[0], "change": form, "gain": gain})
    for step, text in misfits(answer):
        change = {"limit": step.limit, "bound": step.now, "short_by": abs(step.now - step.to)}
        told.append({"kind": "does not fit", "text": text, "change": change, "gain": None})
    for text in too_short(answer):
        change = {"limit": "chill_time", "bound": brewhouse.limits.chill_time, "least_s": answer.shortest}
        told.append({"kind": "impossible", "text": text, "change": change, "gain": None})
    for text in other_order(answer):
        assert answer.ice_behind is not None
        order = way_out(answer.ice_behind) | {"least_s": answer.ice_behind.least}
        told.append({"kind": "another order", "text": text, "change": order, "gain": None})
    for other in answer.instead:
        told.append(_instead(other))
    told += [_done_otherwise(way) for way in answer.done_otherwise]
    if answer.quickest is not None:
        built = {"design": design(answer.quickest, answer.basis)}
        text = build_words.short(answer.quickest, brewhouse.units)
        told.append({"kind": "quickest coil", "text": text, "change": built, "gain": None})
    for way in answer.warm_tap_remedies:
        text = "; ".join([ways_text(way, brewhouse.units), *also_allow(way, answer.basis)])
        written = way_out(way) | {"write": way_to_write(way, answer.basis)}
        told.append({"kind": f"too warm: {way.kind}", "text": text, "change": written, "gain": None})
    return told


def way_out(way: Remedy) -> dict[str, Any]:
    """Another way to cool, in figures, SI."""
    return {
        "end_K": way.temperature,
        "chill_time_s": way.time,
        "ice_kg": way.ice,
        "until_K": way.change,
        "water_m3": way.water,
        "pump": way.pump,
        "vessel_m3": way.filled,
        "precooler": precooler(way),
    }


def precooler(way: Remedy) -> dict[str, Any] | None:
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


def _done_otherwise(way: DoneOtherwise) -> dict[str, Any]:
    """What opens a design with no limit moved."""
    lines = [{"table": table, "line": line} for table, line in done_to_write(way)]
    change = {"way": way.kind, "write": lines, "design": design(way.design, way.basis)}
    return {"kind": "done otherwise", "text": "; ".join(done_text(way)), "change": change, "gain": None}
