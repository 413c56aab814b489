"""What the sheet has of a test piece: the work in its order, its times, tables to fill in by hand."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import TYPE_CHECKING

from prep.errors import SettingsError, Unanswered
from prep.phrases import length
from prep.sections import Block, Caution, CheckList, Paragraph, Section, Table
from prep_test_piece.asked import printed_with, screen_of, times_on
from prep_test_piece.geometry import READ_DOT_MM, WAITS_MIN, Kind, Piece, piece
from prep_test_piece.plan import (
    LOOKED_AT,
    PULLS,
    SCREEN_AT_MIN,
    SHIRTS,
    steps_of,
)
from prep_test_piece.settings import PieceOrder
from prep_test_piece.timetable import Times, minutes, timetable, waits_min

if TYPE_CHECKING:
    from prep.job import Ask, Job

MEANT = "The finest steps are meant to fail: that is what is read."
BOX = "□"
_NOTE = (
    f"{MEANT} What is found in lines, film strips, islands, corners and dots is no fault of this drawing,"
    " and nothing is to be thickened. Limits of the shop's own follow once it is read: the tables to fill"
    " in stand on the closing page."
)
_KNIFE = (
    "Hands off the cutter while it runs. Lift film with tweezers or a blunt hook, away from the hand that"
    " holds it down; used blades go into a closed box."
)
_INK = "Wet ink: gloves as the supplier's safety data sheet asks for. It comes before anything said here."


def sections(job: Job, ask: Ask) -> Iterator[Section]:
    """Give the note at the top, the work, and the tables.

    :raises SettingsError: the order prints with another mesh than the one it says is tried
    :raises Unanswered: the order has several screens
    """
    own, screen = job.settings(PieceOrder), screen_of(job)
    if own.mesh != screen.mesh:
        key = "test_piece.mesh"
        raise SettingsError(
            f'{key} = "{own.mesh}": this order prints with "{screen.mesh}"',
            where=job.origins.get(key, "order.toml"),
            do="make the piece anew with prep test-piece, so that its form has the mesh it is read on",
        )
    yield Section("job", "Test piece", (Paragraph(_NOTE),), 1, step="judge")
    whole = piece()
    yield Section("closing", "Test piece: the work", _work(times_on(job, ask)), 60, step="run")
    yield Section(
        "closing", "Test piece: what is read", tuple(_tables(whole, job, ask)), 61, step="run"
    )


def _work(times: Times) -> tuple[Block, ...]:
    looks = ", ".join(str(pulls) for pulls in LOOKED_AT[:-1])
    table = Table(
        ("step", "reckoned from", "min"),
        tuple((e.what, e.rests, f"{e.minutes:.1f}") for e in timetable(times)),
        "llr",
        caption=f"{minutes(times):.0f} min of work. Beside it {waits_min()} min of waiting, in which"
        " readings are entered.",
    )
    return (
        Caution(_KNIFE),
        CheckList(
            (
                "Cut the film. Weed it without mending anything, and tick what lifted out cleanly.",
                "Lay it so that the upright lines lie along the upright threads.",
                f"Weigh {SHIRTS} dry shirts together.",
            )
        ),
        Caution(_INK),
        CheckList(
            (
                "Clamp the frame over scrap of your cloth; stir the ink and fill it in.",
                f"Pull {PULLS} times. After {looks} and {PULLS} pulls look at the film from below and tick"
                f" what lies flat. The last {SHIRTS} pulls go onto the shirts.",
                f"Weigh the {SHIRTS} shirts together at once, still wet.",
                "Look at the last shirt: lines, gaps and corners.",
                f"Flood the screen and weigh it, frame and all, at once and after"
                f" {' and '.join(str(m) for m in SCREEN_AT_MIN[1:])} min. Leave this out where the balance"
                " doesn't carry it.",
                "Back on the press, pull twice onto scrap, clear the screen with the last stroke, and start"
                " the clock.",
                f"After {WAITS_MIN[0]} min pull fresh ink with a card over the row of dots marked"
                f" {WAITS_MIN[0]}, onto paper; leave the other rows alone until"
                f" {', '.join(str(m) for m in WAITS_MIN[1:-1])} and {WAITS_MIN[-1]} min.",
                "Write into readings.toml, beside the order, what is ticked here. Then type:"
                " prep log readings readings.toml",
                "Scrape the screen out and wash it.",
            )
        ),
        table,
    )


def _tables(whole: Piece, job: Job, ask: Ask) -> Iterator[Block]:
    yield Paragraph("A box for each detail: the first lies upright, the second across.")
    held = tuple(f"held, {pulls} pulls" for pulls in LOOKED_AT)
    units = job.shop.units
    yield _ladder(whole, "line", "lines", units, ("lifted out", f"whole on cloth, {PULLS} pulls"))
    yield _ladder(
        whole,
        "strip",
        "film strips",
        units,
        ("not torn or dragged", *held, f"gap open, {PULLS} pulls"),
    )
    yield _ladder(whole, "island", "islands", units, held)
    yield _ladder(
        whole, "corner", "corners", units, ("lifted out", f"sharp on cloth, {PULLS} pulls")
    )
    yield _dots(whole, units)
    yield Table(
        ("balance", *(f"after {at} min, g" for at in SCREEN_AT_MIN)),
        (("flooded screen", *("" for _ in SCREEN_AT_MIN)),),
    )
    yield Table(
        ("balance", "dry, g", "printed, g", "a transfer of 1 leaves on each"),
        ((f"{SHIRTS} shirts together", "", "", _at_full(job, ask)),),
    )


def _at_full(job: Job, ask: Ask) -> str:
    try:
        return f"{printed_with(job, ask).at_full_g:.4g} g"
    except Unanswered:
        return "not reckoned"


def _ladder(whole: Piece, kind: Kind, name: str, units: str, looks: Sequence[str]) -> Table:
    return Table(
        (name, *looks),
        tuple(
            (
                f"{size:g}°" if kind == "corner" else _size(size, units),
                *[_boxes(steps)] * len(looks),
            )
            for size, steps in steps_of(whole, kind).items()
        ),
    )


def _size(mm: float, units: str) -> str:
    """Write a size as it is cut beside its step, and in inches too where the shop has these.

    >>> _size(0.3, "metric"), _size(0.3, "inch")
    ('0.3 mm', '0.3 mm (0.012 in)')
    """
    return f"{mm:g} mm" + (f" ({length(mm, units)})" if units == "inch" else "")


def _dots(whole: Piece, units: str) -> Table:
    sizes = tuple(dict.fromkeys(dot.size for dot in whole.rows[0].dots))
    return Table(
        ("dots", *(f"out after {row.wait_min} min" for row in whole.rows)),
        tuple(
            (
                _size(size, units),
                *(_boxes([d for d in row.dots if d.size == size]) for row in whole.rows),
            )
            for size in sizes
        ),
        caption=f"Those of {_size(READ_DOT_MM, units)} are entered.",
    )


def _boxes(steps: Iterable[object]) -> str:
    return " ".join(BOX for _ in steps)
