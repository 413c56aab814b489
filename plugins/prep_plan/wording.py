"""The run card: what is set up, the order of work, how the ink is kept open, the hours, the cautions."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from prep.errors import Unanswered
from prep.phrases import at_least, length, several, temperatures
from prep.sections import Block, Caution, CheckList, Paragraph, Section, Table
from prep_plan.answers import WorkPlan
from prep_plan.on_screen import screen_sections
from prep_plan.order_of_work import now_and_then, order_of_work
from prep_plan.why import DRYING, HOURS, care_section, why_section
from prep_plan.words import at_most_minutes, chance, gained, hours, minutes, points, shirts

if TYPE_CHECKING:
    from prep.estimate import Estimate
    from prep.job import Ask, Job
    from prep.screens import Screen
    from prep_drying.answers import Drying, Helps, ScreenRun
    from prep_squeegee.answers import Pulls

SET_UP, AFTERWARDS = "Set up", "Cure and clean up"
"""Titles of the card's first and last part."""
MOST_HELPS = 6
"""Lines of the table of what helps."""
NO_HEAT = (
    "No heat gun on a screen with film: above some 40 °C film lifts and can give off fumes. Wipe with a"
    " damp cloth."
)
CLEANING = (
    "Gloves, and goggles where water is sprayed. No ink into the drain unless local rules allow it; the"
    " ink's safety data sheet comes first."
)
CURING = (
    "Fresh air while shirts cure: fumes and steam. Never a kitchen oven or kitchen tools, which would be"
    " used for food again. The ink maker's time and temperature come first; polyester is tried first from"
    " 129 °C on."
)


def card(job: Job, ask: Ask, plan: WorkPlan) -> Iterator[Section]:
    """Give the whole run card."""
    yield _set_up(job, ask, plan)
    yield from order_of_work(job, ask, plan)
    yield from run_sections(job, ask, plan)
    yield _afterwards(job, plan)


def sheet_sections(job: Job, ask: Ask, failing: int = 0) -> Iterator[Section]:
    """Give what the sheet has of the plan.

    :param failing: findings of the job that will fail if nothing is done
    """
    plan = ask(WorkPlan)
    yield from order_of_work(job, ask, plan, whole=True, failing=failing)
    yield from run_sections(job, ask, plan)
    drying = drying_of(ask)
    if drying is not None:
        yield from screen_sections(job, ask, drying)
    yield why_section(job, ask, plan)
    if drying is not None:
        yield care_section(job, drying)


def run_sections(job: Job, ask: Ask, plan: WorkPlan) -> Iterator[Section]:
    """Give what is done now and then, how the ink is kept open, what helps and the hours.

    The sheet has these too.
    """
    yield from now_and_then(job, plan)
    drying = drying_of(ask)
    if drying is not None:
        yield keeping_open(job, drying)
        helps = _helps(ask)
        if helps is not None and helps.helps:
            yield what_helps(helps, job.shop.units)
    yield timetable_section(job, plan)


STANDS = (
    "Screen",
    "Ink at first",
    "Stays open",
    "Idle, cleared",
    "Idle, flooded",
    "Print to print at most",
)
"""Head of what is told of each screen's drying."""


def stands(job: Job, drying: Drying) -> tuple[tuple[str, ...], ...]:
    """Give a row for each screen: how it stands against drying."""
    rows = []
    for screen in job.screens:
        one, idle = drying.run[screen.key], drying.idle[screen.key].finest
        rows.append(
            (
                f"{screen.number} {screen.ink}",
                f"{one.load_g.value:.0f} g",
                chance(one.fits),
                _range(idle.cleared_s),
                _range(idle.flooded_s),
                _pause(one),
            )
        )
    return tuple(rows)


