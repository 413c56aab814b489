"""The benchmark of cut files still works; no time is judged here."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from tests.bench.cutting import files_of, main, travel

ART = """<svg xmlns="http://www.w3.org/2000/svg" width="60mm" height="60mm" viewBox="0 0 60 60">
<rect width="20" height="20"/><rect x="40" y="40" width="20" height="20"/></svg>"""


def test_tables_are_printed(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """The command prints the stages, the files and the ways on the designs asked for."""
    (tmp_path / "art.svg").write_text(ART, encoding="utf-8")
    order = tmp_path / "order.toml"
    order.write_text('[[print]]\nartwork = "art.svg"\n[[garment]]\nsizes = { M = 1 }\n')
    argv = ["cutting.py", "--vertices", "300", "--repeats", "1", "--designs", str(order)]
    monkeypatch.setattr("sys.argv", argv)
    assert main() == 0
    lines = capsys.readouterr().out.splitlines()
    assert any(line.startswith("films, all files written and read") for line in lines)
    *_, outlines, ours, plain, least = lines[-1].split()
    assert int(outlines) == 2
    assert int(least) <= int(ours) <= int(plain)


def test_the_files_that_are_timed_are_those_of_a_job() -> None:
    """SVG, DXF and PDF of the film, and the test square."""
    _, made = files_of(300, 1)
    endings = [document.name.rsplit(".", 1)[1] for document in made]
    assert endings == ["svg", "dxf", "pdf", "svg", "dxf"]


def test_ways_worked_by_hand() -> None:
    """Two squares of 1 mm, 5 and 10 mm to the right of the corner: 4 mm lie between them."""
    squares = [np.array([(x, 0), (x + 1, 0), (x + 1, 1), (x, 1.0)]) for x in (5.0, 10.0)]
    assert travel(squares) == pytest.approx((10.0, 10.0, 4.0))
