"""The page the customer signs: prints on their garments, colours, what is changed or will be lost.

It stands apart from the sheet and tells nothing of the shop's own affairs.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from prep.findings import too_large
from prep.phrases import several
from prep_sheet.blocks import GUTTER_MM, grid, pieces_of
from prep_sheet.changed import Changed, changed_in
from prep_sheet.customer_words import BASE_SHOWS, GAP, in_words, of_a_mark, of_many, often
from prep_sheet.images import artwork, close_up
from prep_sheet.layout import (
    Beside,
    Cell,
    Grid,
    Heading,
    Image,
    Lines,
    Notice,
    Page,
    Paper,
    Piece,
    Points,
    Prose,
    Row,
    Together,
    Values,
)
from prep_sheet.merging import merged
from prep_sheet.ordered_size import told
from prep_sheet.printed import fills_the_artwork, print_size_mm
from prep_sheet.wording import Units, clean, count, fine, letter, size

if TYPE_CHECKING:
    from prep.job import Job, Report

_AGREED = 50
"""Rank from which on parts stand once for the whole order, above the line to sign."""
_TOUCHING_MM = 0.01
_IN_A_ROW = 4
_LOW = 0.8
"""Height of plugins' pictures against that on the sheet."""
_SHORT = 20
"""Rows of what is agreed that surely have room on a page with the line to sign."""
_MOST = 12
"""Details with a picture; more are counted. Our choice."""


def customer_page(reports: Sequence[Report], paper: Paper) -> Page:
    """Give the page, of all set-ups of an order; what can't be made as ordered is not to be signed."""
    order = reports[0].job.order
    names = names_of([report.job for report in reports])
    pieces: list[Piece] = []
    for name, report in zip(names, reports, strict=True):
        if len(reports) > 1:
            pieces.append(Heading(clean(name)))
        pieces += _print(report, paper)
    can = [(n, r) for n, r in zip(names, reports, strict=True) if not too_large(r.findings)]
    if can:
        agreed = [
            [s for s in report.sections if s.chapter == "customer" and s.rank >= _AGREED]
            for _, report in can
        ]
        pieces += pieces_of(merged(agreed, [name for name, _ in can]), (), paper)
    pieces += _to_sign(can, reports, paper)
    garments = sum(sum(garment.sizes.values()) for garment in order.garment)
    return Page(
        running=clean(f"{order.name}: for the customer"),
        title=clean(order.name),
        subtitle=f"To be agreed: {count(garments, 'garment')}",
        pieces=tuple(pieces),
    )


def _to_sign(
    can: Sequence[tuple[str, Report]], reports: Sequence[Report], paper: Paper
) -> Iterator[Piece]:
    """Give what is agreed, a row for each print that can be made, above the one line to sign."""
    if not can:
        said = "Nothing is to be signed yet: first agree on a print that can be made."
        yield Together((Heading("Agreed"), Prose(said)))
        return
    rows = tuple(
        (
            Cell(clean(name)),
            Cell(size(*print_size_mm(report.job), report.job.shop.units)),
            Cell(str(report.job.setup.shirts)),
        )
        for name, report in can
    )
    what = grid(("Print", "Size", "Garments"), rows, "llr", paper)
    left = "" if len(can) == len(reports) else " What can't be made is not part of it."
    sign = Lines(
        ("Spoilt shirts: how many, and what follows", "Date", "Name", "Signature"),
        "The print is made as shown here: its size, place and colours, with what is changed and what"
        f" will be lost.{left} Colours of a screen or of paper differ from those of ink on cloth; ask for"
        " a printed sample where a colour must match.",
    )
    if len(rows) > _SHORT:
        yield Heading("Agreed")
        yield what
        yield Together((sign,))
    else:
        yield Together((Heading("Agreed"), what, sign))


def names_of(jobs: Sequence[Job]) -> tuple[str, ...]:
    """Name set-ups by place and garments; by the sizes too, and the print's, where that isn't enough."""
    for name in (_by_garment, _by_sizes):
        names = tuple(map(name, jobs))
        if len(set(names)) == len(names):
            return names
    return tuple(f"{_by_sizes(job)}, {size(*print_size_mm(job), job.shop.units)}" for job in jobs)


def _by_garment(job: Job) -> str:
    place = job.setup.place
    garments = several(list(dict.fromkeys(batch.garment for batch in job.setup.batches)))
    return f"{place[:1].upper()}{place[1:]}, {garments}"


def _by_sizes(job: Job) -> str:
    sizes = dict.fromkeys(name for batch in job.setup.batches for name, _ in batch.sizes)
    return f"{_by_garment(job)} ({', '.join(sizes)})"


def _print(report: Report, paper: Paper) -> Iterator[Piece]:
    """Show a set-up's print; of one that can't be made, what was ordered and what can be."""
    job = report.job
    why = tuple(told(report))
    if why:
        yield Notice("This can't be made at this size", why)
    image = artwork(job, (0.36 * paper.room_wide_mm, 0.18 * paper.room_high_mm))
    beside_mm = paper.room_wide_mm - image.column_mm - GUTTER_MM
    values = Values(tuple(_ordered(job, "Ordered" if why else "Print")))
    yield Beside(image, (values,) if why else (values, _colours(job, paper, beside_mm)))
    if why:
        return
    sections = [s for s in report.sections if s.chapter == "customer" and s.rank < _AGREED]
    low = replace(paper, room_high_mm=_LOW * paper.room_high_mm)
    yield from pieces_of(sections, (), low)
    yield from _changed(report)
    yield from _lost(report)


