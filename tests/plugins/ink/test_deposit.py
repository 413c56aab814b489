"""The wet deposit and the edge integral.

What is measured goes the whole way here: a shape through ``measure``, its bands through the edge integral.
Rows of figures "worked out before" repeat formulas that stand in the code: they are regressions, which tell
that nothing moved, not that it was right. What is right, calculus and counted points tell.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from shapely import MultiPolygon, Point, Polygon, box
from shapely.affinity import rotate, translate

from prep.measures import Limits, measure
from prep.testing import as_multipolygon
from prep_ink.deposit import (
    edge_integral_mm2,
    open_field_um,
    print_volume_ml,
    strokes_factor,
)

REACHES = np.array([0.1, 0.2, 0.3, 0.35, 0.5, 0.7, 1.5])
NARROW = Limits(
    places_to_mm=0.02, search_to_mm=0.02
)  # bands don't depend on how places are searched


def measured(*shapes, reach=REACHES):
    """Give the edge integrals of measured shapes, which lie apart."""
    bands = measure(
        MultiPolygon([p for s in shapes for p in as_multipolygon(s).geoms]), NARROW
    ).bands
    return edge_integral_mm2(bands.area_mm2, bands.depth_mm, bands.spread_mm, reach)


# Closed forms of the integral of exp(-distance / r) over plain shapes (own derivation, calculus).


def strip(width, r):
    """A strip 1 mm long."""
    return 2 * r * (1 - np.exp(-width / (2 * r)))


def disc(radius, r):
    return 2 * math.pi * r * (radius - r * (1 - np.exp(-radius / r)))


def regular(radius, corners, r):
    """A regular polygon: as many triangles, whose apex lies one inradius deep."""
    inradius, side = radius * math.cos(math.pi / corners), 2 * radius * math.sin(math.pi / corners)
    return corners * side * r * (1 - r / inradius * (1 - np.exp(-inradius / r)))


def rectangle(a, b, r):
    """Sides a >= b."""
    q = np.exp(-b / (2 * r))
    return 2 * (a + b) * r * (1 - q) - 8 * r**2 * (1 - q) + 4 * r * b * q


def ring(inner, outer, r):
    return 2 * math.pi * (inner + outer) * r * (1 - np.exp(-(outer - inner) / (2 * r)))


def triangle(a, r):
    """Equilateral."""
    inradius = a / (2 * math.sqrt(3))
    q = np.exp(-inradius / r)
    return 3 * a * r * (1 - q) - 6 * math.sqrt(3) * (r**2 * (1 - q) - r * inradius * q)


def angle(arm, r):
    """An L: arms 1 mm wide and ``arm`` mm long outside, 1 mm less beside the square they share.

    Each arm is half of a rectangle twice as long. In the square, seen from the inner corner at the angle
    f, points up to 1 / (1 + cos f) away are nearest to that corner, those beyond to the outer edge, which
    lies 1 / cos f away. The integral along the way is elementary, that over f is by 40 points of Gauss.
    """
    knots, weights = np.polynomial.legendre.leggauss(40)
    f = (knots + 1) * math.pi / 8
    cos = np.cos(f)
    nearer, farthest = 1 / (1 + cos), 1 / cos
    r = np.asarray(r)[..., None]
    to_corner = r**2 - r * (nearer + r) * np.exp(-nearer / r)

    def to_edge(at):
        return np.exp((at * cos - 1) / r) * (at * r / cos - (r / cos) ** 2)

    along = to_corner + to_edge(farthest) - to_edge(nearer)
    square = 2 * math.pi / 8 * (along * weights).sum(axis=-1)
    return square + rectangle(2 * (arm - 1), 1, r[..., 0])


ANGLE = Polygon([(0, 0), (4, 0), (4, 1), (1, 1), (1, 4), (0, 4)])


def equilateral(a):
    return Polygon([(0, 0), (a, 0), (a / 2, a * math.sqrt(3) / 2)])


def round_disc(radius, quad_segs=256):
    return Point(0, 0).buffer(radius, quad_segs=quad_segs)


SHAPES = {
    "rectangle 10x1": (box(0, 0, 10, 1), lambda r: rectangle(10, 1, r)),
    "rectangle 4x2": (box(0, 0, 4, 2), lambda r: rectangle(4, 2, r)),
    "rectangle 100x50": (box(0, 0, 100, 50), lambda r: rectangle(100, 50, r)),
    "rectangle 250x180": (box(0, 0, 250, 180), lambda r: rectangle(250, 180, r)),
    "slanted rectangle": (rotate(box(0, 0, 7, 0.8), 33), lambda r: rectangle(7, 0.8, r)),
    "hair of 0.13 mm": (box(0, 0, 30, 0.13), lambda r: rectangle(30, 0.13, r)),
    "disc": (round_disc(1), lambda r: disc(1, r)),
    "disc of 0.3 mm": (round_disc(0.3), lambda r: disc(0.3, r)),
    "dot of 0.3 mm across": (round_disc(0.15, 8), lambda r: regular(0.15, 32, r)),
    "coarse disc": (round_disc(3, 16), lambda r: regular(3, 64, r)),
    "ring": (round_disc(3, 512) - round_disc(2, 512), lambda r: ring(2, 3, r)),
    "triangle": (equilateral(4), lambda r: triangle(4, r)),
    "triangle of 0.6 mm": (equilateral(0.6), lambda r: triangle(0.6, r)),
    "angle": (ANGLE, lambda r: angle(4, r)),
    "slanted angle": (rotate(ANGLE, 17), lambda r: angle(4, r)),
}


@pytest.mark.parametrize(("shape", "closed"), SHAPES.values(), ids=SHAPES)
def test_measured_shapes_against_closed_forms(shape, closed):
    """To 1e-5 at every reach a shop may state, 0.1 to 1.5 mm."""
    assert measured(shape) == pytest.approx(closed(REACHES), rel=1e-5, abs=0)


def test_a_measured_strip_against_its_closed_form():
    """10 mm more of a bar 1 mm wide is 10 mm of a strip without ends."""
    more = measured(box(0, 0, 20, 1)) - measured(box(0, 0, 10, 1))
    assert more == pytest.approx(10 * strip(1, REACHES), rel=1e-5, abs=0)


def test_parts_of_unlike_depth_together():
    """Hairs, bars, a dot, a triangle and a sheet on one screen: the sum of their closed forms, to 1e-5."""
    parts = [
        (box(0, 0, 10, 1), rectangle(10, 1, REACHES)),
        (box(0, 0, 10, 0.13), rectangle(10, 0.13, REACHES)),
        (box(0, 0, 10, 0.347), rectangle(10, 0.347, REACHES)),
        (box(0, 0, 4, 2), rectangle(4, 2, REACHES)),
        (round_disc(0.3), disc(0.3, REACHES)),
        (equilateral(4), triangle(4, REACHES)),
        (box(0, 0, 100, 50), rectangle(100, 50, REACHES)),
    ]
    apart = [translate(shape, 0, 60 * k) for k, (shape, _) in enumerate(parts)]
    whole = sum(closed for _, closed in parts)
    assert measured(*apart) == pytest.approx(whole, rel=1e-5, abs=0)
    small = [shape for shape, _ in parts[:-1]]
    apart = [translate(shape, 0, 10 * k) for k, shape in enumerate(small)]
    assert measured(*apart) == pytest.approx(whole - parts[-1][1], rel=1e-5, abs=0)


@pytest.mark.parametrize(
    ("shape", "at_03", "at_05", "tolerance"),
    [
        (box(0, 0, 10, 1), 4.996062, 6.424844, 1e-5),
        (box(0, 0, 4, 2), 2.862876, 4.000000, 1e-5),
        (box(0, 0, 100, 50), 89.280, 148.000, 1e-3),
        (round_disc(1), 1.339642, 1.783380, 2e-5),
        (round_disc(3, 512) - round_disc(2, 512), 7.644667, 9.929327, 2e-5),
        (equilateral(4), 2.684616, 3.659967, 1e-5),
        (ANGLE, 3.5262, 4.5189, 5e-5),
    ],
    ids=["rectangle 10x1", "rectangle 4x2", "100x50", "disc", "ring", "triangle", "angle"],
)
def test_figures_worked_out_before(shape, at_03, at_05, tolerance):
    """A regression: the closed forms' values, and for the angle a sum over a raster, as once noted."""
    assert measured(shape, reach=[0.3, 0.5]) == pytest.approx([at_03, at_05], abs=tolerance)


