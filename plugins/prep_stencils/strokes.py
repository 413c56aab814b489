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
    ends = sheet.to_film(lines.reshape(-1, 2)).reshape(-1, 2, 2)
    order, reverse, way, at = _to_and_fro(ends, _REST)
    turned = [slice(None, None, -1 if back else 1) for back in reverse]
    made = [rounded(ends[k][turn]) for k, turn in zip(order, turned, strict=True)]
    asked = [lines[k][turn] for k, turn in zip(order, turned, strict=True)]
    runs = [_outlines("marks", marks, sheet, at, overcut_mm)]
    runs.append(_outlines("openings", openings, sheet, runs[-1].ends, overcut_mm))
    runs.append(_outlines("sheet-edge", [sheet.edge()], sheet, runs[-1].ends))
    if made:
        weeding = Layer("weeding", tuple(made), closed=False)
        wanted = Wanted("weeding", tuple(asked), outlines=False)
        runs.insert(0, _Run(weeding, wanted, way, at))
    return _in_turn(runs)


def outlines_of(name: str, rings: Sequence[Points], edge: Points, sheet: Sheet) -> Strokes:
    """Put in order outlines of one purpose and the edge of what they are cut from.

    :param rings: not closed, in mm of the sheet's own plane
    :param edge: likewise
    """
    first = _outlines(name, rings, sheet, _REST)
    return _in_turn([first, _outlines("sheet-edge", [edge], sheet, first.ends)])


_REST = (0.0, 0.0)
"""Where the blade comes from: the file's upper left corner."""


@dataclass(frozen=True, slots=True, eq=False)
class _Run:
    """What is cut for one purpose.

    :param way_mm: of the lifted blade, on the way to it and within it
    :param ends: where the blade is left
    """

    layer: Layer
    wanted: Wanted
    way_mm: float
    ends: tuple[float, float]


def _outlines(
    name: str,
    rings: Sequence[Points],
    sheet: Sheet,
    at: tuple[float, float],
    overcut_mm: float = 0.0,
) -> _Run:
    there = [sheet.to_film(ring) for ring in rings]
    cut = cut_order(there, at)
    made = [rounded_ring(np.roll(there[k], -cut.enters[k], axis=0)) for k in cut.order]
    ends = (float(made[-1][0, 0]), float(made[-1][0, 1])) if made else at
    strokes = tuple(with_overcut(ring, overcut_mm) if overcut_mm else ring for ring in made)
    wanted = Wanted(name, tuple(rings[k] for k in cut.order))
    return _Run(Layer(name, strokes, closed=not overcut_mm), wanted, cut.travel_mm, ends)


def _in_turn(runs: Sequence[_Run]) -> Strokes:
    layers = tuple(run.layer for run in runs)
    travel = sum(run.way_mm for run in runs)
    return Strokes(layers, tuple(run.wanted for run in runs), sum(map(_length, layers)), travel)


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
