"""What a film of a job goes through, and which of its islands may come off."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely

from prep.errors import Unanswered
from prep.job import Ask, Job
from prep.measures import Island
from prep_stencils.film import Cut
from prep_stencils.holding import LASTS, Wear, may_come_off, wear
from prep_stencils.settings import Stencils
from prep_stencils.spares import MOST

_PRINT_S = 60.0
"""A print with flash and change of shirt, where no plugin reckons the hours. Guess."""
_ACROSS_MM = 0.05


@dataclass(frozen=True, slots=True, eq=False)
class Lasting:
    """How a film holds for its run.

    :param islands: free pieces of film, in the order they are placed: those in openings first, those in
        openings of islands after them; row by row
    :param weak: whether each may come off
    """

    wear: Wear
    islands: tuple[Island, ...]
    weak: tuple[bool, ...]

    @property
    def spared(self) -> bool:
        """Whether islands that may come off are cut again: where there are some, and not too many."""
        return 0 < sum(self.weak) <= MOST


def lasting(job: Job, cut: Cut, wet_s: float) -> Lasting:
    """Reckon what the run asks of a film.

    :param wet_s: time that it lies wet, see :func:`wet_time_s`
    """
    chosen = job.settings(Stencils)
    adhesive = job.shop.film.adhesive
    usual_strokes, usual_s = LASTS[adhesive]
    prints = job.setup.shirts * sum(screen.passes for screen in cut.screens)
    islands = placed(cut)
    areas = [i.area_mm2 for i in islands]
    weak = may_come_off(areas, _across_mm(islands), prints, removable=adhesive == "removable")
    return Lasting(
        wear(prints, wet_s, chosen.holds_pulls or usual_strokes, chosen.holds_s or usual_s),
        islands,
        tuple(weak),
    )


def placed(cut: Cut) -> tuple[Island, ...]:
    """Give the free islands of a film in the order they are placed."""
    different = {shapely.to_wkb(screen.region): screen.measures for screen in cut.screens}.values()
    free = [i for measures in different for i in measures.islands if i.held_by_mm is None]
    if not free:
        return ()
    tall = max(cut.region.bounds[3] - cut.region.bounds[1], 1.0)
    rows = 12  # read like text: in rows, each from left to right
    return tuple(
        sorted(
            free,
            key=lambda i: (
                i.depth,
                int(rows * (i.at_mm[1] - cut.region.bounds[1]) / tall),
                i.at_mm[0],
            ),
        )
    )


def _across_mm(islands: tuple[Island, ...]) -> list[float]:
    """Give the diameter of the largest disc within each island."""
    shapes = np.array([island.region for island in islands], dtype=object)
    if not len(shapes):
        return []
    radii = shapely.length(shapely.maximum_inscribed_circle(shapes, tolerance=_ACROSS_MM))
    return [float(2.0 * radius) for radius in radii]


def wet_time_s(job: Job, ask: Ask) -> float:
    """Give the time that the screens lie wet: that of the printing, as far as somebody reckons it."""
    try:
        from prep_base.answers import WaysToPrint

        way = ask(WaysToPrint).way
    except (ModuleNotFoundError, Unanswered):
        return job.setup.shirts * sum(screen.passes for screen in job.screens) * _PRINT_S
    return way.hours * 3600.0
