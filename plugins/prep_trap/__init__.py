"""Traps: the colour printed first goes on under the next where they meet, and what a miss shows."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from typing import TYPE_CHECKING, Any

from prep.hookspecs import SettingsTables, hookimpl

if TYPE_CHECKING:
    from prep.findings import Finding
    from prep.job import Ask, Job
    from prep.screens import Delta
    from prep.sections import Section


@hookimpl
def prep_settings() -> SettingsTables:
    """Declare ``[trap]`` of shop.toml and of order.toml."""
    from prep_trap.settings import Trap, TrapOrder

    return SettingsTables(shop=Trap, order=TrapOrder)


@hookimpl
def prep_deltas(job: Job) -> Iterable[Delta]:
    """Spread the colour printed first under the next, along their border only."""
    from prep_trap.deltas import deltas_of

    return deltas_of(job)


@hookimpl
def prep_answers() -> Mapping[type[Any], Callable[[Job, Ask], Any]]:
    """Answer how often gaps show between colours."""
    from prep_trap.answers import GapChances
    from prep_trap.forecast import gap_chances

    return {GapChances: lambda job, ask: gap_chances(job)}  # noqa: ARG005  # the core passes both


@hookimpl
def prep_findings(job: Job, ask: Ask) -> Iterable[Finding]:
    """Say where gaps will show, what traps close, and where colours nearly meet."""
    from prep_trap.trouble import findings_of

    return findings_of(job, ask)


@hookimpl
def prep_sections(job: Job, ask: Ask) -> Iterable[Section]:
    """Give the table of pairs on the job page, and how its figures are worked out."""
    from prep_trap.why import why_sections
    from prep_trap.wording import sections_of

    yield from sections_of(job, ask)
    yield from why_sections(job, ask)
