"""``prep stencils``: the films alone, from a file to a folder."""

from __future__ import annotations

import errno
import json
import os
from pathlib import Path

import pytest

from prep.cli import run

DRAWING = """<svg xmlns="http://www.w3.org/2000/svg" width="100mm" height="60mm" viewBox="0 0 100 60">
<rect width="100" height="50" fill="#1f3a5f"/>
<rect y="55" width="100" height="4" fill="#f2c14e"/>
</svg>"""
ORDER = """
name = "films"
[[print]]
artwork = "front.svg"
width = "100 mm"
[[print.colour]]
hex = "#1f3a5f"
ink = "blue/green \\\\ 深い青"
[[print.colour]]
hex = "#f2c14e"
ink = "blue/green \\\\ 深い青"
[[garment]]
colour = "#f4f1ea"
sizes = { M = 10 }
"""


@pytest.fixture
def order(tmp_path: Path) -> Path:
    """Write an order of two inks with one name, which no file could have."""
    (tmp_path / "front.svg").write_text(DRAWING, encoding="utf-8")
    path = tmp_path / "order.toml"
    path.write_text(ORDER, encoding="utf-8")
    return path


def _files(folder: Path) -> set[str]:
    return {p.relative_to(folder).as_posix() for p in folder.rglob("*") if p.is_file()}


def test_films_and_nothing_else(order: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Two films as SVG, DXF and PDF and the test square; names safe and distinct; no sheet."""
    folder = order.parent / "films"
    assert run(["stencils", str(order), "--out", str(folder)]) == 0
    stem = "blue-green-深い青-200x215mm-shirt-side"
    films = {f"stencils/{n}-{stem}.{e}" for n in ("01", "02") for e in ("svg", "dxf", "pdf")}
    square = {f"stencils/00-test-square-100x100mm.{e}" for e in ("svg", "dxf")}
    assert _files(folder) == films | square | {"job.json", "order.toml"}
    told = capsys.readouterr().out
    assert "front, 100 mm, on light: 2 films, mirrored" in told
    assert f"01-{stem}" in told


def test_a_film_that_cannot_be_cut_is_refused_and_the_old_folder_stays(
    order: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """One line with the largest width, exit status 2, and not a file is touched."""
    folder = order.parent / "films"
    assert run(["stencils", str(order), "--out", str(folder)]) == 0
    before = {name: (folder / name).read_bytes() for name in _files(folder)}
    capsys.readouterr()
    narrow = ["--set", "film.width=140 mm", "--set", "registration.cut=false"]
    assert run(["stencils", str(order), "--out", str(folder), *narrow]) == 2
    (line,) = capsys.readouterr().err.strip().splitlines()
    assert "front, 100 mm, on light: The sheet with 50 mm of film around the print is" in line
    assert 'print at most 67 mm wide (--width "67 mm")' in line
    assert {name: (folder / name).read_bytes() for name in _files(folder)} == before


@pytest.mark.parametrize(
    ("given", "says"),
    [
        ("film.side=front", "film.side"),
        ("stencils.overcut=-1 mm", "stencils.overcut"),
        ("stencils.test_across=72 mm", "cut it again at 100 %"),
        ("stencils.weeding_piece=1 mm", "stencils.weeding_piece"),
        ("film.adhesive=glue", "film.adhesive"),
    ],
)
def test_settings_that_can_not_be(
    order: Path, given: str, says: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """One line that names the key, exit status 2, no folder."""
    folder = order.parent / "films"
    assert run(["stencils", str(order), "--out", str(folder), "--set", given]) == 2
    (line,) = capsys.readouterr().err.strip().splitlines()
    assert says in line
    assert not folder.exists()


@pytest.mark.parametrize("code", [errno.ENOSPC, errno.EACCES])
def test_a_disk_that_fills_up_half_way_leaves_the_old_job(
    order: Path, code: int, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """The fifth file can't be written: one line, exit status 2, the old folder whole, nothing beside it."""
    folder = order.parent / "films"
    assert run(["stencils", str(order), "--out", str(folder)]) == 0
    before = {name: (folder / name).read_bytes() for name in _files(folder)}
    record = json.loads((folder / "job.json").read_text(encoding="utf-8"))
    capsys.readouterr()
    written = 0
    sync = os.fsync

    def full(handle: int) -> None:
        nonlocal written
        written += 1
        if written == 5:
            raise OSError(code, os.strerror(code))
        sync(handle)

    monkeypatch.setattr("prep.folder.os.fsync", full)
    assert run(["stencils", str(order), "--out", str(folder), "--set", "film.margin=40 mm"]) == 2
    (line,) = capsys.readouterr().err.strip().splitlines()
    assert os.strerror(code) in line
    assert {name: (folder / name).read_bytes() for name in _files(folder)} == before
    assert json.loads((folder / "job.json").read_text(encoding="utf-8")) == record
    assert {p.name for p in order.parent.iterdir()} == {"films", "front.svg", "order.toml"}
