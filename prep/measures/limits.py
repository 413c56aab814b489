"""How far and how finely to measure."""

from __future__ import annotations

import math
from dataclasses import dataclass, fields

from prep.measures.sampling import DEEPEST_MM


@dataclass(frozen=True, slots=True)
class Limits:
    """How far and how finely to measure. Lengths in mm.

    :param places_to_mm: every place narrower than this is listed
    :param search_to_mm: when no strip is found below ``places_to_mm``, the search widens up to
        here, so that the finest strip is known even on bold artwork
    :param angle_deg: the least separation angle at which a local width counts. 120 leaves out
        every corner of 60° and more; common practice in width checks of drawn layouts is a
        limit of this kind, the figure itself is our choice
    :param floor_mm: places below this can't be told from cracks and kissing corners; they are
        touches, never widths. Our choice: under the accuracy of any plotter
    :param prominence_mm: a dip of the width counts beside a tip or a touch only when the width
        falls by this much from its highest point between the two, so that the facets of a
        flattened curve make no places. Our choice
    :param prominence_share: it must also fall by this share of itself. Our choice
    :param tip_width_mm: what tips lose is figured for this width
    :param inset_to_mm: depth to which the areas farther from the edge are tabled: twelve times the
        length (0.7 mm) over which ink deposit may change beside an edge; at most 50 mm
    """

    places_to_mm: float = 2.0
    search_to_mm: float = 3.0
    angle_deg: float = 120.0
    floor_mm: float = 0.01
    prominence_mm: float = 0.002
    prominence_share: float = 0.05
    tip_width_mm: float = 0.4
    inset_to_mm: float = 8.4

    def __post_init__(self) -> None:
        """Refuse limits that have no meaning.

        :raises ValueError: naming the limit and what is allowed
        """
        for field in fields(self):
            value = getattr(self, field.name)
            if not (isinstance(value, int | float) and math.isfinite(value) and value > 0):
                raise ValueError(f"{field.name} is {value!r}: it must be a positive number")
        if not 90 <= self.angle_deg < 180:
            raise ValueError(f"angle_deg is {self.angle_deg}: it must lie from 90 to below 180")
        if self.floor_mm >= self.places_to_mm:
            raise ValueError("floor_mm must be smaller than places_to_mm")
        if self.search_to_mm < self.places_to_mm:
            raise ValueError("search_to_mm must not be smaller than places_to_mm")
        if self.inset_to_mm > DEEPEST_MM:
            raise ValueError(
                f"inset_to_mm is {self.inset_to_mm}: at most {DEEPEST_MM:g} mm is known"
            )
