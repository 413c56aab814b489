"""Pictures of films: as cut, at true size, which islands to place, and which way round they lie."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from scipy.spatial import cKDTree
from shapely import MultiPolygon, affinity
from shapely.geometry.base import BaseGeometry

from prep.job import Job
from prep.labels import Label, Spot, place_labels
from prep.measures import Island
from prep.pictures import Canvas, Picture, simplified
from prep.remembered import remembered
from prep_stencils.facing import Side
from prep_stencils.film import Cut, Film, Part
from prep_stencils.sheet import Points

_FILM, _OPEN, _LINE, _WASTE = "#c9d3dc", "#ffffff", "#1a1a1a", "#6a6a6a"
_FOOT_MM = 16.0
_BAR_MM = {"metric": (50.0, "50 mm"), "inch": (50.8, "2 in")}


@dataclass(frozen=True, slots=True)
class Written:
    """Which islands' numbers stand on a picture.

    :param every: each one's, every second one's ...; the first's and the last's always
    :param bare: how many of these have no room
    """

    every: int
    bare: int


def film_picture(
    film: Film, cut: Cut, part: Part, islands: Sequence[Island] = (), weak: Sequence[bool] = ()
) -> tuple[Picture, Written]:
    """Draw one film or strip as it is cut: grey stays, white is weeded.

    :param islands: numbered in the order they are placed, from 1
    :param weak: whether each may come off during the run; a ring is drawn around those
    :return: the picture, and which numbers are written: all, every fifth ...
    """
    return _film_drawn(film.facing, cut.numbers, cut.ink, part, tuple(islands), tuple(weak))


@remembered(kept=16)
def _film_drawn(
    facing: str,
    numbers: str,
    ink: str,
    part: Part,
    islands: tuple[Island, ...],
    weak: tuple[bool, ...],
) -> tuple[Picture, Written]:
    sheet = part.sheet
    text = 1.4 * _PAPER_SHARE * max(sheet.along_mm, 0.42 * sheet.across_mm)
    line = text / 16.0
    bounds = (-line, -1.6 * text, sheet.across_mm + line, sheet.along_mm + line)
    canvas = Canvas(bounds)
    head = f"as cut: {facing}" + (", turned" if sheet.turned else "")
    canvas.text(head, (0.0, -0.5 * text), height_mm=text)
    _on_film(canvas, part, simplified(part.region, text / _FINEST), line)
    written = _numbered(canvas, islands, weak, sheet.to_true, bounds) if islands else Written(1, 0)
    said = f", its islands numbered from 1 to {len(islands)}" if islands else ""
    alt = f"Film of {numbers}, {ink}, as it is cut ({facing}){said}."
    return canvas.picture(alt), written


def strips_picture(film: Film, cut: Cut) -> Picture:
    """Draw the strips of a film beside each other, in the order of their numbers, as they are cut."""
    sheets = [part.sheet for part in cut.parts]
    apart = 0.03 * max(sheet.along_mm for sheet in sheets)
    wide = sum(sheet.across_mm + apart for sheet in sheets) - apart
    high = max(sheet.along_mm for sheet in sheets)
    text = 1.4 * _PAPER_SHARE * max(high, 0.42 * wide)
    line = text / 16.0
    canvas = Canvas((-line, -1.6 * text, wide + line, high + line))
    left = 0.0
    for number, part in enumerate(cut.parts, start=1):
        canvas.text(f"strip {number}", (left, -0.5 * text), height_mm=text)
        _on_film(canvas, part, simplified(part.region, text / _FINEST), line, left_mm=left)
        left += part.sheet.across_mm + apart
    return canvas.picture(
        f"Strips of the film of {cut.numbers}, {cut.ink}, 1 to {len(sheets)} beside each other, as they"
        f" are cut ({film.facing})."
    )


def true_size(job: Job, film: Film, cut: Cut, part: Part) -> Picture:
    """Draw a film or strip at true size, as cut, with a bar to check the scale by at its foot."""
    sheet = part.sheet
    bar, says = _BAR_MM[job.shop.units]
    wide = max(sheet.across_mm, bar + 12.0)
    foot = sheet.along_mm + _FOOT_MM
    canvas = Canvas((0.0, 0.0, wide, foot))
    _on_film(canvas, part, part.region, 0.1, film="#ffffff")
    y = sheet.along_mm + 6.0
    for points in (
        ((4.0, y), (4.0 + bar, y)),
        ((4.0, y - 2.0), (4.0, y + 2.0)),
        ((4.0 + bar, y - 2.0), (4.0 + bar, y + 2.0)),
    ):
        canvas.line(points, stroke=_LINE, stroke_mm=0.2)
    canvas.text(
        f"{says}: if it measures otherwise, print at 100 %",
        (4.0, y + 6.0),
        height_mm=min(3.5, (wide - 8.0) / 26.0),
        fill=_LINE,
    )
    return canvas.picture(f"Film of {cut.numbers}, {cut.ink}, true size, {film.facing}.")


def _on_film(
    canvas: Canvas,
    part: Part,
    region: MultiPolygon,
    line_mm: float,
    film: str = _FILM,
    left_mm: float = 0.0,
) -> None:
    def to_picture(points: Points) -> Points:
        moved: Points = part.sheet.to_true(points) + np.array((left_mm, 0.0))
        return moved

    def there(shape: BaseGeometry) -> BaseGeometry:
        return shapely.transform(shape, to_picture)

    edge = there(shapely.Polygon(part.sheet.edge()))
    canvas.region(edge, fill=film, stroke=_LINE, stroke_mm=line_mm)
    for cut in (region, part.marks):
        canvas.region(there(cut), fill=_OPEN, stroke=_LINE, stroke_mm=line_mm)
    for ends in to_picture(part.weeding.lines.reshape(-1, 2)).reshape(-1, 2, 2).tolist():
        canvas.line(
            ((ends[0][0], ends[0][1]), (ends[1][0], ends[1][1])),
            stroke=_WASTE,
            stroke_mm=line_mm,
            dash_mm=(6.0 * line_mm, 4.0 * line_mm),
        )


def islands_picture(
    cut: Cut, islands: Sequence[Island], weak: Sequence[bool], side: Side
) -> tuple[Picture, Written]:
    """Number islands in the order they are placed, as seen from the side that the film goes on.

    :param weak: whether each may come off during the run; a ring is drawn around those
    :return: the picture, and which numbers are written: all, every fifth ...
    """
    return _islands_drawn(cut.region, cut.numbers, cut.ink, tuple(islands), tuple(weak), side)


@remembered(kept=16)
def _islands_drawn(
    region: MultiPolygon,
    numbers: str,
    ink: str,
    islands: tuple[Island, ...],
    weak: tuple[bool, ...],
    side: Side,
) -> tuple[Picture, Written]:
    flip = np.array((-1.0 if side == "shirt" else 1.0, 1.0))

    def there(points: Points) -> Points:
        turned: Points = points * flip
        return turned

    openings = shapely.transform(simplified(region), there)
    x0, y0, x1, y1 = openings.bounds
    pad = 0.05 * max(x1 - x0, y1 - y0)
    bounds = (x0 - pad, y0 - pad, x1 + pad, y1 + pad)
    canvas = Canvas(bounds)
    canvas.rectangle(bounds, fill=_FILM)
    canvas.region(openings, fill=_OPEN, stroke=_LINE, stroke_mm=0.03 * pad)
    written = _numbered(canvas, islands, weak, there, bounds)
    return (
        canvas.picture(
            f"Islands of film of {numbers}, {ink}, numbered 1 to {len(islands)} in the order they"
            " are placed, as seen while the film is laid on."
        ),
        written,
    )


_ISLAND = "#f0b45a"
_EVERY = (1, 2, 5, 10, 20, 50, 100, 200, 500, 1000)
_MOST_NUMBERED = 400
"""More numbers find no room on a sheet of paper."""
_BARE, _FAR = 0.04, 0.12
"""Shares of numbers that may find no room, and that may stand off on a line, before fewer are written."""
_FINEST = 28.0
"""Of a letter's height: how far outlines may stray, 0.05 mm on paper."""
_PAPER_SHARE = 0.032
"""Height of a number against the picture's: some 2.4 mm on the sheet."""


