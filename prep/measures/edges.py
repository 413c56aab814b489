"""The edge of a region as arrays: straight pieces with the asked side on their left."""

from __future__ import annotations

from dataclasses import dataclass, fields
from typing import TYPE_CHECKING

import numpy as np
import shapely

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Ints = NDArray[np.int64]

FAN_DEG = 30.0  # corners that turn away by more are cut into sectors of at most this
CORNER_ROOM_MM = 1e-4  # how much of the ring each sector of a corner is given
_STRAIGHT_MM = 2e-7  # vertices this close to the line through their neighbours say nothing


@dataclass(frozen=True, slots=True, eq=False)
class Edges:
    """Straight pieces of rings, each ring's pieces in order and next to each other.

    A corner that turns away from the asked side by more than 30° also stands here, cut into
    sectors: pieces of no length, each with the normal in its middle. With them the rules for two
    facing edges hold for corners as well. All vectors are unit vectors.

    :param start: (n, 2) first point, mm
    :param end: (n, 2) last point; the same as ``start`` for a corner
    :param along: (n, 2) direction
    :param inward: (n, 2) normal into the asked side
    :param length: (n,) mm
    :param arriving: (n, 2) direction of the real edge that arrives at ``start``
    :param leaving: (n, 2) direction of the real edge that leaves from ``end``
    :param sector: (n,) half the angle of a corner's sector, radians; 0 for an edge
    :param away_before: (n,) turn away from the asked side at ``start``, radians; 0 where the
        corner has sectors of its own
    :param away_after: (n,) the same at ``end``
    :param toward_before: (n,) turn toward the asked side at ``start``, radians
    :param toward_after: (n,) the same at ``end``
    :param before: (n,) index of the piece before
    :param after: (n,) index of the piece after
    :param first: (n,) number of the vertex at ``start``; a vertex is a place on a ring
    :param last: (n,) number of the vertex at ``end``
    :param edge: (n,) number of the edge before it was cut; that of a corner is the edge before it
    :param ring: (n,) number of the ring
    :param at: (n,) where ``start`` lies along its ring, mm
    :param ring_length: (rings,) mm, with 0.0001 mm for each sector of a corner
    """

    start: Floats
    end: Floats
    along: Floats
    inward: Floats
    length: Floats
    arriving: Floats
    leaving: Floats
    sector: Floats
    away_before: Floats
    away_after: Floats
    toward_before: Floats
    toward_after: Floats
    before: Ints
    after: Ints
    first: Ints
    last: Ints
    edge: Ints
    ring: Ints
    at: Floats
    ring_length: Floats

    def __len__(self) -> int:
        return len(self.length)

    def take(self, rows: Ints) -> Edges:
        """Give some of the pieces; ``before`` and ``after`` go on counting all."""
        columns = {f.name: getattr(self, f.name) for f in fields(self)}
        whole = columns.pop("ring_length")
        return Edges(**{name: column[rows] for name, column in columns.items()}, ring_length=whole)


def simplified_rings(rings: NDArray[np.object_]) -> NDArray[np.object_]:
    """Drop repeated vertices and those on the line through their neighbours (0.2 nm)."""
    return np.asarray(shapely.simplify(rings, _STRAIGHT_MM, preserve_topology=False), dtype=object)


def bounds_of(edges: Edges) -> Floats:
    """Give the bounds of each piece, (n, 4) as minx, miny, maxx, maxy."""
    ends = np.minimum(edges.start, edges.end), np.maximum(edges.start, edges.end)
    return np.concatenate(ends, axis=1)


