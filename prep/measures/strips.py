"""Strips: connected narrow places with a least width, and where and how long they are."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from prep.measures.discs import empty_part, none_better, settle
from prep.measures.result import STRIP, TOUCH
from prep.measures.slopes import Found
from prep.measures.stretches import components, first_of_each, in_order

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from prep.measures.edges import Edges
    from prep.measures.facing import Facing
    from prep.measures.limits import Limits
    from prep.measures.runs import Runs
    from prep.measures.stretches import Stretches

    Floats = NDArray[np.float64]
    Ints = NDArray[np.int64]
    Bools = NDArray[np.bool_]

_LEVEL_MM = 1e-4  # a strip's location is the middle of what is this little above its least width
_MEET_MM = 1e-3  # level stretches this close along the ring are one
_MANY = (
    64  # where so many pairs of one place are open, they are thinned out before more are settled
)


def find_strips(
    edges: Edges,
    runs: Runs,
    pairs: Facing,
    stretches: Stretches,
    limit: float,
    limits: Limits,
    told_mm: float,
) -> Found:
    """Group pairs into strips and give each its least width.

    :param stretches: the pairs along their rings, each reaching what the same disc touches next
    :param told_mm: a strip's length is that of what is narrower; at most ``limit``
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
    length = _length_under(told_mm, pairs, stretches, place, places)

    width, centre = _settle_least(edges, runs, pairs, place, places, limit, limits)
    best = _best_of_each(place, width, centre)
    real = place[best]
    least = np.full(places, np.inf)
    least[real] = width[best]
    at = np.zeros((places, 2))
    at[real] = centre[best]
    _centre_on_level(edges, runs, pairs, stretches, place, least, at, limit)
    return Found(
        width=least[real],
        at=at[real],
        length=length[real] / 2,
        kind=np.where(least[real] < limits.floor_mm, TOUCH, STRIP),
        ring=edges.ring[pairs.i[best]],
        tip_deg=np.full(len(real), np.nan),
    )


def _length_under(
    told_mm: float, pairs: Facing, stretches: Stretches, place: Ints, places: int
) -> Floats:
    """Give how much of the edge, on both sides of each place, lies at widths under a limit."""
    own = np.concatenate([pairs.width, pairs.width])
    rows = np.flatnonzero(np.minimum(np.minimum(stretches.w_lo, stretches.w_hi), own) < told_mm)
    part = stretches.take(rows)
    length = np.zeros(places)
    if len(part):
        lo, hi = part.below(np.full(len(part), told_mm))
        arcs = part.between(lo, hi).arcs()
        # all stretches of an arc lie in one place
        of = np.zeros(len(arcs), dtype=np.int64)
        of[arcs.of] = np.concatenate([place, place])[rows]
        np.add.at(length, of, arcs.hi - arcs.lo)
    return length


