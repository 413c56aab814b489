"""What screens go through between two washings: as the plan parts the work, or a day of printing alone."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from prep.errors import Unanswered
from prep.phrases import several
from prep_drying.run import Course, Due, Wait
from prep_drying.settings import DryingOrder
from prep_drying.wells import LONGEST_S

if TYPE_CHECKING:
    from prep.job import Ask, Job
    from prep.shop import Working
    from prep_drying.pace import Round
    from prep_plan.answers import BetweenWashings

_USUAL_DAY_S = 8 * 3600.0


@dataclass(frozen=True, slots=True)
class Cut:
    """How the run is parted by washing the screens out.

    :param courses: of each way what its parts go through, in the order of its rounds
    :param paused_s: of each way the time of all planned pauses, part by part
    :param says: how far the run is followed, and what of the order never comes in it; sentences
    """

    courses: Mapping[Working, tuple[Course, ...]]
    paused_s: Mapping[Working, tuple[float, ...]]
    says: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Prints:
    """How many prints a screen makes.

    :param tests: test pulls, before the first shirt
    :param all: these, shirts, and those printed again for spoilt ones
    :param shirts: good ones
    """

    tests: int
    all: int
    shirts: int

    def last_shirt(self, course: Course) -> int:
        """Give the shirt to which a course leads; spoilt ones are printed again after the last."""
        return max(0, min(self.shirts, course.prints - self.tests))


def in_a_day(
    job: Job,
    ask: Ask,
    workings: Mapping[Working, tuple[Round, ...]],
    working: Working,
    prints: Prints,
) -> Cut:
    """Give what a day takes that holds nothing but printing, part by part by its own pace.

    A rack that gets full is emptied while screens stand.

    :param working: the way that is chosen
    """
    order, day_s = job.settings(DryingOrder), _day_s(job)
    wipes = _wipes(order.wipe_every, _washed_every(job, ask))
    paused = (
        (Wait(Due(order.pause_every), order.pause_s),)
        if order.pause_every and order.pause_s
        else ()
    )
    courses = {
        way: tuple(
            Course(
                min(prints.all, max(1, int(day_s / float(part.cycle_s[0])))),
                (*paused, *_rack(job, prints, last=part is rounds[-1])),
                wipes,
                order.mist,
            )
            for part in rounds
        )
        for way, rounds in workings.items()
    }
    times = (prints.all - 1) // order.pause_every if order.pause_every else 0
    says = [] if not _washed_every(job, ask) else [_WASHED]
    if any(course.prints < prints.all for course in courses[working]):
        says.append(
            f"{prints.all} prints take longer than a day's printing ({day_s / 3600.0:g} h), so that drying"
            f" is told for a day, to shirt {_shirts(courses[working], prints)}: wash the screens out in the"
            " evening; each further day begins anew."
        )
    for key, every in (("pause_every", order.pause_every), ("wipe_every", order.wipe_every)):
        if every is not None and every >= prints.all:
            says.append(_never(key, every, prints))
    pause_s = times * (order.pause_s or 0.0)
    paused_s = {way: (pause_s,) * len(rounds) for way, rounds in workings.items()}
    return Cut(courses, paused_s, tuple(says))


def as_planned(
    job: Job,
    ask: Ask,
    workings: Mapping[Working, tuple[Round, ...]],
    working: Working,
    prints: Prints,
) -> Cut:
    """Give what is printed between two washings as the plan has it; without a plan, in a day.

    :param working: the way that is chosen
    """
    try:
        from prep_plan.answers import Stretches

        by_way = ask(Stretches).by_way
    except (ModuleNotFoundError, Unanswered):
        return in_a_day(job, ask, workings, working, prints)
    between = {
        (way, part): next(b for b in by_way[way].parts if set(b.screens) == set(part.screens))
        for way, rounds in workings.items()
        for part in rounds
    }
    courses = {
        way: tuple(
            _course(job, ask, part, between[way, part], prints, last=part is rounds[-1])
            for part in rounds
        )
        for way, rounds in workings.items()
    }
    pause_s = job.settings(DryingOrder).pause_s or 0.0
    paused_s = {
        way: tuple(pause_s * between[way, part].pauses.times for part in rounds)
        for way, rounds in workings.items()
    }
    says = tuple(_says(job, ask, by_way[working].parts, courses[working], prints))
    return Cut(courses, paused_s, says)


def _course(
    job: Job, ask: Ask, part: Round, between: BetweenWashings, prints: Prints, *, last: bool
) -> Course:
    order = job.settings(DryingOrder)
    waits: tuple[Wait, ...] = ()
    if order.pause_every and order.pause_s and between.pauses.after:
        waits = (Wait(Due(order.pause_every, between.pauses.after), order.pause_s),)
    if not between.washed:
        waits += _rack(job, prints, last=last)
    # a wiping that some stretches lack isn't counted on
    wiped = between.wipes.after if between.wipes.in_longest else 0
    wipes = _wipes(order.wipe_every, _washed_every(job, ask), wiped)
    most = max(1, int(LONGEST_S / float(part.cycle_s[0])))
    return Course(min(prints.tests + between.shirts, most), waits, wipes, order.mist)


def _wipes(every: int | None, washed: int, after: int | None = None) -> tuple[Due, ...]:
    """Give when openings are filled anew.

    :param every: that the order has them wiped out
    :param washed: shirts after which a screen is washed for its other ink; 0 = it isn't
    :param after: prints before the first wiping, 0 = it never comes; ``None`` = as many as from one to the
        next
    """
    found = () if not every or after == 0 else (Due(every, after),)
    return (*found, *((Due(washed),) if washed else ()))


def _rack(job: Job, prints: Prints, *, last: bool) -> tuple[Wait, ...]:
    """Give how long screens stand while a full rack is emptied: nine times out of ten no longer."""
    try:
        from prep_plan.rack import emptying
        from prep_plan.settings import Plan
    except ModuleNotFoundError:
        return ()
    rack = emptying(job.settings(Plan), last=last)
    if rack is None or rack.holds >= prints.all - prints.tests:
        return ()
    return (Wait(Due(rack.holds, prints.tests + rack.holds), rack.takes_s.high),)


_WASHED = "The screen is washed between its inks, so that its openings are filled anew each time."


def _says(
    job: Job,
    ask: Ask,
    parts: Sequence[BetweenWashings],
    courses: Sequence[Course],
    prints: Prints,
) -> Iterator[str]:
    if _washed_every(job, ask):
        yield _WASHED
    if any(
        course.prints < prints.tests + part.shirts
        for course, part in zip(courses, parts, strict=True)
    ):
        yield "The run is longer than 24 h of printing: drying is told for these alone."
    elif any(course.prints < prints.all for course in courses):
        yield _washed_out(job, parts, prints)
    order = job.settings(DryingOrder)
    for key, every, times in (
        ("pause_every", order.pause_every, sum(part.pauses.times for part in parts)),
        ("wipe_every", order.wipe_every, sum(part.wipes.times for part in parts)),
    ):
        if every and not times:
            yield _never(key, every, prints)


def _washed_out(job: Job, parts: Sequence[BetweenWashings], prints: Prints) -> str:
    """Say which screens are washed out before their last shirt, counting shirts as the plan does."""
    cut = [part for part in parts if part.shirts < prints.all - prints.tests]
    which = "Screens are"
    if len(cut) < len(parts):
        numbers = [str(job.screen(key).number) for part in cut for key in part.screens]
        which = f"Screen{' ' if len(numbers) == 1 else 's '}{several(numbers)}"
        which += " is" if len(numbers) == 1 else " are"
    when = "when the rack is full" if any(part.washed for part in cut) else "in the evening"
    after = several(dict.fromkeys(str(part.shirts) for part in cut))
    return (
        f"{which} washed out {when}, after {after} shirts at the"
        f" latest{', part by part' if len(cut) > 1 else ''}, counted from the first after the test pulls,"
        " spoilt ones too: drying is told to there, and what comes after begins anew."
    )


def _never(key: str, every: int, prints: Prints) -> str:
    if every < prints.all:
        return (
            f"{key} = {every} never comes: screens are washed out whenever it falls due; write a smaller"
            " number, or take it out."
        )
    return (
        f"{key} = {every} never comes in a run of {prints.all} prints, test pulls counted; write a smaller"
        " number, or take it out."
    )


def _shirts(courses: Sequence[Course], prints: Prints) -> str:
    return several(dict.fromkeys(str(prints.last_shirt(course)) for course in courses))


def _day_s(job: Job) -> float:
    try:
        from prep_plan.settings import Plan
    except ModuleNotFoundError:
        return _USUAL_DAY_S
    return job.settings(Plan).day_s


def _washed_every(job: Job, ask: Ask) -> int:
    """Give after how many shirts a screen is washed for its other ink; 0 = never."""
    try:
        from prep_base.answers import WaysToPrint
        from prep_base.settings import Base

        way = ask(WaysToPrint).way
    except (ModuleNotFoundError, Unanswered):
        return 0
    return job.settings(Base).platens if way.washes else 0
