"""Drawings to measure reading and separating on: made here, the same every time."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
from shapely import MultiPolygon, Polygon

from prep.artwork import Artwork, Shape

BOARD_MM = 300.0
_CORNERS = 60
_COLOURS = ("#1d3557", "#e63946", "#f1c453", "#2a9d8f", "#ffffff", "#6d597a")
_HEAD = (
    '<svg xmlns="http://www.w3.org/2000/svg" width="300mm" height="300mm" viewBox="0 0 300 300">\n'
)


def overlapping(shapes: int) -> Artwork:
    """Give wavy blobs of 60 corners and six colours thrown over each other, ten deep, as read."""
    random = np.random.default_rng(3)
    turn = np.linspace(0, 2 * math.pi, _CORNERS, endpoint=False)
    way = np.stack([np.cos(turn), np.sin(turn)], axis=1)
    radius = _radius(shapes, 10.0)
    painted = []
    for number in range(shapes):
        waves, phase = random.integers(2, 6), random.uniform(0, 2 * math.pi)
        reach = radius * (1 + 0.25 * np.sin(waves * turn + phase))
        ring = random.uniform(0, BOARD_MM, 2) + reach[:, None] * way
        colour = _COLOURS[random.integers(len(_COLOURS))]
        painted.append(Shape(MultiPolygon([Polygon(ring)]), colour, f"path {number}"))
    return Artwork("overlapping", BOARD_MM, BOARD_MM, tuple(painted), 0.01)


def heaped(shapes: int) -> bytes:
    """Give a drawing of closed curves in six colours, six deep, as attributes say it."""
    random = np.random.default_rng(7)
    lines = []
    for _ in range(shapes):
        points = _round(random, _radius(shapes, 6.0), int(random.integers(4, 8)))
        colour = _COLOURS[random.integers(len(_COLOURS))]
        lines.append(f'<path fill="{colour}" d="{_closed_curve(points)}"/>')
    return _drawing(lines)


def scattered(shapes: int) -> bytes:
    """Give a drawing of small circles, rectangles and polygons that seldom meet, in a style sheet."""
    random = np.random.default_rng(8)
    radius = _radius(shapes, 0.5)
    rules = " ".join(f".c{k} {{ fill: {colour} }}" for k, colour in enumerate(_COLOURS))
    lines = [f"<style>{rules}</style>"]
    for number in range(shapes):
        x, y = random.uniform(0, BOARD_MM, 2)
        colour = f'class="c{random.integers(len(_COLOURS))}"'
        if number % 3 == 0:
            lines.append(f'<circle {colour} cx="{x:.3f}" cy="{y:.3f}" r="{radius:.3f}"/>')
        elif number % 3 == 1:
            lines.append(
                f'<rect {colour} width="{2 * radius:.3f}" height="{radius:.3f}"'
                f' transform="translate({x:.3f} {y:.3f}) rotate({random.uniform(0, 90):.1f})"/>'
            )
        else:
            corners = _round(random, radius, 7, at=False) + np.array([x, y])
            points = " ".join(f"{a:.3f},{b:.3f}" for a, b in corners)
            lines.append(f'<polygon {colour} points="{points}"/>')
    return _drawing(lines)


def drawn(shapes: int) -> bytes:
    """Give a drawing of curved strokes and of outlined curves in groups, with style attributes."""
    random = np.random.default_rng(9)
    radius = _radius(shapes, 1.5)
    lines = []
    for number in range(shapes):
        one, other = random.choice(_COLOURS, 2, replace=False)
        width = radius * random.uniform(0.05, 0.2)
        style = f"stroke:{one};stroke-width:{width:.3f};stroke-linejoin:round"
        points = _round(random, radius, 5)
        if number % 2:
            d = _closed_curve(points)
            style += f";fill:{other}"
        else:
            (x0, y0), (x1, y1), (x2, y2), (x3, y3), (x4, y4) = points
            d = (
                f"M{x0:.3f} {y0:.3f}C{x1:.3f} {y1:.3f} {x2:.3f} {y2:.3f} {x3:.3f} {y3:.3f}"
                f"S{x4:.3f} {y4:.3f} {x0:.3f} {y1:.3f}"
            )
            style += ";fill:none;stroke-linecap:round"
        if number % 50 == 0:
            lines.append("</g><g>" if number else "<g>")
        lines.append(f'<path style="{style}" d="{d}"/>')
    lines.append("</g>")
    return _drawing(lines)


KINDS: dict[str, Callable[[int], bytes]] = {
    "heaped": heaped,
    "scattered": scattered,
    "drawn": drawn,
}


def _radius(shapes: int, deep: float) -> float:
    """Give the radius of discs that lie so many deep over the board."""
    return math.sqrt(deep * BOARD_MM**2 / shapes / math.pi)


def _round(
    random: np.random.Generator, radius: float, corners: int, *, at: bool = True
) -> np.ndarray:
    """Give corners round a place at random, or round (0, 0)."""
    turn = np.linspace(0, 2 * math.pi, corners, endpoint=False) + random.uniform(0, 1)
    reach = radius * random.uniform(0.6, 1.4, corners)
    ring = reach[:, None] * np.stack([np.cos(turn), np.sin(turn)], axis=1)
    return ring + random.uniform(0, BOARD_MM, 2) if at else ring


def _closed_curve(points: np.ndarray) -> str:
    """Give path data of a smooth closed curve through points."""
    ahead, behind = np.roll(points, -1, axis=0), np.roll(points, 1, axis=0)
    handle = (ahead - behind) / 6
    parts = [f"M{points[0, 0]:.3f} {points[0, 1]:.3f}"]
    for (ax, ay), (bx, by), (x, y) in zip(
        points + handle, ahead - np.roll(handle, -1, axis=0), ahead, strict=True
    ):
        parts.append(f"C{ax:.3f} {ay:.3f} {bx:.3f} {by:.3f} {x:.3f} {y:.3f}")
    return "".join(parts) + "Z"


def _drawing(lines: list[str]) -> bytes:
    return (_HEAD + "\n".join(lines) + "\n</svg>\n").encode()
