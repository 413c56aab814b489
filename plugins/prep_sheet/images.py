"""Pictures of the artwork and of each screen, at true proportion and at a stated scale."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING
from xml.parsers import expat

import numpy as np
from shapely import (
    MultiPolygon,
    box,
    clip_by_rect,
    get_parts,
    get_type_id,
    is_empty,
    simplify,
)

from prep.at_place import at_place
from prep.findings import Finding
from prep.pictures import Bounds, Canvas, Picture
from prep_sheet.layout import Image
from prep_sheet.marks import RING_MM, draw, draw_small, gather
from prep_sheet.wording import clean, percent

if TYPE_CHECKING:
    from prep.job import Job, Report
    from prep.screens import Screen

Lettered = Sequence[tuple[str, Finding]]

_FILL, _EDGE, _BOARD = "#bdbdbd", "#4d4d4d", "#8c8c8c"
_SIMPLIFY_MM = 0.05
_POLYGON = 3  # shapely's number for it
_CLOSE_UP_MM = 39.0
_TIMES_AS_WIDE, _WINDOW_MM = 12.0, (6.0, 40.0)
AT_FINDING_MM = 17.0
"""Side of the picture of a finding's place beside its words. Our choice."""
MOST_SMALL_RINGS = 300
"""Small rings drawn of one screen; a picture of more is a grey cloud."""


def scale_to_fit(bounds: Bounds, wide_mm: float, high_mm: float) -> float:
    """Give mm on paper for a mm of the artwork, so that it fits; never larger than twice its size."""
    width, height = bounds[2] - bounds[0], bounds[3] - bounds[1]
    return min(wide_mm / width, high_mm / height, 2.0)


def said_scale(scale: float) -> str:
    """Say a picture's scale: ``shown at 58 % of true size``."""
    return (
        "shown at true size"
        if abs(scale - 1.0) < 5e-4
        else f"shown at {percent(scale)} of true size"
    )


def placed(picture: Picture, scale: float, caption: str = "", *, narrow: bool = False) -> Image:
    """Put a picture on paper at a scale.

    :param narrow: its caption is as wide as the picture, not wider
    :raises ValueError: a picture that is not well-formed XML, or has no size
    """
    if not (picture.width_mm > 0.0 and picture.height_mm > 0.0):
        raise ValueError(f'the picture "{picture.alt}" has no size')
    try:
        expat.ParserCreate().Parse(picture.svg.encode(), True)
    except (expat.ExpatError, UnicodeEncodeError) as error:
        raise ValueError(f'the picture "{picture.alt}" is not an SVG file: {error}') from error
    return Image(
        svg=picture.svg,
        width_mm=round(picture.width_mm * scale, 3),
        height_mm=round(picture.height_mm * scale, 3),
        alt=clean(picture.alt),
        caption=clean(caption),
        narrow=narrow,
    )


def drawing(
    picture: Picture, caption: str, scale: float | None, room: tuple[float, float]
) -> Image:
    """Put a plugin's picture on paper: at the scale it asks for, smaller where that has no room.

    :param room: width and height there is, in mm
    """
    fits = min(room[0] / picture.width_mm, room[1] / picture.height_mm)
    if scale is None:
        return placed(picture, min(fits, 2.0), caption)
    if scale <= fits:
        return placed(picture, scale, caption)
    said = f"{caption.rstrip('.')}. " if caption else ""
    smaller = f"The drawing has no room here at its own size: {said_scale(fits)}."
    return placed(picture, fits, said + smaller)


def _light(region: MultiPolygon, tolerance_mm: float) -> MultiPolygon:
    """Give a lighter copy for a picture; a piece that would vanish is kept as it is."""
    parts = np.asarray(get_parts(region))
    light = simplify(parts, tolerance_mm, preserve_topology=False)
    gone = is_empty(light) | (get_type_id(light) != _POLYGON)
    return MultiPolygon(list(np.where(gone, parts, light)))


