"""What the sheet says of drying: the graphs of the run, and what the figures rest on."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from prep.sections import Drawing, Paragraph, Section, Table
from prep_drying.answers import Drying
from prep_drying.picture import water_by_print

if TYPE_CHECKING:
    from prep.job import Ask, Job
    from prep_drying.parameters import Known

MOST_GRAPHS = 8
MOST_PARTS = 6
LEAST_SHARE = 0.03
"""Parts of the doubt that are smaller aren't told."""


def sections_of(job: Job, ask: Ask) -> Iterator[Section]:
    """Give the graphs, and the table of parameters."""
    drying = ask(Drying)
    shown = [(f"{s.number} {s.ink}", drying.run[s.key]) for s in job.screens[:MOST_GRAPHS]]
    graphs = [one for one in shown if len(one[1].prints) > 1]
    if graphs:
        caption = "Water share of the ink, over all prints, test pulls first."
        if len(job.screens) > MOST_GRAPHS:
            caption += f" The first {MOST_GRAPHS} of {len(job.screens)} screens."
        picture = Drawing(water_by_print(graphs), caption, scale=1.0)
        yield Section("job", "Water in the ink, print by print", (picture,), rank=64)
    yield _rests_on(job, drying)


def _rests_on(job: Job, drying: Drying) -> Section:
    """Tell what the doubt of open times comes from most, on the screen that is known worst."""
    from prep_drying.hand import Hand
    from prep_drying.parameters import TABLE
    from prep_drying.settings import Drying as Settings

    hand = Hand(job.settings(Settings))
    by_name = {known.parameter.name: hand.known(known) for known in TABLE}
    finest = min(drying.idle.values(), key=lambda one: one.finest.flooded_s.value)
    rows = []
    remedies: dict[str, None] = {}
    for part in finest.uncertainty[:MOST_PARTS]:
        known = by_name.get(part.parameter)
        if known is None or part.share < LEAST_SHARE:
            continue
        rows.append((part.words, f"{100 * part.share:.0f} %", *_figures(known)))
        if part.remedy:
            remedies[part.remedy] = None
    return Section(
        "closing",
        "What drying rests on",
        (
            Paragraph(
                "Water leaves the ink by ASHRAE's formula for pools times a factor, at the temperature at"
                " which the heat taken up is that of evaporation. An opening clogs once its ink has lost a"
                " share of its water; each stroke exchanges part of it. The evaporation is the best founded"
                " part of this, the loss at which openings clog the least."
            ),
            Table(
                ("What most of the doubt comes from", "Share", "Value (range)", "Status", "Source"),
                tuple(rows),
                "lrlll",
                caption=f"Of the time that screen {job.screen(finest.screen).number} may stand idle.",
            ),
            Paragraph(" ".join(remedies) or "Nothing simple would narrow it."),
        ),
        rank=91,
    )


def _figures(known: Known) -> tuple[str, str, str]:
    one = known.parameter
    value = f"{one.default:g} ({one.low:g} to {one.high:g}) {one.unit}".strip()
    return value, one.status, one.source