def keeping_open(job: Job, drying: Drying) -> Section:
    """Say how the run stands against drying."""
    run, air = drying.run, drying.air
    told = (
        f"{_climate(air.climate, air.assumed)} Water leaves the ink at {air.flux_kg_m2_h.value:.2f}"
        f" kg/m² in an hour ({air.flux_kg_m2_h.low:.2f} to {air.flux_kg_m2_h.high:.2f}), the film at"
        f" some {air.film_c.value:.0f} °C. Worked {run.working},"
        f" {'flooded' if drying.flooded else 'not flooded'} after each print: every screen's finest"
        f" opening stays open to {drying.upto} {chance(run.fits)}."
    )
    if run.first_lost is not None and run.fits < 0.95:
        told += f" Where one clogs, the first does at {shirts(run.first_lost)}."
    blocks: list[Block] = [
        Paragraph(temperatures(told, job.shop.units)),
        Table(
            STANDS,
            stands(job, drying),
            caption="Ranges hold eight times out of ten; they are wide until you have weighed a flooded"
            " screen and timed one open. Stays open: the finest opening, to"
            f" {drying.upto}.",
        ),
        *(Paragraph(text) for text in (*air.outside, *drying.says)),
        Caution(temperatures(NO_HEAT, job.shop.units)),
    ]
    return Section("job", "Keeping the ink open", tuple(blocks), rank=62, rests_on=DRYING)


def open_section(dried: Sequence[tuple[int, Job, Drying]]) -> Section:
    """Give how long each ink of each set-up stays open and may stand, in one table.

    :param dried: set-ups whose drying is known, with their numbers
    """
    rows = tuple((str(n), *row) for n, job, drying in dried for row in stands(job, drying))
    told = (
        "Stays open: the finest opening, to the last shirt or to the evening's wash. Idle: how long a"
        " screen may stand, its mesh cleared or flooded. Ranges hold eight times out of ten. What to do"
        " against drying, by shirt number, stands on the set-ups' pages."
    )
    return Section(
        "job",
        "Keeping the ink open, in all set-ups",
        (Table(("Set-up", *STANDS), rows, "l" * (len(STANDS) + 1), told),),
        rank=69,
    )


def what_helps(helps: Helps, units: str = "metric") -> Section:
    """Give the table of what helps most, or say that nothing does."""
    blocks = (_helping(helps, units),)
    return Section("job", "What helps most here", blocks, rank=63, rests_on=DRYING)


def _helping(helps: Helps, units: str) -> Block:
    if all(points(one.gained) == 0 for one in helps.helps):
        if helps.fits >= 0.95:
            return Paragraph(
                "As it is, the run stays open nearly always: nothing more is needed against drying."
            )
        tried = "; ".join(temperatures(one.what, units) for one in helps.helps)
        return Paragraph(
            f"As it is, the run stays open {chance(helps.fits)}, and none of these gains anything by"
            f" itself: {tried}."
        )
    rows = tuple(
        (temperatures(one.what, units), chance(one.fits), gained(one.gained), one.costs)
        for one in helps.helps[:MOST_HELPS]
    )
    return Table(
        ("What", "Run stays open", "Gained", "What it costs"),
        rows,
        caption=f"As it is, the run stays open {chance(helps.fits)}. Each line is the same run, in the same"
        " possible worlds, with this one thing changed.",
    )