def _settle_least(
    edges: Edges,
    runs: Runs,
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
    open_ = np.arange(len(pairs))
    while len(open_):
        order = open_[np.lexsort((pairs.width[open_], place[open_]))]
        rank = _rank_in(place[order])
        todo = order[rank < batch]
        width[todo], centre[todo] = settle(edges, runs, pairs.take(todo), limit, limits.angle_deg)
        done[todo] = True
        batch *= 4
        bound = np.full(places, np.inf)
        np.minimum.at(bound, place[done], width[done])
        open_ = np.flatnonzero(~done & (pairs.width < bound[place]))
        many = (np.bincount(place[open_], minlength=places) > _MANY) & np.isfinite(bound)
        if many.any():
            some = np.flatnonzero(many[place[open_]])
            rows = open_[some]
            best = np.full(places, -1)
            chosen = _best_of_each(place, width, centre)
            best[place[chosen]] = chosen
            best = best[place[rows]]
            hopeless = none_better(edges, pairs.take(rows), width[best], centre[best])
            done[rows[hopeless]] = True
            open_ = np.delete(open_, some[hopeless])
    return width, centre


def _best_of_each(place: Ints, width: Floats, centre: Floats) -> Ints:
    """Give the narrowest settled pair of each place that has one."""
    known = np.flatnonzero(np.isfinite(width))
    keys = (np.round(width[known], 9), *in_order(centre[known]))
    return np.asarray(known[first_of_each(place[known], *keys)])


def _rank_in(group: Ints) -> Ints:
    """Number the rows of each group from 0; those of one group stand together."""
    rank = np.arange(len(group))
    new = np.ones(len(group), dtype=bool)
    new[1:] = group[1:] != group[:-1]
    return np.asarray(rank - np.maximum.accumulate(np.where(new, rank, 0)))


def _centre_on_level(
    edges: Edges,
    runs: Runs,
    pairs: Facing,
    stretches: Stretches,
    place: Ints,
    least: Floats,
    at: Floats,
    limit: float,
) -> None:
    """Move each location to the middle of the longest stretch as narrow as the narrowest point."""
    top = least[place] + _LEVEL_MM
    near = np.flatnonzero((pairs.width <= top) & (pairs.width >= least[place] - 1e-6))
    if not len(near):
        return
    i, j, place, top = pairs.i[near], pairs.j[near], place[near], top[near]
    # elsewhere the disc stands on a corner or rolls round a vertex: a point, not a stretch
    flat = (edges.length[i] > 0) & (edges.length[j] > 0)
    flat &= pairs.chord[near] <= np.maximum(pairs.w_lo, pairs.w_hi)[near, 0]
    flat &= (pairs.hi > pairs.lo)[near, 0]
    lo, hi = _narrow_part(pairs, near, top)
    rows = np.flatnonzero(flat)
    lo[rows], hi[rows] = empty_part(edges, runs, pairs.take(near[rows]), lo[rows], hi[rows], limit)
    # the two contacts run towards each other: what one gives up at its start, the other does at
    # its end
    base = pairs.lo[near, 0] + pairs.hi[near, 1]
    spans = ((lo, hi), (base - hi, base - lo))
    # both sides of each pair, so that one side holds the stretch whole
    row = np.arange(len(near))
    pair = np.concatenate([near, near])
    part = stretches.take(np.concatenate([near, near + len(pairs)]))
    piece = np.concatenate([i, j])
    row = np.concatenate([row, row])
    foot = np.concatenate(
        [_dot(pairs.foot[near, k] - edges.start[p], edges.along[p]) for k, p in ((0, i), (1, j))]
    )
    from_, to = (np.concatenate([spans[0][k], spans[1][k]]) for k in (0, 1))
    start = part.ring_start[part.ring] + edges.at[piece]
    from_ = start + np.where(flat[row], from_, foot)
    to = start + np.where(flat[row], to, foot)
    side = np.repeat([0, 1], len(near))
    kept = np.flatnonzero(
        (edges.length[piece] > 0) & (to >= from_ - 1e-9) & (flat | pairs.opposed[near])[row]
    )
    if not len(kept):
        return
    from_, to, row, pair, piece = from_[kept], to[kept], row[kept], pair[kept], piece[kept]
    # a stretch that is narrow to its end goes on to what the same disc touches next
    whole_lo = flat[row] & (from_ <= start[kept] + pairs.lo[pair, side[kept]] + 1e-9)
    whole_hi = flat[row] & (to >= start[kept] + pairs.hi[pair, side[kept]] - 1e-9)
    part = part.take(kept)
    begin = np.where(whole_lo, np.minimum(part.lo, from_), from_)
    stop = np.where(whole_hi, np.maximum(part.hi, to), to)
    # two strips may meet at a corner: each place has room of its own
    room = place[row] * (float(part.ring_end.max()) + 1.0)
    of = part.between(begin + room, stop + room).arcs(join=_MEET_MM).of
    arc_lo, arc_hi = np.full(len(of), np.inf), np.full(len(of), -np.inf)
    np.minimum.at(arc_lo, of, begin)
    np.maximum.at(arc_hi, of, stop)
    middle = (arc_lo[of] + arc_hi[of]) / 2
    off = np.maximum(np.maximum(from_ - middle, middle - to), 0.0)
    longest = -np.round(arc_hi[of] - arc_lo[of], 6)
    along = np.clip(middle, from_, to) - start[kept]
    width = np.minimum(np.minimum(pairs.w_lo[pair, 0], pairs.w_hi[pair, 0]), top[row])
    on_edge = edges.start[piece] + edges.along[piece] * along[:, None]
    middles = on_edge + edges.inward[piece] * (width / 2)[:, None]
    spot = np.where(flat[row][:, None], middles, pairs.foot[pair].mean(axis=1))
    chosen = first_of_each(
        place[row], longest, np.round(off, 6), flat[row].astype(float), *in_order(spot)
    )
    at[place[row[chosen]]] = spot[chosen]


def _narrow_part(pairs: Facing, rows: Ints, width: Floats) -> tuple[Floats, Floats]:
    """Give the part of the stretch on the first piece that is narrower than a width."""
    lo, hi = pairs.lo[rows, 0], pairs.hi[rows, 0]
    w_lo, w_hi = pairs.w_lo[rows, 0], pairs.w_hi[rows, 0]
    with np.errstate(divide="ignore", invalid="ignore"):
        cross = lo + (hi - lo) * (width - w_lo) / (w_hi - w_lo)
    rises, falls = (w_lo <= width) & (w_hi > width), (w_hi <= width) & (w_lo > width)
    # narrow nowhere but where the disc stands on a corner: there
    above = (w_lo > width) & (w_hi > width)
    lo, hi = (
        np.where(above & (w_hi < w_lo), hi, np.where(falls, cross, lo)),
        np.where(above & (w_lo <= w_hi), lo, np.where(rises, cross, hi)),
    )
    return lo, hi


def _dot(a: Floats, b: Floats) -> Floats:
    return np.asarray(np.einsum("ij,ij->i", a, b))
