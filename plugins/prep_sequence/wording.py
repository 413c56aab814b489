"""What the sheet says of the order of printing."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from prep.job import Ask, Job
from prep.sections import Block, Caution, Column, Paragraph, Section, Table
from prep_sequence.answers import PrintSteps, Step
from prep_sequence.settings import Sequence as Settings
from prep_sequence.working import Part, parts_of, worked_by_colour

_HOT = (
    "Hot platens and dryers burn. Never leave a flash dryer standing over a shirt, keep sprays away from"
    " it, air the room, and follow the ink's and the dryer's data sheets first."
)


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
                "That the press holds all frames at a time is assumed; state stations under [press] in"
                " shop.toml."
            )
        )
    if any(step.does == "flash" for step in done):
        blocks.append(Caution(_HOT))
    yield Section(
        "job", "Printing, step by step", tuple(blocks), rank=60, columns=(_flashed(job, done),)
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
        return "flash, let cool", screen.ink, step.why
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
    flashes = [step.takes_s for step in done if step.does == "flash"]
    if not flashes:
        return (
            f"{worked}Nothing needs drying between the screens{' on the board' if worked else ''}."
        )
    low, high = min(flashes), max(flashes)
    takes = f"{low:.0f} s" if low == high else f"{low:.0f} to {high:.0f} s"
    often = "once" if len(flashes) == 1 else f"{len(flashes)} times"
    return (
        f"{worked}Each shirt is flashed {often}, {takes} each with"
        f" {job.settings(Settings).cool_s:.0f} s to cool:"
        f" {sum(flashes) / 60.0:.1f} min a shirt. Until dry to the touch, not longer: ink that is"
        " cured won't take the next coat. Usual are 15 to 40 s under a flash dryer, 30 to 60 s by heat gun"
        " (common practice, no source)."
    )
