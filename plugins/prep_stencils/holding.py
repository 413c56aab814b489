"""How long a stencil holds, and which islands may come off it first. Imports nothing of prep.

Wet ink creeps under film from its edges and the squeegee rubs on it, so islands go first. How long film
lasts hangs on its adhesive, on the hours it lies wet and on the strokes. No measurement was found: the
figures are guesses for a shop to replace by its own.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

LASTS = {"wet-proof": (400, 16 * 3600.0), "removable": (80, 4 * 3600.0)}
"""Strokes and seconds wet that film of an adhesive lasts. Guesses."""
STROKES = 2
"""Strokes of a print (common practice, no source)."""
LONG_RUN = 25
"""Prints above which an island must be larger to stay (common practice, no source)."""
ISLAND_MM2 = {False: 4.0, True: 8.0}
"""Area under which an island may come off in a short run, in a long one (common practice, no source)."""
ISLAND_MM = {False: 2.0, True: 3.0}
"""Width under which it may, likewise."""
SPARES = 2
"""Of each island that may come off, so many are cut besides. Our choice."""


@dataclass(frozen=True, slots=True)
class Wear:
    """What a stencil goes through, and what it lasts.

    :param strokes: of the squeegee over the run
    :param wet_s: time it lies wet
    :param stencils: how many are cut so that each lasts
    """

    strokes: int
    wet_s: float
    lasts_strokes: int
    lasts_s: float
    stencils: int


def wear(prints: int, wet_s: float, lasts_strokes: int, lasts_s: float) -> Wear:
    """Reckon how many stencils a run takes: the larger of strokes and wet time over what one lasts."""
    strokes = STROKES * prints
    times = max(strokes / lasts_strokes, wet_s / lasts_s)
    return Wear(strokes, wet_s, lasts_strokes, lasts_s, max(1, math.ceil(times - 1e-9)))


def limits_of(prints: int, *, removable: bool = False) -> tuple[float, float]:
    """Give the width in mm and the area in mm² under which an island may come off in a run.

    :param removable: adhesive that water loosens: every run counts as a long one (guess)
    """
    long = removable or prints > LONG_RUN
    return ISLAND_MM[long], ISLAND_MM2[long]
