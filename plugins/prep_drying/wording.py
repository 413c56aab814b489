"""What the sheet says of drying: the graphs of the run, and what the figures rest on."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from prep.phrases import spelt
from prep.sections import Block, Drawing, Paragraph, Section, Table
from prep_drying.answers import Drying
from prep_drying.picture import water_by_print
from prep_drying.why import why_section

if TYPE_CHECKING:
    from prep.job import Ask, Job
    from prep_drying.answers import Contribution, IdleScreen

RESTS_ON = "What drying rests on"
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
    yield why_section(job, ask)
    yield _rests_on(job, drying)


def _rests_on(job: Job, drying: Drying) -> Section:
    """Tell what the doubt of open times comes from most, on the screen that stands idle shortest."""
    finest = min(drying.idle.values(), key=lambda one: _idle_s(one, drying))
    parts = [part for part in finest.uncertainty if part.share >= LEAST_SHARE]
    told = parts[:MOST_PARTS]
    rows = tuple(
        (
            part.words,
            f"{100 * part.share:.0f} %",
            figure_of(part, job.shop.units),
            part.status,
            part.source,
        )
        for part in told
    )
    remedies = dict.fromkeys(part.remedy for part in told if part.remedy)
    blocks: list[Block] = [
        Paragraph(
            "Water leaves the ink by ASHRAE's formula for pools times a factor, at the temperature at"
            " which the heat taken up is that of evaporation. An opening clogs once its ink has lost a"
            " share of its water; each stroke exchanges part of it. The evaporation is the best founded"
            " part of this, the loss at which openings clog the least."
        )
    ]
    if rows:
        caption = (
            f"Of the time that screen {job.screen(finest.screen).number} may stand idle,"
            f" {'flooded' if drying.flooded else 'cleared'}. Parts under {100 * LEAST_SHARE:.0f} %"
            " aren't listed"
        )
        fewer = len(parts) - len(told)
        caption += f", nor {fewer} more." if fewer else "."
        head = ("What most of the doubt comes from", "Share", "Value (range)", "Status", "Source")
        blocks.append(Table(head, rows, "lrlll", caption=caption))
        blocks.append(Paragraph(" ".join(remedies) or "Nothing simple would narrow it."))
    else:
        blocks.append(Paragraph("Nothing dries within a day here, so that nothing is in doubt."))
    return Section("closing", RESTS_ON, tuple(blocks), rank=91)


def _idle_s(one: IdleScreen, drying: Drying) -> float:
    return (one.finest.flooded_s if drying.flooded else one.finest.cleared_s).value


def figure_of(part: Contribution, units: str) -> str:
    """Give a figure with its range and unit; differences of temperature in the shop's degrees."""
    times, unit = 1.0, spelt(part.unit)
    if units == "inch" and part.unit == "K":
        times, unit = 1.8, "°F"
    value, low, high = (f"{times * one:.4g}" for one in (part.value, part.low, part.high))
    return f"{value} ({low} to {high}) {unit}".strip()
