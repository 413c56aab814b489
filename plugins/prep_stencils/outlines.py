"""From regions to the outlines that are cut. Imports nothing of prep."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from prep_stencils.sheet import Points

_CRACK_MM = 1e-4
DECIMALS = 5
"""Of the coordinates in cut files: 0.00001 mm, a thousand times finer than curves are flattened."""


@dataclass(frozen=True, slots=True, eq=False)
class Layer:
    """What is cut for one purpose, in the order it is cut.

    :param name: in the files: ``weeding``, ``marks``, ``openings``, ``sheet-edge``
    :param strokes: in mm of the cut file, rounded, each (n, 2); where the blade goes on over an
        outline's beginning, its first points stand there again
    :param closed: strokes end where they begin, without saying so
    """

    name: str
    strokes: tuple[Points, ...]
    closed: bool = True


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


def cut_outlines(region: BaseGeometry, to_file: Callable[[Points], Points]) -> list[Points]:
    """Give the rings of polygons as they are cut: none falls upon itself or another when rounded.

    Where rounding would make stretches fall together, spikes and cracks under 0.0001 mm are taken away
    first, by putting the corners of all rings on a grid of that step.

    :param to_file: takes points to the cut file's plane
    :return: as :func:`open_rings` does, in the plane of ``region``
    """
    rings = open_rings(region)
    if not stretches_twice([rounded_ring(to_file(ring)) for ring in rings]):
        return rings
    parts = shapely.get_parts(shapely.set_precision(region, _CRACK_MM))
    return open_rings(shapely.MultiPolygon([p for p in parts if isinstance(p, shapely.Polygon)]))


def stretches_twice(rings: Sequence[Points], lines: Sequence[Points] = ()) -> int:
    """Count stretches of outlines and lines that lie upon another, whichever way each is cut."""
    steps = [np.hstack([ring, np.roll(ring, -1, axis=0)]) for ring in rings]
    steps += [np.hstack([line[:-1], line[1:]]) for line in lines]
    if not steps:
        return 0
    every = np.concatenate(steps)
    swap = (every[:, 0] > every[:, 2]) | (
        (every[:, 0] == every[:, 2]) & (every[:, 1] > every[:, 3])
    )
    every[swap] = every[swap][:, [2, 3, 0, 1]]
    return len(every) - len(np.unique(every, axis=0))


def rounded(points: Points) -> Points:
    """Round to the files' last decimal."""
    return np.round(points, DECIMALS) + 0.0  # + 0.0 turns -0.0 into 0.0


def rounded_ring(ring: Points) -> Points:
    """Round an outline; points that fall together go once."""
    points = rounded(ring)
    return points[np.any(points != np.roll(points, 1, axis=0), axis=1)]


def with_overcut(ring: Points, overcut_mm: float) -> Points:
    """Go round an outline and on over its beginning.

    :param ring: rounded, not closed
    :return: an open stroke: the outline, its first point again, and what comes after that
    """
    closed = np.vstack([ring, ring[:1]])
    along = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(closed, axis=0).T))])
    overcut_mm = min(overcut_mm, along[-1] / 2.0)
    whole = int(np.searchsorted(along, overcut_mm, side="left"))
    end = [np.interp(overcut_mm, along, closed[:, k]) for k in (0, 1)]
    return np.vstack([closed, ring[1:whole], rounded(np.array([end]))])


def without_overcut(stroke: Points) -> Points:
    """Give the outline that a stroke goes round.

    :raises ValueError: it never comes back to its beginning, or then leaves the outline
    """
    again = np.flatnonzero((stroke[1:] == stroke[0]).all(axis=1))
    if not len(again):
        raise ValueError("an outline doesn't come back to its beginning")
    ring, tail = stroke[: again[0] + 1], stroke[again[0] + 2 :]
    if len(tail) > len(ring):
        raise ValueError("an outline is cut twice")
    on = np.vstack([ring, ring[:1]])
    if len(tail) and not (
        np.array_equal(tail[:-1], on[1 : len(tail)])
        and _beside_mm(tail[-1], on[len(tail) - 1], on[len(tail)]) <= 10.0**-DECIMALS
    ):
        raise ValueError("a blade leaves the outline beyond its beginning")
    return ring


def _beside_mm(point: Points, start: Points, end: Points) -> float:
    """Give how far a point lies from a straight stretch."""
    along = end - start
    share = np.clip(np.dot(point - start, along) / np.dot(along, along), 0.0, 1.0)
    return float(np.hypot(*(start + share * along - point)))


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
