"""Whether a gap between two colours looks like more of one of them. It shows the shirt, or a base."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely

from prep.borders import Border
from prep.colour_difference import difference
from prep.job import Job
from prep.screens import DesignRegion, Screen

LIKE = 10.0
"""CIEDE2000 up to which a gap beside a colour looks like more of the colour. Guess."""


@dataclass(frozen=True, slots=True)
class Likeness:
    """A colour that a gap beside it looks like.

    :param colour: ``#rrggbb``
    :param shows: what a gap shows, for people
    """

    colour: str
    shows: str


def likeness(
    job: Job, first: DesignRegion, second: DesignRegion, border: Border, earlier: Screen
) -> Likeness | None:
    """Give the colour of two that all that can show in a gap between them looks like.

    :param border: of the two
    :param earlier: the screen that shows ``first``
    """
    below = [s for s in job.screens if s.does != "colour" and s.key != earlier.key]
    covered = np.zeros(len(border), dtype=bool)
    shown: dict[str, str] = {}
    for base in below:
        shapely.prepare(base.region)
        here = shapely.intersects_xy(base.region, border.middle)
        if here.any():
            shown[base.colour] = "base"
        covered |= here
    if not covered.all():
        shown |= dict.fromkeys(job.garment_colours, "shirt")
    for region in (first, second):
        if all(difference(region.colour, other) < LIKE for other in shown):
            return Likeness(region.colour, " and ".join(dict.fromkeys(shown.values())))
    return None
