"""What hours and lines of a set-up follow from, asked for once: parts, their pace, and what breaks them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from prep.errors import Unanswered
from prep.estimate import DRAWS, Estimate
from prep_plan.answers import PartOfWork
from prep_plan.care import Asked, Rack, anew, asked_for, emptied, stops_of
from prep_plan.course import Part, Stop
from prep_plan.parameters import SHIRT, WASH, in_force
from prep_plan.rack import emptying
from prep_plan.settings import Plan
from prep_plan.timetable import Work, seconds
from prep_plan.words import minutes

if TYPE_CHECKING:
    from prep.job import Ask, Job
    from prep_drying.answers import Drying, RunOf


@dataclass(frozen=True, slots=True)
class Scene:
    """What hours and lines follow from.

    :param drying: ``None`` where nobody tells
    :param run: the way it is worked; ``None`` where nobody tells
    :param one: seconds of each thing, by its key in ``[plan]``
    :param tests: prints on scrap with each set-up
    :param shirts: good and spoilt
    :param washed: of each part, whether screens are washed out while a full rack is emptied
    """

    job: Job
    chosen: Plan
    drying: Drying | None
    run: RunOf | None
    one: Mapping[str, Estimate]
    asked: Asked
    tests: int
    shirts: int
    parts: tuple[PartOfWork, ...]
    washed: tuple[bool, ...]

    @property
    def alone(self) -> bool:
        """Whether the dryer works by itself."""
        return self.chosen.cure_by == "conveyor dryer"

    def films(self, k: int) -> int:
        """Count the films set up for a part."""
        return len({self.job.screen(key).film for key in self.parts[k].screens})

    def pace(self, k: int) -> tuple[Estimate, Estimate | None]:
        """Give the seconds from one shirt to the next in a part, and flashing and cooling among them."""
        screens = self.parts[k].screens
        if self.run is None:
            return seconds(SHIRT) * sum(self.job.screen(key).passes for key in screens), None
        part = next(part for part in self.run.parts if set(part.screens) == set(screens))
        return part.cycle_s, part.dried_s

    def rack(self, k: int) -> Rack | None:
        """Give how the rack is emptied in a part, where it is smaller than the run.

        Screens that are washed out meanwhile are tried on scrap before going on.
        """
        last = k == len(self.parts) - 1
        full = emptying(self.chosen, last=last)
        if full is None:
            return None
        holds, takes = full.holds, full.takes_s
        how = (
            f"cure the {holds} that wait"
            if last
            else f"dry the {holds} to the touch, and stack them"
        )
        do = f"the rack is full: {how}, {minutes(takes.low, takes.high)}"
        costs = None if last else takes
        if self.washed[k]:
            wash = self.one["clean"] * self.films(k) + self.pace(k)[0]
            costs = wash if costs is None else costs + wash
            do += (
                "; wash screens out before, where they hang, try them on scrap after, and count anew what"
                " isn't of the day"
            )
        elif self.drying is not None and self.drying.flooded:
            do += "; flood the screens before and leave them so: they can stand so long"
        else:
            do += "; clear the screens with a print on scrap before: they can stand so long"
        return Rack(holds, takes, costs, self.washed[k], do)

    def washed_after(self, k: int) -> int:
        """Give after how many shirts a part's screens are washed out for a full rack; 0 = they aren't."""
        rack = self.rack(k)
        return rack.holds if rack is not None and rack.washed else 0

    def inked_after(self, k: int) -> int:
        """Give after how many shirts a part's ink begins anew; 0 = not before the evening."""
        after = (self.washed_after(k), self.parts[k].lot)
        return min((shirts for shirts in after if shirts), default=0)


def scene_of(
    job: Job,
    ask: Ask,
    drying: Drying | None,
    run: RunOf | None,
    lacking: list[str],
    washed: Sequence[bool] | None = None,
) -> Scene:
    """Put together what hours follow from.

    :param drying: what is known of it
    :param run: of it, the way the set-up is worked
    :param lacking: filled with what is missing and why, sentences
    :param washed: of each part, whether screens are washed out for a full rack; ``None`` = where they can't
        stand as long, nine times out of ten
    """
    chosen = job.settings(Plan)
    tests, spoilt = _besides(job, ask, lacking)
    parts = _parts(job, ask, run)
    if washed is None:
        washed = [_can_not_stand(chosen, run, part, last=part is parts[-1]) for part in parts]
    return Scene(
        job,
        chosen,
        drying,
        run,
        {key: seconds(parameter) for key, parameter in in_force(chosen).items()},
        _asked(job, tests, drying),
        tests,
        job.setup.shirts + spoilt,
        parts,
        tuple(washed),
    )


def _can_not_stand(chosen: Plan, run: RunOf | None, part: PartOfWork, *, last: bool) -> bool:
    """Tell whether screens can't stand, from print to print, as long as emptying the rack may take."""
    full = emptying(chosen, last=last)
    if full is None:
        return False
    if run is None:
        return True
    spare_s = min(run[key].pause_s.low - run[key].between_s.value for key in part.screens)
    return full.takes_s.high > spare_s


