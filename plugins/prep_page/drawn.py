"""Pictures of a job for the page, drawn anew from the regions that were read; never the file dropped."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING

from shapely import MultiPolygon

from prep.at_place import at_place
from prep.pictures import Bounds, Canvas, Picture, simplified
from prep.remembered import remembered

if TYPE_CHECKING:
    from prep.artwork import Artwork
    from prep.findings import Finding
    from prep.job import Report
    from prep.screens import DesignRegion, Mark, Screen
    from prep.separations import Separation

SIMPLIFY_MM = 0.02
"""A fifth of a pixel where 280 mm are shown on a window 2,800 pixels wide. Our choice."""
_CLOSE_MM = 22.0
"""Side of the close-up of a place, as lines and letters in it are drawn."""
_EDGE, _FILL, _BOARD = "#4d4d4d", "#8f8f8f", "#8c8c8c"


def bounds_of(
    artwork: Artwork, screens: Iterable[Screen] = (), marks: Iterable[Mark] = ()
) -> Bounds:
    """Give what all pictures of a job show, in mm: artboard, screens and marks, with a narrow edge."""
    boxes = [(0.0, 0.0, artwork.width_mm, artwork.height_mm)]
    regions = [screen.region for screen in screens] + [mark.region for mark in marks]
    boxes += [region.bounds for region in regions if not region.is_empty]
    x0, y0 = min(box[0] for box in boxes), min(box[1] for box in boxes)
    x1, y1 = max(box[2] for box in boxes), max(box[3] for box in boxes)
    edge = 0.02 * max(x1 - x0, y1 - y0)
    return x0 - edge, y0 - edge, x1 + edge, y1 + edge


def design(
    artwork: Artwork, regions: Sequence[Separation | DesignRegion], ground: str, bounds: Bounds
) -> Picture:
    """Draw a design's regions in their colours on the garment's, ``ground``."""
    painted = tuple(
        (region.colour, region.region) for region in sorted(regions, key=lambda one: one.painted)
    )
    colours = ", ".join(region.colour for region in regions)
    said = f"The artwork {artwork.name} in its colours {colours} on a garment of {ground}"
    return _design(painted, (artwork.width_mm, artwork.height_mm), ground, bounds, said)


@remembered(kept=16)
def _design(
    painted: tuple[tuple[str, MultiPolygon], ...],
    board_mm: tuple[float, float],
    ground: str,
    bounds: Bounds,
    said: str,
) -> Picture:
    canvas = Canvas(bounds)
    for colour, region in painted:
        canvas.region(simplified(region, SIMPLIFY_MM), fill=colour)
    canvas.rectangle(
        (0.0, 0.0, *board_mm),
        stroke=_BOARD,
        stroke_mm=0.2,
        dash_mm=(2.0, 2.0),
    )
    return canvas.picture(said, background=ground)


def screen(one: Screen, marks: Iterable[Mark], bounds: Bounds) -> Picture:
    """Draw what a screen prints, in grey, with the marks beside it."""
    beside = tuple(mark.region for mark in marks)
    said = f"What screen {one.number}, {one.ink}, prints, in grey, not mirrored"
    return _screen(one.region, beside, bounds, said)


@remembered(kept=32)
def _screen(
    region: MultiPolygon, beside: tuple[MultiPolygon, ...], bounds: Bounds, said: str
) -> Picture:
    canvas = Canvas(bounds)
    canvas.region(_light(region), fill=_FILL, stroke=_EDGE, stroke_mm=0.1)
    for mark in beside:
        canvas.region(_light(mark), stroke=_EDGE, stroke_mm=0.15)
    return canvas.picture(said, background="#ffffff")


def at_finding(report: Report, finding: Finding) -> Picture | None:
    """Draw the place of a finding, small and close; ``None`` where it has none."""
    if finding.at_mm is None:
        return None
    screens = report.job.screens
    shown, _ = at_place(
        next((one.region for one in screens if one.key == finding.screen), None),
        [one.region for one in screens if one.key != finding.screen],
        finding.at_mm,
        size_mm=finding.size_mm,
        severity=finding.severity,
        side_mm=_CLOSE_MM,
        units=report.job.shop.units,
        alt=f"Close-up of the place: {finding.kind}",
    )
    return shown


def _light(region: MultiPolygon) -> MultiPolygon:
    return simplified(region, SIMPLIFY_MM)
