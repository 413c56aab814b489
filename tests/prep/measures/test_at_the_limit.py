"""Widths that lie at a limit: rounding and facets decide nothing there."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from shapely import MultiPolygon, Polygon

from prep.measures import Limits, count_strips, measure
from prep.measures.classes import in_classes


def stroke(width_mm: float, within_mm: float = 0.004) -> Polygon:
    """Two bows of a line so wide, as a drawing's curves are flattened."""
    along = np.linspace(0.0, 4 * np.pi, 2000)
    line = shapely.LineString(np.column_stack([6 * along, 8 * np.sin(along)]))
    outline = shapely.buffer(line, width_mm / 2, quad_segs=32, cap_style="flat")
    return Polygon(shapely.simplify(outline, within_mm))


@pytest.mark.parametrize("width_mm", [1.97, 1.98, 1.985, 2.0, 2.005])
def test_a_stroke_as_wide_as_the_limit_is_told_once_or_not_at_all(width_mm: float) -> None:
    """Its facets are off by up to 0.008 mm; what misses the limit by less than 0.01 mm has reached it."""
    measures = measure(MultiPolygon([stroke(width_mm)]))
    assert len(measures.openings.strips()) == (1 if width_mm < 1.99 else 0)
    assert measures.finest_opening is not None
    assert measures.finest_opening.width_mm == pytest.approx(width_mm, abs=2 * 0.004)


def test_places_apart_stay_apart() -> None:
    bars = [shapely.box(x, 0, x + 1.9, 30) for x in (0.0, 10.0, 20.0)]
    assert len(measure(MultiPolygon(bars)).openings.strips()) == 3


def test_a_dip_under_the_limit_beside_wider_parts_is_a_place_of_its_own() -> None:
    """Two waists of 1.9 mm in a bar 2.2 mm wide: the bar is over 5 % above the limit between."""
    edge = [(0, 0), (10, 0), (11, 0.3), (12, 0), (22, 0), (23, 0.3), (24, 0), (34, 0)]
    bar = Polygon([*edge, (34, 2.2), (0, 2.2)])
    strips = measure(MultiPolygon([bar])).openings.strips()
    assert np.sort(strips.at_mm[:, 0]) == pytest.approx([11, 23], abs=0.01)
    assert strips.width_mm == pytest.approx([1.9, 1.9], abs=1e-6)


@pytest.mark.parametrize("turned_deg", [0.0, 17.0, 71.3])
@pytest.mark.parametrize("width_mm", [0.25, 0.5, 1.0])
def test_a_bar_as_wide_as_a_limit_is_in_the_class_above(width_mm: float, turned_deg: float) -> None:
    bar = shapely.affinity.rotate(shapely.box(0, 0, 40, width_mm), turned_deg)
    measures = measure(MultiPolygon([bar]))
    limits = (0.25, 0.5, 1.0, 2.0)
    places, _ = count_strips(MultiPolygon([bar]), limits)
    areas = in_classes(measures.by_width, measures.by_width.area_mm2, limits)
    assert places.tolist() == [int(limit > width_mm) for limit in limits]
    # of its ends, squares of half a width, half lies in corners
    assert areas[limits.index(width_mm) + 1] == pytest.approx(40 * width_mm - width_mm**2, rel=1e-6)


def test_a_length_is_that_of_what_lies_under_the_limit() -> None:
    """A wedge from 1.5 to 2.5 mm wide over 100 mm is under 2 mm for its first half."""
    wedge = Polygon([(0, 0), (100, -0.5), (100, 2.0), (0, 1.5)])
    (place,) = measure(MultiPolygon([wedge])).openings.strips()
    assert place.length_mm == pytest.approx(50.0, rel=0.01)


def test_a_length_of_a_tip_is_that_of_what_lies_under_the_limit() -> None:
    """A needle 60 mm long and 6 mm wide at its end is under 2 mm for a third of that."""
    needle = Polygon([(0, 0), (60, -3), (60, 3)])
    (tip,) = measure(MultiPolygon([needle])).openings.tips()
    assert tip.length_mm == pytest.approx(20.0, rel=0.01)


def test_no_width_is_below_zero() -> None:
    discs = shapely.union(shapely.Point(0, 0).buffer(5), shapely.Point(10, 0).buffer(5))
    for places in (measure(discs).openings, measure(discs).gaps):
        assert not np.signbit(places.width_mm).any()


def test_searching_wider_finds_the_same_place() -> None:
    """Where nothing is under the listed limit the search goes on, and lists nothing more."""
    bar = MultiPolygon([shapely.box(0, 0, 40, 2.6)])
    measures = measure(bar, Limits(places_to_mm=2.0, search_to_mm=3.0))
    assert len(measures.openings) == 0
    assert measures.finest_opening is not None
    assert measures.finest_opening.width_mm == pytest.approx(2.6)


def test_necks_apart_are_counted_apart_under_a_smaller_limit() -> None:
    """A bar 0.8 mm wide with five necks of 0.4 mm, 10 mm apart: one place under 1 mm, five under 0.5."""
    notches = [shapely.box(10 * k + 9.5, 0.4, 10 * k + 10.5, 1) for k in range(5)]
    bar = shapely.difference(shapely.box(0, 0, 60, 0.8), shapely.union_all(notches))
    region = MultiPolygon([bar])
    assert len(measure(region).openings.strips()) == 1
    openings, film = count_strips(region, (0.005, 0.25, 0.5, 1.0, 2.0))
    assert openings.tolist() == [0, 0, 5, 1, 1]
    # in the notches, 1 mm wide and 0.4 mm deep, film lies between edges that face each other
    assert film.tolist() == [0, 0, 0, 0, 5]


def test_count_of_nothing() -> None:
    openings, film = count_strips(MultiPolygon(), (0.5, 1.0))
    assert (openings.tolist(), film.tolist()) == ([0, 0], [0, 0])
