"""Spreads a region under its neighbour along their border. Plain shapely, imports nothing of prep."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely
from shapely import MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry

from prep.borders import TOUCH_MM, Border

MITRE_LIMIT = 1.5
"""A corner goes out to at most this times the width. Corners of 84° and more keep their point; sharper
ones are cut off, so that no spike stands in the film. Our choice."""
SHORTEST = 1.0
"""A border shorter than this times the width is a corner that touches and gets no trap. Our choice."""


def spread(
    later: BaseGeometry,
    border: Border,
    width_mm: float,
    *,
    narrow: Sequence[tuple[BaseGeometry, float]] = (),
    least_share: float = 0.1,
) -> MultiPolygon:
    """Spread a region under ``later`` by a width, straight across their shared border.

    Where the border ends the spread ends square to it, so that it never runs along the bare shirt or a
    third colour. What lies within the width but isn't joined to the border through ``later`` is left
    out. Nothing of it is thinner than ``least_share`` of the width.

    :param border: of the region with ``later``, see :func:`prep.borders.shared_border`
    :param narrow: (part of ``later``, the width allowed in it) where ``later`` is too narrow for the
        whole width
    :return: what is added to the region; lies in ``later``
    """
    lines = border.lines(SHORTEST * width_mm)
    if width_mm <= 0.0 or not lines:
        return MultiPolygon()
    line = shapely.GeometryCollection(lines)
    later = _joined_to(line, later)
    trap = shapely.intersection(_band(lines, width_mm), later)
    for part, allowed_mm in narrow:
        there = shapely.intersection(part, trap)
        if not there.is_empty:
            trap = shapely.difference(
                trap, shapely.difference(there, _band(lines, allowed_mm)) if allowed_mm else there
            )
    return _without_slivers(_joined_to(line, trap), least_share * width_mm)


def _band(lines: Sequence[BaseGeometry], width_mm: float) -> BaseGeometry:
    """Give what lies within a width of the lines, square at their ends."""
    return shapely.union_all(
        [
            line.buffer(width_mm, cap_style="flat", join_style="mitre", mitre_limit=MITRE_LIMIT)
            for line in lines
        ]
    )


def _offset(shape: BaseGeometry, by_mm: float, *, mitre_limit: float) -> BaseGeometry:
    with np.errstate(invalid="ignore"):  # GEOS divides by zero at hairlines and goes on
        made = shape.buffer(by_mm, join_style="mitre", mitre_limit=mitre_limit)
    return (
        made
        if made.is_valid
        else shapely.make_valid(made, method="structure", keep_collapsed=False)
    )


def _joined_to(line: BaseGeometry, trap: BaseGeometry) -> MultiPolygon:
    """Keep the parts that touch the border."""
    parts = _parts(_polygons(trap))
    return MultiPolygon(parts[shapely.dwithin(parts, line, TOUCH_MM)].tolist())


def _without_slivers(trap: BaseGeometry, least_mm: float) -> MultiPolygon:
    """Take away what is thinner than a width; what stays keeps its edge to the last digit."""
    half = least_mm / 2.0
    core = _offset(trap, -half, mitre_limit=4.0)
    grown = _offset(core, half * 1.01, mitre_limit=4.0)
    parts = _parts(shapely.intersection(trap, grown))
    return MultiPolygon(parts[shapely.area(parts) > (2.0 * least_mm) ** 2].tolist())


def _parts(shape: BaseGeometry) -> np.ndarray[tuple[int], np.dtype[np.object_]]:
    parts = shapely.get_parts(shapely.get_parts(shape))
    return np.asarray(parts[(shapely.get_type_id(parts) == 3) & (shapely.area(parts) > 0)], object)


def _polygons(shape: BaseGeometry) -> MultiPolygon:
    made = MultiPolygon([p for p in _parts(shape) if isinstance(p, Polygon)])
    if made.is_valid:
        return made
    mended = shapely.make_valid(made, method="structure", keep_collapsed=False)
    return MultiPolygon([p for p in _parts(mended) if isinstance(p, Polygon)])
