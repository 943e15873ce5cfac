"""A coil by tape on the command line: what cannot be and what is unlikely, by every command in the same
words; how it stands, asked; and the example file to measure into."""

from __future__ import annotations

import html
import json
import re
import tomllib
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
import small_stock
from conftest import Done
from where import ROOT

import optichill as oc
from optichill.files.reading import packaged

Run = Callable[..., Done]
CATALOGS = ROOT / "catalogs"
COMMANDS = ("check", "predict", "sheet")
US = ("--units", "us")

BENCH = {
    "material": "copper",
    "outer_diameter": "3/8 in",
    "wall": "0.032 in",
    "outside_across": "10 in",
    "overall_height": "6 in",
    "turns": 8,
    "bought_length": "25 ft",
    "stands": "feet",
    "feet_height": "1 in",
}
"""8 turns of 9 5/8 in take 20.2 ft of 25 ft."""


def written(path: Path, **changes: object) -> Path:
    """A coil file with some keys changed, or left out with None."""
    keys = {k: v for k, v in {**BENCH, **changes}.items() if v is not None}
    lines = [f"{k} = {v}" if isinstance(v, int | float) else f'{k} = "{v}"' for k, v in keys.items()]
    path.write_text("\n".join(["[coil]", *lines]) + "\n", encoding="utf-8")
    return path


def house(folder: Path, **kettle: str) -> Path:
    """A US kettle of 14 by 14 1/2 in."""
    size = {"inside_diameter": "14 in", "inside_height": "14 1/2 in", **kettle}
    return small_stock.write(folder / "house", {"units": "us", "kettle": size, "wort": {"volume": "6 gal"}})


def tiered(*cases: str) -> list[Any]:
    """The first case in the quick tier, the rest at the gate."""
    return [case if not n else pytest.param(case, marks=pytest.mark.slow) for n, case in enumerate(cases)]


def flat(text: str) -> str:
    return " ".join(text.split())


def on_page(folder: Path) -> str:
    """Text of the build sheet's page."""
    (page,) = folder.rglob("sheet-*.html")
    return flat(html.unescape(re.sub("<[^>]*>", " ", page.read_text(encoding="utf-8"))))


IMPOSSIBLE = {
    # What is bought is a roll of 20 ft; 9 turns of 9 5/8 in are 22.7 ft.
    "short": (
        {"bought_length": "20 ft", "turns": 9},
        "bought_length",
        "20.0 ft of tube, but the turns alone take 22.7 ft",
    ),
    "both sides": (
        {"turns": 18},
        "overall_height",
        "most likely turns = 9 (were they counted on both sides?)",
    ),
    "overlap": (
        {"overall_height": "3 in"},
        "overall_height",
        "turns would overlap: 8 turns of 3/8 in tube stand 3 3/8 in where they touch, not 3 in",
    ),
    "string": ({"outside_across": "31.4 in"}, "bought_length", 'most likely string_round = "31 3/8 in"'),
    "narrow": ({"outside_across": "1 in"}, "outside_across", "1 in leaves no turns of 3/8 in tube"),
    "far too heavy": (
        {"wall": None, "weight": "60 lb"},
        "weight",
        "heavier than a solid rod of this length (allowed: the dry coil without its ends; weigh the dry coil",
    ),
    "far too light": (
        {"wall": None, "weight": "0.1 lb"},
        "weight",
        "0.1 lb on 25 ft of this tube gives a wall",
    ),
    "two heights": ({"lowest_turn_height": "4 in"}, "lowest_turn_height", "4 in, but by feet_height it is 1"),
    "no such key": ({"string_rond": "33 in"}, "string_rond", "unknown key: did you mean string_round?"),
    "hung, how deep": ({"stands": "hangs", "feet_height": None}, "hangs_below_rim", "missing"),
    "hung elsewhere": (
        {"stands": "hangs", "feet_height": None, "hangs_below_rim": "5 in", "lowest_turn_height": "2 in"},
        "lowest_turn_height",
        "2 in, but by hangs_below_rim it is 3 11/16 in",
    ),
    "hung too low": (
        {"stands": "hangs", "feet_height": None, "hangs_below_rim": "9 in"},
        "hangs_below_rim",
        "the turns would reach 1/2 in below the kettle's floor (allowed: at most 8 1/2 in; measure",
    ),
}


