"""Which prior each uncertain thing of a brewhouse has, and what draws of it make of the physics."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import fields

import numpy as np

from optichill.arrays import Array
from optichill.model.brewhouse import Brewhouse
from optichill.model.calibration import Calibration
from optichill.thermal.batch import Mixing
from optichill.thermal.beliefs import Beliefs
from optichill.thermal.deviates import COLUMNS
from optichill.thermal.priors import PRIORS, Factors, Prior

NOTHING = "nothing"
"""Stands for the prior of what does not act: how fast wort moves that is left alone."""


def tap_prior(brewhouse: Brewhouse) -> Prior:
    """What is known of the tap's temperature, as it was measured or estimated."""
    tap = brewhouse.tap
    return PRIORS["tap" if tap is None or tap.climate is None else "climate"]


def flow_prior(brewhouse: Brewhouse) -> Prior:
    """What is known of the hose's open flow, timed or not."""
    tap = brewhouse.tap
    return PRIORS["open_flow" if tap is None or tap.open_flow is not None else "assumed flow"]


def pressure_prior(brewhouse: Brewhouse) -> Prior:
    """What is known of the tap's pressure, read off a gauge or not."""
    gauge = brewhouse.tap is None or brewhouse.tap.static_pressure is not None
    return PRIORS["pressure" if gauge else "assumed pressure"]


def prior_names(brewhouse: Brewhouse, mixing: Mixing) -> dict[str, str]:
    """Of each column the name of its prior, with wort that moves in this way.

    Batches teach only about what they were brewed with: a spoon says nothing of a pump.
    """
    names = {column: column for column in COLUMNS}
    stirred = not mixing.still
    return names | {
        "fouling": brewhouse.wort.dirt_prior,
        "speed": mixing.speed_prior if stirred else NOTHING,
        "share": mixing.share_prior if stirred and mixing.share < 1.0 else NOTHING,
        "pressure": pressure_prior(brewhouse).name,
        "open_flow": flow_prior(brewhouse).name,
        "tap": tap_prior(brewhouse).name,
    }


def beliefs_of(
    brewhouse: Brewhouse, mixing: Mixing, calibration: Calibration | None, coil: str | None
) -> Beliefs:
    """How draws are spread: by the priors, or as measured batches have taught; coil : name of the measured
    one that is asked about, None for any other."""
    if calibration is None:
        return Beliefs.prior()
    kettle = brewhouse.kettle
    same = calibration.same_kettle(kettle.inside_diameter, kettle.inside_height)
    return calibration.beliefs(prior_names(brewhouse, mixing), same_kettle=same, coil=coil)


def likely_factors(brewhouse: Brewhouse, beliefs: Beliefs) -> tuple[Factors, float]:
    """All that is uncertain at its most likely, each a number, and how much warmer than stated the tap is
    [K]."""
    z = dict(zip(COLUMNS, beliefs.mean, strict=True))
    at = factors_at(brewhouse, brewhouse.wort.moves, z, np.exp(beliefs.offset))
    numbers = {f.name: float(getattr(at, f.name)) for f in fields(at)}
    return Factors(**numbers), float(tap_prior(brewhouse).at(z["tap"]))


def factors_at(
    brewhouse: Brewhouse, mixing: Mixing, z: Mapping[str, Array], own: Array, dirtier: float = 1.0
) -> Factors:
    """What deviates make of films, dirt, stirring, kettle and supply.

    Parameters
    ----------
    brewhouse : Brewhouse
    mixing : Mixing
        How the wort moves.
    z : mapping of Array [-]
        Deviates of every column of COLUMNS, shape (draws,).
    own : Array [-]
        What kettle and coil multiply all times with, shape (draws,).
    dirtier : float [-]
        How many times as much dirt as the brewhouse states.

    Returns
    -------
    Factors
        Arrays of shape (draws,).
    """
    plain = ("still", "moving", "inner", "friction", "exchange", "loss", "ice", "mass")
    return Factors(
        **{name: PRIORS[name].at(z[name]) for name in plain},
        phi_still=PRIORS["phi_still"].at(z["phi"]),
        phi_moving=PRIORS["phi_moving"].at(z["phi"]),
        fouling=dirtier * PRIORS[brewhouse.wort.dirt_prior].at(z["fouling"]),
        speed=PRIORS[mixing.speed_prior].relative(z["speed"]),
        share=PRIORS[mixing.share_prior].relative(z["share"]),
        pressure=pressure_prior(brewhouse).at(z["pressure"]),
        open_flow=flow_prior(brewhouse).at(z["open_flow"]),
        pump=PRIORS["pump"].at(z["pressure"]),
        own=own,
    )
