"""What is not worth doing to a coil, each with its reason."""

from __future__ import annotations

from optichill.fabrication.work_plan import WorkPlan
from optichill.money import money, seen
from optichill.owned.improve.ranked import LEAST_GAIN, Found, Improvement
from optichill.problem.limits import LIMITS
from optichill.report.improve.effects import capital, effect, price
from optichill.report.improve.words import called
from optichill.report.lifetime import batches

NOTHING, NO_BETTER = "no difference you could see", "the best of your lists is no better"


def not_worth(found: Improvement, plan: WorkPlan) -> list[str]:
    """Those that do something a person could notice, and those that do not."""
    said = {called(f, plan): _why_not(f) for f in found.not_worth}
    if NO_BETTER in said.values():  # then it need not be named
        said = {"another coil" if why == NO_BETTER else what: why for what, why in said.items()}
    kinds = {f.change.kind for f in (*found.helps, *found.not_worth)}
    if "pull open" not in kinds:
        said["pulling it open"] = "no room for it under the wort"
    alike: dict[str, list[str]] = {}
    for what, why in said.items():
        alike.setdefault(why, []).append(what)
    told = [f"{capital(_listed(names))}: {why}" for why, names in alike.items() if why != NOTHING]
    return [*told, *(f"{capital(NOTHING)}: {_listed(names)}" for names in [alike.get(NOTHING)] if names)]


def _listed(names: list[str]) -> str:
    """Names behind each other; where one has a comma of its own, no comma parts them."""
    return ("; " if any(", " in name for name in names) else ", ").join(names)


def _why_not(f: Found) -> str:
    """Nothing to be seen; or what it does, and why it does not pay."""
    now, then = f.now, f.then
    if then.told.time is None or now.told.time is None or not now.goes_in:
        return effect(f)
    if f.change.kind == "another coil" and not f.quicker and not f.spares:
        return NO_BETTER
    less_water = f.water is not None and now.told.water and abs(f.water) >= 0.1 * now.told.water
    if not f.quicker and abs(f.seconds or 0.0) < LEAST_GAIN and not less_water and not f.wears_out:
        return NOTHING
    costs = "" if f.costs == 0.0 else f", {price(f)}"
    why = reason_against(f)
    return f"{effect(f)}{costs}{f', {why}' if why else ''}"


def reason_against(f: Found) -> str:
    """Why a change is not worth doing, beside what it does; empty where that says it already."""
    now, worth, currency = f.now, f.now.worth, f.now.inputs.brewhouse.stock.currency
    if f.breaks:
        return f"and breaks a limit: {LIMITS[sorted(f.breaks)[0]].words}"
    if f.wears_out:
        lasting = [LIMITS[name].lasts for name in f.wears_out]
        return f"but {' and '.join(lasting)} in fewer than half of all batches"
    slower, spared = (f.seconds or 0.0) < 0.0, (f.water or 0.0) > 0.0 or f.then.told.ice < now.told.ice
    if slower and "chill_time" in now.broken:
        return "and it takes too long already"
    amount = money(seen(abs(f.net)), currency)
    if f.change.kind == "more ice" and not slower and f.net <= 0.0:
        return "which is worth less than its ice"
    if f.net < 0.0 and f.costs > 0.0 and seen(abs(f.net)) >= 1.0:
        return f"{amount} more than it saves over {batches(worth)}"
    if slower and spared and f.net < 0.0:
        return "which is worth less than the wait"
    if slower and spared and now.worth.minute > f.net >= 0.0:
        return f"which saves too little to be seen over {batches(worth)}"
    return ""
