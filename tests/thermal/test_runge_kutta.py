"""Dormand & Prince's pair against closed solutions, and step for step against scipy's."""

from pathlib import Path

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from optichill.thermal import by_scipy, runge_kutta

START, ATOL = np.array([1.0, 0.0, 3.0]), np.array([1e-8, 1e-8, 1e-6])


def rate(y: np.ndarray) -> np.ndarray:
    """A swing, and a decay that slows."""
    return np.array([y[1], -y[0], -0.5 * y[2] * abs(y[2]) ** 0.2])


def gap(y: np.ndarray) -> np.ndarray:
    return y[[0, 2]] - [0.5, 0.4]


def run(rtol: float, first: float | None = None) -> runge_kutta.Run:
    return runge_kutta.run(rate, START, 9.0, rtol=rtol, atol=ATOL, first=first, gap=gap)


@pytest.mark.parametrize("rtol", [1e-4, 1e-6])
@pytest.mark.parametrize("first", [None, 2.0])
def test_steps_and_curve_are_those_of_scipy(rtol: float, first: float | None) -> None:
    def slowest(_: float, y: np.ndarray) -> float:
        return float(gap(y).max())

    slowest.terminal = True  # type: ignore[attr-defined]
    crossings = [lambda _, y, i=i: float(gap(y)[i]) for i in range(2)]
    theirs = solve_ivp(
        lambda _, y: rate(y), (0.0, 9.0), START, rtol=rtol, atol=ATOL, first_step=first,
        events=[slowest, *crossings], dense_output=True,
    )  # fmt: skip
    ours = run(rtol, first)
    np.testing.assert_allclose(ours.t[:-1], theirs.t[:-1], rtol=1e-9)
    np.testing.assert_allclose(ours.y[:-1], theirs.y.T[:-1], rtol=1e-9, atol=1e-12)
    # The slower one's own crossing ends it.
    last, first_through, _ = theirs.t_events
    np.testing.assert_allclose(ours.crossed, [first_through[0], last[0]], rtol=1e-9)
    np.testing.assert_allclose(ours.at_crossing[1], theirs.y_events[0][0], rtol=1e-9)
    times = np.linspace(0.0, float(theirs.t[-1]), 40)
    np.testing.assert_allclose(ours.at(times), theirs.sol(times), rtol=1e-9, atol=1e-12)


def test_crossings_are_those_of_the_closed_solutions() -> None:
    # cos t = 1/2 at pi/3; dz/dt = -z^1.2/2 from 3 to 0.4 takes 10 (0.4^-0.2 - 3^-0.2).
    by_hand = [np.pi / 3.0, 10.0 * (0.4**-0.2 - 3.0**-0.2)]
    np.testing.assert_allclose(run(1e-9).crossed, by_hand, rtol=1e-7)


def test_without_an_aim_it_goes_on_to_the_end() -> None:
    held = runge_kutta.run(rate, START, 9.0, rtol=1e-6, atol=ATOL, first=None, gap=lambda y: y[:0])
    assert held.t[-1] == 9.0 and held.crossed.size == 0
    np.testing.assert_allclose(held.y[-1, :2], [np.cos(9.0), -np.sin(9.0)], atol=1e-4)


@pytest.mark.parametrize("first", [None, 2.0])
def test_scipy_s_own_gives_the_same_run(first: float | None) -> None:
    ours, theirs = (
        solver.run(rate, START, 9.0, rtol=1e-5, atol=ATOL, first=first, gap=gap)
        for solver in (runge_kutta, by_scipy)
    )
    np.testing.assert_allclose(ours.crossed, theirs.crossed, rtol=1e-9)
    np.testing.assert_allclose(ours.at_crossing, theirs.at_crossing, rtol=1e-9, atol=1e-12)
    times = np.linspace(0.0, float(theirs.t[-1]), 40)
    np.testing.assert_allclose(ours.at(times), theirs.at(times), rtol=1e-9, atol=1e-12)


def test_only_the_check_of_predict_loads_scipy_s_solver() -> None:
    # It takes a second and 50 MB, which no search need pay.
    house = Path(runge_kutta.__file__).parents[1]
    found = [f.name for f in house.rglob("*.py") if "from scipy.integrate" in f.read_text(encoding="utf-8")]
    assert found == ["by_scipy.py"]
