"""How deep a region is behind each piece of its edge, and how much area lies at which depth."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import shapely
from scipy.spatial import cKDTree

from prep.measures.edges import edges_of
from prep.measures.touching import led_on

if TYPE_CHECKING:
    from numpy.typing import NDArray
    from shapely import MultiPolygon

    from prep.measures.edges import Edges

    Floats = NDArray[np.float64]
    Ints = NDArray[np.int64]
    Bools = NDArray[np.bool_]

_STEP_MM = 0.12  # edges are sampled this often
_FAN_DEG = 6.0  # and so are the normals of corners
_SMOOTH_MM = 5e-5  # vertices nearer than this to the line past them are left out
_SLIVER_MM = 0.05  # a wrong disc smaller than this does no harm
_STRIDE = 16
_ROUNDS = 60
_SAME = 1e-6  # a contact that makes a disc smaller by no more than this share changes nothing
_EVEN_MM = 1e-6  # a strip that gets deeper by no more than this counts as evenly deep


@dataclass(frozen=True, slots=True, eq=False)
class Depths:
    """How far a region reaches behind each piece of its edge.

    The points of a region that are nearest to one point of its edge lie on the normal there, up to
    the centre of the largest disc that touches the edge at that point and holds no other part of
    it: the medial axis.

    :param near: (n,) radius of that disc at one end of the piece, mm
    :param far: (n,) and at the other; between them it changes evenly
    :param length: (n,) length of the piece, mm; 0 at a corner
    :param angle: (n,) angle of the normals of a corner, radians; on an edge less than nothing where
        corners that turn towards the region cut its strip off aslant
    :param apart_deg: (n,) separation angle of the disc: between the piece and its other contact
    """

    near: Floats
    far: Floats
    length: Floats
    angle: Floats
    apart_deg: Floats

    def deepest(self) -> float:
        """Give the largest depth, mm."""
        return float(np.maximum(self.near, self.far).max(initial=0.0))

    def area_within(self, insets: Floats) -> Floats:
        """Give the area that lies no farther from the edge than each distance.

        Behind an edge lies a strip as deep as the distance or the disc, whichever is less, cut off
        aslant at corners that turn by b towards the region: length m - (tan b/2 + tan b'/2) m²/2.
        Behind a corner that turns away lies a sector: angle m²/2.
        """
        low, high = np.minimum(self.near, self.far), np.maximum(self.near, self.far)
        rises = high - low > _EVEN_MM
        even = _even_within(insets, high[~rises], self.length[~rises], self.angle[~rises])
        return even + _rising_within(insets, low[rises], high[rises], self.length[rises])

    def area_behind(self) -> Floats:
        """Give the area behind each piece up to the medial axis."""
        depth = (self.near + self.far) / 2
        return np.asarray(self.length * depth + self.angle * depth**2 / 2)


def _even_within(insets: Floats, depth: Floats, length: Floats, angle: Floats) -> Floats:
    order = np.argsort(depth)
    depth, length, angle = depth[order], length[order], angle[order]
    below = np.searchsorted(depth, insets)
    full = _sums(length * depth + angle * depth**2 / 2)[below]
    lengths, angles = _sums(length), _sums(angle)
    left = (lengths[-1] - lengths[below]) * insets + (angles[-1] - angles[below]) * insets**2 / 2
    return np.asarray(full + left)


def _rising_within(insets: Floats, low: Floats, high: Floats, length: Floats) -> Floats:
    """Strips whose depth rises evenly from ``low`` to ``high``.

    Less than ``low`` deep: length s. In between, the part deeper than s is left out:
    length (s - (s - low)² / (2 (high - low))).
    """
    steep = length / (2 * (high - low))
    by_low, by_high = np.argsort(low), np.argsort(high)
    begun, ended = np.searchsorted(low[by_low], insets), np.searchsorted(high[by_high], insets)
    full = _sums((length * (low + high) / 2)[by_high])[ended]
    unended = length.sum() - _sums(length[by_high])[ended]
    between = [
        _sums((steep * low**power)[by_low])[begun] - _sums((steep * low**power)[by_high])[ended]
        for power in range(3)
    ]
    missing = between[0] * insets**2 - 2 * between[1] * insets + between[2]
    return np.asarray(full + unended * insets - missing)


def _sums(values: Floats) -> Floats:
    return np.concatenate([[0.0], np.cumsum(values)])


def depths_of(rings: NDArray[np.object_], region: MultiPolygon | None = None) -> Depths:
    """Sample the edge of a region, rings with the region on their left.

    :param region: the region itself: a disc whose centre lies outside it began at a sliver too thin
        to tell its sides apart, and has no depth

    Each disc begins too large and shrinks to the nearest part of the edge inside it until nothing
    is inside (shrinking balls; Ma, Bae, Choi 2012, from memory); the contact with the part found
    is exact.
    """
    rings = led_on(rings)
    smooth = np.asarray(shapely.simplify(rings, _SMOOTH_MM, preserve_topology=False), dtype=object)
    edges = edges_of(smooth, _STEP_MM, fan_deg=_FAN_DEG, even=True)
    if not len(edges):
        none = np.zeros(0)
        return Depths(none, none, none, none, none)
    cut_before, cut_after = (
        np.tan(np.minimum(turn, 3.1) / 2) for turn in (edges.toward_before, edges.toward_after)
    )
    cut = cut_before + cut_after
    # between two corners the strip is deepest where both cut it off
    share = np.where(cut > 0, cut_before / np.where(cut > 0, cut, 1.0), 0.5)
    inner = _inner_pieces(edges)
    along = np.where(inner, 0.0, np.clip(share, 0.25, 0.75) * edges.length)
    at = edges.start + edges.along * along[:, None]
    search = _Search(edges, _points(edges), float(np.ptp(edges.start, axis=0).max()) + 1.0)
    depth, other = search.all_depths(at)
    if region is not None:
        depth = _inside_only(edges, at, depth, other, region)
    apart = _apart(edges, at, depth, other)

    deepest = np.where(cut > 0, edges.length / np.where(cut > 0, cut, 1.0), np.inf)
    at_corner = ((other == edges.before) & (cut_before > 0)) | (
        (other == edges.after) & (cut_after > 0)
    )
    depth = np.where(at_corner, deepest, np.minimum(depth, deepest))
    # inner pieces run from their own sample to the start of the next piece
    far, after = depth.copy(), edges.after
    far[inner] = depth[after[inner]]
    last = np.flatnonzero(inner & ~inner[after])
    beyond = after[last]
    far[last], _ = search.depths(beyond, edges.start[beyond], 1.2 * depth[last])
    # where the edge turns away by less, the sector has the depth of the edges beside it
    turned = np.flatnonzero(edges.away_after > 0)
    between = (far[turned] + depth[after[turned]]) / 2
    return Depths(
        near=np.concatenate([depth, between]),
        far=np.concatenate([far, between]),
        length=np.concatenate([edges.length, np.zeros(len(turned))]),
        angle=np.concatenate([2 * edges.sector - cut, edges.away_after[turned]]),
        apart_deg=np.concatenate([apart, apart[turned]]),
    )


def _inside_only(
    edges: Edges, at: Floats, depth: Floats, other: Ints, region: MultiPolygon
) -> Floats:
    """Give the depths, next to nothing where a disc of some size has its centre outside the region."""
    large = np.flatnonzero((depth > _SLIVER_MM) | (other < 0))
    centre = at[large] + edges.inward[large] * depth[large][:, None]
    shapely.prepare(region)
    outside = ~shapely.intersects_xy(region, centre[:, 0], centre[:, 1])
    depth = depth.copy()
    depth[large[outside | (other[large] < 0)]] = (
        _EVEN_MM  # no more than nothing, but a size to search from
    )
    return depth


def _inner_pieces(edges: Edges) -> Bools:
    """Say which pieces have pieces of the same edge on both sides."""
    same = (edges.along[edges.after] == edges.along).all(axis=1)
    same &= (edges.length > 0) & (edges.length[edges.after] > 0)
    return np.asarray(same & same[edges.before])


def _points(edges: Edges) -> tuple[cKDTree, Ints]:
    """Give points along the edge, and the piece each lies on."""
    real = np.flatnonzero(edges.length > 0)
    start, end = edges.start[real], edges.end[real]
    return cKDTree(np.concatenate([start, (start + end) / 2])), np.concatenate([real, real])


@dataclass(frozen=True, slots=True, eq=False)
class _Search:
    """The largest empty disc that touches the edge at a point.

    :param points: points along the edge, and the piece each lies on
    :param largest: no disc is larger, mm
    """

    edges: Edges
    points: tuple[cKDTree, Ints]
    largest: float

    def all_depths(self, at: Floats) -> tuple[Floats, Ints]:
        """Give the radius at one point of each piece, and the piece that holds the disc."""
        count = len(at)
        depth, other = np.full(count, self.largest), np.full(count, -1)
        first = np.arange(0, count, _STRIDE)
        depth[first], other[first] = self.depths(first, at[first], depth[first])
        # the others begin a little larger than their neighbours ended
        rest = np.flatnonzero(np.arange(count) % _STRIDE)
        before = rest // _STRIDE * _STRIDE
        after = np.minimum(before + _STRIDE, first[-1])
        guess = 1.2 * np.maximum(depth[before], depth[after])
        depth[rest], other[rest] = self.depths(rest, at[rest], guess)
        return depth, other

    def depths(self, piece: Ints, at: Floats, guess: Floats) -> tuple[Floats, Ints]:
        """Give the radius at a point of each of some pieces, and the piece that holds the disc."""
        depth, other = np.zeros(len(piece)), np.full(len(piece), -1)
        todo = np.arange(len(piece))
        guess = np.minimum(guess, self.largest)
        while len(todo):
            depth[todo], other[todo] = self._shrink(piece[todo], at[todo], guess)
            # nothing was inside: the disc began too small
            small = (other[todo] < 0) & (guess < self.largest)
            todo, guess = todo[small], np.minimum(4 * guess[small], self.largest)
        return depth, other

    def _shrink(self, piece: Ints, at: Floats, radius: Floats) -> tuple[Floats, Ints]:
        radius, other = radius.copy(), np.full(len(piece), -1)
        edges, (tree, owner) = self.edges, self.points
        for neighbour in (edges.before[piece], edges.after[piece]):
            fits = tangent_radius(edges, at, edges.inward[piece], neighbour)
            less = fits < radius
            radius, other = np.where(less, fits, radius), np.where(less, neighbour, other)
        active = np.arange(len(piece))
        for _ in range(_ROUNDS):
            if not len(active):
                break
            normal = edges.inward[piece[active]]
            distance, point = tree.query(at[active] + normal * radius[active][:, None])
            inside = distance < radius[active] * (1 - _SAME)
            active, normal, near = active[inside], normal[inside], owner[point[inside]]
            best, held_by = np.full(len(active), np.inf), near
            for found in (near, edges.before[near], edges.after[near]):
                fits = tangent_radius(edges, at[active], normal, found)
                less = fits < best
                best, held_by = np.where(less, fits, best), np.where(less, found, held_by)
            smaller = best < radius[active] * (1 - _SAME)
            active = active[smaller]
            radius[active], other[active] = best[smaller], held_by[smaller]
        return radius, other


def tangent_radius(edges: Edges, touch: Floats, normal: Floats, piece: Ints) -> Floats:
    """Give the radius of the disc that touches at a point, with a normal, and also a piece.

    Beside the piece r = (p - a)·m / (1 - n·m) with the piece's normal m; at one of its ends
    r = |v|² / (2 v·n) with v from the point to the end. Infinite where there is none.
    """
    start, along, length = edges.start[piece], edges.along[piece], edges.length[piece]
    inward = edges.inward[piece]
    away = touch - start
    spread = 1 - _dot(normal, inward)
    with np.errstate(divide="ignore", invalid="ignore"):
        beside = _dot(away, inward) / spread
        t = _dot(away, along) + beside * _dot(normal, along)
    is_beside = (spread > 1e-12) & (beside > 0) & (t >= 0) & (t <= length)
    ends = np.minimum(_through(start, touch, normal), _through(edges.end[piece], touch, normal))
    return np.where(is_beside, beside, ends)


def _through(point: Floats, touch: Floats, normal: Floats) -> Floats:
    away = point - touch
    ahead = _dot(away, normal)
    in_front = ahead > 1e-12
    return np.where(in_front, _dot(away, away) / np.where(in_front, 2 * ahead, 1.0), np.inf)


def _apart(edges: Edges, at: Floats, depth: Floats, other: Ints) -> Floats:
    """Give the angle between a disc's contact at its piece and the one at the other, degrees."""
    known = other >= 0
    piece = np.where(known, other, 0)
    centre = at + edges.inward * depth[:, None]
    start, along = edges.start[piece], edges.along[piece]
    t = np.clip(_dot(centre - start, along), 0.0, edges.length[piece])
    way = centre - start - along * t[:, None]
    cosine = _dot(way, edges.inward) / np.maximum(np.hypot(*way.T), 1e-12)
    return np.where(known, np.degrees(np.arccos(np.clip(cosine, -1.0, 1.0))), 0.0)


def _dot(a: Floats, b: Floats) -> Floats:
    return np.asarray(a[..., 0] * b[..., 0] + a[..., 1] * b[..., 1])
