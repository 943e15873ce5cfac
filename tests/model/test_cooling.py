"""The cooling plan: what is refused and where, what is sound, and what is said about it."""

from __future__ import annotations

from pathlib import Path

import kits
import pytest
from kits import faults_of

from optichill.files.reading import Inputs, load

TAP_STAGE = '\n[[cooling]]\nsource = "tap"\nuntil = "35 degC"\n'
BATH = '[[cooling]]\nsource = "ice bath"\npump = "small"\nwater = "10 L"\nice = "6 kg"\n'
PLANS = [
    (TAP_STAGE, ["cooling[1].until", "last stage runs to the target"]),
    (TAP_STAGE.replace("35", "12") + BATH, ["cooling[1].until", "not above what this stage cools with (12"]),
    (TAP_STAGE.replace("35", "19") + BATH, ["cooling[1].until", "not above the target"]),
    (TAP_STAGE.replace("35", "99") + BATH, ["cooling[1].until", "below 98"]),
    (TAP_STAGE.replace('until = "35 degC"', "") + BATH, ["cooling[1].until", "missing"]),
    (TAP_STAGE + BATH.replace('pump = "small"\n', ""), ["cooling[2].pump", "needs a pump"]),
    (
        TAP_STAGE + BATH.replace('"small"', '"smal"'),
        ["cooling[2].pump", "no pump 'smal'", "did you mean small?", "big, small"],
    ),
    (
        TAP_STAGE + BATH.replace("10 L", "16 L"),
        ["cooling[2].ice", "ice and water take 22.54 L of a bucket of 20 L"],
    ),
    (TAP_STAGE + BATH.replace("6 kg", "-6 kg"), ["cooling[2].ice: -6 kg", "larger than 0"]),
    (TAP_STAGE + BATH.replace('ice = "6 kg"\n', ""), ["cooling[2].ice", "missing"]),
    (TAP_STAGE + BATH.replace("ice bath", "icebath"), ["cooling[2].source", "did you mean ice bath?"]),
    (TAP_STAGE.replace("tap", "bucket") + BATH, ["cooling[1].pump", "needs a pump"]),
    ('\n[[cooling]]\nsource = "tap"\nice = "2 kg"\n', ["cooling[1].ice", "means nothing to the source"]),
    ('\n[[cooling]]\nhold = "20 min"\n', ["cooling", "only holds"]),
    ('\n[[cooling]]\nsource = "tap"\n[[cooling]]\nhold = "20 min"\n', ["cooling[2].hold", "after the last"]),
    ('\n[[cooling]]\nhold = "20 min"\nice = "1 kg"\n' + BATH, ["cooling[1].ice", "entry of its own"]),
    ('\n[[cooling]]\nuntil = "35 degC"\n' + BATH, ["cooling[1].source", "missing"]),
    (
        '\n[[cooling]]\nsource = "precooled tap"\nwater = "8 L"\nice = "4 kg"\n',
        ["cooling[1].precooler", "missing"],
    ),
]


@pytest.mark.parametrize(("plan", "fragments"), PLANS)
def test_impossible_plan(tmp_path: Path, plan: str, fragments: list[str]) -> None:
    found = faults_of(kits.write_kit(tmp_path, brewhouse=kits.BREWHOUSE + plan))
    assert len(found) == 1, found
    for fragment in fragments:
        assert fragment in found[0]


