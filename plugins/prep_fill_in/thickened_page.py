"""What the sheet shows of thickening on request: numbers and pictures, before and after."""

from __future__ import annotations

from collections.abc import Iterator

from prep.job import Ask, Job
from prep.phrases import several
from prep.sections import Block, Drawing, Paragraph, Section, Table
from prep_fill_in import wording
from prep_fill_in.design import CALLED, ThickenedColours, reasons, said
from prep_fill_in.overlay import all_changes, two_ways
from prep_fill_in.thicken import WHY_LEFT, Change, Thickened
from prep_fill_in.thickened_findings import thickened_on
from prep_fill_in.wording import Units

_SCALE = 4.0
_SHOWN = 4
_LISTED = 12


def sections_on(job: Job, ask: Ask) -> Iterator[Section]:
    """Give a section on each colour that was to be thickened and holds something narrow."""
    answer = thickened_on(job, ask)
    inks = {screen.key: screen.ink for screen in job.screens}
    for colour, made in answer.made.items():
        if made.changes:
            blocks = tuple(_blocks(made, answer, colour, job.shop.units))
            yield Section(
                "job", f"Thickened on request: {inks.get(colour, colour)}", blocks, 21, step="judge"
            )


def _blocks(
    made: Thickened, answer: ThickenedColours, colour: str, units: Units
) -> Iterator[Block]:
    """List the worst: what is left as drawn first, then what was thickened, the narrowest first."""
    text = said(made, units)
    yield Paragraph(f"{text[:1].upper()}{text[1:]}.")
    ordered = sorted(made.changes, key=lambda change: change.done)
    numbered = list(enumerate(ordered, start=1))
    head = ("No.", "What", "Where", "As drawn", "Each edge moved", "Left as drawn because")
    rows = tuple(_row(number, change, units) for number, change in numbered[:_LISTED])
    yield Table(head, rows, "rllrrl", _unlisted(made, ordered[_LISTED:]))
    yield Drawing(
        all_changes(made.region, [(change.at_mm, change.done) for change in ordered], _LISTED),
        "All of them: a ring is thickened, a cross is left as drawn; those listed bear their number where"
        " there is room.",
    )
    done = [(str(number), change.at_mm) for number, change in numbered if change.done][:_SHOWN]
    if done:
        picture = two_ways(
            done, answer.drawn[colour], made.region, ("as drawn", "thickened"), units
        )
        caption = f"The narrowest thickened, {_SCALE:g} times their size; grey is open."
        yield Drawing(picture, caption, _SCALE)


def _unlisted(made: Thickened, rest: list[Change]) -> str:
    if not rest:
        return ""
    left = reasons(Thickened(made.region, made.measures, tuple(rest)))
    done = sum(change.done for change in rest)
    parts = [f"{done} thickened"] if done else []
    parts += [f"{count} left ({why})" for why, count in left.items()]
    return f"{len(rest)} more are not listed here: {several(parts)}. prep check --json lists all."


def _row(number: int, change: Change, units: Units) -> tuple[str, ...]:
    moved = wording.fine(change.edge_mm, units)
    return (
        str(number),
        CALLED[change.side][0].split(maxsplit=1)[1],
        wording.place(change.at_mm, units),
        wording.fine(change.width_mm, units),
        moved if change.done else f"would take {moved}",
        "" if change.done else WHY_LEFT[change.left],
    )
