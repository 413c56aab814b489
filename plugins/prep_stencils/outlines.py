"""From regions to the outlines that are cut. Imports nothing of prep."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from prep_stencils.sheet import Points, Sheet

DECIMALS = 5
"""Of the coordinates in cut files: 0.00001 mm, a thousand times finer than curves are flattened."""


@dataclass(frozen=True, slots=True, eq=False)
class Layer:
    """Outlines of one purpose.

    :param name: in the files: ``openings``, ``marks``, ``sheet-edge``
    :param rings: in mm of the cut file, rounded, not closed, each (n, 2)
    """

    name: str
    rings: tuple[Points, ...]


def open_rings(region: BaseGeometry) -> list[Points]:
    """Give the rings of polygons, outer and inner, as points (n, 2) without the closing one.

    A ring whose area is at most 0.00001 mm times its length is left out: it is thinner than the files'
    last decimal, and rounding could leave a line of it. Every other ring keeps an area when rounded.
    """
    rings = shapely.get_rings(shapely.get_parts(region))
    points, owner = shapely.get_coordinates(rings, return_index=True)
    starts = np.flatnonzero(np.diff(owner)) + 1
    opened = [ring[:-1] for ring in np.split(points, starts)] if len(points) else []
    thick = ring_areas(opened) > 10.0**-DECIMALS * ring_lengths(opened)
    return [ring for ring, is_thick in zip(opened, thick, strict=True) if is_thick]


def layer(name: str, rings: Sequence[Points], sheet: Sheet) -> Layer:
    """Take rings from the artwork to the cut file and round them; points that fall together go once."""
    made = []
    for ring in rings:
        points = np.round(sheet.to_film(ring), DECIMALS) + 0.0  # + 0.0 turns -0.0 into 0.0
        made.append(points[np.any(points != np.roll(points, 1, axis=0), axis=1)])
    return Layer(name, tuple(made))


def ring_areas(rings: Sequence[Points]) -> NDArray[np.float64]:
    """Give each ring's area without its sign, by the shoelace formula about its own first point."""
    areas = np.empty(len(rings))
    for i, ring in enumerate(rings):
        x, y = (ring - ring[0]).T
        areas[i] = abs(np.dot(x, np.roll(y, -1)) - np.dot(y, np.roll(x, -1))) / 2.0
    return areas


def ring_boxes(rings: Sequence[Points]) -> NDArray[np.float64]:
    """Give each ring's bounds, (n, 4): min x, min y, max x, max y."""
    boxes = np.empty((len(rings), 4))
    for i, ring in enumerate(rings):
        boxes[i, :2], boxes[i, 2:] = ring.min(axis=0), ring.max(axis=0)
    return boxes


def ring_lengths(rings: Sequence[Points]) -> NDArray[np.float64]:
    """Give each ring's length."""
    return np.array([np.hypot(*(ring - np.roll(ring, 1, axis=0)).T).sum() for ring in rings])
