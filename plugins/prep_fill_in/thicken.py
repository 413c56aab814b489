"""Openings and film strips made as wide as a limit asks, where there is room. Nothing of plugins.

What is narrow grows to the discs of the wanted width whose centres lie on its middle: both edges move
alike, by what is lacking at each spot and no more. A growth is taken
back where it would take from another colour, narrow what lies beside it below that one's own limit, join
pieces or cut film loose. So the outcome hangs on no order: what spoils is found on all growths together,
all that take part in it are taken back, and the rest is looked at anew.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import MultiPolygon
from shapely.geometry.base import BaseGeometry

from prep.measures import Measures, Places
from prep.measures.result import AS_WIDE_MM
from prep_fill_in.middles import middles_of
from prep_fill_in.narrow import QUAD_SEGS, Geometries, holding, narrow_parts, polygons

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]
Side = Literal["opening", "film", "island"]

NOT_NEEDED, TOO_MUCH, TAKEN, NO_ROOM, APART = range(5)
WHY_LEFT = {
    TOO_MUCH: "an edge would move too far",
    TAKEN: "another colour lies there",
    NO_ROOM: "what lies beside it would be too narrow",
    APART: "pieces would join or film come loose",
}
_STRAYS_MM = 0.001
_OVER_MM = 0.01
"""Grown farther by this on each edge: arcs lie within their circle, and between samples a middle may be a
little narrower. No more than that by which a width counts as reached."""
_REACH_MM = 0.02
"""How near a place's disc must come to a growth that is to blame for it."""
_ROUNDS = 40
_NOISE_MM = 1e-9
_HALVINGS = 30


@dataclass(frozen=True, slots=True)
class Wanted:
    """How wide things are to be.

    :param opening_mm: openings; film beside them may not fall below ``film_mm``
    :param film_mm: film strips; openings beside them may not fall below ``opening_mm``
    :param most_mm: on each edge at most
    :param island_mm: film islands that are small all over; 0 = these are strips like any other
    :param island_mm2: area such an island is to have
    """

    opening_mm: float
    film_mm: float
    most_mm: float
    island_mm: float = 0.0
    island_mm2: float = 0.0


@dataclass(frozen=True, slots=True, eq=False)
class Change:
    """What came of one narrow part.

    :param at_mm: of its narrowest place
    :param width_mm: there, as drawn
    :param edge_mm: what each edge was moved by at most, or would have to be
    :param left: why it is as drawn, one of ``WHY_LEFT``; ``NOT_NEEDED`` where it was thickened
    """

    side: Side
    at_mm: tuple[float, float]
    width_mm: float
    edge_mm: float
    left: int

    @property
    def to_mm(self) -> float:
        """How wide it is to be."""
        return self.width_mm + 2.0 * self.edge_mm

    @property
    def done(self) -> bool:
        """Tell whether it was thickened."""
        return self.left == NOT_NEEDED


@dataclass(frozen=True, slots=True, eq=False)
class Thickened:
    """A region with its narrow parts thickened.

    :param region: the one given where nothing was changed
    :param measures: of it
    :param changes: of every narrow part, narrowest first
    """

    region: MultiPolygon
    measures: Measures
    changes: tuple[Change, ...]

    @property
    def changed(self) -> bool:
        """Tell whether anything was."""
        return any(change.done for change in self.changes)


@dataclass(slots=True, eq=False)
class _Growths:
    """Growths of narrow parts, as arrays (N,).

    :param film: of film; the others are of openings
    :param island: of film islands, which are of film too
    :param shape: what it is to cover, the narrow part with it: added to the openings, or taken from
        them; whole, as cut to what is new it would leave cracks along the old outline
    :param piece: number of the opening it belongs to; -1 for film
    """

    film: Bools
    island: Bools
    shape: Geometries
    at_mm: Floats
    width_mm: Floats
    edge_mm: Floats
    piece: Ints
    left: Ints

    def on(self) -> Ints:
        return np.flatnonzero(self.left == NOT_NEEDED)


