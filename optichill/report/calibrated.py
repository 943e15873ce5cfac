"""That a calibration is in use, wherever an answer rests on one: what was learnt, and what of it does not
count here."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from optichill.errors import shown as written
from optichill.files.calibration_file import calibration_of
from optichill.files.reading import shown
from optichill.model.brewhouse import Brewhouse
from optichill.model.calibration import TANK, Calibration
from optichill.model.coil import Coil
from optichill.problem.uncertain import prior_names
from optichill.report.paper import entry

QUANTITIES = {
    "still": "film of still wort",
    "phi": "what touching turns take away",
    "moving": "film of moving wort",
    "inner": "film inside the tube",
    "friction": "friction in the tube",
    "fouling": "dirt on the tube",
    "exchange": "mixing with wort above the coil",
    "loss": "the kettle's own loss",
    "speed": "how fast your stirring moves the wort",
    "share": "how much of the time you stir",
    "ice": "what the ice lets in",
    "pressure": "pressure of the supply",
    "open_flow": "flow of the hose",
    "mass": "wort in the kettle",
    "tap": "temperature of the tap",
    TANK: "your kettle as a whole",
    "own": "this coil as a whole",
    "day": "how you stirred that day, against your usual",
}
"""Everything uncertain, in a few plain words."""

DOUBTED = {
    "coil": "times far from this coil's",
    "volume": "cools as another volume would",
    "brim": "cools as more wort than the kettle holds would",
    "loss": "asks for a kettle that loses otherwise",
    "misses": "has the shape of no chill by the plan",
    "units": "its unit of temperature",
    "place": "where its thermometer hung",
    "swapped": "its columns",
    "flow": "its flow as it was read",
    "energy": "heat in and heat out disagree",
}
"""What of a batch did not match, in a few words; of batches that contradict each other more is said."""

SPEED = ("speed", "share")
SUPPLY = ("pressure", "open_flow", "tap")


def in_use(
    brewhouse: Brewhouse, calibration: Calibration | None, coil: Coil | None = None
) -> dict[str, Any] | bool:
    """The calibration as documents name it: file, batches, what is learnt and counts here, and what was
    learnt and does not; the name of a coil that was measured. False without one."""
    if calibration is None:
        return False
    counts = _counts(brewhouse, calibration)
    return {
        "file": _file(brewhouse),
        "batches": len(calibration.batches),
        "learnt": [name for name in calibration.learnt() if counts[name]],
        "doubts": [{"log": b.log, "kind": kind} for b in calibration.batches for kind in b.doubts],
        "left_out": [name for name in counts if not counts[name]],
        **({} if coil is None else {"coil": calibration.measured(coil)}),
    }


def _file(brewhouse: Brewhouse) -> str | None:
    return None if brewhouse.path is None else shown(calibration_of(brewhouse.path))


def _counts(brewhouse: Brewhouse, calibration: Calibration) -> dict[str, bool]:
    """Of everything that may have been learnt, whether it holds for this brewhouse as it is stated now."""
    now, kettle = prior_names(brewhouse, brewhouse.wort.moves), brewhouse.kettle
    same = calibration.same_kettle(kettle.inside_diameter, kettle.inside_height)
    return {name: now.get(name) == then for name, then in calibration.priors.items()} | {TANK: same}


def knows_stirring(brewhouse: Brewhouse, calibration: Calibration | None) -> bool:
    """Whether batches taught how this wort is stirred."""
    if calibration is None:
        return False
    counts = _counts(brewhouse, calibration)
    return any(name in SPEED and counts[name] for name in calibration.learnt())


def sentences(brewhouse: Brewhouse, calibration: Calibration | None) -> list[str]:
    """By what it is calibrated and what was learnt; then what of it does not count here, with the reason."""
    if calibration is None:
        return []
    counts, learnt = _counts(brewhouse, calibration), calibration.learnt()
    path = brewhouse.path
    named = f" ({calibration_of(path).name})" if path is not None else ""
    here = [QUANTITIES[name] for name in learnt if counts[name]]
    taught = f"learnt: {', '.join(here)}" if here else "times lean on it, no single cause is told apart"
    batches = f"{len(calibration.batches)} batch{'es' if len(calibration.batches) != 1 else ''}"
    return [
        f"by {batches}{named}; {taught}",
        *_doubted(calibration),
        *_of_another(brewhouse, calibration),
        *_left_out(counts, learnt),
    ]


def _doubted(calibration: Calibration) -> list[str]:
    """That batches contradict each other, and what else of them did not match when they were fitted."""
    apart = [written(b.log, 40) for b in calibration.batches if "day" in b.doubts]
    said = [f"{' and '.join(apart)} contradict each other: ranges are as wide as both"] if apart else []
    kinds = {
        written(b.log, 40): ", ".join(DOUBTED[kind] for kind in b.doubts if kind in DOUBTED)
        for b in calibration.batches
    }
    found = [f"{log} ({why})" for log, why in kinds.items() if why]
    more = f" and {len(found) - 2} more" if len(found) > 2 else ""
    if found:
        said.append(f"a doubt stands about {', '.join(found[:2])}{more}: calibration.html says what to do")
    return said


def _of_another(brewhouse: Brewhouse, calibration: Calibration) -> list[str]:
    """That the batches were measured in a brewhouse of another name: the file may be a copied one."""
    if calibration.brewhouse in ("", brewhouse.name):
        return []
    return [
        f"it was measured in {written(calibration.brewhouse)}, this is {written(brewhouse.name)}: where "
        "these are not cooled from one tap and stirred alike, move the file away"
    ]


def _left_out(counts: dict[str, bool], learnt: Sequence[str]) -> list[str]:
    """What was measured under other circumstances, and so does not count here."""
    said = []
    if not counts[TANK]:
        said.append(
            "this kettle is of another size than the measured one: what that had of its own is left out"
        )
    for what, names in (
        ("the wort is stirred otherwise than when it was measured", SPEED),
        ("there is more or less dirt than when it was measured", ("fouling",)),
    ):
        if not all(counts.get(name, True) for name in names):
            unsure = ", and how fast it moves is as unsure as before any batch" if names is SPEED else ""
            said.append(f"{what}: {_unused(names, counts, learnt)}{unsure}")
    for name in SUPPLY:
        if not counts.get(name, True):
            unused = _unused((name,), counts, learnt)
            said.append(f"{QUANTITIES[name]}: known in another way than when it was measured: {unused}")
    return said


def _unused(names: Sequence[str], counts: dict[str, bool], learnt: Sequence[str]) -> str:
    """What does not count, by whether anything was learnt of it at all."""
    gone = [QUANTITIES[name] for name in names if name in learnt and not counts[name]]
    if gone:
        return f"what was learnt of it ({', '.join(gone)}) is not used, all else is"
    return "nothing was learnt of that for itself, so all that was learnt counts"


def of_coil(calibration: Calibration | None, coil: Coil) -> list[str]:
    """That a coil is one that was measured, where it is."""
    known = None if calibration is None else calibration.measured(coil)
    return [] if known is None else [f"it is the one that was measured ({known}): what is its own counts"]


def lines(brewhouse: Brewhouse, calibration: Calibration | None) -> list[str]:
    """CALIBRATED, for a screen; nothing without one."""
    return entry("CALIBRATED", *sentences(brewhouse, calibration))


def sentence(brewhouse: Brewhouse, calibration: Calibration | None) -> str:
    """The same in one line for a page; "" without one."""
    said = sentences(brewhouse, calibration)
    return f"Calibrated {'; '.join(said)}." if said else ""
