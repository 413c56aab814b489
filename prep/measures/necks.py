"""Film that openings enclose but for necks: it hangs on them, and is lost when they tear."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import shapely

from prep.measures.result import TIP, Island, Places

if TYPE_CHECKING:
    from numpy.typing import NDArray
    from shapely import MultiPolygon

    Floats = NDArray[np.float64]
    Ints = NDArray[np.int64]

_SAME_MM = 1e-9
_KISS_MM = 1e-6
_NEAR_MM = 2e-4  # a contact lies this near to half the width
_LEAST_SHARE = 1e-9
_WIDE = 2.0  # what hangs is in the mean this many times as wide as its widest neck


def hanging_film(
    region: MultiPolygon, gaps: Places, islands: NDArray[np.object_]
) -> tuple[Island, ...]:
    """Give the pieces of film that are left over when the film is cut through at its necks.

    A neck is a least width of film, or a touch: where openings meet, nothing holds the film between.
    Cut through at all of them, the film falls into the sheet outside, the islands, and pieces that
    hung on necks. A piece counts when its mean width, four
    times its area over its outline, is at least twice its widest neck: film that is long and as
    narrow as its neck all along is a strip, not something that hangs on one.

    :param region: valid, its openings on the left of its rings
    :param gaps: narrow places of the film
    :param islands: film of each island
    :return: largest first; ``held_by_mm`` is the widest neck of each, 0 where only corners touch
    """
    strips = gaps.take(gaps.kind != TIP)
    if not len(strips):
        return ()
    rings = shapely.get_rings(np.asarray(region.geoms, dtype=object))
    necks = _Necks.of(rings, strips)
    if not len(necks.width_mm):
        return ()
    chords = _lines(necks.ends)
    used = np.unique(necks.ring)
    chains = [chain for ring in used for chain in _chains(rings[ring], necks, int(ring))]
    cuts = chords[shapely.get_type_id(chords) == 1]
    faces = np.asarray(shapely.get_parts(shapely.polygonize([*chains, *cuts])), dtype=object)
    faces = _mended(faces)
    if not len(faces):
        return ()
    return _described(region, faces, chords, necks, islands)


def _mended(faces: NDArray[np.object_]) -> NDArray[np.object_]:
    """Take faces apart that cross themselves, as one can where a cut all but touches a ring elsewhere."""
    crossed = ~shapely.is_valid(faces)
    if not crossed.any():
        return faces
    apart = shapely.make_valid(faces[crossed], method="structure", keep_collapsed=False)
    parts = shapely.get_parts(shapely.get_parts(apart))
    parts = parts[(shapely.get_type_id(parts) == 3) & (shapely.area(parts) > 0.0)]
    return np.concatenate([faces[~crossed], parts])


def _described(
    region: MultiPolygon,
    faces: NDArray[np.object_],
    chords: NDArray[np.object_],
    necks: _Necks,
    islands: NDArray[np.object_],
) -> tuple[Island, ...]:
    face, chord = shapely.STRtree(chords).query(
        shapely.get_exterior_ring(faces), predicate="covers"
    )
    widest, piece = np.zeros(len(faces)), np.full(len(faces), -1)
    np.maximum.at(widest, face, necks.width_mm[chord])
    piece[face] = necks.piece[chord]
    # film lies on both sides of a neck; what lies beside none is an opening, as is what all but
    # fills its face, beside a touch
    beside = np.flatnonzero(piece >= 0)
    films = shapely.difference(faces[beside], region)
    film = shapely.area(films) > _LEAST_SHARE * shapely.area(faces[beside])
    widest, piece, films = widest[beside[film]], piece[beside[film]], films[film]
    areas, outlines = shapely.area(films), shapely.length(films)
    islands_mm2 = shapely.area(islands)
    wide = 4 * areas >= _WIDE * widest * outlines
    # an island cut through is the largest of its parts, and the others hang on that
    for island in np.unique(piece[piece > 0]):
        parts = np.flatnonzero(piece == island)
        largest = parts[areas[parts].argmax()]
        around_mm2 = islands_mm2[island - 1] - areas[parts].sum()
        wide[largest] &= around_mm2 > areas[largest]
    found = np.flatnonzero(wide)
    found = found[np.argsort(-areas[found], kind="stable")]
    inside = shapely.point_on_surface(films[found])
    if len(islands):  # one that touches other film at a corner is an island all the same
        film, island = shapely.STRtree(islands).query(inside, predicate="intersects")
        itself = areas[found[film]] >= (1.0 - _LEAST_SHARE) * islands_mm2[island]
        left = np.setdiff1d(np.arange(len(found)), film[itself])
        found, inside = found[left], inside[left]
    points = shapely.get_coordinates(inside)
    bounds = shapely.bounds(films[found]).reshape(-1, 4)
    return tuple(
        Island(
            area_mm2=float(areas[k]),
            at_mm=(float(points[n, 0]), float(points[n, 1])),
            bounds_mm=(
                float(bounds[n, 0]),
                float(bounds[n, 1]),
                float(bounds[n, 2]),
                float(bounds[n, 3]),
            ),
            narrowest_mm=None,
            held_by_mm=float(widest[k]),
            region=films[k],
            depth=1,
        )
        for n, k in enumerate(found.tolist())
    )


@dataclass(frozen=True, slots=True, eq=False)
class _Necks:
    """Where the film is cut through.

    :param width_mm: (n,)
    :param piece: (n,) the piece of film each belongs to
    :param ends: (n, 2, 2) the two contacts
    :param ring: (n, 2) the ring of each contact
    :param along: (n, 2) where on it: number of the edge and share of its length
    """

    width_mm: Floats
    piece: Ints
    ends: Floats
    ring: Ints
    along: Floats

    @classmethod
    def of(cls, rings: NDArray[np.object_], strips: Places) -> _Necks:
        """Find both contacts of each strip: the two nearest edges that lie most opposite."""
        points, ring = shapely.get_coordinates(rings, return_index=True)
        real = np.flatnonzero(ring[1:] == ring[:-1])
        start, end, edge_ring = points[real], points[real + 1], ring[real]
        number = real - np.searchsorted(ring, edge_ring)
        lines = _lines(np.stack([start, end], axis=1))
        reach = strips.width_mm / 2 + _NEAR_MM
        place, edge = shapely.STRtree(lines).query(
            shapely.points(strips.at_mm), predicate="dwithin", distance=reach
        )
        way = end[edge] - start[edge]
        off = strips.at_mm[place] - start[edge]
        squared = np.maximum((way**2).sum(axis=1), 1e-300)
        share = np.clip((way * off).sum(axis=1) / squared, 0.0, 1.0)
        foot = start[edge] + share[:, None] * way
        away = strips.at_mm[place] - foot
        away /= np.maximum(np.hypot(*away.T), 1e-12)[:, None]
        order = np.argsort(place, kind="stable")
        bounds = np.searchsorted(place[order], np.arange(len(strips) + 1))
        kept, ones, others = [], [], []
        for k in range(len(strips)):
            rows = order[bounds[k] : bounds[k + 1]]
            if len(rows) < 2:
                continue
            across = away[rows] @ away[rows].T
            if strips.width_mm[k] < _KISS_MM:  # two rings meet in a point
                across = np.where(
                    edge_ring[edge[rows]][:, None] != edge_ring[edge[rows]], -1.0, 1.0
                )
            one, other = np.unravel_index(across.argmin(), across.shape)
            if across[one, other] < -0.5:  # at least 120 degrees apart, as every strip is
                kept.append(k)
                ones.append(rows[one])
                others.append(rows[other])
        both = np.stack([np.array(ones, dtype=int), np.array(others, dtype=int)], axis=1)
        which = np.array(kept, dtype=int)
        ends = foot[both]
        kiss = strips.width_mm[which] < _KISS_MM
        ends[kiss] = ends[kiss].mean(axis=1, keepdims=True)
        return cls(
            np.where(kiss, 0.0, strips.width_mm[which]),
            strips.piece[which],
            ends,
            edge_ring[edge[both]],
            number[edge[both]] + share[both],
        )._apart()

    def _apart(self) -> _Necks:
        """Leave out the wider of two that cross or have a contact in common."""
        if not len(self.width_mm):
            return self
        chords = _lines(self.ends)
        one, other = shapely.STRtree(chords).query(chords, predicate="intersects")
        clash = one < other
        out = np.zeros(len(chords), dtype=np.bool_)
        for a, b in zip(one[clash].tolist(), other[clash].tolist(), strict=True):
            if not out[a] and not out[b]:
                out[b if self.width_mm[b] >= self.width_mm[a] else a] = True
        kept = np.flatnonzero(~out)
        return _Necks(
            self.width_mm[kept],
            self.piece[kept],
            self.ends[kept],
            self.ring[kept],
            self.along[kept],
        )


def _lines(ends: Floats) -> NDArray[np.object_]:
    """Give a line for each two points, (n, 2, 2), or a point where both are the same."""
    lines = np.atleast_1d(np.asarray(shapely.linestrings(ends), dtype=object))
    same = (ends[:, 0] == ends[:, 1]).all(axis=1)
    lines[same] = shapely.points(ends[same, 0])
    return lines


def _chains(ring: shapely.LinearRing, necks: _Necks, number: int) -> list[shapely.LineString]:
    """Cut a ring at the contacts that lie on it."""
    points = shapely.get_coordinates(ring)[:-1]
    row, side = np.nonzero(necks.ring == number)
    along, contact = necks.along[row, side], necks.ends[row, side]
    order = np.argsort(along)
    along, contact = along[order], contact[order]
    chains = []
    for k in range(len(along)):
        to = (k + 1) % len(along)
        first, last = int(np.floor(along[k])) + 1, int(np.floor(along[to]))
        if to <= k:
            last += len(points)
        between = points[np.arange(first, last + 1) % len(points)]
        # a contact at a vertex is that vertex but for its last digits
        off = np.hypot(*(between[:, None] - contact[[k, to]]).T).min(axis=0) > _SAME_MM
        walk = np.concatenate([contact[k : k + 1], between[off], contact[to : to + 1]])
        distinct = np.append(True, (walk[1:] != walk[:-1]).any(axis=1))
        if distinct.sum() > 1:
            chains.append(shapely.LineString(walk[distinct]))
    return chains
