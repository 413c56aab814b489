"""The paper master, read back from its PDF."""

from __future__ import annotations

import io
import re
from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pdfplumber
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from shapely import box

from prep.job import Job, Report
from prep.paper import SHEETS, Size
from prep.screens import Mark
from prep.testing import as_multipolygon, make_ask
from prep_placing import prep_documents
from prep_placing.master import laid_out
from prep_placing.settings import PlacingOrder
from prep_placing.spots import guide_of
from prep_placing.strokes import Stroke, Style, ink_styles, strokes_of
from prep_squeegee.answers import Pull, Pulls

MakePlaced = Callable[..., Job]
MM_PER_PT = 25.4 / 72.0
TENTHS_MM = st.integers(0, 9000).map(lambda tenths: tenths / 10.0)
EDGE, FOOT, OVERLAP = 8.0, 15.0, 12.0
MARKS = (Mark("top target", as_multipolygon(box(139, -30, 141, -14)), prints=True, what_for=""),)


def _ask(*insides: tuple[str, float, float]) -> Any:
    pulls = tuple(
        Pull(f"#{i}", name, (wide, high), (1.0, 1.0), 300.0, 75.0, (70, 70), 3.0, None)
        for i, (name, wide, high) in enumerate(insides)
    )
    return make_ask({Pulls: Pulls(pulls)})


def _pdf(job: Job, ask: Any, marks: tuple[Mark, ...] = MARKS) -> Any:
    (document,) = prep_documents(report=Report(job, marks, (), ()), ask=ask)
    assert document.name == "paper-master.pdf"
    return pdfplumber.open(io.BytesIO(document.data))


def _strokes(job: Job, ask: Any) -> tuple[Stroke, ...]:
    guide = guide_of(job)
    assert guide is not None
    return strokes_of(job, MARKS, ask, guide)


def _lines(page: Any) -> list[tuple[float, float, float, float]]:
    """Give straight lines of a page, in mm from its upper left: x0, y0, x1, y1."""
    return [
        tuple(line[key] * MM_PER_PT for key in ("x0", "top", "x1", "bottom"))  # type: ignore[misc]  # four
        for line in page.lines
    ]


def test_a_line_over_several_tiles_lies_at_the_same_place_on_each(make_placed: MakePlaced) -> None:
    """The frame's upper edge, 500 mm long and 100 mm above the print, is whole and in one line."""
    job, ask = make_placed(), _ask(("large", 500.0, 500.0))
    sheets = laid_out(_strokes(job, ask), SHEETS["A4"], EDGE, OVERLAP)
    found, tiles = [], set[str]()
    with _pdf(job, ask) as read:
        assert len(read.pages) == 1 + len(sheets.shown)
        for tile, page in zip(sheets.shown, read.pages[1:], strict=True):
            assert f"Tile {tile.name}:" in page.extract_text()
            dx, dy = tile.window_mm[0] - EDGE, tile.window_mm[1] - EDGE
            for x0, y0, x1, y1 in _lines(page):
                if abs(y0 + dy + 100.0) < 0.05 and y0 == y1 and x1 - x0 > 20.0:
                    found.append((x0 + dx, x1 + dx, y0 + dy))
                    tiles.add(tile.name)
    assert len(tiles) == 2
    assert all(y == pytest.approx(-100.0, abs=0.01) for _, _, y in found)
    covered = shapely.union_all([box(x0, 0, x1, 1) for x0, x1, _ in found])
    assert covered.buffer(0.01).covers(box(-110.0, 0, 390.0, 1))
    assert covered.bounds[0] == pytest.approx(-110.0, abs=0.01)
    assert covered.bounds[2] == pytest.approx(390.0, abs=0.01)


def test_both_tiles_show_a_cross_at_the_same_place(make_placed: MakePlaced) -> None:
    """Every join is drawn on its two tiles: a line 8 mm long, whose middle is the join's place."""
    job, ask = make_placed(), _ask(("large", 500.0, 500.0))
    sheets = laid_out(_strokes(job, ask), SHEETS["A4"], EDGE, OVERLAP)
    with _pdf(job, ask) as read:
        pages = dict(zip((t.name for t in sheets.shown), read.pages[1:], strict=True))
        windows = {tile.name: tile.window_mm for tile in sheets.shown}
        texts = {name: page.extract_text() for name, page in pages.items()}
        lines = {name: _lines(page) for name, page in pages.items()}
        assert sheets.joins
        for join in sheets.joins:
            for name in join.tiles:
                assert join.name in texts[name]
                x, y = (
                    at - low + EDGE for at, low in zip(join.at_mm, windows[name][:2], strict=True)
                )
                bars = [
                    line
                    for line in lines[name]
                    if abs(line[0] - x + 4.0) < 0.01 and abs(line[2] - x - 4.0) < 0.01
                ]
                assert any(abs(bar[1] - y) < 0.01 for bar in bars), join.name


