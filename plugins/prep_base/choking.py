"""The region of a base: drawn in from edges where it would show. Plain shapely and numpy."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import LineString, MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry

from prep.remembered import remembered

Geometries = NDArray[np.object_]
Ints = NDArray[np.int64]

_TOUCH_MM = 1e-4
"""Edges nearer than this lie on each other."""
FLAT_MM = 0.01
"""Flattened curves stand out by less over the disc that fills them."""
_BESIDE_MM = 0.05
"""What lies nearer to the white lies beside it."""
CLEAR_MM = 1e-4
"""Offsets there and back end this far inside of where they began, so that edges don't lie on each other
but for rounding: overlays of such edges are slow, and leave slivers."""
_ROUND = 1.001
"""Opened shapes grow back by so much more, as they are drawn in by less than half of the width."""
_BEAD_LONG = 2.0
"""A bead is at most so many times as long as the colour around it is wide. Our choice."""
_BEAD_REACH = 1.5
"""So many times the choke beyond a base its colour is counted to it, so that corners of 96° are."""
_BARE_SHARE = 1e-3
"""A part of which less than this share has a base has none."""


@dataclass(frozen=True, slots=True)
class Limits:
    """What can be cut and weeded of a base.

    :param thinnest_mm: nothing thinner is left
    :param keep_mm: tips end where they are thinner
    :param film_mm: film between base and visible white is closed where it is no wider
    """

    thinnest_mm: float
    keep_mm: float
    film_mm: float


@dataclass(frozen=True, slots=True)
class Choked:
    """A base under colours.

    :param region: what is printed under them
    :param bare: parts of the colours that have no base at all
    """

    region: MultiPolygon
    bare: tuple[Polygon, ...]


@remembered(kept=16)
def choked(
    on: BaseGeometry,
    white: BaseGeometry,
    choke_mm: float,
    *,
    narrow: Sequence[tuple[BaseGeometry, float]] = (),
    limits: Limits | None = None,
) -> Choked:
    """Draw a base in from every edge of the colours on it, but not where it goes on as visible white.

    Base = colours without all within the choke of their edges. Along ``white`` nothing is drawn in:
    there the same ink goes on. Holes grow, and bare shirt stays bare.

    :param on: all colours on the base together, valid
    :param white: what the base's screen prints as visible white; apart from ``on``
    :param choke_mm: 0 or more
    :param narrow: (part of the plane, the choke in it) where less than the whole choke is taken; where
        parts overlap the least holds
    """
    whole = polygons(on)
    if whole.is_empty:
        return Choked(MultiPolygon(), ())
    base: BaseGeometry = _drawn_in(whole, white, choke_mm)
    if narrow:
        pieces, edge = [base], outer_edge(whole, white)
        for part, mm in narrow:
            near = shapely.intersection(edge, offset(part, mm + _BESIDE_MM))
            pieces.append(_without_band(shapely.intersection(whole, part), near, mm))
        base = _united(pieces)
    if limits is not None and choke_mm > 0.0:
        base = _closed_beside(white, _without_thin(base, white, limits), whole, limits.film_mm)
    made = polygons(base)
    return Choked(made, bare_of(whole, made))


def outer_edge(on: BaseGeometry, white: BaseGeometry) -> BaseGeometry:
    """Give the edge of colours as lines, without what lies along the visible white."""
    edge = on.boundary
    if white.is_empty:
        return edge
    return shapely.line_merge(shapely.difference(edge, offset(white, _TOUCH_MM)))


def _drawn_in(whole: MultiPolygon, white: BaseGeometry, choke_mm: float) -> BaseGeometry:
    """Take away all within the choke of the edge, but for the edge along the white.

    Parts farther than the choke from the white are drawn in from all of their edge: that is an offset,
    which is several times as fast as a band. Such a part's band reaches no other part that its own edge
    wouldn't clear as well.
    """
    parts = shapely.get_parts(whole)
    beside = np.zeros(len(parts), dtype=bool)
    if not white.is_empty:
        tree = shapely.STRtree(shapely.get_parts(white))
        beside[tree.query(parts, predicate="dwithin", distance=choke_mm + _BESIDE_MM)[0]] = True
    alone = offset(MultiPolygon(parts[~beside].tolist()), -choke_mm) if choke_mm > 0.0 else whole
    if choke_mm <= 0.0 or not beside.any():
        return alone
    others = MultiPolygon(parts[beside].tolist())
    left = _without_band(others, outer_edge(others, white), choke_mm)
    return MultiPolygon([*polygons(alone).geoms, *polygons(left).geoms])


def _without_band(region: BaseGeometry, edge: BaseGeometry, choke_mm: float) -> BaseGeometry:
    if choke_mm <= 0.0 or edge.is_empty:
        return region
    bands = shapely.buffer(shapely.get_parts(edge), choke_mm, quad_segs=16)
    return shapely.difference(region, _united(bands))


def _united(shapes: Sequence[BaseGeometry] | NDArray[np.object_]) -> BaseGeometry:
    return shapely.disjoint_subset_union_all(np.asarray(list(shapes), dtype=object))


@remembered(kept=32)
def narrower_than(region: BaseGeometry, width_mm: float) -> MultiPolygon:
    """Give what a disc of this diameter doesn't reach, without the crumbs it leaves in corners."""
    opened = _opened(region, width_mm / 2.0)
    return MultiPolygon(opened.unreached[~_in_corner(opened)].tolist())


