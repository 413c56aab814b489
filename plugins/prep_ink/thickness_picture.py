"""The picture of thick and thin ink: the whole screen small, a close-up, and a legend."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING, Literal

import numpy as np
import shapely

from prep.at_place import bar_of
from prep.pictures import Bounds, Canvas, Picture
from prep.remembered import remembered
from prep_ink.thickness import MOST_CLASSES, Classes, drawn_in, most_rim, percents

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from numpy.typing import NDArray
    from shapely import MultiPolygon

HIGH_MM = 17.0
"""Height of the picture on paper: low, so that it seldom costs a screen another page."""
WHOLE_WIDE_MM, CLOSE_WIDE_MM = 22.0, 27.0
ENLARGED = 5.0

_GAP_MM = 2.0
_BAR_MM = 1.3  # no scale bar is longer
_TEXT_MM, _LETTER = 2.2, 0.62  # height of text, and width of its letters as a share of that
_SWATCH_MM = 4.0
_ROW_MM = 2.8
_HEAD = "Likeliest, of the area"
_RING_MM = 1.0
_EDGE_MM = 0.9  # room around the whole, for the ring
_INK = "#000000"
_LIGHTEST, _DARKEST = 228, 40  # of 255: apart from white paper, and from black outlines
_WITHIN_MM = 0.03  # how far outlines may stray on paper
_LIGHTER_MM = 0.01  # the same of the whole before it is drawn in
_HAIR_MM = 1e-6


@dataclass(frozen=True, slots=True)
class _View:
    """A part of the artwork and where on the paper it is drawn.

    :param shown: bounds in the artwork, mm
    :param scale: mm of paper for a mm of the artwork
    :param at_mm: where on the paper the upper left corner lies
    """

    shown: Bounds
    scale: float
    at_mm: tuple[float, float]

    def placed(self, shapes: NDArray[np.object_]) -> NDArray[np.object_]:
        """Give shapes of the artwork as they lie on the paper."""
        origin = np.asarray(self.at_mm) - self.scale * np.asarray(self.shown[:2])
        return np.asarray(shapely.transform(shapes, lambda xy: xy * self.scale + origin))


def tones(classes: int) -> tuple[str, ...]:
    """Give the grey of each class, light for thin ink to dark for thick.

    :raises ValueError: fewer than two classes, or more than greys can tell apart

    >>> tones(3)
    ('#e4e4e4', '#868686', '#282828')
    """
    if not 2 <= classes <= MOST_CLASSES:
        raise ValueError(f"{classes} classes can't be told apart by greys")
    step = (_LIGHTEST - _DARKEST) / (classes - 1)
    return tuple(f"#{f'{round(_LIGHTEST - n * step):02x}' * 3}" for n in range(classes))


def ranges(limits_um: Sequence[float]) -> tuple[str, ...]:
    """Say which deposits each class holds, the thinnest first.

    >>> ranges([100, 125])
    ('under 100 µm', '100 to 125 µm', 'over 125 µm')
    """
    between = (f"{low:g} to {high:g} µm" for low, high in pairwise(limits_um))
    return f"under {limits_um[0]:g} µm", *between, f"over {limits_um[-1]:g} µm"


def legend(classes: Classes) -> tuple[str, ...]:
    """Say of each class its deposits and its share of the area, the thinnest first."""
    shares = zip(
        ranges(classes.limits_um), percents(classes.shares()), classes.areas_mm2, strict=True
    )
    return tuple(
        f"{said}: {f'{share} %' if share or not area else 'under 1 %'}"
        for said, share, area in shares
    )


@remembered(kept=16)
def thick_and_thin(
    region: MultiPolygon,
    classes: Classes,
    name: str,
    units: Literal["metric", "inch"] = "metric",
) -> Picture:
    """Draw openings by their wet deposit, thin ink light and thick ink dark; at its size on paper.

    On the left the whole, on its right the window with the most thick ink along edges, enlarged 5
    times and ringed in the whole.

    :param region: the openings, mm
    :param classes: the same openings by deposit
    :param name: of the screen, for those who can't see the picture
    """
    x0, y0, x1, y1 = region.bounds
    small = min((WHOLE_WIDE_MM - 2 * _EDGE_MM) / (x1 - x0), (HIGH_MM - 2 * _EDGE_MM) / (y1 - y0))
    small = min(small, ENLARGED)
    wide, high = (x1 - x0) * small, (y1 - y0) * small
    whole = _View(region.bounds, small, (_EDGE_MM, (HIGH_MM - high) / 2))

    seen_wide, seen_high = CLOSE_WIDE_MM / ENLARGED, HIGH_MM / ENLARGED
    x, y = most_rim(region, seen_wide, seen_high, classes.borders_mm[0] / 2)
    shown = (x - seen_wide / 2, y - seen_high / 2, x + seen_wide / 2, y + seen_high / 2)
    left = wide + 2 * _EDGE_MM + _GAP_MM
    close = _View(shown, ENLARGED, (left, 0.0))

    said = legend(classes)
    beside = left + CLOSE_WIDE_MM + _GAP_MM
    end = beside + _SWATCH_MM + 1.2 + _LETTER * _TEXT_MM * max(map(len, said))
    end = max(end, beside + _LETTER * _TEXT_MM * len(_HEAD))
    canvas = Canvas((0.0, 0.0, end, HIGH_MM))
    light = _polygons(shapely.simplify(shapely.get_parts(region), _LIGHTER_MM / small))
    _openings(canvas, light, classes.borders_mm, whole, outline_mm=0.05)
    # what lies around it too, so that the frame is no edge
    reach = max(classes.borders_mm) + 0.1
    around = shapely.box(*shown).buffer(reach, join_style="mitre")
    near = _polygons(shapely.intersection(_near(region, around), around))
    _openings(canvas, near, classes.borders_mm, close, outline_mm=0.15)
    canvas.rectangle(
        (left, 0.0, left + CLOSE_WIDE_MM, HIGH_MM), stroke=_INK, stroke_mm=0.4
    )  # half of it shows on the outer sides
    _bar(canvas, left + CLOSE_WIDE_MM - 1.2, units)
    spot = whole.placed(np.array([shapely.Point(x, y)], dtype=object))
    middle = shapely.get_coordinates(spot)[0].tolist()
    for colour, thick in (("#ffffff", 0.9), (_INK, 0.3)):
        canvas.circle((middle[0], middle[1]), _RING_MM, stroke=colour, stroke_mm=thick)
    leader = ((middle[0] + _RING_MM, middle[1]), (left, middle[1]))
    canvas.line(leader, stroke=_INK, stroke_mm=0.15)
    _legend(canvas, beside, said)
    return canvas.picture(
        f"Wet ink of {name}, thin light and thick dark: {'; '.join(reversed(said))}. The whole, and"
        f" the place with most thick ink along edges, enlarged {ENLARGED:g} times.",
        background="#ffffff",
    )


def _openings(
    canvas: Canvas,
    region: MultiPolygon,
    borders_mm: Sequence[float],
    view: _View,
    *,
    outline_mm: float,
) -> None:
    """Draw from thick to thin, each on what is thicker, and the film's edge over all."""
    greys = reversed(tones(len(borders_mm) + 1))
    for shape, grey in zip((region, *reversed(drawn_in(region, borders_mm))), greys, strict=True):
        canvas.region(_seen(shape, view), fill=grey)
    canvas.region(_seen(region, view), stroke=_INK, stroke_mm=outline_mm)


