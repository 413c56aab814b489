"""Film in a base that lies wholly beneath what is printed on it: if it lifts, nobody sees it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import MultiPolygon

from prep.remembered import remembered

if TYPE_CHECKING:
    from prep.job import Job
    from prep.screens import Screen
    from prep_fill_in.judge import Floats

_BESIDE_MM = 0.02
"""So far around a place, beyond its width, it must be covered."""


def covers_of(job: Job, screen: Screen) -> MultiPolygon:
    """Give what is printed on a base by later screens; empty for any other screen."""
    if screen.does != "base":
        return MultiPolygon()
    later = [
        other.region
        for other in job.screens
        if other.number > screen.number and other.does != "base"
    ]
    return _together(later)


@remembered(kept=16)
def _together(regions: Sequence[MultiPolygon]) -> MultiPolygon:
    parts = shapely.get_parts(shapely.union_all(list(regions)))
    return MultiPolygon([part for part in parts if isinstance(part, shapely.Polygon)])


def covered(covers: MultiPolygon, at_mm: Floats, width_mm: Floats) -> NDArray[np.bool_]:
    """Tell which places lie wholly beneath what is printed on them, as discs as wide as they are.

    :param at_mm: (N, 2) middles
    :param width_mm: (N,)
    """
    if covers.is_empty or not len(at_mm):
        return np.zeros(len(at_mm), dtype=bool)
    places = shapely.get_parts(shapely.multipoints(at_mm))
    return _within(covers, shapely.buffer(places, width_mm / 2.0 + _BESIDE_MM))


def covered_whole(covers: MultiPolygon, islands: NDArray[np.object_]) -> NDArray[np.bool_]:
    """Tell which islands of film lie wholly beneath what is printed on them."""
    if covers.is_empty or not len(islands):
        return np.zeros(len(islands), dtype=bool)
    return _within(covers, islands)


def _within(covers: MultiPolygon, shapes: NDArray[np.object_]) -> NDArray[np.bool_]:
    shapely.prepare(covers)
    inside: NDArray[np.bool_] = shapely.covers(covers, shapes)
    return inside
