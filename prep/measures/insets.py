"""How much of a region lies at which depth, and how much of it is how wide."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from prep.measures.result import Bands, Distribution
from prep.measures.sampling import DEEPEST_MM

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from prep.measures.depths import Depths

    Floats = NDArray[np.float64]

_LEVEL_MM = 5e-5  # what changes by no more counts as one width


def inset_areas(area_mm2: float, depths: Depths, to_mm: float) -> tuple[Floats, Floats]:
    """Give distances from the edge and the area of a region that lies farther from it.

    Fine near the edge, where ink deposit changes.

    :param to_mm: at most :data:`DEEPEST_MM`
    :return: (m,) mm, rising from 0 to ``to_mm`` or to where nothing is left; (m,) mm²
    """
    deepest = depths.deepest()
    insets = _grid(min(deepest, to_mm))
    areas = area_mm2 - depths.area_within(insets)
    if deepest <= to_mm and deepest < DEEPEST_MM:
        areas[-1] = 0.0
    return insets, np.minimum.accumulate(np.maximum(areas, 0.0))


def bands_of(area_mm2: float, depths: Depths) -> Bands:
    """Part a region by depth, from the edge inwards, down to :data:`DEEPEST_MM`.

    Area, mean and spread of a band are the exact ones of strips whose depth is even or rises evenly
    along the edge. What the strips miss of the area is booked in the deepest band, what they have
    too much is taken from the deepest: near the edge they are right. What lies deeper than
    :data:`DEEPEST_MM` is a band of its own, at just this depth.
    """
    limits = _grid(min(depths.deepest(), DEEPEST_MM))
    within = depths.moments_within(limits, 2)
    left = np.minimum.accumulate(np.maximum(area_mm2 - within[0], 0.0))
    if depths.deepest() < DEEPEST_MM:
        left[-1] = 0.0
    area = -np.diff(left)
    total, first, second = np.maximum(np.diff(within), 0.0)
    low, high = limits[:-1], limits[1:]
    known = np.where(total > 0, total, 1.0)
    mean = np.clip(np.where(total > 0, first / known, (low + high) / 2), low, high)
    # nothing spreads farther than all of it at both limits
    variance = np.clip(second / known - mean**2, 0.0, (mean - low) * (high - mean))
    some = area > 0
    deeper = left[-1:][left[-1:] > 0]
    at_end = np.full(len(deeper), DEEPEST_MM)
    return Bands(
        area_mm2=np.append(area[some], deeper),
        depth_mm=np.append(mean[some], at_end),
        spread_mm=np.append(np.sqrt(variance[some]), np.zeros(len(deeper))),
    )


def _grid(to_mm: float) -> Floats:
    steps = np.r_[
        np.arange(0.0, 0.3, 0.01), np.arange(0.3, 1.0, 0.02), np.geomspace(1.0, 100.0, 160)
    ]
    return np.asarray(np.r_[steps[steps < to_mm - 1e-9], to_mm] if to_mm > 0 else np.zeros(1))


def distribution(
    area_mm2: float, depths: Depths, angle_deg: float, deep_mm2: float = 0.0
) -> Distribution:
    """Book area and length of the medial axis under the local width.

    Behind each piece of the edge the strip up to the medial axis counts under the diameters of its
    discs, as far as their separation angle is large enough; else it lies in a corner. Each of two
    sides gives half the axis: du / (2 sin(theta / 2)) behind du of edge, where the normals run
    beside each other; where they spread or meet, du is as long as at the discs' centres.

    :param deep_mm2: area that lies deeper than discs are drawn; counts in the widest class
    """
    bins = np.r_[np.arange(800) * 0.005, np.geomspace(4.0, 40.0, 24)]
    area = depths.area_behind()
    counts = _share_above(depths.apart_deg, angle_deg)
    most = bins[-1] * (1 - 1e-9)
    width = np.minimum(np.sort(depths.width, axis=1), most)
    depth = (depths.near + depths.far) / 2
    no_axis = depths.bare | (np.minimum(depths.near, depths.far) >= DEEPEST_MM)
    inside = np.where(no_axis, 0.0, np.maximum(depths.length + depths.angle * depth, 0.0))
    apart = np.radians(np.maximum(depths.apart_deg.mean(axis=1), angle_deg))
    off = np.abs(depths.apart_deg - angle_deg).min(axis=1)
    loose = ((counts > 0) & (counts < 1)) | (off < depths.loose_deg)
    booked = _booked(bins, width, area * counts)
    booked[-1] += deep_mm2
    return Distribution(
        widths_mm=bins,
        area_mm2=booked,
        axis_mm=_booked(bins, width, inside / (2 * np.sin(apart / 2)) * counts),
        corners_mm2=float((area * (1 - counts)).sum()),
        error_mm2=abs(float(area.sum()) + deep_mm2 - area_mm2),
        unsure_mm2=_booked(bins, width[loose], area[loose] / 2),
    )


def _share_above(ends: Floats, limit: float) -> Floats:
    """Give the share of the way from one end to the other, (n, 2), that lies above a limit."""
    low, high = ends.min(axis=1), ends.max(axis=1)
    span = high - low
    share = (high - limit) / np.where(span > 0, span, 1.0)
    return np.where(low >= limit, 1.0, np.where(high < limit, 0.0, share))


def _booked(bins: Floats, width: Floats, values: Floats) -> Floats:
    """Share values out among classes of width, each evenly from one width to another.

    :param width: (n, 2) rising
    :return: (k,)
    """
    low, high = width.T
    wide = high - low > _LEVEL_MM
    booked = np.histogram(width[~wide].mean(axis=1), bins, weights=values[~wide])[0]
    low, high, rise = low[wide], high[wide], values[wide] / (high - low)[wide]
    below = _ramps(bins, low, rise) - _ramps(bins, high, rise)
    return np.asarray(booked + np.diff(below))


def _ramps(bins: Floats, start: Floats, rise: Floats) -> Floats:
    """Give at each limit the sum of lines that each rise from a start on."""
    order = np.argsort(start)
    begun = np.searchsorted(start[order], bins)
    rises, moved = (np.concatenate([[0.0], np.cumsum(v[order])]) for v in (rise, rise * start))
    return np.asarray(rises[begun] * bins - moved[begun])
