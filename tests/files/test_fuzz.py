"""Mangled files: either they are read or every fault has a place, and nothing else ever happens."""

from __future__ import annotations

import tempfile
from pathlib import Path

import kits
from hypothesis import given, settings
from hypothesis import strategies as st
from tiers import count

from optichill.errors import InputFaults
from optichill.files.reading import load

_PLAN = """
[[cooling]]
source = "tap"
until = "35 degC"
[[cooling]]
hold = "5 min"
[[cooling]]
source = "bucket"
until = "25 degC"
pump = "small"
water = "15 L"
water_temperature = "10 degC"
[[cooling]]
source = "ice bath"
pump = "big"
water = "8 L"
ice = "6 kg"
return_under_water = false
lift = "80 cm"
"""

_SNIPPETS = st.sampled_from(
    ["", "0", "-1", "nan", "inf", '"', "'", ",", ";", "\n", "\r\n", "\t", "[", "]", "{", "}", "=", "x = 1\n",
     "[[cooling]]\n", '"5 L"', "36 cm", "[1, 2]", "{ good = 1 }", "true", "1e999", "2026-11-01", "é", "#",
     "until", "best", "hold = 3", '"""', "\N{MINUS SIGN}", " " * 40, "9" * 70, "\x00", "\ufeff"]
)  # fmt: skip
_NAMES = st.sampled_from([*kits.FILES, "coil.toml"])
_CHANGES = st.lists(
    st.tuples(_NAMES, st.floats(0, 1, allow_nan=False), st.integers(0, 25), _SNIPPETS), min_size=1, max_size=4
)


@settings(max_examples=count(200, 5000), deadline=None)
@given(_CHANGES)
def test_mangled_files(changes: list[tuple[str, float, int, str]]) -> None:
    texts = {**kits.FILES, "coil.toml": kits.COIL}
    texts["brewhouse.toml"] += _PLAN
    for name, place, cut, snippet in changes:
        at = int(place * len(texts[name]))
        texts[name] = texts[name][:at] + snippet + texts[name][at + cut :]
    with tempfile.TemporaryDirectory() as folder:
        for name, text in texts.items():
            (Path(folder) / name).write_bytes(text.encode("utf-8"))
        try:
            inputs = load(folder, Path(folder) / "coil.toml")
        except InputFaults as error:
            assert error.faults
            for fault in error.faults:
                assert fault.reason and fault.line >= 0 and "\n" not in str(fault)
        else:
            assert inputs.brewhouse.wort.volume > 0 and inputs.coil is not None


@settings(max_examples=count(60, 1000), deadline=None)
@given(_NAMES, st.binary(max_size=60), st.floats(0, 1, allow_nan=False))
def test_any_bytes(name: str, junk: bytes, place: float) -> None:
    with tempfile.TemporaryDirectory() as folder:
        kits.write_kit(Path(folder))
        file = Path(folder) / name
        data = kits.FILES.get(name, kits.COIL).encode()
        at = int(place * len(data))
        file.write_bytes(data[:at] + junk + data[at:])
        try:
            load(folder, file if name == "coil.toml" else None)
        except InputFaults as error:
            assert all(fault.reason for fault in error.faults)
