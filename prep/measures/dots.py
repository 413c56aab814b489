"""Pieces narrower than a limit all over, in which no two edges have a least width between them."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import shapely

from prep.measures.result import STRIP, Places

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Ints = NDArray[np.int64]
    Bools = NDArray[np.bool_]

_EXACT_MM = 5e-7
_ROUGH_SHARE = 0.05  # of the limit: so roughly a disc is looked for first
_SAME_MM = 2 * _EXACT_MM  # widths that differ by less may be of one disc


class LargestDiscs:
    """The largest disc in each of some pieces, looked for where it is asked for and only once."""

    def __init__(self, shapes: NDArray[np.object_]) -> None:
        """Know none yet.

        :param shapes: (pieces,) None for film without end
        """
        self.shapes, self.outline = shapes, shapely.length(shapes)
        self._area = shapely.area(shapes)
        self._wide = np.zeros(len(shapes))  # at least so wide, mm
        self._width, self._centre = np.full(len(shapes), np.nan), np.zeros((len(shapes), 2))

    def narrower_than(self, limit: float, pieces: Bools) -> tuple[Ints, Floats, Floats]:
        """Give the pieces whose largest disc is narrower than a limit, and these discs.

        :param limit: mm
        :param pieces: (pieces,) those that are asked for; pieces without outline never are
        :return: (n,) numbers of pieces; (n,) diameters, mm; (n, 2) centres
        """
        # the largest disc's radius is at least the area over the outline
        asked = pieces & (self.outline > 0) & (self._area < limit / 2 * self.outline)
        new = np.flatnonzero(asked & np.isnan(self._width) & (self._wide < limit))
        if len(new):
            # to know that a disc is wide it needn't be the largest
            rough = shapely.maximum_inscribed_circle(self.shapes[new], _ROUGH_SHARE * limit)
            self._wide[new] = 2 * shapely.length(rough) - _SAME_MM
            new = new[self._wide[new] < limit]
        if len(new):
            discs = shapely.maximum_inscribed_circle(self.shapes[new], _EXACT_MM)
            self._width[new] = 2 * shapely.length(discs)
            self._centre[new] = shapely.get_coordinates(shapely.get_point(discs, 0))
        found = np.flatnonzero(asked & (self._width < limit))
        return found, self._width[found], self._centre[found]


def with_dots(places: Places, discs: LargestDiscs, limit: float, floor_mm: float) -> Places:
    """Add the widest spot of pieces in which no strip was found: dots, leaves, triangles.

    The contacts of the largest disc in a piece don't all lie on one half of it, so two of them are
    120° apart or more: its diameter is a local width. Where the piece only tapers from it, or the
    corners of its edge stray, there is no least width besides.

    :param places: narrower than the limit
    :param discs: of what ``places.piece`` numbers
    :param limit: mm
    :param floor_mm: narrower places are no widths
    """
    settled = np.zeros(len(discs.shapes), dtype=bool)
    settled[places.piece[places.kind == STRIP]] = True
    piece, width, centre = discs.narrower_than(limit, ~settled)
    fine = width >= floor_mm
    if not fine.any():
        return places
    none = np.full(fine.sum(), np.nan)
    kind = np.full(fine.sum(), STRIP)
    length = discs.outline[piece[fine]] / 2
    return places.and_others(
        Places(width[fine], centre[fine], length, kind, piece[fine], none, none, none)
    )
