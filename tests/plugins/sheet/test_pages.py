"""What stands on which page."""

from __future__ import annotations

import dataclasses
from collections.abc import Callable, Iterator
from typing import Any

import pytest
from shapely import MultiPolygon, box

from prep.findings import Finding, Severity
from prep.job import Report
from prep.pictures import Picture
from prep.sections import (
    Caution,
    CheckList,
    Column,
    Drawing,
    Figures,
    Paragraph,
    Section,
    Table,
)
from prep.shop import Shop
from prep_sheet.blocks import grid, grid_of, work
from prep_sheet.documents import composed
from prep_sheet.images import AT_FINDING_MM, MOST_SMALL_RINGS
from prep_sheet.layout import (
    CAPTION_MM,
    PAPERS,
    Beside,
    Cell,
    Danger,
    Grid,
    Heading,
    Image,
    Notice,
    Page,
    Points,
    Prose,
    Row,
    Steps,
    Troubles,
    Turn,
    Work,
)
from prep_sheet.merging import merged
from prep_sheet.wording import lengths

MakeReport = Callable[..., Report]
BLUE, YELLOW = "#1f3a5f", "#e0a526"
A4 = PAPERS["A4"]
SERIOUS: tuple[tuple[Severity, int], ...] = (("will fail", 20), ("at risk", 5))


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
    assert _headings(blue) == [
        "What to look out for",
        "Strange steps",
        "Ink on the screen",
        "At the press",
    ]
    assert "Strange steps" not in _headings(yellow)
    assert _headings(closing)[-1] == "Strange figures"


def test_where_something_will_fail_the_job_page_says_first_not_to_cut(
    make_report: MakeReport,
) -> None:
    """Above what to look out for; not where nothing fails, nor where the print can't be made at all."""
    job = composed((make_report(),)).pages[0]
    heading = next(n for n, p in enumerate(job.pieces) if p == Heading("What to look out for"))
    notice = job.pieces[heading + 1]
    assert isinstance(notice, Notice)
    assert notice.title == "Don't cut yet"
    assert notice.items[0].startswith("1 finding says what will fail")
    calm = tuple(f for f in make_report().findings if f.severity != "will fail")
    large = Finding(
        "will fail", "no frame holds the print", "It is 400 mm.", "No.", "Less.", size_mm=400.0
    )
    for found in (calm, (large, *make_report().findings)):
        pages = composed((make_report(report={"findings": found}),)).pages
        assert "Don't cut yet" not in [n.title for n in _of(pages[0], Notice)]


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
    (beside,) = (b for b in _of(job, Beside) if isinstance(b.blocks[0], Troubles))
    (in_short,) = beside.blocks
    (whole,), (on_blue,), (on_yellow,) = (_of(page, Troubles) for page in (job, blue, yellow))
    assert [(t.letter, t.severity, t.what, t.do) for t in in_short.items] == [
        ("A", "will fail", "Screen 1: narrow opening, 0.40 mm", "Widen it."),
    ]
    assert [(t.letter, t.severity, t.do) for t in whole.items] == [("B", "at risk", "Mind it.")]
    assert [(t.letter, t.why) for t in on_blue.items] == [("A", "It tears.")]
    assert [(t.letter, t.where) for t in on_yellow.items] == [("C", "4 places")]
    said = [piece.text for piece in job.pieces if isinstance(piece, Prose)]
    assert said == [
        "Why, and what to do, stands on the screens' pages. 1 note more stands there too."
    ]
    assert ">A</text>" in beside.image.svg
    (place,) = (t.image for t in in_short.items)
    assert place.width_mm == AT_FINDING_MM
    # ten times 0.4 mm around (10, 60)
    assert 'viewBox="8 58 4 4"' in place.svg
    assert all(t.image is None for t in (*whole.items, *on_blue.items))
    assert "A narrow opening" in beside.image.alt


