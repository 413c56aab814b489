"""What the sheet shows of thickening on request: numbers and pictures, before and after."""

from __future__ import annotations

from collections.abc import Iterator

from prep.job import Job
from prep.sections import Block, Drawing, Paragraph, Section, Table
from prep_fill_in import wording
from prep_fill_in.design import ThickenedColours, said, thickened_in, wanted_for
from prep_fill_in.overlay import two_ways
from prep_fill_in.thicken import WHY_LEFT, Change, Thickened, Wanted
from prep_fill_in.wording import Units

_SCALE = 4.0
_SHOWN = 4
_LISTED = 12


def sections_on(job: Job) -> Iterator[Section]:
    """Give a section on each colour that was to be thickened and holds something narrow."""
    answer = thickened_in(job)
    inks = {screen.key: screen.ink for screen in job.screens}
    for colour, made in answer.made.items():
        if made.changes:
            wanted = wanted_for(job.settings, job.setup, job.shop, colour)
            blocks = tuple(_blocks(made, answer, colour, wanted, job.shop.units))
            yield Section("job", f"Thickened on request: {inks.get(colour, colour)}", blocks, 21)


def _blocks(
    made: Thickened, answer: ThickenedColours, colour: str, wanted: Wanted, units: Units
) -> Iterator[Block]:
    text = said(made, wanted, units)
    yield Paragraph(f"{text[:1].upper()}{text[1:]}.")
    shown = made.changes[:_LISTED]
    more = len(made.changes) - len(shown)
    caption = f"{more} more, wider ones, are not listed." if more else ""
    head = ("What", "Where", "As drawn", "Each edge moved", "Left as drawn because")
    yield Table(head, tuple(_row(change, units) for change in shown), "llrrl", caption)
    done = [change for change in made.changes if change.done][:_SHOWN]
    if done:
        pairs = [(str(number), change.at_mm) for number, change in enumerate(done, start=1)]
        picture = two_ways(pairs, answer.drawn[colour], made.region, ("as drawn", "thickened"))
        yield Drawing(picture, f"The narrowest, {_SCALE:g} times their size; grey is open.", _SCALE)


def _row(change: Change, units: Units) -> tuple[str, ...]:
    moved = wording.fine(change.edge_mm, units)
    return (
        "opening" if change.side == "opening" else "film strip",
        wording.place(change.at_mm, units),
        wording.fine(change.width_mm, units),
        moved if change.done else f"would take {moved}",
        "" if change.done else WHY_LEFT[change.left],
    )
