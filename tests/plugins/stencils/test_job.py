"""A job's films: documents, figures, findings and words."""

from __future__ import annotations

import dataclasses
import re
import xml.etree.ElementTree as ET
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
import shapely
from shapely import MultiPolygon, box

import prep_stencils.documents
from prep.errors import OurFault, Unanswered
from prep.job import Job, Report
from prep.plugins import find_plugins
from prep.screens import Mark
from prep.sections import Caution, CheckList, Drawing, Figures, Paragraph, Section, Table
from prep.session import Session
from prep.shop import Film, Press, Shop
from prep.testing import make_ask, make_job
from prep_fill_in.answers import IslandLimits
from prep_ink.settings import OrderInk
from prep_registration import prep_marks
from prep_registration.answers import Target, Targets
from prep_stencils import prep_answers, prep_documents, prep_findings, prep_sections
from prep_stencils.answers import FilmSheets, FilmTimes
from prep_stencils.film import Cut, film_of, pieces_of
from prep_stencils.life import run_of
from prep_stencils.outlines import ring_areas
from prep_stencils.settings import Stencils
from prep_stencils.svgfile import read_svg
from prep_stencils.texts import minutes_text

BADGE = box(0, 0, 100, 60).difference(box(20, 20, 40, 40)).difference(box(60, 20, 80, 40))
NOBODY = make_ask({})
"""Nobody answers."""
DOT = box(25, 25, 30, 30)  # an opening inside the first island


def _job(colours: dict[str, Any] | None = None, **film: object) -> Job:
    shop = Shop(film=Film.model_validate(film))
    colours = colours or {"#1f3a5f": shapely.union(BADGE, DOT), "#cc2222": box(0, 60, 100, 80)}
    return make_job(colours, inks={"#1f3a5f": "deep blue"}, shop=shop)


def _cut(job: Job, marks: tuple[Mark, ...] = ()) -> Cut:
    film = film_of(job, marks)
    assert film is not None
    return film.cuts[0]


def _report(job: Job, marks: tuple[Mark, ...] | None = None) -> Report:
    return Report(job, tuple(prep_marks(job, NOBODY)) if marks is None else marks, (), ())


def test_names_of_the_files() -> None:
    """100 × 80 with targets 28 mm above and below and 50 mm around: 200 × 236 mm."""
    names = [document.name for document in prep_documents(_report(_job()), NOBODY)]
    assert names == [
        "stencils/01-deep-blue-200x236mm-shirt-side.svg",
        "stencils/01-deep-blue-200x236mm-shirt-side.dxf",
        "stencils/01-deep-blue-200x236mm-shirt-side.pdf",
        "stencils/02-cc2222-200x236mm-shirt-side.svg",
        "stencils/02-cc2222-200x236mm-shirt-side.dxf",
        "stencils/02-cc2222-200x236mm-shirt-side.pdf",
        "stencils/00-test-square-100x100mm.svg",
        "stencils/00-test-square-100x100mm.dxf",
    ]


def test_same_bytes_twice() -> None:
    """Nothing in a cut file depends on when or where it was made."""
    job = _job()
    assert list(prep_documents(_report(job), NOBODY)) == list(prep_documents(_report(job), NOBODY))


