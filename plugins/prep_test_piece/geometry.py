"""The test piece: what is cut open, in mm, y down, and where each step of its ladders lies.

Lines lie along the upright threads and along those across; what is read of both counts together. Sizes rise
by 1.25 to 1.7 times around the limits that details are usually judged by.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Literal

import shapely
from shapely import MultiPolygon, Polygon, box
from shapely.affinity import rotate, translate

from prep_test_piece.digits import HEIGHT_MM as DIGIT_MM
from prep_test_piece.digits import number

Kind = Literal["line", "strip", "island", "corner"]

SIZES_MM = (0.3, 0.5, 0.8, 1.0, 1.4, 2.0)
"""Of lines and of film strips."""
ISLANDS_MM = (0.8, 1.4, 2.0, 3.0, 4.0)
"""Sides of square islands of film."""
CORNERS_DEG = (15.0, 30.0, 45.0, 60.0, 90.0)
WAITS_MIN = (2, 4, 8, 16)
DOTS_MM = (0.7, 1.0, 1.0)
"""Sides of the square dots of one row."""
READ_DOT_MM = 1.0
"""The dots that are entered: open times are told of openings this wide."""
LONG_MM = 12.0
"""Length of lines and strips."""
ROW_APART_MM = 14.0
"""Between rows of dots: a card pulled over one leaves the others alone."""

_MARGIN_MM, _COLUMN_MM, _BRIDGE_MM = 6.0, 17.0, 2.0
_COLUMNS = tuple(dict.fromkeys((*SIZES_MM, *ISLANDS_MM)))
_CORNER_MM, _BASE_MM = 7.0, 3.0


@dataclass(frozen=True, slots=True)
class Step:
    """One step of a ladder.

    :param size: width in mm, or angle in degrees
    :param at_mm: its middle; of a corner the tip
    """

    size: float
    at_mm: tuple[float, float]


@dataclass(frozen=True, slots=True)
class Ladder:
    """Details of one kind, smallest first.

    :param way: along which threads they lie; islands lie along both
    """

    kind: Kind
    way: Literal["upright", "across", "both"]
    steps: tuple[Step, ...]


@dataclass(frozen=True, slots=True)
class Row:
    """A row of dots that is printed once, after its wait."""

    wait_min: int
    dots: tuple[Step, ...]


@dataclass(frozen=True, slots=True, eq=False)
class Piece:
    """The whole piece.

    :param openings: all that is cut out
    :param numbers: those of them that are numbers
    :param block: the solid one
    """

    width_mm: float
    height_mm: float
    openings: MultiPolygon
    numbers: MultiPolygon
    block: Polygon
    ladders: tuple[Ladder, ...]
    rows: tuple[Row, ...]

    def ladder(self, kind: Kind, way: str) -> Ladder:
        """Give a ladder.

        :raises KeyError: there is none of this kind and way
        """
        for ladder in self.ladders:
            if (ladder.kind, ladder.way) == (kind, way):
                return ladder
        raise KeyError((kind, way))


def piece() -> Piece:
    """Lay it out."""
    x = {size: _MARGIN_MM + 10.0 + _COLUMN_MM * i for i, size in enumerate(_COLUMNS)}
    left, right = x[SIZES_MM[0]] - _COLUMN_MM / 2, x[SIZES_MM[-1]] + _COLUMN_MM / 2
    far = x[_COLUMNS[-1]] + _COLUMN_MM / 2
    numbers = [number(label(size), (x[size], _MARGIN_MM)) for size in _COLUMNS]

    y = _MARGIN_MM + DIGIT_MM + 4.0
    upright = [Step(size, (x[size], y + LONG_MM / 2)) for size in SIZES_MM]
    block = box(right + 4.0, y, far, y + 34.0)
    y += LONG_MM + 5.0
    across = [Step(size, (x[size], y)) for size in SIZES_MM]
    cut = [
        *(_at(step, step.size, LONG_MM) for step in upright),
        *(_at(step, LONG_MM, step.size) for step in across),
        block,
    ]

    y += 5.0
    strips = [Step(size, (x[size], y + LONG_MM / 2)) for size in SIZES_MM]
    cut += _between(strips, left, right, y)

    y += LONG_MM + 5.0
    cut.append(box(left, y, right, y + _BASE_MM))
    y += _BASE_MM
    lying = [Step(size, (x[size], y + size / 2)) for size in SIZES_MM]
    cut += [
        box(step.at_mm[0] - LONG_MM / 2, y + step.size, step.at_mm[0] + LONG_MM / 2, y + 7.0)
        for step in lying
    ]

    y += 7.0 + 5.0
    field = box(x[ISLANDS_MM[0]] - _COLUMN_MM / 2, y, far, y + 22.0)
    islands = [Step(size, (x[size], y + down)) for down in (6.0, 16.0) for size in ISLANDS_MM]
    around = field.difference(shapely.union_all([_at(s, s.size, s.size) for s in islands]))
    assert isinstance(around, Polygon)
    cut.append(around)

    y += 22.0 + 5.0
    saw, tips = _saw()
    at = left + 78.0, y + DIGIT_MM + 3.0
    cut.append(translate(saw, *at))
    standing = [
        Step(a, (t[0] + at[0], t[1] + at[1])) for a, t in zip(CORNERS_DEG, tips, strict=True)
    ]
    numbers += [
        number(f"{step.size:g}", (step.at_mm[0], y)) for step in (standing[0], standing[-1])
    ]
    turned, turned_tips = _turned(saw, tips)
    cut.append(translate(turned, left, y))
    sideways = [
        Step(a, (t[0] + left, t[1] + y)) for a, t in zip(CORNERS_DEG, turned_tips, strict=True)
    ]
    rows = []
    for i, wait in enumerate(WAITS_MIN):
        middle = y + DIGIT_MM / 2 + ROW_APART_MM * i
        numbers.append(number(str(wait), (left + 26.0, middle - DIGIT_MM / 2)))
        dots = tuple(Step(size, (left + 42.0 + 10.0 * n, middle)) for n, size in enumerate(DOTS_MM))
        cut += [_at(dot, dot.size, dot.size) for dot in dots]
        rows.append(Row(wait, dots))
    bottom = y + max(turned.bounds[3], ROW_APART_MM * (len(WAITS_MIN) - 1) + DIGIT_MM)
    signs = _flat(numbers)
    return Piece(
        width_mm=far + _MARGIN_MM,
        height_mm=math.ceil(bottom + _MARGIN_MM),
        openings=_flat([*cut, signs]),
        numbers=signs,
        block=block,
        ladders=(
            Ladder("line", "upright", tuple(upright)),
            Ladder("line", "across", tuple(across)),
            Ladder("strip", "upright", tuple(strips)),
            Ladder("strip", "across", tuple(lying)),
            Ladder("island", "both", tuple(sorted(islands, key=lambda step: step.size))),
            Ladder("corner", "upright", tuple(standing)),
            Ladder("corner", "across", tuple(sideways)),
        ),
        rows=tuple(rows),
    )


def label(size_mm: float) -> str:
    """Give the number that stands at a size: ``.3``, ``1``, ``1.4``.

    >>> label(0.3), label(1.0), label(1.4)
    ('.3', '1', '1.4')
    """
    return f"{size_mm:g}".removeprefix("0")


def _at(step: Step, width: float, height: float) -> Polygon:
    x, y = step.at_mm
    return box(x - width / 2, y - height / 2, x + width / 2, y + height / 2)


def _between(strips: Sequence[Step], left: float, right: float, top: float) -> list[Polygon]:
    """Give the openings that upright strips of film lie between."""
    edges = [left]
    for strip in strips:
        edges += [strip.at_mm[0] - strip.size / 2, strip.at_mm[0] + strip.size / 2]
    edges.append(right)
    return [box(a, top, b, top + LONG_MM) for a, b in zip(edges[::2], edges[1::2], strict=True)]


def _saw() -> tuple[Polygon, tuple[tuple[float, float], ...]]:
    """Give teeth of each angle on one bar, tips up, with their tips; its top left at the origin."""
    teeth, tips, x = [], [], _BRIDGE_MM
    for angle in CORNERS_DEG:
        half = _CORNER_MM * math.tan(math.radians(angle / 2))
        teeth.append(Polygon([(x, _CORNER_MM), (x + half, 0.0), (x + 2 * half, _CORNER_MM)]))
        tips.append((x + half, 0.0))
        x += 2 * half + _BRIDGE_MM
    bar = box(0.0, _CORNER_MM, x, _CORNER_MM + _BASE_MM)
    joined = shapely.union_all([*teeth, bar])
    assert isinstance(joined, Polygon)
    return joined, tuple(tips)


def _turned(
    saw: Polygon, tips: Iterable[tuple[float, float]]
) -> tuple[Polygon, list[tuple[float, float]]]:
    """Give the saw a quarter turn, tips to the right, the sharpest on top; its top left at the origin."""
    turned = rotate(saw, 90.0, origin=(0.0, 0.0))
    left, top, _, _ = turned.bounds
    return translate(turned, -left, -top), [(-y - left, x - top) for x, y in tips]


def _flat(shapes: Iterable[Polygon | MultiPolygon]) -> MultiPolygon:
    return MultiPolygon([part for shape in shapes for part in shapely.get_parts(shape)])
