"""Borders and spreads: closed forms, KLayout, and what a spread never does."""

from __future__ import annotations

import math

import klayout.db as kdb
import numpy as np
import pytest
import shapely
from shapely import MultiPolygon, Point, Polygon, affinity, box
from shapely.geometry.base import BaseGeometry

from prep.borders import near_misses, outline_of, reach_along, shared_border
from prep_trap.spreading import spread

GRID_MM = 1e-4


def made(
    earlier: BaseGeometry, later: BaseGeometry, width_mm: float, **more: object
) -> MultiPolygon:
    """Spread one region under another along their border."""
    border = shared_border(outline_of(earlier), outline_of(later))
    return spread(later, border, width_mm, **more)  # type: ignore[arg-type]  # as given


def test_a_border_is_found_where_only_one_side_is_cut() -> None:
    """A square beside two: 10 mm, cut at 4 on the far side only; normals point across."""
    border = shared_border(
        outline_of(box(0, 0, 10, 10)),
        outline_of(MultiPolygon([box(10, 0, 20, 4), box(10.00005, 4, 20, 10)])),
    )
    assert border.length_mm.sum() == pytest.approx(10)
    assert np.allclose(border.normal, [1, 0])
    assert len(border.closed) == 1


def test_no_border_where_regions_touch_at_a_corner_or_stand_apart() -> None:
    """Neither is a border."""
    square = outline_of(box(0, 0, 10, 10))
    for other in (box(10, 10, 20, 20), box(10.01, 0, 20, 10), MultiPolygon()):
        assert len(shared_border(square, outline_of(other))) == 0


@pytest.mark.parametrize("start", [0, 1, 2, 3])
def test_a_border_goes_on_over_the_first_vertex_of_a_ring(start: int) -> None:
    """An L of 20 mm along two sides is one stretch, wherever the ring begins; all round is closed."""
    corners = [(0, 0), (10, 0), (10, 10), (0, 10)]
    square = Polygon(corners[start:] + corners[:start])
    around = box(-5, -5, 15, 15).difference(square)
    half = around.difference(box(-5, -5, 15, 0)).difference(box(-5, -5, 0, 15))
    border = shared_border(outline_of(square), outline_of(half))
    assert border.run_mm == pytest.approx([20])
    assert shared_border(outline_of(square), outline_of(around)).closed.tolist() == [True]


def test_a_border_breaks_off_where_edges_are_left_out() -> None:
    """A square in a ring, in pieces of 1 mm from its first corner: two sides go, the others are one."""
    square = box(0, 0, 10, 10)
    around = box(-5, -5, 15, 15).difference(square)
    pieces = shared_border(outline_of(square), outline_of(around)).split(1.0)
    assert pieces.closed.tolist() == [True]
    middle = pieces.middle
    upright = pieces.where((middle[:, 0] < 0.1) | (middle[:, 0] > 9.9))
    assert upright.run_mm.tolist() == pytest.approx([10, 10])
    assert upright.closed.tolist() == [False, False]
    corner = pieces.where((middle[:, 0] < 0.1) | (middle[:, 1] < 0.1))
    assert corner.run_mm.tolist() == pytest.approx([20])
    assert np.hypot(*(corner.a[1:] - corner.b[:-1]).T).max() < 1e-9
    assert pieces.where(np.ones(len(pieces), dtype=bool)).closed.tolist() == [True]
    assert not len(pieces.where(np.zeros(len(pieces), dtype=bool)))


@pytest.mark.parametrize("width", [0.2, 0.35, 0.7])
def test_closed_forms(width: float) -> None:
    """Disc, square and annulus spread into what surrounds them: area by their radius or sides."""
    disc, square = Point(0, 0).buffer(10, quad_segs=256), box(-10, -10, 10, 10)
    ring = disc.difference(Point(0, 0).buffer(5, quad_segs=256))
    around = box(-30, -30, 30, 30)
    assert made(disc, around.difference(disc), width).area == pytest.approx(
        math.pi * ((10 + width) ** 2 - 100), rel=1e-4
    )
    assert made(square, around.difference(square), width).area == pytest.approx(
        (20 + 2 * width) ** 2 - 400, rel=1e-9
    )
    assert made(ring, around.difference(ring), width).area == pytest.approx(
        math.pi * ((10 + width) ** 2 - 100 + 25 - (5 - width) ** 2), rel=1e-4
    )


@pytest.mark.parametrize(
    "shape",
    [
        box(0, 0, 20, 20),
        box(0, 0, 20, 20).difference(box(5, 5, 12, 9)),
        Polygon([(0, 0), (20, 0), (20, 8), (9, 8), (9, 20), (0, 20)]),
        Point(0, 0).buffer(9, quad_segs=32),
        Polygon([(0, 0), (12, -3), (20, 6), (16, 16), (4, 18), (-4, 8)]),
    ],
)
def test_spread_is_what_klayout_makes(shape: Polygon) -> None:
    """KLayout's Region.sized (mode 2: corners of 90° and more keep their point) gives the same area."""
    trap = made(shape, shape.buffer(30).difference(shape), 0.35)
    rings = [shape.exterior, *shape.interiors]
    region = kdb.Region()
    for ring in rings:
        points = [kdb.Point(round(x / GRID_MM), round(y / GRID_MM)) for x, y in ring.coords]
        region = region ^ kdb.Region(kdb.Polygon(points))
    sized = region.sized(round(0.35 / GRID_MM), 2).merged()
    assert trap.area + shape.area == pytest.approx(sized.area() * GRID_MM**2, abs=0.01)