BUCKET = '[[cooling]]\nsource = "bucket"\npump = "small"\n'
BEST = TAP_STAGE.replace("35 degC", "best")
HOLD = '[[cooling]]\nhold = "20 min"\n'
PRECOOLED = '\n[[cooling]]\nsource = "precooled tap"\nwater = "8 L"\nice = "4 kg"\n'
PRECOOLER = kits.COIL.replace("[coil]", "[cooling.precooler]")
WARMING = [
    (TAP_STAGE + BUCKET + 'water_temperature = "40 degC"\n', ["cooling[2].source", "40 degC", "35 degC"]),
    (TAP_STAGE + BUCKET + 'water_temperature = "35 degC"\n', ["cooling[2].source", "would warm the wort"]),
    (TAP_STAGE + HOLD + BUCKET + 'water_temperature = "40 degC"\n', ["cooling[3].source", "warm the wort"]),
    (
        TAP_STAGE + BUCKET + 'until = "25 degC"\nwater_temperature = "40 degC"\n' + BATH,
        ["cooling[2].source", "warm the wort"],
    ),
    # 18 L at 12 degC and 0.5 kg of ice: (18 * 4.2 * 12 - 0.5 * 333.6) kJ over 18.5 kg of water, 9.5 degC.
    (
        TAP_STAGE + BATH.replace("10 L", "18 L").replace("6 kg", "500 g") + 'until = "9 degC"\n' + BATH,
        ["cooling[2].until", "not above what this stage cools with (9.52 degC)"],
    ),
    # Water with ice enough is never colder than the ice.
    (
        TAP_STAGE + BATH + 'until = "0 degC"\nreturn = "drain"\n' + BATH,
        ["cooling[2].until", "not above what this stage cools with (0 degC)"],
    ),
    (
        PRECOOLED + 'until = "0 degC"\n' + PRECOOLER + BATH,
        ["cooling[1].until", "not above what this stage cools with (0 degC)"],
    ),
]


@pytest.mark.parametrize(("plan", "fragments"), WARMING)
def test_a_stage_that_cannot_cool(tmp_path: Path, plan: str, fragments: list[str]) -> None:
    """OWN rule: refused where a stage's water, at its coldest, is no colder than the wort that it meets."""
    text = kits.BREWHOUSE.replace("[wort]", '[wort]\ntarget_temperature = "2 degC"') + plan
    found = faults_of(kits.write_kit(tmp_path, brewhouse=text))
    assert len(found) == 1, found
    for fragment in fragments:
        assert fragment in found[0]


# The key and line of the plan where there is one, else of the tap.
@pytest.mark.parametrize(
    ("plan", "place"),
    [("", "12: tap.temperature"), ('[[cooling]]\nsource = "tap"\n', "15: cooling[1].source")],
)
@pytest.mark.parametrize("tap", ["30 degC", "32 degC"])
def test_a_tap_warmer_than_the_wort(tmp_path: Path, tap: str, plan: str, place: str) -> None:
    text = kits.BREWHOUSE.replace("[wort]", '[wort]\nstart_temperature = "30 degC"').replace("12 degC", tap)
    (found,) = faults_of(kits.write_kit(tmp_path, brewhouse=text + plan))
    assert found.startswith(f"brewhouse.toml:{place}: would warm the wort: water at {tap}"), found


def test_a_wrong_switch_is_told_with_its_line(tmp_path: Path) -> None:
    text = kits.BREWHOUSE + TAP_STAGE.replace("35", "12") + BATH
    line = text[: text.index('until = "12 degC"')].count("\n") + 1
    (found,) = faults_of(kits.write_kit(tmp_path, brewhouse=text))
    assert found.startswith(f"brewhouse.toml:{line}: cooling[1].until: not above")


SWITCHES = [
    (BEST + BUCKET + 'until = "best"\n' + BATH, ["cooling[2].until", "one switch of a plan can be best"]),
    (BEST + HOLD + BATH, ["cooling[1].until", "a hold follows", "35 degC"]),
    (BEST, ["cooling[1].until", "last stage runs to the target"]),
]
VESSELS = [
    (TAP_STAGE + BUCKET + 'water = "25 L"\n', ["cooling[2].water", "water takes 25 L of a bucket of 20 L"]),
    # 15 L, 4 kg / 0.917 kg/L = 4.36 L, and 8.58 m of 10 mm tube = 0.67 L.
    (
        PRECOOLED.replace("8 L", "15 L") + PRECOOLER,
        [
            "cooling[1].ice",
            "ice and water and the coil take 20.04 L of a bucket of 20 L",
            "less ice or water",
        ],
    ),
    (TAP_STAGE + BATH + "refills = 2\n", ["cooling[2].refills", "not refilled", "leave it out"]),
    (BUCKET + "refills = -1\n", ["cooling[1].refills: -1", "a whole number, 0 to 50"]),
    (BUCKET + "refills = 1.5\n", ["cooling[1].refills: 1.5", "a whole number, 0 to 50"]),
    (TAP_STAGE + BATH + "ice_stirred = true\n", ["cooling[2].ice_stirred", "means nothing to", "'ice bath'"]),
    (BUCKET + "ice_stirred = true\n", ["cooling[1].ice_stirred", "means nothing to the source 'bucket'"]),
    ('[[cooling]]\nsource = "tap"\nice_stirred = false\n', ["cooling[1].ice_stirred", "source 'tap'"]),
    (PRECOOLED + 'ice_stirred = "yes"\n' + PRECOOLER, ["cooling[1].ice_stirred: yes", "true or false"]),
    (PRECOOLED + 'pump = "smal"\n' + PRECOOLER, ["cooling[1].pump", "means nothing to"]),
]


