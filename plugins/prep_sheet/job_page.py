"""The first page of a set-up: what is ordered, the screens in print order, what to look out for."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from functools import partial
from typing import TYPE_CHECKING

from prep.findings import SEVERITIES, Finding, fits_all_words, too_large
from prep.phrases import several
from prep.setups import expand
from prep_sheet.blocks import grid, in_short, pieces_of, told_alike, troubles
from prep_sheet.images import Lettered, all_places, artwork, at_finding
from prep_sheet.layout import (
    Beside,
    Cell,
    Grid,
    Heading,
    Notice,
    Page,
    Paper,
    Piece,
    Points,
    Prose,
    Troubles,
    Turn,
    Values,
)
from prep_sheet.plain_words import on_paper
from prep_sheet.printed import fills_the_artwork, print_size_mm
from prep_sheet.wording import clean, count, lengths, letter, percent, size

if TYPE_CHECKING:
    from prep.job import Job, Report
    from prep.sections import Section

_ASSUMED = "Assumed "
"""How the notes begin that the reading of order and shop gives of what nobody said."""
_BESIDE = 400
"""Letters of what was made and assumed that have room beside the artwork."""
TO_MIX = "Ink to mix"
"""Head of the column that says how much of each ink a set-up takes."""
CANT, CANT_AS_ORDERED = "Can't be printed at this width", "Can't be printed as ordered"
"""Heads of what keeps the whole print from being made: a smaller print would do, or something else must."""
_MOST = 8
"""Lines of findings of single screens listed here at most; all stand on the screens' pages."""

DOES = {
    "colour": "its colour",
    "base": "a base under colours",
    "base and colour": "a base, and its own colour",
}


SETTLED = (range(21, 30), range(62, 70))
"""Ranks of parts that say how the job was settled: an order of several set-ups has them in the sheet of
each alone."""
SMALL_FROM = 62
"""Rank from which on the job page is in small print: the steps of printing stand before."""
BEHIND = 88
"""Rank of what stands behind all else: on the job page the notes."""


def notes_of(reports: Sequence[Report]) -> list[tuple[int, str, Sequence[Piece]]]:
    """Give the notes of no single screen, under the numbers of their set-ups where there are several."""
    alike: dict[tuple[str, str, str], list[tuple[str, Finding]]] = {}
    for number, report in enumerate(reports, start=1):
        keys = {screen.key for screen in report.job.screens}
        for name, finding in lettered_of(report):
            if finding.severity == "note" and finding.screen not in keys:
                words = finding.what, finding.why, finding.do
                told = f"{number}{name}" if len(reports) > 1 else name
                alike.setdefault(words, []).append((told, finding))
    notes = tuple(
        replace(
            troubles(found[:1]).items[0],
            where=f"also {', '.join(name for name, _ in found[1:])}" if found[1:] else "",
        )
        for found in alike.values()
    )
    return [(BEHIND, "Notes", (Troubles(notes),))] if notes else []


def lettered_of(report: Report) -> Lettered:
    """Give all findings with their letters, worst first."""
    return tuple((letter(i), finding) for i, finding in enumerate(report.findings))


def settled(report: Report) -> list[Section]:
    """Give the parts that say how the job was settled, in their order."""
    return sorted(filter(is_settled, report.sections), key=lambda section: section.rank)


def job_page(
    report: Report,
    paper: Paper,
    flags: tuple[str, ...],
    *,
    settled_here: bool = False,
    elsewhere: str = "",
) -> Page:
    """Give the job page: what is ordered, films, printing, how the ink is kept open, hours.

    :param settled_here: how the job was settled stands on it, too
    :param elsewhere: the sheet that says how the job was settled, where this one doesn't
    """
    lettered = lettered_of(report)
    job = report.job
    units = job.shop.units
    setup = lengths(job.setup.name, units)
    notes = [on_paper(lengths(note, units)) for note in job.notes]
    assumed = tuple(clean(n) for n in notes if n.startswith(_ASSUMED))
    known = tuple(clean(n) for n in notes if not n.startswith(_ASSUMED))
    told = [
        (rank, title, points)
        for rank, title, points in (
            (84, "What was made of the artwork", known),
            (85, "What was assumed", assumed),
        )
        if points
    ]
    beside = tuple(piece for _, title, points in told for piece in (Heading(title), Points(points)))
    if sum(len(text) for text in (*known, *assumed)) > _BESIDE:
        beside = ()
    own: list[tuple[int, str, Sequence[Piece]]] = [
        (10, "", tuple(_ordered(job, paper, beside))),
        (15, "Screens, in print order", (_screens(report, paper, elsewhere),)),
        (20, "What to look out for", tuple(_findings(report, lettered, paper))),
    ]
    if not beside:
        own += [(rank, title, (Points(points),)) for rank, title, points in told]
    sections = [s for s in report.sections if s.chapter == "job"]
    turns = []
    if settled_here:
        if any(section.rank in SETTLED[0] for section in sections):
            turns += [(SETTLED[0].start, Turn(small=True)), (SETTLED[0].stop, Turn())]
        turns.append((SMALL_FROM, Turn(small=True)))
    else:
        sections = [section for section in sections if not is_settled(section)]
    return Page(
        running=clean(f"{job.order.name}: {setup}"),
        title=clean(job.order.name),
        subtitle=clean(f"{setup}: {count(job.setup.shirts, 'shirt')}"),
        pieces=(*_notices(report), *pieces_of(sections, own, paper, turns=turns)),
        flags=flags,
    )


