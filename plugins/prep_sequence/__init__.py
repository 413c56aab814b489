"""The order of printing, what is flashed between, and how often the shirts are laid on the board."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from typing import TYPE_CHECKING, Any

from prep.hookspecs import SettingsTables, hookimpl

if TYPE_CHECKING:
    from prep.findings import Finding
    from prep.job import Ask, Job
    from prep.screens import PrintOrder
    from prep.sections import Section


@hookimpl
def prep_settings() -> SettingsTables:
    """Declare ``[sequence]`` of shop.toml and of order.toml."""
    from prep_sequence.settings import Sequence, SequenceOrder

    return SettingsTables(shop=Sequence, order=SequenceOrder)


@hookimpl
def prep_order(job: Job) -> PrintOrder:
    """Put the base first, discharge next, then light colours before dark ones, or as the order says."""
    from prep_sequence.useless import checked_order

    return checked_order(job)


@hookimpl
def prep_answers() -> Mapping[type[Any], Callable[[Job, Ask], Any]]:
    """Answer what is done to a shirt, step by step."""
    from prep_sequence.answers import PrintSteps
    from prep_sequence.steps import steps_of

    return {PrintSteps: lambda job, ask: steps_of(job)}  # noqa: ARG005  # the core passes both


@hookimpl
def prep_findings(job: Job, ask: Ask) -> Iterable[Finding]:
    """Say when shirts are laid again, when wet ink is printed on, and what of the order has no use."""
    from prep_sequence.trouble import findings_of

    return findings_of(job, ask)


@hookimpl
def prep_sections(job: Job, ask: Ask) -> Iterable[Section]:
    """Give the steps of printing on the job page and on each screen's, and how they are worked out."""
    from prep_sequence.why import why_sections
    from prep_sequence.wording import screen_sections, sections_of

    yield from sections_of(job, ask)
    yield from screen_sections(job, ask)
    yield from why_sections(job, ask)