@pytest.mark.parametrize(
    ("side", "face_up", "words", "left"),
    [
        ("shirt", True, "mirrored", False),
        ("shirt", False, "reads right", True),
        ("squeegee", True, "reads right", True),
        ("squeegee", False, "mirrored", False),
    ],
)
def test_file_lies_the_way_its_title_says(side: str, face_up: bool, words: str, left: bool) -> None:
    """A block at the left of the print lies at the left of the file exactly when it reads right."""
    colours = {"#111111": shapely.union(box(0, 0, 10, 10), box(90, 0, 91, 1))}
    job = _job(colours, side=side, cut_face_up=face_up)
    svg = next(iter(prep_documents(_report(job), NOBODY)))
    assert svg.name.endswith(f"-{side}-side.svg")
    root = ET.fromstring(svg.data)
    ns = {"s": "http://www.w3.org/2000/svg"}
    assert f": {words}, film on the {side} side" in root.findtext("s:title", "", ns)
    about = root.findtext("s:desc", "", ns)
    assert ("face up" in about) is face_up
    blocks = root.findall(".//s:g[@id='openings']/s:path", ns)
    steps = [block.get("d", "").strip("MZ").split() for block in blocks]
    xs = [[float(step.split(",")[0]) for step in each] for each in steps]
    large = max(xs, key=np.ptp)  # 10 mm wide; 91 mm of print begin 50 mm from the edge
    assert (min(large), max(large)) == ((50.0, 60.0) if left else (131.0, 141.0))


def test_a_file_that_reads_back_wrong_is_our_fault(monkeypatch: pytest.MonkeyPatch) -> None:
    """A writer that loses a hundredth of a millimetre never gets its file out."""
    write = prep_stencils.documents.write_svg

    def careless(layers: Any, **words: Any) -> bytes:
        return write(layers, **words).replace(b"150.00000", b"150.01000")

    monkeypatch.setattr(prep_stencils.documents, "write_svg", careless)
    with pytest.raises(OurFault, match=r"01-deep-blue.*\.svg, read back, isn't the screen"):
        list(prep_documents(_report(_job()), NOBODY))


def test_pieces_worked_by_hand() -> None:
    """A badge with two islands of 400 mm2, a 25 mm2 opening in one of them, and two marks."""
    two = MultiPolygon([box(0, -20, 5, -15), box(0, 90, 5, 95)])
    counted = pieces_of(_cut(_job(), (Mark("two", two, prints=False, what_for=""),)))
    assert (counted.weeded, counted.islands) == (2 + 2, 2)
    assert counted.smallest_island_mm2 == pytest.approx(375.0)


def test_film_held_by_a_neck_is_no_island_to_place() -> None:
    """Of a free piece, 30 mm2, and a smaller one that hangs on a neck, only the free one is placed."""
    job = _job()
    free, held = (
        SimpleNamespace(area_mm2=area, held_by_mm=neck) for area, neck in ((30.0, None), (9.0, 0.4))
    )
    measures: Any = SimpleNamespace(islands=(free, held))
    screen = dataclasses.replace(job.screens[0], measures=measures)
    counted = pieces_of(dataclasses.replace(_cut(job), screens=(screen,)))
    assert (counted.weeded, counted.islands, counted.smallest_island_mm2) == (2, 1, 30.0)


def test_answer_agrees_with_the_documents() -> None:
    """Sizes and names asked for are those of the files."""
    job = _job()
    targets = Targets(
        tuple(Target(m.name, (0.0, 0.0), m.region.bounds) for m in prep_marks(job, NOBODY))
    )
    sheets = prep_answers()[FilmSheets](job, make_ask({Targets: targets}))
    stems = [d.name for d in prep_documents(_report(job), NOBODY) if d.name.endswith("side.svg")]
    assert [f"stencils/{sheet.stem}.svg" for sheet in sheets.sheets] == stems
    assert {(s.across_mm, s.along_mm, s.mirrored, s.turned) for s in sheets.sheets} == {
        (200.0, 236.0, True, False)
    }
    assert sheets.film_length_mm == 236.0  # two sheets of 200 mm side by side on 500 mm


def _through_one_film(job: Job) -> Job:
    return dataclasses.replace(
        job, screens=tuple(dataclasses.replace(s, film="shared") for s in job.screens)
    )


