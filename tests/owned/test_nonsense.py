"""Logs that no chill can have are refused, with what they may be instead; what only differs is fitted.

The bound on fast chills is that of water which leaves as warm as the wort (rating.floor); the rest is told by
what the readings are: no wort becomes colder than its water (second law)."""

from __future__ import annotations

import numpy as np
import pytest

import optichill as oc
from optichill.model.cooldown_log import CooldownLog
from optichill.owned.calibrate.readings import NothingToFit

COIL = {"material": "copper", "outer_diameter": "10 mm", "wall": "1 mm", "mean_diameter": "24 cm",
        "pitch": "16 mm", "turns": 10, "riser_length_in": "60 cm", "riser_length_out": "40 cm"}  # fmt: skip


def log(minutes: list[float], degrees: list[float], **more: float) -> CooldownLog:
    return CooldownLog("mine", 60.0 * np.array(minutes), np.array(degrees) + 273.15, **more)


WORT = [98.0, 68.0, 48.0, 36.0, 28.0, 23.0]
AT = [0.0, 5.0, 10.0, 15.0, 20.0, 25.0]


@pytest.mark.parametrize(
    ("minutes", "degrees", "said"),
    [
        ([t / 60.0 for t in AT], WORT, "is the column time_min, not time_s"),
        ([t * 60.0 for t in AT], WORT, "as seconds these times make sense"),
        (AT[:4], [98.0, 13.0, 12.5, 12.0], "no coil|of no chill|times as fast as this coil"),
        (AT, [*WORT[:4], 12.0, 5.0], "5 °C at minute 25, colder than the coldest water of the plan"),
    ],
    ids=["minutes as seconds", "seconds as minutes", "cold at once", "colder than the tap"],
)
def test_what_no_chill_can_have_is_refused(minutes: list[float], degrees: list[float], said: str) -> None:
    with pytest.raises(NothingToFit, match=f"^mine: .*({said}).*allowed: "):
        oc.calibrate(oc.read(), COIL, log(minutes, degrees))


def test_one_reading_that_is_a_slip_is_none_of_it() -> None:
    found = oc.calibrate(oc.read(), COIL, log(AT, [98.0, 68.0, 84.0, 36.0, 28.0, 23.0]))
    assert found.fit.batches[0].used.tolist().count(False) == 1