def timetable_section(job: Job, plan: WorkPlan) -> Section:
    """Give the hours."""
    rows = tuple((e.what, e.rests, hours(e.hours)) for e in plan.table.entries)
    whole = ("all of it", "", hours(plan.table.whole))
    press = plan.table.hours("at the press", "after")
    told = (
        f"A shirt takes {minutes(plan.per_shirt_s.low, plan.per_shirt_s.high)} at the press"
        f"{', all its layings together' if len(plan.parts) > 1 else ''}. Press work, cure and clean-up"
        f" together: {hours(press)}."
    )
    one_go = plan.table.one_go_h
    if plan.longer_by_days:
        told += (
            f" In one go it would be {one_go:.1f} h, {one_go - plan.day_h:.1f} h over a day's work."
        )
    if plan.table.too_short:
        told += (
            f" A day of {plan.day_h:.3g} h is too short for lining up, test pulls, one shirt and clean-up,"
            " so the work isn't parted into days: make the day longer."
        )
    if plan.waiting:
        told += f" {_waiting(plan)}"
    slowest = max(plan.table.entries, key=lambda e: e.hours.value)
    blocks: list[Block] = [
        Table(
            ("Step", "What", "Hours"),
            (*rows, whole),
            "llr",
            caption="One printer, one step after another. In brackets: the range it lies in eight times"
            f" out of ten. Longest: {slowest.what}. Cured by {plan.cured_by}.",
        ),
        Paragraph(told),
        *_days(job, plan),
        *(Paragraph(text) for text in plan.lacking),
    ]
    return Section("job", "Hours", tuple(blocks), rank=66, rests_on=(HOURS,))


def _waiting(plan: WorkPlan) -> str:
    """Say how many shirts lie to dry, and whether there is room."""
    until = (
        "Until they are cured"
        if len(plan.parts) == 1
        else "Between colours and until they are cured"
    )
    lie = plan.waiting
    said = f"{until}, {'1 shirt lies' if lie == 1 else f'{lie} shirts lie'} to dry, none on another"
    if plan.rack is None:
        return f"{said}."
    if plan.rack < lie:
        return f"{said}, and there is room for {plan.rack}: empty the rack as told by shirt number."
    return f"{said}; there is room for {plan.rack}."


def _days(job: Job, plan: WorkPlan) -> Iterator[Block]:
    """Give the table of days, where there are several."""
    if len(plan.table.days) < 2:
        return
    rows = []
    for number, day in enumerate(plan.table.days, start=1):
        for stretch in day:
            screens = [str(job.screen(key).number) for key in plan.parts[stretch.part].screens]
            first, last = stretch.first, stretch.last
            which = f"{first}" if first == last else f"{first} to {last}"
            rows.append((str(number), several(screens), which, f"{stretch.hours:.1f} h"))
    yield Table(
        ("Day", "Screens", "Shirts", "Hours"),
        tuple(rows),
        "lllr",
        caption=f"Days of {plan.day_h:.3g} h, by likeliest times: each begins with lining up and test pulls"
        " and ends with clean-up; what is finished is cured on that day. Films and inks are ready before."
        " The second day's colour may differ: keep a print to hold beside it.",
    )


@dataclass(frozen=True, slots=True)
class SetUpScreen:
    """What a screen is set up with; ``None`` = nobody tells, or none in stock.

    :param frame: its name
    :param load_g: ink put on at first
    """

    screen: Screen
    frame: str | None
    squeegee_mm: float | None
    off_contact_mm: float | None
    load_g: float | None


def set_up_of(job: Job, ask: Ask) -> Iterator[SetUpScreen]:
    """Give what each screen is set up with, in print order."""
    pulls, drying = _pulls(ask), drying_of(ask)
    for screen in job.screens:
        pull = None if pulls is None else pulls[screen.key]
        yield SetUpScreen(
            screen,
            None if pull is None else pull.frame or None,
            None if pull is None else pull.squeegee_mm,
            None if pull is None else pull.off_contact_mm,
            None if drying is None else drying.run[screen.key].load_g.value,
        )


def _set_up(job: Job, ask: Ask, plan: WorkPlan) -> Section:
    units, known = job.shop.units, _pulls(ask) is not None
    none = "none in stock" if known else ""
    rows = []
    for one in set_up_of(job, ask):
        blade, contact = one.squeegee_mm, one.off_contact_mm
        rows.append(
            (
                str(one.screen.number),
                one.screen.ink,
                one.screen.mesh,
                one.frame or none,
                none if blade is None else at_least(blade, units),
                "" if contact is None else length(contact, units),
                f"{one.screen.passes}",
            )
        )
    head = ("", "Ink", "Mesh", "Frame", "Squeegee", "Off-contact", "Passes")
    kept = tuple(i for i, _ in enumerate(head) if any(row[i] for row in rows))
    table = Table(
        tuple(head[i] for i in kept),
        tuple(tuple(row[i] for i in kept) for row in rows),
        caption=f"{job.artwork.name}: {job.setup.name}, {_shirts(job)}{_spoilt(job, plan)}."
        + _sizes(job),
    )
    blocks: list[Block] = [table]
    if len(plan.parts) == 1:
        blocks.append(CheckList(tuple(_before_the_first(job, ask, plan))))
    return Section("job", SET_UP, tuple(blocks), rank=20)