def is_settled(section: Section) -> bool:
    """Tell whether a part of the job says how it was settled."""
    return section.chapter == "job" and any(section.rank in ranks for ranks in SETTLED)


def flags_of(report: Report) -> tuple[str, ...]:
    """Give the warnings that stand at the head of every page of a set-up."""
    flags = []
    if report.job.artwork.size_assumed:
        flags.append("Print size assumed")
    if not report.job.order.proof:
        flags.append("Not proofed")
    if report.lacking or report.job.without:
        flags.append("Parts are lacking")
    return tuple(flags)


def _notices(report: Report) -> Iterator[Notice]:
    job = report.job
    if job.artwork.size_assumed:
        said = size(*print_size_mm(job), job.shop.units)
        yield Notice(
            f"Print size assumed: {said}",
            (
                "Neither the order nor the artwork says how large the print is. 96 units of the drawing"
                " were taken for an inch.",
                "Hold a ruler to a shirt before any film is cut. If the size is wrong, give the right"
                " width in the order and make this sheet again.",
            ),
        )
    too_much = too_large(report.findings)
    if too_much:
        all_fit = fits_all_words(report.findings, job.shop.units)
        yield Notice(
            CANT if all(f.fits_up_to_mm is not None for f in too_much) else CANT_AS_ORDERED,
            (
                *(clean(on_paper(finding.what)) for finding in too_much),
                *([all_fit] if all_fit else []),
                "Settle that first, what to do stands below: until then the details say little.",
            ),
        )
    if not job.order.proof:
        yield Notice(
            "Not proofed",
            (
                "On request, what was read was not compared with an independent picture of the"
                " artwork.",
                "Lay the picture of every screen beside the artwork before any film is cut.",
            ),
        )
    lacking = [clean(line) for line in report.lacking]
    lacking += [
        clean(f"The plugin {name} was left out on request: what it says is not on this sheet.")
        for name in job.without
    ]
    if lacking:
        yield Notice("Not on this sheet", tuple(lacking))


def _ordered(job: Job, paper: Paper, beside: tuple[Heading | Points, ...]) -> Iterator[Piece]:
    art, units = job.artwork, job.shop.units
    whole = (
        ""
        if fills_the_artwork(job)
        else f"{size(art.width_mm, art.height_mm, units)} with the room around the print"
    )
    rows = [
        ("Print", size(*print_size_mm(job), units), clean(job.setup.place)),
        ("Shirts", str(job.setup.shirts), f"{job.setup.shade} garments"),
        ("Screens", str(len(job.screens)), _films(job)),
        ("Artwork", clean(art.name), whole),
    ]
    alone = job.setup.batches[0] if len(job.setup.batches) == 1 else None
    if alone is not None:
        sizes = ", ".join(f"{name}: {number}" for name, number in alone.sizes)
        rows.insert(2, ("Garment", clean(alone.garment), clean(f"{alone.colour}, {alone.fibre}")))
        rows.insert(3, ("Sizes", clean(sizes), ""))
    room = (
        0.5 * paper.room_wide_mm,
        0.19 * paper.room_high_mm if paper.room_high_mm > 260.0 else 46.0,
    )
    yield Beside(artwork(job, room), (Values(tuple(rows)), *beside))
    if alone is None:
        yield _garments(job, paper)


def _films(job: Job) -> str:
    films = len(job.films)
    return "" if films == len(job.screens) else f"on {films} film{'' if films == 1 else 's'}"


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
    rows.append((Cell("All"), Cell(""), Cell(""), Cell(""), Cell(str(job.setup.shirts))))
    head = ("Garment", "Colour", "Fibre", "Sizes", "Count")
    return grid(head, tuple(rows), "llllr", paper)


