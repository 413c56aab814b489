"""From facing pairs to places: strips, tips and touches."""

from __future__ import annotations

from dataclasses import dataclass, fields
from typing import TYPE_CHECKING

import numpy as np
import shapely
from scipy.sparse import coo_matrix
from scipy.sparse.csgraph import connected_components

from prep.measures.discs import settle
from prep.measures.edges import edges_of
from prep.measures.facing import (
    Facing,
    box_lines,
    facing_pairs,
    narrows_on,
    search_boxes,
)
from prep.measures.result import STRIP, TIP, TOUCH, Places, tip_losses

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from prep.measures.edges import Edges
    from prep.measures.limits import Limits

    Floats = NDArray[np.float64]
    Ints = NDArray[np.int64]
    Bools = NDArray[np.bool_]

_JOIN_MM = 1e-6  # stretches this close along a ring are one
_LEVEL_MM = 1e-4  # the stretch whose middle is the place's location
_DIP = 0.05  # a dip counts when the width falls by this share of itself
_TIP_ARC_FLOORS = 50  # a blunt end shorter than this many floors along the edge is still a tip


def find_places(
    rings: NDArray[np.object_], piece: Ints, limit: float, limits: Limits, *, flip: bool
) -> Places:
    """Find the places narrower than a limit on one side of rings.

    :param rings: linear rings, openings on their left, straight vertices dropped
    :param piece: (rings,) number of the piece each ring bounds on the asked side
    :param limit: mm
    :param flip: ask for the film on their right
    """
    edges = edges_of(rings, limit, flip=flip)
    if not len(edges):
        return _no_places()
    tree = shapely.STRtree(box_lines(search_boxes(edges, limit)))
    pairs = facing_pairs(edges, tree, limit, limits.angle_deg)
    sloped = narrows_on(pairs, edges)
    near = _in_sight(_stretches_on_rings(edges, pairs, bridged=False))
    pairs, sloped = pairs.take(near), sloped[near]
    corners, corner_deg = _sharp_corners(edges, limit, limits.angle_deg)
    tips_from = len(pairs)
    pairs = _joined(pairs, corners)
    sloped = np.r_[sloped, np.ones(len(corners), dtype=bool)]
    stretches = _stretches_on_rings(edges, pairs)

    seeds = _seeds(edges, pairs, stretches, limits, tips_from, corner_deg)
    absorbed = _absorb(stretches, seeds, limits)
    rest = np.flatnonzero(~absorbed)
    strips = _strips(edges, tree, pairs, stretches, rest, sloped, limit, limits)
    return _assemble(edges, piece, [seeds.places, strips], limits)


@dataclass(frozen=True, slots=True, eq=False)
class _Stretches:
    """Where pairs touch their rings: two rows per pair, first all ``i``, then all ``j``.

    Positions run along all rings one behind the other, with room between rings.
    """

    pair: Ints
    lo: Floats
    hi: Floats
    w_lo: Floats
    w_hi: Floats
    ring: Ints
    offset: Floats
    ring_length: Floats

    def arcs(self, rows: Ints, join: float = _JOIN_MM) -> tuple[Ints, Ints]:
        """Give the arc each row lies on: rows that overlap or meet along a ring share an arc.

        :return: (rows,) arc numbers from 0; (m, 2) pairs of arcs that meet across a ring's start
        """
        lo, hi, ring = self.lo[rows], self.hi[rows], self.ring[rows]
        order = np.argsort(lo, kind="stable")
        reach = np.maximum.accumulate(hi[order])
        new = np.r_[True, lo[order][1:] > reach[:-1] + join] if len(rows) else np.zeros(0, bool)
        number = np.cumsum(new) - 1
        arc = np.empty(len(rows), dtype=np.int64)
        arc[order] = number
        at_start = lo <= self.offset[ring] + join
        at_end = hi >= self.offset[ring] + self.ring_length[ring] - join
        start_arc = np.full(len(self.offset), -1)
        end_arc = np.full(len(self.offset), -1)
        start_arc[ring[at_start]] = arc[at_start]
        end_arc[ring[at_end]] = arc[at_end]
        both = (start_arc >= 0) & (end_arc >= 0) & (start_arc != end_arc)
        return arc, np.stack([start_arc[both], end_arc[both]], axis=1)