def _numbered(
    canvas: Canvas,
    islands: Sequence[Island],
    weak: Sequence[bool],
    there: Callable[[Points], Points],
    bounds: tuple[float, float, float, float],
) -> Written:
    """Colour and number islands: each, or every second, fifth, tenth where they lie too close for that.

    They are placed one beside the other, so that between two numbers it is seen which way to count.
    """
    text = _PAPER_SHARE * max(bounds[3] - bounds[1], 0.42 * (bounds[2] - bounds[0]))
    own = [
        p for i in islands for p in shapely.get_parts(i.region) if isinstance(p, shapely.Polygon)
    ]
    shapes = shapely.transform(simplified(MultiPolygon(own)), there)
    canvas.region(shapes, fill=_ISLAND, stroke=_LINE, stroke_mm=text / 24.0)
    at = there(np.array([island.at_mm for island in islands]).reshape(-1, 2)).tolist()
    ring = _ring_mm(at, text)
    every, numbers, spots = _placed(at, max(ring, 0.25 * text), text, bounds)
    bare = sum(spot is None for spot in spots)
    for (x, y), risky in zip(at, weak, strict=True):
        if risky:
            canvas.circle((x, y), ring, stroke="#a63603", stroke_mm=0.28 * ring)
    for number, spot in zip(numbers, spots, strict=True):
        if spot is None:
            continue
        if every > 1:
            canvas.circle((at[number - 1][0], at[number - 1][1]), 0.16 * text, fill=_LINE)
        if spot.leader is not None:
            canvas.line(spot.leader, stroke=_LINE, stroke_mm=text / 20.0)
        x, y = spot.middle_mm
        canvas.text(
            str(number),
            (x, y + 0.36 * text),
            height_mm=text,
            anchor="middle",
            halo="#ffffff",
            bold=weak[number - 1],
        )
    return Written(every, bare)


