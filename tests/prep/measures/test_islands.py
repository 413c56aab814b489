"""Film enclosed by openings."""

from __future__ import annotations

import pytest
from shapely import box

from prep.measures import Limits, measure
from tests.specimens import circle, multi


def test_nested_islands() -> None:
    """Square frames in each other: every frame holds an island, one deeper than the last."""
    frames = [box(-h, -h, h, h).difference(box(1 - h, 1 - h, h - 1, h - 1)) for h in (10, 7, 4)]
    islands = measure(multi(*frames)).islands
    found = sorted((i.depth, i.area_mm2) for i in islands)
    # inside each frame 2(h - 1) wide, less the next frame's outline
    assert found == [
        (1, pytest.approx(18**2 - 14**2)),
        (2, pytest.approx(12**2 - 8**2)),
        (3, pytest.approx(6**2)),
    ]
    narrow = {i.depth: i.narrowest_mm for i in islands}
    assert narrow == {1: pytest.approx(2), 2: pytest.approx(2), 3: None}


def test_an_islands_finest_strip() -> None:
    """An island shaped like a bone is as narrow as its shaft."""
    bone = multi(box(2, 2, 4, 4), box(4, 2.8, 6, 3.1), box(6, 2, 8, 4))
    region = multi(box(0, 0, 10, 6).difference(bone))
    measures = measure(region)
    (island,) = measures.islands
    assert island.narrowest_mm == pytest.approx(0.3)
    assert island.area_mm2 == pytest.approx(8.6)
    assert island.bounds_mm == pytest.approx((2, 2, 8, 4))
    assert island.held_by_mm is None
    in_island = measures.gaps.strips().take(measures.gaps.strips().piece == 1)
    assert in_island.width_mm.min() == pytest.approx(0.3)


def test_openings_in_an_island_are_not_film() -> None:
    """A dot printed in a counter is taken off the island around it."""
    ring = circle(6, 0.01).difference(circle(5, 0.01))
    dot = circle(1, 0.01)
    (island,) = measure(multi(ring, dot)).islands
    assert island.area_mm2 == pytest.approx(circle(5, 0.01).area - dot.area)


def test_pieces_are_told_apart() -> None:
    """A narrow place names the opening it belongs to."""
    region = multi(box(0, 0, 5, 0.5), box(0, 10, 5, 10.8), box(0, 20, 9, 29))
    measures = measure(region, Limits(places_to_mm=1.0))
    assert measures.pieces == 3
    strips = measures.openings.strips()
    assert len({int(p) for p in strips.piece}) == 2
    for strip in strips:
        assert region.geoms[strip.piece].bounds[3] - region.geoms[strip.piece].bounds[
            1
        ] == pytest.approx(strip.width_mm)