def _stretches_on_rings(edges: Edges, pairs: Facing, *, bridged: bool = True) -> _Stretches:
    """Lay the stretches of all pairs along their rings.

    :param bridged: let stretches reach over vertices to what the same disc touches next
    """
    room = 1.0
    offset = np.r_[0.0, np.cumsum(edges.ring_length + room)[:-1]]
    columns: list[list[Floats]] = [[], [], [], [], []]
    rings = []
    wide = np.maximum(pairs.w_lo, pairs.w_hi).max(axis=1, initial=0.0)
    for side, piece, partner in ((0, pairs.i, pairs.j), (1, pairs.j, pairs.i)):
        # a contact rolls round a vertex that turns away; the stretch reaches what it meets there
        low = pairs.lo[:, side] - 0.7 * edges.away_after[partner] * wide
        high = pairs.hi[:, side] + 0.7 * edges.away_before[partner] * wide
        # and it jumps over a vertex that turns towards it, when the disc touches both its edges
        length = edges.length[piece]
        base = offset[edges.ring[piece]] + edges.at[piece]
        columns[2].append(pairs.w_lo[:, side])
        columns[3].append(pairs.w_hi[:, side])
        rings.append(edges.ring[piece])
        if not bridged:
            columns[0].append(base + pairs.lo[:, side])
            columns[1].append(base + pairs.hi[:, side])
            continue
        skip_low = _over_vertex(edges.toward_before[piece], pairs.w_lo[:, side])
        skip_high = _over_vertex(edges.toward_after[piece], pairs.w_hi[:, side])
        columns[0].append(base + np.where(low <= skip_low, 0.0, low))
        columns[1].append(base + np.where(high >= length - skip_high, length, high))
    index = np.arange(len(pairs))
    return _Stretches(
        np.r_[index, index],
        *(np.concatenate(column) for column in columns[:4]),
        ring=np.concatenate(rings),
        offset=offset,
        ring_length=edges.ring_length,
    )


def _over_vertex(turn: Floats, width: Floats) -> Floats:
    """Give how far before a vertex a disc touches the edge when it also touches the next one."""
    bend = np.tan(np.minimum(turn, np.radians(120.0)) / 2)
    return np.where(np.isfinite(width), width, 0.0) / 2 * bend * (1 + 1e-6) + 1e-9


def _sharp_corners(edges: Edges, limit: float, angle_deg: float) -> tuple[Facing, Floats]:
    """Give the corners sharper than 180° - ``angle_deg`` as pairs, with their angles."""
    turn = np.degrees(
        np.arctan2(
            edges.arriving[:, 0] * edges.along[:, 1] - edges.arriving[:, 1] * edges.along[:, 0],
            edges.arriving[:, 0] * edges.along[:, 0] + edges.arriving[:, 1] * edges.along[:, 1],
        )
    )
    j = np.flatnonzero((turn > angle_deg + 1e-6) & (edges.length > 0))
    i = edges.before[j]
    corner = 180 - turn[j]
    reach = limit / (2 * np.tan(np.radians(corner) / 2))
    span = np.minimum(reach, np.minimum(edges.length[i], edges.length[j]))
    wide = 2 * span * np.tan(np.radians(corner) / 2)
    apex = edges.start[j]
    none = np.zeros(len(j))
    return (
        Facing(
            i,
            j,
            chord=none,
            foot=np.stack([apex, apex], axis=1),
            opposed=np.zeros(len(j), dtype=bool),
            width=none,
            lo=np.stack([edges.length[i] - span, none], axis=1),
            hi=np.stack([edges.length[i], span], axis=1),
            w_lo=np.stack([wide, none], axis=1),
            w_hi=np.stack([none, wide], axis=1),
        ),
        corner,
    )


@dataclass(frozen=True, slots=True, eq=False)
class _Found:
    """Places found, as columns, before pieces are known."""

    width: Floats
    at: Floats
    length: Floats
    kind: Ints
    ring: Ints
    tip_deg: Floats


@dataclass(frozen=True, slots=True, eq=False)
class _Seeds:
    """Tips and touches, and the stretches of ring under the floor that belong to them.

    :param lo: (m,) positions; :param hi: (m,); :param owner: (m,) which place
    """

    places: _Found
    lo: Floats
    hi: Floats
    owner: Ints


