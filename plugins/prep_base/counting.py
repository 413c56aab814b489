"""What a way to print asks of each shirt: passes, flashes, layings, and the hours these come to."""

from __future__ import annotations

import contextlib
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from prep.errors import SettingsError
from prep.job import Job
from prep.screens import AddScreen
from prep.shop import Press
from prep.work_times import CLEAN_S, DRY_S, LINE_UP_S, MIX_S
from prep_base.answers import Way
from prep_base.settings import Base

if TYPE_CHECKING:
    from prep_sequence.answers import PrintSteps


@dataclass(frozen=True, slots=True)
class Counts:
    """What is done to each shirt.

    :param rounds: times it is laid on the board
    :param drying_s: flashing and cooling, all flashes together
    """

    passes: int
    flashes: int
    rounds: int
    drying_s: float


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
        films = {screen.key: screen.film or screen.key for screen in screens}
        return counts_of(steps_on_trial(job, screens), job.shop.press, films)
    except SettingsError:  # said if it is the way that is made
        return _without_rules(job, screens)


def counts_of(steps: PrintSteps, press: Press, films: Mapping[str, str]) -> Counts:
    """Count steps that were reckoned, as the press is worked.

    :param films: key of a screen -> its film
    """
    from prep_sequence.working import parts_of, worked_by_colour

    by_colour = worked_by_colour(press, steps, len(set(films.values())))
    parts = parts_of(steps, films, by_colour=by_colour)
    done = [step for part in parts for step in part.steps]
    flashed = [step.takes_s for step in done if step.does == "flash"]
    passes = sum(step.does == "print" for step in done)
    return Counts(passes, len(flashed), max(1, len(parts)), sum(flashed))


def _without_rules(job: Job, screens: Sequence[AddScreen]) -> Counts:
    films = len({screen.film or screen.key for screen in screens})
    press = job.shop.press
    held = 1 if press.working == "colour by colour" else press.holds or films
    base = films > 0 and any(s.does != "colour" for s in screens) and (held > 1 or films == 1)
    flashes = sum(screen.passes - 1 for screen in screens) + base
    passes = sum(s.passes for s in screens)
    return Counts(passes, flashes, max(1, math.ceil(films / max(held, 1))), flashes * DRY_S)


@dataclass(frozen=True, slots=True)
class Pace:
    """What the hours of a way are reckoned with, in seconds; the plan of the work has the same.

    :param print: one pass
    :param lay: taking a shirt off and laying the next
    :param tests: prints on scrap, each time shirts are laid from the first
    :param prints: shirts, good and spoilt
    """

    film: float
    line_up: float
    clean: float
    mix: float
    print: float
    lay: float
    tests: int
    prints: int


def pace(job: Job) -> Pace:
    """Give the times in force: those of plan, drying and ink, where such plugins are there."""
    line_up, clean, mix = LINE_UP_S, CLEAN_S, MIX_S
    with contextlib.suppress(ModuleNotFoundError):
        from prep_plan.parameters import in_force
        from prep_plan.settings import Plan

        taken = in_force(job.settings(Plan))
        line_up, clean, mix = (taken[key].default for key in ("line_up", "clean", "mix"))
    tests, prints = 0, job.setup.shirts
    with contextlib.suppress(ModuleNotFoundError):
        from prep_ink.answers import prints_of

        counted = prints_of(job.settings, job.setup)
        tests, prints = counted.test_pulls, counted.shirts + counted.spoilt
    chosen = job.settings(Base)
    print_s, lay_s = chosen.print_time_s, chosen.lay_time_s
    with contextlib.suppress(ModuleNotFoundError):
        from prep_drying.settings import Drying

        timed = job.settings(Drying)
        print_s = print_s if timed.print_time_s is None else timed.print_time_s.value
        lay_s = lay_s if timed.laying_time_s is None else timed.laying_time_s.value
    return Pace(chosen.film_time_s, line_up, clean, mix, print_s, lay_s, tests, prints)


def drying_s(job: Job, counts: Counts) -> float:
    """Give the time of flashing and cooling one shirt."""
    flash = job.settings(Base).flash_time_s
    return counts.drying_s if flash is None else counts.flashes * flash


def shirt_s(job: Job, counts: Counts, one: Pace) -> float:
    """Give the time of one shirt at the press, all its layings together."""
    return counts.passes * one.print + drying_s(job, counts) + counts.rounds * one.lay


def with_counts(job: Job, way: Way, counts: Counts, inks: int) -> Way:
    """Give a way with what is done to each shirt, and its hours.

    :param inks: that are mixed for it
    """
    chosen, one = job.settings(Base), pace(job)
    seconds = (
        way.films * (one.film + one.line_up + one.clean)
        + inks * one.mix
        + (one.tests + one.prints) * shirt_s(job, counts, one)
        + way.washes * chosen.wash_time_s
    )
    misses = way.miss * job.setup.shirts * chosen.miss_time_s
    return replace(
        way,
        passes=counts.passes,
        flashes=counts.flashes,
        rounds=counts.rounds,
        hours=seconds / 3600.0,
        cost_hours=(seconds + misses) / 3600.0,
        inks=inks,
        drying_s=drying_s(job, counts),
    )