def test_what_the_job_page_leaves_out_is_counted(make_report: MakeReport) -> None:
    """Twenty that fail, five at risk: eight have a line, the rest is told by number and place."""
    many = tuple(
        Finding(
            severity, "thin", f"No. {n}.", "w", "d", BLUE, BLUE, (float(n), 5.0), 0.1 + 0.01 * n
        )
        for severity, number in SERIOUS
        for n in range(number)
    )
    job, blue, *_ = composed((make_report(report={"findings": many}),)).pages
    (beside,) = (b for b in _of(job, Beside) if isinstance(b.blocks[0], Troubles))
    assert len(beside.blocks[0].items) == 8
    (said,) = (piece.text for piece in job.pieces if isinstance(piece, Prose))
    assert said.endswith("12 that will fail and 5 at risk more stand there too.")
    (table,) = _of(blue, Troubles)
    assert len(table.items) == 25


def test_the_same_line_of_several_screens_stands_once(make_report: MakeReport) -> None:
    """Six alike on one screen and one on another: a line, with the first letters and the number."""
    many = tuple(
        Finding("at risk", "thin", f"No. {n}.", "w", "d", key, key, (float(n), 5.0), 0.1)
        for n, key in enumerate((*[BLUE] * 6, YELLOW))
    )
    job, *_ = composed((make_report(report={"findings": many}),)).pages
    (beside,) = (b for b in _of(job, Beside) if isinstance(b.blocks[0], Troubles))
    assert [(t.letter, t.what) for t in beside.blocks[0].items] == [
        ("A", "Screens 1 and 2: thin, 0.10 mm, 7 times (A, B, C, D and 3 more)")
    ]
    one_each = (many[0], many[6])
    job, *_ = composed((make_report(report={"findings": one_each}),)).pages
    (beside,) = (b for b in _of(job, Beside) if isinstance(b.blocks[0], Troubles))
    assert [t.what for t in beside.blocks[0].items] == [
        "Screens 1 and 2: thin, 0.10 mm each (A and B)"
    ]


def test_further_places_have_small_rings(make_report: MakeReport) -> None:
    """Rings of 1 mm on paper for the others of a finding, none for those of a note; a cap is told."""
    cases: tuple[tuple[Severity, int, int, str], ...] = (
        ("at risk", 3, 3, "Small rings: more of the same."),
        ("at risk", MOST_SMALL_RINGS + 7, MOST_SMALL_RINGS, "7 further places have none."),
        ("note", 3, 0, ""),
    )
    for severity, others, rings, words in cases:
        also = tuple((1.0 + 0.1 * n, 9.0) for n in range(others))
        finding = Finding(
            severity, "thin", "a", "b", "c", BLUE, BLUE, (9.0, 9.0), 0.4, 1 + others, "", also
        )
        blue = composed((make_report(report={"findings": (finding,)}),)).pages[1]
        image = next(_of(blue, Beside)).image
        assert image.svg.count("<circle") == rings + 2  # the large ring and the white below it
        assert words in image.caption


def test_the_back_begins_with_the_film(make_report: MakeReport) -> None:
    """What has rank 45 and more stands on a new page; figures of one rank with the screen beside it."""
    figures = Figures((("Pieces", "2", "counted twice"), ("Grain", "fine", "")))
    given = (
        Section("screen", "Grain", (figures,), rank=11, screen=BLUE, by="grain"),
        Section("screen", "Film", (CheckList(("Cut.",)),), rank=45, screen=BLUE, by="film"),
    )
    _, blue, *_ = composed((make_report(report={"sections": given}),)).pages
    kinds = [type(piece) for piece in blue.pieces]
    turn = kinds.index(Turn)
    assert blue.pieces[turn + 1] == Heading("Film")
    assert "Grain" not in _headings(blue)
    names = [row[0] for row in blue.pieces[0].blocks[0].rows]  # type: ignore[union-attr]  # beside
    assert names.count("Pieces") == 1
    assert ("Grain", "fine", "") in blue.pieces[0].blocks[0].rows  # type: ignore[union-attr]  # beside


