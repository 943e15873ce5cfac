"""What pumps, buckets and ice have to bear in a chill: how far each comes, and how far it may."""

from __future__ import annotations

from collections import defaultdict

import numpy as np

from optichill.arrays import Array
from optichill.problem.basis import DesignBasis
from optichill.thermal.cooldown import Chill


def borne(basis: DesignBasis, result: Chill) -> dict[str, tuple[Array, Array]]:
    """By limit the value of each design, shape (designs,), and its bound, in the stage that comes nearest to
    it: water [m3] that a bucket hands on against what its fillings hold, a vessel's highest temperature [K]
    against the pump's rating, ice melted [kg] against what is put in. Only limits that the plan has."""
    ratings = {p.pump_id: p.max_temperature for p in basis.pumps}
    found: dict[str, list[tuple[Array, float]]] = defaultdict(list)
    for stage, end in zip(basis.brewhouse.cooling, result.stages, strict=True):
        if stage.pump is not None:
            if stage.source == "bucket" and stage.return_ == "drain" and "refills" in stage.model_fields_set:
                held = (1 + stage.refills) * (stage.bucket if stage.water is None else stage.water)
                found["bucket"].append((end.water, held))
            if np.isfinite(end.T_hottest).any():
                found["pump_rating"].append((end.T_hottest, ratings[stage.pump]))
        if stage.ice:
            found["ice"].append((end.melted, stage.ice))
    return {name: _nearest(stages) for name, stages in found.items()}


def _nearest(stages: list[tuple[Array, float]]) -> tuple[Array, Array]:
    """Value and bound of the stage that comes nearest to its bound, for each design."""
    values, bounds = np.array([v for v, _ in stages]), np.array([b for _, b in stages])
    worst = np.argmax(values / bounds[:, None], axis=0)
    return values[worst, np.arange(worst.size)], bounds[worst]
