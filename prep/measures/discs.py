"""Discs that touch the edge: is a width found between two edges really there?"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from prep.measures.edges import CORNER_ROOM_MM, FAN_DEG
from prep.measures.facing import LEVEL_MM

if TYPE_CHECKING:
    from collections.abc import Iterator

    from numpy.typing import NDArray

    from prep.measures.edges import Edges
    from prep.measures.facing import Facing
    from prep.measures.runs import Runs

    Floats = NDArray[np.float64]
    Ints = NDArray[np.int64]
    Bools = NDArray[np.bool_]

_EMPTY_MM = 1e-7  # an edge this little inside a disc touches it
_SAME_MM = 2e-9  # widths that differ by no more may be the same
_SAME_SPOT_MM = 1e-6
_NOISE_MM = 1e-10  # a piece not farther outside a disc than this touches it
_ROUNDS = 24
_STEPS = 80
_HALVE = 8
_EXACT_MM = 1e-11
_ROUNDED_MM = 1e-12
_NEWTON = 12
_AT_ONCE = 2048  # discs; each of a dense small circle reaches all of its pieces
_NEARLY = 0.5  # a disc reached into by less than this share may fit a little farther on


def settle(
    edges: Edges, runs: Runs, pairs: Facing, limit: float, angle_deg: float
) -> tuple[Floats, Floats]:
    """Give the least width each pair really stands for, and the centre of its disc.

    A disc that touches both pieces and holds no other edge is a disc of the medial axis, and its
    diameter is a local width. Where another edge reaches into the narrowest, the disc is moved
    along the two pieces until nothing reaches in. There it is a least width when the third
    contact lies between the two on the side where they are less than 180° apart, and both its
    neighbours are nearer than the separation angle: the width rises from there along the two
    pieces and nowhere else counts.

    :param runs: with the pieces' bounds
    :return: (n,) diameters, infinite where the pair has no least width below ``limit``; (n, 2)
        centres
    """
    width, centre = np.full(len(pairs), np.inf), np.zeros((len(pairs), 2))
    tracks = _tracks(edges, pairs)
    at, radius = _disc(tracks, tracks.start)
    # the disc on an opposed chord may touch a vertex without sectors, beside the track
    level = (np.abs(pairs.w_hi - pairs.w_lo)[:, 0] <= LEVEL_MM) & (edges.length[pairs.i] > 0)
    level &= edges.length[pairs.j] > 0
    chord = np.flatnonzero((pairs.opposed & ~level)[tracks.row])
    at[chord] = pairs.foot[tracks.row[chord]].mean(axis=1)
    radius[chord] = pairs.chord[tracks.row[chord]] / 2
    other, gap = _deepest(edges, runs, pairs, tracks.row, at, radius)
    empty = gap >= radius - _EMPTY_MM
    good = np.flatnonzero(empty & pairs.opposed[tracks.row])
    width[tracks.row[good]], centre[tracks.row[good]] = 2 * radius[good], at[good]

    left = np.flatnonzero(~empty)
    beside = np.isin(left, chord, assume_unique=True)
    tracks, other, gap = tracks.take(left), other[left], gap[left]
    other[beside], gap[beside] = _deepest_at_start(edges, runs, pairs, tracks.take(beside))
    at, radius, third, _ = _advance(edges, runs, pairs, tracks, other, gap, limit)
    found = np.flatnonzero(third >= 0)
    found = found[
        _is_least(edges, pairs.take(tracks.row[found]), third[found], at[found], angle_deg)
    ]
    # both ways from one pair may end in a least width: the narrower counts
    found = found[np.argsort(-radius[found], kind="stable")]
    width[tracks.row[found]], centre[tracks.row[found]] = 2 * radius[found], at[found]
    return width, centre


def none_better(edges: Edges, pairs: Facing, width: Floats, centre: Floats) -> Bools:
    """Say which pairs surely have no least width below one that is known, nor the same elsewhere.

    Between two edges the distance of any piece less the radius is a convex function along the
    track. A piece that reaches into the least disc, and at the least touches the one of the known
    width, reaches into all between. Tried are the pieces halfway round the ring from one edge to
    the other, which reach farthest into discs of a dense round ring, and the neighbours of both.

    :param width: (n,) known, mm
    :param centre: (n, 2) of the known disc
    """
    none = np.zeros(len(pairs), dtype=bool)
    one_way = (edges.length[pairs.i] > 0) & (edges.length[pairs.j] > 0) & ~pairs.opposed
    one_way &= np.abs(pairs.w_hi - pairs.w_lo)[:, 0] > LEVEL_MM
    rows = np.flatnonzero(one_way)
    pairs, width, centre = pairs.take(rows), width[rows], centre[rows]
    tracks = _tracks(edges, pairs)
    at, radius = _disc(tracks, _where_wide(pairs, tracks, width))
    elsewhere = np.hypot(*(at - centre).T) > _SAME_SPOT_MM
    wider = _where_wide(pairs, tracks, width + _SAME_MM)
    at[elsewhere], radius[elsewhere] = (v[elsewhere] for v in _disc(tracks, wider))
    first_at, first_radius = _disc(tracks, tracks.start)
    open_ = np.arange(len(rows))
    for third in _likely(edges, pairs.i, pairs.j):
        piece = third[open_]
        inside = (piece != pairs.i[open_]) & (piece != pairs.j[open_])
        inside &= piece_distance(edges, piece, first_at[open_]) < first_radius[open_] - _EMPTY_MM
        inside &= piece_distance(edges, piece, at[open_]) < radius[open_] + _NOISE_MM
        none[rows[open_[inside]]] = True
        open_ = open_[~inside]
    return none


def _where_wide(pairs: Facing, tracks: _Tracks, width: Floats) -> Floats:
    """Give where on tracks between two edges, one to a pair, the disc is as wide, or the end."""
    w_lo, w_hi = pairs.w_lo[:, 0], pairs.w_hi[:, 0]
    share = (width - np.minimum(w_lo, w_hi)) / np.abs(w_hi - w_lo)
    return np.asarray(tracks.start + np.clip(share, 0.0, 1.0) * (tracks.end - tracks.start))


def _likely(edges: Edges, i: Ints, j: Ints) -> Iterator[Ints]:
    """Give pieces that may reach far into discs between two: one for each pair at a time."""
    starts = np.flatnonzero(np.r_[True, edges.ring[1:] != edges.ring[:-1]])
    ends = np.r_[starts[1:], len(edges)]
    number = np.searchsorted(starts, i, side="right") - 1
    start, size = starts[number], (ends - starts)[number]
    one_ring = edges.ring[i] == edges.ring[j]
    yield np.where(one_ring, (i + j) // 2, i)
    yield np.where(one_ring, start + (i + j + size - 2 * start) // 2 % size, i)
    for piece in (i, j):
        yield edges.before[piece]
        yield edges.after[piece]


def empty_part(
    edges: Edges, runs: Runs, pairs: Facing, lo: Floats, hi: Floats, limit: float
) -> tuple[Floats, Floats]:
    """Give the part of stretches on which no other edge reaches into the discs.

    :param pairs: each of two edges
    :param lo: (n,) where to begin on the first of them, mm; :param hi: (n,) where to end
    :return: the ends; where they have passed each other nothing is empty
    """
    # from both ends at once
    count = len(pairs)
    row, first = np.tile(np.arange(count), 2), np.zeros(2 * count, dtype=np.int64)
    tracks = _laid(edges, pairs, row, first, np.concatenate([lo, hi]), np.concatenate([hi, lo]))
    other, gap = _deepest_at_start(edges, runs, pairs, tracks)
    ends = _advance(edges, runs, pairs, tracks, other, gap, limit)[3]
    return ends[:count], ends[count:]


@dataclass(frozen=True, slots=True, eq=False)
class _Tracks:
    """Ways along which discs between two pieces grow.

    :param row: (n,) the pair
    :param start: (n,) where the disc is least: mm along the piece whose contact is followed, or, of
        two corners, the angle off their chord in radians
    :param end: (n,) where the stretch ends
    :param corners: (n,) both are corners
    :param origin: (n, 2) start of the piece; of two corners the middle between them
    :param along: (n, 2) the piece's direction; of two corners half the chord turned by 90°
    :param inward: (n, 2) the piece's normal; 0 of two corners
    :param lo: (n,) where the diameters below begin
    :param span: (n,) and over how much they run
    :param width: (n,) diameter at ``lo``; of two corners their distance
    :param rate: (n,) how fast it grows, straight from end to end; 0 of two corners
    :param bend: (n,) see ``Facing``; 0 of two corners
    """

    row: Ints
    start: Floats
    end: Floats
    corners: Bools
    origin: Floats
    along: Floats
    inward: Floats
    lo: Floats
    span: Floats
    width: Floats
    rate: Floats
    bend: Floats

    def take(self, which: Ints | Bools) -> _Tracks:
        return _Tracks(*(getattr(self, name)[which] for name in _Tracks.__slots__))


def _laid(
    edges: Edges, pairs: Facing, row: Ints, side: Ints, start: Floats, end: Floats
) -> _Tracks:
    """Lay tracks.

    :param side: (n,) the piece whose contact is followed: 0 or 1; 2 = both are corners
    """
    column = np.minimum(side, 1)
    i, j = pairs.i[row], pairs.j[row]
    piece = np.where(side == 1, j, i)
    lo, width = pairs.lo[row, column], pairs.w_lo[row, column]
    span = pairs.hi[row, column] - lo
    rise = pairs.w_hi[row, column] - width
    rate = np.where(span > 0, rise / np.where(span > 0, span, 1.0), 0.0)
    origin, along, inward = edges.start[piece], edges.along[piece], edges.inward[piece]
    bend = pairs.bend[row]
    both = np.flatnonzero(side == 2)
    if len(both):
        first, second = edges.start[i[both]], edges.start[j[both]]
        gap = second - first
        origin[both] = (first + second) / 2
        along[both] = np.stack([-gap[:, 1], gap[:, 0]], axis=1) / 2
        inward[both] = 0.0
        width[both] = np.hypot(*gap.T)
        rate[both] = bend[both] = 0.0
    return _Tracks(row, start, end, side == 2, origin, along, inward, lo, span, width, rate, bend)


def _tracks(edges: Edges, pairs: Facing) -> _Tracks:
    """Give the ways to try: from the least disc to the wide end, or from the middle to both."""
    corner_i, corner_j = edges.length[pairs.i] == 0, edges.length[pairs.j] == 0
    side = np.where(corner_i, np.where(corner_j, 2, 1), 0)
    row = np.arange(len(pairs))
    column = np.minimum(side, 1)
    lo, hi = pairs.lo[row, column], pairs.hi[row, column]
    w_lo, w_hi = pairs.w_lo[row, column], pairs.w_hi[row, column]
    both = np.flatnonzero(side == 2)
    lo[both], hi[both] = _angles(edges, pairs, both)
    piece = np.where(side == 0, pairs.i, pairs.j)
    level = ~corner_i & ~corner_j & (np.abs(w_hi - w_lo) <= LEVEL_MM)
    start = np.where(w_lo <= w_hi, lo, hi)
    cornered = pairs.opposed & (corner_i | corner_j)
    foot = np.einsum("ij,ij->i", pairs.foot[row, column] - edges.start[piece], edges.along[piece])
    start = np.where(cornered, np.where(side == 2, 0.0, foot), start)
    start = np.where(level, (lo + hi) / 2, start)
    two = np.flatnonzero(cornered | level)
    end = np.where(w_lo <= w_hi, hi, lo)
    end[two] = hi[two]
    return _laid(
        edges,
        pairs,
        np.concatenate([row, two]),
        np.concatenate([side, side[two]]),
        np.concatenate([start, start[two]]),
        np.concatenate([end, lo[two]]),
    )


def _angles(edges: Edges, pairs: Facing, rows: Ints) -> tuple[Floats, Floats]:
    """Give the angles off the chord at which discs through two corners begin and end."""
    i, j = pairs.i[rows], pairs.j[rows]
    gap, normal, half = edges.start[j] - edges.start[i], edges.inward[i], edges.sector[i]
    off = np.arctan2(
        normal[:, 0] * gap[:, 1] - normal[:, 1] * gap[:, 0],
        normal[:, 0] * gap[:, 0] + normal[:, 1] * gap[:, 1],
    )
    shares = (pairs.lo[rows, 0] / CORNER_ROOM_MM, pairs.hi[rows, 0] / CORNER_ROOM_MM)
    lo, hi = (half * (1 - 2 * share) - off for share in shares)
    return lo, hi


def _disc(tracks: _Tracks, s: Floats) -> tuple[Floats, Floats]:
    """Give centres (n, 2) and radii (n,) of the discs at ``s`` along their tracks."""
    x = s - tracks.lo
    radius = (tracks.width + x * (tracks.rate - tracks.bend * (tracks.span - x))) / 2
    both = np.flatnonzero(tracks.corners)
    if len(both):
        radius[both] /= np.cos(s[both])
        s = s.copy()
        s[both] = np.tan(s[both])
    centre = tracks.origin + tracks.along * s[:, None]
    centre += tracks.inward * radius[:, None]
    return centre, radius


def _growth(tracks: _Tracks, s: Floats) -> tuple[Floats, Floats]:
    """Give how fast centres (n, 2) and radii (n,) change at ``s`` along their tracks."""
    rate = (tracks.rate + tracks.bend * (2 * (s - tracks.lo) - tracks.span)) / 2
    way = tracks.along + tracks.inward * rate[:, None]
    both = np.flatnonzero(tracks.corners)
    if len(both):
        cos = np.cos(s[both])
        rate[both] = tracks.width[both] / 2 * np.sin(s[both]) / cos**2
        way[both] /= cos[:, None] ** 2
    return way, rate


def _advance(
    edges: Edges,
    runs: Runs,
    pairs: Facing,
    tracks: _Tracks,
    other: Ints,
    gap: Floats,
    limit: float,
) -> tuple[Floats, Floats, Ints, Floats]:
    """Move discs along their tracks until no edge reaches into them.

    :param other: the piece nearest to each disc at the start, and ``gap`` how near it is
    :return: centres, radii, the piece that holds each (-1 where none does or the track ends
        before), and how far each came along its track
    """
    at, radius = _disc(tracks, tracks.start)
    third = np.full(len(at), -1)
    s = tracks.start.copy()
    free = np.zeros(len(at), dtype=bool)
    active = np.arange(len(at))
    for round_ in range(_ROUNDS):
        if round_:
            row = tracks.row[active]
            other, gap = _deepest(edges, runs, pairs, row, at[active], radius[active])
        done = gap >= radius[active] - _EMPTY_MM
        free[active[done]] = True
        active, other = active[~done], other[~done]
        if not len(active):
            break
        part = tracks.take(active)
        s[active], cleared = _clear_of(edges, part, other, s[active])
        at[active], radius[active] = _disc(part, s[active])
        third[active] = other
        stuck = active[~cleared]
        if len(stuck):
            reached, centre, size = _rolled_on(
                edges,
                runs,
                pairs,
                tracks.row[stuck],
                other[~cleared],
                at[stuck],
                radius[stuck],
                limit,
            )
            at[stuck[reached]], radius[stuck[reached]], free[stuck[reached]] = centre, size, True
        active = active[cleared]
        if not len(active):
            break
    return at, radius, np.where(free, third, -1), s


def _rolled_on(
    edges: Edges,
    runs: Runs,
    pairs: Facing,
    row: Ints,
    other: Ints,
    at: Floats,
    radius: Floats,
    limit: float,
) -> tuple[Ints, Floats, Floats]:
    """Find the discs that touch the third piece just past the ends of their tracks.

    There a disc may roll on round a vertex that has no sectors.

    :return: which of the discs do so; (m, 2) their centres; (m,) radii
    """
    rolled = np.flatnonzero(radius - piece_distance(edges, other, at) < _NEARLY * radius)
    if not len(rolled):
        return rolled, at[rolled], radius[rolled]
    i, j = pairs.i[row[rolled]], pairs.j[row[rolled]]
    centre, size, found = _touching_three(edges, i, j, other[rolled], at[rolled], radius[rolled])
    # one that has run far off holds half the drawing
    small = np.flatnonzero(found & (2 * size <= limit))
    rolled, centre, size = rolled[small], centre[small], size[small]
    _, gap = _deepest(edges, runs, pairs, row[rolled], centre, size)
    empty = gap >= size - _EMPTY_MM
    return rolled[empty], centre[empty], size[empty]


def _clear_of(edges: Edges, tracks: _Tracks, other: Ints, s: Floats) -> tuple[Floats, Bools]:
    """Find where on its track each disc no longer holds a piece that reaches into it at ``s``.

    Between two edges the distance from the piece less the radius is a convex function of ``s``,
    so there is one such place at most. Newton's method finds it; a step that leads out of where
    the place must be, and every eighth, halves this instead.
    """
    low, high, last = s.copy(), tracks.end.copy(), tracks.end.copy()
    room, slope = _room(edges, tracks, other, high)
    cleared = room >= -_ROUNDED_MM
    found = ~cleared | (room <= _EXACT_MM)
    for step in range(1, _STEPS):
        open_ = np.flatnonzero(~found & (np.abs(high - low) > _EXACT_MM))
        if not len(open_):
            break
        a, b = low[open_], high[open_]
        with np.errstate(divide="ignore", invalid="ignore"):
            guess = last[open_] - room[open_] / slope[open_]
        between = ((guess - a) * (guess - b) < 0) & (step % _HALVE > 0)
        guess = np.where(between, guess, (a + b) / 2)
        value, rate = _room(edges, tracks.take(open_), other[open_], guess)
        under = value < -_ROUNDED_MM
        low[open_], high[open_] = np.where(under, guess, a), np.where(under, b, guess)
        last[open_], room[open_], slope[open_] = guess, value, rate
        found[open_] = ~under & (value <= _EXACT_MM)
    return np.where(cleared, high, tracks.end), cleared


def _room(edges: Edges, tracks: _Tracks, other: Ints, s: Floats) -> tuple[Floats, Floats]:
    """Give the distance of pieces from the discs at ``s``, and how fast it grows with ``s``."""
    centre, radius = _disc(tracks, s)
    way, rate = _growth(tracks, s)
    foot, _ = _foot(edges, other, centre)
    away = centre - foot
    distance = np.hypot(*away.T)
    slope = _dot(away, way) / np.maximum(distance, 1e-300) - rate
    return distance - radius, slope


def _deepest(
    edges: Edges,
    runs: Runs,
    pairs: Facing,
    row: Ints,
    centre: Floats,
    radius: Floats,
) -> tuple[Ints, Floats]:
    """Give the nearest piece to each centre, the pair's own aside, and how near it is."""
    which, nearest = np.full(len(row), -1), np.full(len(row), np.inf)
    for first in range(0, len(row), _AT_ONCE):
        some = slice(first, first + _AT_ONCE)
        which[some], nearest[some] = _deepest_of(
            edges, runs, pairs, row[some], centre[some], radius[some]
        )
    return which, nearest