def test_steps_are_numbered_through_and_cautions_stay_before_them() -> None:
    """Seven steps in two columns; the caution stands directly before the step it is for."""
    parts = (Steps(("one", "two")), Danger("hot"), Steps(("three", "four", "five", "six", "seven")))
    laid = work(parts, A4)
    flat = [part for column in laid.columns for part in column]
    assert len(laid.columns) == 2
    numbers = [s.first + n for s in flat if isinstance(s, Steps) for n in range(len(s.items))]
    assert numbers == [1, 2, 3, 4, 5, 6, 7]
    at = flat.index(Danger("hot"))
    after = flat[at + 1]
    assert isinstance(after, Steps)
    assert after.items[0] == "three"
    assert len(work((Steps(("one", "two")),), A4).columns) == 1


@pytest.mark.parametrize("alike", [False, True])
def test_a_frame_with_two_inks_is_made_ready_for_each(make_report: MakeReport, alike: bool) -> None:
    """Openings of the other ink are taped off; the second finds the frame in place, and clean."""
    report = make_report()
    one, two = report.job.screens
    shared = tuple(
        dataclasses.replace(s, film="both", region=one.region if alike else s.region)
        for s in (one, two)
    )
    report = dataclasses.replace(report, job=dataclasses.replace(report.job, screens=shared))
    pages = composed((report,)).pages
    assert "('Screens', '2', 'on 1 film')" in str(pages[0])
    first, second = (
        [step for one in _of(page, Work) for column in one.columns for step in _steps(column)]
        for page in pages[1:3]
    )
    assert "Check that screen 1, mesh 43-80 and deep blue go together." in first
    assert not any(step.startswith("Check that screen 2") for step in second)
    assert "Leave the frame of screen 1 (deep blue) where it is: this is the same one." in second
    tape = [step for step in (*first, *second) if "tape these off" in step]
    assert [("screen 2 (marigold)" in step, "screen 1 (deep blue)" in step) for step in tape] == (
        [] if alike else [(True, False), (False, True)]
    )
    assert [("wash mesh and squeegee" in step) for step in second].count(True) == 1
    assert not any("wash mesh and squeegee" in step for step in first)
    if not alike:
        washed, taped = (
            next(n for n, step in enumerate(second) if word in step)
            for word in ("wash", "tape these")
        )
        assert washed < taped


def _steps(column: tuple[Steps | Danger, ...]) -> list[str]:
    return [step for piece in column if isinstance(piece, Steps) for step in piece.items]


def test_figures_and_first_steps_stand_beside_a_picture(make_report: MakeReport) -> None:
    """As many steps as there is room for beside the picture; the rest below, numbered on."""
    picture = Picture('<svg xmlns="http://www.w3.org/2000/svg"/>', 60.0, 60.0, "film")
    steps = CheckList(tuple("a step of some length, " * 4 for _ in range(20)))
    blocks = (Drawing(picture), Figures((("Size", "60", ""),)), Caution("sharp"), steps)
    section = Section("screen", "Film", blocks, rank=45, screen=BLUE, by="film")
    _, blue, *_ = composed((make_report(report={"sections": (section,)}),)).pages
    beside = [b for b in _of(blue, Beside) if b.image.alt == "film"]
    (right,) = (b for b in beside[0].blocks if isinstance(b, Work))
    assert isinstance(right.columns[0][0], Danger)
    first = right.columns[0][1]
    assert isinstance(first, Steps)
    below, ink, _ = (work for work in _of(blue, Work) if work is not right)
    assert below.columns[0][0].first == 1 + len(first.items) > 1
    assert ink.columns[0][0].first == 21  # the twenty steps of the film go before


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
        "Print size assumed: 85.2 × 55.0 mm",
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
    """What was made of the artwork and what was assumed: every sentence, each under its heading."""
    for long, said in ((False, ""), (True, " " + "and more " * 60)):
        notes = ("One.", f"Assumed two.{said}", "Three.")
        job = composed((make_report(job={"notes": notes}),)).pages[0]
        # few words stand beside the artwork, where there is room
        there = next(_of(job, Beside)).blocks[1:]
        parts = job.pieces[-4:] if long else there
        assert [p.text for p in parts if isinstance(p, Heading)] == [
            "What was made of the artwork",
            "What was assumed",
        ]
        assert [p.items for p in parts if isinstance(p, Points)] == [
            ("One.", "Three."),
            (notes[1].strip(),),
        ]
        assert bool(there) != long


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
    assert len(sheet.pages) == 1 + 3 + 3 + 1
    first = sheet.pages[0]
    assert first.subtitle == "48 garments, 2 set-ups, 96 prints in all"
    assert isinstance(first.pieces[0], Notice)
    tables = list(_of(first, Grid))
    assert [cell.text for cell in tables[1].rows[0]][3:] == ["2", "48", "1", "1"]


