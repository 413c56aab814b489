"""Bands along stretches of a border, whose width may change. Of prep, borders only."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Polygon

from prep.borders import Border

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]
Geometries = NDArray[np.object_]

MITRE_LIMIT = 1.5
"""A corner goes out to at most this times the width. Corners of 84° and more keep their point; sharper
ones are cut off, so that no spike stands in the film. Our choice."""
SLOPE = 0.5
"""Along the border the width changes by at most this share of the way. Our choice: a knife follows it."""
_SAME_MM = 1e-9
"""Points nearer than this are one."""


def bands(pieces: Border, allowed: Floats, enough: Floats, kept: Bools) -> Geometries:
    """Give polygons that together are the bands along stretches of a border.

    A stretch is one polygon where its band nowhere crosses itself; else it is a polygon for each edge.

    :param pieces: stretch by stretch; the bands lie on their right
    :param allowed: (n,) width each piece may have
    :param enough: (n,) width beyond which the band is another piece's
    :param kept: (runs,) which stretches get a band, at least one
    """
    own = np.flatnonzero(kept[pieces.run])
    allowed, enough = allowed[own], enough[own]
    run = np.unique(pieces.run[own], return_inverse=True)[1]
    stretch = _Stretches(run, pieces.closed[kept])
    points = stretch.points(pieces.a[own], pieces.b[own])
    length = np.hypot(*(points[stretch.end] - points[stretch.start]).T)
    before, after = stretch.beside(allowed)
    wide = _sloped(np.minimum(before, after), length, stretch)
    wide = np.minimum(wide, np.maximum(*stretch.beside(enough)))
    stretch, points, wide = _without_straight(stretch, points, wide, length)
    way = points[stretch.end] - points[stretch.start]
    along = way / np.hypot(*way.T)[:, None]
    out = np.column_stack([along[:, 1], -along[:, 0]])
    next_along, next_out = along[stretch.following], out[stretch.following]
    turn = np.arctan2(
        along[:, 0] * next_along[:, 1] - along[:, 1] * next_along[:, 0],
        (along * next_along).sum(axis=1),
    )
    half = np.clip(turn, 0.0, None) / 2.0  # corners the other way overlap
    sin, cos = np.sin(half), np.cos(half)
    with np.errstate(divide="ignore", invalid="ignore"):
        reach = np.where(half > 0, np.minimum(sin / cos, (MITRE_LIMIT - cos) / sin), 0.0)
    first, end = points[stretch.start], points[stretch.end]
    a, b = wide[stretch.start, None], wide[stretch.end, None]
    past = b * reach[:, None]
    outer, last = first + out * a, end + out * b
    bent = (half > 0)[:, None]
    following = np.where(bent, next_out, out)
    then = end + following * b
    corner = [np.where(bent, last + along * past, last), then - next_along * past]
    whole, simple = _in_one(stretch, points, wide, outer, last, corner, half)
    hulled = ~simple[stretch.run]
    sharp = half > np.pi / 4.0  # not convex together with the edge
    together = np.stack([first, outer, last, end, *corner, then], axis=1)
    together[sharp, 4:] = last[sharp, None]
    alone = np.stack([last, end, *corner, then], axis=1)[sharp & hulled]
    # hulls are valid however little of a corner there is
    made = np.concatenate([whole, _hulls(together[hulled]), _hulls(alone)])
    return np.asarray(made[shapely.area(made) > 0.0], dtype=object)


def _in_one(
    stretch: _Stretches,
    points: Floats,
    wide: Floats,
    outer: Floats,
    last: Floats,
    corner: Sequence[Floats],
    half: Floats,
) -> tuple[Geometries, Bools]:
    """Give the bands of stretches that are one polygon each, and which these are.

    :param outer: (edges, 2) where the band's outer side begins at each edge
    :param last: (edges, 2) where it ends there
    :param corner: two of (edges, 2), how it goes on round the corner after each
    :param half: (edges,) half the turn of that corner, 0 where it turns towards the band
    """
    many, after = len(stretch.closed), stretch.following
    open_end = after == np.arange(len(after))
    even = wide[stretch.start] == wide[stretch.end]
    # towards the band, the outer sides of two edges cross, each before its end
    way, next_way, gap = last - outer, (last - outer)[after], outer[after] - outer
    across = _cross(way, next_way)
    with np.errstate(divide="ignore", invalid="ignore"):
        along, back = _cross(gap, next_way) / across, _cross(gap, way) / across
    meets = np.hypot(*(last - outer[after]).T) <= _SAME_MM
    crossing = np.where(meets[:, None], last, outer + way * along[:, None])
    inward = (half == 0.0) & ~open_end
    fails = inward & ~meets & ~((along >= 0.0) & (along <= 1.0) & (back >= 0.0) & (back <= 1.0))
    simple = np.bincount(stretch.run[fails], minlength=many) == 0
    begins = np.zeros(len(after), dtype=bool)
    begins[stretch.ends[0]] = True
    begins &= ~stretch.closed[stretch.run]
    convex = ~inward & ~open_end
    # what stands at the outer side of each edge, one place after the other
    at = np.stack([outer, np.where(inward[:, None], crossing, last), *corner, outer[after]], axis=1)
    there = np.stack(
        [begins, inward | open_end | ~even, convex, convex, convex & ~even[after]], axis=1
    )
    edge = np.nonzero(there)[0]
    side, of_side = at[there], stretch.run[edge]
    new = np.ones(len(side), dtype=bool)
    new[1:] = (of_side[1:] != of_side[:-1]) | (np.hypot(*np.diff(side, axis=0).T) > _SAME_MM)
    side, of_side = side[new], of_side[new]
    of_point = stretch.of_point
    simple &= np.bincount(of_side, minlength=many) >= 3 - (~stretch.closed).astype(int)
    made = np.full(many, None, dtype=object)
    opened = np.flatnonzero(simple & ~stretch.closed)
    rows, theirs = np.isin(of_point, opened), np.isin(of_side, opened)
    ring = np.concatenate([points[rows], side[theirs][::-1]])
    of = np.concatenate([of_point[rows], of_side[theirs][::-1]])
    order = np.argsort(of, kind="stable")
    number = np.unique(of[order], return_inverse=True)[1]
    if len(opened):
        made[opened] = shapely.polygons(shapely.linearrings(ring[order], indices=number))
    for run in np.flatnonzero(simple & stretch.closed).tolist():
        one = Polygon(points[of_point == run])
        other = Polygon(side[of_side == run])
        shell, hole = (one, other) if one.area > other.area else (other, one)
        made[run] = Polygon(shell.exterior, [hole.exterior])
    simple &= shapely.is_valid(made)
    return np.asarray(made[simple], dtype=object), simple


@dataclass(frozen=True, slots=True, eq=False)
class _Stretches:
    """Which points and edges make up stretches that stand one after the other.

    A stretch has one point more than edges; where it is closed its last point is its first.

    :param run: (edges,) number of the stretch, rising from 0, none left out
    :param closed: (stretches,)
    """

    run: Ints
    closed: Bools

    @property
    def start(self) -> Ints:
        """(edges,) the point each edge begins at."""
        return np.arange(len(self.run)) + self.run

    @property
    def end(self) -> Ints:
        """(edges,) the point each edge ends at."""
        return self.start + 1

    @property
    def of_point(self) -> Ints:
        """(points,) the stretch of each."""
        count = np.bincount(self.run, minlength=len(self.closed)) + 1
        return np.repeat(np.arange(len(self.closed)), count)

    @property
    def ends(self) -> tuple[Ints, Ints]:
        """(stretches,) the first edge of each, and the last."""
        first = np.searchsorted(self.run, np.arange(len(self.closed)))
        return first, np.append(first[1:], len(self.run)) - 1

    @property
    def following(self) -> Ints:
        """(edges,) the edge after each; at an open end, itself."""
        first, last = self.ends
        after = np.arange(1, len(self.run) + 1)
        after[last] = np.where(self.closed, first, last)
        return after

    def points(self, a: Floats, b: Floats) -> Floats:
        """Give the points, of edges from ``a`` to ``b``."""
        made = np.empty((len(self.run) + len(self.closed), 2))
        made[self.end], made[self.start] = b, a
        return made

    def beside(self, of_edge: Floats) -> tuple[Floats, Floats]:
        """Give for each point what the edge before it has, and the edge after it."""
        first, last = self.ends
        many = len(self.run) + len(self.closed)
        before, after = np.empty(many), np.empty(many)
        before[self.end], after[self.start] = of_edge, of_edge
        before[self.start[first]] = of_edge[np.where(self.closed, last, first)]
        after[self.end[last]] = of_edge[np.where(self.closed, first, last)]
        return before, after


def _without_straight(
    stretch: _Stretches, points: Floats, wide: Floats, length: Floats
) -> tuple[_Stretches, Floats, Floats]:
    """Leave out points at which neither the way turns nor the width begins to change."""
    along = (points[stretch.end] - points[stretch.start]) / length[:, None]
    straight = np.abs(along[1:, 0] * along[:-1, 1] - along[1:, 1] * along[:-1, 0]) < 1e-9
    rate = (wide[stretch.end] - wide[stretch.start]) / length
    inner = stretch.run[1:] == stretch.run[:-1]
    gone = inner & straight & (np.abs(np.diff(rate)) < 1e-6)
    kept = np.ones(len(points), dtype=bool)
    kept[stretch.end[:-1][gone]] = False
    run = stretch.run[np.append(~gone, True)]
    return _Stretches(run, stretch.closed), points[kept], wide[kept]


def _hulls(points: Floats) -> NDArray[np.object_]:
    return np.asarray(shapely.convex_hull(shapely.linestrings(points)), dtype=object)


def _sloped(wide: Floats, length: Floats, stretch: _Stretches) -> Floats:
    """Lower widths at points until they change by no more than ``SLOPE`` along the stretch.

    :param length: (edges,) mm
    """
    if np.ptp(wide) == 0.0:
        return wide
    of, (first, last) = stretch.of_point, stretch.ends
    so_far = np.concatenate([[0.0], np.cumsum(length)])
    at = np.empty(len(wide))
    at[stretch.start], at[stretch.end[last]] = so_far[:-1], so_far[last + 1]
    at -= so_far[first][of]
    whole = at[stretch.end[last]]
    # once more before and after where it is closed, so that the slope goes on over its beginning
    place = np.arange(len(wide))
    round_again = place[stretch.closed[of]]
    index = np.concatenate([round_again, place, round_again])
    turn = np.repeat([-1.0, 0.0, 1.0], [len(round_again), len(place), len(round_again)])
    order = np.lexsort((index, turn, of[index]))
    index, turn = index[order], turn[order]
    at_turn = at[index] + turn * whole[of[index]]
    low = _least_so_far(wide[index] - SLOPE * at_turn, of[index]) + SLOPE * at_turn
    low = _least_so_far((low + SLOPE * at_turn)[::-1], of[index][::-1])[::-1] - SLOPE * at_turn
    made = np.empty(len(wide))
    made[index[turn == 0.0]] = low[turn == 0.0]
    return made


def _least_so_far(values: Floats, group: Ints) -> Floats:
    """Give the least value of its group up to each, where groups stand one after the other."""
    number = np.cumsum(np.concatenate([[False], group[1:] != group[:-1]]))
    apart = number * (np.ptp(values) + 1.0)
    return np.asarray(np.minimum.accumulate(values - apart) + apart, dtype=np.float64)


def _cross(one: Floats, other: Floats) -> Floats:
    return np.asarray(one[:, 0] * other[:, 1] - one[:, 1] * other[:, 0], dtype=np.float64)
