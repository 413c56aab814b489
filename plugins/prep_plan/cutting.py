"""How the work is parted: by days, and where screens are washed out while a full rack is emptied.

Drying is followed over what is printed between two washings, so that this comes before it: days are filled
by what ink would need in a day that held nothing but printing.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from prep_plan.answers import BetweenWashings, CutInDays, Stretches
from prep_plan.care import again
from prep_plan.course import pieces
from prep_plan.parameters import in_force
from prep_plan.scene import scene_of, work_of
from prep_plan.timetable import days_of

if TYPE_CHECKING:
    from prep.job import Ask, Job
    from prep_plan.course import Day
    from prep_plan.scene import Scene


def stretches(job: Job, ask: Ask) -> Stretches:
    """Answer how a set-up's work is parted.

    :raises Unanswered: nobody tells how ink dries
    """
    from prep_drying.answers import DryingUncut

    drying = ask(DryingUncut).drying
    return Stretches({run.working: cut(scene_of(job, ask, drying, run, [])) for run in drying.runs})


def cut(scene: Scene) -> CutInDays:
    """Part the work."""
    days = days_of(work_of(scene), in_force(scene.chosen), scene.chosen.day_s / 3600.0)
    return CutInDays(days, tuple(_between(scene, k, days) for k in range(len(scene.parts))))


def _between(scene: Scene, k: int, days: tuple[Day, ...]) -> BetweenWashings:
    stretches_ = [(s.first, s.last) for day in days for s in day if s.part == k]
    after = scene.washed_after(k)
    spans = tuple(
        piece
        for first, last in stretches_ or [(1, scene.shirts)]
        for piece in pieces(first, last, after)
    )
    asked = scene.asked
    return BetweenWashings(
        scene.parts[k].screens,
        spans,
        scene.washed[k],
        again(asked.pause_every, asked.tests, spans),
        again(asked.wipe_every, asked.tests, spans),
    )