@dataclass(frozen=True, slots=True, eq=False)
class _Opened:
    """What a disc reaches in the parts of a region, and what it doesn't.

    :param core: (parts,) where its middle can be
    :param wide: (parts,) what it reaches, grown by ``FLAT_MM``
    :param unreached: (pieces,) polygons of the rest
    :param of: (pieces,) the part each is of, rising
    """

    half_mm: float
    parts: Geometries
    core: Geometries
    wide: Geometries
    unreached: Geometries
    of: Ints


def _opened(region: BaseGeometry, half_mm: float) -> _Opened:
    """Open each part of a region with a disc.

    Parts are taken one by one: overlays of few edges each are faster than one of all.
    """
    parts = shapely.get_parts(region)
    core = _offsets(parts, -half_mm)
    wide = _offsets(core, half_mm + FLAT_MM)
    unreached, of = _polygons_of(shapely.difference(parts, wide))
    return _Opened(half_mm, parts, core, wide, unreached, of)


def _in_corner(opened: _Opened) -> NDArray[np.bool_]:
    """Tell which pieces a disc doesn't reach are crumbs it leaves in corners, (pieces,).

    In a corner of 30° a disc of radius r leaves (cot 15° - 75° in radians) r² = 2.42 r², in a wider one
    less. What touches nothing wide is no corner, and what touches two parts that are is a neck.
    """
    small = np.flatnonzero(shapely.area(opened.unreached) <= 2.5 * opened.half_mm**2)
    pieces = opened.unreached[small]
    wide, of = shapely.get_parts(opened.wide, return_index=True)
    there = ~shapely.is_empty(wide)
    wide, of = wide[there], of[there]
    mine, theirs = shapely.STRtree(wide).query(_boxes(pieces, _BESIDE_MM))
    # what lies in a part of which one piece is wide lies beside that
    own = (of[theirs] == opened.of[small][mine]) & (np.bincount(of)[of[theirs]] == 1)
    beside = own.copy()
    shapely.prepare(wide[theirs[~own]])
    beside[~own] = shapely.dwithin(wide[theirs[~own]], pieces[mine[~own]], _BESIDE_MM)
    corner = np.zeros(len(opened.unreached), dtype=bool)
    corner[small] = np.bincount(mine[beside], minlength=len(small)) == 1
    return corner


def with_ends(narrow: MultiPolygon, width_mm: float) -> MultiPolygon:
    """Let narrow parts go on into the wide ones, as far as the disc that is stopped there."""
    return polygons(offset(narrow, width_mm / 2.0))


def _without_thin(base: BaseGeometry, white: BaseGeometry, limits: Limits) -> MultiPolygon:
    """Take away what is too thin together with the white beside it, and end tips round.

    Corners of flattened curves stay: to cut them off would double the corners, by less than FLAT_MM.
    """
    opened = _opened(as_one(base, white), limits.keep_mm / 2.0 * 0.999)
    kept = _offsets(opened.core, opened.half_mm * _ROUND)
    laid = shapely.get_parts(base)
    count, of = len(opened.parts), _first_within(laid, opened.parts)
    # where the disc leaves a corner, its edge comes to the corner's in a wedge of half this length
    near = _boxes(opened.unreached, 2.0 * np.sqrt(limits.keep_mm * FLAT_MM))
    near = near[np.unique(shapely.STRtree(laid).query(near, predicate="intersects")[0])]
    near = shapely.get_parts(_united(near))
    at, mine = shapely.STRtree(opened.parts).query(near, predicate="intersects")
    lost, part = _polygons_of(shapely.difference(_grouped(near[at], mine, count), kept))
    strips, parted = _thinner(opened, kept, near, limits)
    lost, again = _polygons_of(_less(lost, strips))
    laid = shapely.difference(laid, _grouped(lost, part[again], count)[of])
    parts = _polygons_of(_less(laid, parted))[0]
    return MultiPolygon(parts[shapely.area(parts) > limits.thinnest_mm**2].tolist())


