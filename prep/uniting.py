"""Unites regions whose outlines lie on each other but for rounding. Plain numpy, scipy and shapely."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

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

_LONG = 4.0
"""Edges longer than so many times the mean are cut where points beside them are looked for."""
_SQUARES = 1 << 16
"""Squares a side, of those in which points are looked for."""
_SAME_AREA = 1e-12
"""Share by which rounding may change a sum of areas."""
_ONE_WAY, _SHARP = 1e-4, 0.5
"""Sines of the angle between edges from one corner: below the first they are one, up to the second what is
between them is narrow."""


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
    return matched(regions, grid_mm).united(range(len(regions)))


@dataclass(frozen=True, slots=True, eq=False)
class Matched:
    """Regions led through each other's corners, to be united in any choice of them; see :func:`united`.

    :param parts: (parts,) polygons; as they were where one would cross itself
    :param of: (parts,) number of the region each is of
    :param exact: whether outlines that coincided but for rounding are the same corner by corner
    :param close: (n, 4) mm, boxes around all where edges that don't meet are near each other
    """

    parts: Geometries
    of: Ints
    grid_mm: float
    exact: bool
    close: Floats

    def united(self, numbers: Sequence[int]) -> BaseGeometry:
        """Unite some of the regions."""
        parts = self.parts[np.isin(self.of, list(numbers))]
        if not len(parts):
            return Polygon()
        if not self.exact:
            return shapely.union_all(parts, grid_size=self.grid_mm)
        return _without_seams(parts) or shapely.disjoint_subset_union_all(parts)


def matched(regions: Sequence[BaseGeometry], grid_mm: float, near_mm: float = 0.0) -> Matched:
    """Lead the outlines of regions through each other's corners.

    :param regions: valid polygons and MultiPolygons
    :param grid_mm: above 0
    :param near_mm: edges no farther from each other, without a corner in common, are told as close
    """
    once, number = shapely.get_parts(np.asarray(list(regions), dtype=object), return_index=True)
    parts, again = shapely.get_parts(once, return_index=True)
    kept = (shapely.get_type_id(parts) == 3) & ~shapely.is_empty(parts)
    parts, of = parts[kept], number[again[kept]]
    if not len(parts):
        return Matched(parts, of, grid_mm, True, np.empty((0, 4)))
    led, there, close = _led_parts(parts, grid_mm, near_mm)
    exact = bool(shapely.is_valid(led).all())
    return Matched(led if exact else parts, of[there] if exact else of, grid_mm, exact, close)


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


def _led_parts(
    parts: Geometries, grid_mm: float, near_mm: float
) -> tuple[Geometries, NDArray[np.bool_], Floats]:
    """Lead the outlines through each other's corners.

    :return: polygons, which may cross themselves then; which of the parts they are, (parts,); boxes
    """
    rings, of_part = shapely.get_rings(parts, return_index=True)
    points, of = shapely.get_coordinates(rings, return_index=True)
    corners, which = _corners(np.round(points / grid_mm) * grid_mm, 2.0 * grid_mm)
    step = np.flatnonzero((of[1:] == of[:-1]) & (which[1:] != which[:-1]))
    start, end = which[step], which[step + 1]
    corner, edge = _beside(corners, corners[start], corners[end], max(1.5 * grid_mm, near_mm))
    apart = (corner != start[edge]) & (corner != end[edge])
    corner, edge = corner[apart], edge[apart]
    close = np.empty((0, 4))
    if near_mm > 0.0:
        close = _facing(corners, start, end, (corner, edge), (1.5 * grid_mm, near_mm))
    corner, ring = _led(corners, start, end, of[step], (corner, edge), 1.5 * grid_mm)
    if near_mm > 0.0:
        first = np.searchsorted(ring, ring)  # a ring's last corner is followed by its first
        follows = np.append(ring[1:] == ring[:-1], False)
        after = np.where(follows, np.roll(corner, -1), corner[first])
        close = np.concatenate([close, _tips(corners, corner, after, near_mm)])
    many = np.bincount(ring, minlength=len(rings))
    outer = np.concatenate([[True], of_part[1:] != of_part[:-1]])
    there = many >= 3  # what is smaller than the grid is gone, and the holes of what is gone
    there &= there[outer][of_part]
    left = there[outer]
    kept = there[ring]
    of_kept = (np.cumsum(there) - 1)[ring[kept]]
    made = np.asarray(shapely.linearrings(corners[corner[kept]], indices=of_kept), dtype=object)
    outer = outer[there]
    shells, holes, number = made[outer], made[~outer], (np.cumsum(outer) - 1)[~outer]
    matched: Geometries = shapely.polygons(shells)
    owners, first = np.unique(number, return_index=True)
    for owner, own in zip(owners.tolist(), np.split(holes, first[1:]), strict=False):
        matched[owner] = Polygon(shells[owner], list(own))
    return matched, left, close


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
    corners: Floats,
    start: Ints,
    end: Ints,
    ring: Ints,
    beside: tuple[Ints, Ints],
    within_mm: float,
) -> tuple[Ints, Ints]:
    """Put the corners that lie on an edge between its ends.

    :param beside: corners and edges among which are all that lie so near
    :return: the corners ring by ring, in order along it; and the ring of each
    """
    a, way = corners[start], corners[end] - corners[start]
    corner, edge = beside
    along = np.einsum("ij,ij->i", corners[corner] - a[edge], way[edge])
    along /= np.einsum("ij,ij->i", way, way)[edge]
    off = np.hypot(*(corners[corner] - a[edge] - along[:, None] * way[edge]).T)
    inner = np.flatnonzero((along > 0.0) & (along < 1.0) & (off <= within_mm))
    once = inner[np.unique(np.stack([edge, corner])[:, inner], axis=1, return_index=True)[1]]
    corner, edge, along = corner[once], edge[once], along[once]
    every = np.concatenate([np.arange(len(start)), edge])
    order = np.lexsort((np.concatenate([np.zeros(len(start)), along]), every))
    return np.concatenate([start, corner])[order], ring[every[order]]


def _facing(
    corners: Floats,
    start: Ints,
    end: Ints,
    beside: tuple[Ints, Ints],
    within_mm: tuple[float, float],
) -> Floats:
    """Give boxes that hold all between edges that are near each other and don't meet.

    Two that don't cross are nearest at an end of one of them.

    :param beside: corners and edges among which are all that lie so near
    :param within_mm: farther than the first, no farther than the second
    :return: (n, 4) mm
    """
    corner, edge = beside
    a, b = corners[start], corners[end]
    way = (b - a)[edge]
    along = np.einsum("ij,ij->i", corners[corner] - a[edge], way)
    along = np.clip(along / np.einsum("ij,ij->i", way, way), 0.0, 1.0)
    off = np.hypot(*(corners[corner] - a[edge] - along[:, None] * way).T)
    near = (off > within_mm[0]) & (off <= within_mm[1])
    corner, edge = corner[near], edge[near]
    low, high = np.minimum(a, b), np.maximum(a, b)
    from_low, from_high = corners.copy(), corners.copy()  # of all edges at a corner
    for ends in (start, end):
        np.minimum.at(from_low, ends, low)
        np.maximum.at(from_high, ends, high)
    low, high = low[edge] - within_mm[1], high[edge] + within_mm[1]
    return np.column_stack(
        [
            np.maximum(low, from_low[corner] - within_mm[1]),
            np.minimum(high, from_high[corner] + within_mm[1]),
        ]
    )


def _tips(corners: Floats, start: Ints, end: Ints, within_mm: float) -> Floats:
    """Give boxes that hold what is narrow between edges that go out from one corner at a sharp angle.

    :return: (n, 4) mm
    """
    at = np.concatenate([start, end])
    away = np.concatenate([corners[end] - corners[start], corners[start] - corners[end]])
    size = np.hypot(*away.T)
    away /= size[:, None]
    order = np.lexsort((np.arctan2(away[:, 1], away[:, 0]), at))
    at, away, size = at[order], away[order], size[order]
    sine = away[:-1, 0] * away[1:, 1] - away[:-1, 1] * away[1:, 0]
    fore = np.einsum("ij,ij->i", away[:-1], away[1:]) > 0.0
    tip = np.flatnonzero((at[1:] == at[:-1]) & fore & (sine > _ONE_WAY) & (sine < _SHARP))
    reach = np.minimum(within_mm / sine[tip], np.minimum(size[tip], size[tip + 1]))[:, None]
    ends = [corners[at[tip]] + reach * away[tip + k] for k in (0, 1)]
    around = np.stack([corners[at[tip]], *ends])
    return np.column_stack([around.min(axis=0), around.max(axis=0)])


def _beside(points: Floats, a: Floats, b: Floats, within_mm: float) -> tuple[Ints, Ints]:
    """Give pairs of points and edges among which are all that lie within a distance.

    The plane is cut into quarters, these again, and so on; in the order of the quarters (Z-order), the
    points of each square stand together. A box as wide as a square lies in four of its size at most.
    Long edges are cut, as their boxes hold many points.

    :return: some pairs may stand there twice
    """
    if not len(a):
        return np.empty(0, dtype=np.int64), np.empty(0, dtype=np.int64)
    way = b - a
    size = np.maximum(*np.abs(way).T)
    count = np.ceil(size / max(_LONG * float(size.mean()), within_mm)).astype(np.int64)
    edge = np.repeat(np.arange(len(a)), count)
    number = np.arange(len(edge)) - np.repeat(np.cumsum(count) - count, count)
    start = a[edge] + way[edge] * (number / count[edge])[:, None]
    end = a[edge] + way[edge] * ((number + 1) / count[edge])[:, None]
    origin = points.min(axis=0)
    square = max(float(np.ptp(points, axis=0).max()) / (_SQUARES - 1), within_mm)

    def place(at: Floats) -> Ints:
        found = np.clip(np.floor((at - origin) / square), 0, _SQUARES - 1)
        return np.asarray(found, dtype=np.int64)

    codes = _z_order(place(points))
    order = np.argsort(codes)
    codes = codes[order]
    low, high = np.minimum(start, end) - within_mm, np.maximum(start, end) + within_mm
    first, last = place(low), place(high)
    level = np.frexp(np.maximum(*(last - first).T) - 0.5)[1].clip(0)[
        :, None
    ]  # 2^level holds the box
    first, last = first >> level, last >> level
    right, up = (last != first).T
    piece, begin, stop = [], [], []
    for step, has in (((0, 0), right | True), ((0, 1), up), ((1, 0), right), ((1, 1), right & up)):
        there = np.flatnonzero(has)
        code, bits = _z_order(first[there] + step), 2 * level[there, 0]
        piece.append(there)
        begin.append(np.searchsorted(codes, code << bits))
        stop.append(np.searchsorted(codes, (code + 1) << bits))
    many = np.concatenate(stop) - np.concatenate(begin)
    of = np.repeat(np.concatenate(piece), many)
    at = np.arange(len(of)) + np.repeat(np.concatenate(begin) - np.cumsum(many) + many, many)
    point = order[at]
    x, y = ((points[point] >= low[of]) & (points[point] <= high[of])).T
    inside = np.flatnonzero(x & y)
    return point[inside], edge[of[inside]]


def _z_order(places: Ints) -> Ints:
    """Give the bits of two columns of numbers in turn, (n,); the numbers have 16 bits at most."""
    spread = places.copy()
    for shift, mask in ((8, 0x00FF00FF), (4, 0x0F0F0F0F), (2, 0x33333333), (1, 0x55555555)):
        spread = (spread | (spread << shift)) & mask
    return np.asarray(spread[:, 0] << 1 | spread[:, 1], dtype=np.int64)
