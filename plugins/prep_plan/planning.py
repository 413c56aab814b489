"""From a job to the hours of its work."""

from __future__ import annotations

from typing import TYPE_CHECKING

from prep.errors import Unanswered
from prep_plan.answers import WorkPlan
from prep_plan.parameters import SHIRT, in_force
from prep_plan.settings import Plan
from prep_plan.timetable import Work, cut_into_days, seconds, timetable

if TYPE_CHECKING:
    from prep.estimate import Estimate
    from prep.job import Ask, Job


def work_plan(job: Job, ask: Ask) -> WorkPlan:
    """Answer how long the work of a set-up takes.

    :raises Unanswered: nothing is printed
    """
    if not job.screens:
        raise Unanswered("nothing is printed, so nothing takes time")
    lacking: list[str] = []
    chosen = job.settings(Plan)
    films = _films(ask, lacking)
    per_shirt_s = _per_shirt(job, ask, lacking)
    tests, spoilt = _besides(job, ask, lacking)
    alone = chosen.cure_by == "conveyor dryer"
    cured = job.setup.shirts + spoilt
    work = Work(
        films=films,
        screens=len(job.films),
        inks=len({screen.ink for screen in job.screens}),
        tests=tests,
        shirts=cured,
        shirt_s=per_shirt_s,
        cured=cured,
        pauses_s=_pauses_s(ask, tests + cured),
        alone=alone,
    )
    table = timetable(work, in_force(chosen))
    return WorkPlan(
        table=table,
        per_shirt_s=per_shirt_s,
        cured_by=chosen.cure_by,
        waiting=0 if alone else cured,
        rack=chosen.rack,
        days=cut_into_days(table, chosen.day_s / 3600.0),
        lacking=tuple(lacking),
    )


def _films(ask: Ask, lacking: list[str]) -> tuple[Estimate, ...]:
    try:
        from prep_stencils.answers import FilmTimes

        times = ask(FilmTimes).films
    except (ModuleNotFoundError, Unanswered) as error:
        lacking.append(f"Films aren't in these hours: {_why(error)}.")
        return ()
    return tuple(film.cut + film.weed + film.place for film in times)


def _per_shirt(job: Job, ask: Ask, lacking: list[str]) -> Estimate:
    """Give the seconds of one shirt at the press."""
    try:
        from prep_drying.answers import Drying

        return ask(Drying).run.shirt_s
    except (ModuleNotFoundError, Unanswered) as error:
        lacking.append(f"Hours of printing are a rough guess: {_why(error)}.")
        return seconds(SHIRT) * sum(screen.passes for screen in job.screens)


def _pauses_s(ask: Ask, prints: int) -> float:
    """Give the seconds of planned pauses: what the run takes beyond its prints."""
    try:
        from prep_drying.answers import Drying

        run = ask(Drying).run
    except (ModuleNotFoundError, Unanswered):
        return 0.0
    beyond = run.run_s.value - run.shirt_s.value * prints
    return beyond if beyond > 1.0 else 0.0


def _besides(job: Job, ask: Ask, lacking: list[str]) -> tuple[int, int]:
    """Give test pulls, and shirts spoilt."""
    try:
        from prep_ink.answers import InkOnScreens

        ink = next(iter(ask(InkOnScreens).by_screen.values()))
    except (ModuleNotFoundError, Unanswered, StopIteration) as error:
        lacking.append(f"Test pulls and shirts spoilt aren't in these hours: {_why(error)}.")
        return 0, 0
    return ink.test_pulls, ink.prints - job.setup.shirts - ink.test_pulls


def _why(error: Exception) -> str:
    return error.why if isinstance(error, Unanswered) else "no plugin tells"
