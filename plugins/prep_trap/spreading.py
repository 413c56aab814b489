"""Spreads a region under its neighbour along their border. Of prep, borders and measuring alone."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from scipy.spatial import cKDTree
from shapely import MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry

from prep.borders import TOUCH_MM, Border
from prep.measures.edges import Edges, edges_of
from prep.measures.shrinking import ROUND_DEG, Shrinking, seen_apart

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]


MITRE_LIMIT = 1.5
"""A corner goes out to at most this times the width. Corners of 84° and more keep their point; sharper
ones are cut off, so that no spike stands in the film. Our choice."""
SHORTEST = 1.0
"""A border shorter than this times the width is a corner that touches and gets no trap. Our choice."""
FACING_DEG = 120.0
"""Two edges face each other where a disc between them touches them at least this far apart."""
SLOPE = 0.5
"""Along the border the width changes by at most this share of the way. Our choice: a knife follows it."""
TIP_RISE = 0.1
"""Half the width of a tip rises by this share of the way from its end, or more: tips of 11.4° and more.
In finer ones the spread takes half. Our choice."""
_TIP_BEGINS = 0.5  # share of the spread's width that half the width of a tip is under at its end
_TIP_GROWS = 1.2
_TIP_STARTS = 6.0  # so many times half its width at the end a tip is long before it is wider
_UNEVEN = 0.05
_STEP_MM = 0.1
_FLAT_DEG = 30.0  # contacts seen less far apart may lie on one edge of a flattened curve


def spread(
    later: BaseGeometry,
    border: Border,
    width_mm: float,
    *,
    narrow: bool = True,
    least_share: float = 0.1,
) -> MultiPolygon:
    """Spread a region under ``later`` by a width, straight across their shared border.

    Where ``later`` is too narrow the spread takes half of its local width, and comes down to that by
    a slope of at most ``SLOPE`` along the border; the tip of a corner in which the border ends it
    fills. Where the border ends the spread ends square to it,
    so that it never runs along the bare shirt or a third colour. What lies within the width but isn't
    joined to the border through ``later`` is left out. Nothing of it is thinner than ``least_share``
    of the width.

    :param border: of the region with ``later``, see :func:`prep.borders.shared_border`
    :param narrow: whether ``later`` may anywhere be narrower than twice the width; if it is known
        not to be, its local width isn't looked at
    :return: what is added to the region; lies in ``later``
    """
    if width_mm <= 0.0:
        return MultiPolygon()
    whole = border.lines(SHORTEST * width_mm)
    if not whole:
        return MultiPolygon()
    line = shapely.GeometryCollection(whole)
    later = _joined_to(line, later)
    pieces = border.split(_STEP_MM) if narrow else border
    allowed = enough = np.full(len(pieces), width_mm)
    if narrow:
        allowed, enough = _allowed(later, pieces, width_mm)
        allowed = _whole_in_tips(pieces, allowed, width_mm)
    edges, corners = _bands(pieces, allowed, enough, border.run_mm >= SHORTEST * width_mm)
    # hulls are valid however little of a corner there is
    made = np.concatenate([_hulls(edges), _hulls(corners)])
    whole_band = shapely.disjoint_subset_union_all(made[shapely.area(made) > 0.0])
    trap = shapely.intersection(whole_band, later)
    return _without_slivers(_joined_to(line, trap), least_share * width_mm)


def _allowed(later: BaseGeometry, pieces: Border, width_mm: float) -> tuple[Floats, Floats]:
    """Give the width that each piece of the border may have, and the width that is enough there.

    It may have half of the local width across it: the radius of the largest disc in ``later`` that
    touches the border there, if it is held by something that faces the border. Enough is the radius
    of the largest disc at all, if the border itself holds it: in hollows of the border, what lies
    beyond the disc's centre is nearer to the border elsewhere.
    """
    rings = shapely.get_rings(shapely.get_parts(shapely.orient_polygons(later)))
    edges = edges_of(rings, _STEP_MM)
    middle = (edges.start + edges.end) / 2.0
    there = _tree(pieces.middle).query(middle, distance_upper_bound=np.nextafter(_STEP_MM, 1.0))[0]
    own = np.flatnonzero((there <= _STEP_MM) & (edges.length > 0))
    allowed, enough = np.full(len(pieces), width_mm), np.full(len(pieces), width_mm)
    if not len(own):
        return allowed, enough
    discs = _discs(edges)
    largest = np.full(len(own), 1.02 * width_mm)
    # what holds a disc at contacts seen farther apart holds it at nearer ones as well
    least, holds = discs.shrink(own, middle[own], largest, least_deg=_FLAT_DEG)
    held = np.flatnonzero(holds >= 0)
    if not len(held):
        return allowed, enough
    radius, facing = largest.copy(), np.zeros(len(own), dtype=bool)
    radius[held], facing[held] = _held(edges, discs, own[held], largest[held])
    fits = np.where(facing, radius, width_mm)
    # in corners discs tell nothing of the width: there it is as beside them
    tells = facing | (radius >= width_mm)
    tell, lost = np.flatnonzero(tells), np.flatnonzero(~tells)
    if len(tell) and len(lost):
        fits[lost] = fits[tell[cKDTree(middle[own[tell]]).query(middle[own[lost]])[1]]]
    on_border = np.zeros(len(edges), dtype=bool)
    on_border[own] = True
    hollow = np.where((holds >= 0) & on_border[holds], least, width_mm)
    less = np.flatnonzero((fits < width_mm) | (hollow < width_mm))
    if not len(less):
        return allowed, enough
    # the pieces of the border and the edges of the other region are cut at different places
    near = cKDTree(middle[own]).query(pieces.middle, k=min(2, len(own)))[1].reshape(len(pieces), -1)
    return (
        np.minimum(fits[near].min(axis=1), width_mm),
        np.minimum(hollow[near].max(axis=1), width_mm),
    )


def _held(edges: Edges, discs: Shrinking, own: Ints, largest: Floats) -> tuple[Floats, Bools]:
    """Give the radius of the largest disc at the middle of edges, and whether what holds it faces it."""
    middle, normal = (edges.start[own] + edges.end[own]) / 2.0, edges.inward[own]
    radius, held_by = discs.shrink(own, middle, largest, least_deg=ROUND_DEG)
    centre = middle + normal * radius[:, None]
    apart = np.where(held_by >= 0, seen_apart(edges, centre, radius, held_by, normal), 0.0)
    apart = np.maximum(apart, discs.across(centre, radius, normal))
    return radius, apart >= FACING_DEG


def _discs(edges: Edges) -> Shrinking:
    """Prepare the search of discs along edges."""
    long = np.flatnonzero(edges.length > 0)
    points = np.concatenate([edges.start[long], (edges.start[long] + edges.end[long]) / 2.0])
    return Shrinking(edges, _tree(points), np.concatenate([long, long]))


def _tree(points: Floats) -> cKDTree:
    """Make a tree that is made fast, for not many more questions than it has points."""
    return cKDTree(points, balanced_tree=False, compact_nodes=False)


def _whole_in_tips(pieces: Border, allowed: Floats, width_mm: float) -> Floats:
    """Allow the whole width where the later colour ends in a tip beside the border.

    A tip has no width to take half of; left open, a miss would show the shirt right at the outline.
    Seen from the end of the border, it is one as long as half its width rises from nothing, at least
    by :data:`TIP_RISE`.
    """
    allowed = allowed.copy()
    starts = np.flatnonzero(np.diff(pieces.run, prepend=-1))
    for first, last in zip(starts, [*starts[1:], len(pieces)], strict=True):
        if pieces.closed[pieces.run[first]]:
            continue
        of = np.arange(first, last)
        for rows in (of, of[::-1]):
            half = allowed[rows]
            if half[0] >= _TIP_BEGINS * width_mm:
                continue
            from_end = np.cumsum(pieces.length_mm[rows]) - pieces.length_mm[rows]
            goes_on = half >= np.maximum(
                TIP_RISE * from_end, (1.0 - _UNEVEN) * np.maximum.accumulate(half)
            )
            stop = len(rows) if goes_on.all() else int(goes_on.argmin())
            # what is narrow and stays so is a strip or a neck
            grows = np.flatnonzero(half[:stop] > _TIP_GROWS * half[0])
            if len(grows) and from_end[grows[0]] <= _TIP_STARTS * half[0] + 2 * _STEP_MM:
                allowed[rows[:stop]] = width_mm
    return allowed


def _bands(pieces: Border, allowed: Floats, enough: Floats, kept: Bools) -> tuple[Floats, Floats]:
    """Give bands as points whose hulls make them up, one for each edge with the corner after it.

    :param pieces: stretch by stretch; what is spread lies on their right
    :param allowed: (n,) width each piece may have
    :param enough: (n,) width beyond which the band is another piece's
    :param kept: (runs,) which stretches get a band, at least one
    :return: (edges, 7, 2) mm; and (corners, 5, 2) of those that aren't convex together with their edge
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
    last = end + out * b
    edge = [first, first + out * a, last, end]
    following = np.where((half > 0)[:, None], next_out, out)
    corner = [last + along * past, end + following * b - next_along * past]
    corner[1] = np.where((half > 0)[:, None], corner[1], last)
    corner.append(end + following * b)
    sharp = half > np.pi / 4.0  # not convex together with the edge
    together = np.stack([*edge, *corner], axis=1)
    together[sharp, 4:] = last[sharp, None]
    alone = np.stack([last, end, *corner], axis=1)[sharp]
    return together, alone


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