@pytest.mark.parametrize(
    ("units", "length", "says"), [("metric", 50.0, "50 mm"), ("inch", 50.8, "2 in")]
)
def test_a_check_bar_on_every_page(
    make_placed: MakePlaced, units: str, length: float, says: str
) -> None:
    job = make_placed(80.0, 90.0, shop={"units": units})
    with _pdf(job, make_ask({})) as read:
        assert len(read.pages) >= 2
        for page in read.pages:
            assert f"This bar is {says} long. Print at 100 %" in page.extract_text()
            wide = [x1 - x0 for x0, y0, x1, y1 in _lines(page) if y0 == y1]
            assert any(one == pytest.approx(length, abs=0.01) for one in wide)


@pytest.mark.parametrize("paper", ["A4", "US Letter"])
def test_pages_are_sheets_of_the_shops_paper(make_placed: MakePlaced, paper: str) -> None:
    size = SHEETS[paper]
    with _pdf(make_placed(shop={"paper": paper}), make_ask({})) as read:
        for page in read.pages:
            sides = sorted(float(side) * MM_PER_PT for side in (page.width, page.height))
            assert sides == pytest.approx([size.width_mm, size.height_mm], abs=0.01)


def test_the_print_is_outlined_at_true_size(make_placed: MakePlaced) -> None:
    """A square opening of 5 mm at the print's upper left corner, seen from above and not mirrored."""
    job = make_placed(80.0, 90.0, screens=1)
    sheets = laid_out(_strokes(job, make_ask({})), SHEETS["A4"], EDGE, OVERLAP)
    (tile,) = sheets.shown
    with _pdf(job, make_ask({})) as read:
        page = read.pages[1]
        shapes = [*page.rects, *page.curves, *page.lines]
        dx, dy = tile.window_mm[0] - EDGE, tile.window_mm[1] - EDGE
        boxes = [
            tuple(
                shape[key] * MM_PER_PT + shift
                for key, shift in (("x0", dx), ("top", dy), ("x1", dx), ("bottom", dy))
            )
            for shape in shapes
        ]
        for wanted in ((0.0, 0.0, 5.0, 5.0), (75.0, 85.0, 80.0, 90.0)):
            assert any(one == pytest.approx(wanted, abs=0.06) for one in boxes), wanted


def test_empty_tiles_are_left_out_and_named() -> None:
    """Lines at two far corners: the tiles between them are blank."""
    style = Style("#000000", 0.2)
    strokes = [
        Stroke("frame", shapely.LineString([(x, y), (x + 10, y)]), style)
        for x, y in ((0.0, 0.0), (700.0, 700.0))
    ]
    sheets = laid_out(strokes, Size(210.0, 297.0), EDGE, OVERLAP)
    assert len(sheets.shown) == 2
    assert set(sheets.left_out) == {t.name for t in sheets.tiling.tiles} - {
        t.name for t in sheets.shown
    }
    assert sheets.joins == ()
    for name in sheets.left_out:
        (tile,) = (t for t in sheets.tiling.tiles if t.name == name)
        assert not any(s.lines.intersects(box(*tile.window_mm)) for s in strokes)


def test_blank_tiles_are_said_on_the_overview(make_placed: MakePlaced) -> None:
    """A frame of 600 × 900 around a print of 80: some tiles within hold nothing."""
    job, ask = make_placed(80.0, 90.0), _ask(("huge", 900.0, 1300.0))
    sheets = laid_out(_strokes(job, ask), SHEETS["A4"], EDGE, OVERLAP)
    assert sheets.left_out
    with _pdf(job, ask) as read:
        said = " ".join(read.pages[0].extract_text().split())
        assert "Left out, as nothing is on them:" in said
        assert all(name in said for name in sheets.left_out)


def test_each_screen_has_a_line_of_its_own(make_placed: MakePlaced) -> None:
    """Told apart without colour, also by who sees none: dashes and width differ for sixteen screens."""
    job = make_placed(300.0, 300.0, screens=2)
    styles = ink_styles(job.screens * 8)
    assert len({(style.dash_mm, style.wide_mm) for style in styles}) == len(styles) == 16
    with _pdf(job, make_ask({})) as read:
        text = read.pages[0].extract_text()
        assert "screen 1: #111111" in text
        assert "screen 2: #222222" in text


