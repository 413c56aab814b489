"""Strips: connected narrow places with a least width, and where and how long they are."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from prep.measures.discs import settle
from prep.measures.result import STRIP, TOUCH
from prep.measures.slopes import Found
from prep.measures.stretches import components, first_of_each

if TYPE_CHECKING:
    import shapely
    from numpy.typing import NDArray

    from prep.measures.edges import Edges
    from prep.measures.facing import Facing
    from prep.measures.limits import Limits
    from prep.measures.stretches import Stretches

    Floats = NDArray[np.float64]
    Ints = NDArray[np.int64]
    Bools = NDArray[np.bool_]

_LEVEL_MM = 1e-4  # a strip's location is the middle of what is this little above its least width
_MEET_MM = 1e-3  # level stretches this close along the ring are one


def find_strips(
    edges: Edges,
    tree: shapely.STRtree,
    pairs: Facing,
    stretches: Stretches,
    limit: float,
    limits: Limits,
) -> Found:
    """Group pairs into strips and give each its least width.

    :param stretches: the pairs along their rings, each reaching what the same disc touches next
    """
    count = len(pairs)
    if not count:
        none, number = np.zeros(0), np.zeros(0, dtype=np.int64)
        return Found(none, np.zeros((0, 2)), none, number, number, none)
    arcs = stretches.arcs()
    links = np.stack([arcs.of[:count], arcs.of[count:]], axis=1)
    place_of_arc = components(len(arcs), np.concatenate([arcs.over_start, links]))
    place = place_of_arc[arcs.of[:count]]
    places = int(place_of_arc.max()) + 1
    length = np.zeros(places)
    np.add.at(length, place_of_arc, arcs.hi - arcs.lo)

    width, centre = _settle_least(edges, tree, pairs, place, places, limit, limits)
    known = np.flatnonzero(np.isfinite(width))
    best = known[first_of_each(place[known], width[known])]
    real = place[best]
    least = np.full(places, np.inf)
    least[real] = width[best]
    at = np.zeros((places, 2))
    at[real] = centre[best]
    _centre_on_level(edges, pairs, stretches, place, least, at)
    return Found(
        width=least[real],
        at=at[real],
        length=length[real] / 2,
        kind=np.where(least[real] < limits.floor_mm, TOUCH, STRIP),
        ring=edges.ring[pairs.i[best]],
        tip_deg=np.full(len(real), np.nan),
    )


def _settle_least(
    edges: Edges,
    tree: shapely.STRtree,
    pairs: Facing,
    place: Ints,
    places: int,
    limit: float,
    limits: Limits,
) -> tuple[Floats, Floats]:
    """Settle as few discs as need be, narrowest first, until each place's least width is known.

    :return: (pairs,) widths of settled pairs, infinite for all others; (pairs, 2) their centres
    """
    done = np.zeros(len(pairs), dtype=bool)
    width, centre = np.full(len(pairs), np.inf), np.zeros((len(pairs), 2))
    batch = 1
    while True:
        bound = np.full(places, np.inf)
        np.minimum.at(bound, place[done], width[done])
        open_ = np.flatnonzero(~done & (pairs.width < bound[place]))
        if not len(open_):
            return np.where(done, width, np.inf), centre
        order = open_[np.lexsort((pairs.width[open_], place[open_]))]
        new = np.r_[True, place[order][1:] != place[order][:-1]]
        rank = np.arange(len(order))
        rank -= np.maximum.accumulate(np.where(new, rank, 0))
        todo = order[rank < batch]
        width[todo], centre[todo] = settle(edges, tree, pairs.take(todo), limit, limits.angle_deg)
        done[todo] = True
        batch *= 4


def _centre_on_level(
    edges: Edges, pairs: Facing, stretches: Stretches, place: Ints, least: Floats, at: Floats
) -> None:
    """Move each location to the middle of the longest stretch as narrow as the narrowest point."""
    top = least[place] + _LEVEL_MM
    level = np.flatnonzero(
        pairs.opposed & (pairs.width <= top) & (pairs.width >= least[place] - 1e-6)
    )
    # both sides of each pair, so that one side holds the stretch whole
    pair = np.concatenate([level, level])
    side = np.repeat([0, 1], len(level))
    piece = np.where(side == 0, pairs.i[pair], pairs.j[pair])
    other = np.where(side == 0, pairs.j[pair], pairs.i[pair])
    kept = np.flatnonzero(edges.length[piece] > 0)
    if not len(kept):
        return
    pair, side, piece, other = pair[kept], side[kept], piece[kept], other[kept]
    part = stretches.take(pair + side * len(pairs))
    place, top = place[pair], top[pair]
    gap = pairs.foot[pair, 1] - pairs.foot[pair, 0]
    lean = np.maximum(np.abs(_dot(gap, edges.along[piece])), np.abs(_dot(gap, edges.along[other])))
    flat = (edges.length[other] > 0) & (lean <= 1e-6)
    lo, hi = part.below(top)
    base = part.ring_start[part.ring] + edges.at[piece]
    foot = base + _dot(pairs.foot[pair, side] - edges.start[piece], edges.along[piece])
    lo, hi = np.where(flat, lo, foot), np.where(flat, hi, foot)
    arcs = part.between(lo, hi).arcs(join=_MEET_MM)
    middle = ((arcs.lo + arcs.hi) / 2)[arcs.of]
    off = np.maximum(np.maximum(lo - middle, middle - hi), 0.0)
    longest = -np.round((arcs.hi - arcs.lo)[arcs.of], 6)
    chosen = first_of_each(place, longest, off)
    along = np.clip(middle, lo, hi)[chosen] - base[chosen]
    pair, side, piece = pair[chosen], side[chosen], piece[chosen]
    width = np.minimum(pairs.w_lo[pair, side], pairs.w_hi[pair, side])
    width = np.minimum(width, top[chosen])
    on_edge = edges.start[piece] + edges.along[piece] * along[:, None]
    middles = on_edge + edges.inward[piece] * (width / 2)[:, None]
    at[place[chosen]] = np.where(flat[chosen][:, None], middles, pairs.foot[pair].mean(axis=1))


def _dot(a: Floats, b: Floats) -> Floats:
    return np.asarray(np.einsum("ij,ij->i", a, b))
