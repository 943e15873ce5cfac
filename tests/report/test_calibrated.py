"""CALIBRATED: what is said of a calibration that is in use, and of what in it does not count."""

from __future__ import annotations

from dataclasses import replace

import kits
import numpy as np
import pytest
import small_calibration

from optichill.files.reading import Inputs, load
from optichill.model.calibration import Calibration
from optichill.owned.calibrate.fit import STANDS
from optichill.problem.uncertain import prior_names
from optichill.report import calibrated
from optichill.report.screen import not_sure
from optichill.thermal.deviates import COLUMNS


@pytest.fixture
def inputs(tmp_path: object) -> Inputs:
    kits.write_kit(tmp_path)
    return load(tmp_path / "brewhouse.toml")  # type: ignore[operator]


def law(inputs: Inputs, *learnt: str, **priors: str) -> Calibration:
    """Of the very brewhouse, with other priors where they are named."""
    house = inputs.brewhouse
    made = small_calibration.fitted().calibration
    cov = np.eye(made.cov.shape[0])
    for name in learnt:
        cov[COLUMNS.index(name), COLUMNS.index(name)] = 0.2
    return replace(made, cov=cov, priors=prior_names(house, house.wort.moves) | priors)


def test_what_was_learnt_and_does_not_count_is_named(inputs: Inputs) -> None:
    said = " ".join(calibrated.sentences(inputs.brewhouse, law(inputs, "speed", speed="another spoon")))
    assert "what was learnt of it (how fast your stirring moves the wort) is not used" in said


def test_of_what_nothing_was_learnt_nothing_is_lost(inputs: Inputs) -> None:
    """Wort that was left alone taught nothing of stirring; its film counts on."""
    said = " ".join(calibrated.sentences(inputs.brewhouse, law(inputs, "still", speed="nothing")))
    assert "stirred otherwise" in said and "nothing was learnt of that for itself" in said
    assert "learnt: film of still wort" in said and "is not used" not in said


def test_a_copied_file_is_told_by_the_name_of_its_brewhouse(inputs: Inputs) -> None:
    name = inputs.brewhouse.name
    for measured, told in (("Tall Cellar", True), (name, False), ("", False)):
        said = " ".join(
            calibrated.sentences(inputs.brewhouse, replace(law(inputs, "still"), brewhouse=measured))
        )
        assert (f"it was measured in Tall Cellar, this is {name}" in said) == told


def test_what_was_doubted_is_said_wherever_the_calibration_is_used(inputs: Inputs) -> None:
    """Two batches that contradict each other, and one whose volume was not the one told; nothing without."""
    made = law(inputs, "still")
    (batch,) = made.batches
    sure = replace(made, batches=(batch,))
    monday, tuesday = (
        replace(batch, log=name, doubts=kinds)
        for name, kinds in (("Monday", ("day",)), ("Tuesday", ("volume", "day")))
    )
    both = replace(made, batches=(monday, tuesday))
    said = " ".join(calibrated.sentences(inputs.brewhouse, both))
    assert "Monday and Tuesday contradict each other" in said and "as wide as both" in said
    assert "a doubt stands about Tuesday (cools as another volume would)" in said
    plain = " ".join(calibrated.sentences(inputs.brewhouse, sure))
    assert "contradict" not in plain and "doubt" not in plain
    told = calibrated.in_use(inputs.brewhouse, both)
    assert isinstance(told, dict)
    assert {"log": "Tuesday", "kind": "volume"} in told["doubts"] and len(told["doubts"]) == 3


def test_every_doubt_that_stands_has_words() -> None:
    assert set(calibrated.DOUBTED) == STANDS - {"day"}


def test_what_batches_taught_is_not_asked_for(inputs: Inputs) -> None:
    """Nor how wort is stirred that is left alone."""
    asks = "how much you stir: time your next batch"

    def said(made: Inputs) -> str:
        return " ".join(" ".join(not_sure(made)).split())

    assert asks in said(inputs)
    assert asks in said(replace(inputs, calibration=law(inputs, "still")))
    assert asks not in said(replace(inputs, calibration=law(inputs, "speed")))
    house = inputs.brewhouse
    alone = house.model_copy(update={"wort": house.wort.model_copy(update={"mixing": "left alone"})})
    assert asks not in said(replace(inputs, brewhouse=alone))
