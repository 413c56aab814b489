"""Pieces narrower than a limit all over, in which no two edges have a least width between them."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import shapely

from prep.measures.result import STRIP, Places

if TYPE_CHECKING:
    from numpy.typing import NDArray

_EXACT_MM = 5e-7


def with_dots(places: Places, shapes: NDArray[np.object_], limit: float, floor_mm: float) -> Places:
    """Add the widest spot of pieces in which no strip was found: dots, leaves, triangles.

    The contacts of the largest disc in a piece don't all lie on one half of it, so two of them are
    120° apart or more: its diameter is a local width. Where the piece only tapers from it, or the
    corners of its edge stray, there is no least width besides.

    :param places: narrower than the limit
    :param shapes: (pieces,) what ``places.piece`` numbers; None for film without end
    :param limit: mm
    :param floor_mm: narrower places are no widths
    """
    settled = np.zeros(len(shapes), dtype=bool)
    settled[places.piece[places.kind == STRIP]] = True
    # the largest disc's radius is at least the area over the outline
    outline = shapely.length(shapes)
    known = ~settled & (outline > 0)
    open_ = np.flatnonzero(known & (shapely.area(shapes) < limit / 2 * outline))
    if not len(open_):
        return places
    discs = shapely.maximum_inscribed_circle(shapes[open_], _EXACT_MM)
    width, centre = 2 * shapely.length(discs), shapely.get_coordinates(shapely.get_point(discs, 0))
    fine = (width >= floor_mm) & (width < limit)
    none = np.full(fine.sum(), np.nan)
    kind = np.full(fine.sum(), STRIP)
    length = outline[open_][fine] / 2
    return places.and_others(
        Places(width[fine], centre[fine], length, kind, open_[fine], none, none, none)
    )
