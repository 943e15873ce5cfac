"""How much a search looks at, and how long it takes, in words and for other programs."""

from __future__ import annotations

from typing import Any

from optichill.display import plural
from optichill.search.answer import Answer
from optichill.search.forecast import Forecast
from optichill.search.space import Sample

SMALLER = (
    "forms_owned_only = true and fewer layouts under [workshop], or recommend with --tube ID or --form ID"
)


def sample_text(sample: Sample | None) -> list[str]:
    """That an answer rests on a sample, of what size, and how to ask for the rest; nothing else."""
    if sample is None:
        return []
    return [
        f"Your lists hold too much for one search: of about {_about(sample.of_about)} combinations that may "
        f"hold your limits {sample.looked_at:,} were looked at, evenly spread, and then every gap and number "
        "of turns of the set-ups that came through. A better coil may be among the rest. To have all looked "
        f"at: {SMALLER}."
    ]


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
    many = "about " if found.sample else ""
    said = [
        f"{many}{found.combinations:,} combinations, {found.to_look_at:,} to look at: "
        f"about {_time(found.seconds)} on two quiet cores"
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
        "about_s": found.seconds,
    }


def _about(count: int) -> str:
    return f"{float(f'{count:.3g}'):,.0f}"


def _time(seconds: float) -> str:
    return f"{max(seconds, 1.0):.0f} s" if seconds < 90.0 else f"{seconds / 60.0:.0f} min"


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


def weighed_text(answer: Answer) -> str:
    """How many combinations an answer rests on."""
    looked_at = answer.enumerated if answer.sample is None else answer.sample.looked_at
    return f"{looked_at:,} combinations weighed"
