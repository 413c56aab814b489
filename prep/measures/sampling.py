"""Discs along the edge of a region: from them, how deep it is behind each piece."""

from __future__ import annotations

from dataclasses import dataclass, fields
from typing import TYPE_CHECKING

import numpy as np
import shapely

from prep.measures.depths import Depths, joined
from prep.measures.edges import edges_of
from prep.measures.shrinking import ROUND_DEG, Shrinking, from_nearest
from prep.measures.touching import led_on

if TYPE_CHECKING:
    from numpy.typing import NDArray
    from shapely import MultiPolygon

    from prep.measures.edges import Edges

    Floats = NDArray[np.float64]
    Ints = NDArray[np.int64]
    Bools = NDArray[np.bool_]

_STEP_MM = 0.12  # edges are sampled this often
_FAN_DEG = (0.75, 6.0)  # and the normals of corners at most and at least so finely
_NORMALS = 2000  # of which there shall be so many
_WHOLE_TURN_DEG = 360.0
_SMOOTH_MM = 5e-6  # vertices nearer than this to the line past them are left out
DEEPEST_MM = 50.0
"""No disc is larger: what lies deeper is wide, whatever bounds it, and to look for what does takes long."""
_SLIVER_MM = 0.05  # a wrong disc smaller than this does no harm
_ANY_DEG = 180.0
_STEEP = 1 / np.tan(np.radians(ROUND_DEG / 2)) + 1e-9
_SAME_MM = 1e-6
_NOTHING_MM = 1e-6  # no depth, but a size to search from
_ALIKE_DEG = 20.0  # what differs by more doesn't change evenly in between
_ALIKE = 0.2  # nor do widths that differ by a larger share


def depths_of(rings: NDArray[np.object_], region: MultiPolygon | None = None) -> Depths:
    """Sample the edge of a region, rings with the region on their left.

    :param region: the region itself: a disc whose centre lies outside it began at a sliver too thin
        to tell its sides apart, and has no depth

    Edges longer than a step are cut into pieces, with a disc at each end of a piece; where two
    discs are held by different parts of the edge, the piece is cut once more at the depth at which
    both are. Other edges have a single disc. No disc is larger than :data:`DEEPEST_MM`.
    """
    rings = led_on(rings)
    smooth = np.asarray(shapely.simplify(rings, _SMOOTH_MM, preserve_topology=False), dtype=object)
    edges = edges_of(smooth, _STEP_MM, fan_deg=_fan_deg(smooth), even=True)
    if not len(edges):
        none, no = np.zeros(0), np.zeros(0, dtype=bool)
        return Depths(none, none, none, none, np.zeros((0, 2)), np.zeros((0, 2)), no, none)
    cuts, discs = _Cuts.of(edges), Shrinking.along(edges)
    most = min(float(np.ptp(edges.start, axis=0).max()) + 1.0, DEEPEST_MM)
    at = edges.start + edges.along * cuts.sampled[:, None]
    depth, other = discs.all_largest(at, most)
    if region is not None:
        depth = _inside_only(edges, at, depth, other, region)
    depth = cuts.limited(edges, depth, other)
    seen = _counted_along(edges, _seen(discs, at, edges.inward, depth, other, cuts.loose_deg))

    short, long = np.flatnonzero(~cuts.long), np.flatnonzero(cuts.long)
    before, behind = _ends(discs, cuts, seen, long, most)
    at_end = seen.take(np.arange(len(edges)))
    at_end.put(long, behind)
    # where the edge turns away by less, the sector has the depth of the edges beside it
    turned = np.flatnonzero(edges.away_after > 0)
    sectors = _sectors(
        at_end.take(turned), seen.take(edges.after[turned]), edges.away_after[turned]
    )
    return joined((
        _short_pieces(edges, cuts, seen, short),
        _long_pieces(edges.length[long], before, behind),
        sectors,
    ))  # fmt: skip