def test_the_longest_outlines_are_not_dashed(make_placed: MakePlaced) -> None:
    """Dashes would break up the small shapes of a screen with much detail."""
    few, many = make_placed().screens
    many = replace(
        many,
        region=as_multipolygon(shapely.union_all([box(i, 0, i + 1, 50) for i in range(0, 90, 2)])),
    )
    dashes = [style.dash_mm for style in ink_styles((few, many))]
    assert dashes[1] == ()
    assert dashes[0]


def test_light_inks_show_on_paper(make_placed: MakePlaced) -> None:
    """White is drawn in a grey whose luma is 0.35 at most."""
    job = make_placed()
    white = tuple(replace(screen, colour="#ffffff") for screen in job.screens)
    assert ink_styles(white)[0].colour == "#595959"


def test_lines_are_where_they_should_be(make_placed: MakePlaced) -> None:
    """Collar lines 75 and 58 mm above the print, centre lines through its middle, three stops."""
    shop = {"press": {"platen_width": "380 mm", "platen_height": "600 mm"}}
    garments = (("tee", "M|youth M"),)
    job = make_placed(garments=garments, shop=shop)
    strokes = _strokes(job, _ask(("large", 400.0, 500.0)))
    by_kind: dict[str, list[Stroke]] = {}
    for stroke in strokes:
        by_kind.setdefault(stroke.kind, []).append(stroke)
    collars = {s.label: s.lines.bounds for s in by_kind["collar"]}
    assert collars["collar, M: 75 mm to print"][1::2] == (-75.0, -75.0)
    assert collars["collar, youth M: 58 mm to print"][1::2] == (-58.0, -58.0)
    frame = shapely.union_all([s.lines for s in by_kind["frame"]]).bounds
    assert frame == (-60.0, -100.0, 340.0, 400.0)
    assert len(by_kind["stop"]) == 3
    touching = [s for s in by_kind["stop"] if s.lines.distance(box(*frame)) == 0.0]
    assert len(touching) == 3
    assert all(s.lines.intersection(box(*frame)).area == 0.0 for s in by_kind["stop"])
    sides = [s.lines.centroid.x < frame[0] for s in by_kind["stop"]]
    assert sorted(sides) == [False, True, True]  # two on the long side, one on the short
    platen = shapely.union_all([s.lines for s in by_kind["platen"]]).bounds
    assert platen == (-50.0, -75.0, 330.0, 525.0)
    upright, level = (s.lines.bounds for s in by_kind["centre"])
    assert upright[0] == upright[2] == 140.0
    assert level[1] == level[3] == 150.0


def test_the_platen_lies_so_that_targets_stay_on_it(make_placed: MakePlaced) -> None:
    """400 mm from the collar's line at −75 end at 325, before the lower target at 330: so it is centred."""
    shop = {"press": {"platen_width": "380 mm", "platen_height": "400 mm"}}
    job = make_placed(shop=shop)
    below = Mark("bottom target", as_multipolygon(box(132, 314, 148, 330)), True, "")
    guide = guide_of(job)
    assert guide is not None
    strokes = strokes_of(job, (*MARKS, below), make_ask({}), guide)
    bounds = shapely.union_all([s.lines for s in strokes if s.kind == "platen"]).bounds
    assert bounds == (-50.0, -50.0, 330.0, 350.0)


def test_a_sleeves_hem_lies_below_it_and_chest_beside_the_centre(make_placed: MakePlaced) -> None:
    sleeve = _strokes(make_placed(80.0, 90.0, place="sleeve"), make_ask({}))
    (hem,) = (s for s in sleeve if s.kind == "collar")
    assert hem.lines.bounds[1::2] == (120.0, 120.0)
    chest = _strokes(make_placed(80.0, 90.0, place="left chest"), make_ask({}))
    collar, centre = (s for s in chest if s.kind == "collar")
    assert collar.lines.bounds[1] == -90.0
    assert (
        centre.lines.bounds[0] == 40.0 - 95.0
    )  # the wearer's left is at the right, seen from above


def test_the_right_chest_mirrors_the_left(make_placed: MakePlaced) -> None:
    """The garment's centre is 95 mm right of the print's, seen from above, and the platen lies on it."""
    shop = {"press": {"platen_width": "380 mm", "platen_height": "480 mm"}}
    strokes = _strokes(make_placed(80.0, 90.0, place="right chest", shop=shop), make_ask({}))
    collar, centre = (s.lines.bounds for s in strokes if s.kind == "collar")
    assert centre[0] == centre[2] == (collar[0] + collar[2]) / 2.0 == 40.0 + 95.0
    platen = shapely.union_all([s.lines for s in strokes if s.kind == "platen"]).bounds
    assert (platen[0] + platen[2]) / 2.0 == 40.0 + 95.0


