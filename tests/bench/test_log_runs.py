"""The benchmark of the log still works; no time is judged here."""

from __future__ import annotations

from pathlib import Path

import pytest

from prep_log.store import reading
from tests.bench.log import VIEWS, main, make


def test_the_table_is_printed(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr("sys.argv", ["log.py", "--runs", "30", "--repeats", "1"])
    assert main() == 0
    lines = capsys.readouterr().out.splitlines()
    for view in VIEWS:
        assert sum(line.startswith(f"{view}  ") for line in lines) == 1


def test_the_log_holds_what_is_said(tmp_path: Path) -> None:
    """Of 60 runs every third was seen in, every tenth corrected, every twentieth has a note."""
    make(tmp_path / "log.sqlite", 60)
    with reading(tmp_path / "log.sqlite") as store:
        kinds = [heading.kind for heading in store.headings()]
        assert {kind: kinds.count(kind) for kind in set(kinds)} == {
            "run": 60,
            "seen": 20,
            "note": 3,
        }
        assert len(store.headings(all_of_them=True)) == 60 + 20 + 6 + 3
        assert all(len(figures) in (22, 9, 0) for figures in store.figures().values())
