"""The smallest print width at which a design passes: solved from the places found, then confirmed."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely
from shapely import MultiPolygon, affinity

from prep.measures import NarrowPlaces
from prep_fill_in.details import Judgement, judge_region, no_leftovers
from prep_fill_in.judge import PASSES, WILL_FAIL
from prep_fill_in.leftovers import Leftovers, carried_over

ROUNDS = 3
"""So often a width is solved and confirmed at most."""
_SLACK = 1e-4
"""Share by which a print is solved larger again where it must be, so that rounding ends it."""


@dataclass(frozen=True, slots=True)
class Confirmed:
    """What came of the search.

    :param times: as large as it is; of the last run
    :param passes: the aim was that every narrow place passes; else that none fails
    :param runs: so often all screens were measured and judged again; 0 = not confirmed
    :param at_risk: details that are at risk at that size
    :param fails: details that fail there
    :param touches: touches, which no size cures
    """

    times: float
    passes: bool
    runs: int
    at_risk: int
    fails: int
    touches: int

    @property
    def holds(self) -> bool:
        """Tell whether the last run found nothing that the aim forbids."""
        return self.fails == 0 and (self.at_risk == 0 or not self.passes)


def needed(judgements: Sequence[Judgement], *, passes: bool) -> float:
    """Give how many times as large the print must be by the places found: 1 where it needn't."""
    judged = [details.judged for one in judgements for details in one.details]
    grow = [j.grow_to_pass if passes else j.grow_to_survive for j in judged]
    return max((float(each.max()) for each in grow), default=1.0)


def confirmed(
    judgements: Sequence[Judgement],
    sensible: Callable[[float], bool],
    rounded_up: Callable[[float], float],
    measure: Callable[[MultiPolygon], NarrowPlaces],
    *,
    passes: bool,
) -> Confirmed:
    """Measure and judge every screen at the size solved, and solve again where that finds something.

    What plugins added to a screen, like a base or a trap, is taken along as it is.

    :param judgements: of every screen, as large as it is
    :param sensible: tells whether a print so many times as large can be made
    :param rounded_up: gives how many times as large the print is once its width is written
    """
    times = rounded_up(needed(judgements, passes=passes))
    found = Confirmed(times, passes, 0, 0, 0, 0)
    for run in range(1, ROUNDS + 1):
        again = [at_size(one, times, measure) for one in judgements]
        levels = [details.judged.level for one in again for details in one.details]
        found = Confirmed(
            times,
            passes,
            run,
            at_risk=sum(int(((each > PASSES) & (each < WILL_FAIL)).sum()) for each in levels),
            fails=sum(int((each == WILL_FAIL).sum()) for each in levels),
            touches=sum(len(t.size_mm) for one in again for t in one.touches.values()),
        )
        larger = rounded_up(times * needed(again, passes=passes) * (1.0 + _SLACK))
        if found.holds or not sensible(larger):
            break
        times = larger
    return found


def at_size(
    judgement: Judgement, times: float, measure: Callable[[MultiPolygon], NarrowPlaces]
) -> Judgement:
    """Judge a screen as it would be printed at so many times its size.

    :raises ValueError: marks, which don't grow with the print
    """
    screen = judgement.screen
    if screen is None:
        raise ValueError("marks don't grow with the print")
    region: MultiPolygon = affinity.scale(screen.region, times, times, origin=(0.0, 0.0))
    measures = measure(region)
    left = _leftovers(judgement.leftovers, times, region, measures)
    covers: MultiPolygon = affinity.scale(judgement.covers, times, times, origin=(0.0, 0.0))
    return judge_region(screen, region, measures, judgement.held_by, left, covers)


def _leftovers(
    left: Leftovers, times: float, region: MultiPolygon, measures: NarrowPlaces
) -> Leftovers:
    """Give what was left of covered shapes at another size; it isn't cured by being larger."""
    if not len(left.at_mm):
        return no_leftovers(region, measures)
    grown = replace(left, at_mm=left.at_mm * times, width_mm=left.width_mm * times)
    carried = carried_over(grown, region, region, measures)
    if not len(measures.openings):
        return carried
    reach = np.maximum(grown.width_mm, 0.05)
    places = shapely.get_parts(shapely.multipoints(measures.openings.at_mm))
    near = shapely.STRtree(places).query(
        shapely.get_parts(shapely.multipoints(grown.at_mm)), predicate="dwithin", distance=reach
    )[1]
    openings = carried.openings.copy()
    openings[near] = True
    return replace(carried, openings=openings)
