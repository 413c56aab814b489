"""Which edges face each other across the asked side, and how wide it is between them."""

from __future__ import annotations

from dataclasses import dataclass, fields
from typing import TYPE_CHECKING, Any

import numpy as np
import shapely

from prep.measures.edges import FAN_DEG

if TYPE_CHECKING:
    from collections.abc import Iterator

    from numpy.typing import NDArray

    from prep.measures.edges import Edges

    Floats = NDArray[np.float64]
    Ints = NDArray[np.int64]
    Bools = NDArray[np.bool_]

_CHUNK = 50_000  # edges searched at once; bounds memory
_SAME_PLACE_MM = 1e-7  # chords this short have no direction
_SQUARE = 1e-6  # how far a chord may be from square to an edge, radians
_SECTOR_DEG = 30.0 + FAN_DEG / 2


@dataclass(frozen=True, slots=True, eq=False)
class Facing:
    """Pairs of pieces that face each other, closest first within neither.

    Between two pieces lies a stretch of the medial axis. Its discs touch the pieces along
    ``lo .. hi`` (mm from each piece's start; column 0 for ``i``, 1 for ``j``), and their diameters
    at those ends are ``w_lo`` and ``w_hi``.

    :param i: (n,) index of one piece
    :param j: (n,) index of the other, ``i < j``
    :param chord: (n,) least distance of the two
    :param foot: (n, 2, 2) where the least distance is reached, on ``i`` and on ``j``
    :param opposed: (n,) the chord is a least distance seen from both ends, so a disc with the
        chord for diameter touches both edges
    :param width: (n,) least width between the two alone, whatever else is near
    :param lo: (n, 2)
    :param hi: (n, 2)
    :param w_lo: (n, 2)
    :param w_hi: (n, 2)
    :param bend: (n,) how the diameter bends in between, 1/mm: it is the straight line from
        ``w_lo`` to ``w_hi`` less ``bend`` times the product of the distances from both ends; 0
        between two edges, 1/h between an edge and a corner of height h
    """

    i: Ints
    j: Ints
    chord: Floats
    foot: Floats
    opposed: Bools
    width: Floats
    lo: Floats
    hi: Floats
    w_lo: Floats
    w_hi: Floats
    bend: Floats

    def __len__(self) -> int:
        return len(self.i)

    def take(self, which: NDArray[Any]) -> Facing:
        """Give some of the pairs, by mask or index."""
        return Facing(*(getattr(self, f.name)[which] for f in fields(self)))


def search_boxes(edges: Edges, limit: float) -> Floats:
    """Give a box for each piece, (n, 4) as minx, miny, maxx, maxy.

    Two pieces touched by one disc narrower than ``limit`` with a separation angle of 120° or more
    have overlapping boxes: the middle of the chord between the contacts lies at most 30° off the
    contact's direction, which lies at most half a fan step off the normal of one of the pieces.
    """
    half = np.radians(_SECTOR_DEG)
    cos, sin = np.cos(half), np.sin(half)
    n = edges.inward
    turned = np.stack(
        [n[:, ::-1] * (-sin, sin) + n * cos, n[:, ::-1] * (sin, -sin) + n * cos]
    )  # the normal turned by half the sector to either side
    high = np.maximum(np.where(n >= cos, 1.0, turned.max(axis=0)), 0.0)
    low = np.minimum(np.where(n <= -cos, -1.0, turned.min(axis=0)), 0.0)
    reach = limit / 2 * (1 + 1e-9)
    lower = np.minimum(edges.start, edges.end) + reach * low
    upper = np.maximum(edges.start, edges.end) + reach * high
    return np.concatenate([lower, upper], axis=1)


def box_lines(boxes: Floats) -> NDArray[np.object_]:
    """Give each box as its diagonal, the cheapest geometry with that envelope."""
    return np.asarray(shapely.linestrings(boxes.reshape(-1, 2, 2)), dtype=object)