def _offset(shape: BaseGeometry, by_mm: float, *, mitre_limit: float) -> BaseGeometry:
    with np.errstate(invalid="ignore"):  # GEOS divides by zero at hairlines and goes on
        made = shape.buffer(by_mm, join_style="mitre", mitre_limit=mitre_limit)
    return (
        made
        if made.is_valid
        else shapely.make_valid(made, method="structure", keep_collapsed=False)
    )


def _joined_to(line: BaseGeometry, trap: BaseGeometry) -> MultiPolygon:
    """Keep the parts that touch the border."""
    parts = _parts(_polygons(trap))
    return MultiPolygon(parts[shapely.dwithin(parts, line, TOUCH_MM)].tolist())


def _without_slivers(trap: BaseGeometry, least_mm: float) -> MultiPolygon:
    """Take away what is thinner than a width; what stays keeps its edge to the last digit."""
    half = least_mm / 2.0
    core = _offset(trap, -half, mitre_limit=4.0)
    grown = _offset(core, half * 1.01, mitre_limit=4.0)
    parts = _parts(shapely.intersection(trap, grown))
    return MultiPolygon(parts[shapely.area(parts) > (2.0 * least_mm) ** 2].tolist())


def _parts(shape: BaseGeometry) -> np.ndarray[tuple[int], np.dtype[np.object_]]:
    parts = shapely.get_parts(shapely.get_parts(shape))
    return np.asarray(parts[(shapely.get_type_id(parts) == 3) & (shapely.area(parts) > 0)], object)


def _polygons(shape: BaseGeometry) -> MultiPolygon:
    made = MultiPolygon([p for p in _parts(shape) if isinstance(p, Polygon)])
    if made.is_valid:
        return made
    mended = shapely.make_valid(made, method="structure", keep_collapsed=False)
    return MultiPolygon([p for p in _parts(mended) if isinstance(p, Polygon)])
