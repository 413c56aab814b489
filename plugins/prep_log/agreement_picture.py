"""Predicted against measured as a picture, made to be read in grey print."""

from __future__ import annotations

import math
from collections.abc import Sequence

import shapely

from prep.pictures import Canvas, Picture
from prep_log.agreement import Pair

WIDE_MM, HIGH_MM = 160.0, 60.0
MOST = 60
"""Pairs shown, the latest."""
_LEFT_MM, _TOP_MM, _BELOW_MM = 14.0, 6.0, 6.0
_TEXT_MM = 2.4
_BAND, _INK = "#c8c8c8", "#000000"
_LINES = (0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0)


def drawn(pairs: Sequence[Pair]) -> Picture:
    """Draw each pair: its band grey, what was measured a dot, filled where it lies inside, else a cross.

    All are shown as shares of what was predicted, so that 1 is the prediction; oldest at the left.
    """
    shown = list(pairs[-MOST:])
    ratios = [1.0]
    for pair in shown:
        of = pair.predicted
        ratios += [of.low / of.value, of.high / of.value, pair.ratio]
    reach = max(max(ratios), 1.0 / min(ratios), 1.3)
    canvas = Canvas((0.0, 0.0, WIDE_MM, HIGH_MM))

    def height(ratio: float) -> float:
        inner = HIGH_MM - _TOP_MM - _BELOW_MM
        return _TOP_MM + inner * (0.5 - 0.5 * math.log(ratio) / math.log(reach))

    for line in _LINES:
        if 1.0 / reach <= line <= reach:
            y = height(line)
            canvas.line(
                ((_LEFT_MM, y), (WIDE_MM, y)),
                stroke="#999999",
                stroke_mm=0.3 if line == 1.0 else 0.1,
            )
            canvas.text(
                f"{line:g}×", (_LEFT_MM - 1.5, y + _TEXT_MM / 3), height_mm=_TEXT_MM, anchor="end"
            )
    step = (WIDE_MM - _LEFT_MM) / max(len(shown), 1)
    for number, pair in enumerate(shown):
        x = _LEFT_MM + (number + 0.5) * step
        half = min(1.4, 0.3 * step)
        of = pair.predicted
        top, bottom = height(of.high / of.value), height(of.low / of.value)
        canvas.region(shapely.box(x - half, top, x + half, max(bottom, top + 0.05)), fill=_BAND)
        y = height(pair.ratio)
        if pair.inside:
            canvas.region(shapely.Point(x, y).buffer(0.7), fill=_INK)
        else:
            for way in (-1.0, 1.0):
                canvas.line(
                    ((x - 0.9, y - 0.9 * way), (x + 0.9, y + 0.9 * way)), stroke=_INK, stroke_mm=0.4
                )
    canvas.text(
        "measured over predicted; grey: predicted 8 times in 10; dot: inside, cross: outside",
        (_LEFT_MM, HIGH_MM - 1.5), height_mm=_TEXT_MM,
    )  # fmt: skip
    inside = sum(pair.inside for pair in shown)
    return canvas.picture(
        f"Measured over predicted for {len(shown)} figures, oldest first: {inside} lie in their band."
    )
