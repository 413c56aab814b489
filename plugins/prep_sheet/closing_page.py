"""The closing page of a set-up: cure, wash test, clean-up, and what to write down for next time.

Steps are common practice of the trade, no source; temperatures and times are the ink maker's to say.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from prep_sheet.blocks import grid, pieces_of, work
from prep_sheet.layout import Cell, Danger, Page, Paper, Piece, Prose, Steps, Turn
from prep_sheet.wording import clean

if TYPE_CHECKING:
    from prep.job import Job, Report


_RESTS_ON = 90
"""Rank from which on it says what the figures rest on, in small print on a page of its own."""


def closing_page(report: Report, paper: Paper, flags: tuple[str, ...]) -> Page:
    """Give the closing page."""
    job = report.job
    own: list[tuple[int, str, Sequence[Piece]]] = [
        (70, "Cure", _cure(job, paper)),
        (75, "Wash test", _wash_test(paper)),
        (80, "Clean up", _clean_up(paper)),
        (82, "For next time", _record(job, paper)),
    ]
    sections = (s for s in report.sections if s.chapter == "closing")
    return Page(
        running=clean(f"{job.order.name}: {job.setup.name}. Cure, wash test, record"),
        title="Cure, wash test, record",
        subtitle=clean(job.setup.name),
        pieces=tuple(pieces_of(sections, own, paper, turns=((_RESTS_ON, Turn(small=True)),))),
        flags=flags,
    )


def _cure(job: Job, paper: Paper) -> tuple[Piece, ...]:
    inks = {screen.ink: screen.colour for screen in job.screens}
    rows = tuple(
        (Cell(clean(ink), colour), Cell(""), Cell(""), Cell("")) for ink, colour in inks.items()
    )
    head = ("Ink", "Temperature", "Time", "Measured on the ink")
    return (
        Prose(
            "Temperature and time are for the ink's maker to say. Write them here from the data sheet of"
            " each ink before the first shirt is cured."
        ),
        grid(head, rows, "llll", paper, roomy=True),
        work(
            (
                Danger(
                    "Dryer, heat press and flash unit burn skin at a touch and can set cloth alight."
                    " Keep hands clear, air the room, stay beside them while they are hot, and follow"
                    " the ink maker's data sheet, the machine's instructions and local rules."
                ),
                Steps(
                    (
                        "Let the water out first: wet ink stays far below its cure temperature.",
                        "Measure the heat of the ink itself, not of the air or the dial.",
                        "Cure one test print and wash it before the run is cured.",
                    )
                ),
            ),
            paper,
        ),
    )


def _wash_test(paper: Paper) -> tuple[Piece, ...]:
    rows = tuple((Cell(n), Cell(""), Cell(""), Cell("")) for n in ("1", "3", "5"))
    steps = Steps(
        (
            "Cut a cured test print in two and keep one half unwashed.",
            "Wash and dry the other half as the garment's care label says, five times.",
            "Compare the halves after washes 1, 3 and 5: fading, cracks, ink that comes off.",
        )
    )
    head = ("Wash", "Date", "What is seen", "Good enough?")
    return work((steps,), paper), grid(head, rows, "llll", paper, roomy=True)


def _clean_up(paper: Paper) -> tuple[Piece, ...]:
    return (
        work(
            (
                Danger(
                    "Keep ink and the first rinse out of the drain unless local rules allow it; wear"
                    " gloves, and goggles where water is sprayed."
                ),
                Steps(
                    (
                        "Put ink that keeps back in its pot, weigh it and write it down below; a mix with"
                        " an activator or cross-linker, and discharge ink, is thrown away.",
                        "Wash screen and squeegee before the ink dries in the mesh.",
                    )
                ),
            ),
            paper,
        ),
    )


def _record(job: Job, paper: Paper) -> tuple[Piece, ...]:
    rows = tuple(
        (Cell(clean(f"{s.number} {s.ink}"), s.colour), *(Cell(""),) * 5) for s in job.screens
    )
    head = ("Screen", "Ink mixed", "Ink left", "Good", "Spoilt", "What to change")
    day = grid(
        ("Date", "Room temperature", "Humidity", "Printed by"),
        ((Cell(""), Cell(""), Cell(""), Cell("")),),
        "llll",
        paper,
        roomy=True,
    )
    return grid(head, rows, "llllll", paper, roomy=True), day
