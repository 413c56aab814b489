"""What a film of a job goes through, and which of its islands may come off."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from prep.errors import Unanswered
from prep.job import Ask, Job
from prep.measures import Island
from prep.remembered import remembered
from prep_stencils.film import Cut, free_islands
from prep_stencils.holding import LASTS, Wear, limits_of, wear
from prep_stencils.settings import Stencils
from prep_stencils.spares import MOST

_PRINT_S = 60.0
"""A print with flash and change of shirt, where no plugin reckons the hours. Guess."""


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


@dataclass(frozen=True, slots=True)
class Run:
    """What other plugins tell of a job's run.

    :param wet_s: key of a screen -> time that it lies wet
    :param islands: key of a screen -> (width in mm, area in mm²) under which an island may come off;
        empty where nobody tells
    """

    wet_s: Mapping[str, float]
    islands: Mapping[str, tuple[float, float]]


def run_of(job: Job, ask: Ask) -> Run:
    """Ask for the time of printing and the limits of islands."""
    islands: Mapping[str, tuple[float, float]] = {}
    try:
        from prep_fill_in.answers import IslandLimits

        islands = ask(IslandLimits).by_screen
    except (ModuleNotFoundError, Unanswered):
        pass  # those of the trade are taken
    return Run(_wet_s(job, ask), islands)


def lasting(job: Job, cut: Cut, run: Run) -> Lasting:
    """Reckon what the run asks of a film."""
    chosen = job.settings(Stencils)
    adhesive = job.shop.film.adhesive
    usual_strokes, usual_s = LASTS[adhesive]
    islands, prints = placed(cut), prints_through(job, cut)
    wet_s = max(run.wet_s[screen.key] for screen in cut.screens)
    across_mm, area_mm2 = island_limits(job, cut, run)
    return Lasting(
        wear(prints, wet_s, chosen.holds_pulls or usual_strokes, chosen.holds_s or usual_s),
        islands,
        _weak(islands, across_mm, area_mm2),
    )


def prints_through(job: Job, cut: Cut) -> int:
    """Count how often a film is printed through over the run."""
    return _prints(job) * _passes(cut)


def island_limits(job: Job, cut: Cut, run: Run) -> tuple[float, float]:
    """Give the width in mm and the area in mm² under which an island of a film may come off."""
    told = [run.islands[screen.key] for screen in cut.screens if screen.key in run.islands]
    usual = limits_of(prints_through(job, cut), removable=job.shop.film.adhesive == "removable")
    return max(told, default=usual)


def placed(cut: Cut) -> tuple[Island, ...]:
    """Give the free islands of a film in the order they are placed."""
    free = free_islands(cut)
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


def _prints(job: Job) -> int:
    """Count the prints: with test pulls and spoilt shirts, where somebody counts these."""
    try:
        from prep_ink.answers import prints_of
    except ModuleNotFoundError:
        return job.setup.shirts
    return prints_of(job.settings, job.setup).total


def _passes(cut: Cut) -> int:
    """Count how often the film is printed through for each shirt, at the place that is most often."""
    by_region: dict[bytes, int] = {}
    for screen in cut.screens:
        key = shapely.to_wkb(screen.region)
        by_region[key] = by_region.get(key, 0) + screen.passes
    return max(by_region.values())


def _weak(islands: tuple[Island, ...], across_mm: float, area_mm2: float) -> tuple[bool, ...]:
    """Say of islands whether each takes no disc of that width, or is smaller than that."""
    shapes = np.array([island.region for island in islands], dtype=object)
    narrow = _take_no_disc(shapes, across_mm)
    return tuple(
        bool(island.area_mm2 < area_mm2 or none)
        for island, none in zip(islands, np.atleast_1d(narrow), strict=True)
    )


@remembered(kept=32)
def _take_no_disc(shapes: NDArray[np.object_], across_mm: float) -> NDArray[np.bool_]:
    empty: NDArray[np.bool_] = shapely.is_empty(
        shapely.buffer(shapes, -across_mm / 2.0, quad_segs=4)
    )
    return empty


def _wet_s(job: Job, ask: Ask) -> Mapping[str, float]:
    """Give the time that each screen lies wet: as the run is followed, else all hours of the work.

    Where nobody reckons either, a minute a print.
    """
    try:
        from prep_drying.answers import Drying

        return {key: wet.value for key, wet in ask(Drying).run.wet_s.items()}
    except (ModuleNotFoundError, Unanswered):
        pass
    try:
        from prep_base.answers import WaysToPrint

        wet_s = ask(WaysToPrint).way.hours * 3600.0
    except (ModuleNotFoundError, Unanswered):
        wet_s = _prints(job) * sum(screen.passes for screen in job.screens) * _PRINT_S
    return {screen.key: wet_s for screen in job.screens}
