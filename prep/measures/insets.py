"""How much of a region lies farther from its edge than a distance."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import shapely

if TYPE_CHECKING:
    from numpy.typing import NDArray
    from shapely import MultiPolygon

    Floats = NDArray[np.float64]

_SEGMENTS = 8  # per quarter circle, where an inset turns round a corner


def inset_areas(region: MultiPolygon, to_mm: float) -> tuple[Floats, Floats]:
    """Give distances from the edge and the area of the region that lies farther from it.

    :return: (m,) mm, rising from 0 to ``to_mm`` or to where nothing is left; (m,) mm²
    """
    insets, areas = [0.0], [float(region.area)]
    shapely.prepare(region)
    for inset in _distances(to_mm):
        if areas[-1] == 0:
            break
        left = shapely.buffer(region, -inset, quad_segs=_SEGMENTS, join_style="round")
        insets.append(float(inset))
        areas.append(float(left.area))
    return np.array(insets), np.array(areas)


def _distances(to_mm: float) -> Floats:
    near = np.r_[np.arange(0.02, 0.4, 0.02), np.arange(0.4, 1.6, 0.05)]
    far = np.geomspace(1.6, max(to_mm, 1.61), 16)
    steps = np.r_[near, far]
    return np.asarray(np.r_[steps[steps < to_mm - 1e-9], to_mm])
