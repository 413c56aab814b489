"""The order of work, told as the job is worked, and what is done now and then by shirt number."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from prep.errors import Unanswered
from prep.phrases import several, temperatures
from prep.sections import Caution, CheckList, Paragraph, Section, Table
from prep.setups import expand
from prep_plan import why

if TYPE_CHECKING:
    from prep.job import Ask, Job
    from prep.screens import Screen
    from prep_plan.answers import Line, PartOfWork, WorkPlan
    from prep_sequence.answers import Step

ORDER_OF_WORK = "Order of work"
"""Title of the steps where each part has its own set-up."""
NOW_AND_THEN = "Now and then, by shirt number"
"""Title of the table of what is done besides printing."""
TACK = (
    "Tack the board thinly and evenly, as the tack's maker says, and anew when shirts begin to slip; air"
    " the room, and no spray near heat."
)
AGAIN = "Then the next shirt, the same way"
HOT = (
    "Platens, flash dryer, heat press: burns. Never leave a dryer over a shirt; no sprays or aerosol tack"
    " near it; shirts scorch from some 200 °C. The makers' manuals come first."
)


def order_of_work(
    job: Job, ask: Ask, plan: WorkPlan, *, whole: bool = False, failing: int = 0
) -> Iterator[Section]:
    """Give the steps of a shirt, or of all shirts part by part where they are laid again.

    :param whole: from mixing to the cure, for who has these steps alone before them; else setting up and
        what comes after stand elsewhere
    :param failing: findings that will fail, so that it is settled first whether to go on
    """
    if not all(part.steps for part in plan.parts):
        return
    (first, *more) = plan.parts
    flashed = any(step.does == "flash" for part in plan.parts for step in part.steps)
    cautions = (Caution(temperatures(HOT, job.shop.units)),) if flashed else ()
    laying = _laying(ask)
    steps = [_go_on(failing)] if failing else list[str]()
    if not more:
        if whole:
            steps += _before(job, plan, first)
        on_shirt = list(_on_a_shirt(job, plan, first, laying, whole=whole))
        if whole:
            steps += (*on_shirt, *_after(plan))
            yield Section("job", ORDER_OF_WORK, (*cautions, CheckList(tuple(steps))), rank=60)
            return
        title = "On each shirt, in this order"
        if first.lot:
            lot = "On each shirt" if first.lot == 1 else f"On each {first.lot} shirts that stay put"
            title = f"{lot}, in this order"
        yield Section("job", title, (CheckList(tuple(on_shirt)), *cautions), rank=60)
        return
    if whole:
        steps.append(_mixed(job, job.screens))
    for k in range(len(plan.parts)):
        steps += _part(job, plan, k, laying)
    if whole:
        steps += _after(plan)
    how = "one colour on all shirts" if plan.by_colour else "all shirts with the frames that hang"
    told = (
        f"{how.capitalize()}, then the next on all again: each shirt is laid on the board"
        f" {len(plan.parts)} times. Mark on the board where collar and side seams lie, and where the cloth"
        " of the first test pull lies: it is taken up for the shirts, and laid back to line up each later"
        " screen."
    )
    yield Section(
        "job", ORDER_OF_WORK, (Paragraph(told), *cautions, CheckList(tuple(steps))), rank=60
    )


def _go_on(failing: int) -> str:
    name = "1 finding names" if failing == 1 else f"{failing} findings name"
    return (
        f"Don't cut yet: what {name} will fail as it is. Redraw or change it, and make the sheet anew; or"
        " go on, knowing what is lost, once the customer has agreed to that."
    )


def _laying(ask: Ask) -> tuple[str, ...]:
    """Give how garments are laid, in words; nothing where nobody tells."""
    try:
        from prep_placing.answers import Laying

        return ask(Laying).steps
    except (ModuleNotFoundError, Unanswered):
        return ()


def _mixed(job: Job, screens: Sequence[Screen]) -> str:
    inks = several(dict.fromkeys(screen.ink for screen in screens))
    if len(expand(job.order, dark_below=job.shop.dark_below)) > 1:
        return f"Mix {inks} once for the whole order, by the tables on its page over all set-ups."
    return f"Mix {inks} by the tables on the screens' pages; cover what isn't on a screen."


def _before(job: Job, plan: WorkPlan, part: PartOfWork) -> Iterator[str]:
    """Give what is done before the first shirt of the only part."""
    screens = [job.screen(key) for key in part.screens]
    yield _mixed(job, screens)
    if len({screen.film for screen in screens}) == 1:
        yield "Hang the screen and put ink on, by the steps on its page."
    else:
        numbers = several([str(screen.number) for screen in screens])
        yield (
            f"Hang screens {numbers} one after the other: line each up, put ink on and pull it, by the"
            " steps on its page."
        )
    if plan.tests:
        yield (
            f"Pull {plan.tests} test print{'' if plan.tests == 1 else 's'} on scrap of the same cloth, with"
            " all steps of a shirt below; compare them with the artwork, the finest parts first. Pulls that"
            " the pages' steps ask for are among these."
        )


def _on_a_shirt(
    job: Job, plan: WorkPlan, part: PartOfWork, laying: tuple[str, ...], *, whole: bool
) -> Iterator[str]:
    """Give what is done with each shirt of the only part.

    :param whole: the shirts that stay put are told here, as no title tells them
    """
    yield TACK
    if whole and part.lot > 1:
        yield f"Take {part.lot} shirts at a time, which stay put: each step on all of them before the next."
    yield f"{_laid(laying)}."
    yield from _steps(job, part)
    yield _off(plan)
    if plan.lines:
        yield f'{AGAIN}; before the shirts told under "{NOW_AND_THEN}", do first what stands there.'
    else:
        yield f"{AGAIN}."


def _laid(laying: tuple[str, ...]) -> str:
    if not laying:
        return "Lay the shirt on the board, smooth and straight, and press it down"
    return f"Lay the shirt on the board, straight, with {'; '.join(laying)}; smooth it and press it down"


def _off(plan: WorkPlan) -> str:
    rack = plan.rack is not None and plan.rack < plan.shirts
    where = f"{plan.rack} at a time, as the rack holds" if rack else "none on another"
    return (
        f"Take the shirt off flat, without folding the print, and lay or hang it to dry, {where}."
    )


def _after(plan: WorkPlan) -> Iterator[str]:
    yield (
        "After the last shirt scrape the ink back, weigh it, and wash screens and squeegees before it"
        " dries in the mesh."
    )
    yield f"Once dry, cure the shirts by {plan.cured_by}, as the page on cure and wash test says."


def _part(job: Job, plan: WorkPlan, k: int, laying: tuple[str, ...]) -> Iterator[str]:
    part, last = plan.parts[k], k == len(plan.parts) - 1
    screens = [job.screen(key) for key in part.screens]
    named = several([f"{screen.number} ({screen.ink})" for screen in screens])
    which = f"screen{'' if len(screens) == 1 else 's'} {named}"
    back = "Lay the first test pull back to its marks. " if k else ""
    pages = "its page" if len(screens) == 1 else "their pages"
    yield f"{back}Line up {which} and ink {_it(screens)}, by the steps on {pages}.{_tests(plan)}"
    yield TACK
    steps = [step.removesuffix(".") for step in (_laid(laying), *_steps(job, part), _off(plan))]
    on = "On the shirt" if plan.shirts == 1 else f"On each of the {plan.shirts} shirts"
    joined = "; then ".join(step[0].lower() + step[1:] for step in steps)
    yield f"{on}: {joined}."
    if any(plan.parts[line.part] is part for line in plan.lines):
        yield f'Before the shirts told under "{NOW_AND_THEN}", do first what stands there.'
    inks = several(dict.fromkeys(screen.ink for screen in screens))
    if last:
        return
    rack = plan.rack is not None and plan.rack < plan.shirts
    lie = f"{plan.rack} at a time, as the rack holds" if rack else "each apart"
    yield (
        f"Let the shirts dry to the touch, {lie}, before they are laid again; meanwhile scrape {inks} back"
        f" and wash {_it(screens)}."
    )


def _tests(plan: WorkPlan) -> str:
    """Say how many pulls come before the shirts, and that those to line up by are among them."""
    if not plan.tests:
        return ""
    many = f"{plan.tests} test print{'' if plan.tests == 1 else 's'}"
    return f" Pull {many} on scrap in all: pulls that the page's steps ask for are among these."


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
        return f"Flash {screen.ink} until dry to the touch: {step.in_words}."
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
        NOW_AND_THEN,
        (Table(("Before", "Screen", "Do"), rows, caption=told),),
        rank=61,
        rests_on=(why.NOW_AND_THEN,),
    )


def _screens(job: Job, plan: WorkPlan, lines: Sequence[Line]) -> str:
    """Name the screens that something is done to alike."""
    part = plan.parts[lines[0].part].screens
    own = [line.screen for line in lines if line.screen]
    if len(own) == 1:
        screen = job.screen(own[0])
        return f"{screen.number} {screen.ink}"
    return several([str(job.screen(key).number) for key in own or part])