def _deepest_at_start(
    edges: Edges, runs: Runs, pairs: Facing, tracks: _Tracks
) -> tuple[Ints, Floats]:
    return _deepest(edges, runs, pairs, tracks.row, *_disc(tracks, tracks.start))


def _deepest_of(
    edges: Edges, runs: Runs, pairs: Facing, row: Ints, centre: Floats, radius: Floats
) -> tuple[Ints, Floats]:
    reach = radius[:, None]
    disc, piece = runs.touched_by(np.concatenate([centre - reach, centre + reach], axis=1))
    own = (piece == pairs.i[row[disc]]) | (piece == pairs.j[row[disc]])
    disc, piece = disc[~own], piece[~own]
    distance = piece_distance(edges, piece, centre[disc])
    # they come disc by disc
    first = np.flatnonzero(np.diff(disc, prepend=-1))
    nearest = np.full(len(row), np.inf)
    which = np.full(len(row), -1)
    if len(first):
        least = np.minimum.reduceat(distance, first)
        nearest[disc[first]] = least
        is_least = np.flatnonzero(distance <= nearest[disc])
        which[disc[is_least]] = piece[is_least]
    return which, nearest


def piece_distance(edges: Edges, piece: Ints, point: Floats) -> Floats:
    """Give the distance of points from pieces, mm."""
    foot, _ = _foot(edges, piece, point)
    return np.asarray(np.hypot(*(point - foot).T))