def test_parts_over_all_set_ups_stand_on_the_first_page(make_report: MakeReport) -> None:
    """What plugins say over all set-ups stands between these and what is to be ticked off."""
    table = Table(("Ink", "To mix"), (("blue", "120 g"),), "lr")
    section = Section("job", "Ink over all", (table,), rank=40, by="stranger")
    page = composed((make_report(), make_report()), (section,)).pages[0]
    assert _headings(page) == ["What is ordered", "Set-ups", "Ink over all", "Done"]
    assert [cell.text for cell in list(_of(page, Grid))[2].rows[0]] == ["blue", "120 g"]


def test_paper_and_units_of_the_shop(make_report: MakeReport) -> None:
    """Paper and check bar follow shop.toml."""
    sheet = composed((make_report(shop=Shop(paper="US Letter", units="inch")),))
    assert (sheet.paper.name, sheet.bar.text) == ("us-letter", "This bar is 2 in long.")
    assert sheet.bar.length_mm == 50.8
    beside = next(_of(sheet.pages[0], Beside))
    assert beside.blocks[0].rows[0][1] == "3.35 × 2.17 in"


def test_the_size_is_that_of_the_print(make_report: MakeReport) -> None:
    """From 9.8 to 95 mm and from 20 to 75 mm is painted; of 100 × 80 mm of artwork, told second."""
    order, job, *_ = composed((make_report(), make_report())).pages
    rows = next(_of(job, Beside)).blocks[0].rows
    assert ("Print", "85.2 × 55.0 mm", "front") in rows
    (artwork,) = (row for row in rows if row[0] == "Artwork")
    assert artwork[2] == "100.0 × 80.0 mm with the room around the print"
    assert [cell.text for cell in list(_of(order, Grid))[1].rows[0]][2] == "85.2 × 55.0 mm"
    report = make_report()
    full = MultiPolygon([box(0.2, 0.0, 99.8, 80.0)])  # 99.6 mm wide: 0.4 % less
    screens = (dataclasses.replace(report.job.screens[0], region=full),)
    job = composed(
        (
            dataclasses.replace(
                report,
                job=dataclasses.replace(report.job, screens=screens),
                sections=(),
                findings=(),
            ),
        )
    ).pages[0]
    rows = next(_of(job, Beside)).blocks[0].rows
    assert rows[0][:2] == ("Print", "99.6 × 80.0 mm")
    assert [row[2] for row in rows if row[0] == "Artwork"] == [""]


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
    assert (image.width_mm, image.height_mm) == (180.0, pytest.approx(5.172, abs=1e-3))
    assert image.caption == (
        "Film. The drawing has no room here at its own size: shown at 52 % of true size."
    )


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
    # 14 letters of 1.8 mm, five spaces, points and brackets, and the room around them
    assert 30.0 < float(laid.widths[0].removesuffix("mm")) < 36.0
    assert all(width.endswith("fr") for width in laid.widths[1:])


def test_a_table_without_rows() -> None:
    """A head with nothing below it is laid out too."""
    assert grid_of(Table(("A", "B"), ()), A4).widths == ("auto", "auto")


def test_a_caption_has_a_column_of_its_own_beside_figures(make_report: MakeReport) -> None:
    """Of a print 4 mm wide, the figures begin right of the widest line of the caption."""
    report = make_report()
    tiny = dataclasses.replace(report.job.artwork, width_mm=4.0, height_mm=4.0)
    report = dataclasses.replace(report, job=dataclasses.replace(report.job, artwork=tiny))
    (page, *_) = composed((report,)).pages
    image = next(_of(page, Beside)).image
    assert image.width_mm < 10.0
    assert image.column_mm == CAPTION_MM
    assert Image("<svg/>", 80.0, 9.0, "wide", "said").column_mm == 80.0
    assert Image("<svg/>", 8.0, 9.0, "without words").column_mm == 8.0