def thicken(
    region: MultiPolygon,
    measures: Measures,
    others: BaseGeometry,
    wanted: Wanted,
    measure: Callable[[MultiPolygon], Measures],
) -> Thickened:
    """Thicken the narrow openings, film strips and small film islands of one colour.

    What was taken back may find room once all that spoilt it was taken back too, so what is left is tried
    again until nothing changes any more.

    :param region: openings in mm
    :param measures: of it; only what it lists as narrow is touched, so corners are not
    :param others: what other colours cover; nothing is taken from them
    :param measure: measures a region
    """
    made = _once(region, measures, others, wanted, measure)
    done = [change for change in made.changes if change.done]
    for _ in range(_ROUNDS):
        if not made.changed or len(made.changes) == sum(change.done for change in made.changes):
            break
        made = _once(made.region, made.measures, others, wanted, measure)
        done += [change for change in made.changes if change.done]
    left = [change for change in made.changes if not change.done]
    every = sorted([*done, *left], key=lambda change: (round(change.width_mm, 2), *change.at_mm))
    return Thickened(made.region, made.measures, tuple(every))


def _once(
    region: MultiPolygon,
    measures: Measures,
    others: BaseGeometry,
    wanted: Wanted,
    measure: Callable[[MultiPolygon], Measures],
) -> Thickened:
    growths = _growths(region, measures, wanted)
    _refuse_at_once(growths, region, others, wanted)
    made, of_made = region, measures
    for _ in range(_ROUNDS):
        on = growths.on()
        if not len(on):
            made, of_made = region, measures
            break
        made = _applied(region, growths, on)
        spoilt = _joined(region, made, growths, on)
        if spoilt.any():
            growths.left[on[spoilt]] = APART
            continue
        of_made = measure(made)
        spoilt = _narrowed(of_made, growths, on, wanted)
        if not spoilt.any():
            break
        growths.left[on[spoilt]] = NO_ROOM
    else:
        growths.left[growths.on()] = NO_ROOM
        made, of_made = region, measures
    return Thickened(made, of_made, _changes(growths))


def _changes(growths: _Growths) -> tuple[Change, ...]:
    x, y = growths.at_mm.T
    return tuple(
        Change(
            "island" if growths.island[i] else "film" if growths.film[i] else "opening",
            (float(x[i]), float(y[i])),
            float(growths.width_mm[i]),
            float(growths.edge_mm[i]),
            int(growths.left[i]),
        )
        for i in range(len(x))
    )


def _growths(region: MultiPolygon, measures: Measures, wanted: Wanted) -> _Growths:
    """Give what each narrow part would have to grow by, whether there is room or not."""
    pieces = shapely.get_parts(region)
    openings = _below(measures.openings, wanted.opening_mm)
    listed = _with_whole_pieces(pieces, openings, wanted.opening_mm)
    open_ones = _of_side(pieces, *listed, wanted.opening_mm, wanted.most_mm)
    islands, of_islands = _small_islands(measures, wanted)
    strips = _below(measures.gaps, wanted.film_mm)
    strips = strips.take(~np.isin(strips.piece - 1, islands))
    film = polygons(_film(region, wanted))
    of_film = _of_side(film, strips.at_mm, strips.width_mm, wanted.film_mm, wanted.most_mm)
    groups = [open_ones, of_film, *of_islands]
    group = np.repeat(np.arange(len(groups)), [len(one[0]) for one in groups])
    is_film = group > 0
    shapes, at_mm, width_mm, edge_mm = (np.concatenate(one) for one in zip(*groups, strict=True))
    return _Growths(
        film=is_film,
        island=group > 1,
        shape=shapes,
        at_mm=at_mm,
        width_mm=width_mm,
        edge_mm=edge_mm,
        piece=_pieces_of(pieces, at_mm, is_film),
        left=np.full(len(shapes), NOT_NEEDED, dtype=np.int64),
    )


