"""What stands on which page."""

from __future__ import annotations

import dataclasses
from collections.abc import Callable, Iterator
from typing import Any

import pytest
from shapely import MultiPolygon

from prep.job import Report
from prep.pictures import Picture
from prep.sections import Drawing, Paragraph, Section, Table
from prep.shop import Shop
from prep_sheet.blocks import grid, grid_of
from prep_sheet.documents import composed
from prep_sheet.layout import PAPERS, Beside, Cell, Grid, Heading, Image, Notice, Page, Troubles

MakeReport = Callable[..., Report]
A4 = PAPERS["A4"]


def _headings(page: Page) -> list[str]:
    return [piece.text for piece in page.pieces if isinstance(piece, Heading)]


def _of(page: Page, kind: type[Any]) -> Iterator[Any]:
    return (piece for piece in page.pieces if isinstance(piece, kind))


def test_pages_of_one_set_up(make_report: MakeReport) -> None:
    """A job page, a page for each screen in print order, a closing page."""
    titles = [page.title for page in composed((make_report(),)).pages]
    assert titles == [
        "test",
        "Screen 1 of 2: deep blue",
        "Screen 2 of 2: marigold",
        "Cure, wash test, record",
    ]


def test_sections_stand_by_rank_in_their_chapter(make_report: MakeReport) -> None:
    """A stranger's sections fall in between the sheet's own, on the right page only."""
    job, blue, yellow, closing = composed((make_report(),)).pages
    assert _headings(job) == ["Screens, in print order", "What to look out for", "Strange table"]
    assert _headings(blue) == ["What to look out for", "Strange steps", "At the press"]
    assert "Strange steps" not in _headings(yellow)
    assert _headings(closing)[-1] == "Strange figures"


def test_same_rank_same_order_every_time(make_report: MakeReport) -> None:
    """Sections of one rank: by plugin's name; those of one plugin as it gave them."""
    given = [
        Section("closing", title, (Paragraph(title),), rank=95, by=by)
        for title, by in (("z", "beta"), ("b", "alpha"), ("a", "alpha"))
    ]
    for sections in (given, [given[1], given[0], given[2]], [given[1], given[2], given[0]]):
        closing = composed((make_report(report={"sections": tuple(sections)}),)).pages[-1]
        assert _headings(closing)[-3:] == ["b", "a", "z"]


def test_findings_have_the_same_letter_everywhere(make_report: MakeReport) -> None:
    """Worst first on the job page; a screen's own findings on its page, under the same letters."""
    job, blue, yellow, _ = composed((make_report(),)).pages
    (on_job,), (on_blue,), (on_yellow,) = (_of(page, Troubles) for page in (job, blue, yellow))
    assert [(t.letter, t.severity, t.where) for t in on_job.items] == [
        ("A", "will fail", "screen 1"),
        ("B", "at risk", ""),
    ]
    assert [(t.letter, t.why) for t in on_blue.items] == [("A", "It tears.")]
    assert [(t.letter, t.where) for t in on_yellow.items] == [("C", "4 places")]
    said = [piece.text for piece in job.pieces if hasattr(piece, "text")]
    assert any(text.startswith("1 note on single screens stands") for text in said)
    (picture,) = _of(job, Image)
    assert ">A</text>" in picture.svg
    assert "A narrow opening" in picture.alt


def test_nothing_found_is_said_and_qualified(make_report: MakeReport) -> None:
    """No findings: said so; with a plugin left out: said with a warning."""
    for without, ending in (((), "at risk."), (("fill_in",), "named above.")):
        report = make_report(report={"findings": ()}, job={"without": without})
        job = composed((report,)).pages[0]
        texts = [piece.text for piece in job.pieces if hasattr(piece, "text")]
        (said,) = [text for text in texts if text.startswith("Nothing was found")]
        assert said.endswith(ending)


def test_assumed_size_and_what_is_lacking_come_first(make_report: MakeReport) -> None:
    """Framed boxes at the very top, and a flag at the head of every page."""
    report = make_report(
        artwork={"size_assumed": True},
        job={"without": ("ink",)},
        report={"lacking": ("drying gave no findings: nobody answers InkOnScreens.",)},
    )
    pages = composed((report,)).pages
    boxes = pages[0].pieces[:2]
    assert all(isinstance(piece, Notice) for piece in boxes)
    assert [box.title for box in boxes if isinstance(box, Notice)] == [
        "Print size assumed: 100.0 × 80.0 mm",
        "Not on this sheet",
    ]
    lacking = boxes[1]
    assert isinstance(lacking, Notice)
    assert lacking.items == (
        "drying gave no findings: nobody answers InkOnScreens.",
        "The plugin ink was left out on request: what it says is not on this sheet.",
    )
    assert {page.flags for page in pages} == {("Print size assumed", "Parts are lacking")}
    assert not any(page.flags for page in composed((make_report(),)).pages)


def test_notes_of_the_job_are_told(make_report: MakeReport) -> None:
    """What was assumed stands on the job page, every sentence."""
    job = composed((make_report(job={"notes": ("One.", "Two.")}),)).pages[0]
    assert "What was assumed" in _headings(job)
    assert any(getattr(piece, "items", ()) == ("One.", "Two.") for piece in job.pieces)


