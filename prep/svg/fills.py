"""From rings to the region a fill rule paints, exactly: noding and winding numbers.

Most rings of real drawings are simple and cross no other: for these nesting is enough. Others are
noded: all edges are cut at their crossings, the faces between them are built, and the winding number
of each face decides (SVG 2, 13.4.2 fill-rule).
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import MultiPolygon, Polygon

from prep.svg import limits
from prep.svg.paths import Floats

EMPTY = MultiPolygon()
_GRID_MM = 1e-6  # a ten-thousandth of the flattening
_FEW_EDGES = 300  # no more crossings than the limit are possible
_MANY_EDGES = 5_000
_SAMPLES = ((4, 100), (16, 5), (400, 1))  # edges, and how many times the limit ends it there
_BOXES, _BOXED_EDGES = 100, 30_000
_CLEARLY = 5
_DENSE = 60_000  # pairs of places and edges that are looked at one by one
_PAIRS = 4_000_000


def filled(rings: Sequence[Floats], rule: str) -> MultiPolygon:
    """Give what a fill rule paints of closed rings.

    :param rings: each of shape (m, 2), m >= 4, first point again at the end
    :param rule: ``nonzero`` or ``evenodd``
    :returns: a valid region
    :raises PastLimit: noding would take too long
    """
    if not rings:
        return EMPTY
    sizes = [len(ring) for ring in rings]
    if sizes[0] <= _MANY_EDGES and len(rings) == 1:
        polygon = _array([shapely.polygons(rings[0])])
        if shapely.is_valid(polygon[0]):
            return _multi(polygon)
    made = _array(
        shapely.linearrings(np.concatenate(rings), indices=np.repeat(np.arange(len(rings)), sizes))
    )
    polygons = _array(shapely.polygons(made))
    many = sum(sizes) > _MANY_EDGES
    if many:  # even to look whether they cross would take too long
        guard_crossings(rings)
    if shapely.is_valid(polygons).all():
        if len(rings) == 1:
            return _multi(polygons)
        if shapely.is_simple(shapely.multilinestrings(made)):
            return _nested(made, polygons, rule)
    if not many:
        guard_crossings(rings)
    return _noded(rings, made, rule)


def as_region(geometry: shapely.Geometry) -> MultiPolygon:
    """Keep the areas of whatever an operation gave."""
    if isinstance(geometry, MultiPolygon):
        return geometry
    if isinstance(geometry, Polygon):
        return EMPTY if geometry.is_empty else _multi(_array([geometry]))
    parts = shapely.get_parts(shapely.get_parts(geometry))
    return _multi(parts[shapely.get_type_id(parts) == 3])


def _multi(polygons: NDArray[np.object_]) -> MultiPolygon:
    """Make one region of polygons; the class's own constructor takes several times as long."""
    made = shapely.multipolygons(polygons)
    assert isinstance(made, MultiPolygon)
    return made


def _array(made: object) -> NDArray[np.object_]:
    """Tell the type checker what shapely gives for many."""
    return np.asarray(made, dtype=object)


def _inside(winding: NDArray[np.intp], rule: str) -> NDArray[np.bool_]:
    inside: NDArray[np.bool_] = winding % 2 != 0 if rule == "evenodd" else winding != 0
    return inside


def _nested(made: NDArray[np.object_], polygons: NDArray[np.object_], rule: str) -> MultiPolygon:
    """Fill rings that touch no other: each lies wholly inside or outside of each other."""
    turns = np.where(shapely.is_ccw(made), 1, -1)
    inner, outer = shapely.STRtree(polygons).query(
        shapely.points(shapely.get_coordinates(shapely.get_point(made, 0))), predicate="within"
    )
    other = inner != outer
    inner, outer = inner[other], outer[other]
    around = np.zeros(len(made), dtype=np.intp)
    np.add.at(around, inner, turns[outer])
    is_in, was_in = _inside(around + turns, rule), _inside(around, rule)
    shells = np.flatnonzero(is_in & ~was_in)
    holes = np.flatnonzero(~is_in & was_in)
    if not len(holes):
        return _multi(polygons[shells])
    # a hole belongs to the smallest shell around it
    belongs: dict[int, list[shapely.LinearRing]] = {int(shell): [] for shell in shells}
    pair = np.isin(inner, holes) & np.isin(outer, shells)
    inner, outer = inner[pair], outer[pair]
    order = np.lexsort((shapely.area(polygons[outer]), inner))
    inner, outer = inner[order], outer[order]
    lonely, nearest = np.unique(inner, return_index=True)
    for hole, shell in zip(lonely, outer[nearest], strict=True):
        belongs[int(shell)].append(made[hole])
    return MultiPolygon([Polygon(made[shell], inside) for shell, inside in belongs.items()])