@dataclass(frozen=True, slots=True, eq=False)
class _Cuts:
    """How pieces of edges lie between corners.

    :param before: (n,) tangent of half the turn towards the region at the start
    :param after: (n,) and at the end
    :param long: (n,) pieces of edges that are cut into several
    :param begins: (n,) those at the start of such an edge, :param ends: and at its end
    :param sampled: (n,) where along it a piece has its disc, mm
    :param loose_deg: (n,) how far the edge turns at its ends, where that makes it part of a curve
    """

    before: Floats
    after: Floats
    long: Bools
    begins: Bools
    ends: Bools
    sampled: Floats
    loose_deg: Floats

    @classmethod
    def of(cls, edges: Edges) -> _Cuts:
        before, after = (
            np.tan(np.minimum(turn, 3.1) / 2) for turn in (edges.toward_before, edges.toward_after)
        )
        goes_on = (edges.along[edges.after] == edges.along).all(axis=1)
        goes_on &= (edges.length > 0) & (edges.length[edges.after] > 0)
        long = goes_on | goes_on[edges.before]
        begins, ends = long & ~goes_on[edges.before], long & ~goes_on
        # between two corners the strip is deepest where both cut it off
        cut = before + after
        share = np.clip(np.where(cut > 0, before / np.where(cut > 0, cut, 1.0), 0.5), 0.25, 0.75)
        share[long] = np.where(begins & (before > 0), 0.5, 0.0)[long]
        turn = np.degrees(np.stack([
            np.maximum(edges.toward_before, edges.away_before),
            np.maximum(edges.toward_after, edges.away_after),
        ]))  # fmt: skip
        loose = np.where(turn < ROUND_DEG, turn, 0.0).max(axis=0)
        first = np.flatnonzero(np.r_[True, ~goes_on[:-1]])
        whole = np.maximum.reduceat(loose, first)
        loose = np.repeat(whole, np.diff(np.r_[first, len(edges)]))
        return cls(before, after, long, begins, ends, share * edges.length, loose)

    def deepest(self, edges: Edges) -> Floats:
        """Give how deep pieces are where the corners at both ends meet."""
        cut = self.before + self.after
        return np.where(cut > 0, edges.length / np.where(cut > 0, cut, 1.0), np.inf)

    def limited(self, edges: Edges, depth: Floats, other: Ints) -> Floats:
        """Give depths no deeper than short pieces are where the corners at both ends meet."""
        deepest = self.deepest(edges)
        at_corner = ((other == edges.before) & (self.before > 0)) | (
            (other == edges.after) & (self.after > 0)
        )
        limited = np.where(at_corner, deepest, np.minimum(depth, deepest))
        return np.where(self.long, depth, limited)


@dataclass(frozen=True, slots=True, eq=False)
class _Seen:
    """Discs at points of the edge.

    :param depth: (n,) radius, mm
    :param slope: (n,) how much it grows with each mm along the edge
    :param width: (n,) local width the point counts under, mm
    :param apart_deg: (n,) separation angle that goes with it
    :param bare: (n,) the disc only reaches to the next edge of a flattened curve
    :param loose_deg: (n,) by how much the angle may be off, see :class:`Depths`
    """

    depth: Floats
    slope: Floats
    width: Floats
    apart_deg: Floats
    bare: Bools
    loose_deg: Floats

    def take(self, rows: Ints) -> _Seen:
        return _Seen(*(getattr(self, f.name)[rows] for f in fields(self)))

    def put(self, rows: Ints, other: _Seen) -> None:
        for field in fields(self):
            getattr(self, field.name)[rows] = getattr(other, field.name)

    def count_as(self, rows: Ints, other: _Seen) -> None:
        """Count some under what others count under."""
        self.width[rows], self.apart_deg[rows] = other.width, other.apart_deg
        self.loose_deg[rows] = other.loose_deg


def _seen(
    discs: Shrinking, at: Floats, normal: Floats, depth: Floats, other: Ints, loose_deg: Floats
) -> _Seen:
    """Describe discs that touch the edge at points and are held by pieces.

    Between two lines that meet at an angle, and as well between a line and a point, the disc that
    rolls along grows by cot(theta / 2) for each mm, theta being its separation angle.
    """
    known = other >= 0
    centre = at + normal * depth[:, None]
    way, _ = from_nearest(discs.edges, centre, np.where(known, other, 0))
    across = np.clip(np.einsum("ij,ij->i", way, normal), -1.0, 1.0)
    along = normal[:, 1] * way[:, 0] - normal[:, 0] * way[:, 1]
    slope = along / np.maximum(1 - across, 1e-9)
    wide = ~known & (depth >= DEEPEST_MM)
    apart = np.where(known, np.degrees(np.arccos(across)), np.where(wide, 180.0, 0.0))
    # the middle of a dot is held by its own edge, and touches the edge across as well
    held = np.flatnonzero(known & (apart < ROUND_DEG))
    other_side = discs.across(centre[held], depth[held], normal[held])
    apart[held] = np.maximum(apart[held], other_side)
    bare = known & (apart < ROUND_DEG)
    return _Seen(depth, np.where(known, slope, 0.0), 2 * depth, apart, bare, loose_deg)


