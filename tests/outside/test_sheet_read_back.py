"""The sheet read by a program that knows nothing of ours: pdfplumber, with pdfminer below it."""

from __future__ import annotations

import io
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import pdfplumber
import pytest
import shapely
from shapely import MultiPolygon, Point, box

from prep.findings import Finding
from prep.job import Report
from prep.pictures import Canvas
from prep.remembered import remembered
from prep.sections import Drawing, Paragraph, Section, Table
from prep.shop import Shop
from prep.testing import make_job
from prep_sheet import prep_documents

MM = 25.4 / 72.0
RED = "#b23a48"
RGB = (0xB2 / 255, 0x3A / 255, 0x48 / 255)

made_of = remembered(kept=8)(prep_documents)  # typeset once for all tests that read the same sheet


def _report(shop: Shop | None = None, rows: int = 3) -> Report:
    """A frame 120 × 60 mm with a disc of 20 mm across, on an artboard of 160 × 90 mm."""
    frame = box(20, 15, 140, 75).difference(box(30, 25, 130, 65))
    disc = Point(80, 45).buffer(10, quad_segs=64)
    job = make_job(
        {RED: MultiPolygon([frame, disc])},
        inks={RED: "brick red"},
        size_mm=(160.0, 90.0),
        garment="#f0e8d8",
        shop=shop,
    )
    finding = Finding(
        "will fail", "thin", "It is thin.", "It tears.", "Widen it.", RED, RED, (140.0, 75.0), 0.3
    )
    table = Table(("Row", "Word"), tuple((str(n), f"word-{n}") for n in range(rows)), "rl")
    section = Section("job", "Table of a stranger", (table,), rank=40, by="stranger")
    return Report(job, (), (finding,), (section,))


def _open(report: Report) -> pdfplumber.PDF:
    made, _ = made_of(report)
    return pdfplumber.open(io.BytesIO(made.data))


@pytest.mark.parametrize(
    ("shop", "bar_mm", "paper_mm"),
    [
        (Shop(), 50.0, (210.0, 297.0)),
        (Shop(paper="US Letter", units="inch"), 50.8, (215.9, 279.4)),
    ],
)
def test_paper_and_check_bar(shop: Shop, bar_mm: float, paper_mm: tuple[float, float]) -> None:
    """Every page has the shop's size (ISO 216; 8.5 × 11 in) and a bar of its length within 0.1 mm."""
    with _open(_report(shop)) as pdf:
        for page in pdf.pages:
            assert (page.width * MM, page.height * MM) == pytest.approx(paper_mm, abs=0.05)
            low = [line for line in page.lines if line["top"] > 0.9 * float(page.height)]
            longest = max(line["width"] for line in low)
            assert longest * MM == pytest.approx(bar_mm, abs=0.1)
            assert "Print at 100 %" in page.extract_text()


def test_pictures_have_the_size_and_proportion_of_the_artwork() -> None:
    """The disc is as wide as high, and stands to the frame as it does in the artwork."""
    with _open(_report()) as pdf:
        page = pdf.pages[0]
        red = [c for c in page.curves + page.rects if c["non_stroking_color"] == pytest.approx(RGB)]
        # the table's patch of colour is 3 mm wide, everything of the picture is larger
        discs = [c for c in red if 3.5 < c["width"] * MM < 20]
        frames = [c for c in red if c["width"] * MM > 40]
        assert discs
        assert frames
        frame, disc = frames[0], discs[0]
        assert frame["width"] / frame["height"] == pytest.approx(120 / 60, rel=1e-3)
        assert disc["width"] / disc["height"] == pytest.approx(1.0, rel=1e-3)
        assert disc["width"] / frame["width"] == pytest.approx(20 / 120, rel=2e-3)
        scale = frame["width"] * MM / 120
        assert f"at {100 * scale:.0f} % of true size" in page.extract_text().replace("\n", " ")


def test_the_screen_picture_shows_the_ring_at_its_place() -> None:
    """The ring's middle lies on the frame's corner, and the ring is 4.8 mm wide on paper."""
    with _open(_report()) as pdf:
        page = next(p for p in pdf.pages if "Screen 1 of 1" in p.extract_text())
        (board,) = [r for r in page.rects if r["dash"] and r["dash"][0]]
        scale = board["width"] / 160.0
        assert board["height"] / scale == pytest.approx(90.0, abs=0.05)
        rings = [c for c in page.curves if c["width"] * MM == pytest.approx(4.8, abs=0.05)]
        assert rings
        for ring in rings:
            middle = (ring["x0"] + ring["x1"]) / 2, (ring["top"] + ring["bottom"]) / 2
            assert (middle[0] - board["x0"]) / scale == pytest.approx(140.0, abs=0.1)
            assert (middle[1] - board["top"]) / scale == pytest.approx(75.0, abs=0.1)