def test_screens_side_by_side_share_a_film() -> None:
    """One film with the openings of both: one pair of files, one section with it, one that sends there."""
    job = _through_one_film(_job())
    svg, dxf, pdf, *square = prep_documents(_report(job), NOBODY)
    assert svg.name == "stencils/01-deep-blue-and-cc2222-200x180mm-shirt-side.svg"
    assert b"Screens 1 and 2 of 2, deep blue and #cc2222" in svg.data
    assert dxf.name.endswith(".dxf")
    assert pdf.name.endswith(".pdf")
    assert len(square) == 2
    assert len(prep_answers()[FilmSheets](job, make_ask({})).sheets) == 2
    _, first, second, _ = prep_sections(job, (), NOBODY)
    words = [part.text for s in (first, second) for part in s.blocks if isinstance(part, Paragraph)]
    assert words[0].startswith("One film serves screens 1 and 2: side by side")
    assert words[1].startswith("No film of its own: One film serves screens 1 and 2")


def test_a_base_and_its_colour_through_one_stencil_cut_it_once() -> None:
    """Two screens of the same openings: pieces are weeded once."""
    job = _job({"#1f3a5f": BADGE})
    (screen,) = job.screens
    base = dataclasses.replace(screen, key="base", number=2, film=screen.film, does="base")
    both = dataclasses.replace(job, screens=(screen, base))
    assert (
        len([d for d in prep_documents(_report(both), NOBODY) if "test-square" not in d.name]) == 3
    )
    overview, first, _, _ = prep_sections(both, (), NOBODY)
    assert len(next(part for part in overview.blocks if isinstance(part, Table)).rows) == 1
    text = next(part.text for part in first.blocks if isinstance(part, Paragraph))
    assert "one after another, the frame left where it is" in text


def test_answer_without_targets() -> None:
    """When nobody answers where targets are, the sheet holds the print alone."""
    sheets = prep_answers()[FilmSheets](_job(), make_ask({}))
    assert sheets.sheets[0].along_mm == 180.0


def test_nothing_printed() -> None:
    """No openings: no files, no sections, and the question doesn't apply."""
    job = dataclasses.replace(_job(), screens=())
    assert list(prep_documents(_report(job), NOBODY)) == []
    assert list(prep_sections(job, (), NOBODY)) == []
    assert list(prep_findings(job, (), NOBODY)) == []
    with pytest.raises(Unanswered, match="no film"):
        prep_answers()[FilmSheets](job, make_ask({}))


@pytest.mark.parametrize(
    ("width", "kinds"), [("200 mm", []), ("199 mm", ["film sheet larger than the film"])]
)
def test_sheet_wider_than_the_film(width: str, kinds: list[str]) -> None:
    """200 × 236 mm fits a film of 200 mm and not one of 199."""
    job = _job(width=width)
    found = list(prep_findings(job, tuple(prep_marks(job, NOBODY)), NOBODY))
    assert [finding.kind for finding in found] == kinds
    assert all(finding.severity == "will fail" for finding in found)


def test_largest_print_that_would_fit() -> None:
    """On 150 mm of film with 50 mm around, 50 mm of 100 × 80 remain: 62 mm wide turned, without marks."""
    job = _job(width="150 mm")
    alone = next(iter(prep_findings(job, (), NOBODY)))
    assert '--width "62 mm"' in alone.do
    with_marks = next(iter(prep_findings(job, tuple(prep_marks(job, NOBODY)), NOBODY)))
    assert '--width "50 mm"' in with_marks.do


def test_film_narrower_than_its_margins() -> None:
    """No print would fit, and the finding names no width."""
    job = _job(width="90 mm")
    finding = next(iter(prep_findings(job, (), NOBODY)))
    assert "no print would fit" in finding.why
    assert "--width" not in finding.do
    assert "wider film" in finding.do


def test_targets_that_are_what_does_not_fit_are_named() -> None:
    """180 mm of film hold the print's 180 mm turned, not with the targets' 56 mm more."""
    job = _job(width="190 mm")
    finding = next(iter(prep_findings(job, tuple(prep_marks(job, NOBODY)), NOBODY)))
    assert "without them it fits" in finding.do
    assert list(prep_findings(job, (), NOBODY)) == []


