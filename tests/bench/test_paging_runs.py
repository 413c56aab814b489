"""The benchmark of the page still works; no time is judged here."""

from __future__ import annotations

import os
import shutil
from pathlib import Path

import pytest

from prep.line import open_line
from prep.request import Request
from prep_page.dropped import lay_out
from prep_page.edits import changed
from tests.bench.paging import CHANGES, DEMO, another_mesh, made_drawing, main


def test_the_table_is_printed(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """The page's start, and a small drawing."""
    monkeypatch.setattr("sys.argv", ["paging.py", "--vertices", "240", "--orders"])
    before = Path.cwd()
    assert main() == 0
    assert Path.cwd() == before
    lines = capsys.readouterr().out.splitlines()
    assert any(line.startswith("page, to its first answer") for line in lines)
    (drawn,) = (number for number, line in enumerate(lines) if line.startswith("drawing of"))
    assert int(lines[drawn].split()[-1]) > 5
    assert lines[drawn].split()[-2] == "1.000"
    told = [line for line in lines[drawn + 1 :] if line.startswith("  ")]
    assert [line.split("  ")[1] for line in told] == [
        *(said for said, _ in CHANGES),
        "another mesh",
    ]


def test_every_change_can_be_made_to_the_demo(tmp_path: Path) -> None:
    """All at once; the order holds them then, and can be opened with them."""
    for file in (DEMO / "pea-pod").iterdir():
        shutil.copy(file, tmp_path)
    changes = [change for _, change in (*CHANGES, another_mesh(tmp_path))]
    order = tmp_path / "order.toml"
    text = changed(order.read_text(), changes)
    order.write_text(text)
    with open_line(Request(order)) as line:
        assert line.setups
    for change in changes:
        assert str(change.text).strip("[]") in text


def test_the_made_drawing_can_be_dropped(tmp_path: Path) -> None:
    """It is an artwork like any other."""
    assert lay_out(tmp_path, [("made.svg", made_drawing(240))]) == "made"
    assert os.listdir(tmp_path)