@pytest.mark.parametrize(("plan", "fragments"), [*SWITCHES, *VESSELS])
def test_switches_and_vessels(tmp_path: Path, plan: str, fragments: list[str]) -> None:
    found = faults_of(kits.write_kit(tmp_path, brewhouse=kits.BREWHOUSE + plan))
    assert len(found) == 1, found
    for fragment in fragments:
        assert fragment in found[0]


WEAK = (
    kits.PUMPS
    + "weak,pump,,8 L/min,0.8 m,60 degC,no,9\nflat,pump,0 L/min @ 0 m; 9 L/min @ 0 m,,,60 degC,no,9\n"
)
HIGH = 'return_under_water = false\nlift = "80 cm"\n'
PUMPS = [
    (
        BUCKET + 'until = "60 degC"\nwater_temperature = "50 degC"\n' + BATH,
        ["cooling[1].pump", "50 degC", "45 degC"],
    ),
    (BUCKET.replace("small", "weak") + HIGH, ["cooling[1].lift", "'weak' lifts 0.8 m at no flow", "0.8 m"]),
    (BUCKET.replace("small", "weak") + HIGH.replace("80", "90"), ["cooling[1].lift", "more than 0.9 m"]),
    # The lift that is assumed where none is given counts too.
    (BUCKET.replace("small", "weak") + "return_under_water = false\n", ["cooling[1].lift", "0.9 m"]),
    (BUCKET.replace("small", "flat"), ["cooling[1].pump", "lifts 0 m at no flow"]),
]


@pytest.mark.parametrize(("plan", "fragments"), PUMPS)
def test_pumps_that_cannot(tmp_path: Path, plan: str, fragments: list[str]) -> None:
    found = faults_of(kits.write_kit(tmp_path, brewhouse=kits.BREWHOUSE + plan, pumps=WEAK))
    assert len(found) == 1, found
    for fragment in fragments:
        assert fragment in found[0]


def test_a_pump_on_hot_tap_water(tmp_path: Path) -> None:
    text = kits.BREWHOUSE.replace("12 degC", "46 degC")
    found = faults_of(kits.write_kit(tmp_path, brewhouse=text + BATH))
    assert len(found) == 1 and "cooling[1].pump: water at 46 degC is hotter than 45 degC" in found[0]
    kits.write_kit(tmp_path, brewhouse=text.replace("46", "45") + BATH)
    assert load(tmp_path).brewhouse.cooling[0].pump == "small"


def test_a_pump_is_not_missing_besides_where_its_list_is_at_fault(tmp_path: Path) -> None:
    pumps = kits.PUMPS.replace("small,pump,0 L/min", "small,pump,0 L")
    found = faults_of(kits.write_kit(tmp_path, brewhouse=kits.BREWHOUSE + BATH, pumps=pumps))
    assert len(found) == 1 and found[0].startswith("pumps.csv:2")