def _counted_along(edges: Edges, seen: _Seen) -> _Seen:
    """Count bare samples under those next to them along their ring that aren't bare.

    Where these two are alike, the bare one lies in between as it does along the ring; else it
    counts under the nearer.
    """
    bare, good = np.flatnonzero(seen.bare), np.flatnonzero(~seen.bare)
    first = np.searchsorted(edges.ring[good], edges.ring[bare])
    count = np.searchsorted(edges.ring[good], edges.ring[bare], side="right") - first
    bare, first, count = bare[count > 0], first[count > 0], count[count > 0]
    rank = np.searchsorted(good, bare) - first
    one, other = (good[first + (rank + step) % count] for step in (-1, 0))
    around = edges.ring_length[edges.ring[bare]]
    off = (edges.at[bare] - edges.at[one]) % around
    share = off / np.maximum(off + (edges.at[other] - edges.at[bare]) % around, 1e-12)
    alike = np.abs(seen.apart_deg[one] - seen.apart_deg[other]) < _ALIKE_DEG
    alike &= np.abs(seen.width[one] - seen.width[other]) < _ALIKE * seen.width[one]
    share = np.where(alike, share, np.round(share))
    seen.loose_deg[bare[~alike]] = _ANY_DEG
    for values in (seen.width, seen.apart_deg):
        values[bare] = (1 - share) * values[one] + share * values[other]
    return seen


def _ends(
    discs: Shrinking, cuts: _Cuts, seen: _Seen, long: Ints, most: float
) -> tuple[_Seen, _Seen]:
    """Give the discs at the start and at the end of pieces of long edges."""
    edges = discs.edges
    before, behind = seen.take(long), seen.take(edges.after[long])
    # where the edge turns away, it ends with a disc of its own
    last = np.flatnonzero((cuts.ends & (cuts.after == 0))[long])
    piece = long[last]
    depth, other = discs.largest(piece, edges.end[piece], 1.2 * seen.depth[piece], most)
    own = _seen(discs, edges.end[piece], edges.inward[piece], depth, other, cuts.loose_deg[piece])
    bare = np.flatnonzero(own.bare)
    own.count_as(bare, seen.take(piece[bare]))
    behind.put(last, own)
    # where it turns towards the region, with none
    for part, which, cut, turn in (
        (before, cuts.begins, cuts.before, edges.toward_before),
        (behind, cuts.ends, -cuts.after, edges.toward_after),
    ):
        corner = np.flatnonzero((which & (cut != 0))[long])
        piece = long[corner]
        nothing, turn_deg = np.zeros(len(corner)), np.degrees(turn[piece])
        held, loose = turn_deg < ROUND_DEG, cuts.loose_deg[piece]
        at_corner = _Seen(nothing, 1 / cut[piece], nothing.copy(), turn_deg, held, loose)
        at_corner.count_as(np.flatnonzero(held), seen.take(piece[held]))
        part.put(corner, at_corner)
    return before, behind


