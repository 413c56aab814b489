"""From a job to the course and the hours of its work."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from prep.errors import Unanswered
from prep_plan.answers import CutInDays, Line, Stretches, WorkPlan
from prep_plan.care import lines_asked_for, lines_of, rack_line
from prep_plan.cutting import cut
from prep_plan.parameters import in_force
from prep_plan.scene import Scene, films_of, scene_of, why, work_of
from prep_plan.timetable import timetable

if TYPE_CHECKING:
    from prep.job import Ask, Job
    from prep_drying.answers import Drying
    from prep_plan.timetable import Work


def work_plan(job: Job, ask: Ask) -> WorkPlan:
    """Answer how the work of a set-up goes and how long it takes.

    :raises Unanswered: nothing is printed
    """
    if not job.screens:
        raise Unanswered("nothing is printed, so nothing takes time")
    lacking: list[str] = []
    scene, work, parted, drying = _worked(job, ask, lacking)
    chosen = scene.chosen
    table, day_h = timetable(work, in_force(chosen), parted.days), chosen.day_s / 3600.0
    return WorkPlan(
        table=table,
        parts=scene.parts,
        lines=tuple(_lines(scene, parted)),
        by_colour=drying is not None and drying.run.working == "colour by colour",
        tests=scene.tests,
        shirts=scene.shirts,
        per_shirt_s=work.shirt_s,
        cured_by=chosen.cure_by,
        waiting=_waiting(scene, parted),
        rack=chosen.rack,
        days=table.count_days(day_h),
        day_h=day_h,
        lacking=tuple(lacking),
    )


def work_on(job: Job, ask: Ask) -> Work:
    """Give what is to be done on a set-up, as :func:`work_plan` has it.

    :raises Unanswered: nothing is printed
    """
    if not job.screens:
        raise Unanswered("nothing is printed, so nothing takes time")
    return _worked(job, ask, [])[1]


def _worked(job: Job, ask: Ask, lacking: list[str]) -> tuple[Scene, Work, CutInDays, Drying | None]:
    films = films_of(ask, lacking)
    drying = _drying(ask, lacking)
    if drying is None:
        scene = scene_of(job, ask, None, None, lacking)
        parted = cut(scene)
    else:
        parted = ask(Stretches).by_way[drying.run.working]
        washed = [part.washed for part in parted.parts]
        scene = scene_of(job, ask, drying, drying.run, lacking, washed)
    return scene, work_of(scene, films), parted, drying


def _most_a_day(scene: Scene, parted: CutInDays, k: int) -> int:
    """Count the shirts of a part on its fullest day."""
    return max((s.shirts for day in parted.days for s in day if s.part == k), default=scene.shirts)


def _waiting(scene: Scene, parted: CutInDays) -> int:
    """Count the shirts that lie to dry at a time: a day's, or all where they wait for another colour."""
    if len(scene.parts) > 1:
        return scene.shirts
    return 0 if scene.alone else _most_a_day(scene, parted, 0)


def _lines(scene: Scene, parted: CutInDays) -> Iterator[Line]:
    step_g = scene.job.shop.balance.readability_g
    for k, part in enumerate(scene.parts):
        between, found = parted.parts[k], list[Line]()
        if scene.run is not None and scene.drying is not None:
            found += lines_asked_for(k, scene.asked, part.screens, between.spans)
            runs = {key: scene.run[key] for key in part.screens}
            until = min(between.shirts, part.lot or between.shirts)
            found += lines_of(k, runs, scene.drying.mist, scene.asked, until, step_g)
        rack = scene.rack(k)
        if rack is not None:
            parted_more = rack.washed or len(between.spans) > 1
            found += rack_line(k, rack, _most_a_day(scene, parted, k), parted=parted_more)
        yield from sorted(found, key=lambda line: line.from_shirt)


def _drying(ask: Ask, lacking: list[str]) -> Drying | None:
    try:
        from prep_drying.answers import Drying

        return ask(Drying)
    except (ModuleNotFoundError, Unanswered) as error:
        lacking.append(f"Hours of printing are a rough guess: {why(error)}.")
        return None
