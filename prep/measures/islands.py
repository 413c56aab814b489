"""Film enclosed by openings, nested to any depth."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import shapely

from prep.measures.result import STRIP, Island, Places

if TYPE_CHECKING:
    from numpy.typing import NDArray
    from shapely import MultiPolygon, Polygon

    Ints = NDArray[np.int64]


@dataclass(frozen=True, slots=True, eq=False)
class Film:
    """How the film falls into pieces: 0 is all outside the openings, n the n-th island.

    :param regions: film of each island
    :param depth: (islands,) 1 = in an opening, 2 = in an opening in an island, and so on
    :param around: (openings,) the piece of film that lies around each opening
    :param hole_of: (islands,) the opening each island lies in
    """

    regions: tuple[Polygon | MultiPolygon, ...]
    depth: Ints
    around: Ints
    hole_of: Ints


def film_of(region: MultiPolygon) -> Film:
    """Find the islands of a valid region and which film lies around each of its openings."""
    parts = np.asarray(region.geoms, dtype=object)
    holes, hole_of = _holes(parts)
    around = np.zeros(len(parts), dtype=np.int64)
    if not len(holes):
        return Film((), np.zeros(0, dtype=np.int64), around, hole_of)
    area = shapely.area(holes)
    inside = shapely.point_on_surface(parts)
    tree = shapely.STRtree(holes)
    part, hole = tree.query(inside, predicate="intersects")
    # the smallest hole around an opening is the one it lies in
    order = np.lexsort((area[hole], part))
    part, hole = part[order], hole[order]
    first = np.r_[True, part[1:] != part[:-1]] if len(part) else np.zeros(0, dtype=bool)
    around[part[first]] = hole[first] + 1
    films = holes.copy()
    for island in np.unique(around[around > 0]) - 1:
        openings = shapely.union_all(shapely.polygons(shapely.get_exterior_ring(
            parts[around == island + 1]
        )))  # fmt: skip
        films[island] = shapely.difference(holes[island], openings)
    depth = np.ones(len(holes), dtype=np.int64)
    outer = around[hole_of]
    while np.any(outer):
        depth[outer > 0] += 1
        outer = np.where(outer > 0, around[hole_of[np.maximum(outer - 1, 0)]], 0)
    return Film(tuple(films), depth, around, hole_of)


def _holes(parts: NDArray[np.object_]) -> tuple[NDArray[np.object_], Ints]:
    count = shapely.get_num_interior_rings(parts)
    rings, ring_of = shapely.get_rings(parts, return_index=True)
    inner = np.ones(len(rings), dtype=bool)
    inner[np.cumsum(count + 1) - count - 1] = False
    holes = np.asarray(shapely.polygons(rings[inner]), dtype=object)
    return holes, ring_of[inner].astype(np.int64)


def islands_of(film: Film, gaps: Places) -> tuple[Island, ...]:
    """Describe each island; ``gaps`` are the narrow places of the film."""
    if not film.regions:
        return ()
    regions = np.asarray(film.regions, dtype=object)
    strips = gaps.kind == STRIP
    narrowest = np.full(len(regions) + 1, np.inf)
    np.minimum.at(narrowest, gaps.piece[strips], gaps.width_mm[strips])
    points = shapely.get_coordinates(shapely.point_on_surface(regions))
    bounds = shapely.bounds(regions)
    areas = shapely.area(regions)
    return tuple(
        Island(
            area_mm2=float(areas[k]),
            at_mm=(float(points[k, 0]), float(points[k, 1])),
            bounds_mm=(
                float(bounds[k, 0]),
                float(bounds[k, 1]),
                float(bounds[k, 2]),
                float(bounds[k, 3]),
            ),
            narrowest_mm=float(narrowest[k + 1]) if np.isfinite(narrowest[k + 1]) else None,
            held_by_mm=None,
            region=regions[k],
            depth=int(film.depth[k]),
        )
        for k in range(len(regions))
    )
