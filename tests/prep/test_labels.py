"""Labels on crowded pictures."""

from __future__ import annotations

import random
from itertools import combinations

import pytest
import shapely
from shapely import LineString, Point, box

from prep.labels import Label, Spot, place_labels

RING, GAP = 2.4, 0.5
BOUNDS = (0.0, 0.0, 120.0, 90.0)


def _crowd(count: int, seed: int, reach: float) -> list[Label]:
    dice = random.Random(seed)
    return [
        Label((60 + reach * dice.uniform(-1, 1), 45 + reach * dice.uniform(-1, 1)), 6.0, 3.6)
        for _ in range(count)
    ]


def _lettering(label: Label, spot: Spot) -> shapely.Polygon:
    (x, y), wide, high = spot.middle_mm, label.wide_mm / 2, label.high_mm / 2
    return box(x - wide, y - high, x + wide, y + high)


@pytest.mark.parametrize(
    ("count", "seed", "reach"), [(24, 1, 40.0), (24, 2, 12.0), (40, 3, 5.0), (60, 4, 30.0)]
)
def test_nothing_covers_a_label(count: int, seed: int, reach: float) -> None:
    """Lettering lies in the picture, on no ring, no other lettering and no leader; by shapely."""
    labels = _crowd(count, seed, reach)
    spots = place_labels(labels, ring_mm=RING, gap_mm=GAP, bounds=BOUNDS)
    assert len(spots) == count
    placed = [(a, b) for a, b in zip(labels, spots, strict=True) if b is not None]
    assert len(placed) >= 12
    boxes = [_lettering(label, spot) for label, spot in placed]
    lines = [LineString(spot.leader) if spot.leader else None for _, spot in placed]
    rings = [Point(label.at_mm).buffer(RING) for label in labels]
    assert all(box(*BOUNDS).covers(one) for one in boxes)
    assert min(one.distance(other) for one, other in combinations(boxes, 2)) >= GAP - 1e-9
    assert all(one.intersection(ring).area < 1e-9 for one in boxes for ring in rings)
    for number, line in enumerate(lines):
        for other, one in enumerate(boxes):
            if line is not None and other != number:
                assert not one.buffer(-1e-6).intersects(line)


def test_a_lone_label_stands_beside_its_ring_without_a_line() -> None:
    (spot,) = place_labels([Label((60, 45), 3.0, 3.6)], ring_mm=RING, gap_mm=GAP, bounds=BOUNDS)
    assert spot is not None
    assert spot.leader is None
    assert Point(60, 45).distance(Point(spot.middle_mm)) < 2.5 * RING


def test_a_label_farther_off_has_a_line_from_its_ring() -> None:
    """Twelve at one place: the later ones stand farther off, each led to from the ring's rim."""
    labels = [Label((60, 45), 6.0, 3.6)] * 12
    spots = place_labels(labels, ring_mm=RING, gap_mm=GAP, bounds=BOUNDS)
    led = [spot for spot in spots if spot is not None and spot.leader is not None]
    assert led
    for spot in led:
        assert spot.leader is not None
        assert Point(60, 45).distance(Point(spot.leader[0])) == pytest.approx(RING)


def test_what_finds_no_room_is_told() -> None:
    """A picture no larger than one ring has room for no lettering."""
    labels = [Label((2.5, 2.5), 3.0, 3.6)]
    assert place_labels(labels, ring_mm=RING, gap_mm=GAP, bounds=(0, 0, 5, 5)) == (None,)
    assert place_labels([], ring_mm=RING, gap_mm=GAP, bounds=BOUNDS) == ()
