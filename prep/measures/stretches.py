"""Facing pairs laid along their rings: which stretches meet, and how wide it is along them."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np
from scipy.sparse import coo_matrix
from scipy.sparse.csgraph import connected_components

from prep.measures.runs import each_of

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from prep.measures.edges import Edges
    from prep.measures.facing import Facing

    Floats = NDArray[np.float64]
    Ints = NDArray[np.int64]
    Bools = NDArray[np.bool_]

JOIN_MM = 1e-6  # stretches this close along a ring are one
_SIGHT_MM = 1e-7
_ASLANT = 1.1  # so much wider may be what touches a piece only at its end
_MARK_MM = 1e-11  # positions this close are one
_CROWD = 32  # where more than so many stretches lie over one another
_AT_ONCE = 300_000  # stretches and gaps looked at together; bounds memory
_ONE_MARK_MM = 1e-9
_ROOM_MM = 1.0  # kept free between rings


@dataclass(frozen=True, slots=True, eq=False)
class Arcs:
    """Parts of rings, each without a gap.

    :param of: (rows,) the arc each stretch lies on, numbered from 0
    :param lo: (arcs,) where each begins
    :param hi: (arcs,) where each ends
    :param over_start: (m, 2) arcs that meet across the start of their ring
    """

    of: Ints
    lo: Floats
    hi: Floats
    over_start: Ints

    def __len__(self) -> int:
        return len(self.lo)


@dataclass(frozen=True, slots=True, eq=False)
class Stretches:
    """Where discs between two pieces touch a ring. Each pair gives two, one on each piece.

    Positions in mm run along all rings, one ring behind the other.

    :param pair: (n,) number of the pair
    :param lo: (n,) where it begins
    :param hi: (n,)
    :param w_lo: (n,) diameter of the disc at ``lo``
    :param w_hi: (n,)
    :param bend: (n,) see ``Facing``
    :param ring: (n,) number of the ring
    :param ring_start: (rings,) where each ring begins
    :param ring_end: (rings,)
    """

    pair: Ints
    lo: Floats
    hi: Floats
    w_lo: Floats
    w_hi: Floats
    bend: Floats
    ring: Ints
    ring_start: Floats
    ring_end: Floats

    def __len__(self) -> int:
        return len(self.pair)

    def take(self, rows: NDArray[np.int64] | NDArray[np.bool_]) -> Stretches:
        """Give some of the stretches, by mask or index."""
        return Stretches(
            self.pair[rows],
            self.lo[rows],
            self.hi[rows],
            self.w_lo[rows],
            self.w_hi[rows],
            self.bend[rows],
            self.ring[rows],
            self.ring_start,
            self.ring_end,
        )

    def between(self, lo: Floats, hi: Floats) -> Stretches:
        """Give the stretches with other ends; widths at the ends stay as they were."""
        return replace(self, lo=lo, hi=hi)

    def below(self, width: Floats) -> tuple[Floats, Floats]:
        """Give the part of each stretch that is narrower than a width, straight between its ends.

        :return: (n,) where it begins and (n,) where it ends; a stretch nowhere so narrow at its
            ends is given whole
        """
        with np.errstate(divide="ignore", invalid="ignore"):
            cross = self.lo + (self.hi - self.lo) * (width - self.w_lo) / (self.w_hi - self.w_lo)
        rises = (self.w_lo <= width) & (self.w_hi > width)
        falls = (self.w_hi <= width) & (self.w_lo > width)
        return np.where(falls, cross, self.lo), np.where(rises, cross, self.hi)

    def arcs(self, join: float = JOIN_MM) -> Arcs:
        """Join stretches that overlap or meet along their ring."""
        count = len(self)
        if not count:
            none = np.zeros(0, dtype=np.int64)
            return Arcs(none, np.zeros(0), np.zeros(0), np.zeros((0, 2), dtype=np.int64))
        order = np.argsort(self.lo, kind="stable")
        reach = np.maximum.accumulate(self.hi[order])
        new = np.r_[True, self.lo[order][1:] > reach[:-1] + join]
        of = np.empty(count, dtype=np.int64)
        of[order] = np.cumsum(new) - 1
        first = np.flatnonzero(new)
        last = np.r_[first[1:], count] - 1
        at_start = self.lo <= self.ring_start[self.ring] + join
        at_end = self.hi >= self.ring_end[self.ring] - join
        start_arc = np.full(len(self.ring_start), -1)
        end_arc = np.full(len(self.ring_start), -1)
        start_arc[self.ring[at_start]] = of[at_start]
        end_arc[self.ring[at_end]] = of[at_end]
        both = (start_arc >= 0) & (end_arc >= 0) & (start_arc != end_arc)
        over = np.stack([end_arc[both], start_arc[both]], axis=1)
        return Arcs(of, self.lo[order][first], reach[last], over)

    def width_at(self, row: Ints, position: Floats) -> Floats:
        """Give the diameter of the disc that touches a stretch at a position on it."""
        lo, hi = self.lo[row], self.hi[row]
        span = hi - lo
        share = np.where(span > 0, (position - lo) / np.where(span > 0, span, 1.0), 0.0)
        width = self.w_lo[row] + share * (self.w_hi[row] - self.w_lo[row])
        return np.asarray(width - self.bend[row] * (position - lo) * (hi - position))

    def marks(self) -> tuple[Floats, Ints, Ints]:
        """Give the positions, in order, where some stretch begins, ends or is least.

        :return: positions; for each stretch the index of its first and of its last
        """
        span = self.hi - self.lo
        curved = np.flatnonzero((self.bend > 0) & (span > 0))
        least = (self.lo + self.hi)[curved] / 2 + (self.w_lo - self.w_hi)[curved] / (
            2 * self.bend[curved] * span[curved]
        )
        within = (least > self.lo[curved]) & (least < self.hi[curved])
        position = np.unique(np.concatenate([self.lo, self.hi, least[within]]))
        return position, np.searchsorted(position, self.lo), np.searchsorted(position, self.hi)

    def profile(self) -> tuple[Floats, Floats]:
        """Give the least width along the rings: positions in order, widths there."""
        position, first, last = self.marks()
        row, spot = each_of(first, last + 1)
        width = np.full(len(position), np.inf)
        np.minimum.at(width, spot, self.width_at(row, position[spot]))
        # marks that differ in their last digits only are one
        first = np.flatnonzero(np.diff(position, prepend=-np.inf) >= _ONE_MARK_MM)
        least = np.minimum.reduceat(width, first) if len(first) else width
        return position[first], least

    def in_sight(self) -> Bools:
        """Say which stretches hold, somewhere, the narrowest disc that touches their ring there.

        What is hidden behind a nearer edge has no disc. Between two marks the widths are straight
        lines: one is lowest somewhere if it is at either mark, or where the lines that are lowest
        at the two marks cross. A disc that touches the ring only at the end of a piece may stand
        aslant there, and is given a tenth more.
        """
        position, first, last = self.marks()
        if not len(position):
            return np.zeros(0, dtype=bool)
        over = _over(first, last, len(position))
        # round a regular polygon many marks differ in their last digits only
        same = (np.diff(position) < _MARK_MM) & (over[:-1] > _CROWD)
        if same.any():
            kept = np.r_[True, ~same]
            number = np.cumsum(kept) - 1
            position, first, last = position[kept], number[first], number[last]
            over = _over(first, last, len(position))
        low_left, low_right = np.full(len(position), np.inf), np.full(len(position), np.inf)
        sight = np.zeros(len(self), dtype=bool)
        work = np.cumsum(over)
        cuts = np.searchsorted(work, np.arange(_AT_ONCE, work[-1], _AT_ONCE))
        for start, stop in zip(np.r_[0, cuts], np.r_[cuts, len(position)], strict=True):
            part = np.flatnonzero((first < stop) & (last > start))
            row, gap = each_of(np.maximum(first[part], start), np.minimum(last[part], stop))
            self._look(part[row], gap, position, low_left, low_right, sight)
        point = np.flatnonzero(last == first)
        least = np.minimum(low_left, np.r_[np.inf, low_right[:-1]])
        np.minimum.at(least, first[point], self.w_lo[point])
        more = np.where(self.lo[point] < self.hi[point], 1.0, _ASLANT)
        sight[point] = self.w_lo[point] <= more * least[first[point]] + _SIGHT_MM
        return sight

    def _look(
        self,
        row: Ints,
        gap: Ints,
        position: Floats,
        low_left: Floats,
        low_right: Floats,
        sight: Bools,
    ) -> None:
        """Set what is lowest at both ends of gaps, and which stretches are seen in them.

        :param row: all stretches over the gaps; :param gap: from one position to the next
        """
        left, right = position[gap], position[gap + 1]
        at_left, at_right = self.width_at(row, left), self.width_at(row, right)
        np.minimum.at(low_left, gap, at_left)
        np.minimum.at(low_right, gap, at_right)
        rising, falling = np.full(len(position), -1), np.full(len(position), -1)
        is_left, is_right = at_left <= low_left[gap], at_right <= low_right[gap]
        index = np.arange(len(row))
        rising[gap[is_left]] = index[is_left]
        falling[gap[is_right]] = index[is_right]
        a, b = rising[gap], falling[gap]
        ahead, behind = at_left[b] - at_left[a], at_right[a] - at_right[b]
        both = ahead + behind
        share = np.where(both > 0, ahead / np.where(both > 0, both, 1.0), 0.0)
        cross = at_left[a] + share * (at_right[a] - at_left[a])
        seen = (
            _reaches(at_left, low_left[gap])
            | _reaches(at_right, low_right[gap])
            | _reaches(at_left + share * (at_right - at_left), cross)
        )
        sight[row[seen]] = True


def _over(first: Ints, last: Ints, count: int) -> Ints:
    """Give how many stretches lie over the gap behind each of ``count`` positions."""
    begun, ended = np.bincount(first, minlength=count), np.bincount(last, minlength=count)
    return np.asarray(np.cumsum(begun - ended))


def _reaches(width: Floats, least: Floats) -> Bools:
    return np.asarray(width <= least * (1 + 1e-9) + _SIGHT_MM)


def lay_along_rings(edges: Edges, pairs: Facing, *, bridged: bool) -> Stretches:
    """Give the stretches of all pairs: first those on ``i``, then those on ``j``.

    :param bridged: let each reach over vertices to what the same disc touches next
    """
    length = edges.ring_length + _ROOM_MM
    ring_start = np.cumsum(length) - length
    pieces = np.concatenate([pairs.i, pairs.j])
    partners = np.concatenate([pairs.j, pairs.i])
    lo, hi = pairs.lo.T.ravel(), pairs.hi.T.ravel()
    w_lo, w_hi = pairs.w_lo.T.ravel(), pairs.w_hi.T.ravel()
    if bridged:
        # a contact rolls round a vertex that turns away; the stretch reaches what it meets there
        wide = np.where(edges.length[pieces] > 0, np.maximum(w_lo, w_hi), 0.0)
        low = lo - 0.7 * edges.away_after[partners] * wide
        high = hi + 0.7 * edges.away_before[partners] * wide
        # on its own piece it ends where the piece does
        real = edges.length[pieces] > 0
        lo = np.where(real, np.maximum(low, 0.0), low)
        hi = np.where(real, np.minimum(high, edges.length[pieces]), high)
    ring = edges.ring[pieces]
    base = ring_start[ring] + edges.at[pieces]
    index = np.arange(len(pairs))
    return Stretches(
        np.concatenate([index, index]),
        base + lo,
        base + hi,
        w_lo,
        w_hi,
        np.concatenate([pairs.bend, pairs.bend]),
        ring,
        ring_start,
        ring_start + edges.ring_length,
    )


def components(count: int, links: Ints) -> Ints:
    """Give the number of the connected component of each of ``count`` nodes; links are (m, 2)."""
    graph = coo_matrix((np.ones(len(links)), (links[:, 0], links[:, 1])), shape=(count, count))
    return np.asarray(connected_components(graph, directed=False)[1], dtype=np.int64)


def first_of_each(group: Ints, *keys: Floats) -> Ints:
    """Give, for each group in rising order, the index of the row with the least keys."""
    order = np.lexsort((*reversed(keys), group))
    new = np.ones(len(order), dtype=bool)
    new[1:] = group[order][1:] != group[order][:-1]
    return np.asarray(order[new])


def in_order(at: Floats) -> tuple[Floats, Floats]:
    """Give keys that put points, (n, 2), in an order which the last digits don't change."""
    x, y = np.round(at, 6).T
    return x, y