def _thinner(
    opened: _Opened, kept: Geometries, near: Geometries, limits: Limits
) -> tuple[Geometries, Geometries]:
    """Give what stays beyond ``kept`` where it is narrow, and what goes at necks.

    :param kept: what of each part is as wide as ``keep``
    :param near: places where something isn't, polygons
    :return: polygons, and polygons
    """
    least = limits.thinnest_mm / 2.0 * 0.999
    kept, lost = _polygons_of(kept)[0], opened.unreached
    wide = _polygons_of(opened.wide)[0]  # discs that all but touch are no end either
    strips = lost[:0]
    if limits.thinnest_mm < limits.keep_mm:
        lenses = [offset(n, FLAT_MM) for n in _necks(wide, lost, limits.thinnest_mm)]
        there = polygons(_united([*lost[~_in_corner(opened)], *lenses]))
        if not there.is_empty:
            narrow = with_ends(there, limits.keep_mm)
            around = _common(shapely.get_parts(offset(narrow, 2.0 * limits.keep_mm)), opened.parts)
            opened_there = _polygons_of(_offsets(_offsets(around, -least), least * _ROUND))[0]
            strips = _common(shapely.get_parts(narrow), opened_there)
            lost = _polygons_of(_less(lost, strips))[0]
    necks = _necks(np.concatenate([wide, strips]), lost, limits.thinnest_mm)
    if not necks:
        return strips, lost[:0]
    around = np.asarray([offset(neck, 2.0 * least) for neck in necks], dtype=object)
    beside = shapely.STRtree(near).query(around, "dwithin", limits.keep_mm)[1]
    places = shapely.get_parts(_united([*around, *near[np.unique(beside)]]))
    return strips, _polygons_of(
        _less(places, _cut_at(necks, np.concatenate([kept, strips]), least))
    )[0]


def _necks(opened: Geometries, unreached: Geometries, width_mm: float) -> list[LineString]:
    """Find necks thinner than a width in a region that was opened with a disc, as lines across.

    Where a shape has a neck, discs on both sides of it can overlap by a lens, which is thinner than either.

    :param opened: polygons
    :param unreached: what was lost by opening: on both sides of such a lens lie parts of it
    """
    one, other = shapely.STRtree(unreached).query(unreached, predicate="dwithin", distance=width_mm)
    pairs = np.flatnonzero(one < other)
    lines = shapely.shortest_line(unreached[one[pairs]], unreached[other[pairs]])
    lines = lines[shapely.length(lines) > 0.0]
    if not len(lines):
        return []
    ends = shapely.get_coordinates(lines).reshape(-1, 2, 2)
    along = (ends[:, 1] - ends[:, 0]) / shapely.length(lines)[:, None]
    to_side = np.column_stack([along[:, 1], -along[:, 0]]) * width_mm / 4.0
    middle = ends.mean(axis=1)
    tree = shapely.STRtree(opened)
    # at the end of a bar one side lies outside
    across = np.ones(len(lines), dtype=bool)
    for at in (middle, middle + to_side, middle - to_side):
        inside = tree.query(shapely.points(at), predicate="within")[0]
        across &= np.bincount(inside, minlength=len(lines)) > 0
    return list(lines[across])


def _cut_at(necks: Sequence[LineString], region: Geometries, half_mm: float) -> Geometries:
    """Part a region at its necks, so far that film stays between, and end what is left round.

    :param region: polygons, which may overlap
    """
    gone = _united([offset(neck, half_mm) for neck in necks])
    met = shapely.intersects(region, gone)
    tree = shapely.STRtree(region)
    met[tree.query(region[met], predicate="intersects")[1]] = True
    cut = shapely.difference(shapely.union_all(region[met]), gone)
    ended = offset(offset(cut, -half_mm), half_mm * _ROUND)
    return np.concatenate([region[~met], shapely.get_parts(polygons(ended))])


