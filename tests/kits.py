"""A small complete brewhouse in a folder, for tests that bend one thing at a time."""

from __future__ import annotations

from pathlib import Path

import pytest

from optichill.errors import InputFaults
from optichill.files.reading import load

BREWHOUSE = """\
name = "Test kettle"

[kettle]
inside_diameter = "36 cm"
inside_height = "40 cm"

[wort]
volume = "23 L"

[tap]
temperature = "12 degC"
open_flow = "10 L in 45 s"
"""
TUBING = """\
stock_id,description,material,temper,outer_diameter,wall,length,price,owned,checked,source
b-roll,soft,copper,annealed,10 mm,1 mm,15 m,59,no,2026-11-01,invented
a-roll,soft,copper,annealed,3/8 in,0.032 in,50 ft,61,no,2026-11-01,invented
"""
FORMS = """\
form_id,description,outer_diameter,circumference,height,open_end,owned,price
pot,pot,25 cm,,22 cm,yes,yes,
tin,tin,,72.5 cm,24 cm,yes,no,6
"""
BENDERS = """\
bender_id,kind,outer_diameter,bend_radius,owned,price
lever,lever,10 mm,30 mm,no,28
"""
FITTINGS = """\
fitting_id,description,outer_diameter,bore,joint,used_at,per,owned,price
end-10,end,10 mm,12.5 mm,compression,,,no,7
end-3/8,end,3/8 in,,compression,,piece,no,7
tee,tee,,,hose and clamp,tee,,no,4
wire,wire,,,,turns,m,no,0.8
"""
PUMPS = """\
pump_id,description,curve,max_flow,max_head,max_temperature,owned,price
small,pump,0 L/min @ 3.5 m; 5 L/min @ 3.0 m; 12 L/min @ 0 m,,,45 degC,no,29
big,pump,,19 L/min,3.4 m,110 degC,no,95
"""
FILES = {
    "brewhouse.toml": BREWHOUSE,
    "tubing.csv": TUBING,
    "forms.csv": FORMS,
    "benders.csv": BENDERS,
    "fittings.csv": FITTINGS,
    "pumps.csv": PUMPS,
}
COIL = """\
[coil]
material = "copper"
outer_diameter = "10 mm"
wall = "1 mm"
mean_diameter = "26 cm"
pitch = "17 mm"
turns = 10.5
lowest_turn_height = "30 mm"
riser_length_in = "50 cm"
riser_length_out = "35 cm"
"""


def write_kit(folder: Path, **texts: str) -> Path:
    """All files of the kit, some replaced: write_kit(tmp_path, tubing="...")."""
    for name, text in FILES.items():
        stem = name.split(".")[0]
        (folder / name).write_bytes(texts.get(stem, text).encode("utf-8"))
    return folder


def faults_of(folder: Path, coil: Path | None = None) -> list[str]:
    with pytest.raises(InputFaults) as caught:
        load(folder, coil)
    return [str(fault).replace(f"{folder}/", "") for fault in caught.value.faults]
