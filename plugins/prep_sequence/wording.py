"""What the sheet says of the order of printing."""

from __future__ import annotations

from collections.abc import Iterator

from prep.job import Ask, Job
from prep.sections import Block, Caution, Paragraph, Section, Table
from prep_sequence.answers import PrintSteps, Step
from prep_sequence.settings import Sequence

_HOT = (
    "Hot platens and dryers burn. Never leave a flash dryer standing over a shirt, keep sprays away from"
    " it, air the room, and follow the ink's and the dryer's data sheets first."
)


def sections_of(job: Job, ask: Ask) -> Iterator[Section]:
    """Give the steps on the job page."""
    steps = ask(PrintSteps)
    if len(steps.steps) < 2:
        return
    rows = tuple(
        (str(number), *_row(job, step)) for number, step in enumerate(steps.steps, start=1)
    )
    blocks: list[Block] = [Table(("", "Do", "Ink", "Why"), rows, "rlll", _caption(job, steps))]
    if steps.stations is None and len(job.films) > 1:
        blocks.append(
            Paragraph(
                "That the press holds all frames at a time is assumed; state stations under [press] in"
                " shop.toml."
            )
        )
    if steps.flashes:
        blocks.append(Caution(_HOT))
    yield Section("job", "Printing, step by step", tuple(blocks), rank=60)


def _row(job: Job, step: Step) -> tuple[str, str, str]:
    screen = job.screen(step.screen)
    if step.does == "take off":
        return "take the shirts off, let them dry", "", step.why
    if step.does == "flash":
        return "flash, let cool", screen.ink, step.why
    again = "" if screen.passes == 1 else f", pass {step.number} of {screen.passes}"
    return f"print screen {screen.number}{again}", screen.ink, step.why


def _caption(job: Job, steps: PrintSteps) -> str:
    if not steps.flashes:
        return "Nothing needs drying between the screens."
    each = {step.takes_s for step in steps.steps if step.does == "flash"}
    takes = f"{min(each):.0f} s" if len(each) == 1 else f"{min(each):.0f} to {max(each):.0f} s"
    often = "once" if steps.flashes == 1 else f"{steps.flashes} times"
    return (
        f"Each shirt is flashed {often}, {takes} each with {job.settings(Sequence).cool_s:.0f} s to cool:"
        f" {steps.drying_s / 60.0:.1f} min a shirt. Until dry to the touch, not longer: ink that is"
        " cured won't take the next coat. Usual are 15 to 40 s under a flash dryer, 30 to 60 s by heat gun"
        " (common practice, no source)."
    )