def test_steps_stand_in_the_order_of_work(make_report: MakeReport) -> None:
    """Film, registration, ink, pulls, press, on the back; the numbers go on from one to the next."""
    given = tuple(
        Section(
            "screen", title, (CheckList(("a", "b")), Caution("c")), rank, screen=BLUE, by="stranger"
        )
        for title, rank in (
            ("Pulls", 55),
            ("Registration", 50),
            ("Film", 45),
            ("Between prints", 44),
        )
    )
    _, blue, *_ = composed((make_report(report={"sections": given}),)).pages
    assert _headings(blue)[-5:] == [
        "Film",
        "Registration",
        "Ink on the screen",
        "Pulls",
        "At the press",
    ]
    assert blue.pieces.index(Turn()) < blue.pieces.index(Heading("Film"))
    steps = [
        piece
        for laid in _of(blue, Work)
        for column in laid.columns
        for piece in column
        if isinstance(piece, Steps)
    ]
    numbers = [piece.first + n for piece in steps for n in range(len(piece.items))]
    # two each of film, registration and pulls, four of the sheet's own, two that join them
    assert numbers == list(range(1, 13))


def test_heads_are_in_the_shops_units(make_report: MakeReport) -> None:
    """A set-up's name has its width in millimetres; a shop of inches reads inches, on every page."""
    report = make_report()
    setup = dataclasses.replace(report.job.setup, name="front, 203.2 mm, on dark")
    for units, said in (("inch", "front, 8 in, on dark"), ("metric", "front, 203.2 mm, on dark")):
        shop = report.job.shop.model_copy(update={"units": units})
        job = dataclasses.replace(report.job, setup=setup, shop=shop)
        pages = composed((dataclasses.replace(report, job=job),)).pages
        assert all(said in page.running for page in pages)


def test_no_more_than_five_places_are_to_be_looked_at(make_report: MakeReport) -> None:
    """The worst of them, on the picture; what a plugin tells of the run stands in the sheet's own place."""
    found = tuple(
        Finding("at risk", "gap", "Narrow.", "b", "c", screen=BLUE, at_mm=(9.0 * n, 9.0))
        for n in range(1, 8)
    )
    told = Section("screen", "On each shirt", (CheckList(("Pull.",)),), rank=60, screen=BLUE)
    for sections, last in (((), "Print it once on each shirt, in its turn."), ((told,), "Pull.")):
        report = make_report(report={"sections": sections, "findings": found})
        blue = composed((report,)).pages[1]
        steps = [
            text
            for laid in _of(blue, Work)
            for column in laid.columns
            for piece in column
            if isinstance(piece, Steps)
            for text in piece.items
        ]
        (look,) = (text for text in steps if text.startswith("Look closely"))
        assert (
            "at A, B, C, D and E, the worst of 7, on the picture on this screen's first page"
            in look
        )
        assert steps[-1] == last


def test_steps_of_a_plugin_join_those_at_the_press(make_report: MakeReport) -> None:
    """On the right screen, before the first pull, numbered on; cautions stay before their step."""
    steps = (Caution("Hot."), CheckList(("Flood after every print.",)))
    own = Section("screen", "Between prints", steps, rank=44, screen=BLUE, by="alpha")
    blue = composed((make_report(report={"sections": (own,)}),)).pages[1]
    assert "Between prints" not in _headings(blue)
    items = [piece for laid in _of(blue, Work) for column in laid.columns for piece in column]
    steps_there = [
        (piece.first + n, text)
        for piece in items
        if isinstance(piece, Steps)
        for n, text in enumerate(piece.items)
    ]
    assert [number for number, _ in steps_there] == list(range(1, len(steps_there) + 1))
    (check, joined, test, *_) = (text for _, text in steps_there)
    assert check.startswith("Check that screen 1")
    assert joined == "Flood after every print."
    assert test.startswith("Pull a test print")
    at = items.index(Danger("Hot."))
    after = items[at + 1]
    assert isinstance(after, Steps)
    assert after.items[0] == "Flood after every print."


