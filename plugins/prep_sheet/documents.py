"""From reports to the finished document."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import TYPE_CHECKING

from prep.sections import Document
from prep_sheet.closing_page import closing_page
from prep_sheet.customer_page import customer_page
from prep_sheet.job_page import flags_of, job_page, lettered_of
from prep_sheet.layout import CHECK_BARS, PAPERS, Notice, Page, Paper, Sheet
from prep_sheet.order_page import order_page
from prep_sheet.screen_page import screen_page
from prep_sheet.wording import clean

if TYPE_CHECKING:
    from prep.job import Report
    from prep.sections import Section

NO_PDF = Notice(
    "This sheet is a web page",
    (
        "The program part that writes PDF files can't be loaded on this computer. Open the page in a"
        " browser and print it from there at 100 %.",
    ),
)


def sheet_of(reports: tuple[Report, ...], sections: tuple[Section, ...] = ()) -> Document:
    """Give the sheet: ``prep-sheet.pdf``, or ``prep-sheet.html`` where there is no typesetter.

    :param sections: of the page over all set-ups
    :raises ValueError: a plugin's section holds what can't be shown; the message names it
    """
    from prep.typeset import can_typeset
    from prep_sheet import typesetting, web

    if not can_typeset():
        sheet = composed(reports, sections, whole=True)
        return Document(_name(), web.page(with_notice(sheet, NO_PDF)))
    return Document(_name(), typesetting.pdf(composed(reports, sections)))


def _name() -> str:
    from prep.typeset import can_typeset

    return f"prep-sheet.{'pdf' if can_typeset() else 'html'}"


def customer_page_of(reports: tuple[Report, ...]) -> Document:
    """Give ``customer-page.pdf``, or ``customer-page.html`` where there is no typesetter."""
    from prep.typeset import can_typeset
    from prep_sheet import typesetting, web

    sheet = for_customer(reports)
    if not can_typeset():
        return Document("customer-page.html", web.page(with_notice(sheet, NO_PDF)))
    return Document("customer-page.pdf", typesetting.pdf(sheet))


def for_customer(reports: tuple[Report, ...]) -> Sheet:
    """Give the page the customer signs, of all set-ups."""
    first = reports[0].job
    paper = PAPERS[first.shop.paper]
    return Sheet(
        title=clean(f"For the customer: {first.order.name}"),
        paper=paper,
        bar=CHECK_BARS[first.shop.units],
        pages=(customer_page(reports, paper),),
        double_sided=False,
    )


def composed(
    reports: tuple[Report, ...], sections: tuple[Section, ...] = (), *, whole: bool = False
) -> Sheet:
    """Give the pages of one set-up, or of several under a page for the whole order.

    :param sections: of the page over all set-ups
    :param whole: how each figure is worked out stands on them, for which paper has no room
    """
    first = reports[0].job
    paper = PAPERS[first.shop.paper]
    pages = [
        page
        for report in reports
        for page in _pages(
            report,
            paper,
            settled_here=len(reports) == 1,
            elsewhere=f"{report.job.setup.key}/{_name()}" if len(reports) > 1 else "",
        )
    ]
    if len(reports) > 1:
        shown = tuple(s for s in sections if whole or s.chapter != "why")
        pages.insert(0, order_page(reports, shown, paper))
    flags = tuple(dict.fromkeys(flag for report in reports for flag in flags_of(report)))
    pages.append(closing_page(reports, paper, flags, whole=whole))
    return Sheet(
        title=clean(f"Prep sheet: {first.order.name}"),
        paper=paper,
        bar=CHECK_BARS[first.shop.units],
        pages=tuple(pages),
        double_sided=first.shop.double_sided,
    )


def with_notice(sheet: Sheet, notice: Notice) -> Sheet:
    """Give the sheet with a further box at the top of its first page."""
    first, *rest = sheet.pages
    first = replace(first, pieces=(notice, *first.pieces))
    return replace(sheet, pages=(first, *rest))


def _pages(report: Report, paper: Paper, *, settled_here: bool, elsewhere: str) -> Iterator[Page]:
    keys = {screen.key for screen in report.job.screens}
    for section in report.sections:
        if section.screen is not None and section.screen not in keys:
            raise ValueError(
                f'section "{section.title}" of {section.by or "?"} is for screen "{section.screen}",'
                " and there is none"
            )
    flags = flags_of(report)
    lettered = lettered_of(report)
    yield job_page(report, paper, flags, settled_here=settled_here, elsewhere=elsewhere)
    for screen in report.job.screens:
        own = tuple((name, f) for name, f in lettered if f.screen == screen.key)
        yield screen_page(report, screen, own, paper, flags)
