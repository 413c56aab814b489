"""Which edges face each other across the asked side, and how wide it is between them."""

from __future__ import annotations

from dataclasses import dataclass, fields
from typing import TYPE_CHECKING, Any

import numpy as np

from prep.measures.edges import CORNER_ROOM_MM, FAN_DEG
from prep.measures.runs import runs_of

if TYPE_CHECKING:
    from collections.abc import Iterator

    from numpy.typing import NDArray

    from prep.measures.edges import Edges
    from prep.measures.runs import Runs

    Floats = NDArray[np.float64]
    Ints = NDArray[np.int64]
    Bools = NDArray[np.bool_]

_SAME_PLACE_MM = 1e-7  # chords this short have no direction
LEVEL_MM = 1e-9  # edges whose distance changes by no more run side by side
_SQUARE = 1e-6  # how far a chord may be from square to an edge, radians
_ROLLS = 0.7  # of its diameter a disc moves at most, per radian it rolls round a vertex


@dataclass(frozen=True, slots=True, eq=False)
class Facing:
    """Pairs of pieces that face each other, closest first within neither.

    Between two pieces lies a stretch of the medial axis. Its discs touch the pieces along
    ``lo .. hi`` (mm from each piece's start; column 0 for ``i``, 1 for ``j``), and their diameters
    at those ends are ``w_lo`` and ``w_hi``. On a corner, ``CORNER_ROOM_MM`` stands for its sector.

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


def search_boxes(edges: Edges, limit: float, angle_deg: float) -> Floats:
    """Give a box for each piece, (n, 4) as minx, miny, maxx, maxy.

    Two pieces touched by one disc narrower than ``limit`` with a separation angle of ``angle_deg``
    or more have overlapping boxes: the middle of the chord between the contacts lies at most half
    of what is left to 180° off the contact's direction, and this lies off the piece's normal by no
    more than its corner turns, or than half a fan step, which is nearer to the normal of one of the
    pieces that meet there.
    """
    turn = np.maximum(np.maximum(edges.away_before, edges.away_after), edges.sector)
    half = np.radians((180 - angle_deg) / 2) + np.minimum(turn, np.radians(FAN_DEG) / 2)
    cos, sin = np.cos(half), np.sin(half)
    reach = limit / 2 * (1 + 1e-9)
    sides = []
    for axis in (0, 1):
        n, across = edges.inward[:, axis], edges.inward[:, 1 - axis]
        # the normal turned by half the sector to either side
        middle, off = n * cos, np.abs(across) * sin
        high = np.maximum(np.where(n >= cos, 1.0, middle + off), 0.0)
        low = np.minimum(np.where(n <= -cos, -1.0, middle - off), 0.0)
        start, end = edges.start[:, axis], edges.end[:, axis]
        sides.append((np.minimum(start, end) + reach * low, np.maximum(start, end) + reach * high))
    return np.stack([low for low, _ in sides] + [high for _, high in sides], axis=1)


def facing_pairs(edges: Edges, limit: float, angle_deg: float, among: Ints) -> Facing:
    """Find all pairs of pieces with a stretch narrower than ``limit`` between them.

    :param angle_deg: least separation angle
    :param among: the pieces looked at, rising
    """
    some = edges if len(among) == len(edges) else edges.take(among)
    runs = runs_of(some, search_boxes(some, limit, angle_deg), 2 * limit)
    found = [
        _measured(edges, among[i], among[j], limit, angle_deg)
        for i, j in _candidates(some, runs, limit, angle_deg)
        if len(i)
    ]
    if not found:
        none = np.zeros(0, dtype=np.int64)
        return _measured(edges, none, none, limit, angle_deg)
    return Facing(
        *(np.concatenate([getattr(part, f.name) for part in found]) for f in fields(Facing))
    )


def facing_pieces(edges: Edges, limit: float, angle_deg: float) -> Bools:
    """Say which pieces may have another one facing them nearer than a limit: all that do, and more.

    :return: (n,)
    """
    runs = runs_of(
        edges, search_boxes(edges, limit, angle_deg), 2 * edges.length.max(initial=limit)
    )
    some = np.zeros(len(edges), dtype=bool)
    for i, j in _candidates(edges, runs, limit, angle_deg):
        if len(i):
            rows, _ = _between(edges, i, j, limit, angle_deg)
            some[i[rows]] = some[j[rows]] = True
    return some


def _candidates(
    edges: Edges, runs: Runs, limit: float, angle_deg: float
) -> Iterator[tuple[Ints, Ints]]:
    """Give pairs i < j with overlapping boxes, normals far enough apart and no common corner.

    Of two edges also only those with contacts of one disc on both, or nearly so.
    """
    # a contact's direction lies up to half a sector off the normal of a corner
    spread = np.cos(np.radians(angle_deg - FAN_DEG / 2 * np.arange(3))) + 1e-9
    ux, uy = np.ascontiguousarray(edges.along.T)
    x, y = np.ascontiguousarray(edges.start.T)
    is_corner = edges.length == 0
    corner = is_corner.astype(np.int64)
    slack = _ROLLS * limit * (edges.away_before + edges.away_after) + _SAME_PLACE_MM
    slack[is_corner] = np.inf
    for i, j in runs.facing(edges, angle_deg, FAN_DEG):
        uxi, uyi, uxj, uyj = ux[i], uy[i], ux[j], uy[j]
        dot = uxi * uxj + uyi * uyj
        rows = np.flatnonzero(dot <= spread[corner[i] + corner[j]])
        i, j, dot = i[rows], j[rows], dot[rows]
        # see _between_edges: how far along both together the contacts lie
        gamma = (x[i] - x[j]) * (uxj - uxi)[rows] + (y[i] - y[j]) * (uyj - uyi)[rows]
        gamma /= 1 - dot
        beyond = slack[i] + slack[j]
        keep = (gamma >= -beyond) & (gamma <= edges.length[i] + edges.length[j] + beyond)
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
    rows, found = _between(edges, i, j, limit, angle_deg)
    i, j = i[rows], j[rows]
    foot, chord = _closest(edges, i, j)
    kiss = chord < _SAME_PLACE_MM
    opposed = kiss | (found.holds_chord & _opposed(edges, i, j, foot, chord) & (chord <= limit))
    level = np.flatnonzero(found.level)
    foot[level], chord[level] = _middle_chord(edges, i[level], found.take(level))
    opposed[level] = True
    lone = np.flatnonzero(opposed & ~found.real)
    for side, piece in ((0, i[lone]), (1, j[lone])):
        way = foot[lone, 1 - side] - foot[lone, side]
        at = np.where(
            edges.length[piece] > 0,
            _dot(foot[lone, side] - edges.start[piece], edges.along[piece]),
            _in_sector(_turn(edges.inward[piece], way), edges.sector[piece]),
        )
        found.lo[lone, side] = found.hi[lone, side] = at
    found.w_lo[lone] = found.w_hi[lone] = chord[lone, None]
    width = np.where(opposed, chord, np.minimum(found.w_lo[:, 0], found.w_hi[:, 0]))
    pairs = Facing(
        i, j, chord, foot, opposed, width, found.lo, found.hi, found.w_lo, found.w_hi, found.bend
    )
    return pairs.take(np.flatnonzero((opposed | found.real) & (width <= limit)))


def _middle_chord(edges: Edges, i: Ints, found: _Between) -> tuple[Floats, Floats]:
    """Give the chord halfway along two level edges: at a corner the shortest may lie on a wall."""
    at = (found.lo[:, 0] + found.hi[:, 0]) / 2
    chord = (found.w_lo[:, 0] + found.w_hi[:, 0]) / 2
    on_i = edges.start[i] + edges.along[i] * at[:, None]
    return np.stack([on_i, on_i + edges.inward[i] * chord[:, None]], axis=1), chord


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


def _opposed(edges: Edges, i: Ints, j: Ints, foot: Floats, chord: Floats) -> Bools:
    """Say which chords are least distances seen from both ends.

    At a foot inside an edge the chord is square to the edge. At a vertex it must not get shorter
    along the edge that arrives there nor along the one that leaves; where the vertex has sectors,
    the chord belongs to them unless it is square to the edge.
    """
    chords = (foot[:, 1] - foot[:, 0]) / np.maximum(chord, _SAME_PLACE_MM)[:, None]
    keep = (_dot(chords, edges.inward[i]) >= 0.5) & (_dot(chords, edges.inward[j]) <= -0.5)
    rows = np.flatnonzero(keep)
    for pieces, end, way in ((i, 0, 1.0), (j, 1, -1.0)):
        piece, c = pieces[rows], chords[rows]
        along, length = edges.along[piece], edges.length[piece]
        at = _dot(foot[rows, end] - edges.start[piece], along)
        at_start = at <= 1e-9
        at_end = at >= length - 1e-9
        beside = _dot(c, along)
        into, out = beside.copy(), beside.copy()
        for cosine, here, ways in ((into, at_start, edges.arriving), (out, at_end, edges.leaving)):
            some = np.flatnonzero(here)
            cosine[some] = _dot(c[some], ways[piece[some]])
        keep = (into * way >= -_SQUARE) & (out * way <= _SQUARE)
        sectors = (at_start & (edges.length[edges.before[piece]] == 0)) | (
            at_end & (edges.length[edges.after[piece]] == 0)
        )
        keep &= ~((length > 0) & sectors) | (np.abs(beside) <= _SQUARE)
        rows = rows[keep]
    opposed = np.zeros(len(i), dtype=bool)
    opposed[rows] = True
    return opposed


@dataclass(frozen=True, slots=True, eq=False)
class _Between:
    """Discs narrower than the limit between the two pieces of each pair; see :class:`Facing`.

    :param real: (n,) there are such discs
    :param holds_chord: (n,) the shortest chord, if opposed, belongs to this pair
    :param level: (n,) two edges run side by side
    :param rolls: (n,) there may be one all the same: where it rolls round a vertex without sectors,
        or where nothing at all lies between
    """

    lo: Floats
    hi: Floats
    w_lo: Floats
    w_hi: Floats
    bend: Floats
    real: Bools
    holds_chord: Bools
    level: Bools
    rolls: Bools

    def take(self, rows: Ints, *, swap: bool = False) -> _Between:
        """Give some of the pairs; ``swap`` turns first and second piece about."""
        columns = (getattr(self, f.name)[rows] for f in fields(self))
        return _Between(*(c[:, ::-1] if swap and c.ndim > 1 else c for c in columns))


def _between(
    edges: Edges, i: Ints, j: Ints, limit: float, angle_deg: float
) -> tuple[Ints, _Between]:
    """Find the pairs with discs between them: rows, rising, and what lies between those."""
    corner_i, corner_j = edges.length[i] == 0, edges.length[j] == 0
    lean = np.radians((180 - angle_deg) / 2)
    rows: list[Ints] = []
    parts: list[_Between] = []
    for which, swap, near, between in (
        (~corner_i & ~corner_j, False, None, _between_edges),
        (~corner_i & corner_j, False, _near_edge, _edge_to_corner),
        (corner_i & ~corner_j, True, _near_edge, _edge_to_corner),
        (corner_i & corner_j, False, None, _corner_to_corner),
    ):
        some = np.flatnonzero(which)
        if not len(some) and rows:
            continue
        first, second = (j, i) if swap else (i, j)
        if near is not None:
            some = some[near(edges, first[some], second[some], limit, lean)]
        part = between(edges, first[some], second[some], limit, lean)
        kept = np.flatnonzero(part.real | part.rolls)
        rows.append(some[kept])
        parts.append(part.take(kept, swap=swap))
    if len(rows) == 1:
        return rows[0], parts[0]
    row = np.concatenate(rows)
    order = np.argsort(row)
    whole = (np.concatenate([getattr(part, f.name) for part in parts]) for f in fields(_Between))
    return row[order], _Between(*(column[order] for column in whole))


def _between_edges(edges: Edges, i: Ints, j: Ints, limit: float, _: float) -> _Between:
    """Discs between two edges.

    The disc that touches ``i`` at ``t`` and the line of ``j`` has the diameter
    2 (p(t) - a_j)·n_j / (1 - n_i·n_j), and touches ``j`` at ``gamma - t``: both contacts are
    equally far from where the lines meet.
    """
    ui, ni = edges.along[i], edges.inward[i]
    uj, nj = edges.along[j], edges.inward[j]
    away = edges.start[i] - edges.start[j]
    spread = 1 - _dot(ni, nj)
    with np.errstate(divide="ignore", invalid="ignore"):
        alpha = 2 * _dot(away, nj) / spread
        beta = 2 * _dot(ui, nj) / spread
        gamma = _dot(away, uj) + alpha / 2 * _dot(ni, uj)
        at_limit, at_none = (limit - alpha) / beta, -alpha / beta
    t0 = np.maximum(0.0, gamma - edges.length[j])
    t1 = np.minimum(edges.length[i], gamma)
    rising, falling = beta > 1e-15, beta < -1e-15
    t1 = np.where(rising, np.minimum(t1, at_limit), t1)
    t0 = np.where(rising, np.maximum(t0, at_none), t0)
    t0 = np.where(falling, np.maximum(t0, at_limit), t0)
    t1 = np.where(falling, np.minimum(t1, at_none), t1)
    within = rising | falling | ((alpha >= 0) & (alpha <= limit))
    real = (t0 <= t1 + 1e-12) & within
    bends = edges.away_before[i] + edges.away_after[i] + edges.away_before[j] + edges.away_after[j]
    wide = np.clip(alpha + beta * t1, 0.0, limit)
    rolls = t0 <= t1 + _ROLLS * bends * wide + 1e-9
    t1 = np.maximum(t0, t1)
    w0, w1 = alpha + beta * t0, alpha + beta * t1
    on_j0 = np.maximum(gamma - t1, 0.0)
    on_j1 = np.maximum(on_j0, np.minimum(gamma - t0, edges.length[j]))
    return _Between(
        np.stack([t0, on_j0], axis=1),
        np.stack([t1, on_j1], axis=1),
        np.stack([w0, w1], axis=1),
        np.stack([w1, w0], axis=1),
        np.zeros(len(i)),
        real,
        np.ones(len(i), dtype=bool),
        real & (np.abs(w1 - w0) <= LEVEL_MM),
        rolls,
    )


def _edge_to_corner(edges: Edges, i: Ints, j: Ints, limit: float, lean: float) -> _Between:
    """Discs between the edge ``i`` and a sector of a corner ``j``: part of a parabola.

    A disc through a corner of height h that touches the edge x further along has the diameter
    (x² + h²)/h. Seen from the corner its centre lies 2 atan(x/h) off the edge's normal, seen from
    the centre the contacts are 180° less that angle apart.
    """
    away = edges.start[j] - edges.start[i]
    at, height = _dot(away, edges.along[i]), _dot(away, edges.inward[i])
    real = (height > 0) & (height <= limit)
    h = np.where(real, height, 1.0)
    n = edges.inward[j]
    facing = _turn(-edges.inward[i], n)
    half = edges.sector[j]
    reach = np.minimum(h * np.tan(lean), np.sqrt(h * np.maximum(limit - h, 0.0)))
    steep = np.radians(85.0)
    x0 = np.maximum(-reach, h * np.tan(np.clip((facing - half) / 2, -steep, steep)))
    x1 = np.minimum(reach, h * np.tan(np.clip((facing + half) / 2, -steep, steep)))
    t0, t1 = np.maximum(at + x0, 0.0), np.minimum(at + x1, edges.length[i])
    real &= t0 <= t1
    t1 = np.maximum(t0, t1)
    w0, w1 = (((t - at) ** 2 + h**2) / h for t in (t0, t1))
    # the ring goes round a corner clockwise: the sector begins at its most anticlockwise normal
    turn0, turn1 = (2 * np.arctan((t - at) / h) - facing for t in (t0, t1))
    room0, room1 = _in_sector(turn1, half), _in_sector(turn0, half)
    # where the edge ends at a vertex without sectors, the chord to that vertex may be opposed
    beyond = ((at < 0) & (edges.away_before[i] > 0)) | (
        (at > edges.length[i]) & (edges.away_after[i] > 0)
    )
    end = np.where((at < 0)[:, None], edges.start[i], edges.end[i])
    rolls = beyond & (np.abs(_turn(n, end - edges.start[j])) <= half + 1e-9)
    holds = real & (t0 <= at + 1e-9) & (at - 1e-9 <= t1)
    return _Between(
        np.stack([t0, room0], axis=1),
        np.stack([t1, room1], axis=1),
        np.stack([w0, w1], axis=1),
        np.stack([w1, w0], axis=1),
        1 / h,
        real,
        holds | rolls,
        np.zeros(len(i), dtype=bool),
        rolls | (np.abs(height) < _SAME_PLACE_MM),
    )


def _near_edge(edges: Edges, i: Ints, j: Ints, limit: float, lean: float) -> Bools:
    """Say which corners ``j`` may have a disc with the edge ``i``: the rest is too far off."""
    away = edges.start[j] - edges.start[i]
    at, height = _dot(away, edges.along[i]), _dot(away, edges.inward[i])
    aside = np.maximum(-at, at - edges.length[i])
    real = (height <= limit) & (aside <= height * np.tan(lean) + _SAME_PLACE_MM)
    bends = np.where(at < 0, edges.away_before[i], edges.away_after[i])
    return np.asarray(real | ((aside > 0) & (bends > 0)) | (np.abs(height) < _SAME_PLACE_MM))


def _corner_to_corner(edges: Edges, i: Ints, j: Ints, limit: float, lean: float) -> _Between:
    """Discs through two corners: part of the line midway between them.

    Seen from one corner the centre lies an angle b off the chord c, seen from the other it lies as
    much to the other side; the diameter is c / cos b.
    """
    gap = edges.start[j] - edges.start[i]
    chord = np.hypot(*gap.T)
    ni, nj, half_i, half_j = edges.inward[i], edges.inward[j], edges.sector[i], edges.sector[j]
    from_i, from_j = _turn(ni, gap), _turn(nj, -gap)
    most = np.minimum(lean, np.arccos(np.clip(chord / limit, 0.0, 1.0)))
    b0 = np.maximum(np.maximum(-half_i - from_i, from_j - half_j), -most)
    b1 = np.minimum(np.minimum(half_i - from_i, from_j + half_j), most)
    real = (b0 <= b1 + 1e-12) & (chord <= limit)
    b1 = np.maximum(b0, b1)
    w0, w1 = chord / np.cos(b0), chord / np.cos(b1)
    lo = np.stack([_in_sector(from_i + b1, half_i), _in_sector(from_j - b0, half_j)], axis=1)
    hi = np.stack([_in_sector(from_i + b0, half_i), _in_sector(from_j - b1, half_j)], axis=1)
    room = CORNER_ROOM_MM / (2 * np.maximum(half_i, 1e-9))
    return _Between(
        lo,
        hi,
        np.stack([w1, w0], axis=1),
        np.stack([w0, w1], axis=1),
        chord / (2 * room**2),
        real,
        (b0 <= 1e-9) & (b1 >= -1e-9),
        np.zeros(len(i), dtype=bool),
        chord < _SAME_PLACE_MM,
    )


def _turn(a: Floats, b: Floats) -> Floats:
    """Give the angle from one direction anticlockwise to another, radians."""
    return np.asarray(np.arctan2(a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0], _dot(a, b)))


def _in_sector(turn: Floats, half: Floats) -> Floats:
    """Give where a direction, anticlockwise off a sector's middle, lies in the sector's room."""
    share = (half - turn) / (2 * np.maximum(half, 1e-9))
    return np.asarray(np.clip(share, 0.0, 1.0) * CORNER_ROOM_MM)


def _dot(a: Floats, b: Floats) -> Floats:
    return np.asarray(a[..., 0] * b[..., 0] + a[..., 1] * b[..., 1])
