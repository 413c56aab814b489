"""A screen's page: what it prints, its figures, its findings, and the steps at the press."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from prep_sheet.blocks import pieces_of, troubles
from prep_sheet.images import Lettered, screen_prints
from prep_sheet.job_page import DOES
from prep_sheet.layout import Beside, Danger, Page, Paper, Piece, Points, Steps, Values
from prep_sheet.wording import area, clean, count, fine, length, percent, place, several, span

if TYPE_CHECKING:
    from prep.job import Report
    from prep.measures import Place
    from prep.screens import Screen


def screen_page(
    report: Report, screen: Screen, lettered: Lettered, paper: Paper, flags: tuple[str, ...]
) -> Page:
    """Give the page of one screen.

    :param lettered: the findings of this screen with their letters, worst first
    """
    job = report.job
    own: list[tuple[int, str, Sequence[Piece]]] = [
        (10, "", tuple(_what_it_is(report, screen, lettered, paper)))
    ]
    if screen.changes:
        changes = Points(tuple(clean(change) for change in screen.changes))
        own.append((15, "Changed from the artwork", (changes,)))
    if lettered:
        found = troubles(lettered, {screen.key: ""}, why=True)
        own.append((12, "What to look out for", (found,)))
    own.append((65, "At the press", tuple(_at_the_press(screen, lettered))))
    sections = (s for s in report.sections if s.screen == screen.key)
    passes = count(screen.passes, "pass", "passes")
    return Page(
        running=clean(f"{job.order.name}: {job.setup.name}. Screen {screen.number}: {screen.ink}"),
        title=clean(f"Screen {screen.number} of {len(job.screens)}: {screen.ink}"),
        subtitle=clean(f"Mesh {screen.mesh}, {passes}, prints {DOES[screen.does]}"),
        pieces=tuple(pieces_of(sections, own, paper)),
        flags=flags,
        swatch=screen.colour,
    )


def _what_it_is(
    report: Report, screen: Screen, lettered: Lettered, paper: Paper
) -> Iterator[Piece]:
    job, measures = report.job, screen.measures
    units, art = job.shop.units, job.artwork
    none = f"none under {span(measures.searched_to_mm, units)}"

    def finest(found: Place | None) -> tuple[str, str]:
        if found is None:
            return none, ""
        return fine(found.width_mm, units), place(found.at_mm, units)

    yield Beside(
        screen_prints(
            report, screen, lettered, (0.57 * paper.room_wide_mm, 0.48 * paper.room_high_mm)
        ),
        (
            Values(
                (
                    (
                        "Prints",
                        area(measures.area_mm2, units),
                        f"{percent(measures.area_mm2 / (art.width_mm * art.height_mm))} of the"
                        " artwork's rectangle",
                    ),
                    ("Finest opening", *finest(measures.finest_opening)),
                    ("Finest gap", *finest(measures.finest_gap)),
                    ("Pieces", str(measures.pieces), "separate openings"),
                    (
                        "Islands",
                        str(len(measures.islands)),
                        "film with ink all around it" if measures.islands else "",
                    ),
                    ("Knife's way", length(measures.cut_length_mm, units), ""),
                )
            ),
        ),
    )


def _at_the_press(screen: Screen, lettered: Lettered) -> Iterator[Piece]:
    """Give the steps at the press; common practice of the trade, no source."""
    steps = [
        clean(
            f"Screen, film and ink belong together: screen {screen.number}, mesh {screen.mesh},"
            f" {screen.ink}."
        ),
        "Pull a test print on spare cloth and hold it beside the picture of this screen: same way"
        " round, nothing missing, nothing filled.",
    ]
    watched = [name for name, f in lettered if f.severity != "note" and f.at_mm is not None]
    if watched:
        steps.append(
            f"On the test print look closely at {several(watched)}; look there again during the run."
        )
    if screen.passes > 1:
        steps.append(f"Print {screen.passes} times on each shirt, flashed in between.")
    steps.append("Flood the screen after every print, so that the ink doesn't dry in the mesh.")
    yield Steps(tuple(steps))
    if screen.passes > 1:
        yield Danger(
            "A flash unit burns skin at a touch and scorches cloth left under it. Keep to its maker's"
            " instructions and never leave it on unattended."
        )