@pytest.mark.parametrize(
    ("place", "size", "reads", "fold"),
    [
        (
            "front",
            (280.0, 300.0),
            None,
            "garment's fold goes on the upright centre line, its collar on",
        ),
        (
            "back",
            (280.0, 300.0),
            None,
            "garment's fold goes on the upright centre line, its collar on",
        ),
        (
            "left chest",
            (80.0, 90.0),
            None,
            "fold goes on the line of its centre, beside the print, its collar",
        ),
        (
            "sleeve",
            (80.0, 90.0),
            None,
            "sleeve's upper fold goes on the upright centre line, its hem on",
        ),
        (
            "sleeve",
            (240.0, 60.0),
            None,
            "sleeve's upper fold goes on the level centre line, its hem on",
        ),
        (
            "sleeve",
            (240.0, 60.0),
            "up the arm",
            "upper fold goes on the level centre line, its hem on",
        ),
    ],
)
def test_the_fold_goes_on_a_line_that_is_drawn_for_it(
    make_placed: MakePlaced, place: str, size: tuple[float, float], reads: Any, fold: str
) -> None:
    """Through the print's middle but for the chest; level where the hem stands beside it."""
    job = make_placed(*size, place=place, tables=[PlacingOrder(sleeve_reads=reads)])
    with _pdf(job, make_ask({})) as read:
        assert fold in " ".join(read.pages[0].extract_text().split())
    collar, *centre = (s for s in _strokes(job, make_ask({})) if s.kind == "collar")
    x0, _, x1, _ = collar.lines.bounds
    assert (x0 == x1) is ("level" in fold)
    assert [s.label for s in centre] == (["garment's centre, M"] if "beside" in fold else [])


def test_what_is_missing_is_said(make_placed: MakePlaced) -> None:
    with _pdf(make_placed(), make_ask({})) as read:
        said = " ".join(read.pages[0].extract_text().split())
    assert "No frame is drawn" in said
    assert "No platen is drawn: shop.toml doesn't state its size" in said


def test_same_job_same_bytes_and_names_in_any_script(make_placed: MakePlaced) -> None:
    job = make_placed()
    named = replace(job, screens=tuple(replace(s, ink="朱 <b>&") for s in job.screens))
    first, second = (
        next(iter(prep_documents(report=Report(named, MARKS, (), ()), ask=make_ask({}))))
        for _ in range(2)
    )
    assert first == second
    with pdfplumber.open(io.BytesIO(first.data)) as read:
        assert re.search("U\\+6731", read.pages[0].extract_text())


def test_nothing_printed_is_no_master(make_placed: MakePlaced) -> None:
    report = Report(replace(make_placed(), screens=()), (), (), ())
    assert list(prep_documents(report=report, ask=make_ask({}))) == []


def test_many_screens_and_many_blank_tiles_stay_on_the_page(make_placed: MakePlaced) -> None:
    """Eighty screens and hundreds of tiles: all words lie on the paper."""
    job = make_placed(4000.0, 4000.0)
    crowd = replace(
        job, screens=tuple(replace(job.screens[0], number=i, ink=f"ink {i}") for i in range(1, 81))
    )
    with _pdf(crowd, make_ask({}), ()) as read:
        first, second = read.pages[:2]
        for page in (first, second):
            height = float(page.height)
            assert all(0 < c["top"] < c["bottom"] < height for c in page.chars)
            assert all(0 < c["x0"] < c["x1"] < float(page.width) for c in page.chars)
        assert "80: ink 80" in first.extract_text()
        assert "tiles, crossed out below" in " ".join(first.extract_text().split())


@given(
    points=st.lists(st.tuples(TENTHS_MM, TENTHS_MM), min_size=3, max_size=12),
    overlap=st.floats(5.0, 40.0),
)
def test_a_closed_line_is_whole_over_all_tiles(
    points: list[tuple[float, float]], overlap: float
) -> None:
    """What the tiles show of it, put together, is the line and nothing else."""
    ring = shapely.convex_hull(shapely.MultiPoint(points)).boundary
    if ring.length < 1.0:
        return
    stroke = Stroke("ink", ring, Style("#000000", 0.2))
    sheets = laid_out([stroke], Size(210.0, 297.0), EDGE, overlap)
    pieces = [shapely.intersection(ring, box(*tile.window_mm)) for tile in sheets.shown]
    together = shapely.union_all(pieces)
    assert ring.difference(together.buffer(1e-6)).length < 1e-6
    assert together.difference(ring.buffer(1e-6)).length < 1e-6
