"""The page the customer signs."""

from __future__ import annotations

import dataclasses
from collections.abc import Callable
from typing import Any

import pytest
from shapely import MultiPolygon, box

from prep.findings import Finding, Severity
from prep.job import Report
from prep.sections import Figures, Section
from prep_sheet.changed import changed_in
from prep_sheet.customer_words import UNKNOWN, of_many, seen
from prep_sheet.documents import for_customer
from prep_sheet.layout import (
    Beside,
    Grid,
    Heading,
    Lines,
    Notice,
    Page,
    Piece,
    Points,
    Prose,
    Row,
    Together,
    Values,
)

MakeReport = Callable[..., Report]
BLUE, YELLOW = "#1f3a5f", "#e0a526"


def _page(*reports: Report) -> Page:
    (page,) = for_customer(reports).pages
    return page


def _flat(page: Page) -> list[Piece]:
    """Give the pieces, those kept together one by one."""
    found: list[Piece] = []
    for piece in page.pieces:
        found += piece.blocks if isinstance(piece, Together) else (piece,)
    return found


def test_what_it_tells(make_report: MakeReport) -> None:
    """Colours of inks, the detail that fails with a picture, what is at risk in words, a line to sign."""
    page = _page(make_report())
    (row,) = (piece for piece in _flat(page) if isinstance(piece, Row))
    (image,) = row.images
    assert image.caption.startswith("A. Detail: may not print as drawn, 0.40 mm; ")
    # 12 times as wide as what is seen, and 6 mm at least: 39 mm on paper are 6.5 times
    assert image.caption.endswith("6 times its size.")
    assert isinstance(_flat(page)[-1], Lines)
    said = str(page.pieces)
    assert "deep blue" in said
    assert "marigold" in said
    for inner in ("43-80", "It tears.", "Widen it.", "Strange"):
        assert inner not in said


def test_base_and_spreading_are_told_where_the_job_has_them(make_report: MakeReport) -> None:
    """A base with the colours on it; spreading only where colours meet and one is changed."""
    report = make_report()
    blue, yellow, *_ = report.job.screens
    spread, based = "a little way under the other", "deep blue is printed as a base under marigold"
    touching = MultiPolygon([box(0, 0, 20, 20)]), MultiPolygon([box(20, 0, 40, 20)])
    apart = MultiPolygon([box(0, 0, 20, 20)]), MultiPolygon([box(21, 0, 40, 20)])
    cases: tuple[tuple[Any, Any, tuple[str, ...], tuple[bool, bool]], ...] = (
        (touching, "colour", ("spread",), (True, False)),
        (touching, "colour", (), (False, False)),
        (apart, "colour", ("spread",), (False, False)),
        (touching, "base", ("under",), (False, True)),
    )
    for regions, does, changes, told in cases:
        wider = MultiPolygon([regions[0].buffer(0.3)])
        screens = (
            dataclasses.replace(blue, does=does, changes=changes, region=wider),
            dataclasses.replace(yellow, region=regions[1]),
        )
        design = tuple(
            dataclasses.replace(part, region=region)
            for part, region in zip(report.job.design[:2], regions, strict=True)
        )
        job = dataclasses.replace(report.job, screens=screens, design=design)
        said = str(_page(dataclasses.replace(report, job=job)).pieces)
        assert (spread in said, based in said) == told


def _found(kind: str, on_prints: float | None, severity: Severity = "will fail") -> Finding:
    return Finding(severity, kind, "It is off.", "By chance.", "Line up.", on_prints=on_prints)


def test_what_shows_by_chance_is_told_with_its_share(make_report: MakeReport) -> None:
    """The worst of each kind; no promise is left beside it that the findings don't bear out."""
    report = make_report()
    blue, yellow, *_ = report.job.screens
    regions = MultiPolygon([box(0, 0, 20, 20)]), MultiPolygon([box(20, 0, 40, 20)])
    screens = (
        dataclasses.replace(blue, does="base", region=MultiPolygon([box(0, 0, 20.3, 20)])),
        dataclasses.replace(yellow, changes=("spread",), region=regions[1]),
    )
    design = tuple(
        dataclasses.replace(part, region=region)
        for part, region in zip(report.job.design[:2], regions, strict=True)
    )
    job = dataclasses.replace(report.job, screens=screens, design=design)
    found = (
        _found("gap between colours", 0.3),
        _found("gap between colours", 0.999, "at risk"),
        _found("base shows beside a colour", 0.97),
    )
    said = str(_page(dataclasses.replace(report, job=job, findings=found)).pieces)
    assert "a thin gap between them is to be expected on over 99 % of the prints" in said
    assert "an edge of it beside a colour is to be expected on 97 % of the prints" in said
    assert "no gap shows" not in said
    assert "may show" not in said
    calm = str(_page(dataclasses.replace(report, job=job, findings=())).pieces)
    assert "so that a gap seldom shows" in calm
    assert "a fine edge of it may show" in calm
    assert "to be expected" not in calm