def facing_pairs(edges: Edges, tree: shapely.STRtree, limit: float, angle_deg: float) -> Facing:
    """Find all pairs of pieces with a stretch narrower than ``limit`` between them.

    :param tree: of ``box_lines(search_boxes(edges, limit))``
    :param angle_deg: least separation angle
    """
    found = [
        _measured(edges, i, j, limit, angle_deg)
        for i, j in _candidates(edges, tree, angle_deg)
        if len(i)
    ]
    if not found:
        none = np.zeros(0, dtype=np.int64)
        return _measured(edges, none, none, limit, angle_deg)
    return Facing(
        *(np.concatenate([getattr(part, f.name) for part in found]) for f in fields(Facing))
    )


def _candidates(
    edges: Edges, tree: shapely.STRtree, angle_deg: float
) -> Iterator[tuple[Ints, Ints]]:
    """Give pairs i < j with overlapping boxes, normals far enough apart and no common corner."""
    lines = tree.geometries
    spread = np.cos(np.radians(angle_deg)) + 1e-9
    corner_spread = np.cos(np.radians(angle_deg - FAN_DEG)) + 1e-9
    nx, ny = np.ascontiguousarray(edges.inward.T)
    corner = edges.length == 0
    for low in range(0, len(lines), _CHUNK):
        i, j = tree.query(lines[low : low + _CHUNK])
        i = i + low
        keep = i < j
        i, j = i[keep], j[keep]
        dot = nx[i] * nx[j] + ny[i] * ny[j]
        keep = dot <= np.where(corner[i] | corner[j], corner_spread, spread)
        i, j = i[keep], j[keep]
        joined = (
            (edges.last[i] == edges.first[j])
            | (edges.last[j] == edges.first[i])
            | (edges.first[i] == edges.first[j])
            | (edges.last[i] == edges.last[j])
        )
        yield i[~joined], j[~joined]


def _measured(edges: Edges, i: Ints, j: Ints, limit: float, angle_deg: float) -> Facing:
    """Measure candidate pairs and keep those that face each other within the limit."""
    lo, hi, w_lo, w_hi, bend, real, likely = _stretches(edges, i, j, limit, angle_deg)
    i, j, real, bend = i[likely], j[likely], real[likely], bend[likely]
    lo, hi, w_lo, w_hi = lo[likely], hi[likely], w_lo[likely], w_hi[likely]
    foot, chord = _closest(edges, i, j)
    opposed, square = _opposed(edges, i, j, foot, chord)
    only_chord = np.flatnonzero(opposed & ~real)
    for side, piece in ((0, i[only_chord]), (1, j[only_chord])):
        at = _dot(foot[only_chord, side] - edges.start[piece], edges.along[piece])
        lo[only_chord, side] = hi[only_chord, side] = at
    w_lo[only_chord] = w_hi[only_chord] = chord[only_chord, None]
    width = np.where(opposed, chord, np.minimum(w_lo[:, 0], w_hi[:, 0]))
    keep = square & (opposed | real) & (width <= limit)
    pairs = Facing(i, j, chord, foot, opposed, width, lo, hi, w_lo, w_hi, bend)
    return pairs.take(keep)


def _closest(edges: Edges, i: Ints, j: Ints) -> tuple[Floats, Floats]:
    """Give the feet (n, 2, 2) and length of the shortest chord between pieces that don't cross."""
    ai, bi, aj, bj = edges.start[i], edges.end[i], edges.start[j], edges.end[j]
    ui, uj, li, lj = edges.along[i], edges.along[j], edges.length[i], edges.length[j]
    on_j = [_nearest_on(aj, uj, lj, ai), _nearest_on(aj, uj, lj, bi)]
    on_i = [_nearest_on(ai, ui, li, aj), _nearest_on(ai, ui, li, bj)]
    ends_i = np.stack([ai, bi, *on_i])
    ends_j = np.stack([*on_j, aj, bj])
    gap = ends_j - ends_i
    squared = np.einsum("kni,kni->kn", gap, gap)
    best = squared.argmin(axis=0)
    pick = np.arange(len(i))
    foot = np.stack([ends_i[best, pick], ends_j[best, pick]], axis=1)
    return foot, np.sqrt(squared[best, pick])


def _nearest_on(a: Floats, u: Floats, length: Floats, point: Floats) -> Floats:
    return np.asarray(a + u * np.clip(_dot(point - a, u), 0.0, length)[:, None])