def work_of(scene: Scene, films: tuple[Estimate, ...] = ()) -> Work:
    """Give what is to be done.

    :param films: minutes that each takes
    """
    return Work(
        films=films,
        inks=len({screen.ink for screen in scene.job.screens}),
        tests=scene.tests,
        shirts=scene.shirts,
        parts=tuple(_part(scene, k) for k in range(len(scene.parts))),
        alone=scene.alone,
    )


def _part(scene: Scene, k: int) -> Part:
    part, (cycle_s, dried_s), rack = scene.parts[k], scene.pace(k), scene.rack(k)
    stops: list[Stop] = []
    if scene.run is not None and scene.drying is not None:
        runs = {key: scene.run[key] for key in part.screens}
        stops += stops_of(runs, scene.drying.mist, scene.asked, cycle_s, scene.one)
    inked = scene.inked_after(k)
    if inked:
        stops = [anew(stop, inked) for stop in stops]
    washed_after = scene.washed_after(k)
    stops += asked_for(scene.asked, len(part.screens), washed_after, scene.one["wipe"], _second())
    if part.lot:
        lot, wash = part.lot, _wash(scene.job)
        stops.append(
            Stop(
                "wash for the other ink",
                wash,
                lambda first, last: 2 * -(-(last - first + 1) // lot) - 1,
            )
        )
    if rack is not None:
        stops += emptied(rack)
    cool = _cooling(scene.job, part)
    flash_s = None if dried_s is None else dried_s * (1.0 - cool)
    cool_s = None if dried_s is None else dried_s * cool
    return Part(scene.films(k), cycle_s, tuple(stops), flash_s, cool_s)


def _cooling(job: Job, part: PartOfWork) -> float:
    """Give which share of flashing and cooling a part's shirts is the latter, by the clock."""
    try:
        from prep_sequence.settings import Sequence as Steps
    except ModuleNotFoundError:
        return 0.0
    dried = [step.takes_s for step in part.steps if step.does == "flash"]
    return job.settings(Steps).cool_s * len(dried) / sum(dried) if sum(dried) > 0 else 0.0


def _parts(job: Job, ask: Ask, run: RunOf | None) -> tuple[PartOfWork, ...]:
    """Give what is set up together, in working order."""
    together = (
        (tuple(screen.key for screen in job.screens),)
        if run is None
        else tuple(part.screens for part in run.parts)
    )
    try:
        from prep_sequence.answers import PrintSteps
        from prep_sequence.working import parts_of

        films = {screen.key: screen.film for screen in job.screens}
        by_colour = run is not None and run.working == "colour by colour"
        parts = parts_of(ask(PrintSteps), films, by_colour=by_colour)
    except (ModuleNotFoundError, Unanswered):
        return tuple(PartOfWork(screens, ()) for screens in together)
    lot = _lot(job, ask)
    return tuple(
        PartOfWork(tuple(dict.fromkeys(step.screen for step in part.steps)), part.steps, lot)
        for part in parts
    )


def _lot(job: Job, ask: Ask) -> int:
    """Give the shirts that stay put while their screen is washed for its other ink; 0 = it isn't."""
    try:
        from prep_base.answers import WaysToPrint
        from prep_base.settings import Base

        return job.settings(Base).platens if ask(WaysToPrint).way.washes else 0
    except (ModuleNotFoundError, Unanswered):
        return 0


def _asked(job: Job, tests: int, drying: Drying | None) -> Asked:
    if drying is None:
        return Asked(tests)
    from prep_drying.settings import DryingOrder

    order = job.settings(DryingOrder)
    return Asked(tests, order.pause_s or 0.0, order.pause_every or 0, order.wipe_every or 0)


def _second() -> Estimate:
    return Estimate(1.0, "s", np.ones(DRAWS))


def _wash(job: Job) -> Estimate:
    """Give the time of washing a screen for its other ink, as the ways to print are weighed with."""
    from prep_base.settings import Base

    return seconds(WASH) * (job.settings(Base).wash_time_s / WASH.default)


def _besides(job: Job, ask: Ask, lacking: list[str]) -> tuple[int, int]:
    """Give test pulls, and shirts spoilt."""
    try:
        from prep_ink.answers import InkOnScreens

        ink = next(iter(ask(InkOnScreens).by_screen.values()))
    except (ModuleNotFoundError, Unanswered, StopIteration) as error:
        lacking.append(f"Test pulls and shirts spoilt aren't in these hours: {why(error)}.")
        return 0, 0
    return ink.test_pulls, ink.prints - job.setup.shirts - ink.test_pulls


def why(error: Exception) -> str:
    """Say why nobody tells, to stand in a sentence."""
    return error.why if isinstance(error, Unanswered) else "no plugin tells"


def films_of(ask: Ask, lacking: list[str]) -> tuple[Estimate, ...]:
    """Give the minutes each film takes."""
    try:
        from prep_stencils.answers import FilmTimes

        times = ask(FilmTimes).films
    except (ModuleNotFoundError, Unanswered) as error:
        lacking.append(f"Films aren't in these hours: {why(error)}.")
        return ()
    return tuple(film.cut + film.weed + film.place for film in times)