def _small_islands(
    measures: Measures, wanted: Wanted
) -> tuple[Ints, list[tuple[Geometries, Floats, Floats, Floats]]]:
    """Give the numbers of islands that are small all over, and what they are to grow to, as one group.

    All edges of an island move alike, until it is wide enough and has area enough.
    """
    shapes = np.array([island.region for island in measures.islands], dtype=object)
    if not wanted.island_mm or not len(shapes):
        return np.zeros(0, dtype=np.int64), []
    least_mm2 = wanted.island_mm2 - AS_WIDE_MM / 2.0 * shapely.length(shapes)
    circles = shapely.maximum_inscribed_circle(shapes, tolerance=0.001)
    across = 2.0 * shapely.length(circles)
    at_mm = shapely.get_coordinates(shapely.get_point(circles, 0)).reshape(-1, 2)
    small = (across < wanted.island_mm - AS_WIDE_MM) | (shapely.area(shapes) < least_mm2)
    neck = np.zeros(len(shapes), dtype=bool)
    strips = measures.gaps.strips()
    inside = strips.piece > 0
    of, width = strips.piece[inside] - 1, strips.width_mm[inside]
    neck[of[1.15 * width < across[of]]] = True  # a strip between wider parts, judged as one
    small &= ~neck
    which = np.flatnonzero(small)
    edge = _enough(shapes[which], across[which], wanted)
    grown = np.full(len(which), MultiPolygon(), dtype=object)
    can = edge <= wanted.most_mm + _NOISE_MM
    grown[can] = _offset(shapes[which][can], edge[can] + _OVER_MM)
    return which, [(grown, at_mm[which], across[which], edge)]


def _offset(shapes: Geometries, by_mm: Floats) -> Geometries:
    """Move all edges outward, corners staying corners."""
    moved: Geometries = shapely.buffer(shapes, by_mm, join_style="mitre", mitre_limit=2.0)
    return moved


def _enough(shapes: Geometries, across_mm: Floats, wanted: Wanted) -> Floats:
    """Give by how much the edges of islands must move for width and area to be enough, (N,)."""
    least = np.maximum((wanted.island_mm - across_mm) / 2.0, 0.0)
    most = np.maximum(least, np.sqrt(wanted.island_mm2))
    enough = shapely.area(_offset(shapes, least)) >= wanted.island_mm2
    low, high = least.copy(), np.where(enough, least, most)
    for _ in range(_HALVINGS):
        middle = (low + high) / 2.0
        wide = shapely.area(_offset(shapes, middle)) >= wanted.island_mm2
        low, high = np.where(wide, low, middle), np.where(wide, middle, high)
    return high


def _of_side(
    whole: Geometries, at_mm: Floats, width_mm: Floats, limit_mm: float, most_mm: float
) -> tuple[Geometries, Floats, Floats, Floats]:
    """Give of each narrow part: what it is to grow to, its narrowest place, width there, edge to move.

    What would move an edge too far is left empty.
    """
    parts = narrow_parts(MultiPolygon(whole.tolist()), limit_mm)
    within = holding(parts, at_mm)
    # discs before and behind a short neck may cover its middle; it is a part of its own then
    short = np.flatnonzero(within < 0)
    if len(short):
        spots = shapely.get_parts(shapely.multipoints(at_mm[short]))
        within[short] = len(parts) + np.arange(len(short))
        parts = np.append(parts, shapely.buffer(spots, 0.45 * width_mm[short]))
    order = np.lexsort((width_mm, within))
    _, first = np.unique(within[order], return_index=True)
    chosen = order[first]
    parts, width = parts[within[chosen]], width_mm[chosen]
    edge = (limit_mm - width) / 2.0
    shapes = np.full(len(chosen), MultiPolygon(), dtype=object)
    can = np.flatnonzero(edge <= most_mm + _NOISE_MM)
    if len(can):
        middles = middles_of(whole, parts[can], width[can], limit_mm)
        every = shapely.union_all(whole)
        # a small triangle has no two edges that face each other
        spots = shapely.get_parts(shapely.multipoints(at_mm[chosen[can]]))
        for number, middle, spot in zip(can.tolist(), middles, spots, strict=True):
            lines = np.append(shapely.get_parts(middle), spot)
            discs = shapely.buffer(lines, limit_mm / 2.0 + _OVER_MM, quad_segs=QUAD_SEGS)
            grown = shapely.union_all([*discs, *_ends(every, lines, limit_mm)])
            shapes[number] = shapely.simplify(grown, _STRAYS_MM)
    return shapes, at_mm[chosen], width, edge


