"""What of the hours is worth saying before the first pull."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import TYPE_CHECKING

from prep.errors import Unanswered
from prep.findings import Finding
from prep_plan.answers import WorkPlan
from prep_plan.words import hours

if TYPE_CHECKING:
    from prep.job import Ask, Job


def findings_of(job: Job, ask: Ask) -> Iterator[Finding]:
    """Say where work is longer than a day, a mix won't last it, or shirts can't all lie to dry."""
    plan = ask(WorkPlan)
    if plan.days > 1:
        yield Finding(
            "note",
            "longer than a day",
            what=f"Press work, cure and clean-up take {hours(plan.table.hours('at the press', 'after'))}.",
            why="A run parted over days is set up and inked anew, and the second day's colour may differ.",
            do=(
                f"A day of {plan.day_h:.3g} h is too short for any shirt: make it longer (plan.day)."
                if plan.table.too_short
                else f"Plan {plan.days} days of {plan.day_h:.3g} h as the hours tell, with screens washed"
                " out each evening, or print fewer shirts."
            ),
        )
    if plan.rack is not None and plan.waiting > plan.rack:
        yield Finding(
            "note",
            "more shirts than can lie to dry",
            what=f"{plan.waiting} shirts wait to dry; there is room for {plan.rack}.",
            why="Wet prints that touch each other are spoilt, and screens dry while the rack is emptied.",
            do=f"Empty the rack after each {plan.rack} as the plan tells, or make room.",
        )
    yield from _mixes_that_end(job, ask, plan)


def _mixes_that_end(job: Job, ask: Ask, plan: WorkPlan) -> Iterator[Finding]:
    """Say which inks must be thrown away before the last shirt is printed."""
    try:
        from prep_ink.answers import InkOnScreens

        inks = ask(InkOnScreens).inks
    except (ModuleNotFoundError, Unanswered):
        return
    press = plan.table.hours("at the press")
    for mix in inks:
        if mix.pot_life_s is None or press.high * 3600.0 <= mix.pot_life_s:
            continue
        lasts_h = mix.pot_life_s / 3600.0
        times = max(2, math.ceil(press.high / lasts_h))
        screen = job.screen(mix.screens[0])
        sure = press.low > lasts_h
        yield Finding(
            "will fail" if sure else "at risk",
            "mix that won't last the run",
            what=(
                f"{mix.ink} is thrown away {lasts_h:.3g} h after mixing; lining up and printing take"
                f" {hours(press)}."
            ),
            why="An activated ink goes on reacting in its pot and on the screen, and doesn't bond later.",
            do=(
                f"Mix {times} times, each for some {math.ceil(plan.shirts / times)} shirts, just"
                " before it is needed, and wash the screen out in between; the maker's sheet comes first."
            ),
            screen=screen.key,
            colour=screen.colour,
            count=1,
        )
