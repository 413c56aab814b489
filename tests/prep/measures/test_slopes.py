"""Where the slope of a tip or a touch ends and a strip begins, whatever vertex a ring begins at."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from shapely import MultiPolygon, Polygon, affinity, box

from prep.measures import measure


def _as_region(shape: shapely.Geometry) -> MultiPolygon:
    parts = shapely.get_parts(shapely.get_parts(shape))
    return MultiPolygon(parts[shapely.get_type_id(parts) == 3].tolist())


def _begun_at(ring: list[tuple[float, float]], start: int) -> Polygon:
    return Polygon([*ring[start:], *ring[:start]])


def test_a_slot_with_a_slanted_end_is_a_strip_behind_its_tip() -> None:
    """0.4 mm wide and 6 mm long, cut off at 53°: no wider than a slot with a square end."""
    slot = Polygon([(10, 11), (10.4, 11), (10.4, 3.7), (10, 4)])
    gaps = measure(_as_region(box(0, 0, 30, 10).difference(slot))).gaps
    (strip,) = gaps.strips()
    assert strip.width_mm == pytest.approx(0.4, abs=2e-6)
    assert strip.length_mm == pytest.approx(6, abs=0.6)
    assert len(gaps.tips()) == 1


def test_a_bar_with_a_slanted_end_is_a_strip_behind_its_tip() -> None:
    bar = Polygon([(9, 5), (20, 5), (19.2, 5.4), (9, 5.4)])
    openings = measure(_as_region(box(0, 0, 10, 10).union(bar))).openings
    (strip,) = openings.strips()
    assert strip.width_mm == pytest.approx(0.4, abs=2e-6)


@pytest.mark.parametrize("corner_deg", [0.5, 1.0, 5.0, 30.0])
def test_a_needle_is_a_tip_to_its_end(corner_deg: float) -> None:
    """Its width doubles with the way from its apex, so it nowhere stays as it is."""
    foot = 60 * np.tan(np.radians(corner_deg / 2))
    needle = Polygon([(0, 0), (60, -foot), (60, foot)])
    block = box(60, -20, 90, 20)
    openings = measure(_as_region(needle.union(block))).openings
    assert [place.kind for place in openings] == ["tip"]


SPIKY = [
    (1.08, -2.53), (3.24, -3.51), (0.73, -3.52), (0.85, -4.62), (0.25, -3.92), (0.19, -2.75),
    (-2.2, -3.3), (-1.51, -2.75), (-0.38, -2.39), (1.32, -1.7), (2.99, -1.87),
]  # fmt: skip
LOW = [(2, -1.5), (0, -1.75), (0.25, -0.5), (-0.5, 1.75), (1, 1), (1.75, 0)]


@pytest.mark.parametrize("ring", [SPIKY, LOW], ids=["spiky", "low"])
def test_wherever_a_ring_begins_and_however_it_is_turned_the_finest_is_the_same(
    ring: list[tuple[float, float]],
) -> None:
    found = []
    for start in range(len(ring)):
        shape = _begun_at(ring, start)
        for copy in (
            shape,
            affinity.scale(shape, -1, 1, origin=(0, 0)),
            affinity.rotate(shape, 37, origin=(0, 0)),
        ):
            openings = measure(_as_region(copy)).openings
            widths = openings.strips().width_mm
            tips = np.sort(openings.tips().length_mm)
            found.append((widths.min(initial=9.0), *tips))
    width, *tips = np.array(found).T
    assert width == pytest.approx(width[0], abs=1e-6)
    for length in tips:
        assert length == pytest.approx(length[0], abs=0.02)


@pytest.mark.parametrize("start", [0.0, np.pi])
@pytest.mark.parametrize("turned", [0.0, 90.0])
def test_rings_that_kiss_keep_their_finest_opening(start: float, turned: float) -> None:
    """Each is 0.3 mm wide where its hole is nearest its edge, away from the touch."""
    turn = start + np.arange(96) * 2 * np.pi / 96
    way = np.stack([np.cos(turn), np.sin(turn)], axis=1)
    left = Polygon(3 * way - [3, 0], [2.5 * way - [2.8, 0]])
    right = Polygon(3 * way + [3, 0], [2.5 * way + [2.8, 0]])
    both = affinity.rotate(shapely.union(left, right), turned, origin=(0, 0))
    finest = measure(_as_region(both)).finest_opening
    assert finest is not None
    # 3 - 2.5 - 0.2 between circles; between chords of 96 a little less
    assert finest.width_mm == pytest.approx(0.3, abs=3e-3)


@pytest.mark.parametrize(("radius", "gap", "corners"), [(10, 0.5, 96), (5, 1.5, 16)])
def test_the_place_between_two_corners_lies_between_them(
    radius: float, gap: float, corners: int
) -> None:
    turn = np.arange(corners) * 2 * np.pi / corners
    way = radius * np.stack([np.cos(turn), np.sin(turn)], axis=1)
    discs = MultiPolygon([Polygon(way), Polygon([2 * radius + gap, 0] - way)])
    finest = measure(discs).finest_gap
    assert finest is not None
    assert finest.width_mm == pytest.approx(gap, abs=2e-6)
    assert finest.at_mm == pytest.approx((radius + gap / 2, 0), abs=1e-4)
