"""Drying: how fast water leaves the ink on a screen, how long that stays open, whether the run fits.

``prep_drying.answers`` holds what other plugins may ask.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from typing import TYPE_CHECKING, Any

from prep.hookspecs import SettingsTables, hookimpl

if TYPE_CHECKING:
    from prep.findings import Finding
    from prep.job import Ask, Job
    from prep.sections import Section


@hookimpl
def prep_settings() -> SettingsTables:
    """Declare ``[drying]`` of shop.toml and of order.toml, and ``[print.colour.drying]``."""
    from prep_drying.settings import Drying, DryingColour, DryingOrder

    return SettingsTables(shop=Drying, order=DryingOrder, colour=DryingColour)


@hookimpl
def prep_answers() -> Mapping[type[Any], Callable[[Job, Ask], Any]]:
    """Answer for drying, and for what helps most against it."""
    from prep_drying.answers import Drying, DryingUncut, Helps
    from prep_drying.forecast import drying_of, uncut_drying
    from prep_drying.helps import what_helps

    return {Drying: drying_of, DryingUncut: uncut_drying, Helps: what_helps}


@hookimpl
def prep_findings(job: Job, ask: Ask) -> Iterable[Finding]:
    """Say where the ink before the blade dries up, and where formulas are used beyond their range."""
    from prep_drying.trouble import findings_of

    return findings_of(job, ask)


@hookimpl
def prep_sections(job: Job, ask: Ask) -> Iterable[Section]:
    """Give the water in the ink over the run, and what the figures rest on."""
    from prep_drying.wording import sections_of

    return sections_of(job, ask)
