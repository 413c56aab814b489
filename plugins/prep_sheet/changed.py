"""Where the print differs from the drawing."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import shapely

if TYPE_CHECKING:
    from prep.job import Job

_SEEN_MM2 = 0.05
"""Area under which a difference is nothing but rounding. Our choice."""


@dataclass(frozen=True, slots=True)
class Changed:
    """A colour that isn't printed as drawn.

    :param places: parts of it, larger than can be rounding
    :param at_mm: a point in the largest, in mm of the artwork; ``None`` = the colour is not printed
    :param across_mm: diameter of a circle as large as that
    """

    colour: str
    places: int = 0
    at_mm: tuple[float, float] | None = None
    across_mm: float = 0.0


def changed_in(job: Job) -> tuple[Changed, ...]:
    """Hold each colour of the drawing against what is printed of it; gaps and bases don't count."""
    printed = {region.colour: region.region for region in job.design}
    drawn = {separation.colour: separation.region for separation in job.separations}
    found = [Changed(colour) for colour in drawn if colour not in printed]
    for colour, region in printed.items():
        before = drawn.get(colour)
        if before is None or before is region:
            continue
        parts = shapely.get_parts(shapely.symmetric_difference(before, region))
        areas = shapely.area(parts)
        seen = areas > _SEEN_MM2
        if not seen.any():
            continue
        largest = int(np.argmax(areas))
        at = shapely.point_on_surface(parts[largest])
        across = 2.0 * math.sqrt(float(areas[largest]) / math.pi)
        found.append(Changed(colour, int(seen.sum()), (at.x, at.y), across))
    return tuple(found)
