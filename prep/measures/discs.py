"""Discs that touch the edge: is a width found between two edges really there?"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import shapely

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from prep.measures.edges import Edges
    from prep.measures.facing import Facing

    Floats = NDArray[np.float64]
    Ints = NDArray[np.int64]
    Bools = NDArray[np.bool_]

_EMPTY_MM = 1e-7  # an edge this little inside a disc touches it
_ROUNDS = 24
_NEWTON = 12


def settle(
    edges: Edges, tree: shapely.STRtree, pairs: Facing, limit: float, angle_deg: float
) -> tuple[Floats, Floats]:
    """Give the least width each pair really stands for, and the centre of its disc.

    A disc that touches both pieces and holds no other edge is a disc of the medial axis, and its
    diameter is a local width. Where another edge reaches into the disc, the disc moves along the
    two pieces until it touches all three and nothing reaches in. It is a least width when the
    width grows from there along the two pieces and nowhere else (the other two branches of the
    axis have separation angles below the limit), or when the two contacts are opposite.

    :param tree: of boxes that hold the pieces
    :return: (n,) diameters, infinite where the pair has no least width below ``limit``; (n, 2)
    """
    count = len(pairs)
    centre, radius = _starting_discs(edges, pairs)
    width = np.full(count, np.inf)
    third = np.full(count, -1)
    active = np.arange(count)
    for _ in range(_ROUNDS):
        if not len(active):
            break
        other, gap = _deepest(edges, tree, pairs, active, centre[active], radius[active])
        empty = gap >= radius[active] - _EMPTY_MM
        done = active[empty]
        width[done] = 2 * radius[done]
        active, other = active[~empty], other[~empty]
        if not len(active):
            break
        centre[active], radius[active], good = _touching_three(
            edges, pairs.i[active], pairs.j[active], other, centre[active], radius[active]
        )
        third[active] = other
        active = active[good & (2 * radius[active] <= limit)]
    kept = np.isfinite(width)
    kept[kept] = _is_least(edges, pairs.take(kept), third[kept], centre[kept], angle_deg)
    width[~kept] = np.inf
    return width, centre


def _starting_discs(edges: Edges, pairs: Facing) -> tuple[Floats, Floats]:
    """Give the narrowest disc between the two pieces alone; midway where they run level.

    Between two corners it is the one on the chord: where it doesn't belong to the pair it still
    leads to the disc that does.
    """
    centre = pairs.foot.mean(axis=1)
    edge_i, edge_j = edges.length[pairs.i] > 0, edges.length[pairs.j] > 0
    level = edge_i & edge_j & (np.maximum(pairs.w_lo, pairs.w_hi)[:, 0] <= pairs.width + 1e-7)
    for side, piece, usable in ((0, pairs.i, edge_i), (1, pairs.j, ~edge_i & edge_j)):
        rows = np.flatnonzero(usable & (level | ~pairs.opposed))
        lo, hi = pairs.lo[rows, side], pairs.hi[rows, side]
        narrow = np.where(pairs.w_lo[rows, side] <= pairs.w_hi[rows, side], lo, hi)
        t = np.where(level[rows], (lo + hi) / 2, narrow)
        on_edge = edges.start[piece[rows]] + edges.along[piece[rows]] * t[:, None]
        centre[rows] = on_edge + edges.inward[piece[rows]] * (pairs.width[rows] / 2)[:, None]
    return centre, pairs.width / 2


def _deepest(
    edges: Edges,
    tree: shapely.STRtree,
    pairs: Facing,
    active: Ints,
    centre: Floats,
    radius: Floats,
) -> tuple[Ints, Floats]:
    """Give the nearest piece to each centre, the two that carry the disc aside, and how near."""
    corners = np.stack([centre - radius[:, None], centre + radius[:, None]], axis=1)
    row, piece = tree.query(np.asarray(shapely.linestrings(corners)))
    own = (piece == pairs.i[active[row]]) | (piece == pairs.j[active[row]])
    row, piece = row[~own], piece[~own]
    distance = piece_distance(edges, piece, centre[row])
    order = np.lexsort((distance, row))
    row, piece, distance = row[order], piece[order], distance[order]
    first = np.flatnonzero(np.r_[True, row[1:] != row[:-1]]) if len(row) else row
    nearest = np.full(len(active), np.inf)
    which = np.full(len(active), -1)
    nearest[row[first]] = distance[first]
    which[row[first]] = piece[first]
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
    good &= (np.abs(residual).max(axis=1, initial=0.0) < 1e-8) & (state[:, 2] > 0)
    return state[:, :2], state[:, 2], good


def _is_least(edges: Edges, pairs: Facing, third: Ints, centre: Floats, angle_deg: float) -> Bools:
    """Say at which discs the local width is least, by the directions of their contacts."""
    ways = []
    for piece in (pairs.i, pairs.j, np.maximum(third, 0)):
        foot, _ = _foot(edges, piece, centre)
        away = centre - foot
        ways.append(away / np.maximum(np.hypot(*away.T), 1e-12)[:, None])
    spread = np.cos(np.radians(angle_deg)) + 1e-6
    across = _dot(ways[0], ways[1])
    opposite = across <= -1 + 1e-9
    uphill = ways[0] + ways[1]
    # along the branch of the two pieces the width rises by cos(theta / 2), away from the third
    rises = _dot(uphill, ways[2]) > 1 + across
    ends = (_dot(ways[0], ways[2]) > spread) & (_dot(ways[1], ways[2]) > spread)
    alone = third < 0
    tiny = pairs.chord < 1e-7
    return np.asarray(
        (alone & pairs.opposed) | tiny | (~alone & (across <= spread) & (opposite | (rises & ends)))
    )


def _dot(a: Floats, b: Floats) -> Floats:
    return np.asarray(a[..., 0] * b[..., 0] + a[..., 1] * b[..., 1])
