"""Numbers as openings: seven bars a digit, each digit in one piece, and no film cut free in any.

Where bars close around film, one of them is parted, so that the film inside hangs on a bridge.
"""

from __future__ import annotations

import shapely
from shapely import MultiPolygon, Polygon, box
from shapely.affinity import translate

BAR_MM = 1.0
WIDTH_MM, HEIGHT_MM = 6.0, 9.0
BRIDGE_MM = 1.6
"""Film between digits, and where a bar is parted. Coarser than what long runs ask of a strip."""
DOT_MM = 1.6
_MIDDLE_MM = (HEIGHT_MM - BAR_MM) / 2.0
_HALF_MM = _MIDDLE_MM + BAR_MM
_BARS = {
    "top": box(0.0, 0.0, WIDTH_MM, BAR_MM),
    "middle": box(0.0, _MIDDLE_MM, WIDTH_MM, _HALF_MM),
    "bottom": box(0.0, HEIGHT_MM - BAR_MM, WIDTH_MM, HEIGHT_MM),
    "upper left": box(0.0, 0.0, BAR_MM, _HALF_MM),
    "lower left": box(0.0, _MIDDLE_MM, BAR_MM, HEIGHT_MM),
    "upper right": box(WIDTH_MM - BAR_MM, 0.0, WIDTH_MM, _HALF_MM),
    "lower right": box(WIDTH_MM - BAR_MM, _MIDDLE_MM, WIDTH_MM, HEIGHT_MM),
}
_LACKS: dict[str, tuple[str, ...]] = {
    "0": ("middle",),
    "1": ("top", "middle", "bottom", "upper left", "lower left"),
    "2": ("upper left", "lower right"),
    "3": ("upper left", "lower left"),
    "4": ("top", "bottom", "lower left"),
    "5": ("upper right", "lower left"),
    "6": ("upper right",),
    "7": ("middle", "bottom", "upper left", "lower left"),
    "8": (),
    "9": ("lower left",),
}
_PARTED = {"0": ("top",), "6": ("bottom",), "8": ("top", "bottom"), "9": ("top",)}


def digit(sign: str) -> Polygon:
    """Give a digit, or ``.``, with its top left at the origin, y down.

    :raises ValueError: another sign
    """
    if sign == ".":
        return box(0.0, HEIGHT_MM - DOT_MM, DOT_MM, HEIGHT_MM)
    if sign not in _LACKS:
        raise ValueError(f"there are digits and a dot, no {sign!r}")
    shape = shapely.union_all([bar for name, bar in _BARS.items() if name not in _LACKS[sign]])
    middle = WIDTH_MM / 2.0
    for name in _PARTED.get(sign, ()):
        _, top, _, bottom = _BARS[name].bounds
        bridge = box(middle - BRIDGE_MM / 2.0, top, middle + BRIDGE_MM / 2.0, bottom)
        shape = shape.difference(bridge)
    left = shape.bounds[0]
    found = translate(shape, xoff=-left)
    assert isinstance(found, Polygon)
    return found


def number(text: str, at_mm: tuple[float, float]) -> MultiPolygon:
    """Set a number with the middle of its top edge at a place.

    :raises ValueError: something that is neither digit nor dot, or nothing
    """
    signs = [digit(sign) for sign in text]
    if not signs:
        raise ValueError("there is nothing to set")
    widths = [sign.bounds[2] for sign in signs]
    x = at_mm[0] - (sum(widths) + BRIDGE_MM * (len(signs) - 1)) / 2.0
    placed = []
    for sign, width in zip(signs, widths, strict=True):
        placed.append(translate(sign, x, at_mm[1]))
        x += width + BRIDGE_MM
    return MultiPolygon(placed)