SOUND = {
    "the last target below its source": BUCKET + 'water_temperature = "25 degC"\n',
    "a bucket full to the brim": BUCKET + 'water = "20 L"\n',
    "a bucket down the drain": BUCKET + 'return = "drain"\n',
    "a bucket down the drain, filled thrice": BUCKET + 'return = "drain"\nrefills = 2\n',
    "an ice bath down the drain": TAP_STAGE + BATH + 'return = "drain"\n',
    "a high return within the pump's head": BUCKET.replace("small", "weak") + HIGH.replace("80", "79"),
    "a low pump whose return ends under water": BUCKET.replace("small", "weak") + 'lift = "1 m"\n',
    "best before a cooling stage": BEST + BATH,
    "best after a hold": HOLD + BEST + BATH,
    "best before another switch": BEST + BUCKET + 'until = "30 degC"\n' + BATH,
    "a hold before the last stage": TAP_STAGE + HOLD + BATH,
    "water at the freezing point": TAP_STAGE + BATH + 'water_temperature = "0 degC"\n',
    "a stirred pre-cooler": PRECOOLED + "ice_stirred = true\n" + PRECOOLER,
    "refills of a bucket": BUCKET + "refills = 2\n",
}


@pytest.mark.parametrize("plan", SOUND)
def test_sound_plan(tmp_path: Path, plan: str) -> None:
    kits.write_kit(tmp_path, brewhouse=f"{kits.BREWHOUSE}\n{SOUND[plan]}", pumps=WEAK)
    assert load(tmp_path).brewhouse.plan_findings() == []


def test_pumped_plan_without_a_tap_needs_the_waters_temperature(tmp_path: Path) -> None:
    text = kits.BREWHOUSE[: kits.BREWHOUSE.index("[tap]")] + BATH
    assert "cooling[1].water_temperature" in faults_of(kits.write_kit(tmp_path, brewhouse=text))[0]
    kits.write_kit(tmp_path, brewhouse=text + 'water_temperature = "14 degC"\n')
    assert load(tmp_path).brewhouse.tap is None


# --- what is said -----------------------------------------------------------------------------------------


def read(folder: Path, text: str, **lists: str) -> Inputs:
    return load(kits.write_kit(folder, brewhouse=text, **lists))


TOP_UP = 'volume = "23 L"\ntop_up = { volume = "5 L", temperature = "5 degC" }'


def test_nothing_that_is_read_is_left_without_effect(tmp_path: Path) -> None:
    text = kits.BREWHOUSE.replace('volume = "23 L"', TOP_UP) + TAP_STAGE + BATH
    assert read(tmp_path, text).warnings == ()
    text += '[limits]\nchill_time = { within = "30 min", chance = 0.9 }\n'
    assert read(tmp_path, text).warnings == ()


ICE_RUNS, ICE_STANDS = (
    f"ice as small cubes, assumed, in water that {moves}: what it lets in is known to a factor of 2.5"
    for moves in ("runs through", "stands")
)
NOTES = {
    TAP_STAGE + BATH: ["pump hoses assumed 1.5 m each way", ICE_RUNS],
    BATH + 'return = "drain"\n': [
        "pump hoses assumed 1.5 m each way",
        "a bucket that drains is taken as topped up with the same water, as fast as it is pumped",
        ICE_STANDS,
    ],
    PRECOOLED + PRECOOLER: [ICE_STANDS],
    PRECOOLED + "ice_stirred = true\n" + PRECOOLER: [ICE_RUNS],
    BUCKET: ["pump hoses assumed 1.5 m each way"],
    "": [],
}


@pytest.mark.parametrize("plan", NOTES)
def test_what_is_assumed_of_a_plan(tmp_path: Path, plan: str) -> None:
    """What is assumed of a tap is not told where the plan has none."""
    without = read(tmp_path, kits.BREWHOUSE).notes
    tap = [note for note in without if note.startswith("tap")]
    assert tap == ["tap pressure assumed 3 bar"]
    if plan.startswith(('[[cooling]]\nsource = "bucket"', '[[cooling]]\nsource = "ice bath"')):
        without = tuple(note for note in without if note not in tap)
    assert list(read(tmp_path, kits.BREWHOUSE + plan).notes) == [*without, *NOTES[plan]]


