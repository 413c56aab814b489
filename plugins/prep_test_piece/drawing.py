"""The test piece as a drawing of one colour at true size."""

from __future__ import annotations

from collections.abc import Iterator

from shapely import Polygon

from prep_test_piece.geometry import Piece

COLOUR = "#1d2b4f"
"""Of an ink whose colour nobody says."""


def svg(piece: Piece, colour: str = COLOUR) -> str:
    """Write the drawing.

    :param colour: ``#rrggbb``, that of the ink
    """
    width, height = f"{piece.width_mm:g}", f"{piece.height_mm:g}"
    path = "".join(ring for part in piece.openings.geoms for ring in _rings(part))
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{width}mm" height="{height}mm"'
        f' viewBox="0 0 {width} {height}">\n'
        f'<path fill="{colour}" fill-rule="evenodd" d="{path}"/>\n</svg>\n'
    )


def _rings(part: Polygon) -> Iterator[str]:
    for ring in (part.exterior, *part.interiors):
        points = [f"{_figure(x)} {_figure(y)}" for x, y in list(ring.coords)[:-1]]
        yield f"M{'L'.join(points)}z\n"


def _figure(value: float) -> str:
    return f"{value:.4f}".rstrip("0").rstrip(".")
