"""Whether a cut file, read back, is the film that was asked for. Imports nothing of prep."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np
from scipy.spatial import cKDTree

from prep_stencils.outlines import (
    Layer,
    ring_areas,
    ring_boxes,
    ring_lengths,
    stretches_twice,
    without_overcut,
)
from prep_stencils.sheet import Points, Sheet
from prep_stencils.strokes import Wanted

TOLERANCE_MM = 1e-5
"""How far a point read back may lie from the point asked for; rounding alone gives half of it."""


def disagreements(
    wanted: Sequence[Wanted], size_mm: tuple[float, float], read: Sequence[Layer], sheet: Sheet
) -> list[str]:
    """Compare what was read with what was wanted.

    What was read goes back to the artwork's plane by the sheet's way back, not by the way it came, and
    is compared there: layers, number of strokes, size of the file, each outline's bounds and each of its
    points within 0.00001 mm, its area within 0.00001 mm times its length, both ends of each line. No
    stretch of the blade's way stands in the file twice, but for what is cut on over a beginning.

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
    rings, lines = list[Points](), list[Points]()
    for one, layer in zip(wanted, read, strict=True):
        if not one.outlines:
            lines += layer.strokes
        else:
            rings += layer.strokes if layer.closed else map(without_overcut, layer.strokes)
    twice = stretches_twice(rings, lines)
    if twice:
        wrong.append(f"cut twice: {twice} of the blade's stretches")
    return wrong


def _outlines_off(asked: tuple[Points, ...], layer: Layer, sheet: Sheet) -> Iterator[str]:
    try:
        rings = layer.strokes if layer.closed else [without_overcut(s) for s in layer.strokes]
    except ValueError as error:
        yield str(error)
        return
    got = tuple(sheet.to_artwork(ring) for ring in rings)
    if not all(len(ring) > 2 and np.isfinite(ring).all() for ring in got):
        yield "an outline is none"
        return
    away = np.abs(ring_boxes(got) - ring_boxes(asked)).max()
    if away > TOLERANCE_MM:
        yield f"an outline lies {away:.6f} mm off"
    off = np.abs(ring_areas(got) - ring_areas(asked))
    if (off > TOLERANCE_MM * ring_lengths(asked) + 1e-9).any():
        yield f"an outline's area is {off.max():.6f} mm2 off"
    astray = max(_astray_mm(ring, wanted) for ring, wanted in zip(got, asked, strict=True))
    if astray > TOLERANCE_MM:
        yield f"a point of an outline lies {astray:.6f} mm off"


def _astray_mm(got: Points, asked: Points) -> float:
    """Give how far the farthest point of an outline lies from its own, both gone round the same way.

    Points that fall together when rounded stand in the file once: each point read then belongs to one
    that was asked for, in the same order, and those left out lie within a rounding of one that is there.
    """
    if len(got) == len(asked):
        first = int(np.argmin(np.hypot(*(asked - got[0]).T)))
        straight = np.abs(np.roll(asked, -first, axis=0) - got).max()
        if straight <= TOLERANCE_MM:
            return float(straight)
    away, nearest = cKDTree(asked).query(got)
    left_out = cKDTree(got).query(asked)[0].max()
    # going round once, the numbers of the points fall but at one place
    falls = int((np.diff(np.append(nearest, nearest[0])) < 0).sum())
    if falls > 1 and len(np.unique(asked, axis=0)) == len(asked):
        return float("inf")
    return float(max(away.max(), left_out))


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
