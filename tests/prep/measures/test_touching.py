"""Rings that touch in a point are led on along one side of the region."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from shapely import MultiPolygon, Polygon, box

from prep.measures import Limits, measure
from prep.measures.touching import led_on


def rings_of(region: Polygon | MultiPolygon) -> np.ndarray[tuple[int], np.dtype[np.object_]]:
    """Give the rings, the region on their left."""
    parts = shapely.get_parts(region)
    turned = shapely.orient_polygons(parts)
    return np.asarray(shapely.get_rings(turned), dtype=object)


def signed_areas(rings: object) -> list[float]:
    return sorted(float(Polygon(r).area) * (1 if r.is_ccw else -1) for r in np.atleast_1d(rings))


def test_rings_that_touch_nothing_stay() -> None:
    """The same objects come back."""
    rings = rings_of(Polygon(box(0, 0, 9, 9).exterior, [box(2, 2, 4, 4).exterior]))
    assert led_on(rings) is rings


def test_two_corners_that_kiss_stay_two_rings() -> None:
    """Two squares with a common corner: the region's wedges there are their own corners."""
    made = led_on(rings_of(MultiPolygon([box(0, 0, 1, 1), box(1, 1, 3, 3)])))
    assert signed_areas(made) == [1.0, 4.0]


def test_a_hole_that_touches_the_edge_joins_its_ring() -> None:
    """A diamond-shaped hole with a point on the edge: one walk around the region, 100 - 8 mm2."""
    shell = Polygon([(0, 0), (5, 0), (10, 0), (10, 10), (0, 10)])
    hole = Polygon([(5, 0), (7, 2), (5, 4), (3, 2)])
    (walk,) = led_on(rings_of(shell.difference(hole)))
    points = shapely.get_coordinates(walk)
    x, y = points.T
    assert (np.sum(x[:-1] * y[1:] - x[1:] * y[:-1]) / 2) == pytest.approx(92.0)
    assert (points[:-1] == (5, 0)).all(axis=1).sum() == 2


def test_holes_with_a_common_point_join() -> None:
    """Two square holes corner to corner: one ring around both."""
    region = box(0, 0, 10, 10).difference(MultiPolygon([box(2, 2, 4, 4), box(4, 4, 7, 7)]))
    made = led_on(rings_of(region))
    assert len(made) == 2
    assert sum(len(shapely.get_coordinates(ring)) for ring in made) == 5 + 9


def fan_of_rays(count: int, turn: float = 0.0) -> MultiPolygon:
    """Give thin blades that meet in one point."""
    blades = []
    for k in range(count):
        a = turn + 2 * np.pi * k / count
        ends = [(20 * np.cos(a + d), 20 * np.sin(a + d)) for d in (-0.03, 0.03)]
        blades.append(Polygon([(0, 0), *ends]))
    return MultiPolygon(blades)


@pytest.mark.parametrize("count", [2, 3, 5, 12])
@pytest.mark.parametrize("outside", [False, True])
def test_strips_sum_to_the_area_where_many_rings_meet(count: int, outside: bool) -> None:
    """Blades that meet in a point, and the plate they are cut from: nothing is booked twice."""
    region = fan_of_rays(count, 0.2)
    if outside:
        region = shapely.multipolygons([box(-40, -40, 40, 40).difference(region)])
    widths = measure(region, Limits()).by_width
    assert widths.error_mm2 <= 0.002 * region.area
    booked = widths.area_mm2.sum() + widths.corners_mm2
    assert booked == pytest.approx(region.area, rel=0.002)


def test_frame_whose_hole_reaches_its_tip() -> None:
    """A triangle's hole has its tip in the triangle's own: there is no region beyond that tip."""
    outer, inner = Polygon([(0, 0), (20, -5), (20, 5)]), Polygon([(0, 0), (18, -3), (18, 3)])
    region = outer.difference(inner)
    assert len(region.interiors) == 1
    widths = measure(MultiPolygon([region]), Limits()).by_width
    assert widths.area_mm2.sum() + widths.corners_mm2 == pytest.approx(100 - 54, rel=0.002)
    assert widths.error_mm2 < 0.1


@pytest.mark.parametrize("start", [0, 1, 30])
@pytest.mark.parametrize(("radius", "limit"), [(8.0, 0.2), (8.0, 2.0), (90.0, 2.0)])
def test_discs_that_touch_leave_no_other_gap_wherever_their_rings_begin(
    start: int, limit: float, radius: float
) -> None:
    """The film widens on both sides of the touch, over the start of a ring and over long facets."""
    turn = (np.arange(60) + start) * 2 * np.pi / 60
    way = np.stack([np.cos(turn), np.sin(turn)], axis=1)
    discs = MultiPolygon([Polygon(radius * way), Polygon([2 * radius, 0] - radius * way)])
    gaps = measure(discs, Limits(places_to_mm=limit, search_to_mm=limit)).gaps
    assert [place.kind for place in gaps] == ["touch"]
    assert gaps[0].at_mm == pytest.approx((radius, 0), abs=1e-6)
