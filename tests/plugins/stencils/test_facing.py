"""Which way round film is cut, against a table worked by hand."""

from __future__ import annotations

import pytest

from prep_stencils.facing import Side, facing_words, is_mirrored

# Worked by hand: film on the shirt side shows its adhesive to the squeegee side, so an F that reads right
# from there reads right on the adhesive and backwards on the bare face; on the squeegee side the faces
# change places. The cutter sees whichever face lies up.
TABLE: list[tuple[Side, bool, bool]] = [
    ("shirt", True, True),
    ("shirt", False, False),
    ("squeegee", True, False),
    ("squeegee", False, True),
]


@pytest.mark.parametrize(("side", "cut_face_up", "mirrored"), TABLE)
def test_table(side: Side, cut_face_up: bool, mirrored: bool) -> None:
    """The four ways film can be cut and laid."""
    assert is_mirrored(side, cut_face_up) is mirrored


@pytest.mark.parametrize(("side", "cut_face_up", "mirrored"), TABLE)
def test_turning_sheets_over_agrees(side: Side, cut_face_up: bool, mirrored: bool) -> None:
    """Counting how often the film is turned over gives the same.

    Begin with the film on the mesh, seen from the squeegee side, where it reads right. Bringing its bare
    face up takes one turn from the shirt side and none from the squeegee side; cutting it face down
    takes one more. Each turn swaps left and right.
    """
    turns = (side == "shirt") + (not cut_face_up)
    assert (turns % 2 == 1) is mirrored


def test_words() -> None:
    """The words of file and sheet."""
    assert (facing_words(True), facing_words(False)) == ("mirrored", "reads right")
