"""Stand-in."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from optichill.model.calibration import Batch, Calibration, MeasuredCoil
from optichill.owned.fit import Advice, Doubt, Fit, FittedBatch, Learnt, MeasuredBatch
from optichill.problem.basis import DesignBasis
from optichill.problem.uncertain import prior_names
from optichill.rating.coil_rating import rate
from optichill.thermal.deviates import COLUMNS
from optichill.thermal.priors import PRIORS, Z_90


def calibrate(basis: DesignBasis, batches: Sequence[MeasuredBatch]) -> Fit:
    fitted = []
    for b in batches:
        c = rate(basis, b.coil).curve
        t, T = b.log.time, b.log.wort
        scales = np.geomspace(0.4, 2.5, 200)
        err = [np.sqrt(np.mean((np.interp(t, c.time * s, c.wort) - T) ** 2)) for s in scales]
        s = scales[int(np.argmin(err))]
        fitted.append(
            FittedBatch(
                b,
                t,
                T,
                np.interp(t, c.time * s, c.wort),
                np.ones(t.size, bool),
                c.time * s,
                c.wort,
                np.interp(c.time * s, c.time, c.wort),
                float(min(err)),
                basis.hot_volume,
                None,
            )
        )
    names = prior_names(basis.brewhouse, basis.scenario.mixing)
    n = len(COLUMNS) + 1
    coils = {b.coil_name: MeasuredCoil.of(b.coil, b.coil_name) for b in batches}
    mean, cov = np.zeros(n + len(coils)), np.eye(n + len(coils))
    k = COLUMNS.index("speed")
    mean[k], cov[k, k], cov[n - 1, n - 1] = -0.8, 0.2, 0.5
    learnt = []
    for i, name in enumerate((*COLUMNS, "tank")):
        p = PRIORS.get(names.get(name, name)) or PRIORS["still"]
        sd = cov[i, i] ** 0.5
        after = tuple(float(p.at(mean[i] + d * sd)) for d in (-Z_90, 0, Z_90))
        learnt.append(Learnt(name, p.what, (p.p10, p.median, p.p90), after, p.unit, bool(sd < 0.8)))
    cal = Calibration(
        tuple(coils.values()),
        mean,
        cov,
        names,
        (basis.brewhouse.kettle.inside_diameter, basis.brewhouse.kettle.inside_height),
        tuple(Batch(f.batch.log.name, f.batch.coil_name, f.time.size, f.misses) for f in fitted),
    )
    return Fit(
        cal,
        tuple(learnt),
        tuple(fitted),
        (Doubt(batches[0].log.name, "coil", {"slower": 1.4}),),
        (Advice("steady", 0.3, {}), Advice("reading", 0.1, {"time": 720.0})),
    )
