"""Widths and spaces against KLayout's layout checks (``Region.width_check``, ``space_check``).

It measures edges that face each other (euclidian, angles up to 60°), on a grid of 0.1 µm here. It
reads tapers, round ends and corners in another way, so the shapes have straight facing strips.
"""

from __future__ import annotations

import klayout.db as kdb
import numpy as np
import pytest
import shapely
from shapely import MultiPolygon, box
from shapely.affinity import rotate

from prep.measures import Limits, Places, measure
from tests.specimens import comb, multi

_GRID_MM = 1e-4
_LIMIT_MM = 1.5


Pair = tuple[shapely.LineString, shapely.LineString]


def _klayout(region: MultiPolygon, *, film: bool) -> list[Pair]:
    """Give the pairs of facing edges."""

    def points(ring: shapely.LinearRing) -> list[kdb.Point]:
        return [kdb.Point(round(x / _GRID_MM), round(y / _GRID_MM)) for x, y in ring.coords[:-1]]

    layer = kdb.Region()
    for polygon in region.geoms:
        piece = kdb.Polygon(points(polygon.exterior))
        for hole in polygon.interiors:
            piece.insert_hole(points(hole))
        layer.insert(piece)
    check = layer.space_check if film else layer.width_check
    found = check(round(_LIMIT_MM / _GRID_MM), False, kdb.Region.Euclidian, 60)
    return [(_line(pair.first), _line(pair.second)) for pair in found.each()]


def _line(edge: kdb.Edge) -> shapely.LineString:
    ends = [(edge.x1, edge.y1), (edge.x2, edge.y2)]
    return shapely.LineString(np.array(ends) * _GRID_MM)


def _bars(seed: int) -> MultiPolygon:
    """Give bars of many widths side by side, all turned by some angle."""
    random = np.random.default_rng(seed)
    x, bars = 0.0, []
    for _ in range(30):
        width, gap = random.uniform(0.2, 1.4, 2)
        bars.append(box(x, 0, x + width, random.uniform(3, 6)))
        x += width + gap
    return multi(rotate(shapely.union_all(bars), random.uniform(0, 180), origin=(0, 0)))


def _frames(seed: int) -> MultiPolygon:
    """Give nested square frames: strips that close on themselves and gaps between."""
    random = np.random.default_rng(seed)
    half, frames = 12.0, []
    while half > 2:
        width, gap = random.uniform(0.2, 1.3, 2)
        inner = half - width
        frames.append(box(-half, -half, half, half).difference(box(-inner, -inner, inner, inner)))
        half -= width + gap
    return multi(rotate(shapely.union_all(frames), random.uniform(0, 90), origin=(0, 0)))


SHAPES = {
    "comb": comb(20, 0.4, 0.6, 5),
    "turned comb": multi(rotate(comb(12, 0.35, 0.8, 4), 17, origin=(0, 0))),
    **{f"bars {seed}": _bars(seed) for seed in range(4)},
    **{f"frames {seed}": _frames(seed) for seed in range(4)},
}


@pytest.mark.parametrize("name", SHAPES)
@pytest.mark.parametrize("film", [False, True], ids=["openings", "film"])
def test_every_strip(name: str, film: bool) -> None:
    """The finest width agrees, and at each strip so does the width measured at that place."""
    limits = Limits(places_to_mm=_LIMIT_MM, search_to_mm=_LIMIT_MM)
    measures = measure(SHAPES[name], limits)
    places: Places = (measures.gaps if film else measures.openings).strips()
    pairs = _klayout(SHAPES[name], film=film)
    widths = np.array([a.distance(b) for a, b in pairs])
    assert len(places) > 0
    assert places.width_mm.min() == pytest.approx(widths.min(), abs=2e-4)
    for place in places:
        here = shapely.Point(place.at_mm)
        # the pair between whose edges the place lies halfway
        sides = np.array([(a.distance(here), b.distance(here)) for a, b in pairs])
        there = np.abs(sides - place.width_mm / 2).max(axis=1) < 0.01
        assert there.any()
        assert widths[there] == pytest.approx(place.width_mm, abs=2e-4)
