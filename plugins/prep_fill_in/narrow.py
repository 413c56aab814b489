"""Which parts of a region are narrower than a width, as shapes: by opening it with a disc."""

from __future__ import annotations

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from prep.remembered import remembered

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Geometries = NDArray[np.object_]

QUAD_SEGS = 8
"""Chords to a quarter of a disc's outline: for a disc 2 mm across they stray by 0.005 mm."""
_SLIVER_MM = 0.01
"""What is narrower than twice this is what such chords leave along curves."""


def polygons(geometry: BaseGeometry | Geometries) -> Geometries:
    """Give the polygons of any geometry, (N,), those without area left out."""
    parts = shapely.get_parts(shapely.get_parts(geometry))
    return np.asarray(
        parts[(shapely.get_type_id(parts) == 3) & (shapely.area(parts) > 0.0)], object
    )


def opened(region: BaseGeometry, width_mm: float) -> BaseGeometry:
    """Give what discs of a diameter cover that lie wholly within a region."""
    radius = width_mm / 2.0
    return shapely.buffer(
        shapely.buffer(region, -radius, quad_segs=QUAD_SEGS), radius, quad_segs=QUAD_SEGS
    )


@remembered(kept=32)
def narrow_parts(region: BaseGeometry, width_mm: float) -> Geometries:
    """Give the parts of a region into which no disc of a diameter reaches, corners among them.

    :return: (N,) polygons
    """
    left = shapely.difference(region, opened(region, width_mm))
    firm = shapely.buffer(shapely.buffer(left, -_SLIVER_MM, quad_segs=4), 1.5 * _SLIVER_MM)
    return polygons(shapely.intersection(left, firm))


def holding(parts: Geometries, at_mm: Floats, within_mm: float = 0.02) -> Ints:
    """Tell in which part each place lies.

    :param at_mm: (N, 2)
    :return: (N,) number of the nearest part, -1 where none is near
    """
    found = np.full(len(at_mm), -1, dtype=np.int64)
    if len(parts) and len(at_mm):
        place, part = shapely.STRtree(parts).query_nearest(
            shapely.points(at_mm), max_distance=within_mm, all_matches=False
        )
        found[place] = part
    return found
