"""Gaps and numbers of turns of each set-up: which there are, and which no limit rules out beforehand."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from optichill.arrays import Array, Index, Mask
from optichill.geometry import fit, helix, levels, risers, springback
from optichill.problem.basis import DesignBasis
from optichill.problem.placement import Shape, tube_to_cut
from optichill.problem.windings import Setups

FEWEST_TURNS = 2.0
BEYOND_ROLL = 1.1
"""Turns go on to this share of the roll, so that a nothing-fits answer can say how much longer it must be."""

SLACK = 1e-6
"""Share by which a set-up may miss before it is left out: bounds are computed another way than limits."""

PIECE = 16384
"""Set-ups looked at in one go: memory stays flat however many there are."""


@dataclass(frozen=True)
class Helices:
    """Every set-up with every gap, arrays of shape (helices,): number of the set-up and gap [m]; count : how
    many numbers of turns there are from the fewest on; sure : how many no limit rules out beforehand;
    spared : how many of these, from the fewest on, come out of a cheaper roll of the same size and are looked
    at there."""

    setup: Index
    gap: Array
    count: Index
    sure: Index
    spared: Index


def helices(
    setups: Setups,
    basis: DesignBasis,
    likely: Mask | None = None,
    beside: Sequence[DesignBasis] = (),
) -> Helices:
    """Of these set-ups. likely : those that may hold every limit; without it nothing is ruled out, nor
    spared; beside : other kettles whose rims the risers must suit too."""
    pieces = [
        _helices(setups, np.arange(start, min(start + PIECE, len(setups))), basis, likely, beside)
        for start in range(0, max(len(setups), 1), PIECE)
    ]
    return Helices(
        *(np.concatenate([getattr(p, name) for p in pieces]) for name in Helices.__dataclass_fields__)
    )


def _helices(
    setups: Setups, some: Index, basis: DesignBasis, likely: Mask | None, beside: Sequence[DesignBasis]
) -> Helices:
    sizes, size_of = np.unique(setups.get("d_o", some), return_inverse=True)
    choices = [_gaps(float(d), basis) for d in sizes]
    number = np.array([c.size for c in choices] + [0])[size_of] if some.size else some
    setup = np.repeat(some, number)
    gap = np.concatenate([np.empty(0), *(choices[size] for size in size_of)])
    fewest, step = first_turns(basis)
    count = sure = _count(_most_turns(setups, setup, gap, basis), fewest, step)
    if likely is not None:
        bound = _count(_sure_turns(setups, setup, gap, basis), fewest, step)
        sure = np.where(likely[setup], np.minimum(count, bound), 0)
    spared = np.zeros_like(sure)
    some = np.flatnonzero((setups.get("spared", setup) > 0.0) & (sure > 0))
    if likely is not None and some.size:
        most = _spared_turns(setups, setup[some], gap[some], basis, beside)
        spared[some] = np.minimum(_count(most, fewest, step), sure[some])
    return Helices(setup, gap, count, sure, spared)


def how_many(setups: Setups, basis: DesignBasis) -> int:
    """Numbers of turns of some set-ups, over all gaps."""
    d_o, total = setups.get("d_o"), 0
    for size in np.unique(d_o):
        alike, gaps = np.flatnonzero(d_o == size)[:, None], _gaps(float(size), basis)
        total += int(_count(_most_turns(setups, alike, gaps, basis), *first_turns(basis)).sum())
    return total


def first_turns(basis: DesignBasis) -> tuple[float, float]:
    """The fewest turns, and the step to the next number: risers come up on the side that is wanted."""
    sides = basis.brewhouse.workshop.riser_sides
    fewest = risers.turn_choices(sides, FEWEST_TURNS, FEWEST_TURNS + 1.0)[0]
    return float(fewest), risers.TURN_STEPS[sides]


def _gaps(d_o: float, basis: DesignBasis) -> Array:
    shop = basis.brewhouse.workshop
    return gap_choices(d_o, shop.smallest_gap, shop.marking_increment)


def gap_choices(d_o: float, smallest: float, increment: float) -> Array:
    """Gaps between turns [m] in the marking increment, from the smallest allowed to one tube diameter or the
    next mark above: wider than that buys nothing."""
    low = int(np.ceil(smallest / increment - 1e-9))
    high = max(low, int(np.ceil(d_o / increment - 1e-9)))
    return np.asarray(increment * np.arange(low, high + 1), dtype=np.float64)


def _count(most: Array, fewest: float, step: float) -> Index:
    """How many numbers of turns there are up to `most`."""
    most = np.minimum(most, 1e6)
    return np.maximum(np.floor((most - fewest) / step + 1e-9) + 1.0, 0.0).astype(np.intp)


def _turn_lengths(setups: Setups, setup: Index, gap: Array) -> tuple[Array, Array]:
    """Tube in one turn of the outer and of the inner layer [m]; 0 where there is no inner one."""
    p = setups.get("d_o", setup) + gap
    outer = helix.turn_length(setups.get("D_c", setup), p)
    inner = np.where(setups.two(setup), helix.turn_length(setups.inside("D_c", setup), p), 0.0)
    return outer, inner


def _by_roll(setups: Setups, setup: Index, gap: Array, share: float) -> Array:
    """Turns that take `share` of the roll: both layers from one, or of two tubes the longer from its own."""
    outer, inner = _turn_lengths(setups, setup, gap)
    per_turn = np.where(setups.trait("tees", setup), outer, outer + inner)
    return np.asarray(share * setups.get("roll", setup) / per_turn)


def _most_turns(setups: Setups, setup: Index, gap: Array, basis: DesignBasis) -> Array:
    """Turns beyond which no answer needs to look: the helix alone takes more than the roll and a little, or
    stands higher than the rim."""
    rim, d_o = basis.brewhouse.kettle.inside_height, setups.get("d_o", setup)
    return np.minimum(_by_roll(setups, setup, gap, BEYOND_ROLL), (rim - d_o) / (d_o + gap))


def _sure_turns(setups: Setups, setup: Index, gap: Array, basis: DesignBasis) -> Array:
    """Turns beyond which a limit on roll, form or wort is broken for certain."""
    kettle = basis.brewhouse.kettle
    d_o, roll = setups.get("d_o", setup), setups.get("roll", setup)
    by_roll = _by_roll(setups, setup, gap, 1.0 + SLACK)
    by_form = np.full(setup.size, np.inf)
    own_form = ~setups.trait("crossing", setup)  # else the outer layer is wound over strips
    for k, height in (
        (setups.get("springback", setup), np.where(own_form, setups.get("form_height", setup), np.inf)),
        (setups.inside("springback", setup), setups.inside("form_height", setup)),
    ):
        most = (height * (1.0 + SLACK) - springback.form_height_needed(0.0, k, d_o)) / d_o * k
        by_form = np.minimum(by_form, most)
    # No more tube can be under the wort than there is, nor the level be higher than with all of it.
    tube = setups.trait("tubes", setup) * BEYOND_ROLL * roll
    level = levels.bare_level(basis.cold_volume + helix.outer_volume(d_o, tube), kettle.inside_diameter)
    floor = fit.floor_gap_needed(kettle.coil_rests, kettle.floor_clearance, basis.floor_part)
    by_wort = (level * (1.0 + SLACK) - kettle.top_clearance - d_o - floor) / (d_o + gap)
    return np.asarray(np.minimum(np.minimum(by_roll, by_form), by_wort))


def _spared_turns(
    setups: Setups, setup: Index, gap: Array, basis: DesignBasis, beside: Sequence[DesignBasis]
) -> Array:
    """Turns up to which the whole tube of a coil, risers and what is spared for trying included, surely comes
    out of the longest roll of its size that costs no more."""
    fewest = first_turns(basis)[0]
    shape = _shape(setups, setup, gap, fewest)
    outer, inner = _turn_lengths(setups, setup, gap)
    needed = tube_to_cut(basis, shape, beside)[0] + sum(setups.spares(setup))
    # No riser gets longer by more than two pitches with a turn more, where the coil hangs deeper.
    a_turn = outer + inner + 2.0 * (1.0 + setups.two(setup)) * shape.pitch
    return np.asarray(fewest + ((1.0 - SLACK) * setups.get("spared", setup) - needed) / a_turn)


def _shape(setups: Setups, setup: Index, gap: Array, turns: float) -> Shape:
    d_o, two = setups.get("d_o", setup), setups.two(setup)
    return Shape(
        d_o,
        setups.get("d_i", setup),
        setups.get("D_c", setup),
        d_o + gap,
        np.full(setup.size, turns),
        setups.get("R_b", setup),
        D_in=np.where(two, setups.inside("D_c", setup), 0.0) if two.any() else None,
        parallel=setups.trait("tees", setup) if two.any() else None,
    )
