"""Where two regions meet, as arrays of edges; and where they nearly do. By numpy, scipy and shapely."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components
from scipy.spatial import cKDTree
from shapely.geometry.base import BaseGeometry

from prep.digest import digest_of
from prep.remembered import remembered

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]

TOUCH_MM = 1e-4
"""Edges nearer than this lie on each other: separations share their outlines to rounding."""
_BREAK_MM = 0.01
"""A border that breaks off for less goes on: an edge shorter than ``TOUCH_MM`` was passed over."""

_FACES = 0.5
"""Cosine of the angle up to which an edge faces what is nearest to it: 60°. Our choice."""


@dataclass(frozen=True, slots=True, eq=False)
class Outline:
    """The edges of a region, its inside on their left, ring by ring in order.

    :param start: (n, 2) mm
    :param end: (n, 2) mm
    :param ring: (n,) number of the ring
    :param at_mm: (n,) where ``start`` lies along its ring
    :param ring_mm: (rings,) length of each ring
    :param tree: of the edges as lines, in the same order; which way a line goes doesn't matter
    """

    start: Floats
    end: Floats
    ring: Ints
    at_mm: Floats
    ring_mm: Floats
    tree: shapely.STRtree

    def digest(self) -> str:
        """Digest of its edges, which the rest follows from."""
        return digest_of((self.start, self.end, self.ring))

    @property
    def length_mm(self) -> Floats:
        """(n,) length of each edge."""
        return _length(self.end - self.start)

    def turned(self) -> Outline:
        """Give the outline of all that lies around the region: the same edges the other way round."""
        ring = (len(self.ring_mm) - 1 - self.ring)[::-1]
        at_mm = (self.ring_mm[self.ring] - self.at_mm - self.length_mm)[::-1]
        tree = shapely.STRtree(self.tree.geometries[::-1])
        return Outline(self.end[::-1], self.start[::-1], ring, at_mm, self.ring_mm[::-1], tree)


@dataclass(frozen=True, slots=True, eq=False)
class Border:
    """What two regions share of their outlines, as edges of the first.

    :param a: (n, 2) first point, mm, the first region on the left
    :param b: (n, 2) last point
    :param run: (n,) number of the unbroken stretch it belongs to, in order along it
    :param closed: (runs,) whether the stretch comes back to its beginning
    """

    a: Floats
    b: Floats
    run: Ints
    closed: Bools

    def __len__(self) -> int:
        """How many edges."""
        return len(self.a)

    @property
    def length_mm(self) -> Floats:
        """(n,) length of each edge."""
        return _length(self.b - self.a)

    @property
    def normal(self) -> Floats:
        """(n, 2) unit normal out of the first region into the second."""
        along = self.b - self.a
        return np.column_stack([along[:, 1], -along[:, 0]]) / self.length_mm[:, None]

    @property
    def middle(self) -> Floats:
        """(n, 2) midpoint of each edge."""
        return (self.a + self.b) / 2.0

    @property
    def run_mm(self) -> Floats:
        """(runs,) length of each stretch."""
        return _summed(self.run, self.length_mm, len(self.closed))

    def split(self, step_mm: float) -> Border:
        """Cut edges longer than a step into equal pieces."""
        pieces = np.maximum(1, np.ceil(self.length_mm / step_mm).astype(np.int64))
        of = np.repeat(np.arange(len(self)), pieces)
        first = np.concatenate([[0], np.cumsum(pieces)[:-1]]) if len(self) else pieces
        number = np.arange(len(of)) - first[of]
        along = (self.b - self.a)[of]
        low, high = number / pieces[of], (number + 1) / pieces[of]
        a = self.a[of] + along * low[:, None]
        return Border(a, self.a[of] + along * high[:, None], self.run[of], self.closed)

    def where(self, kept: Bools) -> Border:
        """Leave out edges; stretches break off there.

        :param kept: (n,)
        """
        runs = len(self.closed)
        number = np.arange(len(self))
        first = np.searchsorted(self.run, np.arange(runs))
        # a ring begins anew after the first edge that goes, so that it breaks off nowhere else
        gone = np.full(runs, len(self))
        np.minimum.at(gone, self.run[~kept], number[~kept])
        turned = (self.closed & (gone < len(self)))[self.run] & (number <= gone[self.run])
        size = np.bincount(self.run, minlength=runs)
        place = np.where(turned, number + size[self.run], number) - first[self.run]
        order = np.lexsort((place, self.run))
        left = order[kept[order]]
        broken = np.cumsum(~kept[order])[kept[order]]
        new = (np.diff(self.run[left], prepend=-1) != 0) | (np.diff(broken, prepend=-1) != 0)
        whole = self.closed & (gone == len(self))
        return Border(self.a[left], self.b[left], np.cumsum(new) - 1, whole[self.run[left[new]]])

    def lines(self, least_mm: float = 0.0) -> list[BaseGeometry]:
        """Give the stretches of at least this length, rings where they are closed."""
        made: list[BaseGeometry] = []
        for number in np.flatnonzero(self.run_mm >= least_mm):
            of = np.flatnonzero(self.run == number)
            if self.closed[number] and len(of) > 2:
                made.append(shapely.LinearRing(self.a[of]))
            else:
                made.append(shapely.LineString(np.concatenate([self.a[of], self.b[of][-1:]])))
        return made


@dataclass(frozen=True, slots=True)
class NearMiss:
    """A stretch along which two regions nearly meet, nothing between them.

    :param gap_mm: its median width
    :param at_mm: a place of that width, in the middle of the gap
    """

    gap_mm: float
    length_mm: float
    at_mm: tuple[float, float]


@remembered(kept=32)
def outline_of(region: BaseGeometry) -> Outline:
    """Give a region's edges with the inside on their left."""
    rings = shapely.get_rings(shapely.get_parts(shapely.orient_polygons(region)))
    points, of = shapely.get_coordinates(rings, return_index=True)
    step = np.flatnonzero(of[1:] == of[:-1])
    start, end, ring = points[step], points[step + 1], of[step]
    long = _length(end - start) > 0
    start, end, ring = start[long], end[long], ring[long]
    length = _length(end - start)
    so_far = np.cumsum(length) - length
    ring_mm = _summed(ring, length, len(rings))
    first = np.concatenate([[0.0], np.cumsum(ring_mm)[:-1]]) if len(rings) else ring_mm
    lines = np.asarray(shapely.linestrings(np.stack([start, end], axis=1)), dtype=object)
    tree = shapely.STRtree(lines)
    return Outline(start, end, ring, so_far - first[ring], ring_mm, tree)


