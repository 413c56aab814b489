"""Hairlines of a colour that peek out where a shape lies under another of nearly the same outline.

Nobody drew them: they are what a covering shape, copied or traced with a little error, fails to cover.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import MultiPolygon

from prep.cracks import HAIRLINE_MM
from prep.measures import NarrowPlaces, Places

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]

_RIM_MM = 0.1
"""An even rim around a whole shape that is wider is taken as an outline drawn on purpose. Guess."""
_RIM_SHARE = 0.9
"""Share of a shape's outline that such a rim follows. Guess."""
_COVERED = 2.0
"""Times what shows that the shape itself must reach around the place. Our choice."""
_LEAST = 0.2
"""Share of the disc around a place that the shape must fill: a corner of 72 degrees. Our choice."""
_SLACK_MM = 0.02
"""Twice what flattening may move an edge."""
_RADII, _LEAST_WIDTH_MM = (3.0, 6.0), 0.05
"""How far around a place to look, in widths: at the corner of a hairline it takes the farther look."""
_RINGS, _AROUND = 5, 16


@dataclass(frozen=True, slots=True, eq=False)
class Painted:
    """What was drawn in one colour, and what shows of the others.

    :param shapes: those in this colour as drawn, before others were painted over them
    :param others: (colour, what shows of it) of each other colour
    """

    shapes: tuple[MultiPolygon, ...]
    others: tuple[tuple[str, MultiPolygon], ...]


@dataclass(frozen=True, slots=True, eq=False)
class Leftovers:
    """Leftovers of one colour, and which of what was measured belongs to them.

    :param at_mm: (N, 2) places, widest first
    :param width_mm: (N,)
    :param covers: colours that lie beside them, the commonest first
    :param pieces: (P,) pieces of the region that are nothing but leftovers
    :param openings: (O,) of ``measures.openings``
    :param gaps: (G,) of ``measures.gaps``: film that is only parted from other film by leftovers
    :param islands: (I,) of ``measures.islands``, likewise
    :param everything: the colour shows nowhere else
    """

    at_mm: Floats
    width_mm: Floats
    covers: tuple[str, ...]
    pieces: Bools
    openings: Bools
    gaps: Bools
    islands: Bools
    everything: bool


def leftovers_of(
    region: MultiPolygon, measures: NarrowPlaces, across_mm: Floats, painted: Painted
) -> Leftovers:
    """Find the leftovers of a colour.

    A piece without a narrow place of its own, like the end of a crescent, is looked at in its middle.
    A piece is nothing but leftovers when it is fine all over and one of its places is a leftover.

    :param region: what shows of the colour
    :param across_mm: (P,) how wide each of its pieces is at its widest
    """
    pieces = shapely.get_parts(region)
    openings, gaps = measures.openings, measures.gaps
    if not painted.shapes:
        counts = len(pieces), len(openings), len(gaps), len(measures.islands)
        no_pieces, no_openings, no_gaps, no_islands = (np.zeros(n, dtype=bool) for n in counts)
        return Leftovers(
            np.zeros((0, 2)), np.zeros(0), (), no_pieces, no_openings, no_gaps, no_islands, False
        )
    fine = across_mm < HAIRLINE_MM
    bare = fine.copy()
    bare[openings.strips().piece] = False
    middles = shapely.get_coordinates(shapely.point_on_surface(pieces[bare])).reshape(-1, 2)
    at = np.concatenate([openings.at_mm, middles, gaps.at_mm])
    # a strip of film is no hairline of ink, however narrow: it is looked at below
    strip = gaps.kind == 0
    width = np.concatenate(
        [openings.width_mm, across_mm[bare], np.where(strip, np.inf, gaps.width_mm)]
    )
    piece = np.concatenate([openings.piece, np.flatnonzero(bare), np.full(len(gaps), -1)])
    of_shape = _left_of(region, at, width, painted)
    of_shape[np.isin(of_shape, _outlined(pieces, piece, of_shape, painted))] = -1
    hit = of_shape >= 0
    whole = np.zeros(len(pieces), dtype=bool)
    whole[piece[hit & (piece >= 0)]] = True
    whole &= fine
    hit[piece >= 0] |= whole[piece[piece >= 0]]
    ends = np.cumsum([len(openings), len(middles)])
    in_openings, in_middles, in_gaps = np.split(hit, ends)
    told = np.concatenate([in_openings & (openings.kind == 0), in_middles])
    order = np.flatnonzero(told)
    order = order[np.argsort(-width[order], kind="stable")]
    return Leftovers(
        at_mm=at[order],
        width_mm=width[order],
        covers=_beside(at[order], width[order], painted.others),
        pieces=whole,
        openings=in_openings,
        gaps=in_gaps | _parted_by(pieces[whole], gaps, strip),
        islands=_enclosed_by(pieces, whole, [island.region for island in measures.islands]),
        everything=bool(len(whole)) and bool(whole.all()),
    )