def _seeds(
    edges: Edges,
    pairs: Facing,
    stretches: _Stretches,
    limits: Limits,
    tips_from: int,
    corner_deg: Floats,
) -> _Seeds:
    """Group what lies under the floor into tips (one arc round an end) and touches."""
    floor = limits.floor_mm
    low = np.minimum(stretches.w_lo, stretches.w_hi) < floor
    low |= (pairs.width < floor)[stretches.pair]
    rows = np.flatnonzero(low)
    if not len(rows):
        none = np.zeros(0)
        empty = _Found(none, np.zeros((0, 2)), none, none.astype(int), none.astype(int), none)
        return _Seeds(empty, none, none, none.astype(int))
    lo, hi = _part_below(stretches, rows, floor)
    cut = _Stretches(
        stretches.pair[rows], lo, hi, stretches.w_lo[rows], stretches.w_hi[rows],
        stretches.ring[rows], stretches.offset, stretches.ring_length,
    )  # fmt: skip
    every = np.arange(len(rows))
    arc, across_start = cut.arcs(every, join=3 * floor)
    arcs = int(arc.max()) + 1
    arc_lo, arc_hi = np.full(arcs, np.inf), np.full(arcs, -np.inf)
    np.minimum.at(arc_lo, arc, lo)
    np.maximum.at(arc_hi, arc, hi)
    wrap = _components(arcs, across_start)
    group_of_arc = _components(
        arcs, np.concatenate([across_start, _links(arc, cut.pair, len(pairs))])
    )
    groups = int(group_of_arc.max()) + 1
    group = group_of_arc[arc]

    # one arc (two halves across a ring's start count as one) round an end: a tip
    arc_count = np.zeros(groups, dtype=np.int64)
    np.add.at(arc_count, group_of_arc[np.unique(wrap, return_index=True)[1]], 1)
    arc_length = np.zeros(groups)
    np.add.at(arc_length, group_of_arc, arc_hi - arc_lo)
    ring = np.zeros(groups, dtype=np.int64)
    ring[group] = cut.ring
    whole = arc_length >= edges.ring_length[ring] - 3 * floor
    corner = np.full(groups, -1)
    is_corner = cut.pair >= tips_from
    corner[group[is_corner]] = cut.pair[is_corner]
    reaches = np.zeros(groups, dtype=bool)
    clear = is_corner & (np.maximum(cut.w_lo, cut.w_hi) >= floor)
    reaches[group[clear]] = True
    short = arc_length <= _TIP_ARC_FLOORS * floor
    tip = (arc_count == 1) & ~whole & (short | (reaches & (corner >= 0)))

    order = np.lexsort((pairs.width[cut.pair], group))
    leader = cut.pair[order[np.flatnonzero(np.r_[True, np.diff(group[order]) > 0])]]
    leader = np.where(corner >= 0, corner, leader)
    angle = np.full(groups, np.nan)
    cosine = np.einsum("ij,ij->i", edges.inward[pairs.i[leader]], edges.inward[pairs.j[leader]])
    angle[tip] = (180 - np.degrees(np.arccos(np.clip(cosine, -1, 1))))[tip]
    exact = tip & (corner >= 0)
    angle[exact] = corner_deg[corner[exact] - tips_from]
    blunt = tip & ~exact
    angle[blunt] = np.maximum(angle[blunt], 0.1)
    at = pairs.foot[leader].mean(axis=1)
    width = np.where(tip, 0.0, pairs.width[leader])
    found = _Found(
        width, at, arc_length / 2, np.where(tip, TIP, TOUCH), edges.ring[pairs.i[leader]], angle
    )
    return _Seeds(found, arc_lo, arc_hi, group_of_arc)


def _part_below(stretches: _Stretches, rows: Ints, width: float) -> tuple[Floats, Floats]:
    """Give the part of each stretch that is narrower than a width."""
    lo, hi = stretches.lo[rows], stretches.hi[rows]
    w_lo, w_hi = stretches.w_lo[rows], stretches.w_hi[rows]
    with np.errstate(divide="ignore", invalid="ignore"):
        cross = lo + (hi - lo) * (width - w_lo) / (w_hi - w_lo)
    crossing = (np.minimum(w_lo, w_hi) < width) & (np.maximum(w_lo, w_hi) > width)
    up = crossing & (w_hi > w_lo)
    down = crossing & (w_hi < w_lo)
    return np.where(down, cross, lo), np.where(up, cross, hi)


