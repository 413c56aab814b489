"""The region of a base: drawn in from edges where it would show. Plain shapely and numpy."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry

_TOUCH_MM = 1e-4
"""Edges nearer than this lie on each other."""
_FLAT_MM = 0.01
"""Flattened curves stand out by less over the disc that fills them."""
_BESIDE_MM = 0.05
"""What lies nearer to the white lies beside it."""
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
    edge = outer_edge(whole, white)
    base: BaseGeometry = _without_band(whole, edge, choke_mm)
    for part, mm in narrow:
        there = shapely.intersection(whole, part)
        base = shapely.union(base, _without_band(there, edge, mm))
    if limits is not None and choke_mm > 0.0:
        base = _closed_beside(white, _without_thin(base, white, limits), whole, limits.film_mm)
    made = polygons(base)
    return Choked(made, _bare(whole, made))


def outer_edge(on: BaseGeometry, white: BaseGeometry) -> BaseGeometry:
    """Give the edge of colours as lines, without what lies along the visible white."""
    edge = on.boundary
    if white.is_empty:
        return edge
    return shapely.difference(edge, offset(white, _TOUCH_MM))


def _without_band(region: BaseGeometry, edge: BaseGeometry, choke_mm: float) -> BaseGeometry:
    if choke_mm <= 0.0 or edge.is_empty:
        return region
    return shapely.difference(region, offset(edge, choke_mm))


def narrower_than(region: BaseGeometry, width_mm: float) -> MultiPolygon:
    """Give what a disc of this diameter doesn't reach, without the crumbs it leaves in corners.

    In a corner of 30° a disc of radius r leaves (cot 15° - 75° in radians) r² = 2.42 r², in a wider one
    less. What touches nothing wide is no corner.
    """
    half = width_mm / 2.0
    wide = offset(offset(region, -half), half + _FLAT_MM)
    parts = shapely.get_parts(polygons(shapely.difference(region, wide)))
    apart = np.ones(len(parts), dtype=bool)
    beside = shapely.STRtree(parts).query(
        shapely.get_parts(wide), predicate="dwithin", distance=_BESIDE_MM
    )
    apart[beside[1]] = False
    return MultiPolygon(parts[apart | (shapely.area(parts) > 2.5 * half**2)].tolist())


def with_ends(narrow: MultiPolygon, width_mm: float) -> MultiPolygon:
    """Let narrow parts go on into the wide ones, as far as the disc that is stopped there."""
    return polygons(offset(narrow, width_mm / 2.0))


def _without_thin(base: BaseGeometry, white: BaseGeometry, limits: Limits) -> MultiPolygon:
    """Take away what is too thin together with the white beside it, and end tips round."""
    both = _as_one(base, white)
    half = limits.keep_mm / 2.0 * 0.999
    kept = offset(offset(both, -half), half * 1.001)
    if limits.thinnest_mm < limits.keep_mm:
        least = limits.thinnest_mm / 2.0 * 0.999
        strips = offset(offset(both, -least), least * 1.001)
        narrow = with_ends(narrower_than(both, limits.keep_mm), limits.keep_mm)
        kept = shapely.union(kept, shapely.intersection(strips, narrow))
    parts = shapely.get_parts(polygons(shapely.intersection(base, kept)))
    return MultiPolygon(parts[shapely.area(parts) > limits.thinnest_mm**2].tolist())


def _closed_beside(
    white: BaseGeometry, base: MultiPolygon, whole: BaseGeometry, film_mm: float
) -> BaseGeometry:
    """Let the base go on to the white where the film between the two would be a thin strip or tip."""
    if white.is_empty or base.is_empty:
        return base
    both = _as_one(base, white)
    half = film_mm / 2.0 * 1.001
    closed = offset(offset(both, half), -half)
    parts = shapely.get_parts(
        polygons(shapely.intersection(shapely.difference(closed, both), whole))
    )
    beside = shapely.dwithin(parts, white, _BESIDE_MM) & shapely.dwithin(parts, base, _BESIDE_MM)
    return shapely.union(base, MultiPolygon(parts[beside].tolist()))


def _as_one(base: BaseGeometry, white: BaseGeometry) -> BaseGeometry:
    """Unite base and white; what rounding leaves between them is closed."""
    both = shapely.union(base, white)
    return both if white.is_empty else offset(offset(both, _TOUCH_MM), -_TOUCH_MM)


def _bare(whole: MultiPolygon, base: MultiPolygon) -> tuple[Polygon, ...]:
    parts = shapely.get_parts(whole)
    tree = shapely.STRtree(shapely.get_parts(base))
    covered = np.zeros(len(parts))
    mine, theirs = tree.query(parts, predicate="intersects")
    np.add.at(
        covered, mine, shapely.area(shapely.intersection(parts[mine], tree.geometries[theirs]))
    )
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


def polygons(shape: BaseGeometry) -> MultiPolygon:
    """Give what of a shape has an area, valid."""
    parts: NDArray[np.object_] = shapely.get_parts(shapely.get_parts(_valid(shape)))
    kept = (shapely.get_type_id(parts) == 3) & (shapely.area(parts) > 0)
    return MultiPolygon(parts[kept].tolist())


def _valid(shape: BaseGeometry) -> BaseGeometry:
    if shape.is_valid:
        return shape
    return shapely.make_valid(shape, method="structure", keep_collapsed=False)
