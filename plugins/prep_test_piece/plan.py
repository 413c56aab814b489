"""How a test piece is worked and what is read of it: one list for the form, the sheet and its times."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from prep_test_piece.geometry import Kind, Piece, Step

PULLS = 50
SHIRTS = 3
"""Weighed; they take the last pulls."""
STROKES = 2
LOOKED_AT = (10, 25, 50)
"""Pulls after which the film is looked at."""
SCREEN_AT_MIN = (0, 5, 10)
"""Minutes after the flood at which the screen is weighed."""


@dataclass(frozen=True, slots=True)
class Look:
    """One thing read of a ladder.

    :param of: its name on the form
    :param kind: of the ladder
    :param after: pulls after which it is read; 0 = before the first
    :param what: to be counted, to stand after "how many of"
    """

    of: str
    kind: Kind
    after: tuple[int, ...]
    what: str


LOOKS: tuple[Look, ...] = (
    Look("weeding", "line", (0,), "the lines lifted out cleanly"),
    Look("cutting", "strip", (0,), "the film strips the knife neither tore nor dragged"),
    Look("strip", "strip", LOOKED_AT, "the film strips lie flat on the mesh"),
    Look("island", "island", LOOKED_AT, "the islands lie flat on the mesh"),
    Look("island_area", "island", (PULLS,), "the islands lie flat, by their area"),
    Look("stroke", "line", (PULLS,), "the lines are whole on the cloth"),
    Look("gap", "strip", (PULLS,), "the gaps are open on the cloth"),
    Look("corner_lifted", "corner", (0,), "the corners lifted out to their tips"),
    Look("corner_sharp", "corner", (PULLS,), "the corners are sharp on the cloth"),
)


def steps_of(piece: Piece, kind: Kind) -> Mapping[float, Sequence[Step]]:
    """Give the steps of all ladders of a kind by their size, smallest first."""
    found: dict[float, list[Step]] = {}
    for ladder in piece.ladders:
        if ladder.kind == kind:
            for step in ladder.steps:
                found.setdefault(step.size, []).append(step)
    return dict(sorted(found.items()))
