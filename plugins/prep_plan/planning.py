"""From a job to the course and the hours of its work."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from prep.errors import Unanswered
from prep.estimate import DRAWS, Estimate
from prep_plan.answers import Line, PartOfWork, WorkPlan
from prep_plan.care import Asked, Rack, anew, emptied, lines_of, pauses, rack_line, stops_of
from prep_plan.course import Part, Stop
from prep_plan.parameters import SHIRT, WASH, in_force
from prep_plan.settings import Plan
from prep_plan.timetable import Timetable, Work, seconds, timetable
from prep_plan.words import minutes

if TYPE_CHECKING:
    from prep.job import Ask, Job
    from prep_drying.answers import Drying


@dataclass(frozen=True, slots=True)
class _Scene:
    """What hours and lines follow from.

    :param drying: ``None`` where nobody tells
    :param one: seconds of each thing, by its key in ``[plan]``
    :param cycles_s: of each part
    """

    job: Job
    chosen: Plan
    drying: Drying | None
    one: Mapping[str, Estimate]
    asked: Asked
    parts: tuple[PartOfWork, ...]
    cycles_s: tuple[Estimate, ...]

    @property
    def alone(self) -> bool:
        """Whether the dryer works by itself."""
        return self.chosen.cure_by == "conveyor dryer"

    def films(self, part: PartOfWork) -> int:
        """Count the films set up for a part."""
        return len({self.job.screen(key).film for key in part.screens})


def work_plan(job: Job, ask: Ask) -> WorkPlan:
    """Answer how the work of a set-up goes and how long it takes.

    :raises Unanswered: nothing is printed
    """
    if not job.screens:
        raise Unanswered("nothing is printed, so nothing takes time")
    lacking: list[str] = []
    chosen = job.settings(Plan)
    films = _films(ask, lacking)
    drying = _drying(ask, lacking)
    tests, spoilt = _besides(job, ask, lacking)
    shirts = job.setup.shirts + spoilt
    parts = _parts(job, ask, drying)
    times = in_force(chosen)
    scene = _Scene(
        job,
        chosen,
        drying,
        {key: seconds(parameter) for key, parameter in times.items()},
        _asked(job, tests, drying),
        parts,
        _cycles_s(job, drying, parts),
    )
    work = Work(
        films=films,
        inks=len({screen.ink for screen in job.screens}),
        tests=tests,
        shirts=shirts,
        parts=tuple(_part(scene, k) for k in range(len(parts))),
        alone=scene.alone,
    )
    day_h = chosen.day_s / 3600.0
    table = timetable(work, times, day_h)
    return WorkPlan(
        table=table,
        parts=parts,
        lines=tuple(_lines(scene, table, shirts)),
        by_colour=drying is not None and drying.run.working == "colour by colour",
        tests=tests,
        shirts=shirts,
        per_shirt_s=work.shirt_s,
        cured_by=chosen.cure_by,
        waiting=_waiting(scene, table, shirts),
        rack=chosen.rack,
        days=table.count_days(day_h),
        day_h=day_h,
        lacking=tuple(lacking),
    )


def _parts(job: Job, ask: Ask, drying: Drying | None) -> tuple[PartOfWork, ...]:
    """Give what is set up together, in working order."""
    together = (
        (tuple(screen.key for screen in job.screens),) if drying is None else drying.run.together
    )
    try:
        from prep_sequence.answers import PrintSteps
        from prep_sequence.working import parts_of

        films = {screen.key: screen.film for screen in job.screens}
        by_colour = drying is not None and drying.run.working == "colour by colour"
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


def _cycles_s(job: Job, drying: Drying | None, parts: Sequence[PartOfWork]) -> tuple[Estimate, ...]:
    """Give the seconds from one shirt to the next in each part.

    That of a screen printed once is the time between its prints; what is left of a shirt's time is that of
    the parts without such a screen, by their prints.
    """
    passes = [sum(job.screen(key).passes for key in part.screens) for part in parts]
    if drying is None:
        return tuple(seconds(SHIRT) * count for count in passes)
    run = drying.run
    if len(parts) == 1:
        return (run.shirt_s,)
    known: list[Estimate | None] = [
        next((run[key].between_s for key in part.screens if job.screen(key).passes == 1), None)
        for part in parts
    ]
    rest = run.shirt_s
    for cycle in known:
        if cycle is not None:
            rest = rest + cycle * -1.0
    unknown = sum(count for count, cycle in zip(passes, known, strict=True) if cycle is None)
    return tuple(
        rest * (count / unknown) if cycle is None else cycle
        for count, cycle in zip(passes, known, strict=True)
    )


def _part(scene: _Scene, k: int) -> Part:
    part, cycle_s = scene.parts[k], scene.cycles_s[k]
    stops: list[Stop] = list(pauses(scene.asked, _second()))
    if scene.drying is not None:
        runs = {key: scene.drying.run[key] for key in part.screens}
        stops += stops_of(runs, scene.drying.mist, scene.asked, cycle_s, scene.one)
    rack = _rack(scene, k)
    fresh = _fresh(part, rack)
    if fresh:
        stops = [anew(stop, fresh) for stop in stops]
    if part.lot:
        lot, wash = part.lot, _wash(scene.job)
        stops.append(Stop("wash for the other ink", wash, lambda n: 2 * -(-n // lot) - 1))
    if rack is not None:
        stops += emptied(rack)
    return Part(scene.films(part), cycle_s, tuple(stops))


def _rack(scene: _Scene, k: int) -> Rack | None:
    """Give how the rack is emptied in a part, where it is smaller than the run.

    Before the last part shirts are dried to the touch and stacked, after it they are cured. Screens that
    stand idle longer than they may are washed out meanwhile, and tried on scrap before going on.
    """
    holds, last = scene.chosen.rack, k == len(scene.parts) - 1
    if holds is None or (last and scene.alone):
        return None
    screens = scene.parts[k].screens
    takes = scene.one["cure" if last else "dry"] * holds
    stands = 0.0
    if scene.drying is not None:
        stands = min(scene.drying.run[key].pause_s.low for key in screens)
    washed = takes.value > stands
    how = f"cure the {holds} that wait" if last else f"dry the {holds} to the touch, and stack them"
    do = f"the rack is full: {how}, {minutes(takes.low, takes.high)}"
    costs = None if last else takes
    if washed:
        wash = scene.one["clean"] * scene.films(scene.parts[k]) + scene.cycles_s[k]
        costs = wash if costs is None else costs + wash
        do += "; wash screens out before, where they hang, try them on scrap after, and count anew"
    else:
        do += "; screens can stand so long"
    return Rack(holds, takes, costs, washed, do)


def _waiting(scene: _Scene, table: Timetable, shirts: int) -> int:
    """Count the shirts that lie to dry at a time: a day's, or all where they wait for another colour."""
    if len(scene.parts) > 1:
        return shirts
    if scene.alone:
        return 0
    return max((stretch.shirts for day in table.days for stretch in day), default=shirts)