def test_mean_of_a_strip_worked_out_before():
    """A regression: the mean of exp(-x / r) across 1 mm."""
    more = measured(box(0, 0, 20, 1), reach=[0.3, 0.5]) - measured(
        box(0, 0, 10, 1), reach=[0.3, 0.5]
    )
    assert more / 10 == pytest.approx([0.486675, 0.63212], abs=1e-5)


def test_an_angle_against_points():
    """An L of 1 mm arms: distances of points spread evenly over it, summed without any measuring."""
    steps = (np.arange(800) + 0.5) / 200
    x, y = (grid.ravel() for grid in np.meshgrid(steps, steps))
    points = shapely.points(x, y)[(x < 1) | (y < 1)]
    distances = shapely.distance(ANGLE.exterior, points)
    summed = [np.exp(-distances / r).mean() * 7 for r in (0.3, 0.5)]
    assert measured(ANGLE, reach=[0.3, 0.5]) == pytest.approx(summed, rel=1e-4)
    assert angle(4, [0.3, 0.5]) == pytest.approx(summed, rel=1e-4)


@pytest.mark.parametrize("wide", [16.0, 30.0, 90.0])
def test_what_lies_deep_counts_with_a_long_reach(wide):
    """No depth is cut off: a sheet 45 mm deep has its whole integral, at a reach of 1.5 mm and of 8."""
    reach = np.array([0.7, 1.5, 8.0])
    found = measured(box(0, 0, 2 * wide, wide), reach=reach)
    assert found == pytest.approx(rectangle(2 * wide, wide, reach), rel=1e-5, abs=0)


