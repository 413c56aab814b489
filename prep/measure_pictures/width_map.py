"""A map of a region's local width."""

from __future__ import annotations

from collections.abc import Sequence

import shapely
from shapely.geometry.base import BaseGeometry

from prep.measure_pictures.marks import draw_marks, marks_legend, marks_of
from prep.measure_pictures.paper import (
    GREY,
    INK,
    SMALL_MM,
    TEXT_MM,
    Paper,
    Point,
    View,
    fine,
    fitted,
    legend,
    outline_data,
    scale_bar,
    text_width,
)
from prep.measure_pictures.styles import styles_for
from prep.measures import Distribution, Place, Places
from prep.measures.classes import LIMITS_MM, check_classes, class_names, in_classes
from prep.measures.width_parts import parts_by_width
from prep.pictures import Bounds, Picture

_EDGE_MM = 4.0
_STEP_MM = 0.12  # how exact classes are along the edge, in the artwork and on paper
_WITHIN_MM = 0.06  # how exact outlines are on paper
_COARSEST_MM = 0.48
_MOST_BYTES = 250_000
_LEAST_MM = 0.4  # fine places are drawn at least so thick on paper


def width_map(
    region: BaseGeometry,
    *,
    title: str,
    limits_mm: Sequence[float] = LIMITS_MM,
    around: BaseGeometry | None = None,
    frame: Bounds | None = None,
    finest: Place | None = None,
    measured: Distribution | None = None,
    places: Places | None = None,
    size_mm: tuple[float, float] = (180.0, 200.0),
    largest_scale: float = 2.0,
) -> Picture:
    """Draw where a region is how wide: each class of local width in a tone and hatch of its own.

    Outlines stray by at most 0.06 mm on paper. Where that would take more than a quarter of a
    megabyte it is doubled, up to 0.48 mm, and the picture says so. Places finer than 0.4 mm on
    paper are drawn about 0.2 mm thicker, to be seen. Along the edge a class ends within 0.12 mm of
    where the width passes its limit, or within 0.12 mm of paper where the picture is smaller than
    the artwork (:func:`prep.measures.width_parts.parts_by_width`). Areas in the legend are
    those measured, where these are given, and else those drawn; of openings they sum to the region's
    area, of film all but the last are told.

    :param region: openings or film, mm
    :param title: stands over the map
    :param limits_mm: limits between the classes, rising
    :param around: what else to draw, plain grey: the openings on a map of the film
    :param frame: what is shown of the plane; None = the region with what lies around it
    :param finest: place to ring and label with its width
    :param measured: the region's area by local width
    :param places: its narrow places; touches are marked, and of tips the 40 that lose most
    :param size_mm: largest size of the picture on paper, legend included
    :param largest_scale: mm of paper for a mm of the artwork, at most
    :raises ValueError: limits that don't rise, more classes than can be told apart, or a frame
        without size
    """
    limits = check_classes(limits_mm)
    styles, names = styles_for(len(limits) + 1), class_names(limits)
    x0, y0, x1, y1 = frame or _bounds(region, around)
    if not (x1 > x0 and y1 > y0):
        raise ValueError("there is nothing to draw a map of")
    wide, high = size_mm
    marks = () if places is None else marks_of(places)
    above, below = _EDGE_MM + 1.8 * TEXT_MM, 26.0 + 5.6 * (len(names) + len(marks))
    scale = min(
        (wide - 2 * _EDGE_MM) / (x1 - x0), (high - above - below) / (y1 - y0), largest_scale
    )
    if scale <= 0:
        raise ValueError(f"a map with its legend needs more than {above + below:.0f} mm of height")
    parts = parts_by_width(region, limits, step_mm=max(_STEP_MM, _STEP_MM / scale))
    areas = _areas(parts, region.area, measured, limits)
    rows = [
        (style, f"{name}: {_area(area, region.area, share=around is None)}")
        for style, name, area in zip(styles, names, areas, strict=True)
    ]
    if around is not None:  # how much of the film is wide depends on where it ends
        rows[-1] = (styles[-1], names[-1])
    view = View(scale, (_EDGE_MM - x0 * scale, above - y0 * scale))
    bottom = above + (y1 - y0) * scale

    paper = Paper(wide, high)
    title = fitted(title, wide - 2 * _EDGE_MM)
    paper.text(title, (_EDGE_MM, _EDGE_MM + TEXT_MM * 0.6), bold=True)
    base = region if around is None else _filled(region)
    within, (whole, beside, *drawn) = _outlines([base, around, *parts[:-1]], view)
    paper.outline(
        whole,
        fill=styles[-1].tone,
        stroke=GREY,
        stroke_mm=0.1,
        kind=f"class-{len(limits)}",
    )
    paper.outline(beside, fill="#b9b9b9", kind="around")
    for number in reversed(range(len(limits))):
        paper.hatched(
            drawn[number],
            styles[number],
            kind=f"class-{number}",
            least_mm=_LEAST_MM / 2,
        )
    paper.box(_EDGE_MM, above, (x1 - x0) * scale, bottom - above, stroke=GREY, stroke_mm=0.15)
    draw_marks(paper, view, marks)
    y = bottom + 3.0
    y += legend(paper, (_EDGE_MM, y), rows, wide - 2 * _EDGE_MM)
    y += marks_legend(paper, (_EDGE_MM, y), marks) + 1.5
    bar = scale_bar(paper, (_EDGE_MM, y), view, 45.0)
    shown = f"Shown at {100 * scale:.3g} % of true size."
    if within > _WITHIN_MM:
        shown += f" Outlines within {within:g} mm."
    paper.text(shown, (_EDGE_MM + max(bar, 45.0) + 6, y + 1.2), height=SMALL_MM)
    thicker = "Fine places are drawn a little thicker, to be seen."
    paper.text(
        thicker,
        (_EDGE_MM + max(bar, 45.0) + 6, y + 1.2 + 1.3 * SMALL_MM),
        height=SMALL_MM,
    )
    paper.height_mm = y + 8.0
    lines = [9.5 + text_width(said) for said in (*(said for _, said in rows), *map(str, marks))]
    note = max(bar, 45.0) + 6 + max(text_width(said, SMALL_MM) for said in (shown, thicker))
    needed = max((x1 - x0) * scale, note, text_width(title), *lines)
    paper.width_mm = min(wide, needed + 2 * _EDGE_MM)
    if finest is not None:
        hides = [*parts[:-1], region if around is None else around]
        _ring(paper, view, finest, hides, (paper.width_mm, bottom))
    told = "; ".join((*(said for _, said in rows), *map(str, marks)))
    if finest is not None:
        told += f"; the finest, {fine(finest.width_mm)}, {where(finest)}"
    return paper.picture(title, told)


