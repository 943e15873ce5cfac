"""What one change does, how surely, what it takes and costs, as a person hears it."""

from __future__ import annotations

from optichill.display import show
from optichill.money import money, seen
from optichill.owned.improve.ranked import GIVES_UP, LEAST_SPARED, Found
from optichill.owned.improve.seen import Seen
from optichill.problem.limits import LIMITS
from optichill.report import ranges
from optichill.report.improve.words import not_all_priced, takes_up_a_paddle
from optichill.report.lifetime import batches
from optichill.report.otherwise import about
from optichill.report.warnings import hose_too_cool

SURE = 0.995
"""Share of all draws from which on nothing is said of the others."""


def target_said(seen: Seen) -> str:
    return show(seen.basis.scenario.T_target, "temperature", seen.inputs.brewhouse.units)


def numbered(f: Found) -> str:
    """The changes that one is made of, by their numbers."""
    numbers = [str(n + 1) for n in f.parts]
    return f"{', '.join(numbers[:-1])} and {numbers[-1]}"


def limits_said(names: list[str], now: Seen) -> str:
    """Limits of the brewer in words, with "is" or "are"."""
    limits, u, said = now.inputs.brewhouse.limits, now.inputs.brewhouse.units, []
    for name in names:
        if name == "chill_time":
            said.append(f"your {show(limits.chill_time, 'minutes')}")
        elif name == "water":
            said.append(f"your {show(limits.water, 'exact_volume', u)} of water")
        else:  # the target
            said.append(show(now.basis.scenario.T_target, "temperature", u))
    one = len(said) == 1 and not said[0].startswith("your")
    return f"{' and '.join(said)} {'is' if one else 'are'}"


HALF_MINUTE = 30.0
"""What the same figure in whole minutes may hide [s]."""


def hot_outlet(f: Found) -> list[str]:
    """That water leaves hotter than its hose is known to stand, where it does only then, or hotter than
    now."""
    now, then = f.now.outlet, f.then.outlet
    hotter = then >= now + HOTTER or not hose_too_cool(now, f.now.basis)
    return hose_too_cool(then, f.then.basis) if hotter else []


HOTTER = 0.5
"""By so much hotter than now, water is told to be so [K]."""


def capital(text: str) -> str:
    return f"{text[0].upper()}{text[1:]}"


def effect(f: Found) -> str:
    """Time, water and ice, as far as they differ."""
    now, then, u = f.now, f.then, f.now.inputs.brewhouse.units
    if then.told.time is None:
        return "the target is not reached either" if now.told.time is None else "the target is not reached"
    if not now.goes_in:
        if not then.goes_in:
            return "its turns would hit it as before" if now.in_the_turns else "it does not go in either"
        clear = "its turns clear it, and the chill" if lifted(f) else "it goes in, and"
        return f"{clear} takes {about(then.told.time)}"
    if now.told.time is None:
        used = "" if not then.told.water else f", {show(then.told.water, 'volume', u)} of water"
        return f"reached in {about(then.told.time)}{used}"
    told = ["its ends come out of the kettle", _time(f)] if f.brings_out else [_time(f)]
    if f.water is not None and now.told.water and abs(f.water) >= LEAST_SPARED * now.told.water:
        told.append(f"{show(abs(f.water), 'volume', u)} {_less(f.water)} water")
    ice = now.told.ice - then.told.ice
    if abs(ice) >= max(LEAST_SPARED * now.told.ice, 0.1):
        told.append(
            f"{show(then.told.ice, 'mass', u)} of ice melt instead of {show(now.told.ice, 'mass', u)}"
        )
    return ", ".join(told)


def lifted(f: Found) -> bool:
    """Whether it is set above what its turns would hit."""
    return bool(f.now.in_the_turns) and f.change.kind == "stand"


def _less(gain: float) -> str:
    return "less" if gain > 0.0 else "more"


def _time(f: Found) -> str:
    """The time, as a difference where there is one that a person notices."""
    then, now = about(f.then.told.time), about(f.now.told.time)
    if abs(f.seconds or 0.0) < HALF_MINUTE or then == now:
        return f"{then} as now"
    return f"{then} instead of {now.removesuffix(' min')}"


