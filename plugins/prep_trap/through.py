"""Where a colour is printed right through under a later one. Of prep, borders only."""

from __future__ import annotations

import numpy as np
import shapely
from shapely import MultiPolygon
from shapely.geometry.base import BaseGeometry

from prep.borders import TOUCH_MM, Border

WHOLE = 0.999
"""Share of a part's edge that must be border for the part to lie wholly within the earlier colour."""


def enclosed(later: BaseGeometry, border: Border) -> MultiPolygon:
    """Give the parts of a later colour that lie wholly within an earlier one.

    These are bordered by it alone, around them and in their holes: what is printed right through under
    them comes neither onto bare shirt nor under a third colour.

    :param border: of the earlier colour with ``later``, see :func:`prep.borders.shared_border`
    """
    parts = np.asarray(shapely.get_parts(later), dtype=object)
    if not len(parts) or not len(border):
        return MultiPolygon()
    edge, part = shapely.STRtree(shapely.boundary(parts)).query(
        shapely.points(border.middle), predicate="dwithin", distance=2.0 * TOUCH_MM
    )
    along = np.bincount(part, border.length_mm[edge], minlength=len(parts))
    return MultiPolygon(parts[along >= WHOLE * shapely.length(parts)].tolist())
