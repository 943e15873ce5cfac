"""A coil for several kettles, or with regard for the next one, for other programs: the document of
`recommend` with what is told of each coil elsewhere; SI, the suffix says the unit, null where unknown."""

from __future__ import annotations

from typing import Any

from optichill.files.ownership import HEAD
from optichill.files.reading import Inputs, shown
from optichill.problem.basis import DesignBasis
from optichill.report.calibrated_elsewhere import documents
from optichill.report.design_json import design, prediction
from optichill.report.jsonout import SOURCES
from optichill.report.searched import sample_json
from optichill.report.several import next_kettle
from optichill.report.several import screen as several
from optichill.report.warnings import of_design
from optichill.search.designs import Design
from optichill.search.next_kettle import Regard
from optichill.search.shared import ForAll, There


def for_all(found: ForAll, inputs: Inputs) -> dict[str, Any]:
    """One coil for all of the kettles."""
    first, best = found.kettles[0], found.coils[0] if found.coils else None
    tied = [c.design.id for c in found.coils[1:] if best and c.total - best.total <= found.tie]
    made = [
        _design(c.design, first, tied if c is best else [])
        | {"elsewhere": [_there(there) for there in c.there], "in_all": c.total}
        for c in found.coils
    ]
    return _document(found, made, inputs) | {
        "regard": None,
        "alone": [
            {
                **_kettle(alone.basis),
                "design": None if alone.design is None else design(alone.design, alone.basis),
                "elsewhere": [
                    {**_kettle(other), "limits": [vars(line) for line in lines]}
                    for other, lines in zip(
                        [k for k in found.kettles if k is not alone.basis], alone.breaks, strict=False
                    )
                ],
            }
            for alone in found.alone
        ],
    }


def with_regard(found: Regard, inputs: Inputs) -> dict[str, Any]:
    """Today's coil with regard for the next kettle."""
    first, best = found.kettles[0], found.coils[0]
    made = [
        _design(c.design, first, [])
        | {
            "elsewhere": [
                _there(c.there)
                | {
                    "kept": c.kept,
                    "text": next_kettle.fate(c, found),
                    "under_the_wort_m": c.there.design.submergence,
                    "under_the_wort_wished_m": found.wished,
                }
            ],
            "in_all": c.total,
        }
        for c in found.coils
    ]
    return _document(found, made, inputs) | {
        "regard": {
            "without": found.plain.design.id,
            "same_coil": best.is_built_as(found.plain),
            "costs_now": best.today - found.plain.today,
            "saves_later": found.plain.later - best.later,
            "replacement": None if found.replacement is None else found.replacement.id,
            "replaced_for": None if found.replacement is None else found.plain.replaced_for,
            "text": " ".join(next_kettle.regard_text(found)),
        },
        "alone": [],
    }


def _document(found: ForAll | Regard, made: list[dict[str, Any]], inputs: Inputs) -> dict[str, Any]:
    """What both have in common, as documented for `recommend`."""
    house = found.kettles[0].brewhouse
    return {
        **HEAD,
        "brewhouse": house.name,
        "demo": house.demo,
        "calibrated": documents(found.kettles)[0],
        "kettles": [_kettle(basis) for basis in found.kettles],
        "designs": made,
        "measure": [],
        "search": {
            "engine": "enumeration",
            "enumerated": found.raw,
            "feasible": found.weighed,
            "front": len(made),
            "sample": sample_json(found.sample),
        },
        "advice": [],
        "conflicts": [],
        "ranking": {"method": "money over the coil's life in all kettles", "levels": None, "tie": found.tie},
        "warnings": list(inputs.warnings),
        "assumptions": list(inputs.notes),
        "sources": list(SOURCES),
    }


def _kettle(basis: DesignBasis) -> dict[str, Any]:
    """Which brewhouse it is."""
    path = basis.brewhouse.path
    return {
        "brewhouse": basis.brewhouse.name,
        "file": None if path is None else shown(path),
        "calibrated": documents((basis,))[0],
    }


def _design(d: Design, basis: DesignBasis, tied: list[str]) -> dict[str, Any]:
    unknown = dict.fromkeys(("expected_regret", "regret_p90", "chance_best"))
    return design(d, basis) | {"roles": [], "tied_with": tied, **unknown}


def _there(there: There) -> dict[str, Any]:
    """A coil in another kettle."""
    d = there.design
    return {
        **_kettle(there.basis),
        "serves": there.serves,
        **prediction(d.prediction),
        "limits": [vars(line) for line in d.limits],
        "running": there.running,
        "lowest_turn_height_m": d.lowest,
        "valve_share": d.valve_share,
        "coil_file": several.written(d, there.basis),
        "warnings": of_design(d, there.basis),
    }
