"""Areas at a depth and by width, against formulas, shapely's buffer and a pixel count."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from scipy.ndimage import distance_transform_edt
from shapely import MultiPolygon, box

from prep.measures import Limits, Measures, measure
from tests.prep.measures.test_unchanged import LETTERS
from tests.specimens import annulus, circle, comb, multi, spiral

SHAPES: dict[str, MultiPolygon] = {
    "letters": LETTERS,
    "spiral": spiral(0.5, 1.1, 6, 2000),
    "annulus": annulus(5, 0.3, 0.005),
    "comb": comb(20, 0.4, 0.6, 5),
    "sheet with holes": multi(
        box(0, 0, 60, 40).difference(
            shapely.union_all([circle(3, 0.005, x, y) for x in (8, 25, 45) for y in (9, 30)])
        )
    ),
}


def _edge_sum(measures: Measures, reach: float) -> float:
    """Integrate exp(-d / reach) over the area, straight lines between the insets."""
    s, area = measures.insets_mm, measures.inset_areas_mm2
    slope = -np.diff(area) / np.diff(s)
    return float((slope * reach * -np.diff(np.exp(-s / reach))).sum())


@pytest.mark.parametrize("name", SHAPES)
def test_inset_areas_against_buffers(name: str) -> None:
    """The area farther from the edge than s is that of shapely's inward buffer, to 0.2 %."""
    region = SHAPES[name]
    measures = measure(region)
    for inset in (0.05, 0.1, 0.2, 0.4, 0.8, 1.5, 3.0):
        ours = np.interp(inset, measures.insets_mm, measures.inset_areas_mm2)
        assert ours == pytest.approx(region.buffer(-inset).area, abs=0.002 * region.area + 1e-6)


@pytest.mark.parametrize("radius", [0.1, 0.5, 4.0])
@pytest.mark.parametrize("reach", [0.2, 0.7])
def test_edge_sum_of_a_disc(radius: float, reach: float) -> None:
    """For a disc: integral of exp(-d/L) = 2 pi L (R - L + L exp(-R/L)), by parts, to a thousandth."""
    exact = 2 * math.pi * reach * (radius - reach + reach * math.exp(-radius / reach))
    measures = measure(multi(circle(radius, radius * 1e-4)))
    assert _edge_sum(measures, reach) == pytest.approx(exact, rel=1e-3)


@pytest.mark.parametrize("name", SHAPES)
def test_strips_fill_the_area(name: str) -> None:
    """All strips up to the medial axis together are the whole area; the miss is published."""
    measures = measure(SHAPES[name])
    by_width = measures.by_width
    total = by_width.area_mm2.sum() + by_width.corners_mm2
    assert abs(total - measures.area_mm2) == pytest.approx(by_width.error_mm2, abs=1e-9)
    assert by_width.error_mm2 < 0.003 * measures.area_mm2


def test_a_ring_is_as_wide_everywhere() -> None:
    """All of a ring 0.3 wide lies in one class, and its axis is the circle halfway."""
    by_width = measure(annulus(5, 0.3, 0.0005)).by_width
    here = (by_width.widths_mm[:-1] <= 0.2995) & (by_width.widths_mm[1:] > 0.2995)
    near = here | np.roll(here, 1)
    assert by_width.area_mm2[near].sum() == pytest.approx(math.pi * (25 - 4.7**2), rel=1e-3)
    assert by_width.axis_mm[near].sum() == pytest.approx(2 * math.pi * 4.85, rel=1e-3)


def test_area_by_width_against_pixels() -> None:
    """Bars of three widths: the area of each width is what counting pixels by distance gives.

    In a bar w wide no point lies deeper than w/2, and the pixels near its middle line do: each
    pixel is booked under the bar it lies in.
    """
    widths, length, pixel = (0.45, 0.95, 1.85), 12.0, 0.025
    bars = [box(4 * k, 0, 4 * k + w, length) for k, w in enumerate(widths)]
    by_width = measure(multi(*bars)).by_width
    for k, width in enumerate(widths):
        across, along = round(width / pixel), round(length / pixel)
        inside = np.pad(np.ones((along, across), dtype=bool), 1)
        depth = distance_transform_edt(inside)[1:-1, 1:-1] * pixel
        deepest = depth.max(axis=1, keepdims=True)
        # the ends of a bar are corners: less deep in the middle than half the width
        straight = depth[(deepest >= depth.max() - pixel)[:, 0]].size * pixel**2
        low = np.searchsorted(by_width.widths_mm, width - 0.03)
        high = np.searchsorted(by_width.widths_mm, width + 0.03)
        found = by_width.area_mm2[low - 1 : high].sum()
        assert found == pytest.approx(straight, abs=2 * width * pixel + width**2 / 2), k


def test_insets_reach_as_far_as_asked() -> None:
    """The distances end at the limit, or where nothing is left."""
    large = measure(multi(box(0, 0, 40, 40)), Limits(inset_to_mm=2.0))
    assert large.insets_mm[-1] == 2.0
    assert large.inset_areas_mm2[-1] == pytest.approx(36**2, rel=1e-6)
    small = measure(multi(box(0, 0, 1, 9)))
    assert small.insets_mm[-1] == pytest.approx(0.5, abs=1e-3)
    assert small.inset_areas_mm2[-1] == 0