def test_the_size_is_that_of_the_print(make_report: MakeReport) -> None:
    """What is painted first, 85.2 mm of 100 mm of artwork; the artwork second."""
    page = _page(make_report())
    rows = [row for row in _values(page) if row[0] in ("Print", "Artwork")]
    assert [row[:2] for row in rows] == [
        ("Print", "85.2 × 55.0 mm"),
        ("Artwork", "100.0 × 80.0 mm"),
    ]


def _values(page: Page) -> list[tuple[str, str, str]]:
    """Give the values beside pictures."""
    besides = (piece for piece in _flat(page) if isinstance(piece, Beside))
    return [row for one in besides for v in one.blocks if isinstance(v, Values) for row in v.rows]


def test_a_base_is_no_colour_of_the_print(make_report: MakeReport) -> None:
    """The screen below the colours isn't told among them."""
    report = make_report()
    base = dataclasses.replace(report.job.screens[0], does="base")
    job = dataclasses.replace(report.job, screens=(base, report.job.screens[1]))
    page = _page(dataclasses.replace(report, job=job))
    tables = [
        p for piece in _flat(page) for p in getattr(piece, "blocks", ()) if isinstance(p, Grid)
    ]
    assert [[cell.text for cell in row] for row in tables[0].rows] == [["marigold", YELLOW]]


def test_nothing_lost_is_said(make_report: MakeReport) -> None:
    """No finding with a place: every detail can be printed."""
    page = _page(make_report(report={"findings": ()}))
    said = [piece.text for piece in _flat(page) if isinstance(piece, Prose)]
    assert "Nothing: every detail of the drawing can be printed." in said
    assert not any(isinstance(piece, Row) for piece in _flat(page))


def test_many_lost_details_are_counted(make_report: MakeReport) -> None:
    """Twelve have a picture, four in a row; the places of the others are counted."""
    many = tuple(
        Finding("will fail", "thin", "t", "w", "d", BLUE, BLUE, (10.0 + n, 60.0), 0.4, 2)
        for n in range(15)
    )
    page = _page(make_report(report={"findings": many}))
    rows = [piece for piece in _flat(page) if isinstance(piece, Row)]
    assert [len(row.images) for row in rows] == [4, 4, 4]
    said = [piece.text for piece in _flat(page) if isinstance(piece, Prose)]
    assert "And 6 places more of the same kinds, without a picture here." in said


def test_changes_are_found_by_comparing(make_report: MakeReport) -> None:
    """A square of 2 mm added to yellow: one place, 2.26 mm across as a disc; blue is left out."""
    report = make_report()
    patch = box(10.0, 10.0, 12.0, 12.0)
    (yellow,) = (region for region in report.job.design if region.colour == YELLOW)
    grown = dataclasses.replace(yellow, region=MultiPolygon([*yellow.region.geoms, patch]))
    job = dataclasses.replace(report.job, design=(grown,))
    found = {change.colour: change for change in changed_in(job)}
    assert found[BLUE].at_mm is None
    assert found[YELLOW].places == 1
    assert abs(found[YELLOW].across_mm - 2.257) < 1e-3  # 2 sqrt(4 / pi)
    at = found[YELLOW].at_mm
    assert at is not None
    assert 10.0 <= at[0] <= 12.0
    assert changed_in(report.job) == ()
    page = _page(dataclasses.replace(report, job=job))
    said = str(page.pieces)
    assert f"{BLUE} is not printed in a colour of its own." in said
    assert f"{YELLOW} differs from the drawing in 1 place, the largest 2.26 mm across." in said