def test_squeegee_side_warns() -> None:
    """Allowed, with a warning."""
    found = list(prep_findings(_job(side="squeegee"), (), NOBODY))
    assert [(f.severity, f.kind) for f in found] == [("at risk", "film on the squeegee side")]


def test_mark_across_the_print_is_found() -> None:
    """A mark of some other plugin that cuts through openings."""
    mark = Mark("number", MultiPolygon([box(90, 50, 110, 55)]), prints=False, what_for="")
    found = list(prep_findings(_job(), (mark,), NOBODY))
    assert [(f.kind, f.screen, f.at_mm) for f in found] == [
        ("mark across the print", "#1f3a5f", (95.0, 52.5))
    ]


def _sections(job: Job) -> list[Section]:
    made = prep_sections(job, tuple(prep_marks(job, NOBODY)), NOBODY)
    return [section for section in made if section.chapter != "why"]


def _steps(section: Section) -> list[str]:
    return [step for b in section.blocks if isinstance(b, CheckList) for step in b.steps]


def test_sections_hold_what_the_printer_needs() -> None:
    """A table of films on the job page; picture, figures, and steps with their cautions before them."""
    overview, first, second = _sections(_job())
    assert overview.chapter == "job"
    assert isinstance(overview.blocks[0], Table)
    assert (first.screen, second.screen) == ("#1f3a5f", "#cc2222")
    kinds = [type(block) for block in first.blocks]
    assert kinds == [Drawing, Figures, Caution, CheckList, Caution, CheckList]


def test_figures_worked_by_hand() -> None:
    """Cut: 320 badge + 2·80 islands + 20 dot + two crosses of 64 + square of 8 + edge of the sheet.

    The edge of 200 × 236 is 872 mm, less 24 for the snipped corner plus its 16.97, and each of four
    notches 4.8 wide and 4 deep makes 2·√(2.4² + 4²) − 4.8 = 4.53 more: 883.1 mm. In all 1519.1 mm.
    """
    table = _sections(_job())[0].blocks[0]
    assert isinstance(table, Table)
    assert table.rows[0] == (
        "1",
        "deep blue",
        "01-deep-blue-200x236mm-shirt-side",
        "5",
        "2",
        "1.52 m",
    )
    assert "200 × 236 mm" in table.caption
    assert "0.24 m" in table.caption


def test_inches_where_the_shop_uses_them() -> None:
    """Sizes on the sheet follow the shop, and so do those in file names."""
    job = make_job({"#111111": box(0, 0, 154, 53)}, shop=Shop(units="inch"))
    figures = _sections(job)[1].blocks[1]
    assert isinstance(figures, Figures)
    assert figures.rows[0][1] == "01-111111-10.00x6.02in-shirt-side"
    assert figures.rows[1][1] == "10.00 × 6.02 in"


@pytest.mark.parametrize("side", ["shirt", "squeegee"])
@pytest.mark.parametrize("face_up", [True, False])
def test_words_and_pictures_say_the_side(side: str, face_up: bool) -> None:
    """Caption, paragraph, picture and steps tell one story."""
    overview, screen, _ = _sections(_job(side=side, cut_face_up=face_up))
    mirrored = (side == "shirt") == face_up
    drawing = screen.blocks[0]
    assert isinstance(drawing, Drawing)
    assert ("as cut: mirrored" in drawing.picture.svg) is mirrored
    assert ("as cut: reads right" in drawing.picture.svg) is not mirrored
    assert (", mirrored;" in drawing.caption) is mirrored
    why = overview.blocks[1]
    assert ("cut files are mirrored" in why.text) is mirrored  # type: ignore[union-attr]  # a paragraph
    steps = _steps(screen)
    assert f"mesh on the {side} side" in " ".join(steps)
    assert ("face up" in steps[0]) is face_up
    assert ("Turn the film over" in " ".join(steps)) is not face_up
    for block in (*overview.blocks, *screen.blocks):
        if isinstance(block, Drawing):
            ET.fromstring(block.picture.svg)


