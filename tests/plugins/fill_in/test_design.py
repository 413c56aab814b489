"""Thickening as the order asks for it: which colours, to which limits, what is said and shown."""

from __future__ import annotations

from pathlib import Path

import pytest
from shapely import box

from prep.line import open_line
from prep.request import Request
from prep.screens import DesignEdit
from prep.sections import Drawing, Table
from prep.testing import make_job
from prep_fill_in import prep_design
from prep_fill_in.design import wanted_for
from prep_fill_in.settings import FillInColour, FillInOrder

NAVY, RED = "#1d2b4f", "#c0392b"
REGIONS = {NAVY: box(20, 20, 60, 20.6), RED: box(20, 40, 60, 40.7)}
ART = (
    '<svg xmlns="http://www.w3.org/2000/svg" width="100mm" height="60mm" viewBox="0 0 100 60">'
    '<rect x="5" y="5" width="90" height="20" fill="#1d2b4f"/>'
    '<rect x="20" y="40" width="40" height=".6" fill="#1d2b4f"/></svg>'
)


def _edits(
    order: FillInOrder, colour: FillInColour | None = None, **more: object
) -> list[DesignEdit]:
    regions = more.pop("regions", REGIONS)
    job = make_job(regions, size_mm=(100, 60), **more)  # type: ignore[arg-type]  # as given

    def settings(model: type, of: str | None = None) -> object:
        if model is FillInOrder:
            return order
        if model is FillInColour and of == RED and colour is not None:
            return colour
        return model()

    return list(
        prep_design(design=job.design, settings=settings, setup=job.setup, shop=job.shop)  # type: ignore[arg-type]
    )


def test_never_by_default() -> None:
    assert _edits(FillInOrder()) == []


def test_all_colours_or_one() -> None:
    every, one = FillInOrder(thicken=True), FillInColour(thicken=True)
    assert [edit.colour for edit in _edits(every)] == [NAVY, RED]
    assert [edit.colour for edit in _edits(FillInOrder(), one)] == [RED]
    assert [edit.colour for edit in _edits(every, FillInColour(thicken=False))] == [NAVY]


def test_what_is_said() -> None:
    navy, _ = _edits(FillInOrder(thicken=True))
    assert navy.reason == (
        "1 narrow opening thickened to 1.00 mm as asked for, no edge moved by more than 0.20 mm"
    )
    assert navy.region.area == pytest.approx(40, rel=0.06)
    short, _ = _edits(FillInOrder.model_validate({"thicken": True, "thicken_most": "0.18 mm"}))
    assert short.reason == "nothing thickened; left as drawn: 1 (an edge would move too far)"


@pytest.mark.parametrize(
    ("shirts", "fabric", "opening", "film"),
    [(24, "tee", 1.0, 1.0), (26, "tee", 1.0, 1.5), (24, "fleece", 2.0, 1.0)],
)
def test_the_limits_in_force_are_wanted(
    shirts: int, fabric: str, opening: float, film: float
) -> None:
    """Film strips of 1.5 mm beyond 25 pulls, lines of 2 mm on fleece: common practice, no source."""
    order = FillInOrder.model_validate({"fabric": fabric})
    job = make_job(REGIONS, shirts=shirts, tables=[order])
    wanted = wanted_for(job.settings, job.setup, job.shop, NAVY)
    assert (wanted.opening_mm, wanted.film_mm, wanted.most_mm) == (opening, film, 0.3)


def test_from_order_to_sheet(tmp_path: Path) -> None:
    """The screen prints what was thickened; the note and a section tell it, with a picture of both."""
    (tmp_path / "art.svg").write_text(ART, encoding="utf-8")
    order = tmp_path / "order.toml"
    order.write_text(
        '[[print]]\nartwork = "art.svg"\n[[print.colour]]\nhex = "#1d2b4f"\nfill_in = { thicken = true }\n'
        "[[garment]]\nsizes = { M = 20 }\n",
        encoding="utf-8",
    )
    with open_line(Request(order)) as line:
        (report,) = line.reports()
    (screen,) = report.job.screens
    assert screen.region.area == pytest.approx(1800 + 40 * 1.0, abs=3)
    assert any("1 narrow opening thickened" in note for note in report.job.notes)
    (section,) = (s for s in report.sections if s.title.startswith("Thickened on request"))
    (table,) = (block for block in section.blocks if isinstance(block, Table))
    assert table.rows == (("opening", "x 40.0, y 40.3 mm", "0.60 mm", "0.20 mm", ""),)
    (drawing,) = (block for block in section.blocks if isinstance(block, Drawing))
    assert "1 as drawn" in drawing.picture.svg
    assert "1 thickened" in drawing.picture.svg
    assert not [f for f in report.findings if f.severity != "note" and f.by == "fill_in"]


def test_two_colours_do_not_grow_into_each_other() -> None:
    """Lines of 0.7 mm, 0.2 mm apart: both growing 0.15 mm would overlap, so that neither does there."""
    close = {NAVY: box(20, 20, 60, 20.7), RED: box(20, 20.9, 60, 21.6)}
    made = {e.colour: e.region for e in _edits(FillInOrder(thicken=True), regions=close)}
    navy, red = (made.get(colour, close[colour]) for colour in (NAVY, RED))
    assert navy.intersection(red).area == 0
    apart = {NAVY: box(20, 20, 60, 20.7), RED: box(20, 40, 60, 40.7)}
    assert {e.colour for e in _edits(FillInOrder(thicken=True), regions=apart)} == {NAVY, RED}