@remembered(kept=16)
def _placed(
    at: list[list[float]], ring_mm: float, text: float, bounds: tuple[float, float, float, float]
) -> tuple[int, list[int], tuple[Spot | None, ...]]:
    """Give which numbers are written, every one or every second ..., and where each stands."""
    for every in _EVERY:
        numbers = [n for n in range(1, len(at) + 1) if n % every == 0 or n in (1, len(at))]
        if len(numbers) > _MOST_NUMBERED:
            continue
        labels = [
            Label((at[n - 1][0], at[n - 1][1]), 0.64 * text * len(str(n)), 0.76 * text)
            for n in numbers
        ]
        spots = place_labels(labels, ring_mm=ring_mm, gap_mm=0.1 * text, bounds=bounds)
        bare = sum(spot is None for spot in spots)
        far = sum(spot is not None and spot.leader is not None for spot in spots)
        if bare <= _BARE * len(spots) and far <= _FAR * len(spots):
            break
    return every, numbers, spots


def _ring_mm(at: Sequence[Sequence[float]], text_mm: float) -> float:
    """Give the radius of rings that leave most of their neighbours free, never too small to be seen."""
    most, least = 0.4 * text_mm, 0.16 * text_mm
    if len(at) < 2:
        return most
    away, _ = cKDTree(np.array(at)).query(np.array(at), k=2)
    return float(min(max(0.5 * float(np.median(away[:, 1])), least), most))


def packing_picture(film: Film, film_mm: float, sheet_mm: float | None) -> Picture | None:
    """Draw where the films lie on the roll, which runs to the right, or on sheets one after the other.

    None for a single film.
    """
    packing = film.packing
    if packing is None or len(film.parts) < 2:
        return None
    long = packing.length_mm if sheet_mm is None else sheet_mm
    step = 1.06 * long
    wide = long + step * (packing.sheets - 1)
    text = 0.16 * min(film_mm, wide)
    canvas = Canvas((-0.01 * wide, -0.02 * film_mm, 1.01 * wide, 1.02 * film_mm))
    for number in range(packing.sheets):
        left = number * step
        canvas.rectangle((left, 0.0, left + long, film_mm), stroke=_WASTE, stroke_mm=text / 12.0)
    for part, place in zip(film.parts, packing.places, strict=True):
        x, y = place.sheet * step + place.along_mm, place.across_mm
        box = (x, y, x + part.sheet.along_mm, y + part.sheet.across_mm)
        canvas.rectangle(box, fill=_FILM, stroke=_LINE, stroke_mm=text / 24.0)
        canvas.text(
            part.label,
            ((box[0] + box[2]) / 2.0, (box[1] + box[3]) / 2.0 + 0.36 * text),
            height_mm=text,
            anchor="middle",
        )
    return canvas.picture("How the films lie beside each other on what they are cut from.")


