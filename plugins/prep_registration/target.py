"""The shape of a target and where two of them stand beside a print. Plain floats and shapely."""

from __future__ import annotations

from dataclasses import dataclass

import shapely
from shapely import MultiPolygon
from shapely.geometry.base import BaseGeometry

Bounds = tuple[float, float, float, float]

LEAST_BAR_MM = 1.5
"""Finest bar cut, and finest film between two cuts. Common practice in knife-cut film, no source:
strips and openings from 1.0 mm hold on short runs, 1.5 mm on long ones; a mark that fails is no help."""

PITCHES_ACROSS_A_BAR = 3.0
"""Mesh pitches a bar must span so that its edges print straight. Common practice, no source."""


@dataclass(frozen=True, slots=True)
class Placed:
    """A target at its place.

    :param region: openings, in mm of the artwork, y downwards
    """

    name: str
    at_mm: tuple[float, float]
    region: MultiPolygon


def least_size_mm(bar_mm: float) -> float:
    """Give the smallest target whose quarters hold a square of one bar with 1.5 mm of film around.

    Arms are (size - bar) / 2 long; a quarter needs bar + 2 * 1.5 mm; hence size = 3 bar + 6 mm.
    """
    return 3.0 * bar_mm + 4.0 * LEAST_BAR_MM


def cross(at_mm: tuple[float, float], size_mm: float, bar_mm: float) -> BaseGeometry:
    """Give an upright cross of two bars."""
    x, y = at_mm
    half, thin = size_mm / 2.0, bar_mm / 2.0
    return shapely.union(
        shapely.box(x - half, y - thin, x + half, y + thin),
        shapely.box(x - thin, y - half, x + thin, y + half),
    )


def upper_right_square(at_mm: tuple[float, float], size_mm: float, bar_mm: float) -> BaseGeometry:
    """Give the square in the upper right quarter of a cross that tells a film laid wrong way round."""
    x, y = at_mm
    middle, thin = (size_mm + bar_mm) / 4.0, bar_mm / 2.0
    return shapely.box(x + middle - thin, y - middle - thin, x + middle + thin, y - middle + thin)


def placed(
    print_bounds_mm: Bounds,
    *,
    size_mm: float,
    bar_mm: float,
    distance_mm: float,
    beside: bool = False,
) -> tuple[Placed, Placed]:
    """Give the two targets: above and below the print on its centre line, or left and right of it.

    Crosses need no islands, and identical crosses printed over one another show any shift as a fringe
    along an edge. The upper or left one has a square in its upper right quarter.

    :param print_bounds_mm: (min x, min y, max x, max y) of the openings of all screens, y downwards
    :param distance_mm: from the openings' bounds to the nearest point of a target
    :param beside: left and right of the print, half way down
    """
    x0, y0, x1, y1 = print_bounds_mm
    x, y, away = (x0 + x1) / 2.0, (y0 + y1) / 2.0, distance_mm + size_mm / 2.0
    if beside:
        names, places = ("left target", "right target"), ((x0 - away, y), (x1 + away, y))
    else:
        names, places = ("top target", "bottom target"), ((x, y0 - away), (x, y1 + away))
    first, second = places
    marked = shapely.union(
        cross(first, size_mm, bar_mm), upper_right_square(first, size_mm, bar_mm)
    )
    return (
        Placed(names[0], first, _multi(marked)),
        Placed(names[1], second, _multi(cross(second, size_mm, bar_mm))),
    )


def _multi(shape: BaseGeometry) -> MultiPolygon:
    return MultiPolygon([p for p in shapely.get_parts(shape) if isinstance(p, shapely.Polygon)])
