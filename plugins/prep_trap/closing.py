"""Closes film that traps leave too fine to cut or to stay down. Plain shapely; of prep, borders only."""

from __future__ import annotations

import numpy as np
import shapely
from shapely import MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry

from prep.borders import TOUCH_MM

Geometries = np.ndarray[tuple[int], np.dtype[np.object_]]

WITHIN = 0.99
"""Share of a strip of film that must lie under later colours for it to be closed. Our choice."""
_QUAD_SEGS = 16
_MORE = 1.01


def closing(
    opened: BaseGeometry,
    traps: BaseGeometry,
    hidden: BaseGeometry,
    strip_mm: float,
    island_mm: float,
) -> MultiPolygon:
    """Give the film beside traps that is too fine, as far as later colours are printed over it.

    Film is too fine where no disc of ``strip_mm`` fits into it, and an island of it where no disc of
    ``island_mm`` does. What is visible stays as designed, for all of it lies under later colours. This
    may take more of a narrow part of them than half of its width: film that can't stay down is no
    choice.

    :param opened: what the screen prints, traps included
    :param traps: the part of it that was added
    :param hidden: what is printed over it later
    :return: what is to be opened as well; lies in ``hidden``, touches ``traps``
    """
    if shapely.is_empty(traps):
        return MultiPolygon()
    strips = _strips(opened, traps, hidden, strip_mm)
    islands = _islands(shapely.union(opened, strips), traps, hidden, island_mm)
    return _polygons(shapely.union(strips, islands))


def _strips(
    opened: BaseGeometry, traps: BaseGeometry, hidden: BaseGeometry, strip_mm: float
) -> MultiPolygon:
    near = shapely.box(*shapely.bounds(traps)).buffer(2.0 * strip_mm, join_style="mitre")
    film, half = shapely.difference(near, opened), strip_mm / 2.0
    core = film.buffer(-half * _MORE, quad_segs=_QUAD_SEGS)
    # a little more than was taken, so that film that stays keeps its edge to the last digit
    parts = shapely.get_parts(
        _polygons(shapely.difference(film, core.buffer(half * _MORE**2, quad_segs=_QUAD_SEGS)))
    )
    # corners of the film of 60° and more stay sharp; what is closed beside them ends round
    with_corners = core.buffer(half * _MORE**3, join_style="mitre", mitre_limit=2.0)
    shapely.prepare(parts)
    fine = shapely.get_parts(_polygons(shapely.difference(film, with_corners)))
    own, _ = shapely.STRtree(fine).query(parts, predicate="intersects")
    return _under(parts[np.unique(own)], traps, hidden)


def _islands(
    opened: BaseGeometry, traps: BaseGeometry, hidden: BaseGeometry, island_mm: float
) -> MultiPolygon:
    outside = shapely.box(*shapely.bounds(opened)).buffer(1.0)
    film = shapely.get_parts(_polygons(shapely.difference(outside, opened)))
    film = film[~shapely.intersects(film, shapely.get_exterior_ring(outside))]
    film = film[shapely.is_empty(shapely.buffer(film, -island_mm / 2.0))]
    return _under(film, traps, hidden)


def _under(parts: Geometries, traps: BaseGeometry, hidden: BaseGeometry) -> MultiPolygon:
    """Keep the parts that touch traps and lie under later colours; what sticks out is cut off."""
    parts = parts[shapely.dwithin(parts, traps, TOUCH_MM)]
    covered = shapely.intersection(parts, hidden)
    kept = shapely.area(covered) >= WITHIN * shapely.area(parts)
    return _polygons(shapely.union_all(covered[kept]))


def _polygons(shape: BaseGeometry) -> MultiPolygon:
    parts = shapely.get_parts(shapely.get_parts(shape))
    return MultiPolygon([p for p in parts if isinstance(p, Polygon) and p.area > 0.0])