def test_plugins_add_columns_to_the_table_of_screens(make_report: MakeReport) -> None:
    """By rank, columns of one head put together; a screen that nothing is said of has an empty cell."""
    given = (
        Section("job", "Late", (), 60, by="b", columns=(Column("Film", ((BLUE, "30 cm"),), 40),)),
        Section(
            "job", "Early", (), 40, by="a", columns=(Column("To mix", ((YELLOW, "9 g"),), 20),)
        ),
        Section(
            "screen",
            "Own",
            (Paragraph("said"),),
            31,
            screen=BLUE,
            by="a",
            columns=(Column("To mix", ((BLUE, "7 g"),), 20),),
        ),
    )
    job, *_ = composed((make_report(report={"sections": given}),)).pages
    table = next(piece for piece in job.pieces if isinstance(piece, Grid))
    assert table.head[4:6] == ("To mix", "Film")
    assert [tuple(cell.text for cell in row[4:6]) for row in table.rows] == [
        ("7 g", "30 cm"),
        ("9 g", ""),
    ]


def test_ink_mixed_for_the_whole_order_is_not_told_of_a_set_up(make_report: MakeReport) -> None:
    """Two prints are two set-ups: the table of either has no amount to mix, and says who has it."""
    column = Column("Ink to mix", ((BLUE, "740 g"),), 20)
    section = Section("job", "Ink", (), 40, by="stranger", columns=(column,))
    report = make_report(report={"sections": (section,)})
    order = report.job.order
    (printed,) = order.print
    both = (printed, printed.model_copy(update={"place": "back"}))
    several = dataclasses.replace(report.job, order=order.model_copy(update={"print": both}))
    for job, amount in ((report.job, True), (several, False)):
        page = composed((dataclasses.replace(report, job=job),)).pages[0]
        table = next(_of(page, Grid))
        assert ("Ink to mix" in table.head) == amount
        assert ("740 g" in str(table.rows)) == amount
        assert ("mixed once for the whole order" in table.caption) != amount


def test_pages_stand_in_one_order_whatever_the_job(make_report: MakeReport) -> None:
    """Film, printing, keeping open and hours before the screens, of few and of many; limits at the end.

    Of several set-ups the sheet of each tells how it was settled.
    """
    why = Section("job", "Why so", (Paragraph("Because."),), rank=22, by="stranger")
    given = (
        Section("job", "Hours", (Paragraph("Three."),), rank=66, by="stranger"),
        Section("closing", "Limits", (Paragraph("Few."),), rank=90, by="stranger"),
        Section("job", "Printing", (Paragraph("Print."),), rank=60, by="stranger"),
        why,
    )
    report = make_report(report={"sections": given})
    screens = report.job.screens
    third = dataclasses.replace(screens[0], key="third", number=3)
    many = dataclasses.replace(
        report, job=dataclasses.replace(report.job, screens=(*screens, third))
    )
    for one in (report, many):
        job, *_, closing = composed((one,)).pages
        heads = [h for h in _headings(job) if h in ("Why so", "Printing", "Hours")]
        assert heads == ["Why so", "Printing", "Hours"]
        assert [
            piece.small if isinstance(piece, Turn) else piece.text
            for piece in job.pieces
            if isinstance(piece, Turn) or piece in map(Heading, heads)
        ] == [True, "Why so", False, "Printing", True, "Hours"]
        assert _headings(closing)[-2:] == ["Limits, and what the figures rest on", "Limits"]
    pages = composed((report, report)).pages
    assert not any({"Why so", "Hours"} & set(_headings(page)) for page in pages)
    told = f'In {report.job.setup.key}/prep-sheet.pdf: "Why so" and "Hours".'

    def captions(pages: tuple[Page, ...]) -> list[str]:
        return [
            table.caption for page in pages for table in _of(page, Grid) if told in table.caption
        ]

    assert len(captions(pages)) == 2
    assert not captions(composed((report,)).pages)
    assert report.job.setup.key in str(pages[-1].pieces)


