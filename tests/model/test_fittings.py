"""What is said of hoses and joints that do not go together, and how older lists are read."""

from __future__ import annotations

from pathlib import Path

import kits
import pytest

from optichill.files.reading import load

HEAD = "fitting_id,outer_diameter,bore,joint,used_at,per,owned,price\n"
BARBS = "e-10,10 mm,12.5 mm,compression,,piece,no,4\ne-38,3/8 in,1/2 in,compression,,piece,no,4\n"
TEE = "tee,,,barb,tee,piece,no,4\n"


def said(folder: Path, fittings: str) -> tuple[str, ...]:
    return load(kits.write_kit(folder, fittings=fittings)).warnings


@pytest.mark.parametrize(
    ("rows", "warnings"),
    [
        (BARBS + "hose,,12.5 mm,,outlet,m,no,4\n", ()),
        (BARBS + "hose,,,,outlet,m,no,4\n", ("fittings.csv tells no bore of a hose: taken to be 12.5 mm",)),
        (
            BARBS + "hose,,10 mm,,outlet,m,no,4\n",
            ("fittings.csv:5: hose: hose of 10 mm bore, the flow is reckoned with 12.5 mm: it is left out",),
        ),
        (
            "push,,,hose and clamp,,piece,no,2\n",
            (
                "fittings.csv has no ends that join 12.5 mm hose, reckoned with, to tube of 9.5 mm "
                "(fittings.csv:3: the hose is loose on it), 10 mm (fittings.csv:3: the hose is loose on it)",
            ),
        ),
        (
            BARBS.replace("12.5 mm", "19 mm"),
            (
                "fittings.csv has no ends that join 12.5 mm hose, reckoned with, to tube of 10 mm "
                "(fittings.csv:3, for 19 mm hose)",
            ),
        ),
    ],
)
def test_joints_and_hoses_that_do_not_go_together_are_told(
    tmp_path: Path, rows: str, warnings: tuple[str, ...]
) -> None:
    """The tap's hose is of 12.5 mm bore, the tube of 9.5 and 10 mm."""
    found = said(tmp_path, HEAD + TEE + rows)
    assert found == warnings


def test_a_list_without_the_column_is_read(tmp_path: Path) -> None:
    """Before there was a column for bores: ends are taken to end in a hose thread, and fit."""
    rows = [line.split(",") for line in kits.FITTINGS.splitlines()]
    bore = rows[0].index("bore")
    older = "".join(",".join(row[:bore] + row[bore + 1 :]) + "\n" for row in rows)
    assert said(tmp_path, older) == ()
    assert {f.bore for f in load(tmp_path / "brewhouse.toml").stock.fittings} == {None}
