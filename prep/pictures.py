"""Pictures as SVG text, built through one helper that escapes text and rounds numbers.

The same picture goes into the sheet, the page and any renderer. Coordinates are millimetres of the
artwork; the viewBox shows the part asked for.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass, field
from html import escape

import numpy as np
import shapely
from shapely import MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry

from prep.remembered import remembered

Bounds = tuple[float, float, float, float]

# everything but the characters allowed by XML 1.0, section 2.2
_NOT_XML = re.compile("[^\t\n\r\x20-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")


_NOUGHTS = re.compile(r"0+(?=[, Z])")  # at the end of a decimal number in path data
_NEGATIVE_NOUGHT = re.compile(r"-0(?=[, Z])")


@dataclass(frozen=True, slots=True)
class Picture:
    """An SVG picture.

    :param svg: the whole document
    :param width_mm: width of what it shows, at true size
    :param alt: what is to be seen, for those who can't see it
    """

    svg: str
    width_mm: float
    height_mm: float
    alt: str


def path_data(region: BaseGeometry, *, decimals: int = 3) -> str:
    """Give the outlines of polygons as SVG path data, closed, for fill rule evenodd.

    :raises ValueError: a coordinate that is no finite number
    """
    rings = shapely.get_rings(_polygons(region))
    points, ring = shapely.get_coordinates(rings, return_index=True)
    if not np.isfinite(points).all():
        wrong = points[~np.isfinite(points)][0]
        raise ValueError(f"{wrong} has no place in a picture")
    kept = ring[:-1] == ring[1:]  # the last point of a ring is its first
    point = f"%.{decimals}f,%.{decimals}f"
    # all numbers at once: pictures hold tens of thousands
    pattern = "".join(
        "M" + " ".join([point] * count) + "Z" for count in np.bincount(ring[:-1][kept]).tolist()
    )
    text = pattern % tuple(points[:-1][kept].ravel().tolist())
    if decimals:
        text = _NOUGHTS.sub("", text)
        text = text.replace(".,", ",").replace(". ", " ").replace(".Z", "Z")
    return _NEGATIVE_NOUGHT.sub("0", text)


def _polygons(region: BaseGeometry) -> list[Polygon]:
    parts = shapely.get_parts(region)
    return [part for part in parts if isinstance(part, Polygon) and not part.is_empty]


def _short(value: float, decimals: int = 3) -> str:
    if not math.isfinite(value):
        raise ValueError(f"{value} has no place in a picture")
    text = f"{value:.{decimals}f}"
    if "." in text:
        text = text.rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def _text(text: str) -> str:
    """Escape text; characters that XML has no place for become the replacement character."""
    return escape(_NOT_XML.sub("\ufffd", text))


@dataclass
class Canvas:
    """Draws into a rectangle of the artwork's plane.

    :param bounds: (min x, min y, max x, max y) shown, in mm
    """

    bounds: Bounds
    _marks: list[str] = field(default_factory=list)

    def region(
        self,
        region: BaseGeometry,
        *,
        fill: str = "none",
        stroke: str = "none",
        stroke_mm: float = 0.0,
        dash_mm: tuple[float, ...] = (),
        opacity: float = 1.0,
    ) -> Canvas:
        """Draw polygons, filled by evenodd."""
        data = path_data(region)
        if data:
            self._marks.append(
                f'<path d="{data}" fill-rule="evenodd"'
                f"{_paint(fill, stroke, stroke_mm, dash_mm, opacity)}/>"
            )
        return self

    def rectangle(
        self,
        bounds: Bounds,
        *,
        fill: str = "none",
        stroke: str = "none",
        stroke_mm: float = 0.0,
        dash_mm: tuple[float, ...] = (),
    ) -> Canvas:
        """Draw a rectangle given by its bounds."""
        x0, y0, x1, y1 = bounds
        self._marks.append(
            f'<rect x="{_short(x0)}" y="{_short(y0)}" width="{_short(x1 - x0)}"'
            f' height="{_short(y1 - y0)}"{_paint(fill, stroke, stroke_mm, dash_mm, 1.0)}/>'
        )
        return self

    def circle(
        self,
        at_mm: tuple[float, float],
        radius_mm: float,
        *,
        fill: str = "none",
        stroke: str = "none",
        stroke_mm: float = 0.0,
        dash_mm: tuple[float, ...] = (),
    ) -> Canvas:
        """Draw a circle."""
        self._marks.append(
            f'<circle cx="{_short(at_mm[0])}" cy="{_short(at_mm[1])}" r="{_short(radius_mm)}"'
            f"{_paint(fill, stroke, stroke_mm, dash_mm, 1.0)}/>"
        )
        return self

    def line(
        self,
        points: tuple[tuple[float, float], ...],
        *,
        stroke: str = "#000000",
        stroke_mm: float = 0.3,
        dash_mm: tuple[float, ...] = (),
    ) -> Canvas:
        """Draw an open line through points."""
        steps = " ".join(f"{_short(x)},{_short(y)}" for x, y in points)
        self._marks.append(
            f'<polyline points="{steps}"{_paint("none", stroke, stroke_mm, dash_mm, 1.0)}/>'
        )
        return self

    def text(
        self,
        text: str,
        at_mm: tuple[float, float],
        *,
        height_mm: float,
        fill: str = "#000000",
        halo: str = "",
        anchor: str = "start",
        bold: bool = False,
    ) -> Canvas:
        """Write text with its baseline at a place; ``halo`` is a colour laid around the letters."""
        look = ' font-weight="bold"' if bold else ""
        look += (
            f' stroke="{_text(halo)}" stroke-width="{_short(height_mm * 0.25)}"'
            ' stroke-linejoin="round" paint-order="stroke"'
            if halo
            else ""
        )
        self._marks.append(
            f'<text x="{_short(at_mm[0])}" y="{_short(at_mm[1])}" text-anchor="{anchor}"'
            f' font-family="DejaVu Sans" font-size="{_short(height_mm)}" fill="{_text(fill)}"'
            f"{look}>{_text(text)}</text>"
        )
        return self

    def picture(self, alt: str, *, background: str = "") -> Picture:
        """Close the drawing."""
        x0, y0, x1, y1 = self.bounds
        width, height = x1 - x0, y1 - y0
        ground = (
            f'<rect x="{_short(x0)}" y="{_short(y0)}" width="{_short(width)}"'
            f' height="{_short(height)}" fill="{_text(background)}"/>'
            if background
            else ""
        )
        svg = (
            f'<svg xmlns="http://www.w3.org/2000/svg" width="{_short(width)}mm"'
            f' height="{_short(height)}mm" viewBox="{_short(x0)} {_short(y0)} {_short(width)}'
            f' {_short(height)}"><title>{_text(alt)}</title>{ground}{"".join(self._marks)}</svg>'
        )
        return Picture(svg, width, height, alt)


def _paint(
    fill: str, stroke: str, stroke_mm: float, dash_mm: tuple[float, ...], opacity: float
) -> str:
    text = f' fill="{_text(fill)}"'
    if stroke != "none":
        text += (
            f' stroke="{_text(stroke)}" stroke-width="{_short(stroke_mm)}" stroke-linejoin="round"'
        )
        if dash_mm:
            text += f' stroke-dasharray="{" ".join(_short(d) for d in dash_mm)}"'
    if opacity != 1.0:
        text += f' opacity="{_short(opacity)}"'
    return text


@remembered(kept=64)
def simplified(region: MultiPolygon, tolerance_mm: float = 0.05) -> MultiPolygon:
    """Give a lighter copy for pictures; never for cutting."""
    return MultiPolygon(_polygons(shapely.simplify(region, tolerance_mm, preserve_topology=True)))