def test_steps_in_working_order() -> None:
    """Cut, weed, degrease, tape, lay, burnish, peel, rest, tape bare mesh, fill, light."""
    steps = _steps(_sections(_job())[1])
    order = ("Cut ", "Weed", "Degrease", "low-tack", "adhesive to the mesh", "Burnish", "Peel")
    order += ("rest", "Tape bare mesh", "pinholes", "light")
    places = [next(i for i, s in enumerate(steps) if word in s) for word in order]
    assert places == sorted(places)
    assert len(set(places)) == len(places)


WIDE = {"#111111": shapely.union_all([box(0, 0, 180, 400), box(230, 0, 400, 400)])}


def test_a_film_too_wide_is_cut_in_strips_through_solid_film() -> None:
    """500 × 500 mm on film of 300: the gap from x = 180 to 230 takes the seam, at 220 at the furthest.

    Strips of 10 mm overlap: the first from -50 to 225 (275 mm), the second from 215 to 450 (235 mm).
    """
    job = _job(WIDE, width="300 mm")
    names = [d.name for d in prep_documents(_report(job), NOBODY) if d.name.endswith("side.svg")]
    assert names == [
        "stencils/01-111111-part-1-of-2-275x500mm-shirt-side.svg",
        "stencils/01-111111-part-2-of-2-235x500mm-shirt-side.svg",
    ]
    (found,) = prep_findings(job, (), NOBODY)
    assert (found.severity, found.kind) == ("at risk", "film in strips")
    assert "screen 1 in 2 strips, which overlap by 10 mm" in found.what
    film = film_of(job, ())
    assert film is not None
    one, two = film.cuts[0].parts
    assert shapely.equals(shapely.union(one.region, two.region), job.screens[0].region)


def test_strips_stand_beside_each_other_in_one_picture() -> None:
    """Strips of 275 and 235 mm of a film 500 mm long, 15 mm apart, with their numbers over them."""
    (drawn,) = (
        b for b in _sections(_job(WIDE, width="300 mm"))[1].blocks if isinstance(b, Drawing)
    )
    assert ">strip 1</text>" in drawn.picture.svg
    assert ">strip 2</text>" in drawn.picture.svg
    assert drawn.picture.width_mm == pytest.approx(275 + 15 + 235, abs=6.0)
    assert drawn.caption.startswith("Strips are counted from the left of the print.")


def test_all_films_lie_alike_in_strips() -> None:
    """A second colour that can only be parted the other way turns the first as well."""
    colours = {
        "#111111": shapely.union_all([box(0, 0, 180, 180), box(230, 230, 400, 400)]),
        "#cc2222": shapely.union_all([box(0, 185, 400, 189), box(0, 228, 400, 229)]),
    }
    film = film_of(_job(colours, width="300 mm"), ())
    assert film is not None
    assert {part.sheet.turned for part in film.parts} == {True}
    assert [len(cut.parts) for cut in film.cuts] == [2, 2]


def test_a_film_that_no_seam_can_part_is_refused() -> None:
    """A solid of 400 × 400 mm on film of 300: no file, and the largest width that would fit."""
    job = _job({"#111111": box(0, 0, 400, 400)}, width="300 mm")
    assert list(prep_documents(_report(job), NOBODY)) == []
    (found,) = prep_findings(job, (), NOBODY)
    assert (found.severity, found.kind) == ("will fail", "film sheet larger than the film")
    assert '--width "200 mm"' in found.do
    texts = [b.text for s in _sections(job) for b in s.blocks if isinstance(b, Paragraph)]
    assert any("No file is made for it" in text for text in texts)


def test_a_smaller_margin_is_proposed_before_a_seam() -> None:
    """On film of 480 mm a print of 400 leaves 40 mm on each side: enough, so nothing is parted."""
    (found,) = prep_findings(_job(WIDE, width="480 mm"), (), NOBODY)
    assert 'set film.margin to "40 mm"' in found.do


