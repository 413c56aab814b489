"""Thickening as the order asks for it: which colours, to which limits, what is said and shown."""

from __future__ import annotations

from pathlib import Path

import pytest
from shapely import MultiPolygon, box

from prep.findings import Finding
from prep.job import Report
from prep.line import open_line
from prep.records import findings_document
from prep.request import Request
from prep.screens import DesignEdit
from prep.sections import Drawing, Table
from prep.testing import make_job
from prep_fill_in import prep_design, wording
from prep_fill_in.design import ThickenedColours, wanted_for
from prep_fill_in.settings import FillInColour, FillInOrder
from prep_fill_in.thicken import Thickened, thicken

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
    [(20, "tee", 1.0, 1.0), (21, "tee", 1.0, 1.5), (20, "fleece", 2.0, 1.0)],
)
def test_the_limits_in_force_are_wanted(
    shirts: int, fabric: str, opening: float, film: float
) -> None:
    """Film strips of 1.5 mm beyond 25 pulls, lines of 2 mm on fleece: common practice, no source.

    20 shirts are 25 prints, 4 of them tests and 1 spoilt.
    """
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
    assert table.rows == (("1", "opening", "x 40.0, y 40.3 mm", "0.60 mm", "0.20 mm", ""),)
    everything, drawing = (block for block in section.blocks if isinstance(block, Drawing))
    assert "1 thickened, each a ring; 0 left as drawn" in everything.picture.alt
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


def _report(folder: Path, shapes: str, *sets: str, thicken_most: str = "0.3 mm") -> Report:
    head = (
        '<svg xmlns="http://www.w3.org/2000/svg" width="100mm" height="60mm" viewBox="0 0 100 60">'
    )
    (folder / "art.svg").write_text(f"{head}{shapes}</svg>", encoding="utf-8")
    order = folder / "order.toml"
    order.write_text(
        f"fill_in = {{ thicken = true, thicken_most = '{thicken_most}' }}\n"
        '[[print]]\nartwork = "art.svg"\n[[garment]]\ncolour = "#1d2b4f"\nsizes = { M = 20 }\n',
        encoding="utf-8",
    )
    without = ("drying", "ink", "plan", "mix", "trap", "placing", "base")
    with open_line(Request(order, without=without, sets=sets)) as line:
        (report,) = line.reports()
    return report


def _told(report: Report, kind: str) -> list[Finding]:
    return [f for f in report.findings if f.kind == kind]


FIELD = '<rect x="5" y="5" width="90" height="50" fill="#c0392b"/>'


