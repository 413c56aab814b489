"""The benchmark of drying still works; no time is judged here."""

from __future__ import annotations

import pytest

from tests.bench.drying import STAGES, main, run_of
from tests.bench.inking import COLOURS, drawings


def test_the_table_is_printed(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """The command prints every stage, with measuring as its own measure."""
    monkeypatch.setattr("sys.argv", ["drying.py", "--vertices", "60", "--repeats", "1"])
    assert main() == 0
    lines = capsys.readouterr().out.splitlines()
    for stage in STAGES:
        assert sum(line.startswith(f"{stage}  ") for line in lines) == 1
    (measuring,) = (line for line in lines if line.startswith("measuring  "))
    assert measuring.split()[2] == "1.0000"


def test_what_is_timed_is_every_screen_in_both_ways_and_the_whole_table() -> None:
    """Four screens in use at once or one after the other, by all draws; what helps against a dryer too."""
    run = run_of(drawings(60))
    assert len(run.taken_s) == len(STAGES)
    assert [one.working for one in run.drying.runs] == ["shirt by shirt", "colour by colour"]
    assert [part.screens for part in run.drying.run.parts] == [COLOURS]
    for one in run.drying.runs:
        assert tuple(one.by_screen) == COLOURS
        assert all(screen.pause_s.draws.shape == (512,) for screen in one.by_screen.values())
    assert len(run.helps.helps) >= 8
    assert run.plan.table.whole.draws.shape == (512,)
    assert [part.screens for part in run.plan.parts] == [COLOURS]
    titles = {section.title for section in run.card}
    assert {"Set up", "Keeping the ink open", "What helps most here", "Hours"} <= titles