def test_a_stencil_that_does_not_last_is_said_before_cutting() -> None:
    """24 shirts and 5 more printed, two strokes each: 58; of removable film that lasts 20, 3 are cut."""
    table = Stencils.model_validate({"holds_pulls": 20})
    shop = Shop(film=Film.model_validate({"adhesive": "removable"}))
    job = make_job({"#111111": box(0, 0, 50, 50)}, shop=shop, tables=[table])
    (found,) = prep_findings(job, (), NOBODY)
    assert (found.severity, found.kind, found.count) == ("at risk", "stencil wears out", 2)
    assert "58 strokes" in found.what
    assert "Cut 3 stencils" in found.do


def test_hours_wet_count_as_strokes_do() -> None:
    """582 shirts and 18 spoilt at a minute each, no tests: 10 h wet, 4 h for removable film."""
    table = Stencils.model_validate({"holds_pulls": 100_000})
    shop = Shop(film=Film.model_validate({"adhesive": "removable"}))
    tables = [table, OrderInk(test_pulls=0)]
    job = make_job({"#111111": box(0, 0, 50, 50)}, shirts=582, shop=shop, tables=tables)
    (found,) = prep_findings(job, (), NOBODY)
    assert "10.0 h wet" in found.what
    assert "Cut 3 stencils" in found.do


def test_each_screen_is_wet_as_long_as_the_run_is_followed_to_keep_it() -> None:
    """Colour by colour each screen lies wet for its own part alone: a print of 20 s and laying of 60 s."""
    colours = {"#111111": box(0, 0, 50, 50), "#d94030": box(60, 0, 100, 50)}
    wet_s = {}
    for working in (None, "colour by colour"):
        press = Press(kind="simple press", stations=4, working=working)
        job = make_job(colours, shop=Shop(press=press))
        wet_s[working] = run_of(job, Session(find_plugins()).ask_for(job)).wet_s
    assert wet_s["colour by colour"] == {key: pytest.approx(29 * 80) for key in colours}
    assert all(s > 29 * 80 for s in wet_s[None].values())
    assert len(set(wet_s[None].values())) == 1


def test_sharp_corners_are_listed_with_their_places() -> None:
    """A needle of 8.5° at the origin; its other corners are 81 and 90°."""
    needle = shapely.Polygon([(0, 0), (20, 0), (20, 3)])
    (found,) = prep_findings(make_job({"#111111": needle}), (), NOBODY)
    assert (found.kind, found.count) == ("corner sharper than the blade turns", 1)
    assert found.at_mm == pytest.approx((0.0, 0.0))
    assert "the sharpest 9°" in found.what


def test_islands_are_numbered_and_small_ones_ringed() -> None:
    """Two islands of 400 and 1.5 mm2: the picture numbers both, and rings the second."""
    region = box(0, 0, 100, 60).difference(box(20, 20, 40, 40)).difference(box(60, 20, 61.5, 21))
    sections = _sections(make_job({"#111111": region}))
    (drawn,) = (b for b in sections[1].blocks if isinstance(b, Drawing))
    assert ">1</text>" in drawn.picture.svg
    assert ">2</text>" in drawn.picture.svg
    assert drawn.picture.svg.count("<circle") == 1
    assert "; 1 ringed may come off" in drawn.caption
    assert any("the 1 ringed island from a scrap" in step for step in _steps(sections[1]))


def test_rings_go_by_the_limits_that_findings_go_by() -> None:
    """An island of 4 × 4 mm stays by the trade's limits; a shop whose own is 5 mm has it ringed."""
    job = make_job({"#111111": box(0, 0, 100, 60).difference(box(20, 20, 24, 24))})
    ask = make_ask({IslandLimits: IslandLimits({"#111111": (5.0, 8.0)})})
    for told, rings in ((NOBODY, 0), (ask, 1)):
        blocks = list(prep_sections(job, (), told))[1].blocks
        (drawn,) = (block for block in blocks if isinstance(block, Drawing))
        assert drawn.picture.svg.count("<circle") == rings