def _ends(whole: BaseGeometry, middles: Geometries, limit_mm: float) -> list[BaseGeometry]:
    """Give what square ends of narrow parts are to grow to, as discs on their middles leave out corners.

    Each lies within what is there grown by what is lacking at the end of its middle, so round ends stay
    round and pointed ones pointed.
    """
    found: list[BaseGeometry] = []
    # samples of both edges draw the same middle, to and fro
    once = shapely.get_parts(shapely.line_merge(shapely.union_all(middles)))
    for line in shapely.remove_repeated_points(once[shapely.length(once) > _STRAYS_MM], _NOISE_MM):
        points = shapely.get_coordinates(line)
        for end, before in ((points[0], points[1]), (points[-1], points[-2])):
            along = (end - before) / np.hypot(*(end - before))
            reach = 2.0 * limit_mm
            near = shapely.box(*(end - reach), *(end + reach))
            there = shapely.union_all(polygons(shapely.intersection(whole, near)))
            if there.is_empty:  # the middle of a tip so fine that rounding put it outside
                continue
            radius = float(shapely.distance(shapely.boundary(there), shapely.Point(end)))
            lacking = limit_mm / 2.0 - radius
            if lacking <= 0.0:
                continue
            flat = shapely.buffer(
                shapely.LineString([end, end + radius * along]),
                limit_mm / 2.0 + _OVER_MM,
                cap_style="flat",
            )
            grown = shapely.buffer(there, lacking + _OVER_MM, join_style="mitre", mitre_limit=2.0)
            found.append(shapely.intersection(flat, grown))
    return found


def _below(places: Places, limit_mm: float) -> Places:
    return places.strips().narrower_than(limit_mm)


def _film(region: MultiPolygon, wanted: Wanted) -> BaseGeometry:
    """Give the film around and between openings, as far out as it may be narrow."""
    if region.is_empty:
        return MultiPolygon()
    x0, y0, x1, y1 = region.bounds
    out = 2.0 * max(wanted.film_mm, wanted.opening_mm)
    return shapely.difference(shapely.box(x0 - out, y0 - out, x1 + out, y1 + out), region)


def _with_whole_pieces(
    pieces: Geometries, strips: Places, limit_mm: float
) -> tuple[Floats, Floats]:
    """Give narrow places with those pieces that are narrow all over and hold none, like small triangles.

    :return: (N, 2) places, (N,) widths
    """
    rest = np.ones(len(pieces), dtype=bool)
    rest[strips.piece] = False
    # a piece holds a disc of 2 A / P at least
    rest &= 2.0 * shapely.area(pieces) / shapely.length(pieces) < limit_mm
    small = np.flatnonzero(rest)
    if not len(small):
        return strips.at_mm, strips.width_mm
    circles = shapely.maximum_inscribed_circle(pieces[small], tolerance=0.001)
    across = 2.0 * shapely.length(circles)
    middles = shapely.get_coordinates(shapely.get_point(circles, 0)).reshape(-1, 2)
    narrow = across < limit_mm - AS_WIDE_MM
    return (
        np.concatenate([strips.at_mm, middles[narrow]]),
        np.concatenate([strips.width_mm, across[narrow]]),
    )


def _pieces_of(pieces: Geometries, at_mm: Floats, film: Bools) -> Ints:
    found = np.full(len(at_mm), -1, dtype=np.int64)
    which = np.flatnonzero(~film)
    if len(which):
        place, piece = shapely.STRtree(pieces).query_nearest(
            shapely.points(at_mm[which]), all_matches=False
        )
        found[which[place]] = piece
    return found