def _screens(report: Report, paper: Paper, elsewhere: str) -> Grid:
    """Give the table of screens: what the sheet knows, then the columns of plugins by rank.

    :param elsewhere: the sheet that says how the job was settled, where this one doesn't; its caption tells

    Of an order of several set-ups ink is mixed once for all: what one of them takes isn't to be mixed.
    """
    job = report.job
    artboard = job.artwork.width_mm * job.artwork.height_mm
    more: dict[str, dict[str, str]] = {}
    caption = "Covers: the printed share of the artwork's rectangle."
    columns = [column for section in report.sections for column in section.columns]
    if len(expand(job.order, dark_below=job.shop.dark_below)) > 1 and any(
        column.head == TO_MIX for column in columns
    ):
        columns = [column for column in columns if column.head != TO_MIX]
        caption += (
            " Ink is mixed once for the whole order: how much, its page over all set-ups says."
        )
    left_out = dict.fromkeys(s.title for s in settled(report)) if elsewhere else {}
    if left_out:
        names = several([f'"{title}"' for title in left_out])
        caption += f" In {elsewhere}: {names}."
    for column in sorted(columns, key=lambda column: column.rank):
        more.setdefault(column.head, {}).update(column.cells)
    rows = tuple(
        (
            Cell(str(screen.number)),
            Cell(clean(screen.ink), screen.colour),
            Cell(clean(screen.mesh)),
            Cell(str(screen.passes)),
            *(Cell(clean(cells.get(screen.key, ""))) for cells in more.values()),
            Cell(percent(screen.measures.area_mm2 / artboard)),
        )
        for screen in job.screens
    )
    head = ("", "Ink", "Mesh", "Passes", *more, "Covers")
    align = "lllr" + "l" * len(more) + "r"
    return grid(head, rows, align, paper, caption=caption)


def _findings(report: Report, lettered: Lettered, paper: Paper) -> Iterator[Piece]:
    """List the worst findings, each a line; those of no single screen in full, as only here."""
    job = report.job
    names = {screen.key: screen.number for screen in job.screens}
    serious = [f for _, f in lettered if f.severity != "note"]
    yield from _go_on(report)
    gaps = " Mind what is lacking, named above." if report.lacking or job.without else ""
    if not serious:
        yield Prose(f"Nothing was found that will fail or is at risk.{gaps}")
    # a note on one screen is read at that screen; here it would bury what is worse
    on_screens = [(n, f) for n, f in lettered if f.screen in names]
    bad = [(n, f) for n, f in on_screens if f.severity != "note"]
    lines = told_alike(bad, job.shop.units)[:_MOST]
    worst = [one for line in lines for one in line]
    whole = [(n, f) for n, f in lettered if f.screen not in names and f.severity != "note"]
    if worst:
        table = in_short(lines, names, job.shop.units, partial(at_finding, report))
        if any(f.at_mm is not None for _, f in worst):
            room = 0.36 * paper.room_wide_mm, 0.25 * paper.room_high_mm
            yield Beside(all_places(report, worst, room), (table,))
        else:
            yield table
    if on_screens:
        here = {name for name, _ in worst}
        rest = [f for name, f in on_screens if name not in here]
        yield Prose(_more(rest, any_here=bool(worst)))
    if whole:
        yield troubles(whole)


def _go_on(report: Report) -> Iterator[Notice]:
    """Say that nothing is to be cut yet where something will fail; what can't be printed stands above."""
    failing = [f for f in report.findings if f.severity == "will fail"]
    if not failing or too_large(report.findings):
        return
    fail = "1 finding says" if len(failing) == 1 else f"{len(failing)} findings say"
    yield Notice(
        "Don't cut yet",
        (
            f"{fail} what will fail if it is made as it is. Redraw or change what each names, then make"
            " this sheet anew: its films are of the drawing as it is.",
            "Or print it knowing what is lost, once the customer has signed for that on the page made for"
            " it.",
        ),
    )


def _more(rest: Sequence[Finding], *, any_here: bool) -> str:
    """Say what stands on the screens' pages alone."""
    counts = [sum(f.severity == severity for f in rest) for severity in SEVERITIES]
    said = [
        text
        for number, text in zip(
            counts,
            (
                f"{counts[0]} that will fail",
                f"{counts[1]} at risk",
                count(counts[2], "note"),
            ),
            strict=True,
        )
        if number
    ]
    stand = "stands" if len(rest) == 1 else "stand"
    if not any_here:
        return f"{several(said)} {stand} on the screens' pages."
    more = f" {several(said)} more {stand} there too." if said else ""
    return f"Why, and what to do, stands on the screens' pages.{more}"
