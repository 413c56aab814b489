"""readings.toml, the form: every line to fill in stands behind a #, every number to write is a ?."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import tomlkit

from prep_test_piece.geometry import READ_DOT_MM, Piece, Row
from prep_test_piece.plan import LOOKS, SCREEN_AT_MIN, SHIRTS, STROKES, Look, steps_of

FORMAT = "firstpull.readings/1"


@dataclass(frozen=True, slots=True)
class Printed:
    """What the form has to know of the print.

    :param at_full_g: what a transfer of 1 would leave on one shirt
    :param inked_mm2: area of the screen that carries ink
    """

    mesh: str
    ink: str
    readability_g: float | None
    at_full_g: float
    inked_mm2: float


def form(piece: Piece, printed: Printed, name: str) -> str:
    """Write the form."""
    return "\n".join(_lines(piece, printed, name)) + "\n"


def reads(row: Row) -> int:
    """Count the dots of a row that are entered."""
    return sum(dot.size == READ_DOT_MM for dot in row.dots)


def _lines(piece: Piece, printed: Printed, name: str) -> Iterator[str]:
    yield f"#: {name}: what was read of it. Words stand behind #: and stay there."
    yield '#: Write a number for each ? of a block, then take "# " away before each of its lines.'
    yield "#: A block left behind # isn't entered. Leave out steps that weren't made."
    yield f'format = "{FORMAT}"'
    yield f"name = {_quoted(name)}"
    yield f"mesh = {_quoted(printed.mesh)}"
    yield f"ink = {_quoted(printed.ink)}"
    if printed.readability_g is not None:
        yield f'readability = "{printed.readability_g:g} g"'
    yield "#: The day it was read, like 2026-03-04."
    yield "# day = ?"
    yield "#: What held at the screens: still room, fan on the screens, flash dryer beside the press or"
    yield "#: warm platen under the screen. Needed for the dots and for the screen on the balance."
    yield '# measured_in = { climate = "still room", temperature = "? C", humidity = "? %" }'
    for look in LOOKS:
        for pulls in look.after:
            yield from _row(piece, look, pulls)
    yield from _waits(piece)
    yield ""
    yield "#: The flooded screen on the balance, g after each of these minutes. The area that ink covers"
    yield "#: is as it is reckoned; write your own where the flood is wider or longer."
    yield "# [[screen_weighed]]"
    yield f'# area = "{printed.inked_mm2 / 100.0:.0f} cm2"'
    yield f"# at_minutes = [{', '.join(str(at) for at in SCREEN_AT_MIN)}]"
    yield f"# grams = [{', '.join('?' for _ in SCREEN_AT_MIN)}]"
    yield ""
    yield f"#: {SHIRTS} shirts on the balance together, dry before, wet right after printing."
    yield "#: Write strokes anew where you made another number, and at_full as the sheet then has it."
    yield "# [[shirts_weighed]]"
    yield f"# shirts = {SHIRTS}"
    yield f"# strokes = {STROKES}"
    yield '# before = "? g"'
    yield '# after = "? g"'
    yield f'# at_full = "{printed.at_full_g:.4g} g"'


def _row(piece: Piece, look: Look, pulls: int) -> Iterator[str]:
    when = f"after {pulls} pulls" if pulls else "before the first pull"
    yield ""
    yield f"#: How many of {look.what}, {when}."
    if look.of == "stroke":
        yield "#: tried = the lines that were lifted out cleanly; no step where none was."
    yield "# [[row]]"
    yield f'# of = "{look.of}"'
    if pulls:
        yield f"# after_pulls = {pulls}"
    yield "# step = ["
    for size, steps in steps_of(piece, look.kind).items():
        yield f'#   {{ size = "{size_of(look, size)}", tried = {len(steps)}, held = ? }},'
    yield "# ]"


def size_of(look: Look, size: float) -> str:
    """Write the size of a step: of islands by their area that, of corners the angle, else its width.

    >>> size_of(LOOKS[4], 1.4), size_of(LOOKS[3], 1.4), size_of(LOOKS[7], 15.0)
    ('1.96 mm2', '1.4 mm', '15 deg')
    """
    if look.kind == "corner":
        return f"{size:g} deg"
    return f"{round(size**2, 4):g} mm2" if look.of == "island_area" else f"{size:g} mm"


def _waits(piece: Piece) -> Iterator[str]:
    yield ""
    yield f"#: How many dots of {READ_DOT_MM:g} mm came out on the first pull after each wait. A"
    yield "#: cleared screen usually stays open about as long; write flooded where it stood so."
    yield "# [[wait]]"
    yield '# screen = "cleared"'
    yield "# dots = ["
    for row in piece.rows:
        yield f'#   {{ wait = "{row.wait_min} min", tried = {reads(row)}, printed = ? }},'
    yield "# ]"


def _quoted(text: str) -> str:
    return tomlkit.item(text).as_string()