def test_one_closing_page_says_what_set_ups_say_alike_once(make_report: MakeReport) -> None:
    """Rows of all set-ups once, others under their numbers; the same paragraph once."""

    def rests(row: str, text: str) -> tuple[Section, ...]:
        table = Table(("What", "How"), (("alike", "1"), (row, "2")), "ll", caption="Of both.")
        blocks = (Paragraph(text), table, Paragraph("The same."))
        return (Section("closing", "Rests", blocks, rank=90, by="stranger"),)

    one, two = (
        make_report(report={"sections": rests(*said)})
        for said in (("first", "Once."), ("second", "Twice."))
    )
    closing = composed((one, two)).pages[-1]
    assert _headings(closing).count("Rests") == 1
    at = closing.pieces.index(Heading("Rests"))
    said = [piece.text for piece in closing.pieces[at:] if isinstance(piece, Prose)]
    assert said == ["Set-up 1: Once.", "Set-up 2: Twice.", "The same."]
    (table,) = (piece for piece in closing.pieces[at:] if isinstance(piece, Grid))
    assert table.head == ("Set-up", "What", "How")
    assert [tuple(cell.text for cell in row) for row in table.rows] == [
        ("all", "alike", "1"),
        ("1", "first", "2"),
        ("2", "second", "2"),
    ]
    assert table.caption == "Of both."


def test_an_additive_is_told_where_it_is_cured(make_report: MakeReport) -> None:
    """Named for the inks that have one, and only for these."""
    column = Column("Additive", ((BLUE, "retarder 3 %"), (YELLOW, "none")), 30)
    section = Section("job", "Mixing", (), 40, by="stranger", columns=(column,))
    for sections, told in (((section,), True), ((), False)):
        closing = composed((make_report(report={"sections": sections}),)).pages[-1]
        said = [one.text for one in _of(closing, Prose) if "additive is in it" in one.text]
        assert bool(said) == told
        assert not told or (said[0].startswith("deep blue:") and "marigold" not in said[0])


def test_pictures_stand_side_by_side_where_they_have_room(make_report: MakeReport) -> None:
    """Two of 60 mm in a row, the third of 170 mm below them."""
    narrow, wide = (
        Drawing(Picture('<svg xmlns="http://www.w3.org/2000/svg"/>', mm, 10.0, "one"), scale=1.0)
        for mm in (60.0, 170.0)
    )
    section = Section("job", "Shown", (narrow, narrow, wide), rank=50)
    job = composed((make_report(report={"sections": (section,), "findings": ()}),)).pages[0]
    (row,) = _of(job, Row)
    assert [image.width_mm for image in row.images] == [60.0, 60.0]
    assert [image.width_mm for image in _of(job, Image)] == [170.0]


def test_a_line_on_the_job_page_tells_the_first_remedy(make_report: MakeReport) -> None:
    """The first sentence of what to do, its decimals whole."""
    finding = Finding(
        "will fail",
        "thin",
        "a",
        "b",
        "Draw it 1.5 mm wide. Or tie it.",
        BLUE,
        BLUE,
        (9.0, 9.0),
        0.4,
    )
    job, *_ = composed((make_report(report={"findings": (finding,)}),)).pages
    (beside,) = (b for b in _of(job, Beside) if isinstance(b.blocks[0], Troubles))
    assert [t.do for t in beside.blocks[0].items] == ["Draw it 1.5 mm wide."]


def test_notes_alike_of_several_set_ups_stand_once(make_report: MakeReport) -> None:
    """Under the first one's letter, with the others' letters below."""
    same = Finding("note", "k", "Counted.", "w", "d")
    own = Finding("note", "k", "Own.", "w", "d")
    one, two = (make_report(report={"findings": found}) for found in ((same,), (own, same)))
    closing = composed((one, two)).pages[-1]
    (notes,) = _of(closing, Troubles)
    assert [(t.letter, t.where, t.what) for t in notes.items] == [
        ("1A", "also 2B", "Counted."),
        ("2A", "", "Own."),
    ]


