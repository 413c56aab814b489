"""Spreads a region under its neighbour along their border. Of prep, borders and measuring alone."""

from __future__ import annotations

import numpy as np
import shapely
from numpy.typing import NDArray
from scipy.spatial import cKDTree
from shapely import MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry

from prep.borders import TOUCH_MM, Border
from prep.measures.edges import Edges, edges_of
from prep.measures.shrinking import ROUND_DEG, Shrinking, seen_apart
from prep.remembered import remembered
from prep_trap.bands import bands

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]
Geometries = NDArray[np.object_]


SHORTEST = 1.0
"""A border shorter than this times the width is a corner that touches and gets no trap. Our choice."""
FACING_DEG = 120.0
"""Two edges face each other where a disc between them touches them at least this far apart."""
TIP_RISE = 0.1
"""Half the width of a tip rises by this share of the way from its end, or more: tips of 11.4° and more.
In finer ones the spread takes half. Our choice."""
_TIP_BEGINS = 0.5  # share of the spread's width that half the width of a tip is under at its end
_TIP_GROWS = 1.2
_TIP_STARTS = 6.0  # so many times half its width at the end a tip is long before it is wider
_UNEVEN = 0.05
_STEP_MM = 0.1
_FLAT_DEG = 30.0  # contacts seen less far apart may lie on one edge of a flattened curve


@remembered(kept=32)
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
    made = bands(pieces, allowed, enough, border.run_mm >= SHORTEST * width_mm)
    whole_band = shapely.disjoint_subset_union_all(made)
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
    tree = _tree(pieces.middle)
    edges = edges_of(rings, _cuts(rings, tree, 2.1 * width_mm))
    middle = (edges.start + edges.end) / 2.0
    short = np.flatnonzero((edges.length > 0) & (edges.length <= (1.0 + 1e-6) * _STEP_MM))
    there = tree.query(middle[short], distance_upper_bound=np.nextafter(_STEP_MM, 1.0))[0]
    own = short[there <= _STEP_MM]
    allowed, enough = np.full(len(pieces), width_mm), np.full(len(pieces), width_mm)
    if not len(own):
        return allowed, enough
    discs = _discs(edges, short)
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


def _cuts(rings: Geometries, border: cKDTree, reach_mm: float) -> Floats:
    """Give how long the pieces of each edge may be: any length where it lies far from a border.

    :param border: points along it, no farther from each other than ``_STEP_MM``
    """
    points, of = shapely.get_coordinates(rings, return_index=True)
    step = np.flatnonzero((of[1:] == of[:-1]) & (points[1:] != points[:-1]).any(axis=1))
    start, end = points[step], points[step + 1]
    half = np.hypot(*(end - start).T) / 2.0
    away = border.query((start + end) / 2.0)[0] - half
    return np.where(away <= reach_mm + _STEP_MM, _STEP_MM, np.inf)


def _discs(edges: Edges, near: Ints) -> Shrinking:
    """Prepare the search of discs along edges, held by some of them."""
    points = np.concatenate([edges.start[near], (edges.start[near] + edges.end[near]) / 2.0])
    return Shrinking(edges, _tree(points), np.concatenate([near, near]))


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
