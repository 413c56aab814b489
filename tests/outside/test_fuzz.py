"""Random drawings and damaged real ones: read as a renderer draws them, or refused in words.

The same ones each time; ``fuzz.py`` makes others, and more of them.
"""

from __future__ import annotations

import os
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import pytest
from fetch_art import ROOT, art_folder
from fuzz import failures, judge_drawings, mutated_drawings, random_drawings, smaller
from judging import Drawing, Judgement, counted_verdicts
from reducing import reduced

RANDOM, MUTATED = 30, 50
WIDTH_MM = 50.0  # a proof of less than half the pixels
PARTS = 2  # so that processes can share them


def printed_small(made: list[Drawing]) -> list[Drawing]:
    """Have drawings printed at the one width."""
    return [replace(one, width_mm=WIDTH_MM) for one in made]


def judged_part(made: list[Drawing], part: int) -> list[Judgement]:
    """Judge a part; a failure shows the drawing, made smaller."""
    drawings = made[part::PARTS]
    judgements = judge_drawings(drawings, workers=1)
    for drawing, judgement in failures(drawings, judgements)[:1]:
        pytest.fail(f"{judgement}\n{smaller(drawing, judgement).data!r}")
    return judgements


@pytest.mark.parametrize("part", range(PARTS))
def test_random_drawings_are_read_as_they_look(part: int) -> None:
    """Whatever is read looks as the renderer draws it; a good part of them is read."""
    judgements = judged_part(printed_small(random_drawings(RANDOM, 0)), part)
    counts = counted_verdicts(judgements)
    assert counts["right"] >= 0.5 * len(judgements)
    assert counts["unproven"] == 0


@pytest.mark.skipif(
    len(list(art_folder().glob("*/*.svg"))) < 300,
    reason="no drawings fetched; run tests/outside/fetch_art.py",
)
@pytest.mark.parametrize("part", range(PARTS))
def test_damaged_drawings_end_in_a_reading_or_in_words(part: int) -> None:
    """Bytes, words, numbers and chunks changed: read rightly, or refused in one line for each reason."""
    judgements = judged_part(printed_small(mutated_drawings(MUTATED, 0)), part)
    counts = counted_verdicts(judgements)
    assert counts["right"] >= 0.2 * len(judgements)
    assert counts["refused"] >= 0.2 * len(judgements)
    assert counts["unproven"] <= 3


def test_a_failure_is_made_smaller() -> None:
    """A drawing that is shown to fail loses what has no part in it, and still fails."""
    own = next((ROOT / "artwork").glob("**/*.svg"))
    bad = b'<svg xmlns="http://www.w3.org/2000/svg"><g id="a"><rect/><p>x</p></g><path/></svg>'
    assert reduced(bad, lambda data: b"<path" in data).count(b"<") <= 3
    assert len(reduced(own.read_bytes(), lambda data: data[:1] == b"<")) < 200
    assert reduced(b"no XML at all", lambda data: b"X" in data) == b"X"


def test_a_seed_makes_the_same_drawings_in_every_run() -> None:
    """As many as asked for, whatever order the interpreter keeps sets of words in."""
    code = (
        "import hashlib, fuzz; made = fuzz.random_drawings(30, 5) + fuzz.mutated_drawings(5, 5);"
        " print(len(made), hashlib.sha256(b''.join(one.data for one in made)).hexdigest())"
    )
    said = {
        subprocess.run(
            [sys.executable, "-c", code],
            env={
                **os.environ,
                "PYTHONHASHSEED": hash_seed,
                "PYTHONPATH": str(Path(__file__).parent),
            },
            capture_output=True,
            text=True,
            check=True,
        ).stdout
        for hash_seed in ("1", "2", "3")
    }
    assert len(said) == 1
    assert said.pop().startswith("35 ")