@pytest.mark.parametrize("case", IMPOSSIBLE)
def test_what_cannot_be_is_refused_by_every_command_alike(optichill: Run, tmp_path: Path, case: str) -> None:
    changes, key, why = IMPOSSIBLE[case]
    kettle, coil = house(tmp_path), written(tmp_path / "mine.toml", **changes)
    said = []
    for name in COMMANDS:
        done = optichill(name, kettle, "--coil", coil, "--out", tmp_path / "out")
        assert done.status == 4 and not (tmp_path / "out").exists()
        said.append([line for line in done.err.splitlines() if line.startswith(f"{coil}:")])
    assert said[0] == said[1] == said[2]
    (line,) = said[0]
    at = coil.read_text(encoding="utf-8").splitlines()
    place = next((n for n, text in enumerate(at, 1) if text.startswith(f"{key} = ")), 1)
    assert line.startswith(f"{coil}:{place}: coil.{key}: ") and why in line, line
    assert "(allowed: " in line or "did you mean" in line


def test_what_cannot_be_is_refused_in_python_in_the_same_words(tmp_path: Path) -> None:
    """Of a dict no file and line are told; the cause is found by the same kettle."""
    kettle, coil = house(tmp_path), written(tmp_path / "mine.toml", turns=16, overall_height="12 in")
    said = []
    table = tomllib.loads(coil.read_text(encoding="utf-8"))["coil"]
    for ask in (lambda: oc.read(kettle, coil=coil), lambda: oc.rate(table, oc.read(kettle))):
        with pytest.raises(oc.InputFaults) as caught:
            ask()
        (fault,) = caught.value.faults
        said.append((fault.key, fault.reason, fault.allowed))
    assert said[0] == said[1] and "turns = 8 (were they counted on both sides?)" in said[0][2]


UNLIKELY = {
    # 50 ft bought and 22.7 ft wound.
    "half a roll": (
        {"bought_length": "50 ft", "turns": 9},
        "the turns take 22.7 ft: 13.7 ft would be left for each riser, which takes 2.3 ft at most in this "
        "kettle: most likely a second layer of about 11 turns inside",
    ),
    "radius": ({"outside_across": "5 in"}, 'most likely outside_across = "10 in" (is it measured from the'),
    "wet": ({"weight": "4.0 lb"}, 'weight = "3.34 lb" (was it weighed with fittings, hose or water?)'),
    "plumber's name": ({"wall": "0.049 in"}, "3/8 in may be 1/2 in outside"),
}


@pytest.mark.parametrize("case", tiered(*UNLIKELY))
def test_what_is_unlikely_is_told_by_check_and_predict_alike(
    optichill: Run, tmp_path: Path, case: str
) -> None:
    changes, why = UNLIKELY[case]
    kettle, coil = house(tmp_path), written(tmp_path / "mine.toml", **changes)
    said = []
    for name in COMMANDS[:2]:
        done = optichill(name, kettle, "--coil", coil, "--json", tmp_path / f"{name}.json")
        assert done.status in (0, 3) and why in flat(done.out), done.out
        document = json.loads((tmp_path / f"{name}.json").read_text(encoding="utf-8"))
        said.append([text for text in document["warnings"] if why in text])
    assert said[0] == said[1] and len(said[0]) == 1


@pytest.mark.slow
def test_what_is_unlikely_stands_on_the_sheet(optichill: Run, tmp_path: Path) -> None:
    changes, why = UNLIKELY["half a roll"]
    kettle, coil = house(tmp_path), written(tmp_path / "mine.toml", **changes)
    assert optichill("sheet", kettle, "--coil", coil, "--out", tmp_path / "out").status == 0
    assert why in on_page(tmp_path / "out")


# --- how it stands -----------------------------------------------------------------------------------------

ASKED = "How does the coil stand? Its file does not say"
UNSAID = {"stands": None, "feet_height": None, "overall_height": "4 1/2 in"}


def still(folder: Path, rests: str) -> Path:
    """The same kettle with its wort left alone, where the height of a coil matters."""
    size = {"inside_diameter": "14 in", "inside_height": "14 1/2 in", "coil_rests": rests}
    wort = {"volume": "6 gal", "mixing": "left alone"}
    return small_stock.write(folder / "house", {"units": "us", "kettle": size, "wort": wort})


