"""What comes after the build: leak test, first cleaning, the card for brew days, and what can hurt."""

from __future__ import annotations

from optichill.build.cautions import CAUTIONS, cautions_for
from optichill.report import words
from optichill.report.sheet.document import Card, Points, Steps, Table, Text
from optichill.report.sheet.measure import BLANK
from optichill.search.bench import Bench
from optichill.units import show

LEAK_TEST = (
    (
        "Cap the OUT end, join IN to the cold tap, and open the tap slowly to full house pressure for ten "
        "minutes, "
        "over a sink or outdoors, the coil dry outside. Never test with compressed air.",
        "Water hardly stores energy; a joint that lets go under air flies.",
    ),
    (
        "Look and feel along every bend and joint with dry paper. A drop: mark it, drain, mend, test again.",
        "A leak would water the wort, and it shows best cold.",
    ),
    (
        "Take the cap off before anything else, then close the tap. Let it drain.",
        "A closed coil that is heated bursts.",
    ),
)
"""The leak test as the trade does it (common practice, no source)."""

CLEANING = (
    (
        "Wash it inside and out with warm water and a mild detergent; rinse until nothing foams.",
        "Drawing oil, flux and fingers are on new tube.",
    ),
    (
        "If it is still dull or oily: ten minutes in vinegar with as much water, then rinse well. No longer, "
        "and "
        "nothing stronger.",
        "Acid takes the tarnish, then the copper.",
    ),
    (
        "No chlorine on copper or stainless, no hydrogen peroxide on copper, at any time.",
        "Chlorine pits both metals; peroxide eats copper.",
    ),
    (
        "First run: chill as much hot plain water as you brew, on the plan of the card, and write down time "
        "and "
        "temperature every two minutes.",
        "It rinses once more, and it is the first measurement of your own stirring and flow.",
    ),
)


def brew_day(b: Bench) -> Card:
    """The half page that hangs by the kettle."""
    house, p = b.setting.brewhouse, b.given.prediction
    u = house.units
    steps = [
        (
            "Last ten minutes of the boil: lower the coil slowly, gloves on, drained, both open ends in a "
            "bucket.",
            "",
        ),
        ("Flame out, or element off and unplugged. Then hoses: IN tight, OUT tied into the bucket.", ""),
    ]
    steps += [(text, "") for text in _plan(b)]
    target = words.degrees(b.setting.scenario.T_target, u)
    steps += [
        (f"Stir, then read: stop at {target}. Water off at the tap, lift the coil out, drain, rinse.", ""),
    ]
    planned = "out of reach" if p.chill_time is None else f"{p.chill_time / 60.0:.0f} min"
    rows = [
        ("minutes to " + target, planned, BLANK),
        ("water coming in", _cold(b), BLANK),
        ("bucket of " + ("5 gal" if u == "us" else "10 L") + " fills in", _fills(b), BLANK),
    ]
    if p.water is not None:
        rows.append(("water used", show(p.water, "volume", u), BLANK))
    log = Table("Planned and today", ("", "planned", "today"), tuple(rows), (3.2, 2.0, 2.0), (1,))
    return Card(f"BREW DAY: {house.name}", (Steps(tuple(steps)), log, Text(HOT)))


HOT = (
    "The first water out is near boiling: hose rated 100 °C (212 °F), tied down. Never shut the outlet of a "
    "filled "
    "coil in hot wort. Never lift or move the kettle with the coil in it."
)


def _plan(b: Bench) -> list[str]:
    """The water, stage by stage, as it is turned on."""
    setting, p = b.setting, b.given.prediction
    house = setting.brewhouse
    begins = [setting.scenario.T_start, *(line.until or 0.0 for line in p.stages)]
    told = [words.stage_line(line, T, setting) for line, T in zip(p.stages, begins, strict=False)]
    said = [f"{text[0].upper()}{text[1:]}." for text in told]
    stirred = {
        "left alone": "Leave the wort alone.",
        "now and then": "Stir now and then: every two or three minutes, round the coil and up and down.",
        "steady": "Keep stirring.",
    }.get(str(house.wort.mixing), f"Keep the wort moving ({words.mixing(house.wort.mixing, house.units)}).")
    p_steady = b.given.prediction.steady
    if p_steady is not None and house.wort.mixing != "steady":
        stirred += f" Stirred all the time it takes {p_steady / 60.0:.0f} min."
    return [*said, stirred]


def _cold(b: Bench) -> str:
    stage = next((s for s in b.setting.scenario.stages if s.source is not None), None)
    if stage is None or stage.source is None:
        return ""
    return words.degrees(stage.source.T_water, b.setting.brewhouse.units)


def _fills(b: Bench) -> str:
    """How long the bucket takes at the flow that was reckoned with."""
    flow, us = b.given.prediction.flow, b.setting.brewhouse.units == "us"
    return f"{(5.0 * 3.785411784e-3 if us else 10e-3) / flow:.0f} s" if flow > 0.0 else ""


def cautions(b: Bench) -> Points:
    """Everything that can hurt on this build and with this plan."""
    house = b.setting.brewhouse
    joints = {f.joint for f in b.setting.stock.fittings if f.joint}
    left_out = set()
    if house.tap is None:
        left_out.add("backflow")
    if b.coil.material != "copper":
        left_out.add("sour wort")
    if "solder" not in joints and "braze" not in joints:
        left_out |= {"dry coil"}
    return Points(cautions_for(*(name for name, _ in CAUTIONS if name not in left_out)))