def edges_of(
    rings: NDArray[np.object_],
    cut_mm: float | Floats,
    *,
    flip: bool = False,
    fan_deg: float = FAN_DEG,
    even: bool = False,
) -> Edges:
    """Give the pieces of rings.

    :param rings: linear rings with the region on their left, straight vertices dropped
    :param cut_mm: longer edges are cut into equal pieces, so that what is near stays local; for all
        of them, or for each
    :param flip: ask for the other side of the rings
    :param even: cut into an even number of pieces, so that the middle of an edge is an end
    :param fan_deg: corners that turn away by more get sectors, of at most this angle
    """
    points, ring = shapely.get_coordinates(rings, return_index=True)
    if not len(points):
        points, ring = np.zeros((1, 2)), np.zeros(1, dtype=np.int64)
    same = np.flatnonzero(ring[1:] == ring[:-1])
    start, end, ring = points.take(same, axis=0), points.take(same + 1, axis=0), ring[same]
    if flip:
        start, end, ring = end[::-1], start[::-1], ring[::-1]
    gap = end - start
    length = np.hypot(gap[:, 0], gap[:, 1])
    if not length.all():
        real = length > 0
        start, end, ring, length, gap = start[real], end[real], ring[real], length[real], gap[real]
    ring = ring.astype(np.int64)
    along = gap / length[:, None]
    before, after = _neighbours(ring)
    next_along = along.take(after, axis=0)
    turn = np.arctan2(_cross(along, next_along), np.einsum("ij,ij->i", along, next_along))

    pieces = np.maximum(np.ceil(length / cut_mm - 1e-9).astype(np.int64), 1)
    if even:
        pieces += pieces % 2 * (pieces > 1)
    fan = np.radians(fan_deg)
    fans = np.where(turn < -fan, np.ceil(-turn / fan - 1e-9).astype(np.int64), 0)
    count = pieces + fans
    owner = np.repeat(np.arange(len(length)), count)
    rank = np.arange(len(owner)) - np.repeat(np.cumsum(count) - count, count)
    is_edge = rank < pieces[owner]

    piece_end = np.minimum(rank + 1, pieces[owner])
    finished = piece_end == pieces[owner]
    new_start, new_end = start.take(owner, axis=0), end.take(owner, axis=0)
    inner = np.flatnonzero(is_edge & (rank > 0))
    of = owner[inner]
    new_start[inner] += gap[of] / pieces[of, None] * rank[inner, None]
    inner = np.flatnonzero(~finished)
    of = owner[inner]
    new_end[inner] = start[of] + gap[of] / pieces[of, None] * piece_end[inner, None]
    new_start[~is_edge] = new_end[~is_edge]
    new_length = np.where(is_edge, (length / pieces)[owner], 0.0)

    along_of = along.take(owner, axis=0)
    new_along = along_of.copy()
    corner = np.flatnonzero(~is_edge)
    of = owner[corner]
    angle = turn[of] * ((rank[corner] - pieces[of] + 0.5) / np.maximum(fans[of], 1))
    cos, sin = np.cos(angle), np.sin(angle)
    ux, uy = along[of].T
    new_along[corner] = np.stack([ux * cos - uy * sin, ux * sin + uy * cos], axis=1)
    inward = np.stack([-new_along[:, 1], new_along[:, 0]], axis=1)

    at_first = is_edge & (rank == 0)
    at_last = is_edge & finished
    arriving = along.take(before.take(owner), axis=0)
    inner = np.flatnonzero(~at_first)
    arriving[inner] = along_of[inner]
    leaving = next_along.take(owner, axis=0)
    inner = np.flatnonzero(is_edge & ~finished)
    leaving[inner] = along_of[inner]

    new_ring = ring[owner]
    new_before, new_after = _neighbours(new_ring)
    away = np.where(fans > 0, 0.0, np.clip(-turn, 0.0, None))
    sector = np.where(is_edge, 0.0, (-turn / (2 * np.maximum(fans, 1)))[owner])
    away_before = np.where(at_first, away[before[owner]], 0.0)
    away_after = np.where(at_last, away[owner], 0.0)
    toward = np.clip(turn, 0.0, None)
    toward_before = np.where(at_first, toward[before[owner]], 0.0)
    toward_after = np.where(at_last, toward[owner], 0.0)

    last = np.cumsum(is_edge) - 1
    first = last[new_before]
    room = np.where(is_edge, new_length, CORNER_ROOM_MM)
    run = np.cumsum(room) - room
    rings_at = np.flatnonzero(np.r_[True, new_ring[1:] != new_ring[:-1]]) if len(run) else run
    rings_at = rings_at.astype(np.int64)
    sizes = np.diff(np.r_[rings_at, len(run)]).astype(np.int64)
    at = run - np.repeat(run[rings_at], sizes)
    ring_length = np.bincount(new_ring, room, len(rings)).astype(np.float64)
    return Edges(
        start=new_start,
        end=new_end,
        along=new_along,
        inward=inward,
        length=new_length,
        arriving=arriving,
        leaving=leaving,
        sector=sector,
        away_before=away_before,
        away_after=away_after,
        toward_before=toward_before,
        toward_after=toward_after,
        before=new_before,
        after=new_after,
        first=first,
        last=last,
        edge=owner,
        ring=new_ring,
        at=at,
        ring_length=ring_length,
    )


def _neighbours(ring: Ints) -> tuple[Ints, Ints]:
    """Give the index before and after each piece, going round within its ring."""
    count = len(ring)
    index = np.arange(count)
    if not count:
        return index, index
    starts = np.flatnonzero(np.r_[True, ring[1:] != ring[:-1]])
    ends = np.r_[starts[1:], count] - 1
    before, after = index - 1, index + 1
    before[starts] = ends
    after[ends] = starts
    return before, after


def _cross(a: Floats, b: Floats) -> Floats:
    return np.asarray(a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0])
