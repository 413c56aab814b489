"""Stencils: the film of each screen as cut-ready SVG, DXF and PDF in true millimetres."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from typing import TYPE_CHECKING, Any

from prep.hookspecs import SettingsTables, hookimpl

if TYPE_CHECKING:
    import typer

    from prep.findings import Finding
    from prep.job import Ask, Job, Report
    from prep.screens import Mark
    from prep.sections import Document, Section


@hookimpl
def prep_settings() -> SettingsTables:
    """Declare ``[stencils]`` of shop.toml."""
    from prep_stencils.settings import Stencils

    return SettingsTables(shop=Stencils)


@hookimpl
def prep_answers() -> Mapping[type[Any], Callable[[Job, Ask], Any]]:
    """Answer how large each screen's film is, which way round it is cut, and how long it takes."""
    from prep_stencils.answers import FilmSheets, FilmTimes
    from prep_stencils.film import film_sheets
    from prep_stencils.timing import film_times

    return {FilmSheets: film_sheets, FilmTimes: film_times}


@hookimpl
def prep_findings(job: Job, marks: tuple[Mark, ...], ask: Ask) -> Iterable[Finding]:
    """Say where the film doesn't fit or lies on the risky side, and which screens hardly pay."""
    from prep_stencils.counting import findings_of_screens
    from prep_stencils.trouble import findings_of

    yield from findings_of(job, marks, ask)
    yield from findings_of_screens(job)


@hookimpl
def prep_sections(job: Job, marks: tuple[Mark, ...], ask: Ask) -> Iterable[Section]:
    """Give pictures of the films, their figures and the steps from cutter to screen."""
    from prep_stencils.wording import sections_of

    return sections_of(job, marks, ask)


@hookimpl
def prep_order_sections(jobs: tuple[Job, ...], ask: Callable[[Job], Ask]) -> Iterable[Section]:
    """Give the film that all set-ups take together."""
    from prep_stencils.whole_order import film_section

    return (film_section(jobs, ask),)


@hookimpl
def prep_documents(report: Report, ask: Ask) -> Iterable[Document]:
    """Give SVG, DXF and PDF of every film, read back before they are handed over."""
    from prep_stencils.documents import documents_of

    return documents_of(report, ask)


@hookimpl
def prep_commands(app: typer.Typer) -> None:
    """Add ``prep stencils``."""
    from prep.commands import job_folder_command
    from prep_stencils.command import run

    job_folder_command(app, "stencils", help="The films alone, in a folder.", run=run)
