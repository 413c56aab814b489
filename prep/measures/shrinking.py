"""The largest discs that touch the edge of a region at given points and hold no other part of it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from scipy.spatial import cKDTree

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from prep.measures.edges import Edges

    Floats = NDArray[np.float64]
    Ints = NDArray[np.int64]

ROUND_DEG = 60.0  # contacts seen less far apart lie on one flattened curve
_STRIDE = 16
_ROUNDS = 60
_SAME = 1e-6  # a contact that makes a disc smaller by no more than this share changes nothing
_TOUCH = 0.02  # what lies this share of the radius outside a disc counts as touched by it


@dataclass(frozen=True, slots=True, eq=False)
class Shrinking:
    """Discs that begin too large and shrink to the nearest part of the edge inside them.

    Until nothing is inside (shrinking balls; Ma, Bae, Choi 2012, from memory). The contact with the
    part found is exact.

    :param edges: the pieces
    :param tree: points along them
    :param owner: the piece each of the points lies on
    """

    edges: Edges
    tree: cKDTree
    owner: Ints

    @classmethod
    def along(cls, edges: Edges) -> Shrinking:
        """Prepare the search along pieces."""
        real = np.flatnonzero(edges.length > 0)
        start, end = edges.start[real], edges.end[real]
        tree = cKDTree(np.concatenate([start, (start + end) / 2]))
        return cls(edges, tree, np.concatenate([real, real]))

    def all_largest(self, at: Floats, most: float) -> tuple[Floats, Ints]:
        """Give the radius at one point of each piece, and the piece that holds the disc.

        :param most: no disc is larger, mm
        :return: (n,) mm; (n,) -1 where none holds it
        """
        count = len(at)
        radius, other = np.full(count, most), np.full(count, -1)
        first = np.arange(0, count, _STRIDE)
        radius[first], other[first] = self.largest(first, at[first], radius[first], most)
        # the others begin a little larger than their neighbours ended
        rest = np.flatnonzero(np.arange(count) % _STRIDE)
        before = rest // _STRIDE * _STRIDE
        after = np.minimum(before + _STRIDE, first[-1])
        guess = 1.2 * np.maximum(radius[before], radius[after])
        radius[rest], other[rest] = self.largest(rest, at[rest], guess, most)
        return radius, other

    def largest(self, piece: Ints, at: Floats, guess: Floats, most: float) -> tuple[Floats, Ints]:
        """Give the radius at a point of each of some pieces, and the piece that holds the disc.

        :param guess: (n,) about as large, rather larger, mm
        """
        radius, other = np.zeros(len(piece)), np.full(len(piece), -1)
        todo = np.arange(len(piece))
        guess = np.minimum(guess, most)
        while len(todo):
            radius[todo], other[todo] = self.shrink(piece[todo], at[todo], guess)
            # nothing was inside: the disc began too small
            small = (other[todo] < 0) & (guess < most)
            todo, guess = todo[small], np.minimum(4 * guess[small], most)
        return radius, other

    def shrink(
        self,
        piece: Ints,
        at: Floats,
        radius: Floats,
        *,
        least_deg: float = 0.0,
    ) -> tuple[Floats, Ints]:
        """Shrink discs that touch at points of pieces.

        :param piece: (n,)
        :param at: (n, 2) mm
        :param radius: (n,) to begin with, mm
        :param least_deg: contacts nearer to a disc's own, as seen from its centre, don't hold it
        :return: (n,) mm; (n,) the piece that holds each; -1 where nothing was inside
        """
        edges, radius, other = self.edges, radius.copy(), np.full(len(piece), -1)
        ahead = edges.inward[piece]
        for neighbour, turn in (
            (edges.before[piece], edges.toward_before[piece]),
            (edges.after[piece], edges.toward_after[piece]),
        ):
            fits = tangent_radius(edges, at, ahead, neighbour)
            less = (fits < radius) & (turn >= np.radians(least_deg))
            radius, other = np.where(less, fits, radius), np.where(less, neighbour, other)
        active = np.arange(len(piece))
        for _ in range(_ROUNDS):
            if not len(active):
                break
            normal = ahead[active]
            distance, point = self.tree.query(at[active] + normal * radius[active][:, None])
            inside = distance < radius[active] * (1 - _SAME)
            active, normal, near = active[inside], normal[inside], self.owner[point[inside]]
            best, held_by = np.full(len(active), np.inf), near
            for found in (near, edges.before[near], edges.after[near]):
                fits = self._fits(at[active], normal, radius[active], found, least_deg)
                less = fits < best
                best, held_by = np.where(less, fits, best), np.where(less, found, held_by)
            smaller = best < radius[active] * (1 - _SAME)
            active = active[smaller]
            radius[active], other[active] = best[smaller], held_by[smaller]
        # between two points a piece may still reach in, most of all next to one that was found
        held = np.flatnonzero(other >= 0)
        for _ in range(_ROUNDS):
            if not len(held):
                break
            beside = np.stack([edges.before[other[held]], edges.after[other[held]]])
            fits = np.stack([
                self._fits(at[held], ahead[held], radius[held], found, least_deg)
                for found in beside
            ])  # fmt: skip
            which = np.argmin(fits, axis=0)
            best = fits.min(axis=0)
            smaller = np.flatnonzero(best < radius[held] * (1 - _SAME))
            held, best = held[smaller], best[smaller]
            radius[held], other[held] = best, beside[which[smaller], smaller]
        return radius, other

    def _fits(
        self, at: Floats, normal: Floats, radius: Floats, found: Ints, least_deg: float
    ) -> Floats:
        """Give the radii at which discs touch a piece each; infinite where it is seen too near."""
        fits = tangent_radius(self.edges, at, normal, found)
        if least_deg <= 0:
            return fits
        fits = np.minimum(fits, radius)
        centre = at + normal * fits[:, None]
        apart = seen_apart(self.edges, centre, fits, found, normal)
        return np.where(apart >= least_deg, fits, np.inf)

    def across(self, centre: Floats, radius: Floats, normal: Floats) -> Floats:
        """Give how far apart a disc's own contact and one about opposite to it are, degrees.

        :param normal: (n, 2) from the disc's own contact to its centre
        :return: (n,) 0 where the disc doesn't touch the edge there
        """
        _, point = self.tree.query(centre + normal * radius[:, None])
        return seen_apart(self.edges, centre, radius, self.owner[point], normal)


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


def from_nearest(edges: Edges, centre: Floats, piece: Ints) -> tuple[Floats, Floats]:
    """Give the unit vector (n, 2) from the nearest point of each piece to a centre, and the distance."""
    start, along = edges.start[piece], edges.along[piece]
    t = np.clip(_dot(centre - start, along), 0.0, edges.length[piece])
    way = centre - start - along * t[:, None]
    distance = np.hypot(*way.T)
    return way / np.maximum(distance, 1e-12)[:, None], distance


def seen_apart(edges: Edges, centre: Floats, radius: Floats, piece: Ints, normal: Floats) -> Floats:
    """Give the angle between a disc's own contact and its contact with a piece; 0 = no contact.

    :param normal: (n, 2) from the disc's own contact to its centre
    """
    way, distance = from_nearest(edges, centre, piece)
    angle = np.degrees(np.arccos(np.clip(_dot(way, normal), -1.0, 1.0)))
    return np.where(distance <= radius * (1 + _TOUCH), angle, 0.0)


def _dot(a: Floats, b: Floats) -> Floats:
    return np.asarray(a[..., 0] * b[..., 0] + a[..., 1] * b[..., 1])
