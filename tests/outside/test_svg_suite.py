"""The reader on a folder of conformance files: nothing silently wrong, nothing failed."""

from __future__ import annotations

import os
from pathlib import Path

import pytest
from svg_suite import SUITE, Score, score_all, table

WHOLE, LEAST_RIGHT = 876, 430

pytestmark = pytest.mark.skipif(
    not os.environ.get(SUITE), reason=f"{SUITE} names no folder of conformance files"
)


@pytest.fixture(scope="module")
def scores() -> list[Score]:
    """Score the whole folder once."""
    return score_all(sorted(Path(os.environ[SUITE]).glob("*.svg")))


def test_nothing_is_silently_wrong(scores: list[Score]) -> None:
    """Each file is read within half a percent of the renderer's colours, or refused in words."""
    bad = [one for one in scores if one.verdict in ("wrong", "failed", "unproven")]
    assert not bad, table(scores)
    assert all(one.detail for one in scores if one.verdict == "refused")


def test_enough_is_read_right(scores: list[Score]) -> None:
    """The reader doesn't buy safety by refusing what it could read."""
    if len(scores) < WHOLE:
        pytest.skip("the folder holds only a part of the conformance files")
    assert sum(one.verdict == "right" for one in scores) >= LEAST_RIGHT