@pytest.mark.slow
def test_how_a_coil_stands_is_asked_with_what_was_taken(optichill: Run, tmp_path: Path) -> None:
    kettle, coil = still(tmp_path, "feet"), written(tmp_path / "mine.toml", **UNSAID)
    said = []
    for name in COMMANDS:
        done = optichill(name, kettle, "--coil", coil, "--out", tmp_path / "out", "--json", tmp_path / "j")
        assert done.status == 0
        text = on_page(tmp_path / "out") if name == "sheet" else flat(done.out)
        said.append(text[text.index(ASKED) :].split('hangs_below_rim = "..."')[0])
        if name != "sheet":
            document = json.loads((tmp_path / "j").read_text(encoding="utf-8"))
            assert any(ASKED.lower() in warning.lower() for warning in document["warnings"])
    assert said[0] == said[1] == said[2]
    assert "taken on feet, 1 in above the floor, as coil_rests of the kettle has it" in said[0]
    assert (
        'Write under [coil] stands = "feet" and feet_height = "1 in"; or else stands = "floor", or' in said[0]
    )


@pytest.mark.parametrize("name", ["predict", "improve", "sheet"])
def test_a_coil_on_feet_over_the_wort_gets_no_word_from_numpy(
    optichill: Run, tmp_path: Path, name: str
) -> None:
    """Warnings are faults in these tests (pyproject.toml), and the command would end with 70."""
    kettle, coil = house(tmp_path), written(tmp_path / "mine.toml", feet_height="12 in")
    done = optichill(name, kettle, "--coil", coil, "--out", tmp_path / "out")
    assert done.status == (0 if name == "sheet" else 3), done.err
    assert "Warning" not in done.err and ".py" not in done.err


def asked_of(problem: oc.Problem) -> str:
    """The question of how the coil stands that `check` has, "" where it has none."""
    return "".join(text for text in problem.to_dict()["warnings"] if "how does the coil stand?" in text)


@pytest.mark.parametrize("rests", ["feet", "floor", "hangs"])
def test_the_line_that_it_says_to_write_answers_the_question(tmp_path: Path, rests: str) -> None:
    kettle = still(tmp_path, rests)
    unsaid = oc.read(kettle, coil=written(tmp_path / "mine.toml", **UNSAID))
    wrote = re.search(r"Write under \[coil\] (.*?); or else", asked_of(unsaid))
    assert wrote is not None
    lines = dict(re.findall(r'(\w+) = "(.*?)"', wrote[1]))
    assert lines["stands"] == rests
    told = oc.read(kettle, coil=written(tmp_path / "told.toml", **{**UNSAID, **lines}))
    assert asked_of(told) == "" and told.coil is not None and unsaid.coil is not None
    assert told.coil.lowest_turn_height == pytest.approx(unsaid.coil.lowest_turn_height, abs=0.0009)


@pytest.mark.slow
def test_the_time_that_is_told_of_another_way_to_stand_is_the_time_there(tmp_path: Path) -> None:
    kettle = still(tmp_path, "hangs")
    unsaid = oc.rate(str(written(tmp_path / "mine.toml", **UNSAID)), oc.read(kettle))
    said = asked_of(oc.read(kettle, coil=tmp_path / "mine.toml"))
    longer = re.search(r"ith its lowest turn on the floor it would take about (\d+) min longer", said)
    assert longer is not None and said in unsaid.warnings
    floor = oc.rate(str(written(tmp_path / "f.toml", **{**UNSAID, "stands": "floor"})), oc.read(kettle))
    assert floor.chill_time is not None and unsaid.chill_time is not None
    assert (floor.chill_time - unsaid.chill_time) / 60.0 == pytest.approx(int(longer[1]), abs=1.0)


@pytest.mark.slow
def test_a_kettle_that_hangs_its_coils_hangs_one_that_says_nothing(tmp_path: Path) -> None:
    """As the search hangs its own: the top of the turns 15 mm under the cold surface, kettles' usual."""
    kettle = still(tmp_path, "hangs")
    rating = oc.rate(str(written(tmp_path / "mine.toml", **UNSAID)), oc.read(kettle))
    (line,) = [line for line in rating.limits if line.name == "submergence"]
    assert line.value == pytest.approx(line.limit, abs=1e-6)


@pytest.mark.slow
def test_where_the_height_changes_nothing_it_says_so(tmp_path: Path) -> None:
    rating = oc.rate(str(written(tmp_path / "mine.toml", **UNSAID)), oc.read(house(tmp_path)))
    (asked,) = [text for text in rating.warnings if "how does the coil stand?" in text]
    assert "To the time it makes no difference." in asked


