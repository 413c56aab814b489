"""How far points lie from the edge of a base."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from shapely import MultiPolygon, Point, Polygon, box

from prep_base.planning import FAR_MM, distance_to, edge_of


def test_distances_to_edges_and_holes() -> None:
    """A square of 20 mm with a hole of 4 mm in its middle, and one of 1 mm beside it."""
    holed = Polygon(box(0, 0, 20, 20).exterior, [box(8, 8, 12, 12).exterior])
    region = MultiPolygon([holed, box(30, 0, 31, 1)])
    at = np.array([[10.0, 10.0], [10.0, 5.0], [3.0, 10.0], [23.0, 24.0], [29.5, 0.5]])
    assert distance_to(edge_of(region), at) == pytest.approx([2.0, 3.0, 3.0, 5.0, 0.5])


@pytest.mark.parametrize("quad_segs", [1, 2, 5, 7, 16])
def test_every_edge_of_a_ring_counts(quad_segs: int) -> None:
    """However many edges a ring has, the middle of each lies on it."""
    ring = Point(0, 0).buffer(10, quad_segs=quad_segs)
    corners = np.array(ring.exterior.coords)
    middle = (corners[1:] + corners[:-1]) / 2.0
    assert distance_to(edge_of(MultiPolygon([ring])), middle) == pytest.approx(0.0, abs=1e-12)


def test_without_edges_everything_is_far() -> None:
    """Where no base is left, nothing is near it."""
    assert distance_to(edge_of(MultiPolygon()), np.zeros((2, 2))).tolist() == [FAR_MM, FAR_MM]


def test_the_nearest_edge_counts_among_many_that_are_near() -> None:
    """Random discs, finely and coarsely flattened: as shapely measures each point by itself."""
    random = np.random.default_rng(4)
    discs = [
        Point(x, y).buffer(r, quad_segs=int(n))
        for x, y, r, n in zip(
            *random.uniform(0, 40, (2, 30)),
            random.uniform(0.1, 5, 30),
            random.integers(1, 64, 30),
            strict=True,
        )
    ]
    region = shapely.union_all(discs)
    at = np.concatenate(
        [random.uniform(-5, 45, (300, 2)), [(p.centroid.x, p.centroid.y) for p in discs]]
    )
    expected = shapely.distance(shapely.points(at), region.boundary)
    assert distance_to(edge_of(region), at) == pytest.approx(expected, abs=1e-12)
