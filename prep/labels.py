"""Places labels on a picture so that none covers another, a ring or a leader line.

Worst come first served: a label takes the nearest free place around its anchor, and what finds none is
left out and counted. The same input gives the same places.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from prep.pictures import Bounds

Point = tuple[float, float]
_ROUNDS = 14
_DIRECTIONS = 16


@dataclass(frozen=True, slots=True)
class Label:
    """What is to be written beside a place: the ring's middle and the size of the lettering."""

    at_mm: Point
    wide_mm: float
    high_mm: float


@dataclass(frozen=True, slots=True)
class Spot:
    """Where a label stands.

    :param middle_mm: of the lettering
    :param leader: from the ring's rim to the lettering, where that stands farther off
    """

    middle_mm: Point
    leader: tuple[Point, Point] | None


def place_labels(
    labels: Sequence[Label],
    *,
    ring_mm: float,
    gap_mm: float,
    bounds: Bounds,
    between_mm: float = 0.0,
) -> tuple[Spot | None, ...]:
    """Find a place for each label.

    :param labels: the most important first
    :param ring_mm: radius of the ring around each label's place, never covered by letters
    :param gap_mm: least distance between lettering and anything else
    :param between_mm: least distance on a line between lettering and other lettering, so that the two
        aren't read as one word; where it is under ``gap_mm``, that holds
    :param bounds: (min x, min y, max x, max y) of the picture; no label reaches over it
    :return: for each label its place, or ``None`` where there is no free one
    """
    boxes = [_around(label.at_mm, ring_mm, ring_mm) for label in labels]
    leaders: list[tuple[Point, Point]] = []
    placed: list[Spot | None] = []
    for label in labels:
        lettering = boxes[len(labels) :]
        spot = _free(label, ring_mm, gap_mm, bounds, np.array(boxes), lettering, leaders)
        placed.append(spot)
        if spot is not None:
            beside_mm = max(gap_mm, between_mm)
            half = label.wide_mm / 2.0 + beside_mm, label.high_mm / 2.0 + gap_mm
            boxes.append(_around(spot.middle_mm, *half))
            if spot.leader is not None:
                leaders.append(spot.leader)
    return tuple(placed)


def _free(
    label: Label,
    ring_mm: float,
    gap_mm: float,
    bounds: Bounds,
    boxes: NDArray[np.float64],
    lettering: Sequence[Bounds],
    leaders: Sequence[tuple[Point, Point]],
) -> Spot | None:
    for step, middle in _candidates(label, ring_mm, gap_mm):
        x0, y0, x1, y1 = _around(middle, label.wide_mm / 2.0, label.high_mm / 2.0)
        if x0 < bounds[0] or y0 < bounds[1] or x1 > bounds[2] or y1 > bounds[3]:
            continue
        apart = (
            (boxes[:, 0] >= x1) | (boxes[:, 2] <= x0) | (boxes[:, 1] >= y1) | (boxes[:, 3] <= y0)
        )
        if not apart.all() or any(_crosses(line, (x0, y0, x1, y1)) for line in leaders):
            continue
        if step == 0:
            return Spot(middle, None)
        leader = _leader(label.at_mm, ring_mm, (x0, y0, x1, y1))
        if any(_crosses(leader, box) for box in lettering):
            continue
        return Spot(middle, leader)
    return None


def _candidates(label: Label, ring_mm: float, gap_mm: float) -> Iterator[tuple[int, Point]]:
    """Give places around the ring, nearest first, beginning at the upper right."""
    x, y = label.at_mm
    for step in range(_ROUNDS):
        away = ring_mm + 1.5 * gap_mm + step * 0.75 * ring_mm
        for turn in range(_DIRECTIONS):
            angle = 2.0 * math.pi * turn / _DIRECTIONS - math.pi / 4.0
            dx, dy = math.cos(angle), math.sin(angle)
            yield (
                step,
                (
                    x + dx * (away + label.wide_mm / 2.0),
                    y + dy * (away + label.high_mm / 2.0),
                ),
            )


def _leader(at: Point, ring_mm: float, box: Bounds) -> tuple[Point, Point]:
    """Give the line from the ring's rim to the nearest point of the lettering."""
    end = (min(max(at[0], box[0]), box[2]), min(max(at[1], box[1]), box[3]))
    away = math.dist(at, end) or 1.0
    share = ring_mm / away
    return (at[0] + (end[0] - at[0]) * share, at[1] + (end[1] - at[1]) * share), end


def _crosses(line: tuple[Point, Point], box: Bounds) -> bool:
    """Tell whether a line touches a box: what of it lies between the box's sides isn't empty."""
    (x, y), (to_x, to_y) = line
    first, last = 0.0, 1.0
    for start, step, low, high in (
        (x, to_x - x, box[0], box[2]),
        (y, to_y - y, box[1], box[3]),
    ):
        if abs(step) < 1e-12:
            if not low < start < high:
                return False
            continue
        enter, leave = sorted(((low - start) / step, (high - start) / step))
        first, last = max(first, enter), min(last, leave)
    return first < last


def _around(at: Point, half_wide: float, half_high: float) -> Bounds:
    return at[0] - half_wide, at[1] - half_high, at[0] + half_wide, at[1] + half_high
