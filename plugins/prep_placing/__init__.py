"""Paper master and placing guide: where on the garment a print goes, and how to get it there."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from typing import TYPE_CHECKING, Any

from prep.hookspecs import SettingsTables, hookimpl

if TYPE_CHECKING:
    from prep.findings import Finding
    from prep.job import Ask, Job, Report
    from prep.screens import Mark
    from prep.sections import Document, Section


@hookimpl
def prep_settings() -> SettingsTables:
    """Declare ``[placing]`` of shop.toml and order.toml."""
    from prep_placing.settings import PlacingOrder, PlacingShop

    return SettingsTables(shop=PlacingShop, order=PlacingOrder)


@hookimpl
def prep_answers() -> Mapping[type[Any], Callable[[Job, Ask], Any]]:
    """Answer how far beside the platen's centre line the print lies, and how garments are laid."""
    from prep_placing.answers import Asides, Laying
    from prep_placing.strokes import asides_of
    from prep_placing.wording import laying_of

    return {
        Asides: lambda job, ask: asides_of(job),  # noqa: ARG005  # the core passes both
        Laying: lambda job, ask: laying_of(job),  # noqa: ARG005  # the core passes both
    }


@hookimpl
def prep_findings(job: Job, marks: tuple[Mark, ...]) -> Iterable[Finding]:
    """Say what of the print's size and place is unusual, and what can't be."""
    from prep_placing.trouble import findings_of

    return findings_of(job, marks)


@hookimpl
def prep_sections(job: Job, marks: tuple[Mark, ...], ask: Ask) -> Iterable[Section]:
    """Give the placing guide, and how its distances are worked out."""
    from prep_placing.why import why_sections
    from prep_placing.wording import sections_of

    yield from sections_of(job, marks, ask)
    yield from why_sections(job, marks, ask)


@hookimpl
def prep_documents(report: Report, ask: Ask) -> Iterable[Document]:
    """Give the paper master, at true size in tiles."""
    from prep_placing.master import documents_of

    return documents_of(report.job, report.marks, ask)