def _fresh(part: PartOfWork, rack: Rack | None) -> int:
    """Give after how many shirts screens are washed and all begins anew; 0 = not before the evening."""
    after = [rack.holds] if rack is not None and rack.washed else []
    after += [part.lot] if part.lot else []
    return min(after, default=0)


def _lines(scene: _Scene, table: Timetable, shirts: int) -> Iterator[Line]:
    for k, part in enumerate(scene.parts):
        stretches = [s.shirts for day in table.days for s in day if s.part == k]
        count = max(stretches, default=shirts)
        found: list[Line] = []
        rack = _rack(scene, k)
        if scene.drying is not None:
            until = min(count, _fresh(part, rack) or count)
            found += lines_of(k, scene.drying, part.screens, scene.asked, until)
        if rack is not None:
            found += rack_line(k, rack, count)
        yield from sorted(found, key=lambda line: line.from_shirt)


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


def _films(ask: Ask, lacking: list[str]) -> tuple[Estimate, ...]:
    try:
        from prep_stencils.answers import FilmTimes

        times = ask(FilmTimes).films
    except (ModuleNotFoundError, Unanswered) as error:
        lacking.append(f"Films aren't in these hours: {_why(error)}.")
        return ()
    return tuple(film.cut + film.weed + film.place for film in times)


def _drying(ask: Ask, lacking: list[str]) -> Drying | None:
    try:
        from prep_drying.answers import Drying

        return ask(Drying)
    except (ModuleNotFoundError, Unanswered) as error:
        lacking.append(f"Hours of printing are a rough guess: {_why(error)}.")
        return None


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