def artwork(job: Job, room: tuple[float, float]) -> Image:
    """Draw the design in its colours on the first garment's colour."""
    art, garment = job.artwork, job.setup.batches[0]
    board = (0.0, 0.0, art.width_mm, art.height_mm)
    edge = 0.05 * max(art.width_mm, art.height_mm)
    bounds = (-edge, -edge, art.width_mm + edge, art.height_mm + edge)
    scale = scale_to_fit(bounds, *room)
    canvas = Canvas(bounds)
    for region in sorted(job.design, key=lambda r: r.painted):
        alike = _alike(region.colour, garment.colour)
        canvas.region(
            _light(region.region, _SIMPLIFY_MM / min(scale, 1.0)),
            fill=region.colour,
            stroke="#808080" if alike else "none",
            stroke_mm=0.15 / scale,
        )
    canvas.rectangle(bounds, stroke="#8c8c8c", stroke_mm=0.3 / scale)  # half of it shows
    canvas.rectangle(
        board, stroke="#8c8c8c", stroke_mm=0.15 / scale, dash_mm=(1.5 / scale, 1.5 / scale)
    )
    shirts = {batch.colour: batch.garment for batch in job.setup.batches}
    on = f"On {garment.garment}, {garment.colour}"
    more = f"; also printed on {', '.join(list(shirts)[1:])}" if len(shirts) > 1 else ""
    colours = ", ".join(region.colour for region in job.design)
    return placed(
        canvas.picture(
            f"The artwork {art.name} in its colours {colours} on a garment of {garment.colour}",
            background=garment.colour,
        ),
        scale,
        f"{on}{more}. {said_scale(scale).capitalize()}; the dashed line is the edge of the artwork.",
    )


def close_up(
    report: Report, at_mm: tuple[float, float], size_mm: float, name: str, words: str
) -> Image:
    """Draw a place of the print enlarged, in its colours, with a ring around it.

    :param size_mm: what is to be seen there; the picture is some twelve times as wide
    :param name: letter of the finding, or empty
    :param words: what it is
    """
    job = report.job
    wide = min(max(_TIMES_AS_WIDE * size_mm, _WINDOW_MM[0]), _WINDOW_MM[1])
    x, y = at_mm
    bounds = (x - wide / 2, y - wide / 2, x + wide / 2, y + wide / 2)
    scale = _CLOSE_UP_MM / wide
    window = box(*bounds)
    canvas = Canvas(bounds)
    ground = job.setup.batches[0].colour
    for region in sorted(job.design, key=lambda r: r.painted):
        part = MultiPolygon(
            [p for p in get_parts(clip_by_rect(region.region, *bounds)) if p.geom_type == "Polygon"]
        )
        alike = _alike(region.colour, ground)
        canvas.region(
            _light(part, _SIMPLIFY_MM / max(scale, 1.0)),
            fill=region.colour,
            stroke="#808080" if alike else "none",
            stroke_mm=0.15 / scale,
        )
    ring = max(RING_MM / scale, 0.75 * size_mm)
    for colour, line in (("#ffffff", 1.3), ("#000000", 0.6)):
        canvas.circle(at_mm, ring, stroke=colour, stroke_mm=line / scale)
    if name:
        canvas.text(
            name,
            (bounds[0] + 1.2 / scale, bounds[1] + 4.4 / scale),
            height_mm=3.6 / scale,
            halo="#ffffff",
            bold=True,
        )
    canvas.rectangle(window.bounds, stroke=_BOARD, stroke_mm=0.4 / scale)
    lead = f"{name}. " if name else ""
    times = f"{scale:.0f} times its size" if scale >= 1.5 else said_scale(scale)
    picture = canvas.picture(f"Close-up: {words}", background=ground)
    said = f"{lead}{words[:1].upper()}{words[1:]}; {times}."
    return placed(picture, scale, said, narrow=True)


def at_finding(report: Report, finding: Finding) -> Image | None:
    """Draw the place of a finding, small and close; ``None`` where it has none."""
    if finding.at_mm is None:
        return None
    screens = report.job.screens
    picture, scale = at_place(
        next((screen.region for screen in screens if screen.key == finding.screen), None),
        [screen.region for screen in screens if screen.key != finding.screen],
        finding.at_mm,
        size_mm=finding.size_mm,
        severity=finding.severity,
        side_mm=AT_FINDING_MM,
        units=report.job.shop.units,
        alt=f"Close-up of the place: {finding.kind}",
    )
    return placed(picture, scale)


def all_places(report: Report, lettered: Lettered, room: tuple[float, float]) -> Image:
    """Draw all screens in grey with a ring and a letter at each finding's place."""
    job = report.job
    regions = [screen.region for screen in job.screens]
    bounds = _bounds(job, [*regions, *(mark.region for mark in report.marks)], lettered)
    scale = scale_to_fit(bounds, *room)
    canvas = Canvas(bounds)
    _board(canvas, job, scale)
    for region in regions:
        canvas.region(
            _light(region, _SIMPLIFY_MM / min(scale, 1.0)),
            fill="#dcdcdc",
            stroke=_EDGE,
            stroke_mm=0.1 / scale,
        )
    _marks(canvas, report, scale)
    left = _rings(canvas, lettered, scale)
    return placed(
        canvas.picture(f"All screens in grey, with rings at: {_read_out(lettered)}"),
        scale,
        " ".join(
            part for part in (_key(lettered), left, f"{said_scale(scale).capitalize()}.") if part
        ),
    )