def test_a_print_too_large_is_said_before_all_else(make_report: MakeReport) -> None:
    """Of the whole print, with a size; its details are told after it as ever."""
    large = Finding(
        "will fail", "no frame holds the print", "Too wide.", "w", "Less.", size_mm=500.0
    )
    job, *_ = composed((make_report(report={"findings": (large,)}),)).pages
    assert isinstance(job.pieces[0], Notice)
    assert job.pieces[0].title == "Can't be printed as ordered"
    assert job.pieces[0].items[0] == "Too wide."
    two = tuple(dataclasses.replace(large, fits_up_to_mm=width) for width in (324.7, 371.0))
    job, *_ = composed((make_report(report={"findings": two}),)).pages
    assert isinstance(job.pieces[0], Notice)
    assert job.pieces[0].title == "Can't be printed at this width"
    assert "All of this is settled together at a width of 324 mm or less." in job.pieces[0].items
    detail = dataclasses.replace(large, screen=BLUE)
    job, *_ = composed((make_report(report={"findings": (detail,)}),)).pages
    assert [notice.title for notice in _of(job, Notice)] == ["Don't cut yet"]


def test_what_keeps_a_print_from_being_made_names_width_only_where_width_cures(
    make_report: MakeReport,
) -> None:
    """One trouble that another width doesn't end is enough."""
    wide = Finding("will fail", "k", "Wide.", "w", "d", size_mm=500.0, fits_up_to_mm=300.0)
    hot = Finding("will fail", "k", "No frame.", "w", "d", size_mm=1.0)
    job, *_ = composed((make_report(report={"findings": (wide, hot)}),)).pages
    assert isinstance(job.pieces[0], Notice)
    assert job.pieces[0].title == "Can't be printed as ordered"


def test_set_ups_are_named_in_the_units_of_the_shop_on_the_page_over_all(
    make_report: MakeReport,
) -> None:
    """Tables of plugins there name them as the settings do, in mm."""
    reports = tuple(make_report(shop=Shop(units="inch")) for _ in range(2))
    name = reports[0].job.setup.name
    assert " mm" in name
    table = Table(("", "Set-up", "Hours"), (("1", name, "2 h"), ("", "all", "2 h")))
    section = Section("job", "Hours of a stranger", (table,), rank=66, by="stranger")
    order, *_ = composed(reports, (section,)).pages
    (grid,) = (g for g in _of(order, Grid) if g.head[-1] == "Hours")
    said = [row[1].text for row in grid.rows]
    assert said == [lengths(name, "inch"), "all"]
    assert " mm" not in said[0]


@pytest.mark.parametrize(
    ("continued", "order"),
    [
        ("knife", ["1 knife a", "2 knife b", "all ink c"]),
        ("", ["1 knife a", "all ink c", "2  b"]),
    ],
)
def test_rows_of_set_ups_that_begin_alike_stand_together(continued: str, order: list[str]) -> None:
    """But where a row without a beginning goes on with the one before, none is moved."""
    head, same = ("What", "How"), ("ink", "c")
    one = Section("closing", "T", (Table(head, (("knife", "a"), same)),), 90, by="p")
    two = Section("closing", "T", (Table(head, (same, (continued, "b"))),), 90, by="p")
    (section,) = merged([[one], [two]])
    (table,) = section.blocks
    assert isinstance(table, Table)
    assert [" ".join(row) for row in table.rows] == order


def test_sentences_that_set_ups_have_alike_are_told_once() -> None:
    """What is left is told set-up by set-up; a sentence goes on after a lower-case letter."""
    texts = (
        "Shield it. Wait 5 min. t = 2 here.",
        "Shield it. Wait 5 min. t = 3 here.",
        "Shield it. Go.",
    )
    sections = [[Section("closing", "T", (Paragraph(text),), 90, by="p")] for text in texts]
    (section,) = merged(sections)
    said = [block.text for block in section.blocks if isinstance(block, Paragraph)]
    assert said == [
        "Shield it.",
        "Set-up 1: Wait 5 min. t = 2 here.",
        "Set-up 2: Wait 5 min. t = 3 here.",
        "Set-up 3: Go.",
    ]
