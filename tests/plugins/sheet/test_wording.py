"""Numbers and names as they are printed."""

from __future__ import annotations

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from prep_sheet import wording


@pytest.mark.parametrize(
    ("said", "expected"),
    [
        (wording.size(280.0, 190.5, "metric"), "280.0 × 190.5 mm"),
        (wording.size(280.0, 190.5, "inch"), "11.02 × 7.50 in"),  # 280/25.4, 190.5/25.4
        # 285.13/25.4 is 11.2256, but sentences have 285.1 mm of it, and the two stand on one page
        (wording.size(234.2, 285.13, "inch"), "9.22 × 11.22 in"),
        (wording.lengths("234.2 × 285.1 mm", "inch"), "9.22 × 11.22 in"),
        (wording.fine(0.406, "metric"), "0.41 mm"),
        (wording.fine(0.406, "inch"), "0.016 in (0.41 mm)"),
        (wording.span(3.0, "metric"), "3 mm"),
        (wording.span(3.0, "inch"), "0.118 in"),
        (wording.length(2210.0, "metric"), "2.21 m"),
        (wording.length(999.0, "metric"), "999 mm"),
        (wording.length(254.0, "inch"), "10 in"),
        (wording.area(5120.4, "metric"), "51.2 cm²"),
        (wording.area(645.16, "inch"), "1.00 in²"),
        (wording.area(4.0, "metric"), "0.04 cm²"),
        (wording.area(0.2, "metric"), "under 0.01 cm²"),
        (wording.area(0.2, "inch"), "under 0.01 in²"),
        (wording.place((101.2, 44.0), "metric"), "101.2 mm from the left, 44.0 mm from the top"),
        (wording.place((25.4, 50.8), "inch"), "1.00 in from the left, 2.00 in from the top"),
        (wording.percent(0.14), "14 %"),
        (wording.percent(0.023), "2.3 %"),
        (wording.percent(0.0004), "under 0.1 %"),
        (wording.percent(0.0), "0.0 %"),
        (wording.count(1, "shirt"), "1 shirt"),
        (wording.count(2, "pass", "passes"), "2 passes"),
        (wording.letter(0), "A"),
        (wording.letter(25), "Z"),
        (wording.letter(26), "AA"),
        (wording.letter(27 * 26), "AAA"),
    ],
)
def test_said_as_a_printer_would(said: str, expected: str) -> None:
    assert said == expected


def test_letters_are_distinct() -> None:
    """A thousand findings, a thousand letters."""
    assert len({wording.letter(n) for n in range(1000)}) == 1000


def test_names_can_neither_break_lines_nor_turn_the_text() -> None:
    """Control characters and marks that reverse the writing become blanks."""
    assert wording.clean("red\nink\x00\u202edlot\ud800") == "red ink dlot\ufffd"


@given(st.text())
@example("x" * 80)
@example("red " + "#" * 25)
def test_long_runs_can_break_and_nothing_else_changes(text: str) -> None:
    """No run of 25 letters without a place to break; without those places it is what it was."""
    cleaned = wording.clean(text)
    assert all(len(run) < 25 for part in cleaned.split("\u200b") for run in part.split())
    assert wording.clean(cleaned) == cleaned
    if text.isascii() and text.isprintable():
        assert cleaned.replace("\u200b", "") == text.strip()
