"""Closes film that traps leave too fine to cut or to stay down. Of prep, plain geometry only."""

from __future__ import annotations

import numpy as np
import shapely
from shapely import MultiPolygon
from shapely.geometry.base import BaseGeometry

from prep.borders import TOUCH_MM
from prep.cracks import CRACK_MM
from prep.remembered import remembered
from prep.uniting import united

Geometries = np.ndarray[tuple[int], np.dtype[np.object_]]
Floats = np.ndarray[tuple[int], np.dtype[np.float64]]
Ints = np.ndarray[tuple[int], np.dtype[np.int64]]

WITHIN = 0.99
"""Share of a strip of film that must lie under later colours for it to be closed. Our choice."""
_QUAD_SEGS = 16
_MORE = 1.01
_HAIR = 0.02


@remembered(kept=16)
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
    :param traps: the part of it that was added, as MultiPolygon; its polygons may overlap
    :param hidden: what is printed over it later; its polygons don't overlap, but may touch
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
    wide = core.buffer(half * _MORE**2, quad_segs=_QUAD_SEGS)
    parts = _beside(shapely.get_parts(_polygons(shapely.difference(film, wide))), traps)
    if not len(parts):
        return MultiPolygon()
    # corners of the film of 60° and more stay sharp; what is closed beside them ends round
    with_corners = core.buffer(half * _MORE**3, join_style="mitre", mitre_limit=2.0)
    narrow = MultiPolygon(parts.tolist())  # all that is fine lies in it
    fine = shapely.get_parts(_polygons(shapely.difference(narrow, with_corners)))
    under = _covered_mm2(fine, hidden) >= WITHIN * shapely.area(fine)
    of_part, number = shapely.STRtree(fine).query(parts, predicate="intersects")
    bare = np.unique(of_part[~under[number]])
    ends_round = np.setdiff1d(of_part, bare)
    # where part of it lies on bare shirt, the rest is opened as it is, but for hairs beside the edge
    rest = fine[under & np.isin(np.arange(len(fine)), number[np.isin(of_part, bare)])]
    rest = rest[~shapely.is_empty(shapely.buffer(rest, -_HAIR * strip_mm))]
    return _opened(np.concatenate([parts[ends_round], _beside(rest, traps)]), hidden)


def _islands(
    opened: BaseGeometry, traps: BaseGeometry, hidden: BaseGeometry, island_mm: float
) -> MultiPolygon:
    outside = shapely.box(*shapely.bounds(opened)).buffer(1.0)
    film = shapely.get_parts(_polygons(shapely.difference(outside, opened)))
    film = film[~shapely.intersects(film, shapely.get_exterior_ring(outside))]
    film = _beside(film[shapely.is_empty(shapely.buffer(film, -island_mm / 2.0))], traps)
    covered = _covered_mm2(film, hidden)
    return _opened(film[covered >= WITHIN * shapely.area(film)], hidden)


def _beside(parts: Geometries, traps: BaseGeometry) -> Geometries:
    """Give the parts that touch traps."""
    if not len(parts):
        return parts
    tree = shapely.STRtree(shapely.get_parts(traps))
    near = np.unique(tree.query(parts, predicate="dwithin", distance=TOUCH_MM)[0])
    return np.asarray(parts[near], dtype=object)


def _opened(parts: Geometries, hidden: BaseGeometry) -> MultiPolygon:
    """Give what of parts, which lie apart, lies under later colours."""
    common, of = _common(parts, hidden)
    across = (np.bincount(of) > 1)[of]  # several colours, which may touch there
    joined = united(common[across].tolist(), CRACK_MM) if across.any() else MultiPolygon()
    return _polygons(shapely.GeometryCollection([*common[~across], joined]))


def _covered_mm2(parts: Geometries, hidden: BaseGeometry) -> Floats:
    """Give how much of each part lies in ``hidden``."""
    common, of = _common(parts, hidden)
    return np.bincount(of, shapely.area(common), minlength=len(parts)).astype(np.float64)


def _common(parts: Geometries, hidden: BaseGeometry) -> tuple[Geometries, Ints]:
    """Give what parts have in common with each part of ``hidden`` they meet, and the part it is of."""
    others = shapely.get_parts(hidden)
    of, other = shapely.STRtree(others).query(parts, predicate="intersects")
    return shapely.intersection(parts[of], others[other]), of


def _polygons(shape: BaseGeometry) -> MultiPolygon:
    parts = shapely.get_parts(shapely.get_parts(shapely.get_parts(shape)))
    return MultiPolygon(
        parts[(shapely.get_type_id(parts) == 3) & (shapely.area(parts) > 0.0)].tolist()
    )
