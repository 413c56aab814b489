"""Looks at single points whether what shows there is what was painted last.

Areas that are summed can agree though one part is lost and another as large shows twice, or in a wrong
colour. So a point within each part of each layer, and one within each part of each shape, is held against
the shapes themselves: the topmost there says in which layer, and in which only, it must lie.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import MultiPolygon

_NEAR_MM = 1e-4  # of an edge, where rounding may decide
_NONE = -1


@dataclass(frozen=True, slots=True)
class Astray:
    """A point that doesn't show what was painted last.

    :param x_mm: where
    :param y_mm: where
    :param shown: numbers of the layers it lies in
    :param expected: number of the layer it must lie in; -1 for none
    """

    x_mm: float
    y_mm: float
    shown: tuple[int, ...]
    expected: int


def astray(
    layers: Sequence[MultiPolygon], regions: NDArray[np.object_], codes: NDArray[np.int64]
) -> Astray | None:
    """Give the first point found that lies in another layer than it must; None if all are right.

    Points nearer than a tenth of a micrometre to an edge of a shape are passed over.

    :param layers: what shows of each colour
    :param regions: the shapes in paint order, bottom first
    :param codes: for each shape the number of its colour's layer
    """
    pieces, layer_of = shapely.get_parts(np.array(layers, dtype=object), return_index=True)
    parts, shape_of = shapely.get_parts(regions, return_index=True)
    points = shapely.point_on_surface(np.concatenate([pieces, parts]))
    points = points[~shapely.is_empty(points)]

    top = np.full(len(points), _NONE)
    at, part = shapely.STRtree(parts).query(points, predicate="intersects")
    np.maximum.at(top, at, shape_of[part])
    expected = np.where(top == _NONE, _NONE, codes[top])

    at, piece = shapely.STRtree(pieces).query(points, predicate="intersects")
    right = layer_of[piece] == expected[at]
    wrong = np.bincount(at[~right], minlength=len(points)) > 0
    wrong |= (np.bincount(at[right], minlength=len(points)) == 0) & (expected != _NONE)
    for number in np.flatnonzero(wrong).tolist():
        point = points[number]
        if not _is_near_an_edge(point, regions):
            shown = tuple(np.unique(layer_of[piece[at == number]]).tolist())
            return Astray(point.x, point.y, shown, int(expected[number]))
    return None


def _is_near_an_edge(point: shapely.Point, regions: NDArray[np.object_]) -> bool:
    return bool((shapely.distance(shapely.boundary(regions), point) < _NEAR_MM).any())
