"""What a way to print asks of each shirt: passes, flashes, layings, and the hours these come to."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from prep.errors import SettingsError
from prep.job import Job
from prep.screens import AddScreen
from prep_base.answers import Way
from prep_base.settings import Base

if TYPE_CHECKING:
    from prep_sequence.answers import PrintSteps


@dataclass(frozen=True, slots=True)
class Counts:
    """What is done to each shirt.

    :param rounds: times it is laid on the board
    """

    passes: int
    flashes: int
    rounds: int


def counted(job: Job, screens: Sequence[AddScreen]) -> Counts:
    """Count what is done to each shirt where these are all screens, by the rules of printing order.

    Where no plugin knows these, or the screens can't be printed so, flashes are counted between the
    passes of a screen and after a base that isn't dried by laying the shirts again.
    """
    try:
        from prep_sequence.steps import steps_on_trial
    except ModuleNotFoundError:
        return _without_rules(job, screens)
    try:
        return counts_of(steps_on_trial(job, screens))
    except SettingsError:  # said if it is the way that is made
        return _without_rules(job, screens)


def counts_of(steps: PrintSteps) -> Counts:
    """Count steps that were reckoned."""
    passes = sum(step.does == "print" for step in steps.steps)
    return Counts(passes, steps.flashes, steps.rounds)


def _without_rules(job: Job, screens: Sequence[AddScreen]) -> Counts:
    films = len({screen.film or screen.key for screen in screens})
    held = job.shop.press.holds or films
    base = films > 0 and any(s.does != "colour" for s in screens) and (held > 1 or films == 1)
    flashes = sum(screen.passes - 1 for screen in screens) + base
    return Counts(sum(s.passes for s in screens), flashes, max(1, math.ceil(films / max(held, 1))))


def with_counts(job: Job, way: Way, counts: Counts) -> Way:
    """Give a way with what is done to each shirt, and its hours."""
    chosen, shirts = job.settings(Base), job.setup.shirts
    each_s = (
        counts.passes * chosen.print_time_s
        + counts.flashes * chosen.flash_time_s
        + (counts.rounds - 1) * chosen.lay_time_s
    )
    seconds = way.films * chosen.screen_time_s + shirts * each_s + way.washes * chosen.wash_time_s
    return replace(
        way,
        passes=counts.passes,
        flashes=counts.flashes,
        rounds=counts.rounds,
        hours=seconds / 3600.0,
        cost_hours=(seconds + way.miss * shirts * chosen.miss_time_s) / 3600.0,
    )
