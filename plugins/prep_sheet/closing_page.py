"""The closing page of an order: cure, wash test, clean-up, and what to write down for next time.

Behind it, in small print, the limits of the details and what the figures rest on. Of several set-ups each
tells in the sheet of its own folder how it was settled.

What is done stands in sections of its own, for the page in the browser too; here are the boxes to write in.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from prep.phrases import several
from prep.sections import Drawing, Figures, Paragraph, Section
from prep_sheet.blocks import GUTTER_MM, grid, pieces_of
from prep_sheet.images import drawing
from prep_sheet.job_page import BEHIND, notes_of
from prep_sheet.layout import Cell, Image, Page, Paper, Piece, Prose, Row, Turn
from prep_sheet.merging import merged
from prep_sheet.plain_words import on_paper
from prep_sheet.screen_page import CURE
from prep_sheet.wording import clean, lengths

if TYPE_CHECKING:
    from prep.job import Report


ADDITIVE = "Additive"
"""Head of the column that says what is added to a screen's ink; ``none`` where nothing is."""


WHY = (
    "How figures are worked out, with the values of this job and where these come from, is told beside each"
    " of them in the browser, by prep page."
)

RESTS = "Limits, and what the figures rest on"
_RESTS = 89
"""Rank of this heading: what stands below it is read last, or never."""
_WHY = 83
"""Behind the record, before the small print turns to a page of its own: where there is room."""


def closing_page(
    reports: Sequence[Report], paper: Paper, flags: tuple[str, ...], *, whole: bool = False
) -> Page:
    """Give the one closing page of all set-ups; what they say alike stands once.

    :param whole: how each figure is worked out stands on it, too; else where that is told
    """
    job = reports[0].job
    own: list[tuple[int, str, Sequence[Piece]]] = [
        (71, "", _cure(reports, paper)),
        (76, "", _wash_test(paper)),
        (82, "For next time", _record(reports, paper)),
    ]
    alone = len(reports) == 1
    own += notes_of(reports)
    chapters = ("closing", "why") if whole else ("closing",)
    closing = merged([[s for s in r.sections if s.chapter in chapters] for r in reports])
    closing = tuple(map(_in_words, closing))
    if not whole and any(s.chapter == "why" for r in reports for s in r.sections):
        own.append((_WHY, "", (Prose(clean(WHY)),)))
    if alone:
        own += [(BEHIND, title, pieces) for title, pieces in _of_screens(reports[0], paper)]
    else:
        own.append((BEHIND, "Set-ups", (Prose(clean(_elsewhere(reports))),)))
    if any(section.rank > _RESTS for section in closing):
        own.append((_RESTS, RESTS, ()))
    name = lengths(job.setup.name, job.shop.units) if alone else "all set-ups"
    return Page(
        running=clean(f"{job.order.name}: {name}. Cure, wash test, record"),
        title="Cure, wash test, record",
        subtitle=clean(name[0].upper() + name[1:]),
        pieces=tuple(pieces_of(closing, own, paper, turns=((BEHIND, Turn(small=True)),))),
        flags=flags,
    )


def _in_words(section: Section) -> Section:
    """Tell settings in words, but where it stands just how a line of them is written."""
    blocks = tuple(
        Paragraph(on_paper(block.text))
        if isinstance(block, Paragraph) and "{" not in block.text
        else block
        for block in section.blocks
    )
    return replace(section, blocks=blocks)


def _elsewhere(reports: Sequence[Report]) -> str:
    setups = [report.job.setup for report in reports]
    units = reports[0].job.shop.units
    names = "; ".join(f"{n}: {lengths(one.name, units)}" for n, one in enumerate(setups, start=1))
    folders = several([f"{setup.key}/" for setup in setups])
    return (
        f"{names}. How each was settled (ways to print, films on the roll, where colours meet, how long"
        f" ink stays open, hours) stands in the sheet of its own, in the folders {folders}."
    )


