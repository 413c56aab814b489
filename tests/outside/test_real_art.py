"""Real drawings of open sets: read as a renderer draws them, by shares and by place, or refused in words.

The sets are fetched by ``fetch_art.py``; ``real_art.py`` reads all of them and tells what is refused.
"""

from __future__ import annotations

import pytest
from fetch_art import art_folder
from judging import counted_verdicts
from real_art import files_of, judge_files
from renderer import counted, render

LARGEST = 20_000  # bytes; a few larger ones would take a third of the time
ART = [
    file
    for number, file in enumerate(files_of(art_folder()))
    if number % 7 == 0 and file.stat().st_size <= LARGEST
]
WIDTH_MM = 50.0  # a proof of less than half the pixels
PARTS = 2  # so that processes can share them

pytestmark = pytest.mark.skipif(
    len(ART) < 90, reason="no drawings fetched; run tests/outside/fetch_art.py"
)


@pytest.mark.parametrize("part", range(PARTS))
def test_no_real_drawing_is_silently_wrong(part: int) -> None:
    """Each is right or refused, in lines that say what and what to do; most are right."""
    judged = judge_files(ART[part::PARTS], workers=1, width_mm=WIDTH_MM)
    bad = [one for one in judged if one.verdict in ("wrong", "failed")]
    assert bad == []
    counts = counted_verdicts(judged)
    assert counts["right"] >= 0.8 * len(judged)
    assert counts["unproven"] <= 1


def test_drawings_have_many_colours() -> None:
    """Most of the drawings have three colours or more: single shapes would prove little."""
    some = ART[::6]
    pictures = [render(file.read_bytes(), 200) for file in some]
    many = sum(picture is not None and len(counted(picture)) >= 3 for picture in pictures)
    assert many >= 0.7 * len(some)
