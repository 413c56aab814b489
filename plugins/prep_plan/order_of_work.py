"""The order of work, told as the job is worked, and what is done now and then by shirt number."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from prep.phrases import several
from prep.sections import Block, Caution, CheckList, Paragraph, Section, Table

if TYPE_CHECKING:
    from prep.job import Job
    from prep.screens import Screen
    from prep_plan.answers import Line, PartOfWork, WorkPlan
    from prep_sequence.answers import Step

ORDER_OF_WORK = "Order of work"
"""Title of the steps where each part has its own set-up."""
HOT = (
    "Platens, flash dryer, heat press: burns. Never leave a dryer over a shirt; no sprays or aerosol tack"
    " near it; shirts scorch from some 200 °C. The makers' manuals come first."
)


def order_of_work(job: Job, plan: WorkPlan) -> Iterator[Section]:
    """Give the steps of a shirt, or of all shirts part by part where they are laid again."""
    if not all(part.steps for part in plan.parts):
        return
    (first, *more) = plan.parts
    flashed = any(step.does == "flash" for part in plan.parts for step in part.steps)
    cautions = (Caution(HOT),) if flashed else ()
    if not more:
        blocks: tuple[Block, ...] = (CheckList(tuple(_steps(job, first))),)
        title = "On each shirt, in this order"
        if first.lot:
            lot = "On each shirt" if first.lot == 1 else f"On each {first.lot} shirts that stay put"
            title = f"{lot}, in this order"
        yield Section("job", title, (*blocks, *cautions), rank=60)
        return
    steps: list[str] = []
    for k, part in enumerate(plan.parts):
        steps += _part(job, plan, part, last=k == len(plan.parts) - 1)
    how = "one colour on all shirts" if plan.by_colour else "all shirts with the frames that hang"
    told = (
        f"{how.capitalize()}, then the next on all again: each shirt is laid on the board"
        f" {len(plan.parts)} times. Mark on the board where collar and side seams lie."
    )
    yield Section(
        "job", ORDER_OF_WORK, (Paragraph(told), CheckList(tuple(steps)), *cautions), rank=60
    )


def _part(job: Job, plan: WorkPlan, part: PartOfWork, *, last: bool) -> Iterator[str]:
    screens = [job.screen(key) for key in part.screens]
    named = several([f"{screen.number} ({screen.ink})" for screen in screens])
    which = f"screen{'' if len(screens) == 1 else 's'} {named}"
    tests = "" if not plan.tests else f"; pull {plan.tests} test prints on scrap"
    yield f"Line up {which}, ink {_it(screens)}{tests}."
    steps = [step.removesuffix(".") for step in _steps(job, part)]
    on = "On the shirt" if plan.shirts == 1 else f"On each of the {plan.shirts} shirts"
    joined = "; then ".join(step[0].lower() + step[1:] for step in steps)
    yield f"{on}: {joined}."
    inks = several(dict.fromkeys(screen.ink for screen in screens))
    if last:
        return
    rack = plan.rack is not None and plan.rack < plan.shirts
    lie = f"{plan.rack} at a time, as the rack holds" if rack else "each apart"
    yield (
        f"Let the shirts dry to the touch, {lie}, before they are laid again; meanwhile scrape {inks} back"
        f" and wash {_it(screens)}."
    )


def _it(screens: Sequence[Screen]) -> str:
    return "it" if len(screens) == 1 else "them"


def _steps(job: Job, part: PartOfWork) -> Iterator[str]:
    """Give the steps of a part; where one screen is washed for its other ink, that too."""
    on_film: dict[str, str] = {}
    for step in part.steps:
        screen = job.screen(step.screen)
        if part.lot and step.does == "print":
            before = on_film.get(screen.film)
            if before is not None and before != screen.key:
                yield f"Wash the screen where it hangs, without moving it, and ink it with {screen.ink}."
            on_film[screen.film] = screen.key
        yield _step(job, step)
    if part.lot:
        first = job.screen(part.steps[0].screen)
        yield f"Wash the screen again and ink it with {first.ink}, unless these were the last shirts."


def _step(job: Job, step: Step) -> str:
    screen = job.screen(step.screen)
    if step.does == "flash":
        return f"Flash {screen.ink} until dry to the touch and let it cool: {step.takes_s:.0f} s."
    again = "" if screen.passes == 1 else f", pass {step.number} of {screen.passes}"
    return f"Print screen {screen.number}, {screen.ink}{again}."


def now_and_then(job: Job, plan: WorkPlan) -> Iterator[Section]:
    """Give what is done besides printing, by shirt number."""
    if not plan.lines:
        return
    alike: dict[tuple[int, str, str], list[Line]] = {}
    for line in plan.lines:
        alike.setdefault((line.part, line.before, line.do), []).append(line)
    rows = tuple(
        (before, _screens(job, plan, lines), do) for (_, before, do), lines in alike.items()
    )
    told = "Shirts are counted from the first after the test pulls, spoilt ones too."
    if plan.days > 1 and plan.table.days:
        told += " The next day begins anew: count from that day's first."
    if any(not line.shirts for line in plan.lines):
        told += (
            " Top up when little ink is left before the blade, and mist when it thickens: ranges say when"
            " to expect it, eight times out of ten."
        )
    yield Section(
        "job",
        "Now and then, by shirt number",
        (Table(("Before", "Screen", "Do"), rows, caption=told),),
        rank=61,
    )


def _screens(job: Job, plan: WorkPlan, lines: Sequence[Line]) -> str:
    """Name the screens that something is done to alike."""
    part = plan.parts[lines[0].part].screens
    own = [line.screen for line in lines if line.screen]
    if len(own) == 1:
        screen = job.screen(own[0])
        return f"{screen.number} {screen.ink}"
    return several([str(job.screen(key).number) for key in own or part])
