"""From the edge of a region to its narrow places."""

from __future__ import annotations

from dataclasses import fields
from typing import TYPE_CHECKING

import numpy as np
import shapely

from prep.measures.discs import settle
from prep.measures.edges import bounds_of, edges_of
from prep.measures.facing import Facing, facing_pairs, facing_pieces
from prep.measures.result import TOUCH, Places, tip_losses
from prep.measures.runs import runs_of
from prep.measures.slopes import Found, sharp_corners, split_off
from prep.measures.stretches import in_order, lay_along_rings
from prep.measures.strips import find_strips

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from prep.measures.edges import Edges
    from prep.measures.limits import Limits
    from prep.measures.runs import Runs

    Floats = NDArray[np.float64]
    Ints = NDArray[np.int64]
    Bools = NDArray[np.bool_]

_ONE_SPOT_MM = 1e-6
_COARSE = 16  # pieces are first so many times as long as the limit
_RUN = 4  # so many pieces of mean length may make a run
_WORTH = 1.5  # where cutting makes more pieces, by this factor, a look where to cut is worth it


def find_places(
    rings: NDArray[np.object_],
    piece: Ints,
    limit: float,
    limits: Limits,
    *,
    flip: bool,
    told_mm: float | None = None,
) -> Places:
    """Find the places narrower than a limit on one side of rings.

    :param rings: linear rings, openings on their left, straight vertices dropped
    :param piece: (rings,) number of the piece each ring bounds on the asked side
    :param limit: mm
    :param flip: ask for the film on their right
    :param told_mm: lengths are those of what is narrower than this; None: than the limit. Tips are
        told no further than ``limits.places_to_mm``, however far the search goes
    """
    told_mm = limit if told_mm is None else told_mm
    edges, facing = _cut_where_needed(rings, limit, limits, flip=flip)
    if not len(facing):
        return no_places()
    pairs = _pairs(edges, facing, limit, limits)
    corners, corner_deg = sharp_corners(edges, limit, limits.angle_deg)
    every = _joined(pairs, corners)
    if not len(every):
        return no_places()
    stretches = lay_along_rings(edges, every, bridged=True)
    ends, sloped = split_off(
        edges,
        every,
        stretches,
        lay_along_rings(edges, every, bridged=False),
        len(pairs),
        corner_deg,
        limits,
        min(told_mm, limits.places_to_mm),
    )
    runs = runs_of(edges, bounds_of(edges), max(2 * limit, _RUN * float(edges.length.mean())))
    sloped = sloped[: len(pairs)]
    rest = np.flatnonzero(
        (pairs.width >= limits.floor_mm)
        & (~sloped | _cut_off(edges, runs, pairs, sloped, limit, limits))
    )
    # what is no longer needed makes room
    stretches = stretches.take(np.concatenate([rest, rest + len(every)]))
    pairs = pairs.take(rest)
    del every, corners
    strips = find_strips(edges, runs, pairs, stretches, limit, limits, told_mm)
    return _assemble(piece, [ends, strips], limits)


def _cut_where_needed(
    rings: NDArray[np.object_], limit: float, limits: Limits, *, flip: bool
) -> tuple[Edges, Ints]:
    """Give the edges, no longer than the limit where another one faces them or they end in a tip.

    Where nothing faces an edge it makes no difference how it is cut.

    :return: the edges, and which of them may face another
    """
    points, ring = shapely.get_coordinates(rings, return_index=True)
    length = np.hypot(*(points[1:] - points[:-1])[ring[1:] == ring[:-1]].T)
    if np.ceil(length / limit).sum() < _WORTH * len(length):
        edges = edges_of(rings, limit, flip=flip)
        return edges, np.arange(len(edges))
    whole = edges_of(rings, _COARSE * limit, flip=flip)
    if not len(whole):
        return whole, np.arange(0)
    needed = facing_pieces(whole, limit, limits.angle_deg)
    corners, _ = sharp_corners(whole, limit, limits.angle_deg)
    needed[corners.i] = needed[corners.j] = True
    faces = np.zeros(whole.edge[-1] + 1, dtype=bool)
    faces[whole.edge[needed]] = True
    if not faces.any():
        return whole, np.arange(0)
    near = faces[whole.edge]
    if not (whole.length[near] > limit).any():
        return whole, np.flatnonzero(near)
    edges = edges_of(rings, np.where(faces, limit, _COARSE * limit), flip=flip)
    return edges, np.flatnonzero(faces[edges.edge])


def _pairs(edges: Edges, facing: Ints, limit: float, limits: Limits) -> Facing:
    """Find the pairs with a stretch of the medial axis between them."""
    pairs = facing_pairs(edges, limit, limits.angle_deg, facing)
    sight = lay_along_rings(edges, pairs, bridged=False).in_sight()
    return pairs.take(np.flatnonzero(sight[: len(pairs)] & sight[len(pairs) :]))


def _cut_off(
    edges: Edges,
    runs: Runs,
    pairs: Facing,
    sloped: Bools,
    limit: float,
    limits: Limits,
) -> Bools:
    """Say on which pairs of slopes another edge reaches in between and ends the slope.

    What lies beyond has a least width of its own, where the disc is held by all three.
    """
    rows = np.flatnonzero(sloped & (pairs.width >= limits.floor_mm))
    width, _ = settle(edges, runs, pairs.take(rows), limit, limits.angle_deg)
    rise = np.maximum(limits.prominence_mm, limits.prominence_share * pairs.width[rows])
    cut = np.zeros(len(pairs), dtype=bool)
    cut[rows] = np.isfinite(width) & (width > pairs.width[rows] + rise)
    return cut


def _assemble(piece: Ints, found: list[Found], limits: Limits) -> Places:
    whole = Found(
        *(np.concatenate([getattr(part, f.name) for part in found]) for f in fields(Found))
    )
    x, y = in_order(whole.at)
    order = np.lexsort((y, x, np.round(whole.width, 9)))
    # where edges cross or corners kiss, several pairs touch at one point
    spots = np.round(whole.at[order] / _ONE_SPOT_MM)
    again = np.r_[False, (np.diff(spots, axis=0) == 0).all(axis=1)] if len(order) else order > 0
    order = order[~(again & (whole.kind[order] == TOUCH))]
    angle = whole.tip_deg[order]
    length = np.maximum(whole.length[order], 0.0)
    lost_length, lost_area = tip_losses(angle, limits.tip_width_mm)
    # the formula is for edges without end; a needle can lose no more than itself
    lost_length = np.minimum(lost_length, length)
    lost_area = np.minimum(lost_area, length * limits.tip_width_mm / 2)
    return Places(
        width_mm=np.maximum(whole.width[order], 0.0),
        at_mm=whole.at[order],
        length_mm=length,
        kind=whole.kind[order].astype(np.int64),
        piece=piece[whole.ring[order]].astype(np.int64),
        tip_angle_deg=angle,
        tip_lost_length_mm=lost_length,
        tip_lost_area_mm2=lost_area,
    )


def no_places() -> Places:
    """Give no places at all."""
    none, number = np.zeros(0), np.zeros(0, dtype=np.int64)
    return Places(none, np.zeros((0, 2)), none, number, number, none, none, none)


def _joined(first: Facing, second: Facing) -> Facing:
    return Facing(
        *(np.concatenate([getattr(first, f.name), getattr(second, f.name)]) for f in fields(Facing))
    )