def _absorb(stretches: _Stretches, seeds: _Seeds, limits: Limits) -> Bools:
    """Say which pairs belong to the slopes that rise from tips and touches.

    From each end of what lies under the floor the width is followed along the ring as long as it
    rises. Where it falls again, by more than the prominence, the slope ends at the highest point
    before; what lies beyond is a place of its own.
    """
    pairs = len(stretches.pair) // 2
    if not len(seeds.lo):
        return np.zeros(pairs, dtype=bool)
    position, width, arc = _profile(stretches)
    lo, hi = seeds.lo.copy(), seeds.hi.copy()
    ends = np.flatnonzero(np.r_[arc[1:] != arc[:-1], True]) + 1
    starts = np.r_[0, ends[:-1]]
    for k in range(len(lo)):
        here = int(np.searchsorted(position, seeds.hi[k]))
        if here < len(position):
            stop = int(ends[arc[here]])
            top = _climb(width[here:stop], limits)
            if top >= 0:
                hi[k] = max(hi[k], position[here + top])
        here = int(np.searchsorted(position, seeds.lo[k], side="right")) - 1
        if here >= 0:
            stop = int(starts[arc[here]])
            top = _climb(width[stop : here + 1][::-1], limits)
            if top >= 0:
                lo[k] = min(lo[k], position[here - top])
    order = np.argsort(lo, kind="stable")
    reach = np.maximum.accumulate(hi[order])
    middle = (stretches.lo + stretches.hi) / 2
    spot = np.searchsorted(lo[order], middle, side="right") - 1
    inside = (spot >= 0) & (reach[np.maximum(spot, 0)] >= middle - _JOIN_MM)
    return np.asarray(inside[:pairs] & inside[pairs:])


def _climb(width: Floats, limits: Limits) -> int:
    """Give the index of the highest point before the width falls, or of the last point."""
    step = 64
    best, best_at = -np.inf, -1
    for low in range(0, len(width), step):
        part = width[low : low + step]
        top = np.maximum(np.maximum.accumulate(part), best)
        falls = part < top - np.maximum(limits.prominence_mm, _DIP * top)
        end = int(falls.argmax()) if falls.any() else len(part)
        if end:
            peak = int(part[:end].argmax())
            if part[peak] > best:
                best, best_at = float(part[peak]), low + peak
        if end < len(part):
            return best_at
        step = min(step * 2, 4096)
    return len(width) - 1


def _profile(stretches: _Stretches) -> tuple[Floats, Floats, Ints]:
    """Give the width along all arcs: positions in order, least width there, number of the arc."""
    arc, _ = stretches.arcs(np.arange(len(stretches.pair)))
    position, row, spot, value = _values(stretches)
    width = np.full(len(position), np.inf)
    np.minimum.at(width, spot, value)
    of_arc = np.zeros(len(position), dtype=np.int64)
    of_arc[spot] = arc[row]
    return position, width, of_arc


def _values(stretches: _Stretches) -> tuple[Floats, Ints, Ints, Floats]:
    """Give every stretch's width wherever some stretch begins or ends on it.

    :return: positions in order; for each value its row, the index of its position, the width
    """
    position = np.unique(np.r_[stretches.lo, stretches.hi])
    first = np.searchsorted(position, stretches.lo)
    last = np.searchsorted(position, stretches.hi)
    count = last - first + 1
    row = np.repeat(np.arange(len(count)), count)
    spot = np.arange(len(row)) - np.repeat(np.cumsum(count) - count, count) + first[row]
    span = stretches.hi[row] - stretches.lo[row]
    along = position[spot] - stretches.lo[row]
    share = np.where(span > 0, along / np.where(span > 0, span, 1.0), 0.0)
    value = stretches.w_lo[row] + share * (stretches.w_hi[row] - stretches.w_lo[row])
    return position, row, spot, value


def _in_sight(stretches: _Stretches) -> Bools:
    """Say which pairs are, somewhere, the nearest partner seen from either of their pieces.

    What is hidden behind a nearer edge has no disc between its pieces.
    """
    position, row, spot, value = _values(stretches)
    least = np.full(len(position), np.inf)
    np.minimum.at(least, spot, value)
    seen = value <= least[spot] * (1 + 1e-9) + 1e-7
    sight = np.zeros(len(stretches.pair), dtype=bool)
    sight[row[seen]] = True
    half = len(sight) // 2
    return np.asarray(sight[:half] & sight[half:])


def _components(count: int, links: NDArray[np.int64]) -> Ints:
    graph = coo_matrix((np.ones(len(links)), (links[:, 0], links[:, 1])), shape=(count, count))
    return np.asarray(connected_components(graph, directed=False)[1], dtype=np.int64)