def _opposed(edges: Edges, i: Ints, j: Ints, foot: Floats, chord: Floats) -> tuple[Bools, Bools]:
    """Say which chords are least distances from both ends, and which lie between the edges.

    At a foot inside an edge the chord is square to the edge. At a vertex it must not get shorter
    along the edge that arrives there nor along the one that leaves.
    """
    kiss = chord < _SAME_PLACE_MM
    c = (foot[:, 1] - foot[:, 0]) / np.where(kiss, 1.0, chord)[:, None]
    square = kiss | (
        (_dot(c, edges.inward[i]) >= 0.5 - 1e-9) & (_dot(c, edges.inward[j]) <= 1e-9 - 0.5)
    )
    opposed = np.ones(len(i), dtype=bool)
    for piece, end, way in ((i, 0, 1.0), (j, 1, -1.0)):
        at = _dot(foot[:, end] - edges.start[piece], edges.along[piece])
        at_start = at <= 1e-9
        at_end = at >= edges.length[piece] - 1e-9
        into = np.where(at_start[:, None], edges.arriving[piece], edges.along[piece])
        out = np.where(at_end[:, None], edges.leaving[piece], edges.along[piece])
        opposed &= (_dot(c, into) * way >= -_SQUARE) & (_dot(c, out) * way <= _SQUARE)
    return kiss | (opposed & square), square


def _stretches(
    edges: Edges, i: Ints, j: Ints, limit: float, angle_deg: float
) -> tuple[Floats, Floats, Floats, Floats, Floats, Bools, Bools]:
    """Give where discs narrower than the limit touch both pieces, and their diameters there.

    :return: (n, 2) ``lo``, ``hi``, ``w_lo``, ``w_hi``; (n,) ``bend``; which pairs have such discs; which may have
        a disc that touches them at a vertex
    """
    count = len(i)
    lo, hi = np.zeros((count, 2)), np.zeros((count, 2))
    w_lo, w_hi = np.full((count, 2), np.inf), np.full((count, 2), np.inf)
    bend = np.zeros(count)
    real = np.zeros(count, dtype=bool)
    corner_i, corner_j = edges.length[i] == 0, edges.length[j] == 0
    likely = corner_i | corner_j
    for which, side in (
        (~corner_i & ~corner_j, None),
        (~corner_i & corner_j, 0),
        (corner_i & ~corner_j, 1),
    ):
        rows = np.flatnonzero(which)
        if not len(rows):
            continue
        if side is None:
            *parts, real[rows], likely[rows] = _between_edges(edges, i[rows], j[rows], limit)
        elif side == 0:
            *parts, bend[rows], real[rows] = _edge_to_corner(
                edges, i[rows], j[rows], limit, angle_deg
            )
        else:
            *parts, bend[rows], real[rows] = _edge_to_corner(
                edges, j[rows], i[rows], limit, angle_deg
            )
        columns = [0, 1] if side != 1 else [1, 0]
        for target, part in zip((lo, hi, w_lo, w_hi), parts, strict=True):
            target[np.ix_(rows, columns)] = part
    return lo, hi, w_lo, w_hi, bend, real, likely


