"""The first page of a set-up: what is ordered, the screens in print order, what to look out for."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from prep_sheet.blocks import grid, pieces_of, troubles
from prep_sheet.images import Lettered, all_places, artwork
from prep_sheet.layout import (
    Beside,
    Cell,
    Grid,
    Notice,
    Page,
    Paper,
    Piece,
    Points,
    Prose,
    Values,
)
from prep_sheet.wording import area, clean, count, percent, size

if TYPE_CHECKING:
    from prep.job import Job, Report

DOES = {
    "colour": "its colour",
    "base": "a base under colours",
    "base and colour": "a base, and its own colour",
}


def job_page(report: Report, lettered: Lettered, paper: Paper, flags: tuple[str, ...]) -> Page:
    """Give the job page.

    :param lettered: all findings with their letters, worst first
    """
    job = report.job
    own: list[tuple[int, str, Sequence[Piece]]] = [
        (10, "", tuple(_ordered(job, paper))),
        (15, "Screens, in print order", (_screens(job, paper),)),
        (20, "What to look out for", tuple(_findings(report, lettered, paper))),
    ]
    if job.notes:
        own.append((85, "What was assumed", (Points(tuple(clean(n) for n in job.notes)),)))
    sections = (s for s in report.sections if s.chapter == "job")
    return Page(
        running=clean(f"{job.order.name}: {job.setup.name}"),
        title=clean(job.order.name),
        subtitle=clean(f"{job.setup.name}: {count(job.setup.shirts, 'shirt')}"),
        pieces=(*_notices(report), *pieces_of(sections, own, paper)),
        flags=flags,
    )


def flags_of(report: Report) -> tuple[str, ...]:
    """Give the warnings that stand at the head of every page of a set-up."""
    flags = []
    if report.job.artwork.size_assumed:
        flags.append("Print size assumed")
    if report.lacking or report.job.without:
        flags.append("Parts are lacking")
    return tuple(flags)


def _notices(report: Report) -> Iterator[Notice]:
    job = report.job
    if job.artwork.size_assumed:
        said = size(job.artwork.width_mm, job.artwork.height_mm, job.shop.units)
        yield Notice(
            f"Print size assumed: {said}",
            (
                "Neither the order nor the artwork says how large the print is. 96 units of the drawing"
                " were taken for an inch.",
                "Hold a ruler to a shirt before any film is cut. If the size is wrong, give the right"
                " width in the order and make this sheet again.",
            ),
        )
    lacking = [clean(line) for line in report.lacking]
    lacking += [
        clean(f"The plugin {name} was left out on request: what it says is not on this sheet.")
        for name in job.without
    ]
    if lacking:
        yield Notice("Not on this sheet", tuple(lacking))


def _ordered(job: Job, paper: Paper) -> Iterator[Piece]:
    art, units = job.artwork, job.shop.units
    wide = 0.56 * paper.room_wide_mm
    yield Beside(
        artwork(job, (wide, 0.38 * paper.room_high_mm)),
        (
            Values(
                (
                    ("Print", size(art.width_mm, art.height_mm, units), clean(job.setup.place)),
                    ("Shirts", str(job.setup.shirts), f"{job.setup.shade} garments"),
                    ("Screens", str(len(job.screens)), ""),
                    ("Artwork", clean(art.name), ""),
                )
            ),
        ),
    )
    yield _garments(job, paper)


def _garments(job: Job, paper: Paper) -> Grid:
    rows = [
        (
            Cell(clean(batch.garment)),
            Cell(batch.colour, batch.colour),
            Cell(clean(batch.fibre)),
            Cell(clean(", ".join(f"{name}: {number}" for name, number in batch.sizes))),
            Cell(str(batch.count)),
        )
        for batch in job.setup.batches
    ]
    if len(rows) > 1:
        total = Cell(str(job.setup.shirts))
        rows.append((Cell("All"), Cell(""), Cell(""), Cell(""), total))
    head = ("Garment", "Colour", "Fibre", "Sizes", "Count")
    return grid(head, tuple(rows), "llllr", paper)


def _screens(job: Job, paper: Paper) -> Grid:
    units = job.shop.units
    artboard = job.artwork.width_mm * job.artwork.height_mm
    rows = tuple(
        (
            Cell(str(screen.number)),
            Cell(clean(screen.ink), screen.colour),
            Cell(clean(screen.mesh)),
            Cell(str(screen.passes)),
            Cell(DOES[screen.does]),
            Cell(area(screen.measures.area_mm2, units)),
            Cell(percent(screen.measures.area_mm2 / artboard)),
        )
        for screen in job.screens
    )
    head = ("", "Ink", "Mesh", "Passes", "Prints", "Area", "Coverage")
    caption = "Coverage is the printed share of the artwork's rectangle."
    return grid(head, rows, "lllrlrr", paper, caption=caption)


def _findings(report: Report, lettered: Lettered, paper: Paper) -> Iterator[Piece]:
    job = report.job
    # a note on one screen is read at that screen; here it would bury what is worse
    names = {screen.key: f"screen {screen.number}" for screen in job.screens}
    shown = [(n, f) for n, f in lettered if f.severity != "note" or f.screen not in names]
    serious = [f for _, f in lettered if f.severity != "note"]
    gaps = " Mind what is lacking, named above." if report.lacking or job.without else ""
    if not serious:
        yield Prose(f"Nothing was found that will fail or is at risk.{gaps}")
    if shown:
        yield troubles(shown, names, why=False)
    left = len(lettered) - len(shown)
    if left:
        yield Prose(
            f"{count(left, 'note', 'notes')} on single screens {'stands' if left == 1 else 'stand'}"
            " on the pages of those screens; letters left out here are found there."
        )
    if any(f.at_mm is not None for _, f in shown):
        yield all_places(report, shown, (paper.room_wide_mm, 0.42 * paper.room_high_mm))