def _links(arc: Ints, pair: Ints, pairs: int) -> NDArray[np.int64]:
    """Give the arcs that each pair joins."""
    low, high = np.full(pairs, -1), np.full(pairs, -1)
    half = np.zeros(pairs, dtype=np.int64)
    order = np.argsort(pair, kind="stable")
    second = np.r_[False, pair[order][1:] == pair[order][:-1]] if len(pair) else np.zeros(0, bool)
    low[pair[order][~second]] = arc[order][~second]
    high[pair[order][second]] = arc[order][second]
    half[pair] += 1
    both = (low >= 0) & (high >= 0)
    return np.stack([low[both], high[both]], axis=1)


def _strips(
    edges: Edges,
    tree: shapely.STRtree,
    pairs: Facing,
    stretches: _Stretches,
    rest: Ints,
    sloped: Bools,
    limit: float,
    limits: Limits,
) -> _Found:
    """Group what is left into places and give each its least width, where and how long it is."""
    count = len(pairs)
    rows = np.r_[rest, rest + count]
    none = np.zeros(0)
    if not len(rest):
        empty = np.zeros(0, dtype=np.int64)
        return _Found(none, np.zeros((0, 2)), none, empty, empty, none)
    arc, across_start = stretches.arcs(rows)
    arcs = int(arc.max()) + 1
    links = np.stack([arc[: len(rest)], arc[len(rest) :]], axis=1)
    of_arc = _components(arcs, np.concatenate([across_start, links]))
    place = of_arc[arc[: len(rest)]]
    places = int(of_arc.max()) + 1
    arc_lo, arc_hi = np.full(arcs, np.inf), np.full(arcs, -np.inf)
    np.minimum.at(arc_lo, arc, stretches.lo[rows])
    np.maximum.at(arc_hi, arc, stretches.hi[rows])
    length = np.zeros(places)
    np.add.at(length, of_arc, arc_hi - arc_lo)

    best, width, centre = _least(
        edges, tree, pairs.take(rest), place, places, sloped[rest], limit, limits
    )
    real = np.flatnonzero(best >= 0)
    at = np.zeros((places, 2))
    at[real] = centre[best[real]]
    least = np.full(places, np.inf)
    least[real] = width[best[real]]
    _centre_on_level(edges, pairs.take(rest), stretches, rest, place, least, at)
    ring = np.zeros(places, dtype=np.int64)
    ring[real] = edges.ring[pairs.i[rest[best[real]]]]
    kind = np.where(least < limits.floor_mm, TOUCH, STRIP)
    return _Found(
        least[real], at[real], length[real] / 2, kind[real], ring[real], np.full(len(real), np.nan)
    )


def _least(
    edges: Edges,
    tree: shapely.STRtree,
    pairs: Facing,
    place: Ints,
    places: int,
    sloped: Bools,
    limit: float,
    limits: Limits,
) -> tuple[Ints, Floats, Floats]:
    """Find each place's least width, settling as few discs as need be, narrowest first.

    :return: (places,) the pair with the least width, -1 where there is none; (pairs,) widths of
        the settled pairs; (pairs, 2) their centres
    """
    width = np.where(sloped, np.inf, pairs.width)
    settled = sloped.copy()
    centre = np.zeros((len(pairs), 2))
    batch = 1
    while True:
        bound = np.full(places, np.inf)
        np.minimum.at(bound, place[settled], width[settled])
        open_ = np.flatnonzero(~settled & (width < bound[place]))
        if not len(open_):
            break
        order = open_[np.lexsort((width[open_], place[open_]))]
        new = np.r_[True, place[order][1:] != place[order][:-1]]
        start = np.maximum.accumulate(np.where(new, np.arange(len(order)), 0))
        todo = order[np.arange(len(order)) - start < batch]
        width[todo], centre[todo] = settle(edges, tree, pairs.take(todo), limit, limits.angle_deg)
        settled[todo] = True
        batch *= 4
    best = np.full(places, -1)
    done = np.flatnonzero(settled & np.isfinite(width))
    order = done[np.lexsort((width[done], place[done]))]
    first = np.r_[True, place[order][1:] != place[order][:-1]] if len(order) else np.zeros(0, bool)
    best[place[order[first]]] = order[first]
    return best, width, centre


