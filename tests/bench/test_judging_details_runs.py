"""The benchmark of judging details still works; no time is judged here."""

from __future__ import annotations

import pytest

from prep_fill_in.wording import LARGER
from tests.bench.inking import drawings
from tests.bench.judging_details import STAGES, main, run_of


def test_a_table_is_printed(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """The command prints every stage once."""
    monkeypatch.setattr("sys.argv", ["judging_details.py", "--vertices", "80", "--repeats", "1"])
    assert main() == 0
    lines = capsys.readouterr().out.splitlines()
    for stage in STAGES:
        assert sum(line.startswith(stage) for line in lines) == 1


def test_the_run_does_all_that_is_timed() -> None:
    """Screens hold details that fail, remedies say what lies beside, and a width was tried."""
    run = run_of(drawings(200))
    assert len(run.taken_s) == len(STAGES)
    assert any(finding.severity == "will fail" for finding in run.findings)
    assert any("moves each edge" in finding.do for finding in run.findings)
    assert sum(finding.kind == LARGER for finding in run.findings) == 1
    assert len(run.larger) == 4
