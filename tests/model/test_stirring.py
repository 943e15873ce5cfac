"""How a brewer says that wort is stirred: a table, the same in one text, the words and speeds that stood."""

from __future__ import annotations

from typing import Any

import pytest
from pydantic import ValidationError

from optichill.model.heard import FROM_TEXT
from optichill.model.wort import Wort
from optichill.thermal.batch import Mixing


def read(mixing: Any) -> Wort:
    return Wort.model_validate({"volume": "20 L", "mixing": mixing}, context=FROM_TEXT)


@pytest.mark.parametrize(
    ("text", "table"),
    [
        ("paddle, slow, 15 s a minute", {"with": "paddle", "motion": "slow", "seconds_a_minute": 15}),
        ("spoon, brisk", {"with": "spoon", "motion": "brisk"}),
        ("coil, slow, 7.5 sec a minute", {"with": "coil", "motion": "slow", "seconds_a_minute": 7.5}),
        ("whirlpool pump, 20 s a minute", {"with": "whirlpool pump", "seconds_a_minute": 20}),
    ],
)
def test_one_text_says_what_the_table_says(text: str, table: dict[str, Any]) -> None:
    in_text, in_table = read(text), read(table)
    assert in_text.mixing == in_table.mixing and in_text.moves == in_table.moves
    assert in_text.moves.share == table.get("seconds_a_minute", 60) / 60
    assert in_table.mixing.table == {"seconds_a_minute": 60.0, **table}  # type: ignore[union-attr]
    assert Wort.model_validate({"volume": 0.02, "mixing": in_table.mixing}).moves == in_table.moves
    assert in_table.all_along == Mixing.stirred(table["with"], table.get("motion"), 1.0)


def test_words_and_speeds_stay_as_they_were() -> None:
    for word in ("left alone", "now and then", "steady", "whirlpool pump", "vigorous"):
        assert read(word).mixing == word and read(word).moves == Mixing.of(word)
    assert read("10 cm/s").moves == Mixing.of(0.1)
    assert read("10 cm/s").all_along == Mixing.of("steady")


@pytest.mark.parametrize(
    ("mixing", "key", "allowed"),
    [
        ("paddle", "motion", "slow, brisk"),
        ("paddle, fast", "motion", "slow, brisk"),
        ("spoon, slow, soon s a minute", "seconds_a_minute", "a number"),
        ({"with": "ladle", "motion": "slow"}, "with", "spoon, paddle, coil, whirlpool pump"),
        ({"with": "whirlpool pump", "motion": "slow"}, "motion", "leave it out"),
        ({"with": "spoon", "motion": "slow", "seconds_a_minute": 75}, "seconds_a_minute", "0 to 60"),
        ({"with": "spoon", "motion": "slow", "seconds_a_minute": -1}, "seconds_a_minute", "0 to 60"),
        ({"with": "spoon", "motion": "slow", "seconds_a_minute": 0}, "seconds_a_minute", '"left alone"'),
        ("spoon, slow, 0 s a minute", "seconds_a_minute", '"left alone"'),
        ("furiously", "mixing", "paddle, slow, 15 s a minute"),
        ([15], "mixing", "paddle, slow, 15 s a minute"),
    ],
)
def test_what_is_no_way_to_stir_is_refused_with_what_is_allowed(mixing: Any, key: str, allowed: str) -> None:
    with pytest.raises(ValidationError) as refused:
        read(mixing)
    (fault,) = refused.value.errors()
    assert key in (*fault["loc"], fault["ctx"].get("key")) and allowed in fault["ctx"]["allowed"]