def test_what_is_left_on_a_coloured_ground_is_listed_with_the_reason(tmp_path: Path) -> None:
    """15 white dots of 0.8 mm on red: openings of white, film of red; neither takes from the other."""
    at = [(10.0 + 5 * (i % 5), 10.0 + 5 * (i // 5)) for i in range(15)]
    dots = "".join(f'<circle cx="{x}" cy="{y}" r=".4" fill="#ffffff"/>' for x, y in at)
    report = _report(tmp_path, FIELD + dots)
    white, red = sorted(_told(report, wording.UNTHICKENED), key=lambda f: f.screen != "#ffffff")
    assert [(f.count, len(f.also_at_mm), f.screen) for f in (white, red)] == [
        (15, 14, "#ffffff"),
        (15, 14, "#c0392b"),
    ]
    assert white.what == (
        "#ffffff: 15 narrow openings, 0.80 mm wide as drawn, the first at x 10.0, y 10.0 mm, are left"
        " as drawn: another colour lies there."
    )
    assert white.why.startswith("For 1.00 mm each edge would have to move by 0.10 mm at most.")
    assert "draw it wider, and that colour back from it" in white.do
    assert (
        "15 small film islands" in red.what
    )  # white is printed there, so no edge is to move farther
    assert red.what.endswith("another colour lies there.")
    assert not _told(report, wording.THICKENED)
    listed = [f for f in findings_document([report])["findings"] if f["screen"] == "#ffffff"]
    (one,) = (f for f in listed if f["kind"] == wording.UNTHICKENED)
    places = [one["at_mm"], *one["also_at_mm"]]
    assert sorted(places) == sorted(map(list, at))
    sections = [s for s in report.sections if s.title == "Thickened on request: #ffffff"]
    (table,) = (block for block in sections[0].blocks if isinstance(block, Table))
    assert len(table.rows) == 12
    assert table.caption == (
        "3 more are not listed here: 3 left (another colour lies there). prep check --json lists all."
    )
    (drawing,) = (block for block in sections[0].blocks if isinstance(block, Drawing))
    assert drawing.picture.alt.startswith("All 15 places")
    assert drawing.picture.svg.count("<polyline") >= 2 * 2 * 15


def test_what_is_thickened_passes_and_what_moves_too_far_does_when_let(tmp_path: Path) -> None:
    """0.9 mm, and 1.00 mm that flattened measures less, pass; 0.3 mm asks for 0.35 mm on each edge."""
    shapes = (
        '<circle cx="20" cy="20" r=".45"/><circle cx="30" cy="20" r=".5"/>'
        '<rect x="20" y="40" width="40" height=".3"/>'
    )
    report = _report(tmp_path, shapes)
    (done,) = _told(report, wording.THICKENED)
    assert done.count == 1
    assert {round(f.size_mm or 0.0, 2) for f in report.findings if f.severity != "note"} == {0.3}
    (left,) = _told(report, wording.UNTHICKENED)
    assert "an edge would move too far" in left.what
    assert left.do == (
        "Let edges move so far: --set \"fill_in.thicken_most='0.35 mm'\"; or draw it wider."
    )
    again = _report(tmp_path, shapes, "fill_in.thicken_most='0.35 mm'")
    assert not _told(again, wording.UNTHICKENED)
    assert not [f for f in again.findings if f.severity != "note" and f.by == "fill_in"]


def test_film_islands_on_a_coloured_ground_grow_to_what_holds_or_are_listed(tmp_path: Path) -> None:
    """Bare dots in red: 1.8 mm grows to 2.26 mm, which has 4 mm²; 1 mm would take 0.63 mm on each edge."""
    dots = "".join(
        f"M{x + r} 20A{r} {r} 0 1 0 {x - r} 20A{r} {r} 0 1 0 {x + r} 20Z"
        for x, r in ((20, 0.9), (40, 0.5))
    )
    report = _report(
        tmp_path, f'<path d="M5 5H95V55H5Z{dots}" fill="#c0392b" fill-rule="evenodd"/>'
    )
    (done,) = _told(report, wording.THICKENED)
    assert "1 small film island, 1.80 mm wide as drawn" in done.what
    assert "thickened to 2.26 mm" in done.what
    (left,) = _told(report, wording.UNTHICKENED)
    assert left.at_mm == pytest.approx((40, 20), abs=0.01)
    assert "0.63 mm" in left.why
    (fails,) = (f for f in report.findings if f.severity != "note" and f.by == "fill_in")
    assert (fails.at_mm, fails.count) == (pytest.approx((40, 20), abs=0.1), 1)
    assert {f.severity for f in _told(report, "film island too small to stay down")} == {
        "will fail"
    }


@pytest.fixture
def made(monkeypatch: pytest.MonkeyPatch) -> list[float]:
    """Areas of what was thickened, each time it was."""
    areas: list[float] = []

    def counted(region: MultiPolygon, *more: object) -> Thickened:
        areas.append(region.area)
        return thicken(region, *more)  # type: ignore[arg-type]  # passed on as given

    monkeypatch.setattr("prep_fill_in.design.thicken", counted)
    return areas


def test_a_design_and_its_sheet_are_thickened_once(tmp_path: Path, made: list[float]) -> None:
    """What the films are cut from is asked for again by findings and sheet, and is remembered."""
    report = _report(tmp_path, '<rect x="20" y="40" width="37" height=".83"/>')
    assert [s for s in report.sections if s.title.startswith("Thickened on request")]
    assert _told(report, wording.THICKENED)
    assert made == pytest.approx([37 * 0.83])


def test_five_colours_are_thickened_once_each_alone_and_once_beside_the_others(
    tmp_path: Path, made: list[float]
) -> None:
    """Two times five, however often design, findings and sheet ask for them."""
    lines = "".join(
        f'<rect x="20" y="{5 + 5 * k}" width="{30 + k}" height=".81" fill="#{k + 1}0{k}040"/>'
        for k in range(5)
    )
    report = _report(tmp_path, lines)
    assert len(report.job.design) == 5
    assert len(_told(report, wording.THICKENED)) == 5
    assert len(made) == 10


def test_joined_colours_are_told_as_their_one_film_has_them(
    tmp_path: Path, made: list[float]
) -> None:
    """Printed as another, shapes are united as drawn; uniting what showed of each differs in rounding."""
    shapes = (
        '<g transform="rotate(17 50 30)"><path d="M20.1 20.3h41.7v.83h-41.7z" fill="#c0392b"/>'
        '<circle cx="40.3" cy="20.7" r="3.1" fill="#205020"/>'
        '<path d="M33.3 12.1l7.7 21.3h-2z" fill="#c0392b"/></g>'
    )
    (tmp_path / "art.svg").write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" width="100mm" height="60mm" viewBox="0 0 100 60">'
        f"{shapes}</svg>",
        encoding="utf-8",
    )
    (tmp_path / "order.toml").write_text(
        "fill_in = { thicken = true }\n"
        '[[print]]\nartwork = "art.svg"\n[[print.colour]]\nhex = "#205020"\nprint_as = "#c0392b"\n'
        "[[garment]]\nsizes = { M = 20 }\n",
        encoding="utf-8",
    )
    with open_line(Request(tmp_path / "order.toml")) as line:
        (report,) = line.reports()
        answer = line.ask(report.job)(ThickenedColours)
    (design,) = report.job.design
    assert answer.made["#c0392b"].region.equals_exact(design.region, 0.0)
    assert answer.drawn["#c0392b"].equals_exact(report.job.drawn[0].region, 0.0)
    assert len(made) == 1