def test_short_and_long_reaches():
    """A short reach sees the edge only (r P); a long one the whole area."""
    bar = box(0, 0, 10, 1)
    assert measured(bar, reach=[1e-4]) == pytest.approx(22 * 1e-4, rel=2e-3)
    assert measured(bar, reach=[1e5]) == pytest.approx(10, rel=1e-4)


def test_a_band_is_known_by_area_mean_and_spread():
    """Half of 3 mm2 at 0.1 and half at 0.3 mm: the mean of both exponentials, to third order."""
    found = edge_integral_mm2([3.0], [0.2], [0.1], [1.0, 4.0])
    both = [3 * (math.exp(-0.1 / r) + math.exp(-0.3 / r)) / 2 for r in (1.0, 4.0)]
    assert found == pytest.approx(both, rel=1e-5)
    assert edge_integral_mm2([2.0], [0.2], [0.0], 0.4) == pytest.approx(2 * math.exp(-0.5))


def test_nothing_has_no_edge():
    """Without bands the integral is 0 at every reach."""
    assert edge_integral_mm2([], [], [], [0.1, 1.0]).tolist() == [0.0, 0.0]


@pytest.mark.parametrize(
    ("areas", "depths", "spreads", "reach"),
    [
        ([1], [0.1, 0.2], [0, 0], 0.3),
        ([1, 1], [0.1, 0.2], [0], 0.3),
        ([[1]], [[0.1]], [[0]], 0.3),
        ([-1], [0.1], [0], 0.3),
        ([1], [-0.1], [0], 0.3),
        ([1], [0.1], [-0.1], 0.3),
        ([1], [math.nan], [0], 0.3),
        ([1], [0.1], [0], 0.0),
        ([1], [0.1], [0], math.nan),
    ],
)
def test_bands_that_cannot_be_are_refused(areas, depths, spreads, reach):
    """Rows of unlike length, what is below 0 or no number, a reach of 0."""
    with pytest.raises(ValueError, match="must"):
        edge_integral_mm2(areas, depths, spreads, reach)


