"""The benchmark of the page still works; no time is judged here."""

from __future__ import annotations

import pytest

from tests.bench.paging import CHANGES, main


def test_the_table_is_printed(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Start, one demo with every change, and a small drawing."""
    monkeypatch.setattr("sys.argv", ["paging.py", "--vertices", "240", "--orders", "pea-pod"])
    assert main() == 0
    lines = capsys.readouterr().out.splitlines()
    assert any(line.startswith("page, to its first answer") for line in lines)
    for name, _ in CHANGES:
        (line,) = (line for line in lines if line.startswith(f"  {name}"))
        assert float(line.split()[-2]) > 0
    (drawn,) = (line for line in lines if line.startswith("drawing of"))
    assert int(drawn.split()[-1]) > 5
