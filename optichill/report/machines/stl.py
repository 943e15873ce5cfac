"""Tube and form as closed solids, STL in millimetres: for printed jigs, never for the wort."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np

from optichill.arrays import Array
from optichill.report.machines.drawings import MM

if TYPE_CHECKING:
    from trimesh import Trimesh

CHORD = 0.0002
"""No flat is farther from the round than this [m]; half of it along the tube, half across."""

ALONG = CHORD / 2.0
MOST = 1_900_000
"""Bytes of the walls in one file: a longer tube is told in parts."""

TRIANGLE, HEAD = 50, 80
"""Bytes of a triangle in an STL, and of the text before the first."""


def sides(radius: float, off: float) -> int:
    """Sides of a polygon that is nowhere farther than `off` from its circle, its corners outside, its flats
    inside."""
    return max(8, math.ceil(math.pi / math.acos(1.0 - 2.0 * off / radius)))


def tube(points: Array, d_o: float, stamp: str) -> tuple[bytes, ...]:
    """A round bar along a line (n, 3) [m]: one file, or as many parts as keep each under MOST. stamp : for
    its head."""
    n = sides(d_o / 2.0, CHORD - ALONG)
    parts = math.ceil(TRIANGLE * 2 * n * len(points) / MOST)
    cuts = np.linspace(0, len(points) - 1, parts + 1).round().astype(int)
    return tuple(
        _bytes(_bar(points[a : b + 1], d_o / 2.0, n), stamp) for a, b in zip(cuts, cuts[1:], strict=False)
    )


def form(diameter: float, height: float, stamp: str) -> bytes:
    """A plain cylinder standing on z = 0 [m]."""
    import trimesh

    around = trimesh.creation.cylinder(
        diameter / 2.0 * MM, height * MM, sections=sides(diameter / 2.0, CHORD / 2.0)
    )
    around.apply_translation((0.0, 0.0, height / 2.0 * MM))
    return _bytes(around, stamp)


def _bar(points: Array, radius: float, n: int) -> Trimesh:
    """Rings square to the line, joined by triangles and closed at both ends."""
    import trimesh

    chords = np.diff(points, axis=0)
    chords /= np.linalg.norm(chords, axis=1)[:, None]
    along = np.concatenate([chords[:1], chords[1:] + chords[:-1], chords[-1:]])
    along /= np.linalg.norm(along, axis=1)[:, None]
    corner = radius * (1.0 + (1.0 - math.cos(math.pi / n)) / 2.0)
    angle = 2.0 * math.pi * np.arange(n) / n
    across = _sideways(along)
    rings = points[:, None] + corner * (
        np.cos(angle)[:, None] * across[:, None] + np.sin(angle)[:, None] * np.cross(along, across)[:, None]
    )
    m = len(points)
    vertices = np.concatenate([rings.reshape(-1, 3), points[[0, -1]]]) * MM
    ring, here = np.meshgrid(np.arange(m - 1), np.arange(n), indexing="ij")
    a, b = (ring * n + here).ravel(), (ring * n + (here + 1) % n).ravel()
    walls = np.concatenate([np.stack([a, b, b + n], axis=1), np.stack([a, b + n, a + n], axis=1)])
    one, next_one, last = np.arange(n), (np.arange(n) + 1) % n, (m - 1) * n
    first_cap = np.stack([np.full(n, m * n), next_one, one], axis=1)
    last_cap = np.stack([np.full(n, m * n + 1), last + one, last + next_one], axis=1)
    return trimesh.Trimesh(vertices, np.concatenate([walls, first_cap, last_cap]), process=False)


def _sideways(along: Array) -> Array:
    """A direction square to the line at each of its points, turned with it and never about it."""
    start = np.cross(along[0], [0.0, 0.0, 1.0] if abs(along[0, 2]) < 0.9 else [1.0, 0.0, 0.0])
    found = [start / np.linalg.norm(start)]
    for way in along[1:]:  # each direction is carried on from the last one
        carried = found[-1] - (found[-1] @ way) * way
        found.append(carried / np.linalg.norm(carried))
    return np.array(found)


def _bytes(solid: Trimesh, stamp: str) -> bytes:
    """The file, its head of 80 bytes free for any text that does not begin as a written-out solid does."""
    from trimesh.exchange.stl import export_stl

    head = stamp.encode("ascii", "replace")[:HEAD]
    return head.ljust(HEAD) + bytes(export_stl(solid)[HEAD:])
