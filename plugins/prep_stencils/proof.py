"""Whether a cut file, read back, is the film that was asked for. Imports nothing of prep."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from prep_stencils.outlines import Layer, ring_areas, ring_boxes, ring_lengths
from prep_stencils.sheet import Points, Sheet

TOLERANCE_MM = 1e-5
"""How far a point read back may lie from the point asked for; rounding alone gives half of it."""


def disagreements(
    wanted: Sequence[tuple[str, list[Points]]],
    size_mm: tuple[float, float],
    read: Sequence[Layer],
    sheet: Sheet,
) -> list[str]:
    """Compare what was read with what was wanted.

    What was read goes back to the artwork's plane by the sheet's way back, not by the way it came, and
    is compared there: layers, number of rings, size of the sheet, each ring's bounds within 0.00001 mm,
    each ring's area within 0.00001 mm times its length.

    :param wanted: (name, rings in mm of the artwork) in the order written
    :param size_mm: width and height read
    :return: what differs, a sentence each; empty = it is right
    """
    wrong = []
    if max(abs(size_mm[0] - sheet.across_mm), abs(size_mm[1] - sheet.along_mm)) > TOLERANCE_MM:
        wrong.append(f"the sheet reads as {size_mm[0]:g} × {size_mm[1]:g} mm")
    if [name for name, _ in wanted] != [layer.name for layer in read]:
        wrong.append(f"the layers read as {', '.join(layer.name for layer in read)}")
        return wrong
    for (name, rings), layer in zip(wanted, read, strict=True):
        asked = tuple(rings)
        got = tuple(sheet.to_artwork(ring) for ring in layer.rings)
        if len(got) != len(asked):
            wrong.append(f"{name}: {len(got)} outlines read, {len(asked)} wanted")
            continue
        if not asked:
            continue
        away = np.abs(ring_boxes(got) - ring_boxes(asked)).max(axis=1)
        off = np.abs(ring_areas(got) - ring_areas(asked))
        allowed = TOLERANCE_MM * ring_lengths(asked) + 1e-9
        if away.max() > TOLERANCE_MM:
            wrong.append(f"{name}: an outline lies {away.max():.6f} mm off")
        if (off > allowed).any():
            wrong.append(f"{name}: an outline's area is {off.max():.6f} mm2 off")
    return wrong