def _centre_on_level(
    edges: Edges,
    pairs: Facing,
    stretches: _Stretches,
    rest: Ints,
    place: Ints,
    least: Floats,
    at: Floats,
) -> None:
    """Move each location to the middle of the stretch that is as narrow as its narrowest point."""
    limit = least[place] + _LEVEL_MM
    level = np.flatnonzero(
        pairs.opposed & (pairs.width <= limit) & (pairs.width >= least[place] - 1e-6)
        & (edges.length[pairs.i] > 0)
    )  # fmt: skip
    if not len(level):
        return
    rows = rest[level]
    part = _Stretches(
        rows, stretches.lo[rows], stretches.hi[rows], stretches.w_lo[rows], stretches.w_hi[rows],
        stretches.ring[rows], stretches.offset, stretches.ring_length,
    )  # fmt: skip
    lo, hi = _part_below_each(part, limit[level])
    piece = pairs.i[level]
    other = pairs.j[level]
    gap = pairs.foot[level, 1] - pairs.foot[level, 0]
    lean = np.maximum(
        np.abs(np.einsum("ij,ij->i", gap, edges.along[piece])),
        np.abs(np.einsum("ij,ij->i", gap, edges.along[other])),
    )
    flat = (edges.length[other] > 0) & (lean <= 1e-6)
    foot = np.einsum("ij,ij->i", pairs.foot[level, 0] - edges.start[piece], edges.along[piece])
    foot += part.offset[part.ring] + edges.at[piece]
    lo, hi = np.where(flat, lo, foot), np.where(flat, hi, foot)
    cut = _Stretches(rows, lo, hi, part.w_lo, part.w_hi, part.ring, part.offset, part.ring_length)
    arc, _ = cut.arcs(np.arange(len(rows)), join=1e-3)
    arcs = int(arc.max()) + 1
    arc_lo, arc_hi = np.full(arcs, np.inf), np.full(arcs, -np.inf)
    np.minimum.at(arc_lo, arc, lo)
    np.maximum.at(arc_hi, arc, hi)
    middle = ((arc_lo + arc_hi) / 2)[arc]
    off = np.maximum(np.maximum(lo - middle, middle - hi), 0.0)
    # the longest level arc of each place, and on it the pair nearest the middle
    order = np.lexsort((off, -np.round((arc_hi - arc_lo)[arc], 6), place[level]))
    first = np.r_[True, np.diff(place[level][order]) > 0]
    chosen = order[first]
    pair = level[chosen]
    position = np.clip(middle[chosen], lo[chosen], hi[chosen])
    piece = pairs.i[pair]
    t = position - part.offset[part.ring[chosen]] - edges.at[piece]
    w = np.minimum(np.minimum(pairs.w_lo[pair, 0], pairs.w_hi[pair, 0]), limit[pair])
    middles = edges.start[piece] + edges.along[piece] * t[:, None]
    middles += edges.inward[piece] * (w / 2)[:, None]
    spot = ~flat[chosen]
    middles[spot] = pairs.foot[pair[spot]].mean(axis=1)
    at[place[pair]] = middles


def _part_below_each(stretches: _Stretches, width: Floats) -> tuple[Floats, Floats]:
    lo, hi, w_lo, w_hi = stretches.lo, stretches.hi, stretches.w_lo, stretches.w_hi
    with np.errstate(divide="ignore", invalid="ignore"):
        cross = lo + (hi - lo) * (width - w_lo) / (w_hi - w_lo)
    up, down = (w_hi > width) & (w_lo <= width), (w_lo > width) & (w_hi <= width)
    return np.where(down, cross, lo), np.where(up, cross, hi)


def _assemble(edges: Edges, piece: Ints, found: list[_Found], limits: Limits) -> Places:
    whole = _Found(
        *(np.concatenate([getattr(part, f.name) for part in found]) for f in fields(_Found))
    )
    order = np.lexsort((whole.at[:, 1], whole.at[:, 0], whole.width))
    angle = whole.tip_deg[order]
    lost_length, lost_area = tip_losses(angle, limits.tip_width_mm)
    return Places(
        width_mm=whole.width[order],
        at_mm=whole.at[order],
        length_mm=whole.length[order],
        kind=whole.kind[order].astype(np.int64),
        piece=piece[whole.ring[order]].astype(np.int64),
        tip_angle_deg=angle,
        tip_lost_length_mm=lost_length,
        tip_lost_area_mm2=lost_area,
    )


def _no_places() -> Places:
    none = np.zeros(0)
    count = np.zeros(0, dtype=np.int64)
    return Places(none, np.zeros((0, 2)), none, count, count, none, none, none)


def _joined(first: Facing, second: Facing) -> Facing:
    return Facing(
        *(np.concatenate([getattr(first, f.name), getattr(second, f.name)]) for f in fields(Facing))
    )