def _areas(
    parts: Sequence[BaseGeometry],
    whole_mm2: float,
    measured: Distribution | None,
    limits: tuple[float, ...],
) -> list[float]:
    """Give the area of each class, the last what remains."""
    if measured is None:
        return [part.area for part in parts]
    areas: list[float] = in_classes(measured, measured.area_mm2, limits)[:-1].tolist()
    return [*areas, max(whole_mm2 - sum(areas), 0.0)]


def _outlines(shapes: Sequence[BaseGeometry | None], view: View) -> tuple[float, list[str]]:
    """Give path data of all shapes, so coarse that they don't grow too large; and how coarse."""
    within = _WITHIN_MM
    while True:
        data = ["" if s is None else outline_data(s, view, within_mm=within) for s in shapes]
        if sum(map(len, data)) <= _MOST_BYTES or within >= _COARSEST_MM:
            return within, data
        within *= 2


def where(place: Place) -> str:
    """Say where a place is."""
    return f"{place.at_mm[0]:.1f} mm from the left and {place.at_mm[1]:.1f} mm from the top"


def _bounds(region: BaseGeometry, around: BaseGeometry | None) -> Bounds:
    x0, y0, x1, y1 = shapely.total_bounds([region, *([] if around is None else [around])]).tolist()
    return x0, y0, x1, y1


def _filled(region: BaseGeometry) -> BaseGeometry:
    """Give a region without its holes."""
    parts = shapely.get_parts(shapely.get_parts(region))
    rings = shapely.get_exterior_ring(parts[shapely.get_type_id(parts) == 3])
    return shapely.union_all(shapely.polygons(rings))


def _area(part_mm2: float, whole_mm2: float, *, share: bool) -> str:
    """Say an area, and its share where that means something, all of a picture in the same unit."""
    if part_mm2 <= 0.0:
        return "none"
    size, unit = (part_mm2 / 100, "cm²") if whole_mm2 >= 1000 else (part_mm2, "mm²")
    area = f"{size:.2f} {unit}" if size >= 0.005 else f"under 0.01 {unit}"
    percent = 100 * part_mm2 / whole_mm2
    if not share:
        return area
    return f"{area}, {percent:.1f} %" if percent >= 0.05 else f"{area}, under 0.1 %"


def _ring(
    paper: Paper,
    view: View,
    finest: Place,
    hides: Sequence[BaseGeometry],
    room: tuple[float, float],
) -> None:
    """Ring the finest place, and say its width where that hides least of what is drawn."""
    x, y = view.at(finest.at_mm)
    said = fine(finest.width_mm)
    long = text_width(said)
    paper.circle((x, y), 2.2, stroke="#ffffff", stroke_mm=1.2)
    paper.circle((x, y), 2.2, stroke=INK, stroke_mm=0.4)
    spots = [
        ((x + 3.0, y + 1.0), "start", x + 3.0),
        ((x - 3.0, y + 1.0), "end", x - 3.0 - long),
        ((x, y - 3.2), "middle", x - long / 2),
        ((x, y + 3.2 + 0.75 * TEXT_MM), "middle", x - long / 2),
    ]

    def cost(spot: tuple[Point, str, float]) -> float:
        (_, base), _, left = spot
        out = left < 0 or left + long > room[0] or not TEXT_MM * 2 < base < room[1]
        corners = ((left - 0.5, base - TEXT_MM), (left + long + 0.5, base + 0.5))
        (x0, y0), (x1, y1) = map(view.back, corners)
        box = shapely.box(x0, y0, x1, y1)
        hidden = sum(shapely.intersection(shape, box).area for shape in hides)
        return float(hidden + (1e9 if out else 0.0))

    at, anchor, _ = min(spots, key=cost)
    paper.text(said, at, anchor=anchor, bold=True, halo=True)
