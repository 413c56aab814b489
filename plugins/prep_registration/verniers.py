"""A print that shows how far screens miss each other: verniers as a drawing. Plain Python and text."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

LINE_MM = 1.0
"""Lines this wide weed and print on a tee (common practice, no source)."""
PITCH_MM = 2.2
"""Line to line of the first screen's scales, so that the film between is wider than the lines."""
LINES = 10
"""To each side of the middle."""
STEP_MM = 0.2
"""What one line tells, unless another is asked for."""
_SHORT_MM, _LONG_MM = 4.0, 6.0
_APART_MM = 1.0  # between the two scales of a vernier: near enough to read, too far to touch
_SPAN_MM = 2 * LINES * PITCH_MM + LINE_MM
_ROW_MM = _SPAN_MM + 8.0
_DOT_MM = 3.0
_MARGIN_MM = 5.0
_ACROSS_MM = 2 * _LONG_MM + _APART_MM
_GROUP_MM = _SPAN_MM + 4.0 + _ACROSS_MM
LEAST_WIDTH_MM = 2 * (_MARGIN_MM + _GROUP_MM) + 10.0

COLOURS = ("#d9a400", "#2f9fb0", "#2e8b57", "#c0392b", "#1f5796", "#6b3a12", "#3d2b60", "#1a1a1a")
"""One for each screen, the first one's first: from light to dark, as colours are usually printed."""


@dataclass(frozen=True, slots=True)
class Scale:
    """One bar of a scale: left, top, width, height in mm."""

    x: float
    y: float
    width: float
    height: float


@dataclass(frozen=True, slots=True)
class Drawing:
    """The register test.

    :param svg: one colour for each screen
    :param apart_mm: between the left and the right scales that tell the turn
    """

    svg: str
    width_mm: float
    height_mm: float
    apart_mm: float


def draw(screens: int, width_mm: float, step_mm: float) -> Drawing:
    """Draw a row of verniers for each screen after the first, left and right.

    The first screen's scale has lines every ``PITCH_MM``; the later screen's has them nearer by
    ``step_mm``. Where a later screen lies off by ``k`` steps, its line ``k`` from the middle stands on
    the first screen's line ``k`` (the principle of the vernier). Beside each scale across stands one
    up and down; each row has as many dots as screens before it.

    :param screens: 2 to 8
    :param width_mm: at least ``LEAST_WIDTH_MM``
    :param step_mm: what one line tells; a scale tells up to ``LINES`` of them either way
    :raises ValueError: a figure out of its range
    """
    if not 2 <= screens <= len(COLOURS):
        raise ValueError(f"a register test has 2 to {len(COLOURS)} screens, not {screens}")
    if width_mm < LEAST_WIDTH_MM:
        raise ValueError(
            f"its scales need a width of {LEAST_WIDTH_MM:g} mm or more, not {width_mm:g} mm"
        )
    if not 0.05 <= step_mm <= 0.5:
        raise ValueError(f"a step of 0.05 to 0.5 mm can be read and cut, not {step_mm:g} mm")
    height_mm = 2 * _MARGIN_MM + (screens - 1) * _ROW_MM
    bars: dict[int, list[Scale]] = {number: [] for number in range(screens)}
    lefts = (_MARGIN_MM, width_mm - _MARGIN_MM - _GROUP_MM)
    for row in range(1, screens):
        top = _MARGIN_MM + (row - 1) * _ROW_MM
        for left in lefts:
            bars[0] += _scale(left, top + _LONG_MM, PITCH_MM, up=True)
            bars[row] += _scale(left, top + _LONG_MM + _APART_MM, PITCH_MM - step_mm, up=False)
            turned = left + _SPAN_MM + 4.0
            bars[0] += _turned(turned + _LONG_MM, top, PITCH_MM, up=True)
            bars[row] += _turned(turned + _LONG_MM + _APART_MM, top, PITCH_MM - step_mm, up=False)
            for dot in range(row):
                x = left + dot * 2 * _DOT_MM
                bars[row].append(Scale(x, top + _ACROSS_MM + 4.0, _DOT_MM, _DOT_MM))
    paths = "\n".join(
        f'  <path id="screen-{number + 1}" fill="{COLOURS[number]}" d="{_path(own)}"/>'
        for number, own in bars.items()
    )
    svg = (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{width_mm:g}mm" height="{height_mm:g}mm"'
        f' viewBox="0 0 {width_mm:g} {height_mm:g}">\n{paths}\n</svg>\n'
    )
    return Drawing(svg, width_mm, height_mm, lefts[1] - lefts[0])


def _scale(left: float, at: float, pitch: float, *, up: bool) -> Iterator[Scale]:
    """Give lines across, standing on ``at`` or hanging from it; every fifth is longer."""
    middle = left + _SPAN_MM / 2.0
    for line in range(-LINES, LINES + 1):
        length = _SHORT_MM if line % 5 else _LONG_MM
        x = middle + line * pitch - LINE_MM / 2.0
        yield Scale(x, at - length if up else at, LINE_MM, length)


def _turned(at: float, top: float, pitch: float, *, up: bool) -> Iterator[Scale]:
    for bar in _scale(top, at, pitch, up=up):
        yield Scale(bar.y, bar.x, bar.height, bar.width)


def _path(bars: list[Scale]) -> str:
    return " ".join(
        f"M{bar.x:.4f} {bar.y:.4f}h{bar.width:.4f}v{bar.height:.4f}h{-bar.width:.4f}z"
        for bar in bars
    )
