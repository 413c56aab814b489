"""How much of a region lies at which depth, and how much of it is how wide."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from prep.measures.result import Distribution

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from prep.measures.depths import Depths

    Floats = NDArray[np.float64]


def inset_areas(area_mm2: float, depths: Depths, to_mm: float) -> tuple[Floats, Floats]:
    """Give distances from the edge and the area of a region that lies farther from it.

    Fine near the edge, where ink deposit changes, so that straight lines between the distances
    give its integrals to a thousandth.

    :return: (m,) mm, rising from 0 to ``to_mm`` or to where nothing is left; (m,) mm²
    """
    deepest = depths.deepest()
    insets = _grid(min(deepest, to_mm))
    areas = area_mm2 - depths.area_within(insets)
    if deepest <= to_mm:
        areas[-1] = 0.0
    return insets, np.minimum.accumulate(np.maximum(areas, 0.0))


def _grid(to_mm: float) -> Floats:
    steps = np.r_[
        np.arange(0.0, 0.3, 0.01), np.arange(0.3, 1.0, 0.02), np.geomspace(1.0, 100.0, 160)
    ]
    return np.asarray(np.r_[steps[steps < to_mm - 1e-9], to_mm] if to_mm > 0 else np.zeros(1))


def distribution(area_mm2: float, depths: Depths, angle_deg: float) -> Distribution:
    """Book area and length of the medial axis under the local width.

    Behind each sample of the edge the strip up to the medial axis counts under the diameter of
    its disc, when the disc's separation angle is large enough; else it lies in a corner. Each of
    two sides gives half the axis: du / (2 sin(theta / 2)) behind du of edge.
    """
    bins = np.r_[np.arange(0.0, 4.0, 0.05), np.geomspace(4.0, 40.0, 24)]
    counts = depths.apart_deg >= angle_deg
    area = depths.area_behind()
    width = np.minimum(depths.near + depths.far, bins[-1] * (1 - 1e-9))
    axis = depths.length / (2 * np.sin(np.radians(np.maximum(depths.apart_deg, 60.0)) / 2))
    by_area = np.histogram(width[counts], bins, weights=area[counts])[0]
    by_axis = np.histogram(width[counts], bins, weights=axis[counts])[0]
    return Distribution(
        widths_mm=bins,
        area_mm2=by_area,
        axis_mm=by_axis,
        corners_mm2=float(area[~counts].sum()),
        error_mm2=abs(float(area.sum()) - area_mm2),
    )
