"""Outlines as edges, and where two of them lie on each other."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from shapely import MultiPolygon, Polygon, box

from prep.borders import outline_of, shared_border


def test_a_turned_outline_is_that_of_all_around() -> None:
    """A square with a hole, and what is left of a sheet around it: the same edges but for the sheet's."""
    shape = Polygon(box(10, 10, 30, 20).exterior, [box(15, 12, 20, 18).exterior])
    turned = outline_of(shape).turned()
    around = outline_of(MultiPolygon(shapely.get_parts(box(0, 0, 40, 30).difference(shape))))
    edges = {(*a, *b) for a, b in zip(turned.start.tolist(), turned.end.tolist(), strict=True)}
    others = {(*a, *b) for a, b in zip(around.start.tolist(), around.end.tolist(), strict=True)}
    assert edges == {edge for edge in others if not {0.0, 40.0} & {edge[0], edge[2]}}
    # ring by ring in order, each edge where it begins along its ring
    for ring, size in enumerate(turned.ring_mm):
        own = turned.ring == ring
        assert size == pytest.approx(turned.length_mm[own].sum())
        ends = np.cumsum(turned.length_mm[own])
        assert turned.at_mm[own] == pytest.approx(ends - turned.length_mm[own])
    for edge, line in enumerate(turned.tree.geometries):
        assert line.equals(shapely.LineString([turned.start[edge], turned.end[edge]]))


@pytest.mark.parametrize(("gap_mm", "shared_mm"), [(0.0, 6.0), (0.015, 6.0), (0.03, 0.0)])
def test_edges_within_the_distance_are_shared(gap_mm: float, shared_mm: float) -> None:
    """Slanted at 3 : 4, edges 10 and 6 mm long a little apart, within 0.02 mm and beyond."""
    along, out = np.array([0.8, 0.6]), np.array([0.6, -0.8])
    left = Polygon([(0, 0), 10 * along, 10 * along - 4 * out, -4 * out])
    near = gap_mm * out
    right = Polygon([near + 2 * along, near + 5 * out, near + 8 * along])
    border = shared_border(outline_of(left), outline_of(right), 0.02)
    assert border.length_mm.sum() == pytest.approx(shared_mm, abs=1e-6)
