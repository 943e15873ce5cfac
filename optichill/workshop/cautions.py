"""What to take care of, in plain words: (situation, sentence) for screens and build sheets.

These are the usual cautions, not a safety course: local codes and licensed trades have the last word.
"""

from __future__ import annotations

from optichill.display import show
from optichill.materials import Material

CAUTIONS: tuple[tuple[str, str], ...] = (  # {metal.…}: as the record of the tube's metal has it
    (
        "always",
        "Local codes, and the trades licensed for water, gas and electricity, come before all that is said "
        "here.",
    ),
    (
        "first water",
        "The first water out is {first}: catch it in a bucket, through a hose rated for {boiling} "
        "that is tied to something fixed. Water at {scalding} scalds in seconds.",
    ),
    (
        "lowering the coil",
        "Lower the coil slowly, gloves on, the coil drained and its open ends pointing into a bucket. It "
        "raises the level: a full kettle boils over.",
    ),
    (
        "before the water",
        "Put the flame out, or switch the element off and unplug it, before the water runs.",
    ),
    (
        "valves",
        "Fit a valve on the inlet only. Never shut the outlet of a filled coil in hot wort, and open the "
        "water slowly: the first of it flashes to steam.",
    ),
    (
        "pump start",
        "Fit a valve on the inlet only. Never shut the outlet of a filled coil in hot wort, and keep clear "
        "of the outlet hose when the pump is plugged in: the first of the water flashes to steam.",
    ),
    (
        "moving",
        "Never lift or move a kettle with the coil in it, and keep the hoses slack and out of the way: they "
        "pull kettles over.",
    ),
    (
        "backflow",
        "Put a vacuum breaker on the hose tap and keep the outlet above standing water, so that nothing is "
        "sucked back into the drinking water (IPC 608, ASSE 1011, EN 1717).",
    ),
    (
        "lead",
        "Use lead-free fittings only, and solder and flux where there is any, sold for drinking water (SDWA "
        "1417, NSF/ANSI/CAN 61 and 372).",
    ),
    (
        "cut ends",
        "A cut tube has edges like a knife, inside too: ream it at once, gloves on.",
    ),
    (
        "hot return",
        "Water that comes back to a bucket is {first} at first: lead it in far from the pump, which "
        "stands less, keep hands and cords out of it, and unplug the pump before you change the water.",
    ),
    ("dry coil", "Never let a soldered coil stand dry over a lit burner: the joints melt."),
    (
        "leak test",
        "Test the finished coil with cold water under pressure, in the sink, before it meets wort. Close "
        "the tap before you open a cap, and take every cap off before the coil is heated.",
    ),
    (
        "electricity",
        "Plug pumps and elements into an outlet with a residual current device (GFCI, RCD) and let cords "
        "hang in a drip loop (NEC 210.8, BS 7671).",
    ),
    (
        "hot wort pump",
        "A whirlpool pump moves hot wort: hoses and fittings for {boiling}, each end clamped, looked at "
        "before it runs. Switch it off and unplug it before a hose comes off or the coil is lifted out.",
    ),
    (
        "mains",
        "Plug a heating element into an outlet with a residual current device (GFCI, RCD) and let its cord "
        "hang in a drip loop (NEC 210.8, BS 7671).",
    ),
    (
        "torch",
        "Braze and solder in moving air, with cadmium-free rod. Take stoppers and filling out of the tube "
        "first: a closed tube bursts when it is heated.",
    ),
    (
        "filling",
        "Fill tube with dry salt or sand only, never with anything that holds lead or cadmium, and rinse "
        "all of it out.",
    ),
    (
        "cleaning",
        "Mild detergent, at most a short soak in vinegar. {metal.barred}.",
    ),
    ("sour wort", "{metal.sour_wort}"),
    ("other metals", "No galvanised, aluminium or plated parts in the wort."),
    ("frost, pump", "Drain the coil, hoses and pump before frost."),
    ("frost", "Drain the coil and the hoses before frost."),
)


IN_SHORT = (
    "The first water out is {first}: tie its hose into a bucket.",
    "Heat off before the water runs; local codes come first.",
)
"""What a first screen says of all this."""

PUMP = "A pump: plug it into a GFCI/RCD outlet, its cord in a drip loop; unplug it before a hand goes in."
"""And where a pump stands in the plan."""

WHIRLPOOL = (
    "The whirlpool pump moves hot wort: hoses for it, clamped; a GFCI/RCD outlet, its cord in a drip loop; "
    "unplug it before you lift the coil."
)
"""And where one moves the wort."""

_TEMPERATURES = {"boiling": 373.15, "scalding": 333.15}  # K (CP)


NEAR_BOILING = 363.15  # K (OWN)


def as_hot(T: float, units: str) -> str:
    """Water as hot as wort at T [K]: near boiling, or at its temperature."""
    return "near boiling" if T >= NEAR_BOILING else f"at {show(T, 'temperature', units)}"


def cautions_for(
    *situations: str,
    metal: Material | None = None,
    units: str = "metric",
    T_start: float = _TEMPERATURES["boiling"],
) -> tuple[str, ...]:
    """The sentences for the named situations, in the table's order; all of them without a name. What hangs on
    the tube's metal is there where one is given, and where that metal calls for it. T_start : of the wort.

    Raises KeyError for a situation that is not in the table.
    """
    table = {situation: text for situation, text in CAUTIONS if metal or "{metal." not in text}
    wanted = set(situations) or set(table)
    unknown = sorted(wanted - set(table))
    if unknown:
        raise KeyError(f"no caution for {unknown[0]!r}")
    degrees = {name: show(T, "temperature", units) for name, T in _TEMPERATURES.items()}
    degrees["first"] = as_hot(T_start, units)
    said = (text.format(metal=metal, **degrees) for situation, text in table.items() if situation in wanted)
    return tuple(sentence for sentence in said if sentence)


def in_short(T_start: float, units: str) -> tuple[str, ...]:
    """The two sentences of a first screen; T_start : of the wort [K]."""
    return tuple(text.format(first=as_hot(T_start, units)) for text in IN_SHORT)