def test_spares_are_cut_of_islands_that_may_come_off() -> None:
    """A slip of 3 × 1.5 mm with a hole of 1 mm, twice, mirrored as the film is: 2 (4.5 - 1) mm2 stay.

    Side by side 4 mm apart and 6 mm from the edge: 2·3 + 4 + 12 = 22 mm wide, 13.5 mm high.
    """
    slip = box(20, 20, 23, 21.5).difference(box(21.8, 20.2, 22.8, 21.2))
    region = box(0, 0, 100, 60).difference(slip)
    files = {d.name: d.data for d in prep_documents(_report(make_job({"#111111": region})), NOBODY)}
    (name,) = (name for name in files if "spares" in name and name.endswith(".svg"))
    assert name == "stencils/01-111111-spares-22x14mm.svg"
    size, (islands, edge) = read_svg(files[name])
    assert (islands.name, edge.name, size) == ("islands", "sheet-edge", (22.0, 14.0))
    areas = sorted(ring_areas(islands.strokes).tolist())
    assert areas == pytest.approx([1.0, 1.0, 4.5, 4.5])
    left = min(ring[:, 0].min() for ring in islands.strokes)
    hole = min((r for r in islands.strokes if np.ptp(r[:, 0]) < 2.0), key=lambda r: r[:, 0].min())
    assert hole[:, 0].min() - left == pytest.approx(0.2)  # at the right of the print
    assert b"Spare islands of screen 1, #111111: 1, each 2 times" in files[name]


def test_an_island_too_long_for_the_film_is_no_spare() -> None:
    """A slip of 96 × 1.5 mm on film of 104 mm: 6 mm of edge on each side leave it no room."""
    region = box(0, 0, 100, 60).difference(box(2, 20, 98, 21.5))
    shop = Shop(film=Film.model_validate({"width": "104 mm", "margin": "2 mm"}))
    names = [
        d.name for d in prep_documents(_report(make_job({"#111111": region}, shop=shop)), NOBODY)
    ]
    assert len(names) == 5
    assert not any("spares" in name for name in names)


def test_too_many_weak_islands_are_no_case_for_spares() -> None:
    """61 specks of film: the drawing must be changed, no file is made and no step asks for it."""
    specks = shapely.union_all([box(3 * k, 20, 3 * k + 1, 21) for k in range(1, 62)])
    job = make_job({"#111111": box(0, 0, 200, 60).difference(specks)})
    assert not [d for d in prep_documents(_report(job), NOBODY) if "spares" in d.name]
    assert not any("spares" in step for step in _steps(_sections(job)[1]))


def test_islands_have_a_picture_of_their_own_where_the_film_is_cut_face_down() -> None:
    """In the cutter it shows its adhesive, while it is laid on its face."""
    region = box(0, 0, 100, 60).difference(box(20, 20, 40, 40))
    shop = Shop(film=Film.model_validate({"cut_face_up": False}))
    blocks = _sections(make_job({"#111111": region}, shop=shop))[1].blocks
    cut, laid = (block for block in blocks if isinstance(block, Drawing))
    assert ">1</text>" not in cut.picture.svg
    assert ">1</text>" in laid.picture.svg
    assert laid.caption.startswith("Seen from the shirt side.")


def test_the_roll_is_told_with_what_is_left_over() -> None:
    """Two films of 200 × 236 mm beside each other on 500 mm: a fifth of the roll is left over."""
    caption = _sections(_job())[0].blocks[0].caption  # type: ignore[union-attr]  # a table
    assert "0.24 m off the roll" in caption
    assert "20 % of it is left over" in caption