def test_assumptions_of_a_plan_in_us_units(tmp_path: Path) -> None:
    """1.5 m / 0.3048 m = 4.9 ft."""
    notes = read(tmp_path, 'units = "us"\n' + kits.BREWHOUSE + TAP_STAGE + BATH).notes
    assert notes[-2:] == ("pump hoses assumed 4.9 ft each way", ICE_RUNS)


COLD = "cannot bring wort to 20 °C"
LAST = [
    ("21 degC", "", "tap water at 21 °C " + COLD),
    ("19 degC", "", "20 °C is so near to the tap's 19 °C"),
    ("17 degC", "", ""),
    ("21 degC", TAP_STAGE + BATH, ""),  # ice at the end
    ("21 degC", PRECOOLED + PRECOOLER, ""),
    ("21 degC", TAP_STAGE + BUCKET, "tap water at 21 °C " + COLD),  # a bucket of tap water
    ("12 degC", TAP_STAGE + BUCKET + 'water_temperature = "22 degC"\n', "bucket water at 22 °C " + COLD),
    ("21 degC", TAP_STAGE + BUCKET + 'water_temperature = "9 degC"\n', ""),
    ("21 degC", BATH + 'until = "25 degC"\n[[cooling]]\nsource = "tap"\n', "tap water at 21 °C " + COLD),
]


@pytest.mark.parametrize(("tap", "plan", "said"), LAST)
def test_last_water_too_warm_for_the_target(tmp_path: Path, tap: str, plan: str, said: str) -> None:
    found = read(tmp_path, kits.BREWHOUSE.replace("12 degC", tap) + plan).warnings
    assert (len(found) == 1 and said in found[0]) if said else found == (), found


def test_a_cold_top_up_may_do_what_the_tap_cannot(tmp_path: Path) -> None:
    text = kits.BREWHOUSE.replace("12 degC", "21 degC").replace('volume = "23 L"', TOP_UP)
    assert read(tmp_path, text).warnings == ()
    assert COLD in read(tmp_path, text.replace('"5 degC"', '"20 degC"')).warnings[0]


NO_TEE = "fittings.csv has no tee: two tubes side by side are left out"


@pytest.mark.parametrize(
    ("layouts", "fittings", "said"),
    [
        (None, kits.FITTINGS, ()),
        (None, kits.FITTINGS.replace(",tee,,no", ",outlet,,no"), (NO_TEE,)),
        ('["single", "nested"]', kits.FITTINGS.replace(",tee,,no", ",outlet,,no"), ()),
        ('["parallel"]', kits.FITTINGS.replace(",tee,,no", ",outlet,,no"), (NO_TEE,)),
        (None, kits.FITTINGS.splitlines()[0] + "\n", ()),
    ],
)
def test_two_tubes_want_tees(tmp_path: Path, layouts: str | None, fittings: str, said: tuple[str]) -> None:
    shop = f"[workshop]\nlayouts = {layouts}\n" if layouts else ""
    assert read(tmp_path, kits.BREWHOUSE + shop, fittings=fittings).warnings == said


def test_a_tee_is_no_end(tmp_path: Path) -> None:
    fittings = kits.FITTINGS.replace("end-10,end,10 mm", "end-10,end,12 mm")
    fittings = fittings.replace("tee,tee,,", "tee,tee,10 mm,")
    assert read(tmp_path, kits.BREWHOUSE, fittings=fittings).warnings == (
        "fittings.csv has no ends for tube of 10 mm",
    )


def test_all_that_a_pre_cooling_coil_lacks_is_named_at_once(tmp_path: Path) -> None:
    """Not one key a run: what the first fault is about, and the rest."""
    coil = '[cooling.precooler]\nmaterial = "copper"\nwall = "thick"\n'
    file = kits.write_kit(tmp_path, brewhouse=kits.BREWHOUSE + TAP_STAGE + PRECOOLED + coil)
    said = " ".join(kits.faults_of(file))
    for key in ("outer_diameter", "turns", "mean_diameter", "pitch", "riser_length_in", "riser_length_out"):
        assert f"cooling[2].precooler.{key}: missing" in said
    assert "precooler.wall: thick" in said and "precooler.material: missing" not in said
