"""Fits what is uncertain to measured cool-downs: the model's word against a kettle's."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from optichill.arrays import Array
from optichill.model.calibration import TANK, Batch, Calibration
from optichill.owned.calibrate import elsewhere
from optichill.owned.calibrate.alike import Alike, alike, counted_less
from optichill.owned.calibrate.doubts import doubts, not_alike
from optichill.owned.calibrate.elsewhere import fits_elsewhere
from optichill.owned.calibrate.fit import STANDS, Doubt, Fit, MeasuredBatch
from optichill.owned.calibrate.holds import with_holds
from optichill.owned.calibrate.nonsense import refuse_colder_than_water, refuse_no_chill
from optichill.owned.calibrate.posterior import Posterior, posterior, roughly
from optichill.owned.calibrate.question import Question
from optichill.owned.calibrate.tells_more import tells_more
from optichill.owned.calibrate.told import learnt, rms, told_batches, zip_readings
from optichill.owned.calibrate.unknowns import OWN, Unknowns, day_share
from optichill.problem.basis import DesignBasis
from optichill.problem.uncertain import NOTHING, prior_names
from optichill.thermal.deviates import COLUMNS
from optichill.thermal.priors import PRIORS


def fitted(question: Question) -> tuple[Question, Posterior]:
    """The most likely deviates, and how far they may move; with the question as it was asked at last."""
    start = roughly(question.misses, len(question.unknowns))
    sharper = question.sharpened(start)
    return sharper, posterior(sharper.misses, start)


def calibrate(basis: DesignBasis, batches: Sequence[MeasuredBatch]) -> Fit:
    """The fit of some batches together.

    Parameters
    ----------
    basis : DesignBasis
        The brewhouse that they were brewed in; what it was taught before counts for nothing.
    batches : sequence of MeasuredBatch
        Logs with their coils; coils of the same sizes are taken for one.

    Returns
    -------
    Fit

    Raises
    ------
    NothingToFit
        A log of fewer than three readings, or of wort that hardly cools; one of no chill by this plan.
    """
    asked = Question.of(basis, with_holds(basis, batches))
    refuse_colder_than_water(basis, asked)
    question, found = fitted(asked)
    told = told_batches(question, found)
    between = alike(question, found)
    law = calibration_of(basis, question, found, between)
    hung = fits_elsewhere(basis, question)
    doubted = (*elsewhere.doubted(hung), *doubts(basis, question, found, told), *not_alike(question, between))
    refuse_no_chill(basis, question, found, doubted, hung)
    return Fit(
        with_doubts(law, doubted),
        learnt(question, found, law),
        told,
        doubted,
        tells_more(basis, question, found),
    )


def with_doubts(law: Calibration, doubted: Sequence[Doubt]) -> Calibration:
    """The law, whose batches say what of them is doubted still: whoever leans on it is told."""
    batches = tuple(
        replace(one, doubts=tuple(d.kind for d in doubted if d.log == one.log and d.kind in STANDS))
        for one in law.batches
    )
    return replace(law, batches=batches)


def calibration_of(
    basis: DesignBasis, question: Question, found: Posterior, between: Alike | None = None
) -> Calibration:
    """What lasts, for a batch on another day."""
    priors = lasting_priors(basis, question.unknowns, found)
    mean, cov = law_of_another_day(question, found, priors, between or alike(question, found))
    kettle = basis.brewhouse.kettle
    batches = []
    for one, where in zip_readings(question):
        missed = (found.misses[where] * one.sigma)[found.kept[where] > 0.5]
        coil = question.coils[one.trial.coil].name
        batches.append(Batch(one.batch.log.name, coil, one.readings.count, rms(missed)))
    return Calibration(
        question.coils,
        mean,
        cov,
        priors,
        (kettle.inside_diameter, kettle.inside_height),
        tuple(batches),
        basis.brewhouse.name,
    )


def law_of_another_day(
    question: Question, found: Posterior, priors: dict[str, str], between: Alike
) -> tuple[Array, Array]:
    """Mean and covariance. Batches that were not cooled alike teach less, and the next is as far off as they
    are from each other: whatever it was, it is all of a chill's time."""
    pick, anew = for_another_day(question, priors)
    lasts = pick.any(axis=0)
    mean, cov = counted_less(found.mean[lasts], found.cov[np.ix_(lasts, lasts)], between.ratio)
    anew[len(COLUMNS)] += between.another_day / PRIORS[TANK].sd ** 2
    pick = pick[:, lasts]
    return pick @ mean, pick @ cov @ pick.T + np.diag(anew)


def lasting_priors(basis: DesignBasis, unknowns: Unknowns, found: Posterior) -> dict[str, str]:
    """Of each column the prior under which it counts as learnt: that of the brewhouse as it is stirred now,
    where a batch was stirred so, else the one that batches say most about."""
    names = prior_names(basis.brewhouse, basis.scenario.mixing)
    sd = np.sqrt(found.cov.diagonal())
    for column in ("speed", "share"):
        tried = {u.prior.name: sd[i] for i, u in enumerate(unknowns.all) if u.name == column}
        if tried and names[column] not in tried:
            names[column] = min(tried, key=lambda name: tried[name])
        if not tried:
            names[column] = NOTHING
    return names


def for_another_day(question: Question, priors: dict[str, str]) -> tuple[Array, Array]:
    """What takes a vector of all unknowns to COLUMNS, the kettle and each coil on another day, shape (n,
    unknowns), and the variance that each has anew."""
    names = [*COLUMNS, TANK, *(OWN for _ in question.coils)]
    pick, anew = np.zeros((len(names), len(question.unknowns))), np.ones(len(names))
    for row, name in enumerate(names):
        coil = row - len(COLUMNS) - 1 if name == OWN else None
        for place, unknown in enumerate(question.unknowns.all):
            of_another = name in ("speed", "share") and unknown.prior.name != priors[name]
            if unknown.name == name and unknown.number == coil and not of_another:
                pick[row, place], anew[row] = 1.0, 0.0
        if name == "speed" and pick[row].any():
            today = day_share(priors[name])
            pick[row] *= np.sqrt(1.0 - today**2)
            anew[row] = today**2
    return pick, anew
