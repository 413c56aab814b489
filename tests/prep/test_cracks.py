"""Hairlines of rounding: closed, and nothing else touched."""

from __future__ import annotations

import pytest
import shapely
from shapely import MultiPolygon, Polygon, box

from prep.cracks import without_cracks
from prep.testing import as_multipolygon


def test_a_layer_without_cracks_is_left_as_it_is() -> None:
    """The very same object."""
    layer = MultiPolygon([box(0, 0, 1 / 3, 1), box(2, 0, 3, 1)])
    assert without_cracks(layer) is layer


def test_a_slit_of_rounding_is_closed() -> None:
    """Two squares 1e-9 mm apart are one; 1e-3 mm apart they stay two."""
    for apart_mm, pieces in ((1e-9, 1), (1e-3, 2)):
        layer = as_multipolygon(shapely.union(box(0, 0, 10, 10), box(10 + apart_mm, 0, 20, 10)))
        made = without_cracks(layer)
        assert len(made.geoms) == pieces
        assert made.area == pytest.approx(layer.area, abs=1e-5)


def test_a_hole_without_width_goes() -> None:
    """A hole 1e-9 mm wide and 8 mm long would be an island of film."""
    hole = box(5, 1, 5 + 1e-9, 9)
    made = without_cracks(as_multipolygon(box(0, 0, 10, 10).difference(hole)))
    assert not made.geoms[0].interiors


def test_a_hole_and_a_part_that_fit_on_the_grid_but_are_hairs_go() -> None:
    """Triangles 8 mm long and 1e-6 mm high are half of that wide on average; 1e-3 mm high they stay."""
    for high_mm, kept in ((1e-6, 0), (1e-3, 1)):
        hole, part = (Polygon([(x, 1), (x + high_mm, 5), (x, 9)]) for x in (5, 20))
        layer = MultiPolygon([*as_multipolygon(box(0, 0, 10, 10).difference(hole)).geoms, part])
        made = without_cracks(layer)
        assert len(made.geoms) == 1 + kept
        assert len(made.geoms[0].interiors) == kept


def test_a_part_in_a_hole_that_goes_goes_with_it() -> None:
    """A hair of a hole, 8 mm long, holds a part 6e-6 mm square in its belly: one whole square is left."""
    hole = Polygon([(5, 1), (5 + 1e-7, 4.9), (5 + 1e-5, 5), (5 + 1e-7, 5.1), (5, 9)])
    part = box(5 + 2e-6, 5 - 3e-6, 5 + 8e-6, 5 + 3e-6)
    layer = MultiPolygon([*as_multipolygon(box(0, 0, 10, 10).difference(hole)).geoms, part])
    assert layer.is_valid
    made = without_cracks(layer)
    assert made.is_valid
    assert made.area == pytest.approx(100.0)
    assert len(made.geoms) == 1
