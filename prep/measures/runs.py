"""Runs of neighbouring pieces of an edge: what is far from a run is far from each of its pieces."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import shapely

if TYPE_CHECKING:
    from collections.abc import Iterator

    from numpy.typing import NDArray

    from prep.measures.edges import Edges

    Floats = NDArray[np.float64]
    Ints = NDArray[np.int64]
    Bools = NDArray[np.bool_]

_PIECES = 8  # at most so many make a run
_AT_ONCE = 150_000  # pairs looked at together; so few stay in the processor's cache


@dataclass(frozen=True, slots=True, eq=False)
class Runs:
    """Neighbouring pieces of one ring, a few to a run, each piece with a box.

    :param first: (runs,) index of the first piece
    :param stop: (runs,) index behind the last
    :param minx: (pieces,) the boxes, mm; :param miny:; :param maxx:; :param maxy:
    :param boxes: (runs, 4) those of the runs
    :param tree: of ``boxes``
    """

    first: Ints
    stop: Ints
    minx: Floats
    miny: Floats
    maxx: Floats
    maxy: Floats
    boxes: Floats
    tree: shapely.STRtree

    def touched_by(self, boxes: Floats) -> tuple[Ints, Ints]:
        """Give the pieces whose boxes meet each of some boxes.

        :param boxes: (n, 4) minx, miny, maxx, maxy
        :return: numbers of boxes, rising, and pieces
        """
        box, run = self.tree.query(box_lines(boxes))
        row, piece = each_of(self.first[run], self.stop[run])
        box = box[row]
        return self._overlapping(box, piece, *boxes.T)

    def facing(self, edges: Edges, angle_deg: float, fan_deg: float) -> Iterator[tuple[Ints, Ints]]:
        """Give the pairs of pieces i < j whose boxes meet, a part at a time.

        Runs whose normals lie less than ``angle_deg`` apart are passed over whole.

        :param fan_deg: a corner stands for normals up to half this off its own
        """
        a, b = self.tree.query(self.tree.geometries)
        keep = a <= b
        a, b = a[keep], b[keep]
        axis, half = self._cones(edges, np.radians(fan_deg) / 2)
        apart = np.arccos(np.clip(_dot(axis[a], axis[b]), -1.0, 1.0)) + half[a] + half[b]
        keep = apart >= np.radians(angle_deg) - 1e-6
        a, b = a[keep], b[keep]
        work = np.cumsum((self.stop - self.first)[a] * (self.stop - self.first)[b])
        parts = np.searchsorted(work, np.arange(_AT_ONCE, work[-1] if len(work) else 0, _AT_ONCE))
        for low, high in zip(np.r_[0, parts], np.r_[parts, len(a)], strict=True):
            yield self._between(a[low:high], b[low:high])

    def _between(self, a: Ints, b: Ints) -> tuple[Ints, Ints]:
        # first the pieces of one run near the whole of the other, then each with each
        row, i = each_of(self.first[a], self.stop[a])
        row, i = self._overlapping(b[row], i, *self.boxes.T)
        rank, j = each_of(self.first[row], self.stop[row])
        i = i[rank]
        keep = i < j
        return self._overlapping(i[keep], j[keep], self.minx, self.miny, self.maxx, self.maxy)

    def _overlapping(
        self, box: Ints, piece: Ints, minx: Floats, miny: Floats, maxx: Floats, maxy: Floats
    ) -> tuple[Ints, Ints]:
        for low, high, other_low, other_high in (
            (minx, maxx, self.minx, self.maxx),
            (miny, maxy, self.miny, self.maxy),
        ):
            keep = (low[box] <= other_high[piece]) & (other_low[piece] <= high[box])
            box, piece = box[keep], piece[keep]
        return box, piece

    def _cones(self, edges: Edges, fan: float) -> tuple[Floats, Floats]:
        """Give the middle normal (runs, 2) of each run and how far its normals lie off it."""
        total = np.add.reduceat(edges.inward, self.first)
        size = np.hypot(*total.T)
        axis = total / np.maximum(size, 1e-12)[:, None]
        run = np.repeat(np.arange(len(self.first)), self.stop - self.first)
        off = np.arccos(np.clip(_dot(axis[run], edges.inward), -1.0, 1.0))
        off += np.where(edges.length == 0, fan, 0.0)
        half = np.maximum.reduceat(off, self.first)
        return axis, np.where(size > 1e-9, half, np.pi)


def runs_of(edges: Edges, boxes: Floats, longest_mm: float) -> Runs:
    """Cut rings into runs.

    :param boxes: (pieces, 4) minx, miny, maxx, maxy
    :param longest_mm: a run ends with the piece that passes a multiple of this along its ring
    """
    count = len(edges)
    starts = np.flatnonzero(np.r_[True, edges.ring[1:] != edges.ring[:-1]])
    rank = np.arange(count) - np.repeat(starts, np.diff(np.r_[starts, count]))
    leg = np.floor(edges.at / longest_mm)
    new = rank % _PIECES == 0
    new[1:] |= leg[1:] != leg[:-1]
    first = np.flatnonzero(new)
    minx, miny, maxx, maxy = np.ascontiguousarray(boxes.T)
    whole = np.stack(
        [
            np.minimum.reduceat(minx, first),
            np.minimum.reduceat(miny, first),
            np.maximum.reduceat(maxx, first),
            np.maximum.reduceat(maxy, first),
        ],
        axis=1,
    )
    tree = shapely.STRtree(box_lines(whole))
    return Runs(first, np.r_[first[1:], count], minx, miny, maxx, maxy, whole, tree)


def box_lines(boxes: Floats) -> NDArray[np.object_]:
    """Give each box as its diagonal, the cheapest geometry with that envelope."""
    return np.asarray(shapely.linestrings(boxes.reshape(-1, 2, 2)), dtype=object)


def each_of(first: Ints, stop: Ints) -> tuple[Ints, Ints]:
    """Give, for every row, each number from ``first`` up to ``stop``: rows and numbers."""
    count = stop - first
    row = np.repeat(np.arange(len(count)), count)
    number = np.arange(len(row)) - np.repeat(np.cumsum(count) - count - first, count)
    return row, number


def _dot(a: Floats, b: Floats) -> Floats:
    return np.asarray(a[..., 0] * b[..., 0] + a[..., 1] * b[..., 1])
