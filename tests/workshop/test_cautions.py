"""The cautions are there, one sentence group per danger, and can be picked by situation."""

import pytest

from optichill.workshop.cautions import CAUTIONS, cautions_for


@pytest.mark.parametrize(
    "word",
    ["scald", "steam", "boils over", "unplug", "vacuum breaker", "lead-free", "residual current",
     "cadmium", "chlorine", "peroxide", "sour wort", "frost", "galvanised", "Local codes"],
)  # fmt: skip
def test_each_danger_is_named(word):
    assert word.lower() in " ".join(sentence for _, sentence in CAUTIONS).lower()


def test_situations_are_unique_and_pick_in_the_tables_order():
    situations = [situation for situation, _ in CAUTIONS]
    assert len(situations) == len(set(situations))
    assert cautions_for() == tuple(sentence for _, sentence in CAUTIONS)
    assert cautions_for("frost", "always") == (CAUTIONS[0][1], CAUTIONS[-1][1])
    with pytest.raises(KeyError, match="volcano"):
        cautions_for("volcano")
