"""Pages at true scale: read back from the PDF, lengths are what was drawn."""

from __future__ import annotations

import io
import sys

import pdfplumber
import pytest

from prep import typeset
from prep.paper import SHEETS, document, pdf, web_page
from prep.pictures import Canvas, Picture

MM_PER_PT = 25.4 / 72.0


def _page(width_mm: float, height_mm: float, text: str = "ruler") -> Picture:
    canvas = Canvas((0.0, 0.0, width_mm, height_mm))
    canvas.line(((20.0, 40.0), (120.0, 40.0)), stroke_mm=0.2)
    canvas.text(text, (20.0, 60.0), height_mm=4.0)
    return canvas.picture("a line of 100 mm")


def test_sizes_and_lengths_are_true() -> None:
    """Pages of two sizes and a line of 100 mm, 20 mm from the left, are so in the PDF."""
    sizes = [(210.0, 297.0), (432.5, 381.25)]
    made = pdf([_page(*size) for size in sizes], title="Film")
    with pdfplumber.open(io.BytesIO(made)) as read:
        assert len(read.pages) == len(sizes)
        for page, (width, height) in zip(read.pages, sizes, strict=True):
            assert float(page.width) * MM_PER_PT == pytest.approx(width, abs=0.01)
            assert float(page.height) * MM_PER_PT == pytest.approx(height, abs=0.01)
            (line,) = page.lines
            assert (line["x1"] - line["x0"]) * MM_PER_PT == pytest.approx(100.0, abs=0.01)
            assert line["x0"] * MM_PER_PT == pytest.approx(20.0, abs=0.01)
            assert line["top"] * MM_PER_PT == pytest.approx(40.0, abs=0.01)
            (size,) = {round(letter["size"] * MM_PER_PT, 2) for letter in page.chars}
            assert size == 4.0
        assert read.metadata["Title"] == "Film"


def test_same_pages_same_bytes() -> None:
    pages = [_page(210.0, 297.0)]
    assert pdf(pages, title="Film") == pdf(pages, title="Film")


def test_letters_the_font_lacks_are_said_by_number() -> None:
    """朱 may be in a font of this computer or in none; either way its number stands on the page."""
    made = pdf([_page(210.0, 297.0, "朱")], title="Film")
    with pdfplumber.open(io.BytesIO(made)) as read:
        assert "U+6731" in read.pages[0].extract_text()


def test_letters_no_font_has() -> None:
    """A title no font can show: the pages are made, and not marked as accessible."""
    made = pdf([_page(210.0, 297.0)], title="Film \U0010fffd")
    assert b"pdfuaid" not in made
    assert b"pdfuaid" in pdf([_page(210.0, 297.0)], title="Film")


def test_texts_are_never_taken_for_markup() -> None:
    title = '#read("x") $a$ *b* \\'
    made = pdf([_page(210.0, 297.0, "<b>&")], title=title)
    with pdfplumber.open(io.BytesIO(made)) as read:
        assert read.metadata["Title"] == title
        assert "<b>&" in read.pages[0].extract_text()


def test_no_pages_are_no_document() -> None:
    with pytest.raises(ValueError, match="one page or more"):
        pdf([], title="Film")


def test_without_a_typesetter_a_web_page(monkeypatch: pytest.MonkeyPatch) -> None:
    """Each page is on paper of its own size, without a script."""
    pages = [_page(210.0, 297.0), _page(300.0, 200.0)]
    assert document("a/master", pages, title="<M>").name == "a/master.pdf"
    monkeypatch.setitem(sys.modules, "typst", None)
    assert not typeset.can_typeset()
    made = document("a/master", pages, title="<M>")
    assert made.name == "a/master.html"
    text = made.data.decode()
    assert made.data == web_page(pages, title="<M>")
    assert "<title>&lt;M&gt;</title>" in text
    assert "size: 210mm 297mm" in text
    assert "size: 300mm 200mm" in text
    assert text.count("data:image/svg+xml;base64,") == 2
    assert "<script" not in text


def test_papers_are_as_standardised() -> None:
    """A4 is 210 × 297 mm (ISO 216), Letter 8.5 × 11 in."""
    assert (SHEETS["A4"].width_mm, SHEETS["A4"].height_mm) == (210.0, 297.0)
    assert SHEETS["US Letter"].width_mm == pytest.approx(8.5 * 25.4)
    assert SHEETS["US Letter"].height_mm == pytest.approx(11 * 25.4)
