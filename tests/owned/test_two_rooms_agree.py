"""What becomes of a coil in a new kettle is told twice: of one that is owned, and of one that is to be
bought. It is one answer."""

from __future__ import annotations

import pytest

from optichill import api
from optichill.files.reading import packaged
from optichill.owned.new_kettle.ranked import new_kettle
from optichill.search.next_kettle import with_regard


@pytest.mark.slow
def test_turns_that_stay_dry_are_no_reason_to_buy_again() -> None:
    """The tall coil of the example in the broad pan: a third of it stays above the wort, and it chills."""
    old, new = api.read(packaged("brewhouse.toml")), api.read(packaged("wide/brewhouse.toml"))
    regard = with_regard(old.basis, new.basis)
    assert regard is not None and regard.plain.kept
    plain = regard.plain
    answer = new_kettle(old.basis, new.basis, api.rate(plain.design, old).coil)
    keep = next(option for option in answer.options if option.name == "keep")
    assert keep.rating.wet_share < 0.8
    then, owned = plain.there.design.prediction.told.time, keep.rating.prediction.told.time
    assert then is not None and owned is not None
    # Its risers are as long as both rims ask, which cools a little more.
    assert then == pytest.approx(owned, abs=60.0)