@given(
    st.lists(
        st.tuples(st.floats(0.001, 50), st.floats(0, 60), st.floats(0, 5)), min_size=1, max_size=20
    ),
    st.floats(0.01, 5),
    st.floats(1.01, 4),
)
def test_edge_integral_grows_with_the_reach_and_stays_below_the_area(bands, r, more):
    """0 <= E <= A, and a longer reach never sees less, for any bands."""
    near, far = edge_integral_mm2(*zip(*bands, strict=True), [r, r * more])
    assert 0 <= near <= far * (1 + 1e-12)
    assert far <= sum(area for area, _, _ in bands) * (1 + 1e-12)


@pytest.mark.parametrize(
    ("shape", "mean"),
    [(round_disc(1), 52.268), (box(0, 0, 10, 1), 55.781), (box(0, 0, 100, 50), 32.657)],
    ids=["disc", "rectangle 10x1", "100x50"],
)
def test_mean_deposit_of_measured_shapes(shape, mean):
    """k 0.6, Vth 53, film 80 um, reach 0.3 mm: thin shapes take more ink per area than the open 31.8 um.

    A regression by figures worked out before.
    """
    volume = print_volume_ml(shape.area, measured(shape, reach=0.3), 0.6, 53, 80)
    assert volume / shape.area * 1e6 == pytest.approx(mean, abs=0.01)
    assert open_field_um(0.6, 53, 85.6) == pytest.approx(31.8)


def test_volume_of_a_measured_sheet():
    """100 x 50 mm: 163.285 mm3, a regression; by hand 0.6 (53 x 5000 + 80 x 89.28) um mm2."""
    volume = print_volume_ml(5000, measured(box(0, 0, 100, 50), reach=0.3), 0.6, 53, 80)
    assert volume * 1000 == pytest.approx(163.285, abs=0.01)
    assert volume * 1000 == pytest.approx(0.6 * (53 * 5000 + 80 * 89.28) / 1000, rel=1e-5)


def test_grams_of_a_run_by_hand():
    """200 cm2 at 40 um and 1.06 g/ml, 24 shirts: 0.8 ml or 0.848 g each, 20.35 g; 15 % more is 23.40 g."""
    each = print_volume_ml(20_000, 0.0, 1.0, 40.0, 0.0)
    assert each == pytest.approx(0.8)
    assert each * 1.06 * 24 == pytest.approx(20.35, abs=0.01)
    assert each * 1.06 * 24 * 1.15 == pytest.approx(23.40, abs=0.01)


def test_deposit_at_a_distance_agrees_with_the_volume():
    """Summing the deposit across a strip gives what the edge integral gives."""
    x = (np.arange(20_000) + 0.5) / 20_000
    across = (0.6 * (53 + 80 * np.exp(-np.minimum(x, 1 - x) / 0.3))).mean()
    assert across == pytest.approx(55.160, abs=0.001)


def test_open_field_never_holds_more_than_the_cloth():
    """A transfer beyond the void of the cloth is cut off there."""
    assert open_field_um([0.7, 3.0], 53, 85.6) == pytest.approx([37.1, 85.6])


def test_strokes():
    """One stroke is one; the second adds its share; the sum stays bounded."""
    assert strokes_factor(0.45, 1) == pytest.approx(1)
    assert strokes_factor([0.3, 0.6], 2) == pytest.approx([1.3, 1.6])
    assert strokes_factor(0.45, 50) == pytest.approx(1 / 0.55)
    with pytest.raises(ValueError, match="at least one"):
        strokes_factor(0.45, 0)
    with pytest.raises(ValueError, match="adds less"):
        strokes_factor(1.0, 2)
