"""What goes under colours on a dark shirt, and the possible ways to print, ranked."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from typing import TYPE_CHECKING, Any

from prep.hookspecs import SettingsTables, hookimpl

if TYPE_CHECKING:
    from prep.findings import Finding
    from prep.job import Ask, Job
    from prep.screens import AddScreen
    from prep.sections import Section


@hookimpl
def prep_settings() -> SettingsTables:
    """Declare ``[base]`` of shop.toml and of order.toml."""
    from prep_base.settings import Base, BaseOrder

    return SettingsTables(shop=Base, order=BaseOrder)


@hookimpl
def prep_screens(job: Job, ask: Ask) -> Iterable[AddScreen]:
    """Add the base, and let screens share films, as the way to print asks."""
    from prep_base.screens import Choice, screens_of

    return screens_of(job, ask(Choice))


@hookimpl
def prep_answers() -> Mapping[type[Any], Callable[[Job, Ask], Any]]:
    """Answer which ways there are, and what the base shows and starves."""
    from prep_base.answers import UnderColours, WaysToPrint
    from prep_base.forecast import under_colours, ways_to_print
    from prep_base.screens import Choice, choice_of

    return {
        Choice: lambda job, ask: choice_of(job),  # noqa: ARG005  # the core passes both
        WaysToPrint: ways_to_print,
        UnderColours: under_colours,
    }


@hookimpl
def prep_findings(job: Job, ask: Ask) -> Iterable[Finding]:
    """Say where the base will show, where it is starved, and what the order names in vain."""
    from prep_base.trouble import findings_of

    return findings_of(job, ask)


@hookimpl
def prep_sections(job: Job, ask: Ask) -> Iterable[Section]:
    """Give the ways to print and the base on the job page, and how their figures are worked out."""
    from prep_base.why import why_sections
    from prep_base.wording import sections_of

    yield from sections_of(job, ask)
    yield from why_sections(job, ask)