def facing_picture(side: Side, cut_face_up: bool, mirrored: bool) -> Picture:
    """Draw how the film lies in the cutter, on the mesh, and seen from the squeegee side."""
    canvas = Canvas((0.0, 0.0, 168.0, 48.0))
    _panel(canvas, 3.0, "in the cutter", mirrored=mirrored, mesh=False)
    up, low = ("face up", "liner below") if cut_face_up else ("liner up", "face below")
    canvas.text(f"{up}, {low}", (22.0, 46.0), height_mm=3.0, anchor="middle")
    _section(canvas, 47.0, side)
    _panel(canvas, 127.0, "from the squeegee side", mirrored=False, mesh=True)
    canvas.text("reads right", (146.0, 46.0), height_mm=3.0, anchor="middle")
    facing = "mirrored" if mirrored else "not mirrored"
    return canvas.picture(
        f"Three sketches: the film in the cutter, {up}, {facing}; the film on the {side} side of the mesh "
        "with its adhesive against the mesh; and the screen seen from the squeegee side, where the image "
        "reads right and the snipped corner is at the upper right."
    )


def _panel(canvas: Canvas, left: float, head: str, *, mirrored: bool, mesh: bool) -> None:
    """Draw a sheet with an F in it, 38 mm wide."""
    sheet = shapely.Polygon([(0, 0), (31, 0), (38, 7), (38, 32), (0, 32)])
    letter = shapely.union_all(
        [shapely.box(13, 7, 17, 27), shapely.box(17, 7, 27, 11), shapely.box(17, 15, 24, 19)]
    )
    shapes: list[BaseGeometry] = [sheet, letter]
    if mirrored:
        shapes = [affinity.scale(shape, -1, 1, origin=(19, 0)) for shape in shapes]
    sheet_there, letter_there = (affinity.translate(shape, left, 8.0) for shape in shapes)
    canvas.text(head, (left + 19.0, 5.0), height_mm=3.0, anchor="middle")
    canvas.region(sheet_there, fill=_FILM, stroke=_LINE, stroke_mm=0.3)
    canvas.region(letter_there, fill=_OPEN, stroke=_LINE, stroke_mm=0.3)
    if mesh:
        for step in range(1, 10):
            y = 8.0 + 3.2 * step
            canvas.line(((left, y), (left + 38.0, y)), stroke="#8a8a8a", stroke_mm=0.1)


def _section(canvas: Canvas, left: float, side: Side) -> None:
    """Draw squeegee, mesh, film and shirt from the side, 72 mm wide."""
    canvas.text("on the screen, from the side", (left + 36.0, 5.0), height_mm=3.0, anchor="middle")
    blade = shapely.Polygon([(16, 10), (21, 9), (25, 19), (22, 20)])
    canvas.region(affinity.translate(blade, left, 0.0), fill="#7a7a7a")
    canvas.text("squeegee", (left + 28.0, 14.0), height_mm=3.0)
    mesh_y, film_y = (24.0, 26.4) if side == "shirt" else (26.4, 24.0)
    canvas.line(((left + 2, mesh_y), (left + 48, mesh_y)), stroke_mm=0.8, dash_mm=(1.0, 0.8))
    for x0, x1 in ((2.0, 18.0), (30.0, 48.0)):
        canvas.rectangle(
            (left + x0, film_y - 0.9, left + x1, film_y + 0.9),
            fill=_FILM,
            stroke=_LINE,
            stroke_mm=0.2,
        )
    canvas.text("mesh", (left + 51.0, mesh_y + (-0.6 if side == "shirt" else 2.6)), height_mm=3.0)
    canvas.text("film", (left + 51.0, film_y + (2.6 if side == "shirt" else -0.6)), height_mm=3.0)
    canvas.rectangle((left + 2, 32.0, left + 48, 36.0), fill="#dcd3c3", stroke=_LINE, stroke_mm=0.2)
    canvas.text("shirt", (left + 51.0, 35.2), height_mm=3.0)
    canvas.text("adhesive against the mesh", (left + 36.0, 46.0), height_mm=3.0, anchor="middle")