def test_what_is_agreed_for_the_order_stands_once(make_report: MakeReport) -> None:
    """Of two set-ups alike a figure stands once, above one line to sign."""
    spoilt = Figures((("May be spoilt", "2 of 48", ""),))
    section = Section("customer", "Spoilt", (spoilt,), rank=60, by="stranger")
    report = make_report(report={"sections": (section,)})
    page = _page(report, report)
    (values,) = (piece for piece in _flat(page) if isinstance(piece, Values))
    assert values.rows == (("May be spoilt", "2 of 48", ""),)
    assert sum(isinstance(piece, Lines) for piece in _flat(page)) == 1


def _too_large(fits_up_to_mm: float | None, kind: str = "no frame holds the print") -> Finding:
    return Finding("will fail", kind, "w", "y", "d", size_mm=300.0, fits_up_to_mm=fits_up_to_mm)


def test_what_cant_be_made_is_not_to_be_signed(make_report: MakeReport) -> None:
    """Of two set-ups one fits no frame: said so, with what does, and left out above the line."""
    # the artwork is 100 mm wide: at 60 mm, 0.6 of 85.2 × 55 mm are painted
    less = _too_large(80.0), _too_large(60.0, "film sheet larger than the film")
    good, bad = make_report(), make_report(report={"findings": less})
    page = _page(bad, good)
    (notice,) = (piece for piece in _flat(page) if isinstance(piece, Notice))
    assert notice.title == "This can't be made at this size"
    assert notice.items == (
        "It is larger than any printing screen here.",
        "It is larger than the film its stencil is cut from.",
        "What can be made: 51.1 × 33.0 mm at most, or a print at another place.",
    )
    table = [piece for piece in _flat(page) if isinstance(piece, Grid)][-1]
    assert len(table.rows) == 1
    assert sum(isinstance(piece, Lines) for piece in _flat(page)) == 1
    assert "What can't be made is not part of it." in str(_flat(page)[-1])


def test_nothing_is_signed_where_nothing_can_be_made(make_report: MakeReport) -> None:
    """No line, no promise of details or places; a remedy without a width promises no size."""
    shown = Section("customer", "On the garment", (Figures((("tee", "80 mm", ""),)),), rank=20)
    spoilt = Section("customer", "Spoilt", (Figures((("May be", "2", ""),)),), rank=60)
    findings = (_too_large(None, "of a kind nobody knows"),)
    page = _page(make_report(report={"findings": findings, "sections": (shown, spoilt)}))
    (notice,) = (piece for piece in _flat(page) if isinstance(piece, Notice))
    assert notice.items == (
        "It can't be made at this size with what is here.",
        "Another size or another place has to be agreed before it is printed.",
    )
    assert not any(isinstance(piece, Lines) for piece in _flat(page))
    assert [p.text for p in _flat(page) if isinstance(p, Heading)] == ["Agreed"]


def test_a_failing_detail_keeps_the_line_to_sign(make_report: MakeReport) -> None:
    """What fails at a place, on one screen or without a size leaves the print to be made."""
    others = (
        Finding("will fail", "dose", "w", "y", "d"),
        Finding("will fail", "dries", "w", "y", "d", screen=BLUE, size_mm=3.0),
        Finding("will fail", "thin", "w", "y", "d", at_mm=(1.0, 1.0), size_mm=0.1),
        Finding("at risk", "wide", "w", "y", "d", size_mm=3.0),
    )
    page = _page(make_report(report={"findings": others}))
    assert isinstance(_flat(page)[-1], Lines)
    assert not any(isinstance(piece, Notice) for piece in _flat(page))


def test_set_ups_are_named_by_place_and_garment(make_report: MakeReport) -> None:
    """Sizes and the print's size are named only where they tell set-ups apart."""
    report = make_report()
    job = report.job
    batch = job.setup.batches[0]

    def on(name: str, sizes: tuple[tuple[str, int], ...]) -> Report:
        batches = (dataclasses.replace(batch, garment=name, sizes=sizes),)
        setup = dataclasses.replace(job.setup, batches=batches)
        return dataclasses.replace(report, job=dataclasses.replace(job, setup=setup))

    def headings(*reports: Report) -> list[str]:
        return [p.text for p in _flat(_page(*reports)) if isinstance(p, Heading)]

    adult, youth = on("navy tee", (("S", 1),)), on("youth tee", (("S", 2),))
    assert {"Front, navy tee", "Front, youth tee"} <= set(headings(adult, youth))
    large = on("navy tee", (("L", 1), ("XL", 1)))
    assert {"Front, navy tee (S)", "Front, navy tee (L, XL)"} <= set(headings(adult, large))
    assert headings(adult, adult).count("Front, navy tee (S), 85.2 × 55.0 mm") == 2


