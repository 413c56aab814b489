"""Pictures of a job for the page, drawn anew from the regions that were read; never the file dropped."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

from shapely import MultiPolygon

from prep.pictures import Bounds, Canvas, Picture, simplified

if TYPE_CHECKING:
    from prep.job import Job
    from prep.screens import Mark, Screen

SIMPLIFY_MM = 0.02
"""A fifth of a pixel where 280 mm are shown on a window 2,800 pixels wide. Our choice."""
_EDGE, _FILL, _BOARD = "#4d4d4d", "#8f8f8f", "#8c8c8c"


def bounds_of(job: Job, marks: Iterable[Mark] = ()) -> Bounds:
    """Give what all pictures of a job show, in mm: artboard, screens and marks, with a narrow edge."""
    boxes = [(0.0, 0.0, job.artwork.width_mm, job.artwork.height_mm)]
    regions = [screen.region for screen in job.screens] + [mark.region for mark in marks]
    boxes += [region.bounds for region in regions if not region.is_empty]
    x0, y0 = min(box[0] for box in boxes), min(box[1] for box in boxes)
    x1, y1 = max(box[2] for box in boxes), max(box[3] for box in boxes)
    edge = 0.02 * max(x1 - x0, y1 - y0)
    return x0 - edge, y0 - edge, x1 + edge, y1 + edge


def design(job: Job, bounds: Bounds) -> Picture:
    """Draw the design in its colours on the first garment's colour."""
    ground = job.setup.batches[0].colour
    canvas = Canvas(bounds)
    for region in sorted(job.design, key=lambda one: one.painted):
        canvas.region(simplified(region.region, SIMPLIFY_MM), fill=region.colour)
    canvas.rectangle(
        (0.0, 0.0, job.artwork.width_mm, job.artwork.height_mm),
        stroke=_BOARD,
        stroke_mm=0.2,
        dash_mm=(2.0, 2.0),
    )
    colours = ", ".join(region.colour for region in job.design)
    return canvas.picture(
        f"The artwork {job.artwork.name} in its colours {colours} on a garment of {ground}",
        background=ground,
    )


def screen(job: Job, one: Screen, marks: Iterable[Mark], bounds: Bounds) -> Picture:
    """Draw what a screen prints, in grey, with the marks beside it."""
    del job
    canvas = Canvas(bounds)
    canvas.region(_light(one.region), fill=_FILL, stroke=_EDGE, stroke_mm=0.1)
    for mark in marks:
        canvas.region(_light(mark.region), stroke=_EDGE, stroke_mm=0.15)
    return canvas.picture(
        f"What screen {one.number}, {one.ink}, prints, in grey, not mirrored", background="#ffffff"
    )


def _light(region: MultiPolygon) -> MultiPolygon:
    return simplified(region, SIMPLIFY_MM)
