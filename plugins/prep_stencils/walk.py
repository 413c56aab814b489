"""Shortens a walk through points of which some must come before others. Imports nothing of prep.

Two moves, repeated as long as they gain: a stretch of the walk is turned round (2-opt: Croes, Operations
Research 6 (1958), from memory), or one point is put elsewhere. A move that would put a point before one it
must follow isn't made. Moves are tried between near points alone.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

Points = NDArray[np.float64]
Ints = NDArray[np.int64]

_NEIGHBOURS = 8
_PASSES = 6
_GAIN_MM = 1e-6


def shortened(
    order: Ints,
    points: Points,
    followers: Sequence[Sequence[int]],
    leaders: Sequence[Sequence[int]],
    start: Points,
) -> Ints:
    """Give an order that is no longer than the one given, and that keeps to what must come before what.

    :param order: (n,) numbers of the points, in an order that is allowed
    :param points: (n, 2)
    :param followers: for each point those that must come after it
    :param leaders: for each point those that must come before it
    :param start: (2,) where the walk begins; it ends anywhere
    """
    count = len(order)
    if count < 2:
        return order
    away, near = cKDTree(points).query(points, k=min(_NEIGHBOURS + 1, count))
    beside = [
        [(other, far) for other, far in zip(others, fars, strict=True) if other != one]
        for one, (others, fars) in enumerate(zip(near.tolist(), away.tolist(), strict=True))
    ]
    walk = _Walk(order, np.vstack([points, start]), followers, leaders)
    for _ in range(_PASSES):
        gained = False
        for one, others in enumerate(beside):
            for other, far in others:
                if far >= walk.longest_beside(one):
                    break  # whatever leads to a farther point replaces no longer way
                gained |= walk.turn(one, other) or walk.move(one, other)
        if not gained:
            break
    return np.array(walk.sequence[1:], dtype=np.int64)


class _Walk:
    """A walk that is being shortened; the start stands at its head as the last number."""

    def __init__(
        self,
        order: Ints,
        points: Points,
        followers: Sequence[Sequence[int]],
        leaders: Sequence[Sequence[int]],
    ) -> None:
        self.sequence = [len(order), *order.tolist()]
        self.place = [0] * len(self.sequence)
        self._mark(0, len(self.sequence) - 1)
        self.at: list[tuple[float, float]] = [(x, y) for x, y in points.tolist()]
        self.followers, self.leaders = followers, leaders

    def longest_beside(self, one: int) -> float:
        """Give the longer of the ways to a point and on from it."""
        place = self.place[one]
        return max(self._way(place - 1, place), self._way(place, place + 1))

    def turn(self, one: int, other: int) -> bool:
        """Bring two points next to each other by turning round what lies between, if that gains."""
        i, j = sorted((self.place[one], self.place[other]))
        # the first of a stretch follows the point before it, the last leads to the one after it
        for first, last in ((i + 1, j), (i, j - 1)):
            if first >= last:
                continue
            gain = (
                self._way(first - 1, first)
                + self._way(last, last + 1)
                - self._way(first - 1, last)
                - self._way(first, last + 1)
            )
            if gain > _GAIN_MM and self._may_turn(first, last):
                self.sequence[first : last + 1] = self.sequence[first : last + 1][::-1]
                self._mark(first, last)
                return True
        return False

    def move(self, one: int, other: int) -> bool:
        """Put one point behind or before another, if that gains."""
        own, there = self.place[one], self.place[other]
        out = self._way(own - 1, own) + self._way(own, own + 1) - self._way(own - 1, own + 1)
        for behind in (there, there - 1):  # the place that it is put behind
            if behind < 0 or behind in (own, own - 1):
                continue
            gain = (
                out
                + self._way(behind, behind + 1)
                - self._way(behind, own)
                - self._way(own, behind + 1)
            )
            if gain > _GAIN_MM and self._may_move(one, own, behind):
                del self.sequence[own]
                self.sequence.insert(behind + (behind < own), one)
                self._mark(min(own, behind), max(own, behind))
                return True
        return False

    def _way(self, i: int, j: int) -> float:
        """Give the way between the points at two places; from the last one it leads nowhere."""
        if j >= len(self.sequence) or i >= len(self.sequence):
            return 0.0
        (x0, y0), (x1, y1) = self.at[self.sequence[i]], self.at[self.sequence[j]]
        return math.hypot(x1 - x0, y1 - y0)

    def _mark(self, first: int, last: int) -> None:
        for position in range(first, last + 1):
            self.place[self.sequence[position]] = position

    def _may_turn(self, first: int, last: int) -> bool:
        """Say whether none of a stretch must follow another of it."""
        return first > 0 and not any(
            self.place[after] <= last
            for position in range(first, last)
            for after in self.followers[self.sequence[position]]
        )

    def _may_move(self, one: int, own: int, behind: int) -> bool:
        if behind > own:
            return not any(self.place[after] <= behind for after in self.followers[one])
        return not any(self.place[before] > behind for before in self.leaders[one])
