"""Takes from each painted shape what lies above it, as paint does, and merges what is left by colour."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import MultiPolygon, Polygon
from shapely.errors import GEOSException

from prep.geometry_faults import Bounds
from prep.hidden import hiding

Ints = NDArray[np.int64]
Geometries = NDArray[np.object_]

_SLIVER_MM2 = 1e-9  # parts and holes this small are rounding, not drawing
_PLAIN = 1500  # pairs; below, looking first costs more than it saves
_FEW = 12  # shapes above one that are taken from it at once; the rest then together
_EMPTY = Polygon()


class KnockOutFailed(Exception):
    """The geometry library failed.

    :param code: number of the colour it failed on
    :param bounds_mm: of what was worked on
    """

    def __init__(self, code: int, bounds_mm: Bounds, error: GEOSException) -> None:
        super().__init__(str(error))
        self.code, self.bounds_mm, self.error = code, bounds_mm, error


def knock_out(
    regions: Geometries, codes: Ints, count: int, grid_mm: float | None = None
) -> list[MultiPolygon]:
    """Give what is visible of each colour.

    From each shape, all those above it that meet it and have another colour are taken at once, as one
    union: taking them one after the other would leave hairs where two of them share an edge. Shapes of
    one colour are never cut by each other, for the same reason.

    :param regions: valid MultiPolygons in paint order, bottom first
    :param codes: number of each one's colour, from 0
    :param count: how many colours there are
    :param grid_mm: grid the corners are rounded to; None leaves them as they are
    :returns: for each colour its visible region, without parts and holes below 1e-9 mm²
    :raises KnockOutFailed: the geometry library failed
    """
    # a part is cut only by those parts of a shape above that meet it, so parts go singly
    parts, of = shapely.get_parts(regions, return_index=True)
    regions, codes = parts, codes[of]
    visible = regions.copy()
    low, high, seen = _pairs(regions, codes)
    visible[~seen] = _EMPTY
    areas = shapely.area(regions)
    for part, above in _above(low, high):
        largest_first = above[np.argsort(-areas[above], kind="stable")]
        with _failing_on(int(codes[part]), regions[part]):
            visible[part] = _left(regions[part], regions[largest_first], grid_mm)
    merged = []
    for code in range(count):
        pieces = visible[seen & (codes == code)]
        with _failing_on(code, *pieces):
            merged.append(_tidy(_merged(pieces, grid_mm)))
    return merged


@contextmanager
def _failing_on(code: int, *regions: shapely.Geometry) -> Iterator[None]:
    try:
        yield
    except GEOSException as error:
        if "bad_alloc" in str(error):  # lack of memory is no fault
            raise
        x0, y0, x1, y1 = (float(v) for v in shapely.total_bounds(regions))
        raise KnockOutFailed(code, (x0, y0, x1, y1), error) from error


def _pairs(regions: Geometries, codes: Ints) -> tuple[Ints, Ints, NDArray[np.bool_]]:
    """Give the pairs of parts that meet and must be compared, and which parts may be seen."""
    seen = np.ones(len(regions), dtype=np.bool_)
    low, high = shapely.STRtree(regions).query(regions)
    over = (high > low) & (codes[high] != codes[low])
    low, high = low[over], high[over]
    known = hiding(regions, codes) if len(low) > _PLAIN else None
    if known is not None:
        seen, low, high = known.seen.copy(), known.low, known.high
    lower = regions[np.unique(low)]
    shapely.prepare(lower)
    meet = shapely.intersects(regions[low], regions[high])
    shapely.destroy_prepared(lower)
    return low[meet], high[meet], seen


def _above(low: Ints, high: Ints) -> Iterator[tuple[int, Ints]]:
    """Give each part that has others above it, with these."""
    order = np.argsort(low, kind="stable")
    low, high = low[order], high[order]
    covered, starts = np.unique(low, return_index=True)
    groups = np.split(high, starts[1:]) if len(covered) else []  # an empty split is one group
    yield from zip(covered.tolist(), groups, strict=True)


def _left(region: Polygon, above: Geometries, grid_mm: float | None) -> shapely.Geometry:
    """Take shapes from a region as one union; leave out those that lie in what others take anyway.

    :param above: the largest first, as these often make up for many others
    """
    few, rest = list(above[:_FEW]), above[_FEW:]
    cover = few[0] if len(few) == 1 else shapely.union_all(few, grid_size=grid_mm)
    left: shapely.Geometry = shapely.difference(region, cover, grid_size=grid_mm)
    if len(rest):
        shapely.prepare(left)
        rest = rest[shapely.intersects(left, rest)]
    if len(rest):
        cover = shapely.union_all([cover, *rest], grid_size=grid_mm)
        left = shapely.difference(region, cover, grid_size=grid_mm)
    return left


def _merged(pieces: Geometries, grid_mm: float | None) -> shapely.Geometry:
    """Unite the pieces of one colour."""
    if grid_mm is not None:
        return shapely.union_all(pieces, grid_size=grid_mm)
    return shapely.disjoint_subset_union_all(pieces)


def _tidy(geometry: shapely.Geometry) -> MultiPolygon:
    """Keep the areas of a geometry, without parts and holes too small to have been drawn."""
    parts = shapely.get_parts(shapely.get_parts(geometry))
    parts = parts[(shapely.get_type_id(parts) == 3) & (shapely.area(parts) >= _SLIVER_MM2)]
    kept = []
    for part in parts:
        holes = [hole for hole in part.interiors if Polygon(hole).area >= _SLIVER_MM2]
        kept.append(part if len(holes) == len(part.interiors) else Polygon(part.exterior, holes))
    return MultiPolygon(kept)