@pytest.mark.slow
def test_a_coil_that_hangs_in_a_kettle_of_feet_gets_hooks(tmp_path: Path) -> None:
    """The words of the work follow the coil, not its kettle."""
    kettle = oc.read(house(tmp_path))
    hung = {"stands": "hangs", "feet_height": None, "hangs_below_rim": "5 in"}
    for changes, part, other in (({}, "feet", "hooks"), (hung, "hooks", "feet")):
        work = oc.plan_work(str(written(tmp_path / "mine.toml", **changes)), kettle)
        assert work.buildable
        work.save(tmp_path / "sheet-page.html")
        page = on_page(tmp_path).lower()
        assert re.search(rf"\b{part}\b", page) and not re.search(rf"\b(bend|the|on|wire for) {other}\b", page)


def test_feet_that_nobody_measured_are_asked_for(tmp_path: Path) -> None:
    rating = oc.rate(str(written(tmp_path / "mine.toml", feet_height=None)), oc.read(house(tmp_path)))
    assert [text for text in rating.warnings if text.startswith("how high are the feet? 1 in taken")]


@pytest.mark.slow
def test_a_saved_coil_is_asked_nothing(optichill: Run, tmp_path: Path) -> None:
    kettle, coil = house(tmp_path), tmp_path / "c.toml"
    assert optichill("recommend", kettle, "--save-coil", coil).status == 0
    assert "stand?" not in optichill("check", kettle, "--coil", coil).out


# --- the example to measure into ---------------------------------------------------------------------------


def test_init_writes_a_coil_file_and_nothing_else(optichill: Run, tmp_path: Path) -> None:
    done = optichill("init", tmp_path / "mine", "--coil")
    assert done.status == 0 and [path.name for path in (tmp_path / "mine").iterdir()] == ["coil.toml"]
    file = tmp_path / "mine" / "coil.toml"
    assert file.read_bytes() == packaged("coil.toml").read_bytes()
    assert f"written  {file}" in done.out and "invented" in done.out and "Nothing else" in done.out
    assert f"optichill check --coil {file}" in done.out
    file.write_text("mine", encoding="utf-8")
    kept = optichill("init", tmp_path / "mine", "--coil")
    assert kept.status == 0 and f"kept     {file}" in kept.out and file.read_text(encoding="utf-8") == "mine"
    assert optichill("init", tmp_path / "mine", "--coil", "--force", *US).status == 0
    assert file.read_bytes() == packaged("us/coil.toml").read_bytes()


def test_a_coil_file_beside_a_brewhouse_has_its_units(optichill: Run, tmp_path: Path) -> None:
    assert optichill("init", tmp_path, "--yes", *US).status == 0
    done = optichill("init", tmp_path, "--coil")
    assert (tmp_path / "coil.toml").read_bytes() == packaged("us/coil.toml").read_bytes()
    assert f"optichill check {tmp_path / 'brewhouse.toml'} --coil {tmp_path / 'coil.toml'}" in done.out


def test_the_help_and_the_page_of_keys_name_it(optichill: Run) -> None:
    assert "coil.toml" in optichill("init", "--help").out
    keys = optichill("check", "--keys").out
    assert "optichill init --coil" in keys
    for key in ("string_round", "inside_across", "stands", "feet_height", "hangs_below_rim"):
        assert re.search(f"(?m)^{key} ", keys)


GOLDEN = {
    "coil.toml": (0.010, 0.25, 0.015, 11.0, 10.0, 0.025),
    "us/coil.toml": (0.009525, 0.257175, 0.0146844, 8.0, 7.62, 0.0254),
}
"""Tube, middle of it across, pitch, turns, length, feet: by hand from the files, 17.5 cm less a tube over 11
turns, 5 in less a tube over 8."""


@pytest.mark.parametrize("name", GOLDEN)
def test_the_example_reads_as_it_was_measured(name: str) -> None:
    coil = oc.read(coil=CATALOGS / name).coil
    assert coil is not None
    tube, mean, pitch, turns, length, feet = GOLDEN[name]
    assert coil.outer_diameter == pytest.approx(tube) and coil.turns == turns
    assert (coil.mean_diameter, coil.pitch) == pytest.approx((mean, pitch), rel=1e-5)
    assert coil.takes == pytest.approx(length)
    assert coil.lowest_turn_height == pytest.approx(feet + tube / 2.0)
    usual = {"coil.toml": 0.001, "us/coil.toml": 0.032 * 0.0254}[name]
    assert coil.wall == pytest.approx(usual, rel=0.02)


