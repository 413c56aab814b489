"""The page the customer signs: prints on their garments, colours, what is changed or will be lost.

It stands apart from the sheet and tells nothing of the shop's own affairs.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from prep.findings import Finding
from prep_sheet.blocks import GUTTER_MM, grid, pieces_of
from prep_sheet.changed import Changed, changed_in
from prep_sheet.images import artwork, close_up
from prep_sheet.layout import (
    Beside,
    Cell,
    Grid,
    Heading,
    Image,
    Lines,
    Page,
    Paper,
    Piece,
    Points,
    Prose,
    Row,
    Values,
)
from prep_sheet.merging import merged
from prep_sheet.printed import fills_the_artwork, print_size_mm
from prep_sheet.wording import Units, clean, count, fine, letter, size

if TYPE_CHECKING:
    from prep.job import Job, Report

_AGREED = 50
"""Rank from which on parts stand once for the whole order, above the line to sign."""
_IN_A_ROW = 4
_LOW = 0.8
"""Height of plugins' pictures against that on the sheet."""
_MOST = 12
"""Details with a picture; more are counted. Our choice."""


def customer_page(reports: Sequence[Report], paper: Paper) -> Page:
    """Give the page, of all set-ups of an order."""
    order = reports[0].job.order
    pieces: list[Piece] = []
    for number, report in enumerate(reports, start=1):
        if len(reports) > 1:
            pieces.append(
                Heading(clean(f"Set-up {number} of {len(reports)}: {_named(report.job)}"))
            )
        pieces += _print(report, paper)
    agreed = [
        [s for s in report.sections if s.chapter == "customer" and s.rank >= _AGREED]
        for report in reports
    ]
    pieces += pieces_of(merged(agreed), (), paper)
    pieces += (
        Heading("Agreed"),
        Lines(
            ("Spoilt shirts: how many, and what follows", "Date", "Name", "Signature"),
            "The print is made as shown here: its size, place and colours, with what is changed and what"
            " will be lost. Colours of a screen or of paper differ from those of ink on cloth; ask for a"
            " printed sample where a colour must match.",
        ),
    )
    garments = sum(sum(garment.sizes.values()) for garment in order.garment)
    return Page(
        running=clean(f"{order.name}: for the customer"),
        title=clean(order.name),
        subtitle=f"To be agreed: {count(garments, 'garment')}",
        pieces=tuple(pieces),
    )


def _named(job: Job) -> str:
    return f"{job.setup.place}, {size(*print_size_mm(job), job.shop.units)}"


def _print(report: Report, paper: Paper) -> Iterator[Piece]:
    job = report.job
    image = artwork(job, (0.36 * paper.room_wide_mm, 0.18 * paper.room_high_mm))
    beside_mm = paper.room_wide_mm - image.column_mm - GUTTER_MM
    art = job.artwork
    rows = (
        ("Print", size(*print_size_mm(job), job.shop.units), clean(job.setup.place)),
        *(
            ()
            if fills_the_artwork(job)
            else (
                (
                    "Artwork",
                    size(art.width_mm, art.height_mm, job.shop.units),
                    "with the room around the print",
                ),
            )
        ),
        ("Garments", str(job.setup.shirts), ""),
        *(
            (
                clean(batch.garment),
                clean(", ".join(f"{name}: {number}" for name, number in batch.sizes)),
                batch.colour,
            )
            for batch in job.setup.batches
        ),
    )
    yield Beside(image, (Values(rows), _colours(job, paper, beside_mm)))
    sections = [s for s in report.sections if s.chapter == "customer" and s.rank < _AGREED]
    low = replace(paper, room_high_mm=_LOW * paper.room_high_mm)
    yield from pieces_of(sections, (), low)
    yield from _changed(report)
    yield from _lost(report)


def _colours(job: Job, paper: Paper, wide_mm: float) -> Grid:
    inks = {screen.colour: screen.ink for screen in job.screens if screen.does != "base"}
    rows = tuple((Cell(clean(ink), colour), Cell(colour)) for colour, ink in inks.items())
    narrow = Paper(paper.name, paper.css, wide_mm, paper.room_high_mm)
    return grid(("Colours printed", "On the screen"), rows, "ll", narrow)


def _changed(report: Report) -> Iterator[Piece]:
    """Say where the print differs from the drawing, and show the largest place of each colour."""
    job = report.job
    changes = changed_in(job)
    points = [_said(change, job.shop.units) for change in changes]
    if any(screen.changes for screen in job.screens):
        points.append(
            "Where colours meet, one is printed a little way under the other, so that no gap shows."
        )
    yield Heading("Changed from your drawing")
    if not points:
        yield Prose("Nothing.")
        return
    yield Points(tuple(map(clean, points)))
    pictures = [
        close_up(
            report, change.at_mm, change.across_mm, "", f"{_called(job, change)}, as it is printed"
        )
        for change in changes[:_MOST]
        if change.at_mm is not None
    ]
    yield from _rows(pictures)


def _called(job: Job, change: Changed) -> str:
    return next((s.ink for s in job.screens if s.colour == change.colour), change.colour)


def _said(change: Changed, units: Units) -> str:
    if change.at_mm is None:
        return f"{change.colour} is not printed in a colour of its own."
    where = count(change.places, "place")
    return (
        f"{change.colour} differs from the drawing in {where}, the largest"
        f" {fine(change.across_mm, units)} across."
    )


def _lost(report: Report) -> Iterator[Piece]:
    """Show what will be lost, and say what may suffer."""
    job = report.job
    lettered = [(letter(n), f) for n, f in enumerate(report.findings) if f.at_mm is not None]
    bad = [(name, f) for name, f in lettered if f.severity == "will fail"]
    risky = [f for _, f in lettered if f.severity == "at risk"]
    yield Heading("Too fine for this way of printing")
    if not bad and not risky:
        yield Prose("Nothing: every detail of the drawing can be printed.")
        return
    if bad:
        yield Prose(
            "These details will be lost, or print otherwise than drawn, unless the drawing is changed or"
            " the print made larger. The stencil is cut from film by a blade: film that is too narrow comes"
            " off, and an opening that is too narrow can't be cleared."
        )
        yield from _rows(
            [
                close_up(report, f.at_mm, f.size_mm or 1.0, name, _detail(f, job.shop.units))
                for name, f in bad[:_MOST]
                if f.at_mm is not None
            ]
        )
        if len(bad) > _MOST:
            rest = sum(f.count for _, f in bad[_MOST:])
            yield Prose(
                f"And {count(rest, 'place')} more of the same kinds, without a picture here."
            )
    if risky:
        kinds = dict.fromkeys(f.kind for f in risky)
        places = sum(f.count for f in risky)
        yield Prose(
            clean(f"May print less clean than drawn, {count(places, 'place')}: {'; '.join(kinds)}.")
        )


def _detail(finding: Finding, units: Units) -> str:
    said = [finding.kind]
    if finding.count > 1:
        said.append(count(finding.count, "place"))
    if finding.size_mm is not None:
        said.append(f"{'from ' if finding.count > 1 else ''}{fine(finding.size_mm, units)}")
    return ", ".join(said)


def _rows(images: Sequence[Image]) -> Iterator[Piece]:
    for first in range(0, len(images), _IN_A_ROW):
        yield Row(tuple(images[first : first + _IN_A_ROW]))
