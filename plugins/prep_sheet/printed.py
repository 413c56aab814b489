"""How large the print is: what is painted, not the rectangle of the artwork around it."""

from __future__ import annotations

from typing import TYPE_CHECKING

import shapely

if TYPE_CHECKING:
    from prep.job import Job

_ALIKE = 0.005
"""Share up to which print and artwork count as equally large. Our choice."""


def print_size_mm(job: Job) -> tuple[float, float]:
    """Give width and height of what all screens print together; the artwork's where nothing is printed."""
    regions = [screen.region for screen in job.screens if not screen.region.is_empty]
    if not regions:
        return job.artwork.width_mm, job.artwork.height_mm
    x0, y0, x1, y1 = (float(value) for value in shapely.total_bounds(regions))
    return x1 - x0, y1 - y0


def fills_the_artwork(job: Job) -> bool:
    """Tell whether the print is as wide and as high as the artwork, but for half a hundredth."""
    art = job.artwork
    sides = zip(print_size_mm(job), (art.width_mm, art.height_mm), strict=True)
    return all(abs(printed - drawn) <= _ALIKE * drawn for printed, drawn in sides)