def test_every_word_of_a_stranger_can_be_read() -> None:
    """A table of 120 rows runs over pages with its head on each; no row is lost."""
    with _open(_report(rows=120)) as pdf:
        words = " ".join(page.extract_text() for page in pdf.pages).split()
        assert [w for w in words if w.startswith("word-")] == [f"word-{n}" for n in range(120)]
        heads = [p for p in pdf.pages if "Row Word" in p.extract_text()]
        assert len(heads) > 1
        assert f"Page {len(pdf.pages)} of {len(pdf.pages)}" in pdf.pages[-1].extract_text()


def test_figures_of_the_screen_page() -> None:
    """Area worked by hand: 120 × 60 - 100 × 40 + disc = 35.1 cm²; one island, the film in the frame."""
    disc = shapely.area(Point(80, 45).buffer(10, quad_segs=64))
    with _open(_report()) as pdf:
        page = next(p for p in pdf.pages if "Screen 1 of 1" in p.extract_text())
        text = page.extract_text()
        assert f"Prints {(7200 - 4000 + disc) / 100:.1f} cm²" in text
        assert "Prints 35.1 cm²" in text
        assert "Pieces 2" in text
        assert "Islands 1" in text
        assert "Finest opening none under 3 mm" in text


def test_tagged_with_title_language_and_own_font_only() -> None:
    """What PDF/UA asks for (ISO 14289-1, from memory): marked, tagged, a language and a title."""
    with _open(_report()) as pdf:
        catalog = pdf.doc.catalog
        assert catalog["MarkInfo"]["Marked"]
        assert catalog["Lang"] == b"en"
        assert pdf.metadata["Title"] == "Prep sheet: test"
        structure = {element["type"] for element in _walk(pdf.structure_tree)}
        assert {"H1", "H2", "Table", "TH", "TD", "L", "LI", "Figure", "P"} <= structure
        figures = [e for e in _walk(pdf.structure_tree) if e["type"] == "Figure"]
        assert all(e.get("alt_text") for e in figures)
        fonts = {c["fontname"].split("+")[1] for page in pdf.pages for c in page.chars}
        assert fonts == {"DejaVuSans", "DejaVuSans-Bold"}


def _walk(elements: list[dict[str, object]]) -> list[dict[str, object]]:
    found = []
    for element in elements:
        found.append(element)
        children = element.get("children", [])
        assert isinstance(children, list)
        found += _walk(children)
    return found


def test_what_is_copied_holds_only_what_is_typed() -> None:
    """A long run breaks over lines, but no character that can't be seen is copied with it."""
    setting = "--set colour.#b23a48.printed=false" + "-and-so-on" * 12
    report = replace(
        _report(), sections=(Section("job", "Hint", (Paragraph(setting),), rank=40, by="stranger"),)
    )
    with _open(report) as pdf:
        text = "\n".join(page.extract_text() for page in pdf.pages)
    assert setting in text.replace("\n", "")
    assert "\u200b" not in text


def test_pictures_are_vectors_and_the_file_is_small() -> None:
    """No pixels anywhere; well under 2 MB."""
    made, _ = made_of(_report())
    assert len(made.data) < 500_000
    with pdfplumber.open(io.BytesIO(made.data)) as pdf:
        assert not any(page.images for page in pdf.pages)


@pytest.mark.parametrize(
    ("name", "width", "screens", "pages"),
    [("pea-pod/design.svg", "260 mm", 1, 6), ("two-finches/sleeve.svg", "90 mm", 2, 10)],
)
def test_each_screen_has_a_sheet_of_its_own(
    name: str, width: str, screens: int, pages: int, tmp_path: Path
) -> None:
    """Each screen begins on a front, with its findings; film, registration and press follow.

    The whole has no more pages than this, and is under 2 MB.
    """
    artwork = Path(__file__).parents[2] / "artwork" / name
    made = tmp_path / "job"
    command = [sys.executable, "-m", "prep", "sheet", str(artwork), "--width", width]
    command += ["--shop", str(artwork.parents[1] / "shop.toml")]
    command += ["--shirts", "40", "--garment", "#f4efe2", "--out", str(made)]
    subprocess.run(command, check=True, capture_output=True)
    with pdfplumber.open(made / "prep-sheet.pdf") as pdf:
        texts = [page.extract_text() for page in pdf.pages]
    assert len(texts) <= pages
    assert (made / "prep-sheet.pdf").stat().st_size < 2_000_000
    heads = [f"Screen {number} of {screens}:" for number in range(1, screens + 1)]
    fronts = [next(n for n, text in enumerate(texts) if head in text) for head in heads]
    assert fronts == sorted(fronts)
    assert all(front % 2 == 0 for front in fronts)
    closing = next(n for n, text in enumerate(texts) if "Cure, wash test, record" in text)
    for front, following in zip(fronts, [*fronts[1:], closing], strict=True):
        assert following - front == 2
        own = "\n".join(texts[front:following])
        order = ["Mesh and ink", "\nFilm\n", "\nAt the press\n"]
        if screens > 1:
            order[1:1] = ["What to look out for"]
            order[3:3] = ["\nRegistration\n"]
        assert [own.index(word) for word in order] == sorted(own.index(word) for word in order)
    assert any("Limits the details are judged by" in text for text in texts[closing:])


