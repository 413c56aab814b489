"""The page over all set-ups of an order."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from prep.sections import Table
from prep_sheet.blocks import grid, pieces_of, work
from prep_sheet.job_page import flags_of
from prep_sheet.layout import Cell, Heading, Notice, Page, Paper, Piece, Steps
from prep_sheet.printed import print_size_mm
from prep_sheet.wording import clean, count, lengths, size

if TYPE_CHECKING:
    from prep.job import Report
    from prep.sections import Section


def order_page(reports: tuple[Report, ...], sections: tuple[Section, ...], paper: Paper) -> Page:
    """Give the page that lists the set-ups, in the order in which their pages follow.

    :param sections: what plugins say over all set-ups; stands between these and what is to be ticked off
    """
    order, units = reports[0].job.order, reports[0].job.shop.units
    garments = tuple(
        (
            Cell(clean(garment.name)),
            Cell(garment.colour, garment.colour),
            Cell(clean(garment.fibre)),
            Cell(clean(", ".join(f"{name}: {number}" for name, number in garment.sizes.items()))),
            Cell(clean(", ".join(garment.prints) if garment.prints else "every place")),
            Cell(str(sum(garment.sizes.values()))),
        )
        for garment in order.garment
    )
    setups = tuple(
        (
            Cell(str(number)),
            Cell(clean(lengths(report.job.setup.name, units))),
            Cell(size(*print_size_mm(report.job), units)),
            Cell(str(len(report.job.screens))),
            Cell(str(report.job.setup.shirts)),
            Cell(_found(report, "will fail")),
            Cell(_found(report, "at risk")),
        )
        for number, report in enumerate(reports, start=1)
    )
    total = sum(sum(garment.sizes.values()) for garment in order.garment)
    prints = sum(report.job.setup.shirts for report in reports)
    pieces: list[Piece] = []
    flagged = [
        f"{report.job.setup.name}: {'; '.join(flags)}"
        for report in reports
        if (flags := flags_of(report))
    ]
    if flagged:
        pieces.append(Notice("Read first", tuple(clean(f"{line}.") for line in flagged)))
    pieces += (
        Heading("What is ordered"),
        grid(
            ("Garment", "Colour", "Fibre", "Sizes", "Printed at", "Count"),
            garments,
            "lllllr",
            paper,
        ),
        Heading("Set-ups"),
        grid(
            ("", "Set-up", "Print", "Screens", "Prints", "Will fail", "At risk"),
            setups,
            "lllrrrr",
            paper,
            caption="Each set-up has its own screens and its own pages, which follow in this order.",
        ),
        *pieces_of([_in_units(s, reports) for s in sections], (), paper),
        Heading("Done"),
        work(
            (Steps(tuple(clean(lengths(report.job.setup.name, units)) for report in reports)),),
            paper,
        ),
    )
    return Page(
        running=clean(order.name),
        title=clean(order.name),
        subtitle=f"{count(total, 'garment')}, {count(len(reports), 'set-up')},"
        f" {count(prints, 'print')} in all",
        pieces=tuple(pieces),
    )


def _in_units(section: Section, reports: Sequence[Report]) -> Section:
    """Write set-ups' names in tables in the shop's units: a name has the width in mm."""
    units = reports[0].job.shop.units
    names = {r.job.setup.name: lengths(r.job.setup.name, units) for r in reports}
    blocks = tuple(
        replace(block, rows=tuple(tuple(names.get(c, c) for c in row) for row in block.rows))
        if isinstance(block, Table)
        else block
        for block in section.blocks
    )
    return replace(section, blocks=blocks)


def _found(report: Report, severity: str) -> str:
    return str(sum(1 for finding in report.findings if finding.severity == severity) or "none")
