"""How figures are worked out stands on the web page; paper says where it is told."""

from __future__ import annotations

import dataclasses
from collections.abc import Callable

import pytest

from prep.job import Report
from prep.sections import Paragraph, Section
from prep_sheet import prep_documents, web
from prep_sheet.closing_page import WHY
from prep_sheet.documents import composed

MakeReport = Callable[..., Report]
TOLD = "Cut length ÷ speed of the blade"


@pytest.fixture
def report(make_report: MakeReport) -> Report:
    """A report of which one plugin tells how it works its figures out."""
    made = make_report()
    why = Section("why", "How minutes are worked out", (Paragraph(TOLD),), 92, by="stranger")
    return dataclasses.replace(made, sections=(*made.sections, why))


def test_paper_says_where_it_is_told(report: Report) -> None:
    page = web.page(composed((report,))).decode()
    assert (TOLD in page, WHY in page) == (False, True)


def test_the_web_page_tells_it(report: Report, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("prep.typeset.can_typeset", lambda: False)
    sheet = next(iter(prep_documents(report)))
    assert sheet.name == "prep-sheet.html"
    page = sheet.data.decode()
    assert (TOLD in page, WHY in page) == (True, False)


@pytest.mark.parametrize("whole", [False, True])
def test_the_page_over_all_set_ups_tells_it_alike(report: Report, whole: bool) -> None:
    said = "Hours of all set-ups added"
    over_all = Section("why", "How hours are worked out", (Paragraph(said),), 92, by="stranger")
    page = web.page(composed((report, report), (over_all,), whole=whole)).decode()
    assert (said in page, TOLD in page, WHY in page) == (whole, whole, not whole)


def test_nothing_is_said_where_nobody_tells(make_report: MakeReport) -> None:
    assert WHY not in web.page(composed((make_report(),))).decode()