def test_a_spread_stays_off_bare_shirt_and_third_colours() -> None:
    """It ends square where the border does, lies in the neighbour, and jumps over no third colour."""
    left, right, third = box(0, 0, 10, 10), box(10, -10, 20, 20), box(10.1, 2, 10.2, 8)
    right = right.difference(third)
    trap = made(left, right, 0.5)
    assert trap.difference(right).area == pytest.approx(0, abs=1e-9)
    assert trap.bounds == pytest.approx((10, 0, 10.5, 10))
    beyond = box(10.3, 0, 20, 10)
    between = box(10, 0, 10.3, 10)
    apart = MultiPolygon([beyond, box(10, 10, 20, 12)])
    tall = box(0, 0, 10, 12)
    reached = made(tall, apart, 0.5)
    assert reached.bounds[1] == pytest.approx(10)
    assert reached.intersection(between).area == 0


@pytest.mark.parametrize("corner_deg", [25.0, 45.0, 58.0, 60.0, 62.0, 80.0])
@pytest.mark.parametrize("mirrored", [False, True])
def test_a_tip_beside_the_border_is_filled(corner_deg: float, mirrored: bool) -> None:
    """A wedge over the border: the band of 0.5 mm less the triangle beside the tip, all of it shirt."""
    slope = math.tan(math.radians(corner_deg))
    later = Polygon([(0, 0), (30, 0), (30, 12), (12 / slope, 12)])
    below = box(0, -10, 30, 0)
    if mirrored:
        later, below = (affinity.scale(shape, -1.0, 1.0, origin=(0, 0)) for shape in (later, below))
    trap = made(below, later, 0.5)
    assert trap.area == pytest.approx(30 * 0.5 - 0.5**2 / slope / 2, rel=2e-3)
    assert trap.difference(later).area == pytest.approx(0, abs=1e-9)


@pytest.mark.parametrize("wide", [0.3, 0.6, 0.9])
def test_half_of_a_strip_stays_free_to_its_ends(wide: float) -> None:
    """However narrow, a strip is no tip: the spread takes half of it, but for what is rounded."""
    trap = made(box(0, -10, 30, 0), box(0, 0, 30, wide), 0.5)
    assert trap.bounds[3] <= wide / 2 + 1e-6
    assert trap.area == pytest.approx(30 * wide / 2, rel=0.02)


def test_half_of_a_neck_stays_free() -> None:
    """A neck 0.4 mm wide and 3 mm long at the end of a border is no tip, though it grows wide behind."""
    later = box(0, 0, 3, 0.4).union(box(3, 0, 30, 8))
    trap = made(box(0, -10, 30, 0), later, 0.5)
    assert trap.intersection(box(0, 0, 2.2, 5)).bounds[3] <= 0.2 + 1e-6


def test_no_sliver_is_left() -> None:
    """A wedge of the neighbour, 4°, ends where it is a tenth of the trap wide; a touch gets none."""
    wedge = Polygon([(0, 0), (20, 0), (20, 1.4)])
    below = box(0, -10, 20, 0)
    trap = made(below, wedge, 0.4)
    thinned = trap.buffer(-0.0199, join_style="mitre").buffer(0.0199, join_style="mitre")
    assert trap.difference(thinned).area < 1e-4
    assert len(trap.geoms) == 1
    assert made(box(0, 0, 10, 10), box(10, 9.8, 20, 20), 0.4).is_empty


def test_near_misses_are_found_with_width_and_place() -> None:
    """Squares 0.2 mm apart; with a third colour between, touching or 0.6 mm apart there is none."""
    one, other = box(0, 0, 10, 10), box(10.2, 0, 20, 10)
    both = shapely.union(one, other)
    (found,) = near_misses(outline_of(one), outline_of(other), both, 0.5)
    assert found.gap_mm == pytest.approx(0.2)
    assert found.length_mm == pytest.approx(10)
    assert found.at_mm[0] == pytest.approx(10.1)
    filled = box(0, 0, 20, 10)
    assert not near_misses(outline_of(one), outline_of(other), filled, 0.5)
    for other in (box(10, 0, 20, 10), box(10.6, 0, 20, 10), MultiPolygon()):
        both = shapely.union(one, other)
        assert not near_misses(outline_of(one), outline_of(other), both, 0.5)


def test_how_far_a_region_goes_on() -> None:
    """From the edge of a square extended by 0.3 mm, to within a step; no farther than asked."""
    at, way = np.array([[10.0, 5.0], [10.0, 9.5]]), np.array([[1.0, 0.0], [1.0, 0.0]])
    region = shapely.union(box(0, 0, 10, 10), box(10, 0, 10.3, 9))
    assert reach_along(region, at, way, 0.6) == pytest.approx([0.3, 0.0], abs=0.026)
    assert reach_along(region, at, way, 0.2) == pytest.approx([0.2, 0.0])
