"""Frame, squeegee and off-contact: what of the stock each film is printed with, and what is missing."""

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
    """Declare ``[squeegee]`` of shop.toml."""
    from prep_squeegee.settings import Squeegee

    return SettingsTables(shop=Squeegee)


@hookimpl
def prep_answers() -> Mapping[type[Any], Callable[[Job, Ask], Any]]:
    """Answer what frames must hold, and what each screen is printed with."""
    from prep_squeegee.answers import FrameRoom, Pulls
    from prep_squeegee.choosing import frame_room, pulls_of

    return {
        FrameRoom: lambda job, ask: frame_room(job),  # noqa: ARG005  # the core passes both
        Pulls: pulls_of,
    }


@hookimpl
def prep_findings(job: Job, ask: Ask) -> Iterable[Finding]:
    """Say which frames and squeegees are missing."""
    from prep_squeegee.trouble import findings_of

    return findings_of(job, ask)


@hookimpl
def prep_sections(job: Job, ask: Ask) -> Iterable[Section]:
    """Give each screen's frame, squeegee and off-contact."""
    from prep_squeegee.wording import sections_of

    return sections_of(job, ask)
