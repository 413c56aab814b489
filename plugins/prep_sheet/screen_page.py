"""A screen's page: what it prints, its figures, its findings, and the steps at the press."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from prep.phrases import several
from prep.sections import Caution, CheckList, Drawing, Figures, Section, Table
from prep_sheet.blocks import GUTTER_MM, blocks_beside, numbered_through, pieces_of, troubles, work
from prep_sheet.images import Lettered, screen_prints
from prep_sheet.job_page import DOES
from prep_sheet.layout import Beside, Danger, Page, Paper, Piece, Prose, Steps, Turn, Values
from prep_sheet.wording import area, clean, count, fine, length, lengths, percent, place, span

if TYPE_CHECKING:
    from prep.job import Job, Report
    from prep.measures import Place
    from prep.screens import Screen


Row = tuple[str, str, str]

_WHAT_IT_IS = 11
"""Rank up to which a section says what the screen is."""
_MESH_AND_INK = range(30, 45)
"""Ranks of what is told of mesh and ink."""
_JOINING = 44
"""Rank of sections whose steps join the sheet's own with which ink goes on the screen."""
_INK_ON = 53
"""Rank of these steps: the film is laid by then and the screen set, and nothing is pulled yet."""
_AT_THE_PRESS = 59
"""Rank of the steps at the press: the screen is lined up by then."""
_ON_EACH_SHIRT = 60
"""Rank of plugins' steps with which the run is printed."""
_MOST_WATCHED = 5
"""Letters that are told to be looked at: more are not looked at by anyone. Our choice."""
CURE = range(70, 90)
"""Ranks of what is told of a screen's ink in the cure, on the closing page."""
_BACK = 45
"""Rank from which on a screen's parts stand on the back of its sheet: film, lining up, press."""


def screen_page(
    report: Report, screen: Screen, lettered: Lettered, paper: Paper, flags: tuple[str, ...]
) -> Page:
    """Give the page of one screen.

    :param lettered: the findings of this screen with their letters, worst first
    """
    job = report.job
    below, figures, beside = _figures_apart(
        s for s in report.sections if s.screen == screen.key and s.rank not in CURE
    )
    own: list[tuple[int, str, Sequence[Piece]]] = [
        (10, "", (_what_it_is(report, screen, lettered, figures, beside, paper),))
    ]
    if screen.changes:
        changed = f"Changed from the artwork: {several(screen.changes)}."
        own.append((15, "", (Prose(clean(changed)),)))
    if lettered:
        own.append((12, "What to look out for", (troubles(lettered),)))
    ink_on: list[Steps | Danger] = [Steps(tuple(map(clean, _in_one_frame(job, screen))))]
    ink_on += _joined(below)
    own.append((_INK_ON, "Ink on the screen", (work(ink_on, paper),)))
    told = any(section.rank == _ON_EACH_SHIRT for section in below)
    steps = list(_at_the_press(screen, lettered, printed=not told))
    own.append((_AT_THE_PRESS, "At the press", (work(steps, paper),)))
    sections = [section for section in below if not _joins(section)]
    passes = count(screen.passes, "pass", "passes")
    setup = lengths(job.setup.name, job.shop.units)
    return Page(
        running=clean(f"{job.order.name}: {setup}. Screen {screen.number}: {screen.ink}"),
        title=clean(f"Screen {screen.number} of {len(job.screens)}: {screen.ink}"),
        subtitle=clean(f"Mesh {screen.mesh}, {passes}, prints {DOES[screen.does]}"),
        pieces=numbered_through(pieces_of(sections, own, paper, turns=((_BACK, Turn()),))),
        flags=flags,
        swatch=screen.colour,
    )


def _figures_apart(sections: Iterable[Section]) -> tuple[list[Section], list[Row], list[Section]]:
    """Tell apart what stands beside the screen's picture.

    :return: sections for the page below, figures of those that say what the screen is, and whole
        sections of figures and tables about mesh and ink
    """
    below, rows, beside = list[Section](), list[Row](), list[Section]()
    for section in sections:
        if section.rank <= _WHAT_IT_IS:
            rows += [row for b in section.blocks if isinstance(b, Figures) for row in b.rows]
            rest = tuple(b for b in section.blocks if not isinstance(b, Figures))
            if rest:
                # pictures of the finest places speak for themselves, right below the screen's own
                bare = all(isinstance(block, Drawing) for block in rest)
                title = "" if bare else section.title
                below.append(replace(section, blocks=rest, title=title))
        elif section.rank in _MESH_AND_INK and all(
            isinstance(b, Figures | Table) for b in section.blocks
        ):
            beside.append(section)
        else:
            below.append(section)
    return below, rows, beside