@pytest.mark.parametrize("name", GOLDEN)
def test_the_example_is_read_beside_its_kettle_without_a_word(name: str) -> None:
    problem = oc.read(CATALOGS / Path(name).parent, coil=CATALOGS / name)
    document = problem.to_dict()
    assert document["warnings"] == [] and document["buildable"] is True


def test_check_says_what_follows_from_what_was_measured(optichill: Run) -> None:
    """11 turns of 25 cm at 15 mm are 11 sqrt((pi 250)^2 + 15^2) mm = 8.64 m: of 10 m, 68 cm for each end."""
    said = flat(optichill("check", "--coil", CATALOGS / "coil.toml").out)
    assert "COIL copper, 10 mm outside, 0.99 mm wall, by its weight; one layer" in said
    assert "11 turns, 5 mm open between them; 26 cm across, 17.5 cm tall" in said
    assert "8.6 m of tube in the turns, 68 cm for each end" in said
    assert "on feet, the middle of the lowest turn 30 mm above the kettle's floor" in said


@pytest.mark.parametrize("name", GOLDEN)
def test_every_key_of_the_example_may_be_taken(tmp_path: Path, name: str) -> None:
    """Each line behind a sign is a key that is read, what it stands in for left out; so are its layers."""
    text = (CATALOGS / name).read_text(encoding="utf-8")
    sound = oc.read(coil=CATALOGS / name).coil
    assert sound is not None
    swaps = {
        "wall": "weight",
        "string_round": "outside_across",
        "inside_across": "outside_across",
        "hangs_below_rim": "feet_height",
    }
    for key, instead in swaps.items():
        changed = re.sub(f"(?m)^{instead} = .*$", "", text)
        changed = re.sub(f"(?m)^# ({key} = )", r"\1", changed, count=1)
        if key == "hangs_below_rim":
            changed = changed.replace('stands = "feet"', 'stands = "hangs"')
        (tmp_path / "c.toml").write_text(changed, encoding="utf-8")
        problem = oc.read(CATALOGS / Path(name).parent, coil=tmp_path / "c.toml")
        assert problem.coil is not None and problem.warnings == ()
        assert problem.coil.mean_diameter == pytest.approx(sound.mean_diameter, abs=0.002)
    head, layers = text.split("# layout = ")
    head = re.sub("(?m)^(turns|outside_across|overall_height) = .*$", "", head)
    both = f"{head}layout = " + re.sub("(?m)^# ?", "", layers)
    longer = re.sub(
        'bought_length = "(.*?)( m| ft)"', r'riser_length_in = "50 cm"\nriser_length_out = "40 cm"', both
    )
    (tmp_path / "two.toml").write_text(longer, encoding="utf-8")
    two = oc.read(CATALOGS / Path(name).parent, coil=tmp_path / "two.toml").coil
    assert (
        two is not None and len(two.layers) == 2 and two.layers[0].mean_diameter > two.layers[1].mean_diameter
    )


@pytest.mark.slow
@pytest.mark.parametrize(("name", "kettle"), [("coil.toml", ()), ("us/coil.toml", (CATALOGS / "us",))])
def test_the_example_is_taken_by_every_command_without_a_word_against_it(
    optichill: Run, tmp_path: Path, name: str, kettle: tuple[Path, ...]
) -> None:
    for command in COMMANDS:
        done = optichill(
            command, *kettle, "--coil", CATALOGS / name, "--out", tmp_path / "out", "--json", tmp_path / "j"
        )
        assert done.status == 0
        document = json.loads((tmp_path / "j").read_text(encoding="utf-8"))
        assert document["buildable"] is True and document["stops"] == []
        assert "measure again" not in done.out and "stand?" not in done.out
    assert "Coil: " not in on_page(tmp_path / "out")


def test_a_link_that_leads_nowhere_is_a_file_and_no_id(
    optichill: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """As in a folder that came from elsewhere: what is wrong with it is told, not that no file is there."""
    monkeypatch.chdir(tmp_path)
    (tmp_path / "round").symlink_to("round")
    (tmp_path / "gone").symlink_to("away")
    for name, why in (("round", "cannot be read: "), ("gone", "not found")):
        done = optichill("check", house(tmp_path), "--coil", name)
        assert done.status == 4 and f"{name}: file: {why}" in flat(done.err)