def test_a_test_square_is_cut_as_it_is_whatever_the_cutter_stretches() -> None:
    """100 × 100 mm, one notch on the side across the film and two along it."""
    table = Stencils.model_validate({"test_across": "99 mm"})
    job = make_job({"#111111": box(0, 0, 50, 50)}, tables=[table])
    files = {d.name: d.data for d in prep_documents(_report(job), NOBODY)}
    _, (layer,) = read_svg(files["stencils/00-test-square-100x100mm.svg"])
    ring = layer.strokes[0]
    assert ring.min(axis=0).tolist() == [0.0, 0.0]
    assert ring.max(axis=0).tolist() == [100.0, 100.0]
    assert (ring[:, 1] == 3.0).sum() == 1
    assert (ring[:, 0] == 3.0).sum() == 2
    size, _ = read_svg(files["stencils/01-111111-150x150mm-shirt-side.svg"])
    assert size == pytest.approx((150 / 0.99, 150.0), abs=1e-4)


def test_a_square_cut_at_another_scale_is_no_stretch() -> None:
    """A hole of 72 mm is 72 points to the inch gone wrong; one line says what to do."""
    with pytest.raises(ValueError, match="cut it again at 100 %"):
        Stencils.model_validate({"test_across": "72 mm"})


@pytest.mark.parametrize(("width_mm", "turned", "takes_mm"), [(500, True, 600), (600, False, 400)])
def test_films_are_turned_where_that_saves_a_fifth(
    width_mm: float, turned: bool, takes_mm: float
) -> None:
    """Two films of 300 × 400 mm: on 500 mm 800 upright and 600 turned; on 600 mm both beside each other."""
    colours = {"#111111": box(0, 0, 200, 150), "#cc2222": box(0, 150, 200, 300)}
    film = film_of(_job(colours, width=f"{width_mm} mm"), ())
    assert film is not None
    assert film.packing is not None
    assert {part.sheet.turned for part in film.parts} == {turned}
    assert film.packing.length_mm == takes_mm


def test_times_of_the_films_are_those_the_sheet_tells() -> None:
    """Two films of one job, their targets cut too; a film without islands needs none looked after."""
    job = _job()
    found = prep_answers()[FilmTimes](job, NOBODY)
    assert isinstance(found, FilmTimes)
    assert [film.screen for film in found.films] == ["#1f3a5f", "#cc2222"]
    blue, red = found.films
    assert blue.place.value == pytest.approx(2 * 15 / 60)  # two islands of 15 s each
    assert red.place.value == 0
    (figures,) = (
        block
        for section in prep_sections(job, tuple(prep_marks(job, NOBODY)), NOBODY)
        if section.screen == "#1f3a5f" and section.title == "Film"
        for block in section.blocks
        if isinstance(block, Figures)
    )
    told = next(value for name, value, _ in figures.rows if name == "Time")
    low, high = blue.weed.low, blue.weed.high
    assert minutes_text(low, high) in told
    assert blue.weed.value == pytest.approx(2 * 6 / 60)  # the badge and the dot


@pytest.mark.parametrize(
    ("rows", "apart_mm", "every", "said"), [(4, 30.0, 1, ""), (10, 2.0, 20, "every 20th")]
)
def test_of_islands_that_lie_close_some_have_numbers(
    rows: int, apart_mm: float, every: int, said: str
) -> None:
    """In a print 150 mm wide: 16 islands 30 mm apart, each; 100 of 2 mm apart, each 20th and the first."""
    steps = [(10.0 + apart_mm * i, 10.0 + apart_mm * j) for i in range(rows) for j in range(rows)]
    dots = [box(x, y, x + 1.0, y + 1.0) for x, y in steps]
    region = box(0, 0, 150, 150).difference(shapely.union_all(dots))
    (drawn,) = (
        block
        for block in _sections(make_job({"#111111": region}))[1].blocks
        if isinstance(block, Drawing)
    )
    numbers = [int(n) for n in re.findall(r">(\d+)</text>", drawn.picture.svg)]
    wanted = [n for n in range(1, len(dots) + 1) if n % every == 0 or n in (1, len(dots))]
    assert numbers == wanted
    assert ("they lie close" in drawn.caption) == bool(said)
    assert said in drawn.caption
