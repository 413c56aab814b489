"""Hairlines of colours, along which there are no traps. Of prep, measures and borders only."""

from __future__ import annotations

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import MultiPolygon

from prep.borders import TOUCH_MM, Border
from prep.cracks import HAIRLINE_MM
from prep.measures import Measures
from prep.measures.result import TIP

Geometries = NDArray[np.object_]

LEAST_LONG = 4.0
"""A hairline is at least so many times as long as one may be wide: where two corners touch, what is fine
is shorter. Our choice."""
WITHIN = 0.8
"""Share of a hairline's edge that must border on another colour for it to lie within that. Our choice: its
ends need not."""


def hairlines_of(region: MultiPolygon, measures: Measures) -> MultiPolygon:
    """Give the parts of a colour that are thinner than a hairline, but for the ends of tips.

    Nobody drew them: they are what a colour painted over another fails to cover.
    """
    fine = (measures.openings.width_mm < HAIRLINE_MM) & (measures.openings.kind != TIP)
    if not fine.any():
        return MultiPolygon()
    half = HAIRLINE_MM / 2.0
    places, pieces = shapely.points(measures.openings.at_mm[fine]), shapely.get_parts(region)
    near = shapely.STRtree(pieces).query(places, predicate="dwithin", distance=TOUCH_MM)[1]
    pieces = pieces[np.unique(near)]
    with np.errstate(divide="ignore", invalid="ignore"):  # GEOS does so at hairlines and goes on
        core = shapely.buffer(pieces, -half, join_style="mitre")
        wide = _valid(shapely.buffer(core, 1.01 * half, join_style="mitre"))
    parts = shapely.get_parts(shapely.get_parts(shapely.difference(pieces, wide)))
    parts = parts[(shapely.get_type_id(parts) == 3) & (shapely.area(parts) > 0.0)]
    parts = parts[shapely.length(parts) / 2.0 >= LEAST_LONG * HAIRLINE_MM]
    told = shapely.STRtree(parts).query(places, predicate="dwithin", distance=TOUCH_MM)[1]
    return MultiPolygon(parts[np.unique(told)].tolist())


def _valid(shapes: Geometries) -> Geometries:
    """Mend what a buffer of hairlines may have crossed."""
    bad = ~shapely.is_valid(shapes)
    if bad.any():
        mended = shapely.make_valid(shapes[bad], method="structure", keep_collapsed=False)
        shapes = shapes.copy()
        shapes[bad] = mended
    return shapes


def without_hairlines(border: Border, hairlines: MultiPolygon) -> Border:
    """Leave out of a border what runs along hairlines."""
    if hairlines.is_empty or not len(border):
        return border
    pieces = border.split(HAIRLINE_MM)
    found = shapely.STRtree(shapely.get_parts(hairlines)).query(
        shapely.points(pieces.middle), predicate="dwithin", distance=TOUCH_MM
    )[0]
    along = np.zeros(len(pieces), dtype=bool)
    along[found] = True
    return pieces.where(~along) if along.any() else border


def lying_within(hairlines: MultiPolygon, border: Border) -> MultiPolygon:
    """Give the hairlines of a colour that lie within another.

    :param border: of the other with the colour
    """
    parts = np.asarray(shapely.get_parts(hairlines), dtype=object)
    if not len(parts) or not len(border):
        return MultiPolygon()
    pieces = border.split(HAIRLINE_MM)
    piece, part = shapely.STRtree(shapely.boundary(parts)).query(
        shapely.points(pieces.middle), predicate="dwithin", distance=2.0 * TOUCH_MM
    )
    along = np.bincount(part, pieces.length_mm[piece], minlength=len(parts))
    return MultiPolygon(parts[along >= WITHIN * shapely.length(parts)].tolist())
