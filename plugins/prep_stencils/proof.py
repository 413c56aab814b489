"""Whether a cut file, read back, is the film that was asked for. Imports nothing of prep."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from prep_stencils.outlines import Layer, ring_areas, ring_boxes, ring_lengths, without_overcut
from prep_stencils.sheet import Points, Sheet
from prep_stencils.strokes import Wanted

TOLERANCE_MM = 1e-5
"""How far a point read back may lie from the point asked for; rounding alone gives half of it."""


def disagreements(
    wanted: Sequence[Wanted], size_mm: tuple[float, float], read: Sequence[Layer], sheet: Sheet
) -> list[str]:
    """Compare what was read with what was wanted.

    What was read goes back to the artwork's plane by the sheet's way back, not by the way it came, and
    is compared there: layers, number of strokes, size of the file, each outline's bounds within
    0.00001 mm, each one's area within 0.00001 mm times its length, both ends of each line. No stretch of
    the blade's way stands in the file twice, but for what is cut on over a beginning.

    :param size_mm: width and height read
    :return: what differs, a sentence each; empty = it is right
    """
    wrong = []
    off = np.abs(np.subtract(size_mm, sheet.file_mm)).max()
    if off > TOLERANCE_MM:
        wrong.append(f"the sheet reads as {size_mm[0]:g} × {size_mm[1]:g} mm")
    if [one.name for one in wanted] != [layer.name for layer in read]:
        wrong.append(f"the layers read as {', '.join(layer.name for layer in read)}")
        return wrong
    for one, layer in zip(wanted, read, strict=True):
        if len(layer.strokes) != len(one.strokes):
            wrong.append(
                f"{one.name}: {len(layer.strokes)} strokes read, {len(one.strokes)} wanted"
            )
        elif one.strokes:
            compare = _outlines_off if one.outlines else _lines_off
            wrong += [f"{one.name}: {what}" for what in compare(one.strokes, layer, sheet)]
    if wrong:
        return wrong
    twice = _cut_twice(wanted, read)
    if twice:
        wrong.append(f"{twice} stretches are cut twice")
    return wrong


def _outlines_off(asked: tuple[Points, ...], layer: Layer, sheet: Sheet) -> Iterator[str]:
    try:
        rings = layer.strokes if layer.closed else [without_overcut(s) for s in layer.strokes]
    except ValueError as error:
        yield str(error)
        return
    got = tuple(sheet.to_artwork(ring) for ring in rings)
    away = np.abs(ring_boxes(got) - ring_boxes(asked)).max()
    if away > TOLERANCE_MM:
        yield f"an outline lies {away:.6f} mm off"
    off = np.abs(ring_areas(got) - ring_areas(asked))
    if (off > TOLERANCE_MM * ring_lengths(asked) + 1e-9).any():
        yield f"an outline's area is {off.max():.6f} mm2 off"


def _lines_off(asked: tuple[Points, ...], layer: Layer, sheet: Sheet) -> Iterator[str]:
    if layer.closed or any(len(stroke) != 2 for stroke in layer.strokes):
        yield "a line isn't one"
        return
    away = max(
        float(np.abs(sheet.to_artwork(stroke) - line).max())
        for stroke, line in zip(layer.strokes, asked, strict=True)
    )
    if away > TOLERANCE_MM:
        yield f"a line lies {away:.6f} mm off"


def _cut_twice(wanted: Sequence[Wanted], read: Sequence[Layer]) -> int:
    """Count stretches of outlines and lines that lie upon another, whichever way each is cut."""
    steps = []
    for one, layer in zip(wanted, read, strict=True):
        for stroke in layer.strokes:
            if one.outlines:
                ring = stroke if layer.closed else without_overcut(stroke)
                steps.append(np.hstack([ring, np.roll(ring, -1, axis=0)]))
            else:
                steps.append(np.hstack([stroke[:-1], stroke[1:]]))
    every = np.concatenate(steps)
    swap = (every[:, 0] > every[:, 2]) | (
        (every[:, 0] == every[:, 2]) & (every[:, 1] > every[:, 3])
    )
    every[swap] = every[swap][:, [2, 3, 0, 1]]
    return len(every) - len(np.unique(every, axis=0))
