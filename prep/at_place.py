"""A small picture of one place of the print, at a scale that is drawn into it. Black and grey only."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

import numpy as np
import shapely
from shapely import MultiPolygon

from prep.findings import Severity
from prep.pictures import Canvas, Picture

Point = tuple[float, float]

_TIMES_AS_WIDE, _WINDOW_MM = 10.0, (4.0, 40.0)
_SIMPLIFY_MM = 0.03  # on paper
_OWN, _OTHERS, _EDGE = "#a6a6a6", "#e9e9e9", "#404040"
_RING_MM = 1.9  # on paper, of a place with no width to speak of
_LINE_MM: dict[Severity, float] = {"will fail": 0.7, "at risk": 0.45, "note": 0.25}
_BAR_SHARE, _LETTER_MM = 0.4, 2.3
_MM_PER_IN = 25.4
_POLYGON = 3  # shapely's number for it


def round_length(at_most: float) -> float:
    """Give the largest of 1, 2 or 5 times a power of ten that is not larger.

    >>> round_length(0.7), round_length(2.0), round_length(49.0)
    (0.5, 2.0, 20.0)
    """
    power = 10.0 ** np.floor(np.log10(at_most))
    return float(max(step * power for step in (1, 2, 5) if step * power <= at_most * (1 + 1e-9)))


def bar_of(at_most_mm: float, units: Literal["metric", "inch"]) -> tuple[float, str]:
    """Give a scale bar of a round length in the shop's units: its mm, and what it says.

    >>> bar_of(7.0, "metric"), bar_of(6.0, "inch")
    ((5.0, '5 mm'), (5.08, '0.2 in'))
    """
    if units == "inch":
        length_in = round_length(at_most_mm / _MM_PER_IN)
        return round(length_in * _MM_PER_IN, 9), f"{length_in:g} in"
    length_mm = round_length(at_most_mm)
    return length_mm, f"{length_mm:g} mm"


def at_place(
    own: MultiPolygon | None,
    others: Sequence[MultiPolygon],
    at_mm: Point,
    *,
    size_mm: float | None,
    severity: Severity,
    side_mm: float,
    units: Literal["metric", "inch"],
    alt: str,
) -> tuple[Picture, float]:
    """Draw a square around a place: what one screen prints, the others paler, a ring, a scale bar.

    The square shows ten times ``size_mm``, but 4 mm at least and 40 mm at most. The ring's line says
    how bad it is: thick and full will fail, dashed is at risk, thin is a note.

    :param own: what the screen prints that it is about; ``None`` where it is about none alone
    :param others: what the other screens print
    :param side_mm: of the square as it will be shown, for lines and letters of the right size
    :return: the picture, and how many mm are shown for one mm of the artwork
    """
    wide = min(max(_TIMES_AS_WIDE * (size_mm or 0.0), _WINDOW_MM[0]), _WINDOW_MM[1])
    scale = side_mm / wide
    unit = 1.0 / scale
    x, y = at_mm
    bounds = (x - wide / 2, y - wide / 2, x + wide / 2, y + wide / 2)
    canvas = Canvas(bounds)
    for region in others:
        canvas.region(
            _seen(region, bounds, unit),
            fill=_OTHERS if own is not None else _OWN,
            stroke=_EDGE,
            stroke_mm=0.1 * unit,
        )
    if own is not None:
        canvas.region(_seen(own, bounds, unit), fill=_OWN, stroke=_EDGE, stroke_mm=0.2 * unit)
    ring = min(max(_RING_MM * unit, 0.75 * (size_mm or 0.0)), 0.45 * wide)
    line = _LINE_MM[severity] * unit
    dash = (1.2 * unit, 0.8 * unit) if severity == "at risk" else ()
    canvas.circle(at_mm, ring, stroke="#ffffff", stroke_mm=line + 0.6 * unit)
    canvas.circle(at_mm, ring, stroke="#000000", stroke_mm=line, dash_mm=dash)
    length, said = bar_of(_BAR_SHARE * wide, units)
    left, low = bounds[0] + 1.0 * unit, bounds[3] - 1.1 * unit
    for colour, thick in (("#ffffff", 1.3), ("#000000", 0.6)):
        canvas.line(((left, low), (left + length, low)), stroke=colour, stroke_mm=thick * unit)
    canvas.text(
        said, (left, low - 0.9 * unit), height_mm=_LETTER_MM * unit, halo="#ffffff", bold=True
    )
    canvas.rectangle(bounds, stroke="#808080", stroke_mm=0.3 * unit)  # half of it shows
    return canvas.picture(alt, background="#ffffff"), scale


def _seen(
    region: MultiPolygon, bounds: tuple[float, float, float, float], unit: float
) -> MultiPolygon:
    """Give what of a region lies in a window, lighter; of many pieces only those that reach it."""
    parts = np.asarray(shapely.get_parts(region))
    edge = 0.5 * unit  # beyond the frame, so that cut edges aren't drawn as outlines
    x0, y0, x1, y1 = bounds[0] - edge, bounds[1] - edge, bounds[2] + edge, bounds[3] + edge
    if len(parts):
        left, top, right, low = shapely.bounds(parts).T
        parts = parts[(left < x1) & (right > x0) & (top < y1) & (low > y0)]
    cut = shapely.get_parts(shapely.clip_by_rect(parts, x0, y0, x1, y1))
    light = shapely.simplify(cut, _SIMPLIFY_MM * unit, preserve_topology=True)
    whole = light[(shapely.get_type_id(light) == _POLYGON) & ~shapely.is_empty(light)]
    return MultiPolygon(whole.tolist())