def _filled(page: pdfplumber.page.Page) -> float:
    """Give which share of a page's height holds something, between head and foot."""
    top, high = 14.0 / MM, page.height - 30.0 / MM
    words = page.crop((0.0, top, page.width, top + high)).extract_words()
    return max((word["bottom"] - top for word in words), default=0.0) / high


def _steps_size(texts: list[pdfplumber.page.Page]) -> float:
    """Give the type size of the steps at the press."""
    (size,) = {
        round(word["size"], 2)
        for page in texts
        for word in page.extract_words(extra_attrs=["size"])
        if word["text"] == "Pull"
    }
    return float(size)


@pytest.mark.parametrize(
    ("findings", "pages", "size"),
    [(8, 1, 8.4), (14, 1, 7.7), (28, 2, 8.4), (35, 2, 7.7), (38, 3, 8.4)],
)
def test_a_screen_never_takes_a_leaf_for_a_few_lines(
    findings: int, pages: int, size: float
) -> None:
    """Steps are 0.94 of 8.4 pt, down to 7.7 where that spares a leaf; a last one is a third full."""
    report = _report()
    (short,) = report.findings
    why = "It tears where it is thin, as it dries and is bent again and again. " * 4
    long = replace(short, why=why, do="Draw it wider than that. " * 5)
    report = replace(report, findings=(long,) * findings)
    with _open(report) as pdf:
        own = [p for p in pdf.pages if "Screen 1: brick red" in p.extract_text().split("\n")[0]]
        assert len(own) == pages
        assert len(own) < 3 or _filled(own[-1]) > 1 / 3
        assert _steps_size(own) == pytest.approx(0.94 * size, abs=0.01)


@pytest.mark.parametrize("rows", [3, 21, 27, 33, 40])
def test_what_belongs_together_is_not_torn(rows: int) -> None:
    """A heading, words and a drawing under it stand on one page, wherever the page before ends."""
    report = _report(rows=rows)
    drawing = (
        Canvas((0.0, 0.0, 60.0, 30.0))
        .rectangle((5.0, 5.0, 55.0, 25.0))
        .text("in the drawing", (10.0, 18.0), height_mm=5.0)
    )
    blocks = (Paragraph("words before it"), Drawing(drawing.picture("A box"), "said below it"))
    told = Section("job", "Film of a stranger", blocks, rank=41, by="stranger")
    report = replace(report, sections=(*report.sections, told))
    with _open(report) as pdf:
        texts = [page.extract_text() for page in pdf.pages]
    (whole,) = [text for text in texts if "Film of a stranger" in text]
    assert "words before it" in whole
    assert "in the drawing" in whole
    assert "said below it" in whole


def test_the_customers_page_read_back() -> None:
    """Size, colour, what is lost with a picture at its place, a line to sign; nothing of the shop."""
    _, made = made_of(_report())
    assert made.name == "customer-page.pdf"
    with pdfplumber.open(io.BytesIO(made.data)) as pdf:
        (page,) = pdf.pages
        text = page.extract_text()
        for words in ("brick red", "#b23a48", "Signature", "A. Detail: may not print as"):
            assert words in text
        # what is painted, then the artwork around it
        assert text.index("120.0 × 60.0 mm") < text.index("160.0 × 90.0 mm")
        # of the shop's own affairs: meshes, films, remedies, other plugins' tables
        for words in ("43-80", "Table of a stranger", "Widen it", "To mix"):
            assert words not in text
        rings = [c for c in page.curves if c["width"] * MM == pytest.approx(4.8, abs=0.05)]
        (close_up,) = [r for r in page.rects if r["width"] * MM == pytest.approx(39.0, abs=0.1)][
            -1:
        ]
        middle = close_up["x0"] + close_up["width"] / 2, close_up["top"] + close_up["height"] / 2
        assert rings
        for ring in rings:
            assert (ring["x0"] + ring["x1"]) / 2 == pytest.approx(middle[0], abs=0.3)
            assert (ring["top"] + ring["bottom"]) / 2 == pytest.approx(middle[1], abs=0.3)
        # the frame's corner lies in the middle: a quarter of the close-up is ink
        assert any(c["non_stroking_color"] == pytest.approx(RGB) for c in page.curves + page.rects)


def test_poppler_shows_as_many_pages_and_the_same_words() -> None:
    """Poppler, a reader of another house: as many pages, and the letters of the first finding."""
    made, _ = made_of(_report())
    shown = subprocess.run(
        ["pdftotext", "-layout", "-", "-"], input=made.data, check=True, capture_output=True
    )
    pages = shown.stdout.decode().split("\f")[:-1]
    with pdfplumber.open(io.BytesIO(made.data)) as pdf:
        assert len(pages) == len(pdf.pages)
    assert "Screen 1: thin, 0.30 mm" in " ".join(pages[0].split())
    assert all("Print at 100 %" in page for page in pages)
