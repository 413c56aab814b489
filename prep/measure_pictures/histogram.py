"""How much of the openings is how wide, as bars."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np

from prep.at_place import round_length
from prep.measure_pictures.paper import (
    GREY,
    INK,
    SMALL_MM,
    TEXT_MM,
    Paper,
    fitted,
    legend,
    short,
)
from prep.measure_pictures.styles import Style, styles_for
from prep.measures import Distribution
from prep.measures.classes import LIMITS_MM, check_classes, class_names, coarser, in_classes
from prep.pictures import Picture

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

_EDGE_MM = 4.0
_LEFT_MM = 17.0  # room for the figures beside the bars
_PANEL_MM = 34.0


def histogram(
    by_width: Distribution,
    *,
    title: str,
    limits_mm: Sequence[float] = LIMITS_MM,
    width_mm: float = 180.0,
) -> Picture:
    """Draw area and length of the middle line by local width, from 0 to twice the last limit.

    Bars are the distribution's own; their height is what lies between their bounds, so that bars of
    equal width compare. What is wider, and what lies in corners, is said in words. A bar has the
    tone and hatch of the class its middle lies in.

    :param by_width: of the openings, as measured
    :param limits_mm: limits between the classes, rising
    :param width_mm: of the picture on paper
    :raises ValueError: limits that don't rise, or more classes than can be told apart
    """
    limits = check_classes(limits_mm)
    styles = styles_for(len(limits) + 1)
    drawn = coarser(by_width)
    edges = drawn.widths_mm
    shown = max(int(np.searchsorted(edges, 2 * limits[-1] - 1e-9)), 1)
    shown = min(shown, len(edges) - 1)
    top = float(edges[shown])
    paper = Paper(width_mm, 0.0)
    title = fitted(title, width_mm - 2 * _EDGE_MM)
    paper.text(title, (_EDGE_MM, _EDGE_MM + TEXT_MM * 0.6), bold=True)
    y = _EDGE_MM + 4.0 * TEXT_MM
    told = []
    large = by_width.area_mm2.sum() >= 1000.0
    panels = (
        (
            "printed area",
            drawn.area_mm2,
            by_width.area_mm2,
            *((0.01, "cm²") if large else (1.0, "mm²")),
        ),
        ("length along the middle", drawn.axis_mm, by_width.axis_mm, 0.1, "cm"),
    )
    for what, values, exact, factor, unit in panels:
        y = _panel(paper, y, what, values * factor, unit, edges, shown, limits, styles)
        beyond = float(values[shown:].sum() * factor)
        rest = f"{top:g} mm and wider, not drawn: {beyond:.2f} {unit}"
        if what == "printed area":
            rest += f"; in corners: {by_width.corners_mm2 * factor:.2f} {unit}"
        paper.text(rest, (_LEFT_MM, y), height=SMALL_MM, fill=INK)
        told.append(f"{what} {_classes_told(by_width, exact, limits, factor, unit)}; {rest}")
        y += 12.0
    y -= 7.0
    rows = list(zip(styles, class_names(limits, corners=False), strict=True))
    y += legend(paper, (_EDGE_MM, y), rows, width_mm - 2 * _EDGE_MM)
    paper.height_mm = y + _EDGE_MM
    return paper.picture(title, ". ".join(told))


def _panel(
    paper: Paper,
    y: float,
    what: str,
    values: Floats,
    unit: str,
    edges: Floats,
    shown: int,
    limits: tuple[float, ...],
    styles: tuple[Style, ...],
) -> float:
    """Draw one set of bars with its axes; give where the next line of text stands."""
    right, base = paper.width_mm - _EDGE_MM, y + _PANEL_MM
    high = float(values[:shown].max(initial=0.0))
    tick = round_length(high / 3) if high > 0 else 1.0
    full = max(np.ceil(high / tick - 1e-9), 1) * tick
    x = _LEFT_MM + (right - _LEFT_MM) * edges[: shown + 1] / edges[shown]
    bins = edges[1 : shown + 1] - edges[:shown]
    even = f" in each {bins[0]:g} mm of width" if np.ptp(bins) < 1e-9 else " in each step"
    paper.text(f"{what}, {unit}{even}", (_LEFT_MM, y - 2.2))
    for k in range(round(full / tick) + 1):
        height = base - _PANEL_MM * k * tick / full
        paper.line((_LEFT_MM - 1, height), (right, height), stroke="#d0ccc6", stroke_mm=0.12)
        paper.text(f"{k * tick:.6g}", (_LEFT_MM - 1.8, height + 0.9), height=SMALL_MM, anchor="end")
    middle = (edges[:shown] + edges[1 : shown + 1]) / 2
    of_class = np.searchsorted(limits, middle, side="right")
    tall = _PANEL_MM * values[:shown] / full
    for number, style in enumerate(styles):
        bars = np.flatnonzero((of_class == number) & (tall > 0.0))
        data = "".join(
            f"M{short(x[k])} {short(base)}H{short(x[k + 1])}V{short(base - tall[k])}H{short(x[k])}z"
            for k in bars
        )
        paper.hatched(data, style, kind=f"bars-{number}")
        paper.outline(data, stroke=INK, stroke_mm=0.12)
    paper.line((_LEFT_MM, base), (right, base), stroke_mm=0.25)
    step = round_length(float(edges[shown]) / 6)
    for k in range(int(edges[shown] / step + 1e-9) + 1):
        place = _LEFT_MM + (right - _LEFT_MM) * k * step / edges[shown]
        paper.line((place, base), (place, base + 1.0), stroke_mm=0.2)
        mm = f"{k * step:.6g} mm" if k == 0 else f"{k * step:.6g}"
        paper.text(mm, (place, base + 1.4 + SMALL_MM), height=SMALL_MM, anchor="middle")
    for limit in limits:
        place = _LEFT_MM + (right - _LEFT_MM) * limit / edges[shown]
        paper.line((place, y), (place, base), stroke=GREY, stroke_mm=0.2, dash="1 0.8")
    return base + 2.8 + 2 * SMALL_MM


def _classes_told(
    by_width: Distribution, values: Floats, limits: tuple[float, ...], factor: float, unit: str
) -> str:
    sums = in_classes(by_width, values, limits) * factor
    names = class_names(limits, corners=False)
    return ", ".join(f"{name}: {s:.2f} {unit}" for name, s in zip(names, sums, strict=True))
