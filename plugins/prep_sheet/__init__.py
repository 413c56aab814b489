"""The prep sheet: every plugin's sections, and its own, as pages to print and work from."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

from prep.hookspecs import hookimpl

if TYPE_CHECKING:
    from prep.job import Report
    from prep.sections import Document, Section


@hookimpl
def prep_sections() -> Iterable[Section]:
    """Give what is done once the shirts are printed."""
    from prep_sheet.after_printing import sections

    return sections()


@hookimpl
def prep_documents(report: Report) -> Iterable[Document]:
    """Give the sheet of one set-up, and the page the customer signs."""
    from prep_sheet.documents import customer_page_of, sheet_of

    return sheet_of((report,)), customer_page_of((report,))


@hookimpl
def prep_order_documents(
    reports: tuple[Report, ...], sections: tuple[Section, ...]
) -> Iterable[Document]:
    """Give one sheet over all set-ups of an order, and one page the customer signs."""
    from prep_sheet.documents import customer_page_of, sheet_of

    return sheet_of(reports, sections), customer_page_of(reports)
