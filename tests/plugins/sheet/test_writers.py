"""The two writers: PDF, and the web page where no PDF can be written."""

from __future__ import annotations

import dataclasses
import io
import re
import subprocess
import sys
from collections.abc import Callable
from html.parser import HTMLParser
from typing import Any

import pdfplumber
import pytest

from prep import typeset
from prep.job import Report
from prep.sections import CheckList, Paragraph, Section
from prep.shop import Shop
from prep_sheet import prep_documents, prep_order_documents, typesetting, web
from prep_sheet.documents import composed
from prep_sheet.layout import CAPTION_MM, Beside

MakeReport = Callable[..., Report]
HOSTILE = '#read("secret.txt") $x$ *b* <b>&amp;</b> \\ ] } "'


def _text(data: bytes) -> str:
    with pdfplumber.open(io.BytesIO(data)) as pdf:
        return "\n".join(page.extract_text() for page in pdf.pages)


def test_the_hooks_give_a_sheet_and_a_customers_page(make_report: MakeReport) -> None:
    """A sheet and a page for the customer for a set-up, and one of each over all set-ups."""
    report = make_report()
    alone, customers = prep_documents(report)
    over_all, all_customers = prep_order_documents((report, report), ())
    assert alone.name == over_all.name == "prep-sheet.pdf"
    assert customers.name == all_customers.name == "customer-page.pdf"
    assert alone.data.startswith(b"%PDF-")
    assert len(over_all.data) > len(alone.data)


def test_same_job_same_bytes(make_report: MakeReport) -> None:
    """Made twice, the file is the same to the byte."""
    first, second = (typesetting.pdf(composed((make_report(),))) for _ in range(2))
    assert first == second


def test_names_are_never_taken_for_markup(make_report: MakeReport) -> None:
    """Signs that mean something to the typesetter or a browser are printed as they are."""
    report = make_report(inks={"#1f3a5f": HOSTILE, "#e0a526": "x" * 80})
    report = dataclasses.replace(report, lacking=(HOSTILE,))
    sheet = composed((report,))
    assert HOSTILE in _text(typesetting.pdf(sheet))
    page = web.page(sheet).decode()
    assert "<b>&amp;</b>" not in page
    read = _Reader()
    read.feed(page)
    assert HOSTILE in read.text
    assert "script" not in read.tags


def test_scripts_the_font_has(make_report: MakeReport) -> None:
    """Greek and Cyrillic names need no other font, and the file stays marked as accessible."""
    data = typesetting.pdf(composed((make_report(inks={"#1f3a5f": "κυανό, синий"}),)))
    assert "κυανό, синий" in _text(data)
    assert b"pdfuaid" in data


def test_letters_no_font_has_are_said(make_report: MakeReport) -> None:
    """A character of private use: the sheet is made, says which letter lacks, and gives up PDF/UA."""
    plain = composed((make_report(),))
    odd = composed((make_report(inks={"#1f3a5f": "blue \U0010fffd"}),))
    data = typesetting.pdf(odd)
    assert "printed as empty boxes: U+10FFFD" in _text(data).replace("\n", " ")
    assert b"pdfuaid" not in data
    assert b"pdfuaid" in typesetting.pdf(plain)


def test_letters_in_pictures_count_too(make_report: MakeReport) -> None:
    """A renderer of pictures drops letters it lacks without a word; the sheet says them."""
    sheet = composed((make_report(),))
    first, *rest = sheet.pages
    svg = '<svg xmlns="http://www.w3.org/2000/svg"><text y="9">\U0010fffd</text></svg>'
    image = next(piece.image for piece in first.pieces if isinstance(piece, Beside))
    pieces = (dataclasses.replace(image, svg=svg), *first.pieces)
    pages = (dataclasses.replace(first, pieces=pieces), *rest)
    said = _text(typesetting.pdf(dataclasses.replace(sheet, pages=pages)))
    assert "U+10FFFD" in said


