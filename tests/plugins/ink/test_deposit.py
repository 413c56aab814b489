"""The wet deposit and the edge integral."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from prep_ink.deposit import (
    deposit_um,
    edge_integral_mm2,
    open_field_um,
    print_volume_ml,
    strokes_factor,
)

# Closed forms of the integral of exp(-distance / r) over plain shapes (own derivation, calculus).


def strip(width, r):
    """A strip 1 mm long."""
    return 2 * r * (1 - math.exp(-width / (2 * r)))


def disc(radius, r):
    return 2 * math.pi * r * (radius - r * (1 - math.exp(-radius / r)))


def rectangle(a, b, r):
    """Sides a >= b."""
    q = math.exp(-b / (2 * r))
    return 2 * (a + b) * r * (1 - q) - 8 * r**2 * (1 - q) + 4 * r * b * q


def ring(inner, outer, r):
    return 2 * math.pi * (inner + outer) * r * (1 - math.exp(-(outer - inner) / (2 * r)))


def triangle(a, r):
    """Equilateral."""
    inradius = a / (2 * math.sqrt(3))
    q = math.exp(-inradius / r)
    return 3 * a * r * (1 - q) - 6 * math.sqrt(3) * (r**2 * (1 - q) - r * inradius * q)


def table(area, inradius, steps=4000):
    """The table of areas further than t from the edge, finely sampled."""
    insets = np.linspace(0, inradius, steps + 1)
    return insets, np.maximum(area(insets), 0.0)


STRIP = table(lambda t: 1 - 2 * t, 0.5)
DISC = table(lambda t: math.pi * (1 - t) ** 2, 1)
BAR = table(lambda t: (10 - 2 * t) * (1 - 2 * t), 0.5)
BLOCK = table(lambda t: (4 - 2 * t) * (2 - 2 * t), 1)
RING = table(lambda t: math.pi * ((3 - t) ** 2 - (2 + t) ** 2), 0.5)
TRIANGLE = table(
    lambda t: 3 * math.sqrt(3) * (4 / (2 * math.sqrt(3)) - t) ** 2, 4 / (2 * math.sqrt(3))
)
SHEET = table(lambda t: (100 - 2 * t) * (50 - 2 * t), 25, 20000)


@pytest.mark.parametrize(
    ("shape", "closed", "at_03", "at_05", "tolerance"),
    [
        (STRIP, lambda r: strip(1, r), 0.486675, 0.63212, 1e-5),
        (DISC, lambda r: disc(1, r), 1.339642, 1.783380, 1e-5),
        (BAR, lambda r: rectangle(10, 1, r), 4.996062, 6.424844, 1e-5),
        (BLOCK, lambda r: rectangle(4, 2, r), 2.862876, 4.000000, 1e-5),
        (RING, lambda r: ring(2, 3, r), 7.644667, 9.929327, 1e-5),
        (TRIANGLE, lambda r: triangle(4, r), 2.684616, 3.659967, 1e-5),
        (SHEET, lambda r: rectangle(100, 50, r), 89.280, 148.000, 1e-3),
    ],
    ids=["strip", "disc", "rectangle 10x1", "rectangle 4x2", "ring", "triangle", "100x50"],
)
def test_edge_integral_against_closed_forms(shape, closed, at_03, at_05, tolerance):
    """Exact areas of plain shapes through the table, against calculus and values worked out before."""
    found = edge_integral_mm2(*shape, [0.3, 0.5])
    assert found == pytest.approx([closed(0.3), closed(0.5)], abs=tolerance)
    assert found == pytest.approx([at_03, at_05], abs=max(tolerance, 2e-6))


def test_edge_integral_of_an_angle_against_points():
    """An L of 1 mm arms: distances of points spread evenly over it, summed without any table."""
    angle = shapely.Polygon([(0, 0), (4, 0), (4, 1), (1, 1), (1, 4), (0, 4)])
    insets = np.linspace(0, 0.6, 241)
    areas = [shapely.area(angle.buffer(-t, quad_segs=32)) for t in insets]
    found = edge_integral_mm2(insets, areas, [0.3, 0.5])
    steps = (np.arange(800) + 0.5) / 200
    x, y = (grid.ravel() for grid in np.meshgrid(steps, steps))
    points = shapely.points(x, y)[(x < 1) | (y < 1)]
    distances = shapely.distance(angle.exterior, points)
    summed = [np.exp(-distances / r).mean() * 7 for r in (0.3, 0.5)]
    assert found == pytest.approx(summed, abs=1e-3)
    assert found == pytest.approx([3.5262, 4.5189], abs=5e-4)


def test_edge_integral_needs_the_last_term():
    """What is cut off deeper than the table is (almost) nothing, not all of it.

    Leaving out exp(-T / r) A(T) when integrating by parts adds 0.024 mm2 on 100 x 50 mm at 12 r.
    """
    insets = np.linspace(0, 3.6, 2001)
    found = edge_integral_mm2(insets, (100 - 2 * insets) * (50 - 2 * insets), 0.3)
    assert found[0] == pytest.approx(rectangle(100, 50, 0.3), abs=1e-3)


def test_short_table_goes_on_as_it_ends():
    """A table that stops at 1 mm still gives a strip 4 mm wide its whole edge."""
    insets = np.linspace(0, 1, 51)
    found = edge_integral_mm2(insets, 100 * (4 - 2 * insets), [0.3, 0.9])
    assert found == pytest.approx([100 * strip(4, 0.3), 100 * strip(4, 0.9)], rel=1e-9)


def test_edge_integral_limits():
    """A short reach sees the edge only (r P); a long one the whole area."""
    found = edge_integral_mm2(*BAR, [1e-4, 1e5])
    assert found[0] == pytest.approx(22 * 1e-4, rel=1e-3)
    assert found[1] == pytest.approx(10, rel=1e-4)


@pytest.mark.parametrize(
    ("insets", "areas", "reach"),
    [
        ([0, 1], [1, 2], 0.3),
        ([0.1, 1], [1, 0], 0.3),
        ([0, 0], [1, 0], 0.3),
        ([0], [1], 0.3),
        ([0, 1], [1, 0, 0], 0.3),
        ([0, 1], [1, 0], 0.0),
    ],
)
def test_a_table_that_cannot_be_is_refused(insets, areas, reach):
    """Areas that grow inwards, insets that don't rise from 0, a reach of 0."""
    with pytest.raises(ValueError, match="must"):
        edge_integral_mm2(insets, areas, reach)