@pytest.mark.parametrize("size_mm", [(100.0, 80.0), (400.0, 81.0), (100.0, 900.0), (20.0, 16.0)])
def test_pictures_keep_proportion_and_fit(
    make_report: MakeReport, size_mm: tuple[float, float]
) -> None:
    """Wide, tall and small artwork: each picture fits, with the proportion of what it shows."""
    for page in composed((make_report(size_mm=size_mm),)).pages:
        for piece in page.pieces:
            image = piece.image if isinstance(piece, Beside) else piece
            if isinstance(image, Image):
                assert image.width_mm <= A4.room_wide_mm + 1e-6
                assert image.height_mm <= 0.6 * A4.room_high_mm + 1e-6
                view = image.svg.split('viewBox="')[1].split('"')[0].split()
                assert image.width_mm / image.height_mm == pytest.approx(
                    float(view[2]) / float(view[3]), rel=1e-4
                )


def test_screens_with_nothing_to_print(make_report: MakeReport) -> None:
    """A screen whose region was taken away altogether still has its page."""
    report = make_report()
    first, *rest = report.job.screens
    gone = dataclasses.replace(first, region=MultiPolygon())
    job = dataclasses.replace(report.job, screens=(gone, *rest))
    assert len(composed((dataclasses.replace(report, job=job),)).pages) == 4


def test_several_set_ups_under_one_order(make_report: MakeReport) -> None:
    """A page for the order, then each set-up's pages; flags of each set-up are told first."""
    reports = (make_report(), make_report(artwork={"size_assumed": True}))
    sheet = composed(reports)
    assert len(sheet.pages) == 1 + 4 + 4
    first = sheet.pages[0]
    assert first.subtitle == "48 garments, 2 set-ups, 96 prints in all"
    assert isinstance(first.pieces[0], Notice)
    tables = list(_of(first, Grid))
    assert [cell.text for cell in tables[1].rows[0]][3:] == ["2", "48", "1", "1"]


def test_paper_and_units_of_the_shop(make_report: MakeReport) -> None:
    """Paper and check bar follow shop.toml."""
    sheet = composed((make_report(shop=Shop(paper="US Letter", units="inch")),))
    assert (sheet.paper.name, sheet.bar.text) == ("us-letter", "This bar is 2 in long.")
    assert sheet.bar.length_mm == 50.8
    beside = next(_of(sheet.pages[0], Beside))
    assert beside.blocks[0].rows[0][1] == "3.94 × 3.15 in"


def test_a_picture_that_is_none_names_its_plugin(make_report: MakeReport) -> None:
    """A broken picture stops the sheet with the name of section and plugin."""
    broken = Drawing(Picture("<svg><path></svg>", 10.0, 10.0, "broken"))
    section = Section("job", "Odd", (broken,), rank=50, by="stranger")
    with pytest.raises(ValueError, match='section "Odd" of stranger: the picture "broken"'):
        composed((make_report(report={"sections": (section,)}),))


def test_a_section_for_no_screen_is_an_error(make_report: MakeReport) -> None:
    """A section must not vanish because its screen isn't there."""
    section = Section("screen", "Lost", (), rank=50, screen="#000000", by="stranger")
    with pytest.raises(ValueError, match='"Lost" of stranger is for screen "#000000"'):
        composed((make_report(report={"sections": (section,)}),))


def test_a_drawing_too_large_says_so(make_report: MakeReport) -> None:
    """True size where there is room; else smaller, with the scale stated."""
    wide = Picture('<svg xmlns="http://www.w3.org/2000/svg"/>', 348.0, 10.0, "wide")
    section = Section("job", "Wide", (Drawing(wide, "Film", 1.0),), rank=50)
    job = composed((make_report(report={"sections": (section,), "findings": ()}),)).pages[0]
    (image,) = _of(job, Image)
    assert (image.width_mm, image.height_mm) == (174.0, 5.0)
    assert image.caption == "Film Has no room at its size, shown at 50 % of true size."


def test_columns_take_what_they_need() -> None:
    """A small table keeps to its own width; an empty column is there to write in."""
    table = Table(("Ink", "To mix", "Weighed"), (("red", "230 g", ""), ("blue", "40 g", "")), "lrl")
    laid = grid_of(table, A4)
    assert laid.widths[:2] == ("auto", "auto")
    assert laid.widths[2].endswith("mm")


def test_text_gives_way_before_figures() -> None:
    """In a wide table the long texts share the room and the figures keep on one line."""
    row = (Cell("1.23 g (1.0 to 1.5)"), Cell("a long account " * 10), Cell("another account " * 5))
    laid = grid(("Grams", "Why", "Source"), (row,), "rll", A4)
    # 19 characters of some 2 mm and the room around them
    assert 38.0 < float(laid.widths[0].removesuffix("mm")) < 46.0
    assert all(width.endswith("fr") for width in laid.widths[1:])


def test_a_table_without_rows() -> None:
    """A head with nothing below it is laid out too."""
    assert grid_of(Table(("A", "B"), ()), A4).widths == ("auto", "auto")
