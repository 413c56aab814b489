"""Small round pieces whose edge is too uneven to tell where it faces itself."""

from __future__ import annotations

from dataclasses import fields
from typing import TYPE_CHECKING

import numpy as np
import shapely

from prep.measures.result import STRIP, TIP, Places

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Ints = NDArray[np.int64]
    Bools = NDArray[np.bool_]

_EXACT_MM = 5e-7
_ROUND = 0.7
"""So much of what is round its largest disc fills; of a triangle at most 0.605, of a square 0.785."""
_ON_SLOPE = 1.2  # the disc at the wide end of a tip lies at most so many times the tip's length off


def with_dots(places: Places, shapes: NDArray[np.object_], limit: float, floor_mm: float) -> Places:
    """Add the middle of small round pieces in which no strip was found.

    The contacts of the largest disc in a piece don't all lie on one half of it, so two of them are
    120° apart or more: its diameter is a local width. Where the corners of the edge stray, only the
    spot round this disc may count, and no two edges there have a least width between them.

    :param places: narrower than the limit
    :param shapes: (pieces,) what ``places.piece`` numbers; None for film without end
    :param limit: mm
    :param floor_mm: narrower places are no widths
    """
    settled = np.zeros(len(shapes), dtype=bool)
    settled[places.piece[places.kind != TIP]] = True
    # the largest disc's radius is at least the area over the outline
    outline = shapely.length(shapes)
    known = ~settled & (outline > 0)
    open_ = np.flatnonzero(known & (shapely.area(shapes) < limit / 2 * outline))
    if not len(open_):
        return places
    discs = shapely.maximum_inscribed_circle(shapes[open_], _EXACT_MM)
    width, centre = 2 * shapely.length(discs), shapely.get_coordinates(shapely.get_point(discs, 0))
    round_ = np.pi / 4 * width**2 >= _ROUND * shapely.area(shapes[open_])
    small = (
        round_
        & (width >= floor_mm)
        & (width < limit)
        & ~_on_slopes(places, open_, centre, len(shapes))
    )
    return _joined(places, width[small], centre[small], outline[open_][small] / 2, open_[small])


def _on_slopes(places: Places, pieces: Ints, centre: Floats, count: int) -> Bools:
    """Say which discs lie where the width rises from a tip: they belong to it."""
    row = np.full(count, -1)
    row[pieces] = np.arange(len(pieces))
    tips = np.flatnonzero((places.kind == TIP) & (row[places.piece] >= 0))
    of = row[places.piece[tips]]
    away = np.hypot(*(centre[of] - places.at_mm[tips]).T)
    on_slope = np.zeros(len(pieces), dtype=bool)
    on_slope[of[away <= _ON_SLOPE * places.length_mm[tips]]] = True
    return on_slope


def _joined(places: Places, width: Floats, at: Floats, length: Floats, piece: Ints) -> Places:
    none = np.full(len(width), np.nan)
    kind = np.full(len(width), STRIP)
    dots = Places(width, at, length, kind, piece, none, none, none)
    both = Places(*(
        np.concatenate([getattr(places, f.name), getattr(dots, f.name)]) for f in fields(Places)
    ))  # fmt: skip
    return both.take(np.argsort(both.width_mm, kind="stable"))
