"""Spreads a region under its neighbour along their border. Of prep, borders and measuring alone."""

from __future__ import annotations

import numpy as np
import shapely
from numpy.typing import NDArray
from scipy.spatial import cKDTree
from shapely import MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry

from prep.borders import TOUCH_MM, Border
from prep.measures.edges import edges_of
from prep.measures.shrinking import ROUND_DEG, Shrinking, seen_apart

Floats = NDArray[np.float64]


MITRE_LIMIT = 1.5
"""A corner goes out to at most this times the width. Corners of 84° and more keep their point; sharper
ones are cut off, so that no spike stands in the film. Our choice."""
SHORTEST = 1.0
"""A border shorter than this times the width is a corner that touches and gets no trap. Our choice."""
FACING_DEG = 120.0
"""Two edges face each other where a disc between them touches them at least this far apart."""
SLOPE = 0.5
"""Along the border the width changes by at most this share of the way. Our choice: a knife follows it."""
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
    a slope of at most ``SLOPE`` along the border. Where the border ends the spread ends square to it,
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
    bands = [
        _band(
            np.vstack([pieces.a[of], pieces.b[of][-1:]]),
            allowed[of],
            enough[of],
            closed=bool(pieces.closed[run]),
        )
        for run in np.flatnonzero(border.run_mm >= SHORTEST * width_mm)
        for of in [np.flatnonzero(pieces.run == run)]
    ]
    edges, corners = (np.concatenate(points) for points in zip(*bands, strict=True))
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
    tree = cKDTree(pieces.middle)
    own = np.flatnonzero((tree.query(middle)[0] <= _STEP_MM) & (edges.length > 0))
    allowed = np.full(len(pieces), width_mm)
    if not len(own):
        return allowed, allowed
    discs = Shrinking.along(edges)
    most = np.full(len(own), 1.02 * width_mm)
    radius, held_by = discs.shrink(own, middle[own], most, least_deg=ROUND_DEG)
    normal = edges.inward[own]
    centre = middle[own] + normal * radius[:, None]
    apart = np.where(held_by >= 0, seen_apart(edges, centre, radius, held_by, normal), 0.0)
    apart = np.maximum(apart, discs.across(centre, radius, normal))
    facing = apart >= FACING_DEG
    fits = np.where(facing, radius, width_mm)
    # in corners discs tell nothing of the width: there it is as beside them
    tell = np.flatnonzero(facing | (radius >= width_mm))
    if len(tell):
        fits = fits[tell[cKDTree(middle[own[tell]]).query(middle[own])[1]]]
    # the pieces of the border and the edges of the other region are cut at different places
    near = cKDTree(middle[own]).query(pieces.middle, k=min(2, len(own)))[1].reshape(len(pieces), -1)
    least, holds = discs.shrink(own, middle[own], most, least_deg=_FLAT_DEG)
    on_border = np.zeros(len(edges), dtype=bool)
    on_border[own] = True
    hollow = np.where((holds >= 0) & on_border[holds], least, width_mm)
    return (
        np.minimum(fits[near].min(axis=1), width_mm),
        np.minimum(hollow[near].max(axis=1), width_mm),
    )


def _band(
    points: Floats, allowed: Floats, enough: Floats, *, closed: bool
) -> tuple[Floats, Floats]:
    """Give a stretch's band as points whose hulls make it up, one for each edge with the corner after it.

    :param points: (n + 1, 2) along the stretch, what is spread on the left
    :param allowed: (n,) width each edge may have
    :param enough: (n,) width beyond which the band is another edge's
    :return: (edges, 7, 2) mm; and (corners, 5, 2) of those that aren't convex together with their edge
    """
    way = np.diff(points, axis=0)
    length = np.hypot(*way.T)
    before, after = _at_points(allowed, closed=closed)
    wide = _sloped(
        np.minimum(before, after), np.concatenate([[0.0], np.cumsum(length)]), closed=closed
    )
    wide = np.minimum(wide, np.maximum(*_at_points(enough, closed=closed)))
    along = way / length[:, None]
    kept = np.ones(len(points), dtype=bool)
    straight = np.abs(along[1:, 0] * along[:-1, 1] - along[1:, 1] * along[:-1, 0]) < 1e-9
    rate = np.diff(wide) / length
    kept[1:-1] = ~(straight & (np.abs(np.diff(rate)) < 1e-6))
    points, wide = points[kept], wide[kept]
    way = np.diff(points, axis=0)
    along = way / np.hypot(*way.T)[:, None]
    out = np.column_stack([along[:, 1], -along[:, 0]])
    next_along = np.roll(along, -1, axis=0)
    if not closed:
        next_along[-1] = along[-1]
    next_out = np.column_stack([next_along[:, 1], -next_along[:, 0]])
    turn = np.arctan2(
        along[:, 0] * next_along[:, 1] - along[:, 1] * next_along[:, 0],
        (along * next_along).sum(axis=1),
    )
    half = np.clip(turn, 0.0, None) / 2.0  # corners the other way overlap
    sin, cos = np.sin(half), np.cos(half)
    with np.errstate(divide="ignore", invalid="ignore"):
        reach = np.where(half > 0, np.minimum(sin / cos, (MITRE_LIMIT - cos) / sin), 0.0)
    a, b = wide[:-1, None], wide[1:, None]
    past = (wide[1:] * reach)[:, None]
    last = points[1:] + out * b
    edge = [points[:-1], points[:-1] + out * a, last, points[1:]]
    following = np.where((half > 0)[:, None], next_out, out)
    corner = [last + along * past, points[1:] + following * b - next_along * past]
    corner[1] = np.where((half > 0)[:, None], corner[1], last)
    corner.append(points[1:] + following * b)
    sharp = half > np.pi / 4.0  # not convex together with the edge
    together = np.stack([*edge, *corner], axis=1)
    together[sharp, 4:] = last[sharp, None]
    alone = np.stack([last, points[1:], *corner], axis=1)[sharp]
    return together, alone


def _at_points(of_edge: Floats, *, closed: bool) -> tuple[Floats, Floats]:
    """Give for each point what the edge before it has, and the edge after it."""
    before = np.concatenate([of_edge[-1:] if closed else of_edge[:1], of_edge])
    return before, np.concatenate([of_edge, of_edge[:1] if closed else of_edge[-1:]])


def _hulls(points: Floats) -> NDArray[np.object_]:
    return np.asarray(shapely.convex_hull(shapely.linestrings(points)), dtype=object)


def _sloped(wide: Floats, at_mm: Floats, *, closed: bool) -> Floats:
    """Lower widths until they change by no more than ``SLOPE`` along the stretch."""
    if closed:
        turns = at_mm[-1] * np.array([[-1.0], [0.0], [1.0]])
        at, many = (at_mm + turns).ravel(), np.tile(wide, 3)
    else:
        at, many = at_mm, wide
    many = np.minimum.accumulate(many - SLOPE * at) + SLOPE * at
    many = np.minimum.accumulate((many + SLOPE * at)[::-1])[::-1] - SLOPE * at
    return np.asarray(many[len(wide) : 2 * len(wide)] if closed else many, dtype=np.float64)


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
