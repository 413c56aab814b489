"""Measure one region: everything the sheet, the checks and the ink figures rest on."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np
import shapely
from shapely import MultiPolygon, Polygon

from prep.measures.dots import LargestDiscs, with_dots
from prep.measures.edges import simplified_rings
from prep.measures.insets import bands_of, distribution, inset_areas
from prep.measures.islands import Film, film_of, islands_of
from prep.measures.limits import Limits
from prep.measures.necks import hanging_film
from prep.measures.places import find_places, no_places
from prep.measures.result import STRIP, Distribution, Measures, Narrow, Place, Places
from prep.measures.sampling import DEEPEST_MM, depths_of

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from numpy.typing import NDArray

    from prep.measures.depths import Depths

    Ints = NDArray[np.int64]

_STANDARD = Limits()
_NECK_SHARES = (1 / 2, 1 / 4, 1 / 8)


def measure(
    region: MultiPolygon, limits: Limits = _STANDARD, *, sheet: Polygon | None = None
) -> Measures:
    """Measure the openings of a screen and the film that stays.

    **Local width.** Take every disc that fits into the region and can't grow: the centres form
    the medial axis. From a centre, the disc's contacts with the edge are seen at angles; the
    largest between two of them is the separation angle. The local width is the disc's diameter,
    and it counts only where the separation angle is at least ``limits.angle_deg`` (120°): between
    two edges that face each other. A corner of 60° or more, a flattened curve and the round end of
    a slot therefore make no false width, at any rotation. (Separation angle: Foskey, Lin, Manocha,
    "Efficient Computation of A Simplified Medial Axis", abstract.)

    **Places.** What is connected and narrower than the limit is a place; where the width rises
    above the limit by less than ``limits.prominence_share`` (5 %) and falls again it stays one, so
    that a stroke just as wide as the limit isn't told in pieces. A width that misses a limit by
    less than 0.01 mm has reached it. A *strip* has a least
    width, found exactly on the polygon: where two edges lie square to each other, or where a third
    edge ends the stretch. A *tip* is a corner sharper than 60°, whose width runs down to nothing;
    it is told by its angle. A *touch* is narrower than ``limits.floor_mm``: kissing corners,
    hairline cracks, slivers. Where a tip or a touch widens and then narrows again, the rest is a
    place of its own. Towards a corner of 60° and more, as at the end of a broad leaf, the width
    ceases to count while it falls: where depends on how the curve is flattened, and it is no least
    width. A piece that is narrow all over and has no least width anywhere, since it only tapers or
    its edge is uneven, is a strip as wide as its largest disc.

    **Error.** On the polygon given, widths are right to 0.000002 mm. Where the polygon stands for
    curves it strays from by at most t, a least width between two facing edges moves by at most 2t
    (the distance to two curves that lie t apart differs by at most t at every point).

    Invalid regions (bow ties, overlapping parts) are mended first and measured as what they cover.

    :param region: openings in mm
    :param limits: how far and how finely to measure
    :param sheet: the film sheet; the film is what remains of it. None: the film has no end
    :raises ValueError: when the region holds infinite or missing coordinates, or lies partly
        outside the sheet
    """
    region = _mended(region)
    if sheet is not None and not region.is_empty and not sheet.buffer(1e-6).covers(region):
        raise ValueError("the region lies partly outside the sheet")
    if region.is_empty:
        return _nothing(limits, sheet)
    film = film_of(region)
    parts = np.asarray(region.geoms, dtype=object)
    rings, part, film_piece = _rings(parts, film)
    openings = _search(rings, part, LargestDiscs(parts), limits, flip=False)
    if sheet is None:
        of_film = LargestDiscs(np.array([None, *film.regions], dtype=object))
        gaps = _search(rings, film_piece, of_film, limits, flip=True)
        necks = _necks(
            gaps, limits, lambda under: _search(rings, film_piece, of_film, under, flip=True)
        )
        cut = float(region.length)
    else:
        left = _mended(shapely.difference(sheet, region))
        shapes = np.asarray(left.geoms, dtype=object)
        numbers = _film_pieces(left, film.regions)
        film_rings, film_piece = shapely.get_rings(shapes, return_index=True)
        of_film = LargestDiscs(shapes)

        def search(under: Limits) -> Places:
            found = _search(film_rings, film_piece, of_film, under, flip=False)
            return replace(found, piece=numbers[found.piece])

        gaps = search(limits)
        necks = _necks(gaps, limits, search)
        cut = float(shapely.difference(region.boundary, sheet.boundary).length)
    depths = depths_of(shapely.get_rings(parts), region)
    insets, inset_mm2 = inset_areas(region.area, depths, limits.inset_to_mm)
    minx, miny, maxx, maxy = region.bounds
    return Measures(
        area_mm2=float(region.area),
        perimeter_mm=float(region.length),
        cut_length_mm=cut,
        pieces=len(parts),
        islands=islands_of(film, gaps),
        hanging=hanging_film(
            region,
            necks,
            np.array(film.regions, dtype=object),
        ),
        bounds_mm=(minx, miny, maxx, maxy),
        openings=openings.narrower_than(limits.places_to_mm),
        gaps=gaps.narrower_than(limits.places_to_mm),
        places_to_mm=limits.places_to_mm,
        finest_opening=_finest(openings),
        finest_gap=_finest(gaps),
        searched_to_mm=limits.search_to_mm,
        insets_mm=insets,
        inset_areas_mm2=inset_mm2,
        bands=bands_of(region.area, depths),
        by_width=_by_width(region, depths, limits),
    )


def measure_narrow(region: MultiPolygon, limits: Limits = _STANDARD) -> Narrow:
    """Find narrow places and islands, as :func:`measure` does, and nothing else of a region.

    :param region: openings in mm; the film has no end
    :raises ValueError: when the region holds infinite or missing coordinates
    """
    region = _mended(region)
    if region.is_empty:
        return Narrow(no_places(), no_places(), (), limits.places_to_mm)
    film = film_of(region)
    parts = np.asarray(region.geoms, dtype=object)
    rings, part, film_piece = _rings(parts, film)
    of_film = LargestDiscs(np.array([None, *film.regions], dtype=object))
    openings = _search(rings, part, LargestDiscs(parts), limits, flip=False)
    gaps = _search(rings, film_piece, of_film, limits, flip=True)
    return Narrow(
        openings=openings.narrower_than(limits.places_to_mm),
        gaps=gaps.narrower_than(limits.places_to_mm),
        islands=islands_of(film, gaps),
        places_to_mm=limits.places_to_mm,
    )


def count_strips(
    region: MultiPolygon, limits_mm: Sequence[float], limits: Limits = _STANDARD
) -> tuple[Ints, Ints]:
    """Count the strips under each of several limits: what is connected and narrower than that one.

    Under a smaller limit a long strip may fall into several.

    :param region: openings in mm; the film has no end
    :return: (n,) of the openings, (n,) of the film
    :raises ValueError: when the region holds infinite or missing coordinates
    """
    region = _mended(region)
    counts = np.zeros((2, len(limits_mm)), dtype=np.int64)
    if not region.is_empty:
        film = film_of(region)
        parts = np.asarray(region.geoms, dtype=object)
        rings, part, film_piece = _rings(parts, film)
        sides = (
            (0, part, LargestDiscs(parts)),
            (1, film_piece, LargestDiscs(np.array([None, *film.regions], dtype=object))),
        )
        for number, limit_mm in enumerate(limits_mm):
            if limit_mm <= limits.floor_mm:
                continue  # there are touches, no strips
            under = replace(limits, places_to_mm=limit_mm, search_to_mm=limit_mm)
            for side, piece, discs in sides:
                places = _search(rings, piece, discs, under, flip=bool(side))
                counts[side, number] = len(places.strips())
    return counts[0], counts[1]


def film_by_width(
    region: MultiPolygon, to_mm: float, limits: Limits = _STANDARD
) -> tuple[MultiPolygon, Distribution]:
    """Measure how much film around and between openings is how wide, up to a width.

    :param region: openings in mm
    :param to_mm: the film ends so far outside the openings' bounds, and half as far again, that
        nothing narrower than this lies between them and its end
    :return: that film, and its area and length by local width, as :func:`measure` books openings
    :raises ValueError: when the region holds infinite or missing coordinates
    """
    region = _mended(region)
    if region.is_empty:
        film = MultiPolygon()
    else:
        x0, y0, x1, y1 = region.bounds
        edge = 1.5 * to_mm
        sheet = shapely.box(x0 - edge, y0 - edge, x1 + edge, y1 + edge)
        film = _mended(shapely.difference(sheet, region))
    rings = shapely.get_rings(np.asarray(film.geoms, dtype=object))
    return film, _by_width(film, depths_of(rings, film), limits)


def _by_width(region: MultiPolygon, depths: Depths, limits: Limits) -> Distribution:
    # apart from the strips, so that both together tell how far they miss the region's area
    deep = depths.deepest() >= DEEPEST_MM
    deep_mm2 = float(region.buffer(-DEEPEST_MM, quad_segs=64).area) if deep else 0.0
    return distribution(region.area, depths, limits.angle_deg, deep_mm2)


def _rings(parts: NDArray[np.object_], film: Film) -> tuple[NDArray[np.object_], Ints, Ints]:
    """Give all rings, with the opening and the piece of film that each bounds."""
    rings, part = shapely.get_rings(parts, return_index=True)
    outer = np.r_[True, part[1:] != part[:-1]]
    # holes come in the order in which the islands are numbered
    return rings, part, np.where(outer, film.around[part], np.cumsum(~outer))


def _search(
    rings: NDArray[np.object_],
    piece: Ints,
    discs: LargestDiscs,
    limits: Limits,
    *,
    flip: bool,
) -> Places:
    """List the places up to the limit; widen the search only while it holds no strip.

    :param piece: (rings,) the piece each ring bounds
    :param discs: of these pieces
    """
    if not len(rings):
        return no_places()
    bounds = shapely.total_bounds(rings)
    middle = (bounds[:2] + bounds[2:]) / 2
    # near the origin the coordinates keep their last digits
    near = simplified_rings(shapely.transform(rings, lambda xy: xy - middle))
    reach = limits.places_to_mm
    while True:
        # what rises above the limit and falls again by less than counts stays one place
        over = reach * (1 + limits.prominence_share)
        places = find_places(near, piece, over, limits, flip=flip, told_mm=reach)
        places = replace(places, at_mm=places.at_mm + middle)
        places = with_dots(places, discs, reach, limits.floor_mm).narrower_than(reach)
        if (places.kind == STRIP).any() or reach >= limits.search_to_mm:
            return places
        reach = min(reach * 1.5, limits.search_to_mm)


def _necks(gaps: Places, limits: Limits, search: Callable[[Limits], Places]) -> Places:
    """Give where the film is narrow, with all necks of a long place that narrows more than once.

    :param search: gives the places under other limits
    """
    listed = gaps.narrower_than(limits.places_to_mm)
    under = (limits.places_to_mm * share for share in _NECK_SHARES)
    finer = [
        search(replace(limits, places_to_mm=limit, search_to_mm=limit)).strips()
        for limit in under
        if limit > limits.floor_mm and len(listed.strips().narrower_than(limit))
    ]
    return listed.and_others(*finer)


def _finest(places: Places) -> Place | None:
    strips = np.flatnonzero(places.kind == STRIP)
    return places[int(strips[0])] if len(strips) else None


def _film_pieces(left: MultiPolygon, islands: tuple[Polygon | MultiPolygon, ...]) -> Ints:
    """Number the pieces of what is left of a sheet: 0 outside all openings, n the n-th island."""
    inside = shapely.point_on_surface(np.asarray(left.geoms, dtype=object))
    piece = np.zeros(len(inside), dtype=np.int64)
    if islands:
        tree = shapely.STRtree(np.asarray(islands, dtype=object))
        which, island = tree.query(inside, predicate="intersects")
        piece[which] = island + 1
    return piece


def _mended(region: shapely.Geometry) -> MultiPolygon:
    """Give the region as a valid MultiPolygon, rings with the openings on their left."""
    if not np.isfinite(shapely.get_coordinates(region)).all():
        raise ValueError("the region holds coordinates that are infinite or missing")
    if not shapely.is_valid(region):
        region = shapely.make_valid(region)
    parts = shapely.get_parts(shapely.get_parts(region))
    polygons = parts[(shapely.get_type_id(parts) == 3) & (shapely.area(parts) > 0)]
    return MultiPolygon(list(shapely.orient_polygons(polygons)))


def _nothing(limits: Limits, sheet: Polygon | None) -> Measures:
    """Measure a screen without openings: the film is the sheet."""
    openings = gaps = no_places()
    if sheet is not None:
        whole = np.array([shapely.orient_polygons(sheet)], dtype=object)
        rings, piece = shapely.get_rings(whole, return_index=True)
        gaps = _search(rings, piece, LargestDiscs(whole), limits, flip=False)
    nowhere = depths_of(np.zeros(0, dtype=object))
    return Measures(
        area_mm2=0.0,
        perimeter_mm=0.0,
        cut_length_mm=0.0,
        pieces=0,
        islands=(),
        hanging=(),
        bounds_mm=(0.0, 0.0, 0.0, 0.0),
        openings=openings,
        gaps=gaps.narrower_than(limits.places_to_mm),
        places_to_mm=limits.places_to_mm,
        finest_opening=None,
        finest_gap=_finest(gaps),
        searched_to_mm=limits.search_to_mm,
        insets_mm=np.zeros(1),
        inset_areas_mm2=np.zeros(1),
        bands=bands_of(0.0, nowhere),
        by_width=distribution(0.0, nowhere, limits.angle_deg),
    )
