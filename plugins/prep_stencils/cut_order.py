"""The order in which outlines are cut, and the blade's way between them. Imports nothing of prep.

What lies within an outline is cut before it, and of two outlines beside each other the smaller one: the
film still lies whole around it. Within this the way of the lifted blade is kept short: from outline to the
nearest one that may be cut, then stretches of the order are turned round or moved and the points at which
the blade enters are shifted, as long as that shortens the way.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import shapely
from numpy.typing import NDArray

from prep_stencils.walk import shortened

Points = NDArray[np.float64]
Ints = NDArray[np.int64]

BESIDE_MM = 3.0
"""Outlines nearer than this lie beside each other: the smaller is cut first. Our choice."""
SMALLER = 0.5
"""An outline counts as smaller where it holds at most this share of the other's area. Our choice."""
# points of an outline at which the blade may enter, while the order is sought; fewer of many outlines
_ENTRIES, _FEWEST, _ALL_ENTRIES = 24, 3, 24_000
_ROUNDS = 4
_GAIN_MM = 1e-6


@dataclass(frozen=True, slots=True, eq=False)
class CutOrder:
    """How outlines are cut.

    :param order: (n,) numbers of the outlines, first cut first
    :param enters: (n,) for each outline, by its number: the point at which it begins and ends
    :param travel_mm: way of the lifted blade, from its place of rest to the last outline
    """

    order: Ints
    enters: Ints
    travel_mm: float


def cut_order(rings: Sequence[Points], rest_mm: tuple[float, float] = (0.0, 0.0)) -> CutOrder:
    """Put outlines in the order in which they are cut.

    :param rings: each (k, 2), not closed; they don't cross
    :param rest_mm: where the blade comes from
    """
    count = len(rings)
    if not count:
        return CutOrder(np.zeros(0, dtype=np.int64), np.zeros(0, dtype=np.int64), 0.0)
    earlier, later = must_precede(rings)
    most = max(_FEWEST, min(_ENTRIES, _ALL_ENTRIES // count))
    entries = [
        np.linspace(0, len(ring), min(len(ring), most), endpoint=False).astype(int)
        for ring in rings
    ]
    order, entered = _to_the_nearest(rings, entries, earlier, later, np.asarray(rest_mm))
    followers = _lists(earlier, later, count)
    leaders = _lists(later, earlier, count)
    for _ in range(_ROUNDS):
        points = np.array([rings[k][entered[k]] for k in range(count)])
        before = order
        order = shortened(order, points, followers, leaders, np.asarray(rest_mm))
        entered = _moved_entries(rings, order, entered, np.asarray(rest_mm))
        if np.array_equal(order, before):
            break
    return CutOrder(order, entered, travel_mm(rings, order, entered, rest_mm))


def travel_mm(
    rings: Sequence[Points], order: Ints, enters: Ints, rest_mm: tuple[float, float] = (0.0, 0.0)
) -> float:
    """Give the way of the lifted blade: from its rest to the first outline, and on to each next."""
    stops = np.array([rest_mm, *(rings[k][enters[k]] for k in order)])
    return float(np.hypot(*np.diff(stops, axis=0).T).sum())


def must_precede(rings: Sequence[Points]) -> tuple[Ints, Ints]:
    """Give pairs of outlines of which the first is cut before the second: inner ones, smaller ones beside.

    The first of a pair always holds the smaller area, so that no pairs contradict each other.
    """
    shapes = np.array([shapely.Polygon(ring) for ring in rings], dtype=object)
    area: NDArray[np.float64] = shapely.area(shapes)
    tree = shapely.STRtree(shapes)
    inner, outer = tree.query(shapely.point_on_surface(shapes), predicate="intersects")
    within = area[inner] < area[outer]
    edges: NDArray[np.object_] = shapely.get_exterior_ring(shapes)
    one, other = shapely.STRtree(edges).query(edges, predicate="dwithin", distance=BESIDE_MM)
    beside = area[one] <= SMALLER * area[other]
    return (
        np.concatenate([inner[within], one[beside]]).astype(np.int64),
        np.concatenate([outer[within], other[beside]]).astype(np.int64),
    )


def _lists(of: Ints, to: Ints, count: int) -> list[list[int]]:
    by = np.argsort(of, kind="stable")
    ends = np.searchsorted(of[by], np.arange(count + 1))
    return [to[by[a:b]].tolist() for a, b in pairwise(ends)]


def _to_the_nearest(
    rings: Sequence[Points], entries: Sequence[Ints], earlier: Ints, later: Ints, at: Points
) -> tuple[Ints, Ints]:
    """Go from outline to the nearest that may be cut by then."""
    count = len(rings)
    points = np.concatenate([ring[own] for ring, own in zip(rings, entries, strict=True)])
    owner = np.repeat(np.arange(count), [len(own) for own in entries])
    number = np.concatenate(entries)
    waits = np.bincount(later, minlength=count)
    followers = _lists(earlier, later, count)
    order, entered = np.empty(count, dtype=np.int64), np.empty(count, dtype=np.int64)
    left = np.ones(count, dtype=bool)
    for step in range(count):
        if step and step % 256 == 0:  # what is cut by now is no longer looked at
            stays = left[owner]
            points, owner, number = points[stays], owner[stays], number[stays]
        away = (points[:, 0] - at[0]) ** 2 + (points[:, 1] - at[1]) ** 2
        away[~(left & (waits == 0))[owner]] = np.inf
        nearest = int(away.argmin())
        ring = int(owner[nearest])
        order[step], entered[ring], left[ring] = ring, number[nearest], False
        np.subtract.at(waits, followers[ring], 1)
        at = points[nearest]
    return order, entered


def _moved_entries(rings: Sequence[Points], order: Ints, entered: Ints, rest: Points) -> Ints:
    """Let the blade enter each outline where the way from the one before to the next is shortest."""
    entered = entered.copy()
    for _ in range(2):
        before = rest
        for step, ring in enumerate(order):
            points = rings[ring]
            way = np.hypot(points[:, 0] - before[0], points[:, 1] - before[1])
            if step + 1 < len(order):
                following = order[step + 1]
                after = rings[following][entered[following]]
                way = way + np.hypot(points[:, 0] - after[0], points[:, 1] - after[1])
            best = int(way.argmin())
            if way[best] < way[entered[ring]] - _GAIN_MM:
                entered[ring] = best
            before = points[entered[ring]]
    return entered