@given(
    st.lists(st.floats(0.01, 5), min_size=1, max_size=20),
    st.lists(st.floats(0.001, 50), min_size=1, max_size=20),
    st.floats(0.01, 5),
    st.floats(1.01, 4),
)
def test_edge_integral_grows_with_the_reach_and_stays_below_the_area(widths, falls, r, more):
    """0 < E <= A, and a longer reach never sees less, for any falling table."""
    size = min(len(widths), len(falls))
    insets = np.concatenate([[0.0], np.cumsum(widths[:size])])
    lost = np.array(falls[:size])
    areas = lost.sum() - np.concatenate([[0.0], np.cumsum(lost)])
    areas[-1] = 0.0
    near, far = edge_integral_mm2(insets, areas, [r, r * more])
    assert 0 < near <= far * (1 + 1e-12)
    assert far <= areas[0] * (1 + 1e-12)


@pytest.mark.parametrize(
    ("area", "edge", "mean"),
    [
        (math.pi, disc(1, 0.3), 52.268),
        (10, rectangle(10, 1, 0.3), 55.781),
        (5000, rectangle(100, 50, 0.3), 32.657),
        (1, strip(1, 0.3), 55.160),
    ],
    ids=["disc", "rectangle 10x1", "100x50", "strip"],
)
def test_mean_deposit_of_plain_shapes(area, edge, mean):
    """k 0.6, Vth 53, film 80 um, reach 0.3 mm: thin shapes take more ink per area than the open 31.8 um."""
    volume = print_volume_ml(area, edge, 0.6, 53, 80)
    assert volume / area * 1e6 == pytest.approx(mean, abs=0.01)
    assert open_field_um(0.6, 53, 85.6) == pytest.approx(31.8)


def test_volume_of_a_sheet():
    """100 x 50 mm: 163.285 mm3."""
    volume = print_volume_ml(5000, rectangle(100, 50, 0.3), 0.6, 53, 80)
    assert volume * 1000 == pytest.approx(163.285, abs=0.01)


def test_deposit_at_a_distance_agrees_with_the_volume():
    """Summing the deposit across a strip gives what the edge integral gives."""
    x = (np.arange(20_000) + 0.5) / 20_000
    across = deposit_um(np.minimum(x, 1 - x), 0.6, 53, 80, 0.3).mean()
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
