"""The benchmark of making screens ready still works; no time is judged here."""

from __future__ import annotations

import pytest

from tests.bench.readying import COLOURS, DARK, STAGES, Measuring, main, parts, run_of


def test_tables_are_printed(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """The command prints every stage of both drawings, and the pairs whose chance it worked out."""
    monkeypatch.setattr("sys.argv", ["readying.py", "--parts", "6", "--repeats", "1"])
    assert main() == 0
    lines = capsys.readouterr().out.splitlines()
    for stage in STAGES:
        assert sum(line.startswith(stage) for line in lines) == 2
    assert "pairs of 6 parts" in lines[-1]
    assert not lines[-1].startswith("0 pairs")


def test_the_run_makes_all_that_is_timed() -> None:
    """Under four colours a base is made, and traps along borders; each time the same is drawn."""
    artwork = parts(8, COLOURS)
    run = run_of(artwork, DARK)
    assert len(run.taken_s) == len(STAGES)
    assert run.ready.screens[0].does == "base"
    assert any("spread" in change for screen in run.ready.screens for change in screen.changes)
    for one, other in zip(artwork.shapes, parts(8, COLOURS).shapes, strict=True):
        assert one.region.equals(other.region)


def test_a_region_is_measured_once() -> None:
    """What was measured before takes no time and gives the same."""
    region = parts(1, COLOURS).shapes[0].region
    measuring = Measuring()
    (first,) = measuring([region])
    taken = measuring.taken_s
    assert taken > 0
    assert measuring([region])[0] is first
    assert measuring.taken_s == taken