def _of_screens(report: Report, paper: Paper) -> Iterator[tuple[str, tuple[Piece, ...]]]:
    """Give what is told of screens' ink in the cure: pictures side by side, their figures below."""
    abreast = _abreast(len(report.job.screens))
    shown: dict[str, list[Image]] = {}
    other: dict[str, list[Piece]] = {}
    for screen in report.job.screens:
        for section in report.sections:
            if section.screen != screen.key or section.rank not in CURE:
                continue
            said = clean(f"Screen {screen.number}, {screen.ink}")
            figures = [b for b in section.blocks if isinstance(b, Figures)]
            said_of = (" ".join(part for part in row if part) for f in figures for row in f.rows)
            caption = f"{said}. {'; '.join(said_of)}"
            pictures = [b for b in section.blocks if isinstance(b, Drawing)]
            for block in pictures:
                wide_mm = (paper.room_wide_mm - (abreast - 1) * GUTTER_MM) / abreast
                room = wide_mm, 0.2 * paper.room_high_mm
                told = " ".join(part for part in (caption, block.caption) if part)
                image = drawing(block.picture, told, None, room)
                shown.setdefault(section.title, []).append(image)
                caption = said
            if not pictures:
                other.setdefault(section.title, []).append(Prose(clean(f"{caption}.")))
            rest = tuple(b for b in section.blocks if not isinstance(b, Figures | Drawing))
            if rest:
                whole = Section("closing", f"{section.title}: {said}", rest, section.rank)
                other.setdefault(section.title, []).extend(pieces_of((whole,), (), paper))
    for title in dict.fromkeys((*shown, *other)):
        images = shown.get(title, [])
        rows = tuple(Row(tuple(images[n : n + abreast])) for n in range(0, len(images), abreast))
        yield title, (*rows, *other.get(title, ()))


def _abreast(pictures: int) -> int:
    """Give how many pictures stand in a row: three, or four where the last would stand alone."""
    return 4 if pictures > 3 and pictures % 3 == 1 else 3


def _inks(reports: Sequence[Report]) -> dict[str, str]:
    """Give all inks and their colours, in the order of printing."""
    return {screen.ink: screen.colour for report in reports for screen in report.job.screens}


def _cure(reports: Sequence[Report], paper: Paper) -> tuple[Piece, ...]:
    inks = _inks(reports)
    rows = tuple(
        (Cell(clean(ink), colour), Cell(""), Cell(""), Cell("")) for ink, colour in inks.items()
    )
    head = ("Ink", "Temperature", "Time", "Measured on the ink")
    thinned = sorted(
        {
            report.job.screen(key).ink
            for report in reports
            for section in report.sections
            for column in section.columns
            if column.head == ADDITIVE
            for key, said in column.cells
            if said not in ("", "none")
        }
    )
    longer = (
        (
            Prose(
                clean(
                    f"{several(thinned)}: an additive is in it. Let it dry longer before heat, and try"
                    " the cure first."
                )
            ),
        )
        if thinned
        else ()
    )
    return *longer, grid(head, rows, "llll", paper, roomy=True)


def _wash_test(paper: Paper) -> tuple[Piece, ...]:
    rows = tuple((Cell(n), Cell(""), Cell(""), Cell("")) for n in ("1", "3", "5"))
    head = ("Wash", "Date", "What is seen", "Good enough?")
    return (grid(head, rows, "llll", paper, roomy=True),)


def _record(reports: Sequence[Report], paper: Paper) -> tuple[Piece, ...]:
    inks = grid(
        ("Ink", "Mixed", "Left", "What to change"),
        tuple((Cell(clean(i), c), *(Cell(""),) * 3) for i, c in _inks(reports).items()),
        "llll",
        paper,
        roomy=True,
    )
    day = grid(
        ("Set-up", "Date", "Room", "Humidity", "Good", "Spoilt", "Hours", "Printed by"),
        tuple(
            (Cell(clean(lengths(r.job.setup.name, r.job.shop.units))), *(Cell(""),) * 7)
            for r in reports
        ),
        "llllllll",
        paper,
        roomy=True,
    )
    return inks, day