def _less(shapes: Geometries, others: Geometries) -> Geometries:
    """Take from each of some shapes what lies in any of others."""
    mine, theirs = shapely.STRtree(others).query(shapes, predicate="intersects")
    left = shapes.copy()
    for one in np.unique(mine):
        left[one] = shapely.difference(left[one], shapely.union_all(others[theirs[mine == one]]))
    return left


def _grouped(shapes: Geometries, group: Ints, groups: int) -> Geometries:
    """Put polygons of one group, which don't overlap, together, (groups,)."""
    order = np.argsort(group, kind="stable")
    there, indices = np.unique(group, return_inverse=True)
    made = np.full(groups, MultiPolygon(), dtype=object)
    if len(there):
        made[there] = shapely.multipolygons(shapes[order], indices=indices[order])
    return made


def _first_within(shapes: Geometries, others: Geometries) -> Ints:
    """Give the number of one of others that each shape lies in."""
    mine, theirs = shapely.STRtree(others).query(
        shapely.point_on_surface(shapes), predicate="within"
    )
    found = np.zeros(len(shapes), dtype=np.int64)
    found[mine] = theirs
    return found


def _common(shapes: Geometries, others: Geometries) -> Geometries:
    """Give what each of some shapes has in common with each of others, polygons."""
    mine, theirs = shapely.STRtree(others).query(shapes, predicate="intersects")
    return _polygons_of(shapely.intersection(shapes[mine], others[theirs]))[0]


def boxes_around(region: MultiPolygon, by_mm: float) -> BaseGeometry:
    """Give the boxes that hold the parts of a region and all within a distance of each."""
    return _united(_boxes(shapely.get_parts(region), by_mm))


def _boxes(shapes: Geometries, by_mm: float) -> Geometries:
    x0, y0, x1, y1 = shapely.bounds(shapes).T
    made: Geometries = shapely.box(x0 - by_mm, y0 - by_mm, x1 + by_mm, y1 + by_mm)
    return made


def _closed_beside(
    white: BaseGeometry, base: MultiPolygon, whole: BaseGeometry, film_mm: float
) -> BaseGeometry:
    """Let the base go on to the white where the film between the two would be a thin strip or tip."""
    if white.is_empty or base.is_empty:
        return base
    both = as_one(base, white)
    half = film_mm / 2.0 * 1.001
    closed = offset(offset(both, half), -half - CLEAR_MM)
    filled = _beside(shapely.difference(closed, both), white, base)
    if filled.is_empty:
        return base
    grown = shapely.intersection(offset(filled, 2.0 * CLEAR_MM, "mitre"), whole)
    return shapely.union(base, _beside(grown, white, base))


def _beside(shape: BaseGeometry, one: BaseGeometry, other: BaseGeometry) -> MultiPolygon:
    """Give the parts of a shape that lie beside both of two regions."""
    parts = shapely.get_parts(polygons(shape))
    for region in (one, other):
        shapely.prepare(region)  # works for what stands first
        parts = parts[shapely.dwithin(region, parts, _BESIDE_MM)]
    return MultiPolygon(parts.tolist())


def as_one(base: BaseGeometry, white: BaseGeometry, grown_mm: float = _TOUCH_MM) -> BaseGeometry:
    """Unite base and white.

    :param grown_mm: by which the white is grown, as rounding would leave slits between the two
    """
    return base if white.is_empty else shapely.union(base, offset(white, grown_mm, "mitre"))


@remembered(kept=8)
def without_beads(
    base: MultiPolygon,
    on: BaseGeometry,
    white: BaseGeometry,
    starved: BaseGeometry,
    choke_mm: float,
) -> MultiPolygon:
    """Take away loose remnants of strokes that lost their base: beads at corners and joints.

    There a larger disc fits than along the stroke. A bead lies apart from the visible white, is short,
    and goes on as a colour without base, of more area than the colour around it, which is at least half
    as wide as the colour there: where strokes of one width meet, a disc in the joint is less than twice
    as wide as they are.

    :param on: all colours on the base, valid
    :param starved: what of the colours the whole choke would leave too little in
    :param choke_mm: by which the base is drawn in at most
    """
    parts, left = shapely.get_parts(polygons(on)), shapely.get_parts(base)
    changed = shapely.get_parts(starved)
    while len(changed):
        near = shapely.STRtree(parts).query(changed, predicate="intersects")[1]
        parts = parts[np.unique(near)]
        bead = _beads(left, parts, white, choke_mm)
        changed, left = left[bead], left[~bead]
    return MultiPolygon(left.tolist())


