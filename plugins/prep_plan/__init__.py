"""The run card: set-up, order of work, how the ink is kept open, hours, clean-up.

``prep_plan.answers`` holds what other plugins may ask: the hours.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from typing import TYPE_CHECKING, Any

from prep.hookspecs import SettingsTables, hookimpl

if TYPE_CHECKING:
    import typer

    from prep.findings import Finding
    from prep.job import Ask, Job
    from prep.sections import Section


@hookimpl
def prep_settings() -> SettingsTables:
    """Declare ``[plan]`` of shop.toml."""
    from prep_plan.settings import Plan

    return SettingsTables(shop=Plan)


@hookimpl
def prep_answers() -> Mapping[type[Any], Callable[[Job, Ask], Any]]:
    """Answer how the work of a set-up is parted, and how long it takes."""
    from prep_plan.answers import Stretches, WorkPlan
    from prep_plan.cutting import stretches
    from prep_plan.planning import work_plan

    return {Stretches: stretches, WorkPlan: work_plan}


@hookimpl
def prep_findings(job: Job, ask: Ask) -> Iterable[Finding]:
    """Say where the work is longer than a day, or shirts are more than can lie to dry."""
    from prep_plan.trouble import findings_of

    return findings_of(job, ask)


@hookimpl
def prep_sections(job: Job, findings: tuple[Finding, ...], ask: Ask) -> Iterable[Section]:
    """Give the order of work, how the ink is kept open, what helps, the hours, and each screen's care."""
    from prep_plan.wording import sheet_sections

    failing = sum(finding.severity == "will fail" for finding in findings)
    return sheet_sections(job, ask, failing)


@hookimpl
def prep_order_sections(jobs: tuple[Job, ...], ask: Callable[[Job], Ask]) -> Iterable[Section]:
    """Give the hours of all set-ups together, and how long their inks may stand."""
    from prep_plan.answers import WorkPlan
    from prep_plan.whole_order import order_section
    from prep_plan.why import order_why
    from prep_plan.wording import drying_of, open_section

    planned = [(job, ask(job)(WorkPlan)) for job in jobs]
    yield order_section(planned)
    known = [(n, job, drying_of(ask(job))) for n, job in enumerate(jobs, start=1)]
    dried = [(n, job, drying) for n, job, drying in known if drying is not None]
    if dried:
        yield open_section(dried)
    yield order_why(planned)


@hookimpl
def prep_commands(app: typer.Typer) -> None:
    """Add ``prep plan``."""
    from prep.commands import job_command
    from prep_plan.command import run

    job_command(app, "plan", help="The run card: order of work, top-ups, pauses, hours.", run=run)
