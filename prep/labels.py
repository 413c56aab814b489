"""Places labels on a picture so that none covers another, a ring or a leader line.

Worst come first served: a label takes the nearest free place around its anchor, and what finds none is
left out and counted. The same input gives the same places.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from prep.pictures import Bounds

Point = tuple[float, float]
Floats = NDArray[np.float64]
_ROUNDS = 14
_DIRECTIONS = 16
_ANGLES = [2.0 * math.pi * turn / _DIRECTIONS - math.pi / 4.0 for turn in range(_DIRECTIONS)]
_TOWARDS = np.array([(math.cos(angle), math.sin(angle)) for angle in _ANGLES])
"""(16, 2) unit vectors in which places are tried, beginning at the upper right."""


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
    count = len(labels)
    boxes, leaders = np.empty((2 * count, 4)), np.empty((count, 4))
    boxes[:count] = [_around(label.at_mm, ring_mm, ring_mm) for label in labels] or np.empty((0, 4))
    lettered = led = 0
    placed: list[Spot | None] = []
    for label in labels:
        used = boxes[: count + lettered]
        spot = _free(label, ring_mm, gap_mm, bounds, used, boxes[count : len(used)], leaders[:led])
        placed.append(spot)
        if spot is not None:
            beside_mm = max(gap_mm, between_mm)
            half = label.wide_mm / 2.0 + beside_mm, label.high_mm / 2.0 + gap_mm
            boxes[count + lettered] = _around(spot.middle_mm, *half)
            lettered += 1
            if spot.leader is not None:
                leaders[led] = (*spot.leader[0], *spot.leader[1])
                led += 1
    return tuple(placed)


def _free(
    label: Label,
    ring_mm: float,
    gap_mm: float,
    bounds: Bounds,
    boxes: Floats,
    lettering: Floats,
    leaders: Floats,
) -> Spot | None:
    """Find the nearest free place.

    :param boxes: (B, 4) that no lettering may cover
    :param lettering: (L, 4) those of them that no leader may cross
    :param leaders: (N, 4) that no lettering may cover, as x, y, x, y
    """
    (x, y), half_wide, half_high = label.at_mm, label.wide_mm / 2.0, label.high_mm / 2.0
    farthest = ring_mm + 1.5 * gap_mm + _ROUNDS * 0.75 * ring_mm
    near = _around(label.at_mm, farthest + label.wide_mm, farthest + label.high_mm)
    apart = (boxes[:, 0] > near[2]) | (boxes[:, 2] < near[0])
    apart |= (boxes[:, 1] > near[3]) | (boxes[:, 3] < near[1])
    left, top, right, low = np.ascontiguousarray(boxes[~apart].T)
    for step in range(_ROUNDS):
        away = ring_mm + 1.5 * gap_mm + step * 0.75 * ring_mm
        across = x + _TOWARDS[:, 0] * (away + half_wide)
        down = y + _TOWARDS[:, 1] * (away + half_high)
        x0, y0 = across - half_wide, down - half_high
        x1, y1 = across + half_wide, down + half_high
        free = ~((x0 < bounds[0]) | (y0 < bounds[1]) | (x1 > bounds[2]) | (y1 > bounds[3]))
        if not free.any():
            continue
        covers = (left < x1[:, None]) & (right > x0[:, None])
        covers &= (top < y1[:, None]) & (low > y0[:, None])
        free &= ~covers.any(axis=1)
        for turn in np.flatnonzero(free).tolist():
            box = float(x0[turn]), float(y0[turn]), float(x1[turn]), float(y1[turn])
            if _crosses(leaders, np.array([box])).any():
                continue
            middle = float(across[turn]), float(down[turn])
            if step == 0:
                return Spot(middle, None)
            leader = _leader(label.at_mm, ring_mm, box)
            if not _crosses(np.array([(*leader[0], *leader[1])]), lettering).any():
                return Spot(middle, leader)
    return None


def _leader(at: Point, ring_mm: float, box: Bounds) -> tuple[Point, Point]:
    """Give the line from the ring's rim to the nearest point of the lettering."""
    end = (min(max(at[0], box[0]), box[2]), min(max(at[1], box[1]), box[3]))
    away = math.dist(at, end) or 1.0
    share = ring_mm / away
    return (at[0] + (end[0] - at[0]) * share, at[1] + (end[1] - at[1]) * share), end


def _crosses(lines: Floats, boxes: Floats) -> NDArray[np.bool_]:
    """Tell which lines touch which boxes: what of one lies between the box's sides isn't empty.

    :param lines: (N, 4) as x, y, x, y; or (1, 4), held against every box
    :param boxes: (N, 4); or (1, 4), held against every line
    """
    count = len(lines) if len(boxes) == 1 else len(boxes)
    first, last, within = np.zeros(count), np.ones(count), np.ones(count, dtype=bool)
    for axis in (0, 1):
        start, step = lines[:, axis], lines[:, 2 + axis] - lines[:, axis]
        low, high = boxes[:, axis], boxes[:, 2 + axis]
        level = np.abs(step) < 1e-12
        within &= ~level | ((low < start) & (start < high))
        along = np.where(level, 1.0, step)
        to_low, to_high = (low - start) / along, (high - start) / along
        enter, leave = np.minimum(to_low, to_high), np.maximum(to_low, to_high)
        first = np.where(level, first, np.maximum(first, enter))
        last = np.where(level, last, np.minimum(last, leave))
    crosses: NDArray[np.bool_] = within & (first < last)
    return crosses


def _around(at: Point, half_wide: float, half_high: float) -> Bounds:
    return at[0] - half_wide, at[1] - half_high, at[0] + half_wide, at[1] + half_high
