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
_BARE_SHARE = 1e-3
"""A part of which less than this share has a base has none."""


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
    thinnest_mm: float = 0.0,
) -> Choked:
    """Draw a base in from every edge of the colours on it, but not where it goes on as visible white.

    Base = colours without all within the choke of their edges. Along ``white`` nothing is drawn in:
    there the same ink goes on. Holes grow, bare shirt stays bare, and what would become thinner than
    ``thinnest_mm`` is left out.

    :param on: all colours on the base together, valid
    :param white: what the base's screen prints as visible white; apart from ``on``
    :param choke_mm: 0 or more
    :param narrow: (part of ``on``, the choke in it) where less than the whole choke is taken; parts
        don't overlap
    """
    whole = polygons(on)
    if whole.is_empty:
        return Choked(MultiPolygon(), ())
    edge = outer_edge(whole, white)
    base: BaseGeometry = _without_band(whole, edge, choke_mm)
    if narrow:
        pieces = [shapely.difference(base, shapely.union_all([part for part, _ in narrow]))]
        for part, mm in narrow:
            inside = shapely.intersection(part, whole)
            if not inside.is_empty:
                pieces.append(_without_band(inside, edge, mm))
        base = shapely.union_all(pieces)
    if thinnest_mm > 0.0 and choke_mm > 0.0:
        base = _without_thin(base, white, thinnest_mm)
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


def _without_thin(base: BaseGeometry, white: BaseGeometry, thinnest_mm: float) -> BaseGeometry:
    """Take away what is thinner than a width, together with the white beside it; the rest stays exact."""
    half = thinnest_mm / 2.0 * 0.999
    core = offset(shapely.union(base, white), -half, join_style="mitre")
    grown = offset(core, half * 1.01, join_style="mitre", mitre_limit=4.0)
    kept = shapely.intersection(base, grown)
    parts = shapely.get_parts(polygons(kept))
    return MultiPolygon(parts[shapely.area(parts) > thinnest_mm**2].tolist())


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