def _refuse_at_once(
    growths: _Growths, region: MultiPolygon, others: BaseGeometry, wanted: Wanted
) -> None:
    """Take back what is too much, takes from another colour, or reaches another piece."""
    shapely.prepare(others)
    growths.left[growths.edge_mm > wanted.most_mm + _NOISE_MM] = TOO_MUCH
    # film that another colour prints is a matter of that one's openings, however far edges may move
    spots = shapely.points(growths.at_mm[growths.film])
    growths.left[np.flatnonzero(growths.film)[shapely.distance(others, spots) <= 0.0]] = TAKEN
    on = growths.on()
    if not len(on):
        return
    taken = shapely.intersects(others, growths.shape[on])
    taken &= shapely.area(shapely.intersection(growths.shape[on], others)) > 1e-6
    growths.left[on[taken]] = TAKEN
    on = growths.on()
    out = on[~growths.film[on]]
    pieces = shapely.get_parts(region)
    grown, piece = shapely.STRtree(pieces).query(growths.shape[out], predicate="intersects")
    foreign = piece != growths.piece[out][grown]
    one, other = shapely.STRtree(growths.shape[out]).query(
        growths.shape[out], predicate="intersects"
    )
    apart = growths.piece[out][one] != growths.piece[out][other]
    growths.left[out[grown[foreign]]] = APART
    growths.left[out[one[apart]]] = APART


def _applied(region: MultiPolygon, growths: _Growths, on: Ints) -> MultiPolygon:
    film = growths.film[on]
    made = shapely.union_all([region, *growths.shape[on[~film]]])
    if film.any():
        made = shapely.difference(made, shapely.union_all(growths.shape[on[film]]))
    return MultiPolygon(polygons(made).tolist())


def _joined(region: MultiPolygon, made: MultiPolygon, growths: _Growths, on: Ints) -> Bools:
    """Tell which growths join pieces, cut them, or part film that hung together.

    A piece must stay one piece with as many holes; where one doesn't, all growths in it go.
    """
    before, after = shapely.get_parts(region), shapely.get_parts(made)
    tree = shapely.STRtree(after)
    was, now = tree.query(before, predicate="intersects").astype(np.int64)
    overlap = shapely.area(shapely.intersection(before[was], after[now])) > 1e-9
    was, now = was[overlap], now[overlap]
    sound = np.zeros(len(before), dtype=bool)
    only = np.bincount(was, minlength=len(before)) == 1
    alone = np.bincount(now, minlength=len(after)) == 1
    same = shapely.get_num_interior_rings(before[was]) == shapely.get_num_interior_rings(after[now])
    sound[was[only[was] & alone[now] & same]] = True
    broken = before[~sound]
    if not len(broken):
        return np.zeros(len(on), dtype=bool)
    touches = shapely.STRtree(broken).query(growths.shape[on], predicate="dwithin", distance=1e-3)[
        0
    ]
    spoilt = np.zeros(len(on), dtype=bool)
    spoilt[touches] = True
    return spoilt


def _narrowed(measures: Measures, growths: _Growths, on: Ints, wanted: Wanted) -> Bools:
    """Tell which growths bound something that is too narrow now, or are so still themselves."""
    spoilt = np.zeros(len(on), dtype=bool)
    tree = shapely.STRtree(growths.shape[on])
    for places, limit in (
        (measures.gaps, wanted.film_mm),
        (measures.openings, wanted.opening_mm),
    ):
        narrow = _below(places, limit)
        touch = places.touches()
        at = np.concatenate([narrow.at_mm, touch.at_mm])
        reach = np.concatenate([narrow.width_mm, touch.width_mm]) / 2.0 + _REACH_MM
        if len(at):
            _, growth = tree.query(shapely.points(at), predicate="dwithin", distance=reach)
            spoilt[growth] = True
    return spoilt