def _what_it_is(
    report: Report,
    screen: Screen,
    lettered: Lettered,
    more: Sequence[Row],
    beside: Iterable[Section],
    paper: Paper,
) -> Beside:
    job, measures = report.job, screen.measures
    units, art = job.shop.units, job.artwork
    none = f"none under {span(measures.searched_to_mm, units)}"

    def finest(found: Place | None) -> tuple[str, str]:
        if found is None:
            return none, ""
        return fine(found.width_mm, units), place(found.at_mm, units)

    rows = (
        (
            "Prints",
            area(measures.area_mm2, units),
            f"{percent(measures.area_mm2 / (art.width_mm * art.height_mm))} of the artwork's"
            " rectangle",
        ),
        ("Finest opening", *finest(measures.finest_opening)),
        ("Finest gap", *finest(measures.finest_gap)),
        ("Pieces", str(measures.pieces), "separate openings"),
        (
            "Islands",
            str(len(measures.islands)),
            "film with ink all around it" if measures.islands else "",
        ),
        ("Cut length", length(measures.cut_length_mm, units), "openings"),
    )
    room = 0.42 * paper.room_wide_mm, 0.315 * paper.room_high_mm
    named = {
        row[0]
        for section in report.sections
        if section.screen == screen.key
        for block in section.blocks
        if isinstance(block, Figures)
        for row in block.rows
    }
    # what a plugin says of the same thing says more, and once is enough
    own = (row for row in rows if row[0] not in named)
    image = screen_prints(report, screen, lettered, room)
    left_mm = paper.room_wide_mm - image.column_mm - GUTTER_MM
    return Beside(
        image,
        (
            Values((*own, *((clean(a), clean(b), clean(c)) for a, b, c in more))),
            *(
                piece
                for section in sorted(beside, key=_in_order)
                for piece in blocks_beside(section, paper, left_mm)
            ),
        ),
    )


def _joins(section: Section) -> bool:
    """Tell whether a plugin's section is steps at the press, to stand among the sheet's own."""
    return section.rank == _JOINING and all(
        isinstance(block, CheckList | Caution) for block in section.blocks
    )


def _joined(sections: Iterable[Section]) -> Iterator[Steps | Danger]:
    for section in sorted(filter(_joins, sections), key=lambda section: section.by):
        for block in section.blocks:
            if isinstance(block, CheckList):
                yield Steps(tuple(clean(step) for step in block.steps))
            elif isinstance(block, Caution):
                yield Danger(clean(block.text))


def _in_one_frame(job: Job, screen: Screen) -> Iterator[str]:
    """Give the steps that make the frame ready for a screen, which may share it with others."""
    sharing = next(screens for screens in job.films if screen in screens)
    others = [one for one in sharing if one is not screen]
    before = [one for one in others if one.number < screen.number]
    beside = [one for one in others if not one.region.equals(screen.region)]
    if not before:
        yield f"Check that screen {screen.number}, mesh {screen.mesh} and {screen.ink} go together."
    else:
        yield f"Leave the frame of {_named(before)} where it is: this is the same one."
    if before:
        once = "Printing one ink at a time, first scrape" if beside else "Scrape"
        bare = ", and take the tape off the openings of this screen" if beside else ""
        yield (
            f"{once} the ink of {_named(before)} out, wash mesh and squeegee without moving the frame,"
            f" and let the mesh dry{bare}."
        )
    if beside:
        yield (
            f"Printing each ink with a short squeegee of its own, keep {screen.ink} from the openings of"
            f" {_named(beside)}, in the same frame. Printing one ink at a time, tape these off on the"
            " shirt side."
        )


def _named(screens: Sequence[Screen]) -> str:
    return several([f"screen {one.number} ({one.ink})" for one in screens])


def _in_order(section: Section) -> tuple[int, str]:
    return section.rank, section.by


def _at_the_press(screen: Screen, lettered: Lettered, *, printed: bool) -> Iterator[Steps | Danger]:
    """Give the steps at the press; common practice of the trade, no source.

    :param printed: the passes of the run are told here, as no plugin tells them
    """
    watched = [name for name, f in lettered if f.severity != "note" and f.at_mm is not None]
    steps = [
        "Pull a test print on spare cloth; hold it beside this screen's picture: same way round,"
        " nothing missing, nothing filled.",
    ]
    if watched:
        few = watched[:_MOST_WATCHED]
        worst = f", the worst of {len(watched)}," if len(watched) > len(few) else ""
        steps.append(
            f"Look closely at {several(few)}{worst} on the picture on this screen's first page, now and"
            " again during the run."
        )
    yield Steps(tuple(steps))
    if printed and screen.passes > 1:
        yield Danger(
            "A flash unit burns skin at a touch and scorches cloth. Follow its maker's instructions;"
            " never leave it on unattended."
        )
        yield Steps((f"Print {screen.passes} times on each shirt, flashed in between.",))
    elif printed:
        yield Steps(("Print it once on each shirt, in its turn.",))
