"""One narrow place, enlarged, with its width as a dimension and where it lies."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Literal

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from prep.measure_pictures.paper import (
    GREY,
    INK,
    TEXT_MM,
    Paper,
    Point,
    View,
    fine,
    fitted,
    legend,
    outline_data,
    scale_bar,
    wrapped,
)
from prep.measure_pictures.styles import Style, styles_for
from prep.measures import Limits, Place
from prep.measures.classes import LIMITS_MM, check_classes
from prep.measures.result import AS_WIDE_MM
from prep.measures.width_parts import parts_by_width
from prep.pictures import Bounds, Picture

TIP_WIDTH_MM = Limits().tip_width_mm
_EDGE_MM = 4.0
_SIDE_MM = 62.0  # room beside the frame: locator and words
_PRINTED = "#c9c4bb"
_ARROW_MM = 1.6
_BORDER_MM = 0.3  # outline of the place
_SAME_PLACE_MM = 0.02
_LONG = 2.0  # so many times as long as wide, and a length says something


def close_up(
    region: BaseGeometry,
    place: Place,
    *,
    side: Literal["openings", "film"],
    title: str,
    artboard_mm: tuple[float, float],
    limits_mm: Sequence[float] = LIMITS_MM,
    scale: float = 10.0,
    frame_mm: float = 90.0,
) -> Picture:
    """Draw one place enlarged, outlined, with its width as a dimension across it.

    The openings are filled, the film is white. The place is outlined as far as it is narrower than
    the upper limit of its class of width. Beside it stand a small view of the artboard with the
    place marked, its figures, the scale and a bar.

    :param region: the openings, mm
    :param place: as measured, of the openings or of the film
    :param side: which of the two
    :param artboard_mm: width and height; (0, 0) is its top left
    :param limits_mm: limits between the classes of width, rising
    :param scale: mm of paper for a mm of the artwork
    :param frame_mm: side of the square on paper that the close-up fills
    :raises ValueError: limits that don't rise, too many classes, or a scale or size not above 0
    """
    limits = check_classes(limits_mm)
    styles = styles_for(len(limits) + 1)
    if not (scale > 0 and frame_mm > 0 and min(artboard_mm) > 0):
        raise ValueError("scale, frame and artboard must be larger than 0")
    half = frame_mm / scale / 2
    x, y = place.at_mm
    window = (x - half, y - half, x + half, y + half)
    # beyond the frame too, so that its edge makes nothing narrow
    reach = half + 2 * limits[-1]
    near = shapely.intersection(region, shapely.box(x - reach, y - reach, x + reach, y + reach))
    asked = near
    if side == "film":
        asked = shapely.difference(shapely.box(x - reach, y - reach, x + reach, y + reach), near)
    told = TIP_WIDTH_MM if place.kind == "tip" else place.width_mm
    number = int(np.searchsorted(limits, told + AS_WIDE_MM, side="right"))
    if place.kind == "tip":
        under = TIP_WIDTH_MM
    elif number < len(limits):
        under = limits[number]
    else:
        under = max(1.1 * told, told + 2 * AS_WIDE_MM)
    narrow = _around(asked, under, (x, y), frame_mm / scale)

    top = _EDGE_MM + 2.2 * TEXT_MM
    paper = Paper(frame_mm + _SIDE_MM + 3 * _EDGE_MM, top + frame_mm + _EDGE_MM)
    paper.text(
        fitted(title, paper.width_mm - 2 * _EDGE_MM),
        (_EDGE_MM, _EDGE_MM + TEXT_MM * 0.6),
        bold=True,
    )
    view = View(scale, (_EDGE_MM - window[0] * scale, top - window[1] * scale))
    frame = shapely.box(*window)
    seen = outline_data(shapely.intersection(near, frame), view, within_mm=0.02)
    paper.outline(seen, fill=_PRINTED, stroke=GREY, stroke_mm=0.1, kind="printed")
    marked = outline_data(shapely.intersection(narrow, frame), view, within_mm=0.02)
    paper.hatched(marked, styles[number], kind="place")
    paper.outline(marked, stroke=INK, stroke_mm=_BORDER_MM)
    _mark(paper, view, place, asked, scale)
    paper.box(_EDGE_MM, top, frame_mm, frame_mm, stroke=INK, stroke_mm=0.25)

    left = frame_mm + 2 * _EDGE_MM
    down = _locate(paper, (left, top), region, window, artboard_mm)
    rows = [(Style(_PRINTED, INK), "opening: prints"), (Style("#ffffff", INK), "film: stays bare")]
    if marked:
        rows.append((styles[number], f"narrower than {under:.3g} mm"))
    down += 6.0
    for said in _figures(place, side, scale):
        for line in wrapped(said, _SIDE_MM):
            paper.text(line, (left, down))
            down += 1.45 * TEXT_MM
    down += legend(paper, (left, down), rows, 10.0) + 2.0
    scale_bar(paper, (left, down), view, _SIDE_MM / 2)
    paper.height_mm = max(paper.height_mm, down + 8.0)
    return paper.picture(title, " ".join(_figures(place, side, scale)))


def _around(asked: BaseGeometry, under_mm: float, at: Point, shown_mm: float) -> BaseGeometry:
    """Give what is narrower than a limit and hangs together with the place.

    :param shown_mm: how much of the artwork the frame shows: the finer, the closer the look
    """
    step = min(max(shown_mm / 200, 0.002), under_mm / 4)
    narrow, _ = parts_by_width(asked, (under_mm,), step_mm=step, within_mm=shown_mm / 20_000)
    parts = shapely.get_parts(narrow)
    if not len(parts):
        return narrow
    distance = shapely.distance(parts, shapely.Point(at))
    if distance.min() >= under_mm:
        return shapely.MultiPolygon()
    # on both sides of a touch
    return shapely.union_all(parts[distance <= distance.min() + _SAME_PLACE_MM])


def _mark(paper: Paper, view: View, place: Place, asked: BaseGeometry, scale: float) -> None:
    """Draw the dimension across a strip; a ring round a touch or the apex of a tip."""
    x, y = view.at(place.at_mm)
    if place.kind != "strip":
        said = (
            "nothing between" if place.kind == "touch" else f"{place.tip_angle_deg or 0:.0f}° tip"
        )
        paper.circle((x, y), 3.0, stroke="#ffffff", stroke_mm=0.8)
        paper.circle((x, y), 3.0, stroke=INK, stroke_mm=0.4)
        near = shapely.Point(place.at_mm).buffer(6.0 / scale)
        body = shapely.intersection(asked, near).centroid
        left = place.kind == "tip" and not body.is_empty and body.x > place.at_mm[0]
        at = (x - 4.2 if left else x + 4.2, y + 1.0)
        paper.text(said, at, anchor="end" if left else "start", bold=True, halo=True)
        return
    dx, dy = across(asked, place)
    if (dx, dy) < (0.0, 0.0):  # the words stand on the right
        dx, dy = -dx, -dy
    r = place.width_mm * scale / 2
    inside = r >= 2.5 * _ARROW_MM
    tail = r + 7.0
    for way in (-1, 1):
        ux, uy = way * dx, way * dy
        edge = (x + ux * r, y + uy * r)
        out = (x + ux * tail, y + uy * tail)
        _lined(paper, edge, out, 0.25, "dimension-tail")
        for turn in (-1, 1):  # a line along the edge, and the two barbs of the arrow
            if inside:  # else it would hide what is so narrow
                tick = (edge[0] - turn * uy * 2.2, edge[1] + turn * ux * 2.2)
                _lined(paper, edge, tick, 0.15)
            from_ = -1 if inside else 1
            barb = (
                edge[0] + from_ * ux * _ARROW_MM - turn * uy * _ARROW_MM / 3,
                edge[1] + from_ * uy * _ARROW_MM + turn * ux * _ARROW_MM / 3,
            )
            _lined(paper, edge, barb, 0.3)
    paper.line((x - dx * r, y - dy * r), (x + dx * r, y + dy * r), stroke_mm=0.3, kind="dimension")
    end = (x + dx * (tail + 1.0), y + dy * (tail + 1.0))
    steep = abs(dx) < 0.35
    paper.text(
        fine(place.width_mm),
        (end[0], end[1] + (TEXT_MM if steep and dy > 0 else 0.0) + (0.0 if steep else 1.0)),
        anchor="middle" if steep else "start",
        height=TEXT_MM * 1.2,
        bold=True,
        halo=True,
    )


def _lined(paper: Paper, a: Point, b: Point, thick: float, kind: str = "") -> None:
    paper.line(a, b, stroke="#ffffff", stroke_mm=thick + 0.5)
    paper.line(a, b, stroke_mm=thick, kind=kind)


def across(asked: BaseGeometry, place: Place) -> Point:
    """Give the direction across a strip: between the two contacts of its disc farthest apart.

    :param asked: the side the place belongs to, mm
    :return: a unit vector
    """
    centre, radius = np.asarray(place.at_mm), place.width_mm / 2
    disc = shapely.Point(place.at_mm).buffer(radius * 1.02 + 0.002, quad_segs=32)
    edge = shapely.get_parts(shapely.intersection(asked.boundary, disc))
    spot = shapely.Point(place.at_mm)
    nearest = shapely.get_coordinates(shapely.shortest_line(edge, spot))[::2]
    along = shapely.get_coordinates(shapely.segmentize(edge, max(radius / 10, 1e-4)))
    ways = np.concatenate([nearest, along]) - centre
    distance = np.hypot(*ways.T)
    ways, distance = ways[distance > 1e-9], distance[distance > 1e-9]
    if not len(ways):
        return 1.0, 0.0
    units = ways / distance[:, None]
    # far apart first; among as good as equal ones what lies nearest
    cost = units @ units.T + (distance[:, None] + distance[None, :]) / max(radius, 1e-6) / 2
    a, b = divmod(int(np.argmin(np.round(cost, 9))), len(units))
    dx, dy = units[a] - units[b] if a != b else units[a]
    length = math.hypot(dx, dy)
    return float(dx / length), float(dy / length)


def _locate(
    paper: Paper, at: Point, region: BaseGeometry, window: Bounds, artboard: tuple[float, float]
) -> float:
    """Draw the artboard small, with the place marked; give where it ends on paper."""
    scale = min(_SIDE_MM / artboard[0], 42.0 / artboard[1])
    view = View(scale, at)
    wide, high = artboard[0] * scale, artboard[1] * scale
    board = shapely.box(0.0, 0.0, *artboard)
    light = shapely.simplify(region, 0.02 / scale, preserve_topology=False)
    paper.box(*at, wide, high, stroke=GREY, stroke_mm=0.15)
    paper.outline(
        outline_data(shapely.intersection(shapely.make_valid(light), board), view, within_mm=0.04),
        fill=_PRINTED,
        kind="artboard",
    )
    x, y = view.at(((window[0] + window[2]) / 2, (window[1] + window[3]) / 2))
    half = max((window[2] - window[0]) * scale / 2, 0.9)
    for a, b in (
        ((at[0], y), (x - half, y)),
        ((x + half, y), (at[0] + wide, y)),
        ((x, at[1]), (x, y - half)),
        ((x, y + half), (x, at[1] + high)),
    ):
        paper.line(a, b, stroke_mm=0.15)
    paper.box(x - half, y - half, 2 * half, 2 * half, stroke=INK, stroke_mm=0.35)
    return at[1] + high


def _figures(place: Place, side: str, scale: float) -> list[str]:
    what = "opening" if side == "openings" else "film"
    x, y = place.at_mm
    where = f"{x:.1f} mm from the left, {y:.1f} mm from the top."
    shown = f"Shown {scale:g}:1."
    if place.kind == "tip":
        lost = place.tip_lost_length_mm or 0.0
        return [
            f"The tip of a corner of {place.tip_angle_deg or 0:.0f}°, {what}.",
            where,
            f"Where nothing finer than {TIP_WIDTH_MM:g} mm can be made, {lost:.2f} mm of it is lost.",
            shown,
        ]
    if place.kind == "touch":
        return [f"Two edges touch: no {what} between.", where, shown]
    long = f", {place.length_mm:.1f} mm long" if place.length_mm > _LONG * place.width_mm else ""
    return [
        f"Narrow {what}: {fine(place.width_mm)} wide{long}.",
        where,
        shown,
    ]
