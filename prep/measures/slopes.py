"""Tips and touches, and the slopes on which the width rises from them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from prep.measures.facing import Facing
from prep.measures.result import TIP, TOUCH
from prep.measures.stretches import JOIN_MM, components, first_of_each

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from prep.measures.edges import Edges
    from prep.measures.limits import Limits
    from prep.measures.stretches import Arcs, Stretches

    Floats = NDArray[np.float64]
    Ints = NDArray[np.int64]
    Bools = NDArray[np.bool_]

_TIP_ARC_FLOORS = 50  # a blunt end under the floor, no longer than this along the edge, is a tip
_SHARP_ARC_FLOORS = 400  # the same round a sharp corner: 0.29° and more, flattened however finely
_LEVEL_SHARE = 0.05
_LEAST_DEG = 1e-3  # a spike that comes back on itself has this angle
_GAP_FLOORS = 3  # what is under the floor is one round an end that is this blunt


@dataclass(frozen=True, slots=True, eq=False)
class Found:
    """Places as columns, before pieces and losses are known.

    :param width: (n,) mm
    :param at: (n, 2) mm
    :param length: (n,) mm
    :param kind: (n,)
    :param ring: (n,) number of a ring the place lies on
    :param tip_deg: (n,) nan unless a tip
    """

    width: Floats
    at: Floats
    length: Floats
    kind: Ints
    ring: Ints
    tip_deg: Floats


def sharp_corners(edges: Edges, limit: float, angle_deg: float) -> tuple[Facing, Floats]:
    """Give the corners sharper than 180° - ``angle_deg`` as pairs, with their angles in degrees."""
    into, out = edges.arriving, edges.along
    turn = np.degrees(
        np.arctan2(
            into[:, 0] * out[:, 1] - into[:, 1] * out[:, 0],
            into[:, 0] * out[:, 0] + into[:, 1] * out[:, 1],
        )
    )
    j = np.flatnonzero((turn > angle_deg + 1e-6) & (edges.length > 0))
    i = edges.before[j]
    corner = np.maximum(180 - turn[j], _LEAST_DEG)
    opens = 2 * np.tan(np.radians(corner) / 2)
    span = np.minimum(limit / opens, np.minimum(edges.length[i], edges.length[j]))
    apex = edges.start[j]
    none = np.zeros(len(j))
    pairs = Facing(
        i,
        j,
        chord=none,
        foot=np.stack([apex, apex], axis=1),
        opposed=np.zeros(len(j), dtype=bool),
        width=none,
        lo=np.stack([edges.length[i] - span, none], axis=1),
        hi=np.stack([edges.length[i], span], axis=1),
        w_lo=np.stack([span * opens, none], axis=1),
        w_hi=np.stack([none, span * opens], axis=1),
        bend=none,
    )
    return pairs, corner


def split_off(
    edges: Edges,
    pairs: Facing,
    stretches: Stretches,
    bare: Stretches,
    corners_from: int,
    corner_deg: Floats,
    limits: Limits,
    told_mm: float,
) -> tuple[Found, Bools]:
    """Find tips and touches, and the pairs that lie on the slopes rising from them.

    What lies under the floor and on one arc round an end is a tip: a sharp corner, or one so
    little blunted that no tool could show it. All else under the floor is a touch. From each the
    width is followed along the ring as long as it rises; where it falls again by more than the
    prominence the slope ends at the highest point before, and what lies beyond is a place of its
    own.

    :param stretches: the pairs along their rings, each reaching what the same disc touches next
    :param bare: the same without this
    :param corners_from: pairs from here on are the sharp corners
    :param corner_deg: their angles
    :param told_mm: a tip's length is that of what is narrower
    :return: the tips and touches; (pairs,) which pairs belong to their slopes
    """
    floor = limits.floor_mm
    low = (np.minimum(stretches.w_lo, stretches.w_hi) < floor) | (
        pairs.width[stretches.pair] < floor
    )
    part = stretches.take(np.flatnonzero(low))
    none = np.zeros(0)
    if not len(part):
        count = np.zeros(0, dtype=np.int64)
        found = Found(none, np.zeros((0, 2)), none, count, count, none)
        return found, np.zeros(len(pairs), dtype=bool)
    lo, hi = part.below(np.full(len(part), floor))
    part = part.between(lo, hi)
    arcs = part.arcs(join=_GAP_FLOORS * floor)
    halves = components(len(arcs), arcs.over_start)
    group_of = components(
        len(arcs), np.concatenate([arcs.over_start, _links(arcs.of, part.pair, len(pairs))])
    )
    groups = int(group_of.max()) + 1
    group = group_of[arcs.of]

    arc_count = np.zeros(groups, dtype=np.int64)
    np.add.at(arc_count, group_of[np.unique(halves, return_index=True)[1]], 1)
    arc_length = np.zeros(groups)
    np.add.at(arc_length, group_of, arcs.hi - arcs.lo)
    ring = np.zeros(groups, dtype=np.int64)
    ring[group] = part.ring
    whole = arc_length >= edges.ring_length[ring] - _GAP_FLOORS * floor
    corner = np.full(groups, -1)
    at_corner = part.pair >= corners_from
    corner[group[at_corner]] = part.pair[at_corner]
    opens_up = np.zeros(groups, dtype=bool)
    opens_up[group[at_corner & (np.maximum(part.w_lo, part.w_hi) >= floor)]] = True
    short = arc_length <= np.where(corner >= 0, _SHARP_ARC_FLOORS, _TIP_ARC_FLOORS) * floor
    tip = (arc_count == 1) & ~whole & (short | opens_up)

    leader = part.pair[first_of_each(group, pairs.width[part.pair])]
    leader = np.where(corner >= 0, corner, leader)
    across = np.einsum("ij,ij->i", edges.inward[pairs.i[leader]], edges.inward[pairs.j[leader]])
    angle = np.maximum(180 - np.degrees(np.arccos(np.clip(across, -1, 1))), 0.1)
    sharp = corner >= 0
    angle[sharp] = corner_deg[corner[sharp] - corners_from]

    own_mm = (arc_length / 2)[group_of]
    slopes = _climb_from(bare, stretches.arcs(), arcs, own_mm, limits, told_mm)
    length = np.zeros(groups)
    np.add.at(length, group_of, slopes.told_mm)
    found = Found(
        width=np.where(tip, 0.0, pairs.width[leader]),
        at=pairs.foot[leader].mean(axis=1),
        length=np.where(tip, length, arc_length) / 2,
        kind=np.where(tip, TIP, TOUCH),
        ring=ring,
        tip_deg=np.where(tip, angle, np.nan),
    )
    return found, _covered(stretches, slopes.lo, slopes.hi)


def _links(arc: Ints, pair: Ints, pairs: int) -> Ints:
    """Give the arcs that each pair joins."""
    order = np.argsort(pair, kind="stable")
    second = np.zeros(len(pair), dtype=bool)
    second[1:] = pair[order][1:] == pair[order][:-1]
    ends = np.full((pairs, 2), -1)
    ends[pair[order][~second], 0] = arc[order][~second]
    ends[pair[order][second], 1] = arc[order][second]
    return ends[(ends >= 0).all(axis=1)]


@dataclass(frozen=True, slots=True, eq=False)
class _Slopes:
    """How far widths rise from parts of rings.

    :param lo: (m,) where each slope begins; one that goes on over the start of its ring is two
    :param hi: (m,)
    :param told_mm: (n,) for each part how much of it and its slopes is narrower than a limit
    """

    lo: Floats
    hi: Floats
    told_mm: Floats


def _climb_from(
    stretches: Stretches,
    arcs: Arcs,
    parts: Arcs,
    own_mm: Floats,
    limits: Limits,
    told_mm: float,
) -> _Slopes:
    """Extend parts of arcs at both ends for as long as the width rises.

    :param own_mm: (parts,) how long a tip or touch is before its slopes begin
    """
    lo, hi = parts.lo, parts.hi
    position, width = stretches.profile()
    arc = np.searchsorted(arcs.lo, position + JOIN_MM, side="right") - 1
    after, before = _over_starts(stretches, arcs)
    first, last = (np.searchsorted(arc, np.arange(len(arcs)), side=s) for s in ("left", "right"))
    # a part at the start of a ring meets the one at its end
    part = np.searchsorted(arcs.lo, lo + JOIN_MM, side="right") - 1
    met = np.zeros(len(arcs), dtype=bool)
    met[part[lo <= arcs.lo[part] + JOIN_MM]] = True
    after[np.flatnonzero((after >= 0) & met[after])] = -1
    met[:] = False
    met[part[hi >= arcs.hi[part] - JOIN_MM]] = True
    before[np.flatnonzero((before >= 0) & met[before])] = -1
    lo, hi, told = lo.copy(), hi.copy(), hi - lo
    more: list[tuple[float, float]] = []
    for k in range(len(lo)):
        for way, ends, follows in ((1, hi, after), (-1, lo, before)):
            if way > 0:
                here = int(np.searchsorted(position, ends[k] - JOIN_MM))
            else:
                here = int(np.searchsorted(position, ends[k] + JOIN_MM, side="right")) - 1
            if not 0 <= here < len(position):
                continue
            on, over = arc[here], follows[arc[here]]
            own = np.arange(here, last[on] if way > 0 else first[on] - 1, way)
            beyond = np.arange(first[over], last[over])[::way] if over >= 0 else own[:0]
            if over == on:  # the arc is the whole ring
                beyond = beyond[: len(beyond) - len(own)]
            end, start = (arcs.hi[on], arcs.lo[over]) if way > 0 else (arcs.lo[on], arcs.hi[over])
            climb = _way_along(position, width, own, beyond, end, start)
            gone = way * (position[here] - ends[k])
            top = _climb(climb.width, limits)
            top = min(top, _levels_off(climb, own_mm[k] + max(gone, 0.0), top))
            below = _end_below(climb.way[: top + 1], climb.width[: top + 1], told_mm)
            told[k] += max(gone + below, 0.0)
            stop = position[own[top]] if top < len(own) else end
            ends[k] = way * max(way * ends[k], way * stop)
            if top >= len(own):
                more.append((start, position[beyond[top - len(own)]]))
    further = np.sort(np.array(more).reshape(-1, 2), axis=1)
    return _Slopes(np.r_[lo, further[:, 0]], np.r_[hi, further[:, 1]], told)


def _over_starts(stretches: Stretches, arcs: Arcs) -> tuple[Ints, Ints]:
    """Give the arc that follows each over the start of its ring, and the one before; -1 where none."""
    after, before = np.full(len(arcs), -1), np.full(len(arcs), -1)
    after[arcs.over_start[:, 0]] = arcs.over_start[:, 1]
    before[arcs.over_start[:, 1]] = arcs.over_start[:, 0]
    ring = np.searchsorted(stretches.ring_start, arcs.lo + JOIN_MM, side="right") - 1
    whole = np.flatnonzero(
        (arcs.lo <= stretches.ring_start[ring] + JOIN_MM)
        & (arcs.hi >= stretches.ring_end[ring] - JOIN_MM)
    )
    after[whole] = before[whole] = whole
    return after, before


@dataclass(frozen=True, slots=True, eq=False)
class _Way:
    """A profile followed from a place on.

    :param way: (n,) mm from the first row
    :param width: (n,)
    """

    way: Floats
    width: Floats


def _way_along(
    position: Floats, width: Floats, own: Ints, beyond: Ints, end: float, start: float
) -> _Way:
    """Follow the profile over rows in order.

    :param own: rows up to the end of the arc
    :param beyond: rows over the start of the ring
    :param end: where the arc ends, mm
    :param start: where the arc over the start of the ring begins
    """
    rows = np.concatenate([own, beyond])
    step = np.abs(np.diff(position[rows]))
    along = width[rows]
    if len(beyond):
        seam = len(own)
        step[seam - 1] = abs(end - position[own[-1]]) + abs(position[beyond[0]] - start)
        if step[seam - 1] < JOIN_MM:  # both sides of one vertex
            along[seam - 1 : seam + 1] = along[seam - 1 : seam + 1].min()
    return _Way(np.concatenate([[0.0], np.cumsum(step)]), along)


def _levels_off(climb: _Way, before_mm: float, top: int) -> int:
    """Give the row up to ``top`` from which on the width stays as it is for long.

    A tip's width doubles with the way from its apex. Where it rises by less than counts over a way as
    long as that from the apex, and as long as it is wide, a strip begins.

    :param before_mm: the way from the apex to the first row
    """
    way, width = climb.way[: top + 1] + before_mm, climb.width[: top + 1]
    run = np.maximum(way, width)
    whole = way + run <= way[-1]
    level = whole & (np.interp(way + run, way, width) < (1.0 + _LEVEL_SHARE) * width)
    return int(level.argmax()) if level.any() else top


def _end_below(position: Floats, width: Floats, told_mm: float) -> float:
    """Give where a width that rises first reaches a limit, or the last position."""
    over = width >= told_mm
    first = int(over.argmax())
    if not over[first]:
        return float(position[-1])
    if first == 0:
        return float(position[0])
    rise = width[first] - width[first - 1]
    share = (told_mm - width[first - 1]) / rise if rise > 0 and np.isfinite(rise) else 1.0
    return float(position[first - 1] + share * (position[first] - position[first - 1]))


def _climb(width: Floats, limits: Limits) -> int:
    """Give the index of the highest point before the width falls, or of the last point."""
    step = 64
    best, best_at, low = -np.inf, 0, 0
    while low < len(width):
        part = width[low : low + step]
        top = np.maximum(np.maximum.accumulate(part), best)
        falls = part < top - np.maximum(limits.prominence_mm, limits.prominence_share * top)
        end = int(falls.argmax()) if falls.any() else len(part)
        if end:
            peak = int(part[:end].argmax())
            if part[peak] > best:
                best, best_at = float(part[peak]), low + peak
        if end < len(part):
            return best_at
        low += step
        step = min(step * 2, 4096)
    return len(width) - 1


def _covered(stretches: Stretches, lo: Floats, hi: Floats) -> Bools:
    """Say which pairs have the middle of both stretches on the slopes."""
    order = np.argsort(lo, kind="stable")
    reach = np.maximum.accumulate(hi[order])
    middle = (stretches.lo + stretches.hi) / 2
    spot = np.searchsorted(lo[order], middle, side="right") - 1
    inside = (spot >= 0) & (reach[np.maximum(spot, 0)] >= middle)
    half = len(inside) // 2
    return np.asarray(inside[:half] & inside[half:])