def carried_over(
    left: Leftovers, shows: MultiPolygon, region: MultiPolygon, measures: NarrowPlaces
) -> Leftovers:
    """Give the same leftovers for the region a screen really prints, like one spread under others.

    A piece of it is nothing but leftovers when it grew from nothing else.

    :param left: leftovers of ``shows``
    :param shows: what shows of the colour
    :param region: what the screen prints
    :param measures: of ``region``
    """
    pieces = shapely.get_parts(region)
    piece, part = shapely.STRtree(shapely.get_parts(shows)).query(pieces, predicate="intersects")
    whole = np.zeros(len(pieces), dtype=bool)
    whole[piece] = True
    whole[piece[~left.pieces[part]]] = False
    strip = measures.gaps.kind == 0
    grown = pieces[whole]
    ends = measures.gaps.take(~strip)
    of_ends = np.zeros(len(measures.gaps), dtype=bool)
    if len(grown) and len(ends):
        near, _ = shapely.STRtree(grown).query(
            shapely.points(ends.at_mm), predicate="dwithin", distance=_SLACK_MM
        )
        of_ends[np.flatnonzero(~strip)[near]] = True
    return replace(
        left,
        pieces=whole,
        openings=whole[measures.openings.piece],
        gaps=of_ends | _parted_by(grown, measures.gaps, strip),
        islands=_enclosed_by(pieces, whole, [island.region for island in measures.islands]),
    )


def _left_of(region: MultiPolygon, at_mm: Floats, width_mm: Floats, painted: Painted) -> Ints:
    """Tell which shape a place is left of.

    Such a place lies on the outline of a shape of the colour that reaches at least twice as far
    around it as what shows. A line drawn as fine as that reaches no farther than itself; between two
    covers, away from the outline, a gap was drawn on purpose. Areas are counted by points spread
    evenly over a disc; at either of its sizes the shape may show that it reaches that far.

    :param at_mm: (N, 2) middles
    :param width_mm: (N,)
    :return: (N,) number of the shape, -1 where there is none
    """
    of_shape = np.full(len(at_mm), -1, dtype=np.int64)
    near = np.flatnonzero(width_mm < HAIRLINE_MM)
    if not len(near) or not painted.shapes:
        return of_shape
    shapes = np.array(painted.shapes, dtype=object)
    place, shape = shapely.STRtree(shapely.boundary(shapes)).query(
        shapely.points(at_mm[near]),
        predicate="dwithin",
        distance=width_mm[near] / 2.0 + _SLACK_MM,
    )
    disc = _disc()
    shapely.prepare(region)
    shapely.prepare(shapes)
    for times in _RADII:
        radius = times * np.maximum(width_mm[near], _LEAST_WIDTH_MM)
        spots = at_mm[near][:, None, :] + radius[:, None, None] * disc
        shows = shapely.contains_xy(region, spots[..., 0], spots[..., 1]).sum(axis=1)
        seen = spots[place]
        drawn = shapely.contains_xy(shapes[shape][:, None], seen[..., 0], seen[..., 1]).sum(axis=1)
        enough = drawn >= np.maximum(_COVERED * shows[place], _LEAST * len(disc))
        of_shape[near[place[enough]]] = shape[enough]
    return of_shape


def _disc() -> Floats:
    """Give (M, 2) points spread evenly over the unit disc."""
    turn = 2.0 * np.pi * np.arange(_AROUND) / _AROUND
    away = np.sqrt((np.arange(_RINGS) + 0.5) / _RINGS)[:, None]
    return np.stack(
        [(away * np.cos(turn + away)).ravel(), (away * np.sin(turn + away)).ravel()], axis=1
    )


def _outlined(
    pieces: NDArray[np.object_], piece: Ints, of_shape: Ints, painted: Painted
) -> list[int]:
    """Give the shapes that show an even rim all around: an outline somebody drew."""
    found = []
    for shape in np.unique(of_shape[of_shape >= 0]).tolist():
        own = np.unique(piece[(of_shape == shape) & (piece >= 0)])
        rim = float(shapely.length(pieces[own]).sum()) / 2.0
        area = float(shapely.area(pieces[own]).sum())
        if rim >= _RIM_SHARE * painted.shapes[shape].length and area >= _RIM_MM * rim:
            found.append(shape)
    return found


def _beside(
    at_mm: Floats, width_mm: Floats, others: Sequence[tuple[str, MultiPolygon]]
) -> tuple[str, ...]:
    """Give the colours next to the places, the one beside most of them first."""
    counts: dict[str, int] = {}
    points, reach = shapely.points(at_mm), width_mm / 2.0 + _SLACK_MM
    for colour, shows in others:
        shapely.prepare(shows)
        counts[colour] = int((shapely.distance(shows, points) <= reach).sum())
    return tuple(sorted((c for c in counts if counts[c]), key=lambda c: (-counts[c], c)))


def _parted_by(leftovers: NDArray[np.object_], gaps: Places, strip: Bools) -> Bools:
    """Tell which strips of film have a leftover on one side: without it there is no strip."""
    parted = np.zeros(len(gaps), dtype=bool)
    if len(leftovers) and strip.any():
        number = np.flatnonzero(strip)
        place, _ = shapely.STRtree(leftovers).query(
            shapely.points(gaps.at_mm[number]),
            predicate="dwithin",
            distance=gaps.width_mm[number] / 2.0 + _SLACK_MM,
        )
        parted[number[place]] = True
    return parted


def _enclosed_by(
    pieces: NDArray[np.object_], whole: Bools, islands: Sequence[shapely.Geometry]
) -> Bools:
    """Tell which islands of film lie in nothing but leftovers."""
    enclosed = np.zeros(len(islands), dtype=bool)
    if whole.any() and islands:
        island, piece = shapely.STRtree(pieces).query(
            np.array(islands, dtype=object), predicate="dwithin", distance=1e-6
        )
        enclosed[island] = True
        enclosed[island[~whole[piece]]] = False
    return enclosed
