"""Fine details: which will fail, why, and what would cure them."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from typing import TYPE_CHECKING, Any

from prep.hookspecs import SettingsTables, hookimpl

if TYPE_CHECKING:
    import typer

    from prep.findings import Finding
    from prep.job import Ask, Job, ReadSettings
    from prep.order import SetUp
    from prep.screens import DesignEdit, DesignRegion, Mark
    from prep.sections import Section
    from prep.shop import Shop


@hookimpl
def prep_settings() -> SettingsTables:
    """Declare ``[fill_in]`` of shop.toml and of order.toml, and the same of a colour."""
    from prep_fill_in.settings import FillIn, FillInColour, FillInOrder

    return SettingsTables(shop=FillIn, order=FillInOrder, colour=FillInColour)


@hookimpl
def prep_answers() -> Mapping[type[Any], Callable[[Job, Ask], Any]]:
    """Answer how small an island may be and what was thickened; and, to be found once, what is judged."""
    from prep_fill_in.answers import IslandLimits
    from prep_fill_in.asked import Asked, ask_all
    from prep_fill_in.design import ThickenedColours, thickened_in
    from prep_fill_in.details import island_limits
    from prep_fill_in.lost import LostOnScreens, lost_on_screens
    from prep_fill_in.trouble import Judged, judged

    return {
        Asked: ask_all,
        Judged: lambda job, ask: judged(job, ask(Asked)),
        LostOnScreens: lambda job, ask: lost_on_screens(  # noqa: ARG005  # the core passes both
            found.judgement for found in ask(Judged).screens
        ),
        IslandLimits: lambda job, ask: island_limits(job, ask(Asked)),
        ThickenedColours: lambda job, ask: thickened_in(job),  # noqa: ARG005  # the core passes both
    }


@hookimpl
def prep_design(
    design: tuple[DesignRegion, ...], settings: ReadSettings, setup: SetUp, shop: Shop
) -> Iterable[DesignEdit]:
    """Thicken what is too fine, where the order asks for it."""
    from prep_fill_in.design import edits_of

    return edits_of(design, settings, setup, shop)


@hookimpl
def prep_findings(job: Job, marks: tuple[Mark, ...], ask: Ask) -> Iterable[Finding]:
    """Judge every narrow place of every screen, and the marks."""
    from prep_fill_in.trouble import findings_of

    return findings_of(job, marks, ask)


@hookimpl
def prep_sections(job: Job, findings: tuple[Finding, ...], ask: Ask) -> Iterable[Section]:
    """Give a summary, a section for each screen, and the limits used."""
    from prep_fill_in.pages import sections_of

    return sections_of(job, findings, ask)


@hookimpl
def prep_commands(app: typer.Typer) -> None:
    """Add ``prep check``."""
    from prep.commands import job_command
    from prep_fill_in.check import run

    job_command(
        app,
        "check",
        help="Details likely to fill in, lift, tear or be lost; status 1 when one will fail.",
        run=run,
    )
