"""Rings that touch in a point, led on so that each walks along one side of the region only."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import shapely

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Ints = NDArray[np.int64]
    Rings = NDArray[np.object_]


def led_on(rings: Rings) -> Rings:
    """Give the same edges as rings that go on, at points where rings touch, with the next edge around.

    Where several rings pass through one point, the region lies there in several wedges. A ring as a
    polygon has it may come in along one wedge and go out along another, as if all between were
    region. Here each ring comes in and goes out along the same wedge: two rings may become one that
    touches itself, or one may become two.

    :param rings: closed, the region on their left; they touch at vertices of each
    :return: rings with the same edges; those that touch none unchanged, and first
    """
    points, ring = shapely.get_coordinates(rings, return_index=True)
    last = np.append(ring[1:] != ring[:-1], True) if len(ring) else np.zeros(0, dtype=bool)
    at = np.flatnonzero(~last)  # the last point of a ring is its first again
    place = _same_place(points[at])
    count = np.bincount(place, minlength=1)
    touching = count[place] > 1
    if not touching.any():
        return rings
    affected = np.unique(ring[at[touching]])
    chains = _chains(points, ring, at, touching, place, affected)
    unaffected = np.setdiff1d(np.arange(len(rings)), affected)
    made = [shapely.linearrings(walk) for walk in _walks(chains) if len(walk) > 3]
    return np.array([*rings[unaffected], *made], dtype=object)


def _same_place(points: Floats) -> Ints:
    """Give a number for each point, the same for the same place."""
    _, place = np.unique(points, axis=0, return_inverse=True)
    return np.asarray(place).ravel()


@dataclass(frozen=True, slots=True, eq=False)
class _Chain:
    """Part of a ring from one touch to the next.

    :param points: (n, 2) both ends included
    :param start: number of the place it begins at; :param end: and of that where it ends
    :param following: number of the next chain of its ring
    """

    points: Floats
    start: int
    end: int
    following: int

    @property
    def out_angle(self) -> float:
        """Direction in which it leaves its start."""
        return _angle(self.points[0], self.points[1])

    @property
    def in_angle(self) -> float:
        """Direction from its end back along it."""
        return _angle(self.points[-1], self.points[-2])


def _angle(a: Floats, b: Floats) -> float:
    return float(np.arctan2(b[1] - a[1], b[0] - a[0]))


def _chains(
    points: Floats,
    ring: Ints,
    at: Ints,
    touching: NDArray[np.bool_],
    place: Ints,
    affected: Ints,
) -> list[_Chain]:
    chains: list[_Chain] = []
    first = np.searchsorted(ring[at], affected, side="left")
    beyond = np.searchsorted(ring[at], affected, side="right")
    for low, high in zip(first.tolist(), beyond.tolist(), strict=True):
        own, places = points[at[low:high]], place[low:high]
        stops = np.flatnonzero(touching[low:high])
        ends = np.append(stops[1:], stops[0] + len(own))
        base = len(chains)
        for number, (one, other) in enumerate(zip(stops.tolist(), ends.tolist(), strict=True)):
            walk = own[np.arange(one, other + 1) % len(own)]
            following = base + (number + 1) % len(stops)
            end = int(places[other % len(own)])
            chains.append(_Chain(walk, int(places[one]), end, following))
    return chains


def _walks(chains: list[_Chain]) -> list[Floats]:
    """Put chains together: each goes on with the chain that leaves next to it, clockwise."""
    after = _successors(chains)
    walks: list[Floats] = []
    left = dict.fromkeys(range(len(chains)))
    while left:
        begin = number = next(iter(left))
        parts = []
        while True:
            del left[number]
            parts.append(chains[number].points[:-1])
            number = after[number]
            if number == begin:
                break
        walks.append(np.concatenate([*parts, parts[0][:1]]))
    return walks


def _successors(chains: list[_Chain]) -> dict[int, int]:
    """Give for each chain the one that follows; each follows exactly one."""
    rays: dict[int, list[tuple[float, bool, int]]] = defaultdict(list)
    for number, chain in enumerate(chains):
        rays[chain.start].append((chain.out_angle, True, number))
        rays[chain.end].append((chain.in_angle, False, number))
    after: dict[int, int] = {}
    for around in rays.values():
        around.sort()
        before = [around[-1], *around[:-1]]
        if all(leaves != came for (_, leaves, _), (_, came, _) in zip(around, before, strict=True)):
            for (_, leaves, number), (_, _, other) in zip(around, before, strict=True):
                if not leaves:
                    after[number] = other
        else:  # edges that lie on one another: no wedges to tell, so each ring goes on as it was
            after |= {
                number: chains[number].following for _, leaves, number in around if not leaves
            }
    return after
