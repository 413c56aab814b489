"""A fault of ours keeps the drawing, says where, and ends with exit status 3."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import shapely
from shapely import MultiPolygon
from shapely.errors import GEOSException

import prep.knock_out
import prep.separations
import prep.svg.walk
from prep import line as line_module
from prep.artwork import Artwork, Shape
from prep.cli import run
from prep.errors import InputError, OurFault
from prep.geometry_faults import placed_on_fault
from prep.guard import Guard
from prep.kept import kept_on_fault
from prep.line import open_line
from prep.measures import measure
from prep.plugins import Plugins
from prep.reading import compare_with_drawing
from prep.request import Request

DRAWING = (
    '<svg xmlns="http://www.w3.org/2000/svg" width="100mm" height="60mm" viewBox="0 0 100 60">'
    '<rect x="5" y="5" width="30" height="50" fill="#204060"/>'
    '<rect x="70" y="30" width="8" height="8" fill="#c0392b"/></svg>'
)


class Here(Guard):
    """A guard that works in this process, so that what it calls can be broken."""

    def run(self, function: Callable[..., Any], /, *arguments: Any, **keywords: Any) -> Any:
        """Call the function."""
        return function(*arguments, **keywords)


def _losing_the_small(pieces: np.ndarray, grid_mm: float | None) -> MultiPolygon:
    parts = shapely.get_parts(pieces)
    return MultiPolygon([part for part in parts if part.area > 100])


@pytest.fixture
def broken(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Give a drawing on which the separation loses the red square, and a folder to work in."""
    monkeypatch.setattr(prep.knock_out, "_merged", _losing_the_small)
    monkeypatch.setattr(line_module, "Guard", Here)
    (tmp_path / "work").mkdir()
    monkeypatch.chdir(tmp_path / "work")
    drawing = tmp_path / "boat.svg"
    drawing.write_text(DRAWING)
    return drawing


def test_a_lost_part_is_our_fault_and_the_drawing_is_kept(broken: Path) -> None:
    """The areas in figures, and a copy of the drawing where the job's folder would stand."""
    with open_line(Request(broken), plugins=Plugins(())) as line, pytest.raises(OurFault) as caught:
        line.read(line.setups[0])
    (told,) = caught.value.lines()
    assert told.startswith(
        "boat.svg: the colours add up to 1500.000000 mm², but the shapes cover 1564"
    )
    assert told.endswith("boat.svg is kept for the report as boat-fault.svg")
    assert Path("boat-fault.svg").read_text() == DRAWING