def _beads(
    laid: NDArray[np.object_], parts: NDArray[np.object_], white: BaseGeometry, choke_mm: float
) -> NDArray[np.bool_]:
    bead = np.zeros(len(laid), dtype=bool)
    if not len(laid):
        return bead
    turned = shapely.oriented_envelope(laid)
    corners = shapely.get_coordinates(shapely.get_exterior_ring(turned)).reshape(-1, 5, 2)
    sides = np.hypot(*np.moveaxis(corners[:, 1:3] - corners[:, :2], 2, 0))
    long_mm, wide_mm = sides.max(axis=1), sides.min(axis=1)
    short = long_mm <= _BEAD_LONG * (wide_mm + 2.0 * choke_mm)
    shapely.prepare(white)
    mine = np.flatnonzero(short & ~shapely.dwithin(white, laid, _BESIDE_MM))
    theirs, own = shapely.STRtree(parts).query(
        shapely.point_on_surface(laid[mine]), predicate="intersects"
    )[::-1]
    every = shapely.STRtree(laid)
    for part in np.unique(theirs):
        whole = parts[part]
        within = every.query(whole, predicate="intersects")
        around = shapely.intersection(shapely.buffer(laid[within], _BEAD_REACH * choke_mm), whole)
        bare = shapely.get_parts(polygons(shapely.difference(whole, _united(around))))
        for one in mine[own[theirs == part]]:
            here = polygons(around[within == one][0])
            beside = bare[shapely.dwithin(bare, here, _TOUCH_MM)]
            if shapely.area(beside).sum() > shapely.area(here):
                bead[one] = _across_mm(here) <= 2.0 * max(_across_mm(b) for b in beside)
    return bead


def _across_mm(shape: Polygon | MultiPolygon) -> float:
    """Give the diameter of the largest disc within a shape."""
    return 2.0 * float(shapely.maximum_inscribed_circle(shape, FLAT_MM).length)


def bare_of(whole: MultiPolygon, base: MultiPolygon) -> tuple[Polygon, ...]:
    """Give the parts of colours that have no base at all."""
    parts, laid = shapely.get_parts(whole), shapely.get_parts(base)
    # a part of the base lies within one part of the whole, so any point of it tells which
    theirs, mine = shapely.STRtree(parts).query(
        shapely.point_on_surface(laid), predicate="intersects"
    )
    covered = np.bincount(mine, shapely.area(laid)[theirs], minlength=len(parts))
    return tuple(parts[covered <= _BARE_SHARE * shapely.area(parts)].tolist())


def offset(
    shape: BaseGeometry,
    by_mm: float,
    join_style: Literal["round", "mitre"] = "round",
    mitre_limit: float = 5.0,
) -> BaseGeometry:
    """Grow a shape, or draw it in where ``by_mm`` is negative; the result is valid."""
    with np.errstate(divide="ignore", invalid="ignore"):  # GEOS does so at hairlines and goes on
        made = shape.buffer(by_mm, join_style=join_style, mitre_limit=mitre_limit)
    return _valid(made)


def _offsets(shapes: Geometries, by_mm: float, quad_segs: int = 16) -> Geometries:
    """Grow shapes one by one, or draw them in."""
    with np.errstate(divide="ignore", invalid="ignore"):
        made: Geometries = shapely.buffer(shapes, by_mm, quad_segs=quad_segs)
    return made


def _polygons_of(shapes: Geometries) -> tuple[Geometries, Ints]:
    """Give the polygons that shapes are made of, and the number of the shape of each."""
    once, of = shapely.get_parts(shapes, return_index=True)
    parts, again = shapely.get_parts(once, return_index=True)
    kept = (shapely.get_type_id(parts) == 3) & (shapely.area(parts) > 0)
    return parts[kept], of[again[kept]]


def polygons(shape: BaseGeometry) -> MultiPolygon:
    """Give what of a shape has an area, valid."""
    parts: NDArray[np.object_] = shapely.get_parts(shapely.get_parts(_valid(shape)))
    kept = (shapely.get_type_id(parts) == 3) & (shapely.area(parts) > 0)
    return MultiPolygon(parts[kept].tolist())


def _valid(shape: BaseGeometry) -> BaseGeometry:
    if shape.is_valid:
        return shape
    return shapely.make_valid(shape, method="structure", keep_collapsed=False)