def screen_prints(
    report: Report, screen: Screen, lettered: Lettered, room: tuple[float, float]
) -> Image:
    """Draw what one screen prints, with a ring and a letter at each of its findings."""
    job = report.job
    bounds = _bounds(job, [screen.region, *(mark.region for mark in report.marks)], lettered)
    scale = scale_to_fit(bounds, *room)
    canvas = Canvas(bounds)
    _board(canvas, job, scale)
    canvas.region(
        _light(screen.region, _SIMPLIFY_MM / min(scale, 1.0)),
        fill=_FILL,
        stroke=_EDGE,
        stroke_mm=0.12 / scale,
    )
    _marks(canvas, report, scale)
    more = _small_rings(canvas, lettered, scale)
    left = _rings(canvas, lettered, scale)
    rings = f" with rings at: {_read_out(lettered)}" if lettered else ""
    return placed(
        canvas.picture(f"What screen {screen.number}, {screen.ink}, prints, in grey{rings}"),
        scale,
        " ".join(
            part
            for part in (
                f"As it prints, not mirrored; {said_scale(scale)}.",
                _key([(n, f) for n, f in lettered if f.at_mm is not None]),
                left,
                more,
            )
            if part
        ),
    )


def _key(lettered: Lettered) -> str:
    if not lettered:
        return ""
    return "Thick ring: will fail. Dashed ring: at risk. Thin ring: a note."


def _small_rings(canvas: Canvas, lettered: Lettered, scale: float) -> str:
    """Draw the further places of what fails or is at risk; say what the small rings are."""
    places = [
        (at, finding.severity)
        for _, finding in lettered
        if finding.severity != "note"
        for at in finding.also_at_mm
    ]
    draw_small(canvas, places[:MOST_SMALL_RINGS], scale)
    left = len(places) - MOST_SMALL_RINGS
    more = f" {left} further places have none." if left > 0 else ""
    return f"Small rings: more of the same.{more}" if places else ""


def _read_out(lettered: Lettered) -> str:
    return ", ".join(f"{name} {finding.kind}" for name, finding in lettered)


def _bounds(job: Job, regions: Sequence[MultiPolygon], lettered: Lettered) -> Bounds:
    """Give what the picture shows: artboard, openings, marks, places; with room for rings."""
    boxes = [(0.0, 0.0, job.artwork.width_mm, job.artwork.height_mm)]
    boxes += [region.bounds for region in regions if not region.is_empty]
    boxes += [(*f.at_mm, *f.at_mm) for _, f in lettered if f.at_mm is not None]
    x0, y0 = min(b[0] for b in boxes), min(b[1] for b in boxes)
    x1, y1 = max(b[2] for b in boxes), max(b[3] for b in boxes)
    # about 1.5 rings on paper when the longer side is some 110 mm there
    edge = max(x1 - x0, y1 - y0) * (1.5 * RING_MM / 110.0 if lettered else 0.01)
    return x0 - edge, y0 - edge, x1 + edge, y1 + edge


def _board(canvas: Canvas, job: Job, scale: float) -> None:
    canvas.rectangle(
        (0.0, 0.0, job.artwork.width_mm, job.artwork.height_mm),
        stroke=_BOARD,
        stroke_mm=0.15 / scale,
        dash_mm=(1.5 / scale, 1.5 / scale),
    )


def _marks(canvas: Canvas, report: Report, scale: float) -> None:
    for mark in report.marks:
        canvas.region(
            _light(mark.region, _SIMPLIFY_MM / min(scale, 1.0)),
            stroke=_EDGE,
            stroke_mm=0.15 / scale,
        )


def _rings(canvas: Canvas, lettered: Lettered, scale: float) -> str:
    """Draw rings and letters; say how many found no room."""
    places = [(f.at_mm, name, f.severity) for name, f in lettered if f.at_mm is not None]
    left = draw(canvas, gather(places, scale), scale)
    return f"And {left} more in the list, without a letter here." if left else ""


def _alike(one: str, other: str) -> bool:
    """Tell whether two colours can hardly be told apart: CIEDE2000 under 8, our choice."""
    from coloraide import Color

    return Color(one).delta_e(Color(other), method="2000") < 8.0