@remembered(kept=64)
def shared_border(one: Outline, other: Outline, within_mm: float = TOUCH_MM) -> Border:
    """Give the edges of ``one`` along which ``other`` lies on the far side.

    Two edges match where they run opposite ways within ``within_mm`` of each other; each may be cut
    at places where the other isn't.
    """
    empty = Border(np.empty((0, 2)), np.empty((0, 2)), np.empty(0, int), np.empty(0, bool))
    if not len(one.start) or not len(other.start):
        return empty
    low, high = np.minimum(one.start, one.end), np.maximum(one.start, one.end)
    near = shapely.box(*(low - within_mm).T, *(high + within_mm).T)
    mine, theirs = other.tree.query(near)
    length = one.length_mm[mine]
    along = (one.end - one.start)[mine] / length[:, None]
    low = _dot(other.end[theirs] - one.start[mine], along)  # opposite ways: its end comes first
    high = _dot(other.start[theirs] - one.start[mine], along)
    off_low = _cross(along, other.end[theirs] - one.start[mine])
    off_high = _cross(along, other.start[theirs] - one.start[mine])
    low_in, high_in = np.maximum(low, 0.0), np.minimum(high, length)
    slope = (off_high - off_low) / np.where(high > low, high - low, np.inf)
    ends = np.stack([off_low + slope * (low_in - low), off_low + slope * (high_in - low)])
    away, crossed = np.abs(ends), ends[0] * ends[1] < 0.0
    match = (high_in - low_in > within_mm) & (away <= 2.0 * within_mm).all(axis=0)
    match &= (away.min(axis=0) <= within_mm) | crossed
    edge, low, high = mine[match], low_in[match], high_in[match]
    if not len(edge):
        return empty
    order = np.lexsort((low, edge))
    edge, low, high = edge[order], low[order], high[order]
    starts = np.concatenate([[True], (edge[1:] != edge[:-1]) | (low[1:] > high[:-1] + within_mm)])
    group = np.flatnonzero(starts)
    edge, low, high = edge[group], low[group], np.maximum.reduceat(high, group)
    whole = one.length_mm[edge]
    way = (one.end - one.start)[edge] / whole[:, None]
    a = np.where((low <= within_mm)[:, None], one.start[edge], one.start[edge] + way * low[:, None])
    b = np.where(
        (high >= whole - within_mm)[:, None], one.end[edge], one.start[edge] + way * high[:, None]
    )
    return _in_runs(one, edge, a, b, one.at_mm[edge] + low, one.at_mm[edge] + high)