def takes(f: Found) -> str:
    """How sure it is, what it costs, and what it saves over the coil's life."""
    worth, currency = f.now.worth, f.now.inputs.brewhouse.stock.currency
    sure = _surely(f) if f.sure >= SURE else f"in {ranges.batches(f.sure)}"
    if not f.now.goes_in:
        return price(f)
    told = [sure, price(f)] if f.quicker or not f.brings_out else [price(f)]
    if f.change.kind in GIVES_UP:
        told[-1] = "for nothing, but the last degrees are left to do"
    else:
        amount = f"about {money(seen(abs(f.saves)), currency)} over {batches(worth)}"
        told += [f"saves {amount}"] if f.saves >= 0.0 else []
        told += _left(f) + _here_because(f, amount)
    told += [f"breaks a limit: {LIMITS[name].words}" for name in sorted(f.breaks - {"chill_time"})]
    told += seldom_in_time(f)
    return ", ".join([*told, *bears_less(f)])


def _surely(f: Found) -> str:
    """Of what it surely gains: where something else is less sure then, what that is."""
    return "surely quicker" if f.quicker and bears_less(f) else "surely"


def seldom_in_time(f: Found) -> list[str]:
    """How often the time is kept, by what reaches the target and keeps it too seldom."""
    asked, often = f.now.inputs.brewhouse.limits.chill_time, f.then.likely.in_time
    if "chill_time" not in f.breaks or asked is None or often is None:
        return []
    return [f"your {show(asked, 'minutes')} are kept in {ranges.batches(often)}"]


def _left(f: Found) -> list[str]:
    """What is left of the savings once all that it costs is taken off, where that is another figure."""
    if f.saves < 0.0 or seen(f.net) == seen(f.saves):
        return []
    if f.net <= 0.0:
        return []
    return [f"{money(seen(f.net), f.now.inputs.brewhouse.stock.currency)} of it after its costs"]


def why_here(f: Found) -> str:
    """Why something that does not pay is told all the same; empty where it pays."""
    if f.net > 0.0 or f.costs == 0.0 and f.saves >= 0.0:
        return ""
    named = sorted(f.mends - {"target"})
    why = ["its ends come out of the kettle"] if f.brings_out else []
    why += [f"{target_said(f.then)} is reached"] if "target" in f.mends or f.reaches else []
    why += [f"{limits_said(named, f.now)} kept"] if named else []
    return f"it is here because then {' and '.join(why)}" if why else ""


def _here_because(f: Found, amount: str) -> list[str]:
    """The same as a screen says it; amount : that it saves, or costs over its life."""
    why = why_here(f)
    dear = "" if f.saves >= 0.0 else f" ({amount})"
    return [f"costs more than it saves{dear}; {why}"] if why else []


def bears_less(f: Found) -> list[str]:
    """What ice, bucket or pump bear less surely than now."""
    was, is_ = f.now.likely.held, f.then.likely.held
    return [
        f"{limit.lasts} in {ranges.batches(is_[name])}{f' ({limit.gone})' if limit.gone else ''}"
        for name, limit in LIMITS.items()
        if limit.lasts and name in is_ and is_[name] < min(ranges.SURE, was.get(name, 1.0) - 0.05)
    ]


def price(f: Found) -> str:
    currency, hours = f.now.inputs.brewhouse.stock.currency, f.change.hours
    iced = f.now.worth.ice > 0.0 and f.change.kind == "more ice"
    nothing = "for the ice alone" if f.bagged or iced else "for nothing"
    nothing += ", if you have a paddle" if takes_up_a_paddle(f) else ""
    said = nothing if f.costs == 0.0 else ""
    if f.change.buys is None:
        said = f"at a price of no list of yours (taken as {money(seen(f.bought), currency)})"
    elif f.change.buys > 0.0:
        said = f"for {money(max(f.change.buys, 1.0), currency)}"
        said += " (without what your lists do not have)" if not_all_priced(f) else ""
    if hours > 0.0:
        work = "half an hour" if hours <= 0.5 else f"{hours:.0f} h"
        said += f"{' and ' if said else 'for '}{work} of work"
    spoilt = seen(f.change.risks)
    if said and spoilt >= 1.0:
        said += f", {money(spoilt, currency)} more for the roll that may be spoilt"
    return said


def together(f: Found) -> str:
    """The best of the free ones done together."""
    currency = f.now.inputs.brewhouse.stock.currency
    amount = f"about {money(seen(abs(f.saves)), currency)} over {batches(f.now.worth)}"
    pays = [f"saves {amount}"] if f.saves >= 0.0 else _here_because(f, amount)
    told = [price(f), *(pays or [f"costs {amount} more than it saves"]), *bears_less(f)]
    return f"{numbered(f)} done together: {effect(f)}; {', '.join(told)}"