def _seen(shape: MultiPolygon, view: _View) -> MultiPolygon:
    """Give what a view shows of openings, on paper, lighter than it is; for drawing only."""
    parts = shapely.get_parts(shape)
    window = shapely.box(*view.shown)
    if not window.buffer(_HAIR_MM).contains(shapely.box(*shape.bounds)):
        parts = shapely.intersection(_near(shape, window), window)
    placed = view.placed(parts)
    # fast; where an edge then crosses itself, it does so by less than can be seen
    light = shapely.simplify(placed, _WITHIN_MM, preserve_topology=False)
    return _polygons(np.where(shapely.is_empty(light), placed, light))  # dots are there to be seen


def _near(shape: MultiPolygon, window: shapely.Polygon) -> NDArray[np.object_]:
    parts = shapely.get_parts(shape)
    return np.asarray(parts[shapely.STRtree(parts).query(window, predicate="intersects")])


def _polygons(shapes: NDArray[np.object_]) -> MultiPolygon:
    parts = shapely.get_parts(shapely.get_parts(shapes))
    return shapely.MultiPolygon(
        [part for part in parts if isinstance(part, shapely.Polygon) and not part.is_empty]
    )


def _bar(canvas: Canvas, right: float, units: Literal["metric", "inch"]) -> None:
    """Draw a bar of 1 mm or 0.05 in of the print into the close-up's lower right, and say the scale."""
    length_mm, said_long = bar_of(_BAR_MM, units)
    long = ENLARGED * length_mm
    ends = ((right - long, HIGH_MM - 1.2), (right, HIGH_MM - 1.2))
    canvas.line(ends, stroke="#ffffff", stroke_mm=1.1)
    canvas.line(ends, stroke=_INK, stroke_mm=0.5)
    at = (right - long / 2, HIGH_MM - 1.9)
    canvas.text(said_long, at, height_mm=2.0, fill=_INK, halo="#ffffff", anchor="middle")
    said = f"{ENLARGED:g} times"
    corner = (right + 1.2 - CLOSE_WIDE_MM + 0.8, 2.6)
    canvas.text(said, corner, height_mm=2.0, fill=_INK, halo="#ffffff")


def _legend(canvas: Canvas, left: float, said: Sequence[str]) -> None:
    top = (HIGH_MM - _ROW_MM * (len(said) + 1)) / 2
    canvas.text(_HEAD, (left, top + 2.0), height_mm=_TEXT_MM)
    for row, (text, grey) in enumerate(_thick_first(said), start=1):
        y = top + row * _ROW_MM
        canvas.rectangle(
            (left, y, left + _SWATCH_MM, y + 2.2), fill=grey, stroke=_INK, stroke_mm=0.1
        )
        canvas.text(text, (left + _SWATCH_MM + 1.2, y + 1.9), height_mm=_TEXT_MM)


def _thick_first(said: Sequence[str]) -> Iterator[tuple[str, str]]:
    yield from zip(reversed(said), reversed(tones(len(said))), strict=True)
