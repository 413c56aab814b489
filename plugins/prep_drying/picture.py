"""Water in the ink, print by print: a small graph for each screen, made to be read in grey print."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import shapely

from prep.pictures import Canvas, Picture

if TYPE_CHECKING:
    from prep_drying.answers import Curve, ScreenRun

WIDE_MM, HIGH_MM = 82.0, 30.0
MOST_POINTS = 300
"""Of a curve, some four to a millimetre."""
_ACROSS = 2
_LEFT_MM, _TOP_MM, _RIGHT_MM, _BELOW_MM = 9.0, 5.0, 2.0, 6.0
_TEXT_MM = 2.2
_WELL, _BEAD, _CLOGS = "#c8c8c8", "#000000", "#000000"


@dataclass(frozen=True, slots=True)
class _Axes:
    """Where a graph lies and how prints and shares are placed on it."""

    left_mm: float
    top_mm: float
    prints: int

    def at(self, number: float, share: float) -> tuple[float, float]:
        """Give the place of a print and a water share."""
        wide, high = WIDE_MM - _LEFT_MM - _RIGHT_MM, HIGH_MM - _TOP_MM - _BELOW_MM
        x = (number - 1) / max(self.prints - 1, 1)
        return (
            self.left_mm + _LEFT_MM + wide * x,
            self.top_mm + _TOP_MM + high * (1.0 - min(max(share, 0.0), 1.0)),
        )


def water_by_print(screens: Sequence[tuple[str, ScreenRun]]) -> Picture:
    """Draw the water share of the finest openings and of the ink before the blade, with their bands.

    :param screens: title and run of each
    """
    rows = math.ceil(len(screens) / _ACROSS)
    wide = WIDE_MM * min(len(screens), _ACROSS)
    canvas = Canvas((0.0, 0.0, wide, HIGH_MM * rows + (4.0 if wide > WIDE_MM else 7.5)))
    for number, (title, run) in enumerate(screens):
        row, column = divmod(number, _ACROSS)
        _graph(canvas, _Axes(WIDE_MM * column, HIGH_MM * row, len(run.prints)), title, run)
    _legend(canvas, HIGH_MM * rows + 2.5)
    told = "; ".join(
        f"{title}: openings {run.well.middle[0]:.0%} to {run.well.middle[-1]:.0%}"
        for title, run in screens
    )
    return canvas.picture(f"Water share of the ink over the run. {told}")


def _graph(canvas: Canvas, axes: _Axes, title: str, run: ScreenRun) -> None:
    canvas.region(_band(axes, run.well), fill=_WELL)
    for share in (0.0, 0.5, 1.0):
        ends = axes.at(1, share), axes.at(axes.prints, share)
        canvas.line(ends, stroke="#999999", stroke_mm=0.1)
        at = ends[0][0] - 1.0, ends[0][1] + _TEXT_MM / 3
        canvas.text(f"{100 * share:.0f} %", at, height_mm=_TEXT_MM, anchor="end")
    clogs = run.clogs_below.value
    canvas.line(
        (axes.at(1, clogs), axes.at(axes.prints, clogs)), stroke=_CLOGS, stroke_mm=0.25,
        dash_mm=(1.2, 0.8),
    )  # fmt: skip
    _curve(canvas, axes, run.well.middle, 0.6)
    _curve(canvas, axes, run.bead.middle, 0.3)
    for end in (run.bead.low, run.bead.high):
        _curve(canvas, axes, end, 0.1)
    x, y = axes.at(1, 1.0)
    canvas.text(title, (x, y - 1.5), height_mm=2.5, bold=True)
    low = axes.at(1, 0.0)[1] + 3.2
    canvas.text("print 1", (x, low), height_mm=_TEXT_MM)
    last = axes.at(axes.prints, 0.0)[0]
    canvas.text(f"{axes.prints}", (last, low), height_mm=_TEXT_MM, anchor="end")


def _band(axes: _Axes, curve: Curve) -> shapely.Polygon:
    top, bottom = _points(axes, curve.high), _points(axes, curve.low)
    return shapely.Polygon([*top, *reversed(bottom)]) if len(top) > 1 else shapely.Polygon()


def _curve(canvas: Canvas, axes: _Axes, shares: Sequence[float], thick_mm: float) -> None:
    canvas.line(tuple(_points(axes, shares)), stroke=_BEAD, stroke_mm=thick_mm)


def _points(axes: _Axes, shares: Sequence[float]) -> list[tuple[float, float]]:
    """Place a curve, no finer than can be seen, from its first to its last print."""
    step = math.ceil(len(shares) / MOST_POINTS)
    shown = [*range(0, len(shares) - 1, step), len(shares) - 1]
    return [axes.at(k + 1, shares[k]) for k in shown]


def _legend(canvas: Canvas, y: float) -> None:
    canvas.rectangle((2.0, y - 1.8, 8.0, y + 0.4), fill=_WELL)
    canvas.line(((2.0, y - 0.7), (8.0, y - 0.7)), stroke=_BEAD, stroke_mm=0.6)
    canvas.text("finest openings, driest", (9.0, y), height_mm=_TEXT_MM)
    canvas.line(((40.0, y - 0.7), (46.0, y - 0.7)), stroke=_BEAD, stroke_mm=0.3)
    canvas.text("ink before the blade", (47.0, y), height_mm=_TEXT_MM)
    # beside the others where there is room, else below them
    x, below = (78.0, y) if canvas.bounds[2] > WIDE_MM else (2.0, y + 3.5)
    ends = (x, below - 0.7), (x + 6.0, below - 0.7)
    canvas.line(ends, stroke=_CLOGS, stroke_mm=0.25, dash_mm=(1.2, 0.8))
    canvas.text(
        "clogs below, likeliest; bands hold 8 times in 10", (x + 7.0, below), height_mm=_TEXT_MM
    )
