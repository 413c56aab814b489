"""Unites regions whose outlines lie on each other but for rounding. Plain numpy, scipy and shapely."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely
from numpy.typing import NDArray
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components
from scipy.spatial import cKDTree
from shapely import Polygon
from shapely.errors import GEOSException
from shapely.geometry.base import BaseGeometry

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Geometries = NDArray[np.object_]

_LONG_MM = 5.0
"""The boxes round longer edges hold so many corners that looking in them is slower than measuring."""

_SAME_AREA = 1e-12
"""Share by which rounding may change a sum of areas."""


def united(regions: Sequence[BaseGeometry], grid_mm: float) -> BaseGeometry:
    """Unite regions on a grid, so that what rounding left between their outlines is closed.

    A union of outlines that coincide but for rounding leaves slits, or loses whole parts. One on a grid
    loses none, but is several times as slow, and leaves slits as wide as the grid where two corners are
    rounded apart. Here corners are rounded to the grid, those no farther than two of its widths from each
    other are made one, and edges are led through the corners within one and a half of them. Outlines that
    coincided but for rounding then are the same corner by corner, and a plain union is exact. Where a
    polygon would cross itself by that, the union is made on the grid by the library.

    :param regions: valid polygons and MultiPolygons
    :param grid_mm: above 0; outlines move by no more than three times that, but for chains of corners
    """
    parts = shapely.get_parts(shapely.get_parts(np.asarray(list(regions), dtype=object)))
    parts = parts[(shapely.get_type_id(parts) == 3) & ~shapely.is_empty(parts)]
    if not len(parts):
        return Polygon()
    matched = _matched(parts, grid_mm)
    if matched is None:
        return shapely.union_all(parts, grid_size=grid_mm)
    return _without_seams(matched) or shapely.disjoint_subset_union_all(matched)


def _without_seams(parts: Geometries) -> BaseGeometry | None:
    """Drop the edges that parts share corner by corner: that unites them where they don't overlap.

    :return: ``None`` where they do, or an edge of one is split otherwise in the other
    """
    try:
        made = shapely.coverage_union_all(parts)
    except GEOSException:  # it may say so of edges that cross
        return None
    area, whole = float(shapely.area(parts).sum()), float(made.area)
    return made if made.is_valid and abs(area - whole) <= _SAME_AREA * area else None


def _matched(parts: Geometries, grid_mm: float) -> Geometries | None:
    """Lead the outlines through each other's corners; ``None`` where one crosses itself then."""
    rings, of_part = shapely.get_rings(parts, return_index=True)
    points, of = shapely.get_coordinates(rings, return_index=True)
    corners, which = _corners(np.round(points / grid_mm) * grid_mm, 2.0 * grid_mm)
    step = np.flatnonzero((of[1:] == of[:-1]) & (which[1:] != which[:-1]))
    corner, ring = _led(corners, which[step], which[step + 1], of[step], 1.5 * grid_mm)
    many = np.bincount(ring, minlength=len(rings))
    outer = np.concatenate([[True], of_part[1:] != of_part[:-1]])
    there = many >= 3  # what is smaller than the grid is gone, and the holes of what is gone
    there &= there[outer][of_part]
    kept = there[ring]
    of_kept = (np.cumsum(there) - 1)[ring[kept]]
    made = np.asarray(shapely.linearrings(corners[corner[kept]], indices=of_kept), dtype=object)
    outer = outer[there]
    shells, holes, number = made[outer], made[~outer], (np.cumsum(outer) - 1)[~outer]
    matched: Geometries = shapely.polygons(shells)
    owners, first = np.unique(number, return_index=True)
    for owner, own in zip(owners.tolist(), np.split(holes, first[1:]), strict=False):
        matched[owner] = Polygon(shells[owner], list(own))
    return matched if shapely.is_valid(matched).all() else None


def _corners(points: Floats, within_mm: float) -> tuple[Floats, Ints]:
    """Make points one that are no farther than a distance from each other.

    :return: (corners, 2) mm; for each point the number of its corner
    """
    _, first, which = np.unique(
        points.view(np.complex128).ravel(), return_index=True, return_inverse=True
    )
    corners = points[first]
    pairs = cKDTree(corners).query_pairs(within_mm, output_type="ndarray")
    if not len(pairs):
        return corners, which
    count = len(corners)
    graph = coo_array((np.ones(len(pairs)), (pairs[:, 0], pairs[:, 1])), shape=(count, count))
    of = connected_components(graph, directed=False)[1]
    one = np.unique(of, return_index=True)[1]
    return corners[one], of[which]


def _led(
    corners: Floats, start: Ints, end: Ints, ring: Ints, within_mm: float
) -> tuple[Ints, Ints]:
    """Put the corners that lie on an edge between its ends.

    :return: the corners ring by ring, in order along it; and the ring of each
    """
    a, way = corners[start], corners[end] - corners[start]
    corner, edge = _beside(corners, a, corners[end], within_mm)
    along = np.einsum("ij,ij->i", corners[corner] - a[edge], way[edge])
    along /= np.einsum("ij,ij->i", way, way)[edge]
    off = np.hypot(*(corners[corner] - a[edge] - along[:, None] * way[edge]).T)
    inner = (corner != start[edge]) & (corner != end[edge]) & (along > 0.0) & (along < 1.0)
    inner &= off <= within_mm
    corner, edge, along = corner[inner], edge[inner], along[inner]
    every = np.concatenate([np.arange(len(start)), edge])
    order = np.lexsort((np.concatenate([np.zeros(len(start)), along]), every))
    return np.concatenate([start, corner])[order], ring[every[order]]


def _beside(points: Floats, a: Floats, b: Floats, within_mm: float) -> tuple[Ints, Ints]:
    """Give pairs of points and edges among which are all that lie within a distance."""
    places = shapely.points(points)
    low, high = np.minimum(a, b) - within_mm, np.maximum(a, b) + within_mm
    short = ((high - low) <= _LONG_MM).all(axis=1)
    boxes = _tree(low[short], high[short])  # diagonals, of which the tree takes the boxes
    lines = _tree(a[~short], b[~short])
    near = boxes.query(places)
    far = lines.query(places, predicate="dwithin", distance=2.0 * within_mm)
    edge = np.concatenate([np.flatnonzero(short)[near[1]], np.flatnonzero(~short)[far[1]]])
    return np.concatenate([near[0], far[0]]), edge


def _tree(a: Floats, b: Floats) -> shapely.STRtree:
    lines = shapely.linestrings(np.stack([a, b], axis=1))
    return shapely.STRtree(np.asarray(lines, dtype=object))
