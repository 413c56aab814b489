"""Regions whose outlines lie on each other but for rounding become one."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from shapely import MultiPolygon, Point, Polygon, affinity, box

from prep.artwork import Artwork
from prep.separations import separate
from prep.uniting import matched, united
from tests.strategies import artworks

GRID_MM = 1e-6


def _rings(shape: shapely.Geometry) -> int:
    return len(shapely.get_rings(shapely.get_parts(shape)))


def test_a_cut_that_rounding_left_is_closed() -> None:
    """Of a square turned by a third of a radian, and cut, nothing but the square is left."""
    square = affinity.rotate(box(0, 0, 100, 100), 1 / 3, origin=(0, 0), use_radians=True)
    knife = affinity.rotate(box(-300, -300, 40, 300), 0.7, origin=(30, 40), use_radians=True)
    disc = Point(40, 60).buffer(17.3)
    pieces = [square - knife - disc, square & knife - disc, square & disc]
    made = united(pieces, GRID_MM)
    assert _rings(made) == 1
    assert made.area == pytest.approx(100**2, abs=400 * GRID_MM)


@pytest.mark.parametrize("gap_mm", [0.0, 1e-13, 1e-9, 1.4e-6])
def test_gaps_below_two_widths_of_the_grid_are_closed(gap_mm: float) -> None:
    """Two rectangles with corners at different places of their common edge are one."""
    made = united([box(0, 0, 10, 5), box(2, 5 + gap_mm, 7, 9)], GRID_MM)
    assert _rings(made) == 1
    assert made.area == pytest.approx(50 + 20, abs=20 * GRID_MM)


def test_wider_gaps_stay() -> None:
    """A hundred widths of the grid are a gap."""
    made = united([box(0, 0, 10, 5), box(2, 5 + 100 * GRID_MM, 7, 9)], GRID_MM)
    assert len(shapely.get_parts(made)) == 2


def test_holes_and_overlaps() -> None:
    """A ring keeps its hole but for what lies in it; what overlaps counts once."""
    ring = box(0, 0, 10, 10) - box(2, 2, 8, 8)
    made = united([ring, box(3, 3, 4, 4), MultiPolygon([box(9, 0, 12, 10)])], GRID_MM)
    assert made.area == pytest.approx(120 - 36 + 1)
    assert _rings(made) == 3


def test_what_is_smaller_than_the_grid_is_gone() -> None:
    """A part within one cell goes with its hole, and the others stay."""
    speck = Polygon([(50, 50), (50 + 1e-8, 50), (50, 50 + 1e-8)])
    made = united([speck, box(0, 0, 1, 1)], GRID_MM)
    assert made.equals(box(0, 0, 1, 1))
    assert united([Polygon()], GRID_MM).is_empty


def test_where_a_polygon_would_cross_itself() -> None:
    """A needle thinner than the grid, led through corners beside it, is united on the grid all the same."""
    needle = Polygon([(0, 0), (10, 1.2e-6), (10, -1.2e-6)])
    made = united([needle, box(10, -5, 20, 5), box(2, 1.2e-6, 3, 4)], GRID_MM)
    assert made.is_valid
    assert made.area == pytest.approx(100 + 4, abs=40 * GRID_MM)


@given(artworks())
@settings(max_examples=30)
def test_separations_become_what_was_painted(artwork: Artwork) -> None:
    """All colours together cover what the shapes covered, and nothing more."""
    regions = [separation.region for separation in separate(artwork)]
    made = united(regions, GRID_MM)
    painted = shapely.union_all([shape.region for shape in artwork.shapes])
    assert made.is_valid
    off = shapely.symmetric_difference(made, painted).area
    assert off <= 2.0 * GRID_MM * math.fsum(region.length for region in regions)


def test_what_shares_whole_edges_and_overlaps_counts_once() -> None:
    """Of a square, itself, its left half and the square beside it, two squares are left."""
    made = united([box(0, 0, 4, 4), box(0, 0, 4, 4), box(0, 0, 2, 4), box(4, 0, 8, 4)], GRID_MM)
    assert made.area == pytest.approx(2 * 16)
    assert _rings(made) == 1


def test_corners_on_edges_are_found_however_long_these_are() -> None:
    """A comb of 500 squares of 0.01 to 100 mm stands on a bar, turned by 1 radian: one part, no hole."""
    sides = np.geomspace(0.01, 100.0, 500)
    left = np.concatenate([[0.0], np.cumsum(sides[:-1] * 1.5)])
    squares = [box(x, 0, x + side, side) for x, side in zip(left, sides, strict=True)]
    bar = box(-1, -1, left[-1] + 101, 0)
    turned = [affinity.rotate(one, 1, origin=(0, 0), use_radians=True) for one in [bar, *squares]]
    made = united(turned, GRID_MM)
    assert _rings(made) == 1
    assert made.area == pytest.approx(bar.area + (sides**2).sum(), abs=1e5 * GRID_MM)


def test_nothing_but_specks_is_nothing() -> None:
    """What is smaller than the grid has no edges to be led anywhere."""
    assert united([Polygon([(5, 5), (5 + 1e-8, 5), (5, 5 + 1e-8)])], GRID_MM).is_empty


def test_regions_matched_once_are_united_in_any_choice() -> None:
    """Three squares in a row: two of them make 200 mm2, the outer two stay apart."""
    row = [box(0, 0, 10, 10), box(10, 0, 20, 10), box(20, 0, 30, 10)]
    every = matched(row, GRID_MM)
    assert every.united([0, 1]).area == pytest.approx(200)
    assert _rings(every.united([0, 1])) == 1
    assert len(shapely.get_parts(every.united([0, 2]))) == 2
    assert every.united(range(3)).area == pytest.approx(300)
    assert every.united([]).is_empty


def test_places_where_edges_are_near_each_other_are_told() -> None:
    """A crack of 0.01 mm between squares; none where they touch, or lie 1 mm apart."""
    left = box(0, 0, 10, 10)
    for gap, close in ((0.0, False), (0.01, True), (1.0, False)):
        boxes = matched([left, box(10 + gap, 2, 20, 8)], GRID_MM, 0.02).close
        around = shapely.union_all(shapely.box(*boxes.T))
        assert around.contains(box(10, 2, 10 + gap, 8)) == close
        assert around.area < 0.1 * 10
    # a notch whose sides part by 0.02 mm within 1 mm
    sharp = Polygon([(0, 0), (10, 0), (10, 5), (2, 5), (10, 5.16), (10, 9), (0, 9)])
    around = shapely.union_all(shapely.box(*matched([sharp], GRID_MM, 0.02).close.T))
    assert around.contains(Polygon([(2, 5), (2.99, 5), (2.99, 5.0198)]))
    assert around.bounds[2] < 3.1
