"""The cautions are there, one sentence group per danger, and can be picked by situation."""

import pytest

from optichill.materials import COPPER, STAINLESS_304
from optichill.workshop.cautions import CAUTIONS, cautions_for


@pytest.mark.parametrize(
    "word",
    ["scald", "steam", "boils over", "unplug", "vacuum breaker", "lead-free", "residual current",
     "cadmium", "chlorine", "peroxide", "sour wort", "frost", "galvanised", "Local codes"],
)  # fmt: skip
def test_each_danger_is_named(word):
    assert word.lower() in " ".join(cautions_for(metal=COPPER)).lower()


def test_situations_are_unique_and_pick_in_the_tables_order():
    situations = [situation for situation, _ in CAUTIONS]
    assert len(situations) == len(set(situations))
    assert len(cautions_for(metal=COPPER)) == len(CAUTIONS)
    assert cautions_for("frost", "always") == (CAUTIONS[0][1], CAUTIONS[-1][1])
    with pytest.raises(KeyError, match="volcano"):
        cautions_for("volcano")


def test_what_hangs_on_the_metal_is_said_of_that_metal_only():
    with pytest.raises(KeyError, match="cleaning"):
        cautions_for("cleaning")
    assert not [text for text in cautions_for() if "copper" in text or "{" in text]
    assert cautions_for(metal=STAINLESS_304) != cautions_for(metal=COPPER)
    assert cautions_for("sour wort", metal=STAINLESS_304) == ()
    assert "acid takes up copper" in cautions_for("sour wort", metal=COPPER)[0]
