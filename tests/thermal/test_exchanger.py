"""What the ways in which wort moves have in common is worked out once, and is what each alone comes to."""

import numpy as np

from optichill.thermal.exchanger import Wall, exchange
from optichill.thermal.film_tables import coolant_films, wort_films
from optichill.thermal.priors import Factors

STILL, STIRRED = (), ((0.05, 1.0),)


def test_a_rough_look_at_two_ways_asks_the_flow_once() -> None:
    wall = Wall.of(
        d_o=np.array([0.010]), d_i=np.array([0.008]), k=np.array([339.0]), D_c=np.array([0.25]),
        pitch=np.array([0.015]), wetted_length=np.array([10.0]), factors=Factors(),
    )  # fmt: skip
    asked = []

    def flow(T: np.ndarray) -> np.ndarray:
        asked.append(T)
        return np.full_like(T, 1e-4)

    def heat(*ways: tuple[tuple[float, float], ...], sweeps: int) -> list[float]:
        films, coolant = wort_films(12.0, True), coolant_films(True)
        T_b, T_in = np.array([[333.15]]), np.array([285.15])
        found = exchange(wall, T_b, T_in, films=films, coolant=coolant, flow=flow, ways=ways, sweeps=sweeps)
        return [float(e.Q[0, 0]) for e in found]

    both = heat(STILL, STIRRED, sweeps=0)
    assert len(asked) == 1 and both[0] < both[1]
    for sweeps in (0, 2):
        assert heat(STILL, STIRRED, sweeps=sweeps) == [
            heat(way, sweeps=sweeps)[0] for way in (STILL, STIRRED)
        ]