def _ordered(job: Job, head: str) -> Iterator[tuple[str, str, str]]:
    art, units = job.artwork, job.shop.units
    yield head, size(*print_size_mm(job), units), clean(job.setup.place)
    if not fills_the_artwork(job):
        whole = size(art.width_mm, art.height_mm, units)
        yield "Artwork", whole, "with the room around the print"
    yield "Garments", str(job.setup.shirts), ""
    for batch in job.setup.batches:
        sizes = clean(", ".join(f"{name}: {number}" for name, number in batch.sizes))
        yield clean(batch.garment), sizes, batch.colour


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
    points += _based(job, often(report.findings, BASE_SHOWS))
    points += _meeting(job, often(report.findings, GAP))
    pictures = [
        close_up(
            report, change.at_mm, change.across_mm, "", f"{_called(job, change)}, as it is printed"
        )
        for change in changes[:_MOST]
        if change.at_mm is not None
    ]
    said = Points(tuple(map(clean, points))) if points else Prose("Nothing.")
    yield from _with_pictures(Heading("Changed from your drawing"), said, pictures)


def _meeting(job: Job, gaps: str) -> Iterator[str]:
    """Say what is done where colours meet, and what is to be expected all the same.

    :param gaps: on how many of the prints a gap shows; empty where that isn't found
    """
    spread = _spread_under(job)
    if gaps:
        done = "one is printed a little way under the other, but " if spread else ""
        yield (
            f"Where colours meet, {done}a thin gap between them is to be expected on {gaps} of the prints:"
            " layers never fall quite on each other."
        )
    elif spread:
        yield (
            "Where colours meet, one is printed a little way under the other, so that a gap seldom shows."
        )


def _based(job: Job, shows: str) -> Iterator[str]:
    """Say of each base what it lies under.

    :param shows: on how many of the prints it shows beside a colour; empty where that isn't found
    """
    dark = " on the dark cloth" if job.setup.shade == "dark" else ""
    edge = (
        f"an edge of it beside a colour is to be expected on {shows} of the prints"
        if shows
        else "a fine edge of it may show"
    )
    for screen in job.screens:
        if screen.does == "colour":
            continue
        over = [
            other.ink
            for other in job.screens
            if other.does == "colour"
            and other.number > screen.number
            and other.region.intersects(screen.region)
        ]
        if over:
            yield (
                f"{screen.ink} is printed as a base under {several(dict.fromkeys(over))}, so that the"
                f" colours show{dark}. It is part of the print: the layer is thicker, and"
                f" {edge}."
            )


def _spread_under(job: Job) -> bool:
    """Tell whether colours that meet in the drawing are changed, so that one lies under the other."""
    changed = {s.colour for s in job.screens if s.changes and s.does != "base"}
    parts = [part for part in job.design if any(s.colour == part.colour for s in job.screens)]
    return any(
        {one.colour, other.colour} & changed and one.region.distance(other.region) <= _TOUCHING_MM
        for n, one in enumerate(parts)
        for other in parts[n + 1 :]
    )


def _with_pictures(
    heading: Heading, said: Prose | Points, pictures: Sequence[Image]
) -> Iterator[Piece]:
    """Keep a heading on one page with its words and the first pictures; the others follow."""
    rows = list(_rows(pictures))
    yield Together((heading, said, *rows[:1]))
    yield from rows[1:]


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
    """Show what will be lost, and say what may suffer. What is the printer's alone stands elsewhere."""
    job = report.job
    drawn = [
        (letter(n), f)
        for n, f in enumerate(report.findings)
        if f.at_mm is not None and not of_a_mark(f)
    ]
    bad = [(name, f) for name, f in drawn if f.severity == "will fail"]
    risky = tuple(f for _, f in drawn if f.severity == "at risk")
    heading = Heading("Too fine for this way of printing")
    if not bad and not risky:
        yield Together((heading, Prose("Nothing: every detail of the drawing can be printed.")))
        return
    if bad:
        said = Prose(
            "These details will be lost, or print otherwise than drawn, unless the drawing is changed. The"
            " print is made through a stencil that a blade cuts from film, and the finest parts can't be"
            " cut or don't hold."
        )
        pictures = [
            close_up(report, f.at_mm, f.size_mm or 1.0, name, in_words(f, job.shop.units))
            for name, f in bad[:_MOST]
            if f.at_mm is not None
        ]
        yield from _with_pictures(heading, said, pictures)
        if len(bad) > _MOST:
            rest = sum(f.count for _, f in bad[_MOST:])
            yield Prose(
                f"And {count(rest, 'place')} more of the same kinds, without a picture here."
            )
    if risky:
        many = Points(of_many(risky))
        lead = Prose("May print less clean than drawn:")
        yield Together((lead, many) if bad else (heading, lead, many))


def _rows(images: Sequence[Image]) -> Iterator[Row]:
    for first in range(0, len(images), _IN_A_ROW):
        yield Row(tuple(images[first : first + _IN_A_ROW]))
