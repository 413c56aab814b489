"""Registration: targets cut beside the image, and how to line the screens up by them."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from typing import TYPE_CHECKING, Any

from prep.hookspecs import SettingsTables, hookimpl

if TYPE_CHECKING:
    import typer

    from prep.findings import Finding
    from prep.job import Ask, Job
    from prep.screens import Mark
    from prep.sections import Section


@hookimpl
def prep_settings() -> SettingsTables:
    """Declare ``[registration]`` of shop.toml."""
    from prep_registration.settings import Registration

    return SettingsTables(shop=Registration)


@hookimpl
def prep_answers() -> Mapping[type[Any], Callable[[Job, Ask], Any]]:
    """Answer where the targets stand."""
    from prep_registration.answers import Targets
    from prep_registration.placing import targets_of

    return {Targets: targets_of}


@hookimpl
def prep_marks(job: Job, ask: Ask) -> Iterable[Mark]:
    """Give the targets, the same on every screen."""
    from prep_registration.placing import marks_of

    return marks_of(job, ask)


@hookimpl
def prep_findings(job: Job, ask: Ask) -> Iterable[Finding]:
    """Say where the targets make trouble."""
    from prep_registration.trouble import findings_of

    return findings_of(job, ask)


@hookimpl
def prep_sections(job: Job, ask: Ask) -> Iterable[Section]:
    """Give distances to check and the steps of lining up."""
    from prep_registration.why import why_sections
    from prep_registration.wording import sections_of

    yield from sections_of(job, ask)
    yield from why_sections(job, ask)


@hookimpl
def prep_commands(app: typer.Typer) -> None:
    """Add ``prep register-test``."""
    from prep_registration.command import add

    add(app)