def _before_the_first(job: Job, ask: Ask, plan: WorkPlan) -> Iterator[str]:
    """Give what is done at the press before the first shirt; in several parts each has its own."""
    count = len(job.films)
    yield f"Hang and line up {'the screen' if count == 1 else f'the {count} screens'}."
    drying = drying_of(ask)
    if plan.parts[0].lot:
        yield f"Ink it with {job.screens[0].ink}."
    elif drying is not None:
        inks = several(
            [
                f"{drying.run[s.key].load_g.value:.0f} g of {s.ink} on {s.number}"
                for s in job.screens
            ]
        )
        yield f"Put ink on: {inks}."
    if plan.tests:
        yield (
            f"Pull {plan.tests} test prints on scrap of the same cloth; compare them with the artwork, the"
            " finest parts first."
        )


def _shirts(job: Job) -> str:
    return "1 shirt" if job.setup.shirts == 1 else f"{job.setup.shirts} shirts"


def _spoilt(job: Job, plan: WorkPlan) -> str:
    more = plan.shirts - job.setup.shirts
    return f", {more} more to make up for spoilt ones" if more else ""


def _sizes(job: Job) -> str:
    parts = [
        f"{batch.garment}: {', '.join(f'{size} {count}' for size, count in batch.sizes)}"
        for batch in job.setup.batches
    ]
    return f" {'; '.join(parts)}."


def _afterwards(job: Job, plan: WorkPlan) -> Section:
    inks = several(dict.fromkeys(screen.ink for screen in job.screens))
    return Section(
        "job",
        AFTERWARDS,
        (
            CheckList(
                (
                    f"Cure one test print by {plan.cured_by}, and wash it, before the run is cured.",
                    "Cure the run; count good and spoilt shirts by size.",
                    f"Scrape {inks} back, weigh what is left and write it down; throw away mixes with an"
                    " activator or cross-linker, and discharge ink.",
                    "Wash screens and squeegees before ink dries in the mesh.",
                )
            ),
            Caution(temperatures(CURING, job.shop.units)),
            Caution(CLEANING),
        ),
        rank=70,
    )


def _climate(climate: tuple[str, ...], assumed: str) -> str:
    said = f"At the screens: {several(climate)}"
    return f"{said} ({assumed})." if assumed else f"{said}."


def _range(time: Estimate) -> str:
    return minutes(time.low, time.high)


def _pause(one: ScreenRun) -> str:
    """Give the longest time from print to print that nine draws in ten allow."""
    if one.pause_s.low <= 0:
        return (
            "none is safe" if one.pause_s.value <= 0 else f"often {minutes(0, one.pause_s.value)}"
        )
    return at_most_minutes(one.pause_s.low)


def _pulls(ask: Ask) -> Pulls | None:
    try:
        from prep_squeegee.answers import Pulls

        return ask(Pulls)
    except (ModuleNotFoundError, Unanswered):
        return None


def drying_of(ask: Ask) -> Drying | None:
    """Ask how the run stands against drying; ``None`` where nobody knows."""
    try:
        from prep_drying.answers import Drying

        return ask(Drying)
    except (ModuleNotFoundError, Unanswered):
        return None


def _helps(ask: Ask) -> Helps | None:
    try:
        from prep_drying.answers import Helps

        return ask(Helps)
    except (ModuleNotFoundError, Unanswered):
        return None