def test_the_command_ends_with_status_3(broken: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """One line, no traceback, no job folder."""
    assert run(["check", str(broken)]) == 3
    said = capsys.readouterr().err
    assert "boat-fault.svg" in said
    assert "Traceback" not in said
    assert [file.name for file in Path().iterdir()] == ["boat-fault.svg"]


def test_a_copy_that_cant_be_made_is_said(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The fault stands, with its notes, and she is told to keep the drawing herself."""
    (tmp_path / "gone").mkdir()
    monkeypatch.chdir(tmp_path / "gone")
    (tmp_path / "gone").rmdir()
    (tmp_path / "boat.svg").write_text(DRAWING)
    fault = OurFault("a defect")
    fault.add_note("where it was")
    with (
        pytest.raises(OurFault, match="a defect; boat.svg can't be copied") as caught,
        kept_on_fault(tmp_path / "boat.svg"),
    ):
        raise fault
    assert caught.value.__notes__ == ["where it was"]


def test_a_copy_overwrites_nothing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A file of hers that has the name stays, and one of a former fault; the same copy is made once."""
    monkeypatch.chdir(tmp_path)
    Path("boat.svg").write_text(DRAWING)
    Path("boat-fault.svg").write_text("hers")
    Path("boat-fault (2).svg").symlink_to("nowhere")
    for _ in range(2):
        with (
            pytest.raises(OurFault, match=r"kept for the report as boat-fault \(3\)\.svg"),
            kept_on_fault(Path("boat.svg")),
        ):
            raise OurFault("a defect")
    assert Path("boat-fault.svg").read_text() == "hers"
    assert Path("boat-fault (3).svg").read_text() == DRAWING
    assert not Path("nowhere").exists()
    assert len(list(tmp_path.iterdir())) == 4


@pytest.mark.parametrize("step", ["proof", "measure"])
def test_a_fault_of_any_step_keeps_the_drawing(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, step: str
) -> None:
    """Comparing and measuring run in the worker too."""
    monkeypatch.chdir(tmp_path)
    Path("boat.svg").write_text(DRAWING)
    broken_step = {"proof": compare_with_drawing, "measure": measure}[step]
    of = {"proof": "", "measure": "measuring #204060, x 5.0 to 35.0, y 5.0 to 55.0 mm: "}[step]

    class Breaking(Here):
        def run(self, function: Callable[..., Any], /, *arguments: Any, **keywords: Any) -> Any:
            """Break one step."""
            if function is broken_step:
                raise OurFault(f"a defect of {step}")
            return function(*arguments, **keywords)

    monkeypatch.setattr(line_module, "Guard", Breaking)
    with (
        open_line(Request(Path("boat.svg")), plugins=Plugins(())) as line,
        pytest.raises(OurFault, match=f"^{of}a defect of {step}; .* kept .* boat-fault.svg"),
    ):
        line.job(line.setups[0])
    assert Path("boat-fault.svg").read_text() == DRAWING


def _failing(*_: object, **__: object) -> object:
    raise GEOSException("TopologyException: side location conflict at 1 2")


@pytest.mark.parametrize(
    ("step", "says"),
    [
        ((prep.svg.walk, "filled"), 'rect "sail", line 2: its outlines can'),
        ((prep.knock_out, "_left"), "boat.svg: #204060, x 5.0 to 35.0, y 5.0 to 55.0 mm: its outl"),
        (
            (prep.knock_out, "_merged"),
            "boat.svg: #204060, x 5.0 to 35.0, y 5.0 to 55.0 mm: its outl",
        ),
        ((prep.separations, "without_cracks"), "boat.svg: #204060: its outlines can"),
    ],
)
def test_a_fault_of_the_geometry_names_what_it_was_on(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, step: tuple[object, str], says: str
) -> None:
    """Element or colour, and where it lies, stand in the one line there is."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr(line_module, "Guard", Here)
    Path("boat.svg").write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" width="100mm" height="60mm" viewBox="0 0 100 60">\n'
        '<rect id="sail" x="5" y="5" width="30" height="50" fill="#204060"/>'
        '<rect x="30" y="30" width="8" height="8" fill="#c0392b"/></svg>'
    )
    monkeypatch.setattr(*step, _failing)
    with (
        open_line(Request(Path("boat.svg")), plugins=Plugins(())) as line,
        pytest.raises(OurFault) as caught,
    ):
        line.read(line.setups[0])
    (told,) = caught.value.lines()
    assert told.startswith(says)
    assert "(TopologyException: side location conflict at 1 2); please report" in told


def test_where_the_geometry_fails_it_is_tried_on_a_grid(monkeypatch: pytest.MonkeyPatch) -> None:
    """A union that fails as drawn, but not on the grid, is no fault."""
    plain = prep.knock_out._merged

    def failing(pieces: np.ndarray, grid_mm: float | None) -> shapely.Geometry:
        return _failing() if grid_mm is None else plain(pieces, grid_mm)

    monkeypatch.setattr(prep.knock_out, "_merged", failing)
    square = shapely.multipolygons([shapely.box(0, 0, 10, 10)])
    art = Artwork("a.svg", 10.0, 10.0, (Shape(square, "#ff0000", "rect"),), 0.01)
    (one,) = prep.separations.separate(art)
    assert one.region.area == pytest.approx(100)


def test_lack_of_memory_is_no_fault(monkeypatch: pytest.MonkeyPatch) -> None:
    """The guard tells it by what the library says, so that it passes as it is."""
    with pytest.raises(GEOSException), placed_on_fault(lambda: "here"):
        raise GEOSException("std::bad_alloc")


def test_what_is_no_fault_of_ours_passes(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A refused drawing isn't copied."""
    monkeypatch.chdir(tmp_path)
    with pytest.raises(InputError), kept_on_fault(Path("boat.svg")):
        raise InputError("can't be read")
    assert list(tmp_path.iterdir()) == []
