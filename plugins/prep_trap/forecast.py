"""What misregistration shows between the colours of a job, as its screens are in the end."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from prep.borders import reach_along
from prep.misses import chance, edges_of
from prep.press_error import press_error
from prep_trap.answers import GapChances, PairChance
from prep_trap.planning import STEP_MM, Pair, draws_between, plan_of

if TYPE_CHECKING:
    from prep.job import Job

RUNS_ON_MM = 3.0
"""How far is looked where a screen goes on far under the next. Beyond every miss worth printing."""


def gap_chances(job: Job) -> GapChances:
    """Answer how often gaps show between colours that meet."""
    press = job.shop.press
    return GapChances(
        pairs=tuple(_of_pair(job, pair) for pair in plan_of(job).pairs),
        visible_mm=press.visible_gap_mm,
        wanted=press.gap_share,
        error_stated=press_error(press).stated,
    )


def _of_pair(job: Job, pair: Pair) -> PairChance:
    pieces = pair.border.split(STEP_MM)
    middle, normal, length = pieces.middle, pieces.normal, pieces.length_mm
    most = pair.width_mm if pair.do == "spread" else RUNS_ON_MM
    if pair.do == "butt" and pair.earlier.does == "colour":
        trap_mm = np.zeros(len(pieces))
    else:
        trap_mm = reach_along(pair.earlier.region, middle, normal, most)
    centre = np.array([job.artwork.width_mm / 2.0, job.artwork.height_mm / 2.0])
    edges = edges_of(middle, normal, trap_mm, centre)
    draws = draws_between(job, pair.earlier, pair.later)
    found = chance(edges, draws, job.shop.press.visible_gap_mm)
    where = found.where if found.where >= 0 else len(pieces) // 2
    full = trap_mm >= pair.width_mm * 0.999
    return PairChance(
        earlier=pair.earlier.key,
        later=pair.later.key,
        do=pair.do,
        why=pair.why,
        width_mm=pair.width_mm,
        stated=pair.stated,
        needed_mm=pair.needed_mm,
        border_mm=float(length.sum()),
        full=float(length[full].sum() / length.sum()),
        run_bad=found.run_bad,
        print_in_good=found.print_in_good,
        print_any=found.print_any,
        worst_gap_mm=found.worst_gap_mm,
        at_mm=(float(middle[where, 0]), float(middle[where, 1])),
    )
