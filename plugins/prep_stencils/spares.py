"""Spare islands: those that may come off, cut again side by side. Imports nothing of prep."""

from __future__ import annotations

from collections.abc import Sequence

import shapely
from shapely import MultiPolygon
from shapely.affinity import translate
from shapely.geometry.base import BaseGeometry

from prep_stencils.packing import packed

APART_MM = 4.0
"""Between two spares, so that each is picked up alone. Our choice."""
EDGE_MM = 6.0
MOST = 60
"""More spares than these aren't cut: such a film is redrawn rather than mended. Our choice."""


def has_room(shape: BaseGeometry, across_mm: float, along_mm: float) -> bool:
    """Say whether a shape can be cut from a scrap of the film as a spare."""
    x0, y0, x1, y1 = shape.bounds
    return x1 - x0 <= across_mm - 2.0 * EDGE_MM and y1 - y0 <= along_mm - 2.0 * EDGE_MM


def laid_out(
    shapes: Sequence[BaseGeometry], copies: int, across_mm: float
) -> tuple[MultiPolygon, tuple[float, float]]:
    """Lay shapes out in rows, each ``copies`` times beside itself.

    :param shapes: in the plane of the film as it is cut, in the order of their numbers
    :param across_mm: width of the film
    :return: the shapes in a plane that begins at the sheet's upper left corner, and the sheet's size
    :raises ValueError: a shape is wider than the film
    """
    boxes = [shape.bounds for shape in shapes for _ in range(copies)]
    sizes = [(x1 - x0 + APART_MM, y1 - y0 + APART_MM) for x0, y0, x1, y1 in boxes]
    room = float(int(across_mm)) - 2.0 * EDGE_MM + APART_MM
    places = packed(sizes, room).places
    parts = []
    for shape, (x0, y0, *_), place in zip(
        (s for s in shapes for _ in range(copies)), boxes, places, strict=True
    ):
        dx, dy = EDGE_MM + place.across_mm - x0, EDGE_MM + place.along_mm - y0
        moved = translate(shape, dx, dy)
        parts += [p for p in shapely.get_parts(moved) if isinstance(p, shapely.Polygon)]
    made = MultiPolygon(parts)
    return made, (made.bounds[2] + EDGE_MM, made.bounds[3] + EDGE_MM)
