"""From a job to its base. Goes by the design alone, never by screens other plugins made."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import shapely
from numpy.typing import NDArray
from scipy.spatial import cKDTree
from shapely import MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry

from prep.borders import Border, Outline, outline_of, shared_border
from prep.digest import digest_of
from prep.job import Job
from prep.misses import Draws, Edges, between, draws_of, edges_of, miss_of, trap_needed_mm
from prep.phrases import length
from prep.press_error import press_error
from prep.remembered import remembered
from prep.uniting import Matched, matched
from prep_base.choking import (
    CLEAR_MM,
    FLAT_MM,
    Limits,
    as_one,
    bare_of,
    boxes_around,
    choked,
    narrower_than,
    offset,
    polygons,
    with_ends,
    without_beads,
)
from prep_base.members import Member, Members, members_of, refused
from prep_base.settings import Base, BaseOrder

Floats = NDArray[np.float64]

DRAWS = 4096
STEP_MM = 1.0
"""Edges are looked at in pieces of at most this."""
FAR_MM = 1e3
"""Farther than any print is wide."""
_CRACK_MM = 0.02
"""Bare shirt no wider between colours is an accident of the drawing or of flattening curves (0.01 mm
on each side): the base goes on below it."""
_GRID_MM = 1e-7
"""Regions are united on it, so that edges that lie on each other but for rounding leave no slit."""
_MEETS_MM = 1e-6
"""Visible white is grown by so much where it is united with the base beside it, so that rounding leaves no
slit between them."""
_PIECE_MM = 0.5
"""Edges that distances are taken to are cut into pieces of at most this."""
_CLASSES = 5
"""So many widths are told apart where parts are too narrow for the whole choke."""


@dataclass(frozen=True, slots=True, eq=False)
class Plan:
    """A base.

    :param members: every colour of the design
    :param on: all colours on the base together
    :param white: what its screen prints as visible white; empty without
    :param inked: ``on`` and ``white`` together
    :param region: of its screen
    :param choke_mm: where parts are wide enough
    :param needed_mm: even choke that the press's error asks for
    :param stated: the choke was asked for
    :param starved: part of the colours where the whole choke would leave too little
    :param bare: parts of colours without any base
    :param borders: colour -> its edge to whatever has no base below, in pieces; right beside the
        visible white it doesn't count, as white that strays there looks like more of it
    """

    members: Members
    on: MultiPolygon
    white: MultiPolygon
    inked: MultiPolygon
    region: MultiPolygon
    choke_mm: float
    needed_mm: float
    stated: bool
    starved: MultiPolygon
    bare: tuple[Polygon, ...]
    borders: Mapping[str, Border]

    @property
    def on_base(self) -> tuple[Member, ...]:
        """The colours on it."""
        return self.members.of("on base")


def plan_of(job: Job, outlines: Mapping[str, Outline] | None = None) -> Plan | None:
    """Plan the base; ``None`` where no colour needs one.

    :param outlines: colour -> its outline, where these are known
    :raises SettingsError: the order names a colour that isn't there, or a choke nothing can bear
    """
    members = members_of(job)
    on_base = members.of("on base")
    if not on_base:
        return None
    chosen, order = job.settings(Base), job.settings(BaseOrder)
    white = members.white.design.region if members.white is not None else MultiPolygon()
    on, inked, seams = _in_one(tuple(member.design.region for member in on_base), white)
    if outlines is None:
        outlines = {m.colour: outline_of(m.design.region) for m in on_base}
    outside = outside_of(inked)
    borders = {
        m.colour: _away_from(outer_edges(outlines[m.colour], outside), white, chosen.film_strip_mm)
        for m in on_base
    }
    needed = _needed_mm(job, borders.values(), members.films)
    stated = order.choke_mm is not None
    proposed = min(max(needed, chosen.least_mm), chosen.most_mm) if needed > 0.0 else 0.0
    choke = order.choke_mm if order.choke_mm is not None else proposed
    if stated and choked(on, white, choke).region.is_empty:
        raise refused(
            job,
            "choke",
            f"a choke of {length(choke, job.shop.units)} is wider than any part of the colours can take",
            "give a smaller one, or take it out for what the press's error asks for",
        )
    starved = MultiPolygon()
    if choke > 0.0:
        starved = narrower_than(inked, chosen.keep_mm + 2.0 * choke)
    gives_way = order.narrow == "less choke" and choke > chosen.least_mm
    thinnest = chosen.keep_mm if order.narrow == "no base" else chosen.thinnest_mm
    limits = Limits(thinnest, chosen.keep_mm, chosen.film_strip_mm)
    narrow = narrow_parts(inked, starved, choke, chosen) if gives_way else ()
    made = choked(on, white, choke, narrow=narrow, limits=limits)
    under, bare = made.region, made.bare
    if not starved.is_empty and not under.is_empty:
        under = without_beads(under, on, white, starved, choke)
        bare = bare_of(on, under)
    region = under if white.is_empty else _printed(under, white, seams)
    here = polygons(shapely.intersection(starved, on))
    return Plan(members, on, white, inked, region, choke, needed, stated, here, bare, borders)


@remembered(kept=8)
def narrow_parts(
    region: BaseGeometry, starved: BaseGeometry, choke_mm: float, chosen: Base
) -> list[tuple[BaseGeometry, float]]:
    """Give the parts too narrow for the whole choke, each with the choke it bears, the least first.

    A part of local width w keeps ``keep`` of base with a choke of (w - keep) / 2, taken for the least
    width of its class; never less than ``least``. Wider classes hold the narrower ones.

    :param starved: what of the region is narrower than ``keep`` and the whole choke on both sides
    """
    if starved.is_empty:
        return []
    least = min(chosen.least_mm, choke_mm)
    chokes = np.unique(np.linspace(least, choke_mm, _CLASSES + 1)).tolist()
    widest = chosen.keep_mm + 2.0 * choke_mm
    # what is narrower lies within it; where the cut makes narrow parts of its own is far off
    around = shapely.intersection(region, offset(starved, 2.0 * widest))
    within = shapely.STRtree(shapely.get_parts(starved))
    made: list[tuple[BaseGeometry, float]] = []
    for mm, wider_mm in pairwise(chokes):
        width = chosen.keep_mm + 2.0 * wider_mm
        parts = shapely.get_parts(narrower_than(around, width))
        there = MultiPolygon(parts[np.unique(within.query(parts, "dwithin", FLAT_MM)[0])].tolist())
        if not there.is_empty:
            made.append((with_ends(there, width), mm))
    made.append((with_ends(polygons(starved), widest), choke_mm))
    return made


@remembered(kept=8)
def outside_of(inked: BaseGeometry) -> Outline:
    """Give the outline of all that lies around a region."""
    return outline_of(inked).turned()


def outer_edges(outline: Outline, outside: Outline) -> Border:
    """Give the edges of a region along the outside, in pieces."""
    return shared_border(outline, outside, _CRACK_MM).split(STEP_MM)


@remembered(kept=32)
def _away_from(border: Border, white: BaseGeometry, beyond_mm: float) -> Border:
    shapely.prepare(white)
    kept = ~shapely.dwithin(white, shapely.points(border.middle), beyond_mm)
    return Border(border.a[kept], border.b[kept], border.run[kept], border.closed)


def edges_at(job: Job, border: Border, base: Rim | None) -> Edges:
    """Make a border ready for draws, with the choke that a base leaves at each edge.

    :param base: its edge, see :func:`edge_of`; ``None``: none is drawn in
    """
    centre = np.array([job.artwork.width_mm / 2.0, job.artwork.height_mm / 2.0])
    choke = np.zeros(len(border)) if base is None else distance_to(base, border.middle)
    return edges_of(border.middle, border.normal, choke, centre)


@dataclass(frozen=True, slots=True, eq=False)
class Rim:
    """The edge of a region in pieces of at most ``_PIECE_MM``, for :func:`distance_to`.

    :param a: (n, 2) first point of each, mm
    :param b: (n, 2) last point
    :param tree: of their middles; ``None`` without any
    """

    a: Floats
    b: Floats
    tree: cKDTree | None

    def digest(self) -> str:
        """Digest of the pieces, which the tree follows from."""
        return digest_of((self.a, self.b))


@remembered(kept=16)
def edge_of(region: BaseGeometry) -> Rim:
    """Give the edge of a region in pieces."""
    rings = shapely.get_rings(shapely.get_parts(region))
    points, ring = shapely.get_coordinates(rings, return_index=True)
    step = np.flatnonzero((ring[1:] == ring[:-1]) & (points[1:] != points[:-1]).any(axis=1))
    start, way = points[step], points[step + 1] - points[step]
    count = np.maximum(np.ceil(np.hypot(*way.T) / _PIECE_MM).astype(np.int64), 1)
    of = np.repeat(np.arange(len(step)), count)
    number = np.arange(len(of)) - np.repeat(np.cumsum(count) - count, count)
    a = start[of] + way[of] * (number / count[of])[:, None]
    b = start[of] + way[of] * ((number + 1) / count[of])[:, None]
    return Rim(a, b, cKDTree((a + b) / 2.0) if len(a) else None)


@remembered(kept=64)
def distance_to(edge: Rim, at: Floats) -> Floats:
    """Give how far points lie from the edge of a region, (n,) mm; at most ``FAR_MM``.

    The nearest piece has its middle no farther than half a piece from where it is nearest. So more and
    more pieces are looked at by their middles, until no other can be nearer.
    """
    far: Floats = np.full(len(at), FAR_MM)
    if edge.tree is None:
        return far
    left, count = np.arange(len(at)), 4
    while len(left):
        ahead, piece = edge.tree.query(at[left], k=np.arange(1, min(count, len(edge.a)) + 1))
        a, way = edge.a[piece], edge.b[piece] - edge.a[piece]
        to = at[left, None] - a
        along = np.einsum("ijk,ijk->ij", to, way) / np.einsum("ijk,ijk->ij", way, way)
        off = to - np.clip(along, 0.0, 1.0)[..., None] * way
        found = np.sqrt(np.einsum("ijk,ijk->ij", off, off)).min(axis=1)
        far[left] = np.minimum(found, FAR_MM)
        near = ahead[:, -1] < found + _PIECE_MM / 2.0
        if count >= len(edge.a):
            break
        left, count = left[near], 4 * count
    return far


def pair_draws(job: Job, films: int, count: int = DRAWS) -> Draws:
    """Give how a base and a colour miss each other, or two colours, where there are so many films."""
    return draws_of(between(miss_of(press_error(job.shop.press, films)), unmoved=False), count)


def joined(regions: Sequence[BaseGeometry]) -> MultiPolygon:
    """Unite regions; cracks between them are closed, nothing else changes."""
    return _closed(_matched(regions), range(len(regions)))[0]


@remembered(kept=8)
def _in_one(
    regions: tuple[BaseGeometry, ...], white: BaseGeometry
) -> tuple[MultiPolygon, MultiPolygon, MultiPolygon]:
    """Unite the colours on a base, and these with the visible white.

    :return: the colours, both, and what was cracks
    """
    every = _matched([*regions, white])
    on, seams = _closed(every, range(len(regions)))
    if white.is_empty:
        return on, on, seams
    inked, seams = _closed(every, range(len(regions) + 1))
    return on, inked, seams


def _matched(regions: Sequence[BaseGeometry]) -> Matched:
    return matched(regions, _GRID_MM, _CRACK_MM)


def _closed(every: Matched, numbers: Sequence[int]) -> tuple[MultiPolygon, MultiPolygon]:
    """Unite some of the regions that were matched, and close the cracks between them.

    :return: the regions in one, and what was cracks
    """
    one = polygons(every.united(numbers))
    if one.is_empty or not len(every.close):
        return one, MultiPolygon()
    by = 20.0 * _CRACK_MM * np.array([-1, -1, 1, 1])
    places = np.asarray(shapely.box(*(every.close + by).T), dtype=object)
    return _without_cracks(one, places)


def _without_cracks(
    one: MultiPolygon, places: NDArray[np.object_]
) -> tuple[MultiPolygon, MultiPolygon]:
    """Close the cracks in a region.

    :param places: boxes that hold all cracks, and 0.4 mm around them
    :return: the region, and what was cracks
    """
    here = shapely.intersection(one, shapely.disjoint_subset_union_all(places))
    wider = offset(here, _CRACK_MM / 2.0, "mitre")
    closed = offset(wider, -_CRACK_MM / 2.0 - CLEAR_MM, "mitre")
    cracks = polygons(shapely.difference(closed, here))
    if cracks.is_empty:
        return one, cracks
    # no more than closed: a bump on an edge along the white would count as an edge to bare shirt
    around = shapely.intersection(wider, boxes_around(cracks, 10.0 * _CRACK_MM))
    seams = shapely.intersection(
        offset(cracks, 2.0 * CLEAR_MM, "mitre"), offset(around, -_CRACK_MM / 2.0, "mitre")
    )
    return polygons(shapely.union(one, seams)), polygons(seams)


@remembered(kept=8)
def _printed(under: MultiPolygon, white: BaseGeometry, seams: MultiPolygon) -> MultiPolygon:
    """Give what a screen prints that has the visible white too.

    :param seams: cracks of the colours and the white; those that lie between white and base are closed
    """
    made = as_one(under, white, _MEETS_MM)
    every, base = shapely.get_parts(seams), shapely.get_parts(under)
    near = shapely.STRtree(base).query(every, predicate="dwithin", distance=_CRACK_MM)
    if not near.size:
        return polygons(made)
    cracks = MultiPolygon(every[np.unique(near[0])].tolist())
    beside = MultiPolygon(base[np.unique(near[1])].tolist())
    here = shapely.intersection(beside, boxes_around(cracks, _CRACK_MM))
    between = shapely.intersection(cracks, offset(here, _CRACK_MM))
    return polygons(shapely.union(made, offset(between, _MEETS_MM, "mitre")))


def _needed_mm(job: Job, borders: Iterable[Border], films: int) -> float:
    """Give the even choke with which each colour shows the base on no more prints than wanted."""
    press, draws = job.shop.press, pair_draws(job, films)
    edges = (edges_at(job, border, None) for border in borders)
    share, seen_mm = press.gap_share, press.visible_gap_mm
    return max((trap_needed_mm(e, draws, seen_mm, share) for e in edges), default=0.0)