def _between_edges(
    edges: Edges, i: Ints, j: Ints, limit: float
) -> tuple[Floats, Floats, Floats, Floats, Bools, Bools]:
    """Stretch between two edges.

    The disc that touches ``i`` at ``t`` and the line of ``j`` has the diameter
    2 (p(t) - a_j)·n_j / (1 - n_i·n_j), and touches ``j`` at ``gamma - t``: both contacts are
    equally far from where the lines meet.
    """
    ai, ui, ni = edges.start[i], edges.along[i], edges.inward[i]
    aj, uj, nj = edges.start[j], edges.along[j], edges.inward[j]
    spread = 1 - _dot(ni, nj)
    alpha = 2 * _dot(ai - aj, nj) / spread
    beta = 2 * _dot(ui, nj) / spread
    gamma = _dot(ai - aj + (alpha / 2)[:, None] * ni, uj)
    t0 = np.maximum(0.0, gamma - edges.length[j])
    t1 = np.minimum(edges.length[i], gamma)
    with np.errstate(divide="ignore", invalid="ignore"):
        at_limit, at_none = (limit - alpha) / beta, -alpha / beta
    rising, falling = beta > 1e-15, beta < -1e-15
    t1 = np.where(rising, np.minimum(t1, at_limit), t1)
    t0 = np.where(rising, np.maximum(t0, at_none), t0)
    t0 = np.where(falling, np.maximum(t0, at_limit), t0)
    t1 = np.where(falling, np.minimum(t1, at_none), t1)
    level = ~(rising | falling)
    real = (t0 <= t1 + 1e-12) & (~level | ((alpha >= 0) & (alpha <= limit)))
    bends = edges.away_before[i] + edges.away_after[i] + edges.away_before[j] + edges.away_after[j]
    likely = real | (t0 <= t1 + 0.7 * bends * np.clip(alpha + beta * t1, 0.0, limit) + 1e-9)
    t1 = np.maximum(t0, t1)
    w0, w1 = alpha + beta * t0, alpha + beta * t1
    lo = np.stack([t0, np.maximum(gamma - t1, 0.0)], axis=1)
    hi = np.stack([t1, np.minimum(gamma - t0, edges.length[j])], axis=1)
    return (
        lo,
        np.maximum(lo, hi),
        np.stack([w0, w1], axis=1),
        np.stack([w1, w0], axis=1),
        real,
        likely,
    )


def _edge_to_corner(
    edges: Edges, i: Ints, j: Ints, limit: float, angle_deg: float
) -> tuple[Floats, Floats, Floats, Floats, Floats, Bools]:
    """Stretch between the edge ``i`` and the corner ``j``: part of a parabola.

    A disc through a corner of height h that touches the edge x further along has the diameter
    (x² + h²)/h, and its two contacts are 180° - 2 atan(x/h) apart.
    """
    away = edges.start[j] - edges.start[i]
    at, height = _dot(away, edges.along[i]), _dot(away, edges.inward[i])
    n = edges.inward[j]
    facing = np.arctan2(_dot(n, edges.along[i]), -_dot(n, edges.inward[i]))
    share = np.radians(FAN_DEG) / 2 + 0.05
    h = np.maximum(height, 0.0)
    reach = np.minimum(
        h * np.tan(np.radians((180 - angle_deg) / 2)), np.sqrt(h * np.maximum(limit - h, 0.0))
    )
    widest = np.radians(85.0)
    x0 = np.maximum(-reach, h * np.tan(np.clip((facing - share) / 2, -widest, widest)))
    x1 = np.minimum(reach, h * np.tan(np.clip((facing + share) / 2, -widest, widest)))
    t0, t1 = np.maximum(at + x0, 0.0), np.minimum(at + x1, edges.length[i])
    real = (height > 0) & (height <= limit) & (t0 <= t1)
    t1 = np.maximum(t0, t1)
    safe = np.where(h > 0, h, 1.0)
    w0, w1 = (((t - at) ** 2 + h**2) / safe for t in (t0, t1))
    none = np.zeros(len(i))
    return (
        np.stack([t0, none], axis=1),
        np.stack([t1, none], axis=1),
        np.stack([w0, w0], axis=1),
        np.stack([w1, w1], axis=1),
        1 / safe,
        real,
    )


def narrows_on(pairs: Facing, edges: Edges) -> Bools:
    """Say which pairs have a neighbouring pair, one piece further along, that is narrower.

    Such a pair lies on a slope of the width: no least width is found between its pieces.
    """
    count = np.int64(max(len(edges), 1))
    keys = pairs.i * count + pairs.j
    order = np.argsort(keys)
    keys = keys[order]
    width = pairs.width[order]
    slope = np.zeros(len(pairs), dtype=bool)
    if not len(pairs):
        return slope
    for step in (edges.before, edges.after):
        for a, b in ((step[pairs.i], pairs.j), (pairs.i, step[pairs.j])):
            key = np.minimum(a, b) * count + np.maximum(a, b)
            spot = np.minimum(np.searchsorted(keys, key), len(keys) - 1)
            slope |= (keys[spot] == key) & (width[spot] < pairs.width - 1e-9)
    return slope & ~pairs.opposed


def _dot(a: Floats, b: Floats) -> Floats:
    return np.asarray(a[..., 0] * b[..., 0] + a[..., 1] * b[..., 1])
