"""What misregistration shows between the colours of a job, as its screens are in the end."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import shapely

from prep.borders import TOUCH_MM, Bools, Border, Floats, reach_along
from prep.misses import chance, edges_of
from prep.press_error import press_error
from prep_trap.answers import GapChances, PairChance
from prep_trap.planning import STEP_MM, Pair, draws_between, plan_of

if TYPE_CHECKING:
    from prep.job import Job

RUNS_ON_MM = 9.0
"""How far is looked where a screen goes on far under the next. Four times how far two screens miss each
other, one standard deviation, where shirts are laid again."""
_STEP_OF_IT_MM = 0.125
"""In steps of this; how far the screen goes on within the last of them is looked at in finer ones."""
_STEPS = 24
_WHOLE = 0.999
"""Share of a trap's width from which it counts as the whole, but for rounding."""
DRAWN_IN_MM = 2.0
"""A border over a base isn't looked at so near to its ends: there the base is drawn in from the colour's
outer edge, and what shows of the shirt is a bite in that edge, no gap. More than twice any usual choke."""


def gap_chances(job: Job) -> GapChances:
    """Answer how often gaps show between colours that meet."""
    press = job.shop.press
    return GapChances(
        pairs=tuple(_of_pair(job, pair) for pair in plan_of(job).pairs),
        visible_mm=press.visible_gap_mm,
        wanted=press.gap_share,
        error_stated=press_error(press, len(job.films)).stated,
    )


def _of_pair(job: Job, pair: Pair) -> PairChance:
    pieces = pair.border.split(STEP_MM)
    middle, normal, length = pieces.middle, pieces.normal, pieces.length_mm
    trap_mm = goes_under(pair, middle, normal)
    centre = np.array([job.artwork.width_mm / 2.0, job.artwork.height_mm / 2.0])
    visible_mm = job.shop.press.visible_gap_mm
    if pair.do == "base":
        kept = np.flatnonzero(_away_from_ends(pieces))
    elif pair.do == "spread":
        kept = np.flatnonzero(_goes_on(pair, middle, normal, trap_mm))
    else:
        kept = np.arange(len(pieces))
    edges = edges_of(middle[kept], normal[kept], trap_mm[kept], centre)
    draws = draws_between(job, pair.earlier, pair.later)
    found = chance(edges, draws, visible_mm)
    where = kept[found.where] if found.where >= 0 else len(pieces) // 2
    full = trap_mm >= pair.width_mm * _WHOLE
    return PairChance(
        earlier=pair.earlier.key,
        later=pair.later.key,
        do=pair.do,
        why=pair.why,
        width_mm=pair.width_mm,
        stated=pair.stated,
        needed_mm=pair.needed_mm,
        full=float(length[full].sum() / length.sum()),
        run_bad=found.run_bad,
        print_in_good=found.print_in_good,
        print_any=found.print_any,
        worst_gap_mm=found.worst_gap_mm,
        at_mm=(float(middle[where, 0]), float(middle[where, 1])),
        like=pair.like.colour if pair.like is not None else None,
        through=_share_through(pair, pieces),
    )


def goes_under(pair: Pair, middle: Floats, normal: Floats) -> Floats:
    """Say how far the earlier screen goes on under the next: the trap, and farther where it is printed on.

    :return: (n,) mm, at most ``RUNS_ON_MM``
    """
    region = pair.earlier.region
    if pair.do == "butt" and pair.earlier.does == "colour":
        return np.zeros(len(middle))
    reached = reach_along(region, middle, normal, pair.width_mm, _STEPS)
    if pair.do == "spread":
        return reached
    reached = reached.copy()
    on = np.flatnonzero(reached >= pair.width_mm * _WHOLE)
    at, way = middle[on], normal[on]
    far = reach_along(region, at, way, RUNS_ON_MM, round(RUNS_ON_MM / _STEP_OF_IT_MM))
    # what was reached last was seen half a step before
    seen = np.maximum(far - _STEP_OF_IT_MM / 2.0, 0.0)
    within = np.minimum(far + _STEP_OF_IT_MM / 2.0, RUNS_ON_MM) - seen
    fine = reach_along(region, at + way * seen[:, None], way, within, _STEPS)
    reached[on] = np.maximum(reached[on], seen + fine)
    return reached


def _goes_on(pair: Pair, middle: Floats, normal: Floats, trap_mm: Floats) -> Bools:
    """Tell where the later colour goes on beyond the trap.

    Elsewhere, in an acute corner that ends at the shirt, the trap fills it to its edge.
    """
    step_mm = pair.width_mm / _STEPS
    drawn_mm = reach_along(
        pair.second.region, middle, normal, step_mm * (_STEPS + 4), steps=_STEPS + 4
    )
    on: Bools = drawn_mm - trap_mm > 1.5 * step_mm
    return on


def _share_through(pair: Pair, pieces: Border) -> float:
    """Give the share of the border at the parts under which the earlier colour is printed through."""
    edges = shapely.boundary(pair.through)
    there = shapely.dwithin(shapely.points(pieces.middle), edges, 2.0 * TOUCH_MM)
    return float(pieces.length_mm[there].sum() / pieces.length_mm.sum())


def _away_from_ends(pieces: Border) -> Bools:
    """Tell which pieces of a border lie far from the ends of their stretch; in a ring all do."""
    length = pieces.length_mm
    so_far = np.cumsum(length) - length
    first = np.searchsorted(pieces.run, np.arange(len(pieces.closed)))
    middle = so_far - so_far[first][pieces.run] + length / 2.0
    from_end = np.minimum(middle, pieces.run_mm[pieces.run] - middle)
    away: Bools = pieces.closed[pieces.run] | (from_end > DRAWN_IN_MM)
    return away