def test_details_are_told_in_the_customers_words(make_report: MakeReport) -> None:
    """What fails under its picture, what is at risk once for each sort; no word of film or weeding."""
    severities: tuple[tuple[Severity, str, int], ...] = (
        ("will fail", "film island too small to stay down", 2),
        ("at risk", "opening too narrow to weed", 1),
        ("at risk", "line too fine for the fabric", 3),
        ("at risk", "edge between stranger things", 1),
        ("will fail", "mark: opening too narrow to weed", 1),
    )
    findings = tuple(
        Finding(severity, kind, "w", "y", "d", BLUE, BLUE, (9.0, 9.0), 0.4, number)
        for severity, kind, number in severities
    )
    page = _page(make_report(report={"findings": findings}))
    (row,) = (piece for piece in _flat(page) if isinstance(piece, Row))
    (image,) = row.images
    said = "A. Small clear spot: will come out filled in, 2 places, from 0.40 mm; "
    assert image.caption.startswith(said)
    points = [item for piece in _flat(page) if isinstance(piece, Points) for item in piece.items]
    assert points == ["4 fine lines may fill in or not print.", "1 detail may not print as drawn."]
    told = [piece.text for piece in _flat(page) if isinstance(piece, Prose)]
    assert not any("larger" in text for text in told)  # no finding here says that it helps


def test_kinds_of_others_are_those_they_give() -> None:
    """Every detail the checks of openings and film know of has its words."""
    fill_in = pytest.importorskip("prep_fill_in.wording")
    assert all(seen(kind) is not UNKNOWN for kind in fill_in.KINDS.values())
    assert seen("of a kind nobody knows") is UNKNOWN
    plurals = of_many(
        tuple(
            Finding("at risk", kind, "w", "y", "d", count=2)
            for kind in ("gap between colours", "hairlines left of a covered shape")
        )
    )
    assert plurals == (
        "2 edges between colours may show a thin gap.",
        "2 hairlines beside a shape may not print.",
    )


def test_what_differs_by_set_up_is_told_by_its_name(make_report: MakeReport) -> None:
    """Of two set-ups with spoilage of their own each row has place and garment, no number."""
    one, two = (
        make_report(
            report={
                "sections": (
                    Section("customer", "Spoilt", (Figures((("May be", *said),)),), rank=60),
                )
            }
        )
        for said in (("1 of 8", ""), ("2 of 9", "or fewer"))
    )
    job = two.job
    setup = dataclasses.replace(job.setup, place="back")
    two = dataclasses.replace(two, job=dataclasses.replace(job, setup=setup))
    page = _page(one, two)
    (values,) = (piece for piece in page.pieces if isinstance(piece, Values))
    garment = job.setup.batches[0].garment
    assert values.rows == (
        ("May be", "1 of 8", f"Front, {garment}"),
        ("May be", "2 of 9", f"Back, {garment}: or fewer"),
    )
    assert "et-up 1" not in str(page)


def test_what_belongs_together_stays_on_one_page(make_report: MakeReport) -> None:
    """The line to sign with what is agreed; a heading with its words and its first row of pictures."""
    many = tuple(
        Finding("will fail", "thin", "t", "w", "d", BLUE, BLUE, (10.0 + n, 60.0), 0.4)
        for n in range(6)
    )
    page = _page(make_report(report={"findings": many}))
    _, lost, agreed = (piece for piece in page.pieces if isinstance(piece, Together))
    assert [type(block) for block in lost.blocks] == [Heading, Prose, Row]
    assert [type(block) for block in agreed.blocks] == [Heading, Grid, Lines]
    assert page.pieces[-1] is agreed
    twenty_one = _page(*[make_report()] * 21).pieces  # too many rows to be sure of room for
    assert [type(piece) for piece in twenty_one[-3:]] == [Heading, Grid, Together]
