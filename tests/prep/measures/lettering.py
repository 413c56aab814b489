"""Words as outlines of an open font, DejaVu Sans, as the font file has them."""

from __future__ import annotations

from pathlib import Path

import shapely
from fontTools.pens.recordingPen import DecomposingRecordingPen
from fontTools.ttLib import TTFont
from shapely import MultiPolygon, Polygon

_FONTS = Path(__file__).parents[3] / "prep/fonts"


def _flat(
    points: list[tuple[float, float]], start: tuple[float, float]
) -> list[tuple[float, float]]:
    """Give points of a run of quadratic curves, eight to each."""
    out, here = [], start
    controls, end = points[:-1], points[-1]
    for number, control in enumerate(controls):
        last = number == len(controls) - 1
        there = (
            end
            if last
            else tuple((a + b) / 2 for a, b in zip(control, controls[number + 1], strict=True))
        )
        for step in range(1, 9):
            t = step / 8
            out.append(
                tuple(
                    (1 - t) ** 2 * a + 2 * t * (1 - t) * b + t * t * c
                    for a, b, c in zip(here, control, there, strict=True)
                )
            )
        here = there
    return out


def letters(text: str, font_name: str = "DejaVuSans-Bold", high_mm: float = 8.0) -> MultiPolygon:
    """Give words in a font the sheet is printed in, so many mm to the em."""
    font = TTFont(_FONTS / f"{font_name}.ttf")
    glyphs, names = font.getGlyphSet(), font.getBestCmap()
    factor, x, rings = high_mm / font["head"].unitsPerEm, 0.0, []
    for letter in text:
        glyph = glyphs[names[ord(letter)]]
        pen = DecomposingRecordingPen(glyphs)
        glyph.draw(pen)
        for kind, points in pen.value:
            if kind == "moveTo":
                ring = [points[0]]
            elif kind == "lineTo":
                ring.append(points[0])
            elif kind == "qCurveTo":
                ring += _flat(list(points), ring[-1])
            elif kind == "closePath":
                rings.append(Polygon([((px + x) * factor, py * factor) for px, py in ring]))
        x += glyph.width
    region: shapely.Geometry = shapely.Polygon()
    for ring in sorted(rings, key=lambda r: -r.area):
        region = region.symmetric_difference(ring)
    return MultiPolygon([p for p in shapely.get_parts(region) if p.area > 0])
