"""The proof on the line: what was read wrong is refused with a picture, unless asked not to look."""

from __future__ import annotations

import io
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from PIL import Image

from prep import line as line_module
from prep.artwork import Artwork, PrintSize
from prep.cli import run
from prep.errors import ArtworkRefused, WorkStopped
from prep.guard import Guard
from prep.line import Line, open_line
from prep.plugins import Plugins
from prep.reading import compare_with_drawing, read_and_separate
from prep.request import Request
from prep.separations import Separation
from prep.svg import ReadingOptions

DRAWING = (
    '<svg xmlns="http://www.w3.org/2000/svg" width="100mm" height="60mm" viewBox="0 0 100 60">'
    '<rect x="5" y="5" width="30" height="50" fill="#204060"/>'
    '<rect id="lost" x="70" y="30" width="8" height="8" fill="#c0392b"/></svg>'
)


class Here(Guard):
    """A guard that works in this process, so that what it calls can be replaced."""

    def run(self, function: Callable[..., Any], /, *arguments: Any, **keywords: Any) -> Any:
        """Call the function."""
        return function(*arguments, **keywords)


def losing_red(
    data: bytes, name: str, size: PrintSize, options: ReadingOptions, garment: str
) -> tuple[Artwork, tuple[Separation, ...]]:
    """Read as always, but lose a colour."""
    artwork, painted = read_and_separate(data, name, size, options, garment)
    return artwork, tuple(one for one in painted if one.colour != "#c0392b")


def open_here(folder: Path, **wishes: Any) -> Line:
    (folder / "boat.svg").write_text(DRAWING)
    line = open_line(Request(folder / "boat.svg", **wishes), plugins=Plugins(()))
    line._guard = Here()
    return line


def test_misread_artwork_is_refused_with_place_and_picture(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A lost shape: its colour and place in words, and ringed in a picture of both."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr(line_module, "read_and_separate", losing_red)
    line = open_here(tmp_path)
    with pytest.raises(ArtworkRefused) as refused:
        line.read(line.setups[0])
    first, last = refused.value.lines()
    assert first.startswith("boat.svg: at 74.")  # the middle of the square, give or take a pixel
    assert "what was read does not look like the artwork" in first
    assert "should be #c0392b, but was read as bare" in first
    assert "boat-misread.png" in last
    assert last.endswith("--no-proof")
    assert refused.value.exit_status == 2
    picture = Image.open(io.BytesIO((tmp_path / "boat-misread.png").read_bytes()))
    pixels = np.asarray(picture.convert("RGB")).reshape(-1, 3)
    red = (pixels == (0xC0, 0x39, 0x2B)).all(axis=1).sum()
    blue = (pixels == (0x20, 0x40, 0x60)).all(axis=1).sum()
    # drawn once, with 64 of 3000 mm2 in red; the blue of 1500 mm2 twice
    assert red / blue == pytest.approx(64 / 3000, rel=0.1)


def test_picture_that_cant_be_written_is_said(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The refusal stands even where its picture can't be put."""
    monkeypatch.setattr(line_module, "read_and_separate", losing_red)
    line = open_here(tmp_path)
    (tmp_path / "gone").mkdir()
    monkeypatch.chdir(tmp_path / "gone")
    (tmp_path / "gone").rmdir()
    with pytest.raises(ArtworkRefused, match="does not look like") as refused:
        line.read(line.setups[0])
    assert "can't be written" in refused.value.lines()[-1]


def test_picture_overwrites_nothing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A picture of hers that has the name stays; ours takes a number, and again the same one."""
    (tmp_path / "boat-misread.png").write_bytes(b"hers")
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr(line_module, "read_and_separate", losing_red)
    for _ in range(2):
        line = open_here(tmp_path)
        with pytest.raises(ArtworkRefused) as refused:
            line.read(line.setups[0])
        assert "boat-misread (2).png" in refused.value.lines()[-1]
    assert (tmp_path / "boat-misread.png").read_bytes() == b"hers"
    assert sorted(file.name for file in tmp_path.glob("*.png")) == [
        "boat-misread (2).png",
        "boat-misread.png",
    ]


@pytest.mark.parametrize("wishes", [{"no_proof": True}, {"sets": ("proof=false",)}])
def test_skipped_only_when_asked_and_then_said(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, wishes: dict[str, Any]
) -> None:
    """By option or by order: nothing is compared, and the job says so."""
    monkeypatch.setattr(line_module, "read_and_separate", losing_red)
    line = open_here(tmp_path, **wishes)
    job = line.job(line.setups[0])
    assert [one.colour for one in job.separations] == ["#204060"]
    assert any(note.startswith("Not proofed") for note in job.notes)
    assert "proof = false" in line.loaded.in_force(job.setup, folder=tmp_path)


def test_a_proofed_job_says_nothing_of_it(tmp_path: Path) -> None:
    """Read rightly: no note, no picture."""
    line = open_here(tmp_path)
    job = line.job(line.setups[0])
    assert not any("roof" in note for note in job.notes)
    assert not list(tmp_path.glob("*.png"))


def test_a_stopped_comparison_says_what_to_do(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The clock ended the renderer: named, with the way to go on."""

    class Stopping(Here):
        def run(self, function: Callable[..., Any], /, *arguments: Any, **keywords: Any) -> Any:
            """Stop the comparison only."""
            if function is compare_with_drawing:
                raise WorkStopped("stopped after 3 s without a result", do="")
            return function(*arguments, **keywords)

    line = open_here(tmp_path)
    line._guard = Stopping()
    with pytest.raises(WorkStopped, match=r"boat\.svg: comparing it .* --no-proof"):
        line.read(line.setups[0])


def test_the_command_says_not_proofed(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """``prep measure --no-proof`` in the worker, end to end."""
    (tmp_path / "boat.svg").write_text(DRAWING)
    assert run(["measure", str(tmp_path / "boat.svg"), "--no-proof"]) == 0
    assert "Not proofed" in capsys.readouterr().out
    assert run(["measure", str(tmp_path / "boat.svg")]) == 0
    assert "Not proofed" not in capsys.readouterr().out
