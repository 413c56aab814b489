"""The run card: what is set up, the order of work, how the ink is kept open, the hours, the cautions."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from prep.errors import Unanswered
from prep.phrases import at_least, length, several
from prep.sections import Block, Caution, CheckList, Paragraph, Section, Table
from prep_plan.answers import WorkPlan
from prep_plan.on_screen import screen_sections
from prep_plan.words import at_most_minutes, chance, grams, hours, minutes, shirts

if TYPE_CHECKING:
    from prep.estimate import Estimate
    from prep.job import Ask, Job
    from prep_drying.answers import Drying, Helps, RunOf, ScreenRun
    from prep_sequence.answers import PrintSteps, Step
    from prep_squeegee.answers import Pulls

MOST_HELPS = 6
"""Lines of the table of what helps."""
HOT = (
    "Platens, flash dryer, heat press: burns. Never leave a dryer over a shirt; no sprays or aerosol tack"
    " near it; shirts scorch from some 200 °C. The makers' manuals come first."
)
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
    yield _set_up(job, ask)
    steps = _steps(ask)
    if steps is not None:
        yield _order_of_work(job, steps)
    yield from run_sections(job, ask, plan)
    yield _afterwards(job, plan)


def sheet_sections(job: Job, ask: Ask) -> Iterator[Section]:
    """Give what the sheet has of the plan."""
    yield from run_sections(job, ask, ask(WorkPlan))
    drying = _drying(ask)
    if drying is not None:
        yield from screen_sections(job, drying)


def run_sections(job: Job, ask: Ask, plan: WorkPlan) -> Iterator[Section]:
    """Give how the ink is kept open, what helps and the hours: the sheet has these too."""
    drying = _drying(ask)
    if drying is not None:
        yield keeping_open(job, drying)
        helps = _helps(ask)
        if helps is not None and helps.helps:
            yield what_helps(helps)
    yield timetable_section(plan)


def keeping_open(job: Job, drying: Drying) -> Section:
    """Say how the run stands against drying, and what is done when on each screen."""
    run, air = drying.run, drying.air
    stands, fed = [], []
    for screen in job.screens:
        one, idle = run[screen.key], drying.idle[screen.key].finest
        called = f"{screen.number} {screen.ink}"
        stands.append(
            (called, chance(one.fits), _range(idle.cleared_s), _range(idle.flooded_s), _pause(one))
        )
        fed.append(
            (
                called,
                f"{one.load_g.value:.0f} g",
                _first_top_up(one),
                _care(one, misted=drying.mist != "never"),
            )
        )
    told = (
        f"{_climate(air.climate, air.assumed)} Water leaves the ink at {air.flux_kg_m2_h.value:.2f}"
        f" kg/m² in an hour ({air.flux_kg_m2_h.low:.2f} to {air.flux_kg_m2_h.high:.2f}), the film at"
        f" some {air.film_c.value:.0f} °C. Worked {_worked(run)},"
        f" {'flooded' if drying.flooded else 'not flooded'} after each print: every screen's finest"
        f" opening stays open to the last shirt {chance(run.fits)}."
    )
    if run.first_lost is not None and run.fits < 0.95:
        told += f" Where one clogs, the first does at {shirts(run.first_lost)}."
    blocks: list[Block] = [
        Paragraph(told),
        Table(
            ("Screen", "Stays open", "Idle, cleared", "Idle, flooded", "Print to print at most"),
            tuple(stands),
            caption="Ranges hold eight times out of ten; they are wide until you have weighed a flooded"
            " screen and timed one open ([drying] in shop.toml). Stays open: the finest opening, to the"
            " last shirt.",
        ),
        Table(("Screen", "Ink at first", "First top-up", "Besides"), tuple(fed)),
        *(Paragraph(text) for text in (*air.outside, *drying.says)),
    ]
    top_ups = _top_ups(job, run)
    if top_ups:
        blocks.append(
            Table(("Top up", "Before", "With fresh ink", "How often it comes to it"), top_ups)
        )
    blocks.append(Caution(NO_HEAT))
    return Section("job", "Keeping the ink open", tuple(blocks), rank=62)


def what_helps(helps: Helps) -> Section:
    """Give the table of what helps most."""
    rows = tuple(
        (
            one.what,
            chance(one.fits),
            "nothing" if abs(one.gained) < 0.005 else f"{100 * one.gained:+.0f} points",
            one.costs,
        )
        for one in helps.helps[:MOST_HELPS]
    )
    return Section(
        "job",
        "What helps most here",
        (
            Table(
                ("What", "Run stays open", "Gained", "What it costs"),
                rows,
                caption=f"As it is, the run stays open {chance(helps.fits)}. Each line is the same run, in"
                " the same possible worlds, with this one thing changed.",
            ),
        ),
        rank=63,
    )


def timetable_section(plan: WorkPlan) -> Section:
    """Give the hours."""
    rows = tuple((e.what, e.rests, hours(e.hours)) for e in plan.table.entries)
    whole = ("all of it", "", hours(plan.table.whole))
    press = plan.table.hours("at the press", "after")
    told = (
        f"A shirt takes {minutes(plan.per_shirt_s.low, plan.per_shirt_s.high)} at the press. Press work,"
        f" cure and clean-up together: {hours(press)}."
    )
    if plan.days > 1:
        told += (
            f" That is more than a day's work: part the run over {plan.days} days, and wash the screens"
            " out in the evening."
        )
    if plan.waiting:
        told += f" Until they are cured, {plan.waiting} shirts lie or hang apart"
        if plan.rack is None:
            told += "."
        elif plan.rack < plan.waiting:
            told += f", and there is room for {plan.rack}: cure each {plan.rack} before going on."
        else:
            told += f"; there is room for {plan.rack}."
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
        *(Paragraph(text) for text in plan.lacking),
    ]
    return Section("job", "Hours", tuple(blocks), rank=66)


def _set_up(job: Job, ask: Ask) -> Section:
    pulls, units = _pulls(ask), job.shop.units
    rows = []
    for screen in job.screens:
        pull = None if pulls is None else pulls[screen.key]
        frame = squeegee = contact = ""
        if pull is not None:
            frame = pull.frame or "none in stock"
            blade = pull.squeegee_mm
            squeegee = "none in stock" if blade is None else at_least(blade, units)
            contact = length(pull.off_contact_mm, units)
        rows.append(
            (
                str(screen.number),
                screen.ink,
                screen.mesh,
                frame,
                squeegee,
                contact,
                f"{screen.passes}",
            )
        )
    head = ("", "Ink", "Mesh", "Frame", "Squeegee", "Off-contact", "Passes")
    kept = tuple(i for i, _ in enumerate(head) if any(row[i] for row in rows))
    table = Table(
        tuple(head[i] for i in kept),
        tuple(tuple(row[i] for i in kept) for row in rows),
        caption=f"{job.artwork.name}: {job.setup.name}, {job.setup.shirts} shirts." + _sizes(job),
    )
    return Section("job", "Set up", (table,), rank=20)


def _sizes(job: Job) -> str:
    parts = [
        f"{batch.garment}: {', '.join(f'{size} {count}' for size, count in batch.sizes)}"
        for batch in job.setup.batches
    ]
    return f" {'; '.join(parts)}."


def _order_of_work(job: Job, steps: PrintSteps) -> Section:
    done = tuple(_step(job, step) for step in steps.steps)
    blocks: list[Block] = [CheckList(done)]
    if steps.flashes:
        blocks.append(Caution(HOT))
    return Section("job", "On each shirt, in this order", tuple(blocks), rank=60)


def _step(job: Job, step: Step) -> str:
    screen = job.screen(step.screen)
    if step.does == "take off":
        return "Take the shirts off and let them dry; line up the next screens."
    if step.does == "flash":
        return f"Flash {screen.ink} until dry to the touch and let it cool: {step.takes_s:.0f} s."
    again = "" if screen.passes == 1 else f", pass {step.number} of {screen.passes}"
    return f"Print screen {screen.number}, {screen.ink}{again}."


def _afterwards(job: Job, plan: WorkPlan) -> Section:
    inks = several(dict.fromkeys(screen.ink for screen in job.screens))
    return Section(
        "job",
        "Cure and clean up",
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
            Caution(CURING),
            Caution(CLEANING),
        ),
        rank=70,
    )


def _climate(climate: tuple[str, ...], assumed: str) -> str:
    said = f"At the screens: {several(climate)}"
    return f"{said} ({assumed})." if assumed else f"{said}."


def _worked(run: RunOf) -> str:
    return f"{run.working} in {minutes(run.run_s.low, run.run_s.high)}"


def _range(time: Estimate) -> str:
    return minutes(time.low, time.high)


def _pause(one: ScreenRun) -> str:
    """Give the longest time from print to print that nine draws in ten allow."""
    if one.pause_s.low <= 0:
        return (
            "none is safe" if one.pause_s.value <= 0 else f"often {minutes(0, one.pause_s.value)}"
        )
    return at_most_minutes(one.pause_s.low)


def _first_top_up(one: ScreenRun) -> str:
    if not one.top_ups:
        return "none"
    first = one.top_ups[0]
    return f"{grams(first.grams)} before {shirts(first.shirt)}"


def _care(one: ScreenRun, *, misted: bool) -> str:
    says = []
    if one.wipe_before:
        says.append(f"wipe openings before shirt {one.wipe_before}")
    if misted and one.mist_from is not None:
        low, high = one.mist_g_per_h.low, one.mist_g_per_h.high
        says.append(
            f"mist {low:.0f} to {high:.0f} g of water an hour from {shirts(one.mist_from)} on"
        )
    return "; ".join(says)


def _top_ups(job: Job, run: RunOf) -> tuple[tuple[str, ...], ...]:
    """Give the second and further top-ups of each screen; the first stands with the screen."""
    return tuple(
        (f"{screen.number} {screen.ink}", shirts(one.shirt), grams(one.grams), chance(one.chance))
        for screen in job.screens
        for one in run[screen.key].top_ups[1:]
        if one.chance >= 0.1
    )


def _steps(ask: Ask) -> PrintSteps | None:
    try:
        from prep_sequence.answers import PrintSteps

        return ask(PrintSteps)
    except (ModuleNotFoundError, Unanswered):
        return None


def _pulls(ask: Ask) -> Pulls | None:
    try:
        from prep_squeegee.answers import Pulls

        return ask(Pulls)
    except (ModuleNotFoundError, Unanswered):
        return None


def _drying(ask: Ask) -> Drying | None:
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
