"""A coil that hangs by its hooks from a higher rim: its risers reach, and hold it up to the surface."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace

import new_kettles as nk
import pytest

import optichill as oc
from optichill.owned.new_kettle import kept_coil, ways
from optichill.owned.new_kettle.kept_options import Kept, keep
from optichill.owned.new_kettle.longer_risers import extend
from optichill.owned.new_kettle.option import LeftOut, Option
from optichill.owned.new_kettle.ranked import _each_for_something
from optichill.report.new_kettle.steps import how
from optichill.report.new_kettle.told import Told
from optichill.report.warnings import dry_in_the_smallest

HUNG = {"kettle": {"coil_rests": "hangs"}}


def hung(at: Path, rim: str, litres: object) -> Kept:
    """Bent for a rim of 34 cm, hung from a higher one."""
    new = {
        "kettle": {"coil_rests": "hangs", "inside_diameter": "36 cm", "inside_height": rim},
        "volume": litres,
    }
    both = (oc.read(nk.house(at / n, case)).basis for n, case in (("old", HUNG), ("new", new)))
    return Kept.of(*both, nk.coil_of(riser_length_in=0.60, riser_length_out=0.44))


def test_longer_risers_are_worked_out_where_the_old_ones_hold_it_up(tmp_path: Path) -> None:
    """A rim 10 cm higher: as it hangs its risers reach, and turns stand dry; longer ones let it down."""
    of = hung(tmp_path, "44 cm", "28 L")
    kept = keep(of)
    assert isinstance(kept, Option) and kept.rating.wet_share < 1.0
    assert not kept_coil.too_short(of.new, of.as_it_is, of.bent)
    assert of.as_it_is.lowest_turn_height > ways.heights(of.new, of.coil)[1]
    longer = extend(of)
    assert isinstance(longer, Option), longer
    assert longer.rating.wet_share == pytest.approx(1.0) and ways.keeps_top(of.new, longer.coil)
    assert longer.rating.prediction.told.time < kept.rating.prediction.told.time - 60.0
    assert longer.coil.lowest_turn_height < kept.coil.lowest_turn_height


def test_where_it_is_covered_its_risers_do(tmp_path: Path) -> None:
    found = extend(hung(tmp_path, "34 cm", "30 L"))
    assert isinstance(found, LeftOut) and found.why == "reaches"


def test_dry_turns_of_the_smallest_batch_are_told(tmp_path: Path) -> None:
    """The largest is chilled; what the smallest leaves out of the wort is said as `predict` says it."""
    of = hung(tmp_path, "44 cm", ["24 L", "28 L"])
    kept = keep(of)
    assert isinstance(kept, Option)
    (said,) = dry_in_the_smallest(kept.rating, kept.basis)
    assert "smallest batch, 24 L" in said
    told = Told(SimpleNamespace(old=of.old, new=of.new, coil=of.coil), "metric", "EUR")  # type: ignore[arg-type]
    assert said in how(kept, told)


def test_what_is_dearer_and_better_in_nothing_is_no_row(tmp_path: Path) -> None:
    """The same coil at the same height for more work goes; what spares a minute or water stays."""
    kept = keep(hung(tmp_path, "44 cm", "28 L"))
    assert isinstance(kept, Option)
    dearer = replace(
        kept,
        name="extend",
        work=replace(kept.work, hours=2.0),
        life=replace(kept.life, work=kept.life.work + 12.0),
    )
    left, idle = _each_for_something([dearer, kept])
    assert left == [kept] and [(o.name, o.why) for o in idle] == [("extend", "no_better")]
    p = kept.rating.prediction
    for told in (
        p.told._replace(time=p.told.time - 120.0),
        p.told._replace(water=0.9 * p.told.water),
    ):
        likely = replace(
            p.likely,
            time=replace(p.likely.time, p50=told.time),
            water=replace(p.likely.water, p50=told.water),
        )
        better = replace(dearer, rating=replace(kept.rating, prediction=replace(p, likely=likely)))
        assert _each_for_something([better, kept]) == ([better, kept], [])