def _noded(rings: Sequence[Floats], made: NDArray[np.object_], rule: str) -> MultiPolygon:
    # on a grid noding is complete, also where edges all but coincide; elsewhere faces get lost
    lines = shapely.union_all(shapely.multilinestrings(made), grid_size=_GRID_MM)
    faces = shapely.get_parts(shapely.polygonize([lines]))
    if not len(faces):
        return EMPTY
    places = shapely.get_coordinates(shapely.point_on_surface(faces))
    kept = faces[_inside(_windings(places, rings), rule)]
    if len(kept) < 2:
        return _multi(kept)
    # the faces share noded edges exactly, so that the cheap union holds
    return as_region(_joined(kept))


def _joined(faces: NDArray[np.object_]) -> shapely.Geometry:
    union = shapely.coverage_union_all(faces)
    return union if shapely.is_valid(union) else shapely.union_all(faces)


def _windings(places: Floats, rings: Sequence[Floats]) -> NDArray[np.intp]:
    """Count how often the rings go round each place, by the crossings of a ray to the right."""
    tails = np.concatenate([ring[:-1] for ring in rings])
    heads = np.concatenate([ring[1:] for ring in rings])
    level = tails[:, 1] == heads[:, 1]
    tails, heads = tails[~level], heads[~level]
    windings = np.zeros(len(places), dtype=np.intp)
    if len(places) * len(tails) <= _DENSE:
        place = np.repeat(np.arange(len(places)), len(tails))
        edge = np.tile(np.arange(len(tails)), len(places))
        _count(windings, places, place, tails, heads, edge)
        return windings
    tree = shapely.STRtree(_array(shapely.linestrings(np.stack((tails, heads), axis=1))))
    ends = places.copy()
    ends[:, 0] = max(tails[:, 0].max(), heads[:, 0].max()) + 1.0
    rays = _array(shapely.linestrings(np.stack((places, ends), axis=1)))
    step = max(1, _PAIRS // len(tails))
    for start in range(0, len(places), step):  # in parts, as every ray may meet every edge
        place, edge = tree.query(rays[start : start + step])
        _count(windings, places, place + start, tails, heads, edge)
    return windings


def _count(
    windings: NDArray[np.intp],
    places: Floats,
    place: NDArray[np.intp],
    tails: Floats,
    heads: Floats,
    edge: NDArray[np.intp],
) -> None:
    """Add the crossings of rays with edges, given as pairs, to the places' windings."""
    x, y = places[place].T
    (x0, y0), (x1, y1) = tails[edge].T, heads[edge].T
    up, down = (y0 <= y) & (y < y1), (y1 <= y) & (y < y0)
    hit = up | down
    x, y, x0, y0, x1, y1 = (v[hit] for v in (x, y, x0, y0, x1, y1))
    right = x0 + (y - y0) / (y1 - y0) * (x1 - x0) > x
    sign = np.where(up[hit], 1, -1)
    np.add.at(windings, place[hit][right], sign[right])


def guard_crossings(rings: Sequence[Floats]) -> None:
    """Estimate how often rings cross each other and themselves, from a sample of their edges.

    :raises PastLimit: more than the limit
    """
    count = sum(len(ring) - 1 for ring in rings)
    if count <= _FEW_EDGES:
        return
    ends = np.concatenate([np.stack((ring[:-1], ring[1:]), axis=1) for ring in rings])
    if count <= _BOXED_EDGES and _near(ends) < limits.CROSSINGS / _CLEARLY:
        return
    edges = _array(shapely.linestrings(ends))
    tree = shapely.STRtree(edges)
    for sample, times in _SAMPLES:  # a few edges first: where many cross, these tell enough
        chosen = np.linspace(0, count - 1, min(sample, count)).astype(np.intp)
        near, _ = tree.query(edges[chosen], predicate="intersects")
        # each edge meets itself and its two neighbours
        crossings = max(0, len(near) - 3 * len(chosen)) / len(chosen) * count / 2
        # a small sample may be all bad luck; only a clear excess ends it early
        if crossings > limits.CROSSINGS * times:
            raise limits.PastLimit("crossings")


def _near(ends: Floats) -> float:
    """Estimate how many pairs of edges have boxes that meet: no fewer than cross, and soon told.

    :param ends: shape (n, 2, 2)
    """
    count = len(ends)
    low, high = ends.min(axis=1), ends.max(axis=1)
    chosen = np.linspace(0, count - 1, min(_BOXES, count)).astype(np.intp)
    meet = 0
    for part in np.array_split(chosen, -(-len(chosen) * count // _DENSE)):
        apart = (low[part, None] > high).any(axis=2) | (high[part, None] < low).any(axis=2)
        meet += apart.size - int(np.count_nonzero(apart))
    return meet / len(chosen) * count / 2
