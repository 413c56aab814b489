"""What the sheet says of the order of printing."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from prep.job import Ask, Job
from prep.screens import Screen
from prep.sections import Block, Caution, CheckList, Column, Paragraph, Section, Table
from prep_sequence.answers import PrintSteps, Step
from prep_sequence.working import Part, parts_of, worked_by_colour

_HOT = (
    "Hot platens and dryers burn. Never leave a flash dryer standing over a shirt, keep sprays away from"
    " it, air the room, and follow the ink's and the dryer's data sheets first."
)

ON_EACH_SHIRT = 60
"""Rank of what is done with a screen on every shirt: behind the steps at the press."""


def sections_of(job: Job, ask: Ask) -> Iterator[Section]:
    """Give the steps on the job page, as the job is worked."""
    steps = ask(PrintSteps)
    if len(steps.steps) < 2:
        return
    films = {screen.key: screen.film for screen in job.screens}
    by_colour = worked_by_colour(job.shop.press, steps, len(job.films))
    parts = parts_of(steps, films, by_colour=by_colour)
    rows: list[tuple[str, str, str]] = []
    for part in parts:
        if rows:
            rows.append(("take the shirts off, let them dry", "", _comes_off(part, steps)))
        rows += (_row(job, step) for step in part.steps)
    done = [step for part in parts for step in part.steps]
    blocks: list[Block] = [
        Table(
            ("", "Do", "Ink", "Why"),
            tuple((str(number), *row) for number, row in enumerate(rows, start=1)),
            "rlll",
            _caption(job, done, laid=len(parts), by_colour=by_colour),
        )
    ]
    if steps.stations is None and len(job.films) > 1 and len(parts) < len(job.films):
        blocks.append(
            Paragraph(
                "That the press holds all frames at a time is assumed: the shop's settings"
                " don't say how many."
            )
        )
    if any(step.does == "flash" for step in done):
        blocks.append(Caution(_HOT))
    yield Section(
        "job",
        "Printing, step by step, and why",
        tuple(blocks),
        rank=69,
        columns=(_flashed(job, done),),
    )


def _flashed(job: Job, done: Sequence[Step]) -> Column:
    """Say of each screen how often it is flashed: ``after each pass``, ``once``, ``no``."""

    def said(key: str, passes: int) -> str:
        times = sum(step.does == "flash" and step.screen == key for step in done)
        if passes > 1 and times == passes:
            return "after each pass"
        return {0: "no", 1: "once"}.get(times, f"{times} times")

    return Column("Flash", tuple((s.key, said(s.key, s.passes)) for s in job.screens), 10)


def _comes_off(part: Part, steps: PrintSteps) -> str:
    """Say why shirts are taken off before a part."""
    first = part.steps[0].screen
    told = (s.why for s in steps.steps if s.does == "take off" and s.screen == first)
    return next(told, "All shirts are printed so far, and the job is worked colour by colour.")


def _row(job: Job, step: Step) -> tuple[str, str, str]:
    screen = job.screen(step.screen)
    if step.does == "flash":
        return f"flash {step.in_words}", screen.ink, step.why
    again = "" if screen.passes == 1 else f", pass {step.number} of {screen.passes}"
    return f"print screen {screen.number}{again}", screen.ink, step.why


def _caption(job: Job, done: Sequence[Step], *, laid: int, by_colour: bool) -> str:
    worked = ""
    if laid > 1:
        worked = (
            f"Each shirt is laid on the board {laid} times:"
            f" {'all shirts in one colour' if by_colour else 'all shirts with the first frames'}, then all"
            " again with the next. "
        )
    flashes = [step for step in done if step.does == "flash"]
    if not flashes:
        return (
            f"{worked}Nothing needs drying between the screens{' on the board' if worked else ''}."
        )
    takes = dict.fromkeys(step.in_words for step in flashes)
    if len(takes) == 1:
        told = next(iter(takes))
    else:
        inks = {job.screen(step.screen).ink: step.in_words for step in flashes}
        told = "; ".join(f"{ink} {words}" for ink, words in inks.items())
    often = "once" if len(flashes) == 1 else f"{len(flashes)} times"
    return (
        f"{worked}Each shirt is flashed {often}: {told}{' each time' if len(flashes) > 1 else ''}."
        f" That takes {sum(step.takes_s for step in flashes) / 60.0:.1f} min a shirt. Until dry to the"
        " touch, not longer: ink that is cured won't take the next coat. Usual are 15 to 40 s under a"
        " flash dryer, 30 to 60 s by heat gun (common practice, no source)."
    )


def screen_sections(job: Job, ask: Ask) -> Iterator[Section]:
    """Give for each screen its passes on every shirt and its flashes, with their caution."""
    steps = ask(PrintSteps)
    if not steps.steps:
        return
    films = {screen.key: screen.film for screen in job.screens}
    by_colour = worked_by_colour(job.shop.press, steps, len(job.films))
    done = [step for part in parts_of(steps, films, by_colour=by_colour) for step in part.steps]
    for screen in job.screens:
        own = [step for step in done if step.screen == screen.key]
        told = CheckList(tuple(_on_a_shirt(screen, step) for step in own))
        hot = (Caution(_HOT),) if any(step.does == "flash" for step in own) else ()
        yield Section(
            "screen", "On each shirt", (*hot, told), rank=ON_EACH_SHIRT, screen=screen.key
        )


def _on_a_shirt(screen: Screen, step: Step) -> str:
    if step.does == "flash":
        return f"Flash {screen.ink} until dry to the touch: {step.in_words}."
    if screen.passes == 1:
        return "Print it once on each shirt, in its turn."
    return f"Print pass {step.number} of {screen.passes} on the shirt."