def test_letters_another_font_has_are_said(
    make_report: MakeReport, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Where a font of the computer helps out, the sheet stays accessible and names the letters."""
    real = typeset.not_shown

    def found_elsewhere(characters: str, *, own_fonts_only: bool) -> str:
        return "ж" if own_fonts_only else real(characters, own_fonts_only=False)

    monkeypatch.setattr(typeset, "not_shown", found_elsewhere)
    data = typesetting.pdf(composed((make_report(inks={"#1f3a5f": "жёлтый"}),)))
    assert "Set in a font of this computer" in _text(data)
    assert "U+0436" in _text(data)
    assert b"pdfuaid" in data


def test_a_warning_of_the_typesetter_is_an_error(
    make_report: MakeReport, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A font that isn't there is only a warning to the typesetter; the sheet would look wrong."""
    real = typeset.run

    def other_font(source: bytes, *given: object, **named: object) -> object:
        return real(source.replace(b"DejaVu Sans", b"No Such Font"), *given, **named)  # type: ignore[arg-type]  # passed on

    monkeypatch.setattr(typeset, "run", other_font)
    with pytest.raises(typeset.LaidOutBadly, match="unknown font family"):
        typesetting.pdf(composed((make_report(),)))


def test_without_a_typesetter_a_web_page(
    make_report: MakeReport, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Where typst can't be loaded the sheet is HTML, says so first, and holds every section."""
    monkeypatch.setitem(sys.modules, "typst", None)
    made, customers = prep_documents(make_report())
    assert made.name == "prep-sheet.html"
    assert customers.name == "customer-page.html"
    assert "Signature" in customers.data.decode()
    read = _Reader()
    read.feed(made.data.decode())
    assert read.text.index("This sheet is a web page") < read.text.index("Shirts")
    for words in (
        "Strange table",
        "row 59 of a long table",
        "Then that is done",
        "Mind the strange blade",
        "A strange paragraph",
        "weighed here",
        "An opening is 0.40 mm wide.",
        "This bar is 50 mm long.",
    ):
        assert words in read.text
    assert all(alt for alt in read.alts)
    # artwork, findings and the one's place, two screens, the stranger's
    assert len(read.alts) == 1 + 1 + 1 + 2 + 1
    assert "Close-up of the place: narrow opening" in read.alts


def test_the_web_page_needs_nothing_else(make_report: MakeReport) -> None:
    """No script, no link, nothing loaded from outside; a policy forbids it as well."""
    page = web.page(composed((make_report(),))).decode()
    outside = re.findall(r'(?:src|href)="(?!data:image/svg\+xml;base64,)', page)
    assert not outside
    assert "url(" not in page
    assert "default-src 'none'" in page
    assert web.page(composed((make_report(),))).decode() == page


def test_hooks_load_nothing_heavy() -> None:
    """Finding the plugin costs neither the typesetter nor geometry."""
    code = (
        "import sys, prep_sheet; "
        "print(sorted({'typst', 'shapely', 'numpy', 'pydantic', 'pint'} & set(sys.modules)))"
    )
    said = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert said.stdout.strip() == "[]"


class _Reader(HTMLParser):
    """Reads the words, tags and alternative texts of a page."""

    def __init__(self) -> None:
        super().__init__()
        self.text = ""
        self.tags: set[str] = set()
        self.alts: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.add(tag)
        if tag == "img":
            self.alts.append(dict(attrs).get("alt") or "")

    def handle_data(self, data: str) -> None:
        self.text += data


def _pages(data: bytes) -> list[str]:
    with pdfplumber.open(io.BytesIO(data)) as pdf:
        return [page.extract_text() for page in pdf.pages]


def test_a_blank_back_says_why_and_one_sided_sheets_have_none(make_report: MakeReport) -> None:
    """Printed on both sides, each screen begins on a front; on one side, no page is blank."""
    short: dict[str, Any] = {"report": {"sections": ()}}  # the job page has no back then
    both = _pages(typesetting.pdf(composed((make_report(shop=Shop(), **short),))))
    blank = [number for number, text in enumerate(both, 1) if "left blank on purpose" in text]
    assert blank
    assert all("Screen" not in both[number - 1] for number in blank)
    starts = [
        n for n, text in enumerate(both, 1) if re.search(r"^Screen \d of", text, re.MULTILINE)
    ]
    assert all(number % 2 for number in starts)
    one_sided = make_report(shop=Shop(double_sided=False), **short)
    one = _pages(typesetting.pdf(composed((one_sided,))))
    assert len(one) == len(both) - len(blank)
    assert not any("left blank" in text for text in one)
    assert [text.splitlines()[:2] for text in one] == [
        text.splitlines()[:2] for n, text in enumerate(both, 1) if n not in blank
    ]


@pytest.mark.parametrize("lines", [24, 28, 32])
def test_steps_in_two_columns_are_not_torn_over_two_pages(
    make_report: MakeReport, lines: int
) -> None:
    """However much stands above them: the columns are read down, one after the other."""
    above = tuple(Paragraph("something to read above") for _ in range(lines))
    steps = CheckList(tuple(f"stepno{n:02} " + "and more of it " * 6 for n in range(14)))
    section = Section("job", "Work", (*above, steps), rank=60, by="stranger")
    report = make_report(report={"sections": (section,), "findings": ()})
    pages = _pages(typesetting.pdf(composed((report,))))
    holding = [sum(f"stepno{n:02}" in page for n in range(14)) for page in pages]
    assert sorted(filter(None, holding)) == [14]


def test_a_caption_runs_over_nothing(make_report: MakeReport) -> None:
    """Beside a picture narrower than its caption, no words of the table lie among the caption's."""
    report = make_report()
    tiny = dataclasses.replace(report.job.artwork, width_mm=4.0, height_mm=4.0)
    report = dataclasses.replace(report, job=dataclasses.replace(report.job, artwork=tiny))
    with pdfplumber.open(io.BytesIO(typesetting.pdf(composed((report,))))) as pdf:
        words = pdf.pages[0].extract_words()
    caption = next(n for n, word in enumerate(words) if word["text"] == "dashed")
    (figures,) = {round(w["x0"]) for w in words if w["text"] in ("Shirts", "Garment", "Sizes")}
    of_caption = [w for w in words if abs(w["top"] - words[caption]["top"]) < 1.0]
    left = [w for w in of_caption if w["x0"] < figures - 1]
    assert max(w["x1"] for w in left) < figures
    page = web.page(composed((report,))).decode()
    assert f'style="width:{CAPTION_MM:g}mm"><img style="width:' in page
