"""What the blade does for one film: strokes in the order they are cut. Imports nothing of prep.

First the weeding lines, while the waste lies still; then marks and openings; the sheet's edge last.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from prep_stencils.cut_order import cut_order
from prep_stencils.outlines import Layer, rounded, rounded_ring, with_overcut
from prep_stencils.sheet import Points, Sheet


@dataclass(frozen=True, slots=True, eq=False)
class Wanted:
    """What is asked of a cut file for one purpose, to hold the file against.

    :param strokes: outlines without the closing point, or lines; in mm of the artwork, in the order cut
    """

    name: str
    strokes: tuple[Points, ...]
    outlines: bool = True


@dataclass(frozen=True, slots=True, eq=False)
class Strokes:
    """What is cut of one film.

    :param layers: in the order they are cut
    :param wanted: the same in the artwork's plane, as it was asked for
    :param cut_mm: way of the blade in the film
    :param travel_mm: way of the lifted blade, from the file's upper left corner
    """

    layers: tuple[Layer, ...]
    wanted: tuple[Wanted, ...]
    cut_mm: float
    travel_mm: float


def strokes_of(
    lines: Points,
    marks: Sequence[Points],
    openings: Sequence[Points],
    sheet: Sheet,
    overcut_mm: float = 0.0,
) -> Strokes:
    """Put in order all that is cut of one film.

    :param lines: (n, 2, 2) ends of weeding lines, in mm of the artwork
    :param marks: outlines of marks, not closed, in mm of the artwork
    :param openings: outlines of openings, likewise
    :param overcut_mm: by which outlines of marks and openings are cut on over their beginning
    """
    at = (0.0, 0.0)
    layers, wanted = [], []
    travel = 0.0
    ends = sheet.to_film(lines.reshape(-1, 2)).reshape(-1, 2, 2)
    order, reverse, way, at = _to_and_fro(ends, at)
    travel += way
    if len(lines):
        made = [
            rounded(ends[k][::-1] if back else ends[k])
            for k, back in zip(order, reverse, strict=True)
        ]
        layers.append(Layer("weeding", tuple(made), closed=False))
        asked = [
            lines[k][::-1] if back else lines[k] for k, back in zip(order, reverse, strict=True)
        ]
        wanted.append(Wanted("weeding", tuple(asked), outlines=False))
    for name, rings in (("marks", marks), ("openings", openings), ("sheet-edge", [sheet.edge()])):
        there = [sheet.to_film(ring) for ring in rings]
        cut = cut_order(there, at)
        travel += cut.travel_mm
        made = [rounded_ring(np.roll(there[k], -cut.enters[k], axis=0)) for k in cut.order]
        if made:
            at = float(made[-1][0, 0]), float(made[-1][0, 1])
        on = overcut_mm if name != "sheet-edge" else 0.0
        strokes = tuple(with_overcut(ring, on) if on else ring for ring in made)
        layers.append(Layer(name, strokes, closed=not on))
        wanted.append(Wanted(name, tuple(rings[k] for k in cut.order)))
    return Strokes(tuple(layers), tuple(wanted), sum(map(_length, layers)), travel)


def outlines_of(name: str, rings: Sequence[Points], edge: Points, sheet: Sheet) -> Strokes:
    """Put in order outlines of one purpose and the edge of what they are cut from.

    :param rings: not closed, in mm of the sheet's own plane
    :param edge: likewise
    """
    at = (0.0, 0.0)
    layers, wanted, travel = [], [], 0.0
    for purpose, own in ((name, rings), ("sheet-edge", [edge])):
        there = [sheet.to_film(ring) for ring in own]
        cut = cut_order(there, at)
        made = [rounded_ring(np.roll(there[k], -cut.enters[k], axis=0)) for k in cut.order]
        at, travel = (float(made[-1][0, 0]), float(made[-1][0, 1])), travel + cut.travel_mm
        layers.append(Layer(purpose, tuple(made)))
        wanted.append(Wanted(purpose, tuple(own[k] for k in cut.order)))
    return Strokes(tuple(layers), tuple(wanted), sum(map(_length, layers)), travel)


def _length(layer: Layer) -> float:
    whole = 0.0
    for stroke in layer.strokes:
        steps = np.diff(stroke, axis=0, append=stroke[:1] if layer.closed else stroke[-1:])
        whole += float(np.hypot(*steps.T).sum())
    return whole


def _to_and_fro(
    ends: Points, at: tuple[float, float]
) -> tuple[list[int], list[bool], float, tuple[float, float]]:
    """Go from line to the line whose one end or other is nearest.

    :return: numbers of the lines, whether each is cut from its second end, way between, last place
    """
    left = list(range(len(ends)))
    order, reverse, way = list[int](), list[bool](), 0.0
    while left:
        away = np.hypot(ends[left, :, 0] - at[0], ends[left, :, 1] - at[1])
        row, end = np.unravel_index(int(away.argmin()), away.shape)
        way += float(away[row, end])
        line = left.pop(int(row))
        order.append(line)
        reverse.append(bool(end))
        at = float(ends[line, 1 - end, 0]), float(ends[line, 1 - end, 1])
    return order, reverse, way, at