def _foot(edges: Edges, piece: Ints, point: Floats) -> tuple[Floats, Bools]:
    """Give the nearest point of each piece, and whether it lies inside the piece."""
    start, along = edges.start[piece], edges.along[piece]
    t = _dot(point - start, along)
    inside = (t > 0) & (t < edges.length[piece])
    return start + along * np.clip(t, 0.0, edges.length[piece])[:, None], inside


def _signed(edges: Edges, piece: Ints, point: Floats) -> tuple[Floats, Floats]:
    """Give the distance of points from pieces and its gradient.

    Beside an edge the distance carries the side's sign, so that a step can come back from the
    wrong side.
    """
    foot, inside = _foot(edges, piece, point)
    away = point - foot
    distance = np.hypot(*away.T)
    plain = ~inside & (distance > 1e-12)
    gradient = np.where(
        plain[:, None], away / np.where(plain, distance, 1.0)[:, None], edges.inward[piece]
    )
    return np.where(plain, distance, _dot(away, edges.inward[piece])), gradient


def _touching_three(
    edges: Edges, i: Ints, j: Ints, k: Ints, centre: Floats, radius: Floats
) -> tuple[Floats, Floats, Bools]:
    """Give the discs that touch three pieces each, by Newton's method, and which were found."""
    state = np.concatenate([centre, radius[:, None]], axis=1)
    good = np.ones(len(state), dtype=bool)
    residual = np.full((len(state), 3), np.inf)
    for _ in range(_NEWTON):
        system = np.full((len(state), 3, 3), -1.0)
        for row, piece in enumerate((i, j, k)):
            distance, gradient = _signed(edges, piece, state[:, :2])
            residual[:, row] = distance - state[:, 2]
            system[:, row, :2] = gradient
        if np.all(np.abs(residual[good]) < 1e-11):
            break
        good &= np.abs(np.linalg.det(system)) > 1e-9
        step = np.zeros_like(state)
        step[good] = np.linalg.solve(system[good], -residual[good][:, :, None])[:, :, 0]
        state += step
    near = np.hypot(*(state[:, :2] - centre).T) <= radius
    good &= near & (np.abs(residual).max(axis=1, initial=0.0) < 1e-8) & (state[:, 2] > 0)
    return state[:, :2], np.maximum(state[:, 2], 0.0), good


def _is_least(edges: Edges, pairs: Facing, third: Ints, centre: Floats, angle_deg: float) -> Bools:
    """Say at which discs of three contacts the local width is least."""
    ways = []
    for piece in (pairs.i, pairs.j, third):
        foot, _ = _foot(edges, piece, centre)
        away = centre - foot
        ways.append(away / np.maximum(np.hypot(*away.T), 1e-12)[:, None])
    spread = np.cos(np.radians(angle_deg)) + 1e-6
    across = _dot(ways[0], ways[1])
    opposite = across <= -1 + 1e-9
    # along the branch of the two pieces the width rises by cos(theta / 2), away from the third
    rises = _dot(ways[0] + ways[1], ways[2]) > 1 + across
    beside = _dot(ways[0], ways[2]), _dot(ways[1], ways[2])
    ends = (beside[0] > spread) & (beside[1] > spread)
    # between facets of one curve it only ceases to count: the width falls on towards a blunt corner
    ends &= np.maximum(*beside) < np.cos(np.radians(FAN_DEG))
    return np.asarray((across <= spread) & (opposite | (rises & ends)))


def _dot(a: Floats, b: Floats) -> Floats:
    return np.asarray(a[..., 0] * b[..., 0] + a[..., 1] * b[..., 1])
