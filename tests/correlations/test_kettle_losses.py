"""What the kettle loses by itself, and the heat of its metal, by hand."""

from __future__ import annotations

import numpy as np
import pytest
from usual import ZERO, batch

from optichill.correlations import kettle_losses


@pytest.mark.parametrize("lid", [True, False])
def test_loss_changes_its_sign_with_the_room(lid: bool) -> None:
    """Cold wort in a warm room takes up heat; below 1.2 kPa (9.7 degC) nothing evaporates any more."""
    cold, room = 5.0 + ZERO, 25.0 + ZERO
    s = batch(T_start=cold, T_ambient=room, volume=np.pi / 4.0 * 0.36**2 * 0.19, lid=lid)
    taken_up = float(s.loss(np.asarray(cold)))
    assert taken_up < 0.0
    floor, wall = np.pi / 4.0 * 0.36**2, np.pi * 0.36 * 0.19
    convection = 1.42 * (20.0 / 0.19) ** 0.25 * -20.0
    radiation = 0.25 * 5.670374e-8 * (cold**4 - room**4)
    by_hand = floor * (8.0 if lid else 14.0) * -20.0 + wall * (convection + radiation)
    assert taken_up == pytest.approx(by_hand, rel=1e-9)


def test_no_difference_no_dry_loss() -> None:
    assert float(batch(T_ambient=300.0, lid=True).loss(np.asarray(300.0))) == 0.0
    assert float(kettle_losses.wall_loss(300.0, 300.0, 0.19)) == 0.0


def test_default_kettle_is_a_millimetre_of_stainless() -> None:
    """0.36 m wide, 0.19 m deep: 0.1018 + 0.2149 m2 of 7.93 kg/m2 at 500 J/kgK."""
    assert kettle_losses.kettle_heat_capacity(0.36, 0.19) == pytest.approx(0.31667 * 7.93 * 500.0, rel=1e-4)
    assert kettle_losses.kettle_heat_capacity(0.36, 0.19, 4.0) == 2000.0