def _in_runs(one: Outline, edge: Ints, a: Floats, b: Floats, low: Floats, high: Floats) -> Border:
    """Number the unbroken stretches, and let those that run over a ring's first vertex go on."""
    ring = one.ring[edge]
    new = np.concatenate([[True], (ring[1:] != ring[:-1]) | (low[1:] > high[:-1] + _BREAK_MM)])
    run = np.cumsum(new) - 1
    firsts = np.flatnonzero(np.concatenate([[True], ring[1:] != ring[:-1]]))
    lasts = np.concatenate([firsts[1:] - 1, [len(ring) - 1]])
    joined = low[firsts] + one.ring_mm[ring[firsts]] - high[lasts] <= _BREAK_MM
    closed = np.zeros(run[-1] + 1, dtype=bool)
    place = np.arange(len(ring))
    for first, last in zip(firsts[joined], lasts[joined], strict=True):
        if run[first] == run[last]:
            closed[run[first]] = True
        else:  # what stands at the ring's end comes before what stands at its beginning
            moved = run == run[last]
            place[moved] -= len(ring)
            run[moved] = run[first]
    order = np.lexsort((place, run))
    left, run = np.unique(run, return_inverse=True)
    return Border(a[order], b[order], run[order], closed[left])


@remembered(kept=64)
def near_misses(
    one: Outline, other: Outline, printed: BaseGeometry, within_mm: float
) -> list[NearMiss]:
    """Find where bare shirt no wider than ``within_mm`` lies between two regions, longest first.

    Stretches shorter than four times that are passed over: two colours that part at a corner are as
    near for a moment.

    :param printed: all regions together
    """
    if not len(one.start) or not len(other.start):
        return []
    every = Border(one.start, one.end, np.zeros(len(one.start), int), np.zeros(1, bool))
    close = other.tree.query(one.tree.geometries, predicate="dwithin", distance=within_mm)[0]
    kept = np.unique(close)
    pieces = Border(every.a[kept], every.b[kept], every.run[kept], every.closed).split(within_mm)
    at = pieces.middle
    mine, theirs = other.tree.query_nearest(
        shapely.points(at), max_distance=within_mm, all_matches=False
    )
    along = (other.end - other.start)[theirs]
    share = _dot(at[mine] - other.start[theirs], along) / _dot(along, along)
    across = other.start[theirs] + along * np.clip(share, 0.0, 1.0)[:, None]
    gap = _length(across - at[mine])
    # a side that runs away from the other at a corner doesn't face it
    faces = _dot(across - at[mine], pieces.normal[mine]) >= _FACES * gap
    middle = (across + at[mine]) / 2.0
    bare = faces & (gap > TOUCH_MM)
    shapely.prepare(printed)
    bare[bare] = ~shapely.contains_xy(printed, middle[bare])
    if not bare.any():
        return []
    middle, gap, length = middle[bare], gap[bare], pieces.length_mm[mine[bare]]
    pairs = cKDTree(middle).query_pairs(2.0 * within_mm, output_type="ndarray")
    count = len(middle)
    graph = coo_array((np.ones(len(pairs)), (pairs[:, 0], pairs[:, 1])), shape=(count, count))
    groups, of = connected_components(graph, directed=False)
    found = []
    for number in range(groups):
        own = np.flatnonzero(of == number)
        if (whole := float(length[own].sum())) < 4.0 * within_mm:
            continue
        typical = own[np.argsort(gap[own])[len(own) // 2]]
        x, y = middle[typical]
        found.append(NearMiss(float(gap[typical]), whole, (float(x), float(y))))
    return sorted(found, key=lambda miss: -miss.length_mm)


@remembered(kept=64)
def reach_along(
    region: BaseGeometry, at: Floats, way: Floats, most_mm: float | Floats, steps: int = 24
) -> Floats:
    """Say how far a region goes on from points, in steps.

    :param at: (n, 2) points on its edge or inside
    :param way: (n, 2) unit vectors
    :param most_mm: looked no farther; one length, or (n,)
    :return: (n,) mm, within ``most_mm / steps``
    """
    most = np.broadcast_to(np.asarray(most_mm, dtype=np.float64), (len(at),))
    shapely.prepare(region)
    inside = np.ones(len(at), dtype=bool)
    reached = np.zeros(len(at))
    for number in range(steps):
        on = np.flatnonzero(inside)
        if not len(on):
            break
        point = at[on] + way[on] * (most[on] * (number + 0.5) / steps)[:, None]
        inside[on] = shapely.contains_xy(region, point)
        reached[inside] = most[inside] * (number + 1) / steps
    return reached


def _summed(group: Ints, values: Floats, groups: int) -> Floats:
    return np.bincount(group, values, minlength=groups).astype(np.float64)


def _length(vectors: Floats) -> Floats:
    return np.asarray(np.hypot(vectors[:, 0], vectors[:, 1]), dtype=np.float64)


def _dot(one: Floats, other: Floats) -> Floats:
    return np.asarray(np.einsum("ij,ij->i", one, other), dtype=np.float64)


def _cross(one: Floats, other: Floats) -> Floats:
    return one[:, 0] * other[:, 1] - one[:, 1] * other[:, 0]
