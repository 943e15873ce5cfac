"""How much a search looks at, and how long it takes, in words and for other programs."""

from __future__ import annotations

from typing import Any

from optichill.display import plural, show
from optichill.money import money
from optichill.problem.basis import DesignBasis
from optichill.search.answer import Answer
from optichill.search.forecast import Forecast
from optichill.search.front import steps_of
from optichill.search.space import LeftOut, Sample

SMALLER = (
    "fewer layouts under [workshop], forms_owned_only = true where forms are owned, or recommend with --tube "
    "ID or --form ID (which may take minutes where two forms are combined)"
)


def sample_text(sample: Sample | None, missed: str = "A better coil") -> list[str]:
    """That an answer rests on a sample, of what size, what may be among the rest, and how to ask for that;
    nothing else."""
    if sample is None:
        return []
    return [
        f"Your lists hold too much for one search: of about {_about(sample.of_about)} combinations that may "
        f"hold your limits {sample.looked_at:,} were looked at, evenly spread, and then every gap and number "
        f"of turns of the set-ups that came through. {missed} may be among the rest. To have all looked "
        f"at: {SMALLER}."
    ]


def left_out_text(found: LeftOut | None) -> list[str]:
    """What was left out of rolls of one size, and why nothing is lost by that."""
    if found is None:
        return []
    said = []
    if found.rolls:
        rolls = plural(f"{found.rolls:,}", "roll")
        said.append(
            f"left out: {rolls} that another beats (same size, no shorter, no dearer to buy or to spoil)"
        )
    if found.combinations:
        many = f"about {_about(found.combinations)}" if found.about else f"{found.combinations:,}"
        said.append(
            f"each coil is looked at on the cheapest roll of its size that it comes out of: {many} "
            "combinations with a dearer one left out"
        )
    return said


def left_out_json(found: LeftOut | None) -> dict[str, Any] | None:
    """The same for other programs."""
    return None if found is None else dict(vars(found))


def sample_json(sample: Sample | None) -> dict[str, int] | None:
    """The same for other programs."""
    return None if sample is None else dict(vars(sample))


def forecast_text(found: Forecast) -> list[str]:
    """How long a search will take, and what makes it small."""
    if not found.to_look_at:
        return [
            f"{found.combinations:,} combinations, and not one holds your limits: nothing will fit; "
            "recommend says what is in the way, and what would help"
        ]
    every = f"{found.combinations:,}"
    looked_at = f"{found.to_look_at:,}"
    if found.left_out.about:
        every = f"about {_about(found.combinations)}"
        looked_at = looked_at if found.sample else f"about {_about(found.to_look_at)}"
    where = "on this machine, as busy as it is now" if found.measured else "on a quiet machine"
    said = [
        f"{every} combinations, {looked_at} to look at: about {_time(found.seconds)} {where}",
        *left_out_text(found.left_out),
    ]
    if found.sample is not None:
        said.append(
            f"a sample: about {_about(found.sample.of_about)} may hold your limits, too many for one search"
        )
    return [*said, f"smaller with {SMALLER}"] if found.sample or found.seconds > 10.0 else said


def forecast_json(found: Forecast) -> dict[str, Any]:
    """The same for other programs."""
    return {
        "combinations": found.combinations,
        "to_look_at": found.to_look_at,
        "sample": sample_json(found.sample),
        "left_out": left_out_json(found.left_out),
        "about_s": found.seconds,
    }


def _about(count: int) -> str:
    return f"{float(f'{count:.3g}'):,.0f}"


def _time(seconds: float) -> str:
    """In steps that tell no more than is known: whole seconds, from 10 on fives, minutes."""
    if seconds < 10.0:
        return f"{max(seconds, 1.0):.0f} s"
    return f"{5.0 * round(seconds / 5.0):.0f} s" if seconds < 90.0 else f"{seconds / 60.0:.0f} min"


def left_text(answer: Answer) -> str:
    """How many coils nothing beats, and with each setting of the valve counted where that makes more."""
    otherwise = f" ({answer.front:,} counting the valve set otherwise)" if answer.front > answer.coils else ""
    return f"{plural(f'{answer.coils:,}', 'coil')} that nothing beats{otherwise}"


def proved_text(answer: Answer) -> str:
    """How many of them were told by proof, without a chill of their own; "" where none."""
    if not answer.excluded:
        return ""
    return (
        f", of which {answer.buildable:,} can be built within the limits on room, money and work; for "
        f"{answer.excluded:,} of these, valves further shut, no chill was worked out: what the same coil "
        "does at full flow proves them too slow or beaten"
    )


def steps_text(basis: DesignBasis) -> str:
    """What coils must differ by to be told apart on a front: of those that do not one stands for all."""
    time, cost, water, work = steps_of(basis.stock).tolist()
    units, currency = basis.brewhouse.units, basis.brewhouse.stock.currency
    coin = money(cost, currency, 0 if cost >= 0.5 else 2)
    points = "half a point" if work == 0.5 else f"{work:g} points"
    return f"{time:.0f} s, {coin}, {show(water, 'exact_volume', units)} and {points} of work"


def alike_text(basis: DesignBasis) -> str:
    """The same as a clause, where a reader would think that a coil was lost."""
    return f"of coils alike to {steps_text(basis)} one stands for all"


def weighed_text(answer: Answer) -> str:
    """How many combinations an answer rests on."""
    return f"{weighed_count(answer)} combinations gone through"


def weighed_count(answer: Answer) -> str:
    """The same as a number in words."""
    if answer.sample is not None:
        return f"{answer.sample.looked_at:,}"
    about = answer.left_out is not None and answer.left_out.about
    return f"about {_about(answer.enumerated)}" if about else f"{answer.enumerated:,}"
