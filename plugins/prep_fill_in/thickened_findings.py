"""What is said of thickening on request, place by place: what was thickened, what was left and why."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from prep.findings import Finding
from prep.job import Ask, Job
from prep_fill_in import wording
from prep_fill_in.design import CALLED, ThickenedColours, asked_for
from prep_fill_in.settings import THICKEN_MOST_MM
from prep_fill_in.thicken import (
    APART,
    NO_ROOM,
    NOT_NEEDED,
    TAKEN,
    TOO_MUCH,
    WHY_LEFT,
    Change,
    Side,
)
from prep_fill_in.wording import Units


def thickened_on(job: Job, ask: Ask) -> ThickenedColours:
    """Give what was thickened, worked out once for findings and sheet; nothing where it wasn't asked for.

    :raises Unanswered: it was asked for, and this plugin isn't among those that answer
    """
    return ask(ThickenedColours) if asked_for(job) else ThickenedColours({}, {})


def findings_on(job: Job, ask: Ask) -> Iterator[Finding]:
    """Tell every place that was to be thickened: one line for each colour, side and outcome."""
    inks = {screen.key: screen.ink for screen in job.screens}
    for colour, made in thickened_on(job, ask).made.items():
        for side in CALLED:
            for left in (NOT_NEEDED, *WHY_LEFT):
                alike = [c for c in made.changes if (c.side, c.left) == (side, left)]
                if alike:
                    ink = inks.get(colour, colour)
                    screen = colour if colour in inks else None
                    yield _finding(alike, ink, colour, screen, job.shop.units)


def _finding(
    alike: Sequence[Change], ink: str, colour: str, screen: str | None, units: Units
) -> Finding:
    first, count, left = alike[0], len(alike), alike[0].left
    edge_mm = max(change.edge_mm for change in alike)
    name = CALLED[first.side][count > 1]
    span = wording.span(first.width_mm, alike[-1].width_mm, units)
    alike_wide = span == wording.fine(first.width_mm, units)
    where = "at" if count == 1 else "the first at" if alike_wide else "the narrowest at"
    what = f"{ink}: {count} {name}, {span} wide as drawn, {where} {wording.place(first.at_mm, units)}, "
    moved = f"{wording.fine(edge_mm, units)}{'' if count == 1 else ' at most'}"
    to = [change.to_mm for change in alike]
    limit = wording.span(min(to), max(to), units)
    if left == NOT_NEEDED:
        what += f"{'was' if count == 1 else 'were'} thickened to {limit}."
        why = f"The order asks for it; each edge was moved by {moved}."
        do = "Look at them on the sheet, as drawn and thickened, before anything is cut."
    else:
        what += f"{'is' if count == 1 else 'are'} left as drawn: {WHY_LEFT[left]}."
        why = f"For {limit} each edge would have to move by {moved}. What is told of such details holds."
        do = _do(left, first.side, edge_mm, units)
    return Finding(
        severity="note",
        kind=wording.THICKENED if left == NOT_NEEDED else wording.UNTHICKENED,
        screen=screen,
        colour=colour,
        at_mm=first.at_mm,
        size_mm=first.width_mm,
        what=what,
        why=why,
        do=do,
        count=count,
        also_at_mm=tuple(change.at_mm for change in alike[1:]),
    )


def _do(left: int, side: Side, edge_mm: float, units: Units) -> str:
    other = "film" if side == "opening" else "openings"
    if left == TOO_MUCH:
        if edge_mm > THICKEN_MOST_MM:
            return "Draw it wider, or leave it out."
        asked = math.ceil(edge_mm * 100.0 - 1e-6) / 100.0
        said = f"{math.ceil(asked / 0.0254) / 1000.0:g} in" if units == "inch" else f"{asked:g} mm"
        return f"Let edges move so far: --set \"fill_in.thicken_most='{said}'\"; or draw it wider."
    return {
        TAKEN: "Thickening takes nothing from another colour: draw it wider, and that colour back from it.",
        NO_ROOM: f"Move what bounds the {other} beside it away in the drawing, or print larger.",
        APART: "Move the shapes apart in the drawing, or join them.",
    }[left]