def _short_pieces(edges: Edges, cuts: _Cuts, seen: _Seen, rows: Ints) -> Depths:
    """Give the pieces with a single disc."""
    # held by the edges beside them, bare ones and dots don't change with the slope
    slope = np.where(np.abs(seen.slope) <= _STEEP, seen.slope, 0.0)
    # the top of a strip that corners cut off aslant on both sides lies about this point
    midway = seen.depth + slope * (edges.length / 2 - cuts.sampled)
    midway /= 1 - slope * (cuts.before - cuts.after) / 2
    depth = np.clip(midway, 0.0, cuts.deepest(edges))[rows]
    change = np.abs(slope) * edges.length / 2
    width = np.stack([seen.width - 2 * change, seen.width + 2 * change], axis=1)
    width[seen.bare] = seen.width[seen.bare, None]
    # halfway to the neighbours the angle is halfway between both
    halfway, loose = [seen.apart_deg], seen.loose_deg
    for other in (edges.before, edges.after):
        step = seen.apart_deg[other] - seen.apart_deg
        loose = np.maximum(loose, np.where(np.abs(step) < _ALIKE_DEG, 0.0, np.abs(step)))
        steady = (np.abs(step) < _ALIKE_DEG) & (edges.length > 0) & (edges.length[other] > 0)
        halfway.append(seen.apart_deg + np.where(steady, step / 2, 0.0))
    apart = np.stack([np.min(halfway, axis=0), np.max(halfway, axis=0)], axis=1)
    return Depths(
        depth,
        depth,
        edges.length[rows],
        (2 * edges.sector - cuts.before - cuts.after)[rows],
        np.maximum(width, 0.0)[rows],
        apart[rows],
        seen.bare[rows],
        loose[rows],
    )


def _long_pieces(length: Floats, before: _Seen, behind: _Seen) -> Depths:
    """Give the pieces between two discs, cut where what holds the one gives way to the other.

    From one disc the depth goes on along a line, and along another line to the other disc; it is
    the lesser of both.
    """
    bends = before.slope - behind.slope
    with np.errstate(divide="ignore", invalid="ignore"):
        at = (behind.depth - before.depth - behind.slope * length) / bends
    within = (bends > 1e-9) & (at > -_SAME_MM) & (at < length + _SAME_MM)
    at = np.where(within, np.clip(at, 0.0, length), length / 2)
    middle = np.where(within, before.depth + before.slope * at, (before.depth + behind.depth) / 2)
    parted = np.flatnonzero(within | (before.bare != behind.bare))
    whole = np.flatnonzero(~within & (before.bare == behind.bare))
    to_middle = _Seen(middle, before.slope, np.where(before.bare, before.width, 2 * middle),
                      before.apart_deg, before.bare, before.loose_deg)  # fmt: skip
    from_middle = _Seen(middle, behind.slope, np.where(behind.bare, behind.width, 2 * middle),
                        behind.apart_deg, behind.bare, behind.loose_deg)  # fmt: skip

    def pieces(rows: Ints, part: Floats, one: _Seen, other: _Seen) -> Depths:
        one, other = one.take(rows), other.take(rows)
        return Depths(
            one.depth,
            other.depth,
            part[rows],
            np.zeros(len(rows)),
            np.stack([one.width, other.width], axis=1),
            np.stack([one.apart_deg, other.apart_deg], axis=1),
            one.bare & other.bare,
            np.maximum(one.loose_deg, other.loose_deg),
        )

    parts = (
        pieces(whole, length, before, behind),
        pieces(parted, at, before, to_middle),
        pieces(parted, length - at, from_middle, behind),
    )
    return joined(parts)


def _sectors(before: _Seen, behind: _Seen, angle: Floats) -> Depths:
    """Give the sectors of corners that turn away by little, between the edges beside them."""
    depth = (before.depth + behind.depth) / 2
    return Depths(
        depth,
        depth,
        np.zeros(len(depth)),
        angle,
        np.stack([before.width, behind.width], axis=1),
        np.stack([before.apart_deg, behind.apart_deg], axis=1),
        before.bare & behind.bare,
        np.maximum(before.loose_deg, behind.loose_deg),
    )


def _fan_deg(rings: NDArray[np.object_]) -> float:
    """Give how finely to sample the normals of corners: the fewer there are, the more each counts."""
    whole = edges_of(rings, np.inf, fan_deg=_WHOLE_TURN_DEG)
    return float(np.clip(np.degrees(whole.away_after.sum()) / _NORMALS, *_FAN_DEG))


def _inside_only(
    edges: Edges, at: Floats, depth: Floats, other: Ints, region: MultiPolygon
) -> Floats:
    """Give the depths, next to nothing where a disc of some size has its centre outside the region."""
    large = np.flatnonzero((depth > _SLIVER_MM) | (other < 0))
    centre = at[large] + edges.inward[large] * depth[large][:, None]
    shapely.prepare(region)
    outside = ~shapely.intersects_xy(region, centre[:, 0], centre[:, 1])
    depth = depth.copy()
    depth[large[outside | ((other[large] < 0) & (depth[large] < DEEPEST_MM))]] = _NOTHING_MM
    return depth
