"""Ink: how much of each colour the run takes, how much to mix, and how sure that is.

``prep_ink.answers`` holds what other plugins may ask: the mesh and the ink of every screen.
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
    """Declare ``[ink]`` of shop.toml and of order.toml."""
    from prep_ink.settings import OrderInk, ShopInk

    return SettingsTables(shop=ShopInk, order=OrderInk)


@hookimpl
def prep_answers() -> Mapping[type[Any], Callable[[Job, Ask], Any]]:
    """Answer for the mesh and the ink of every screen, and how often these are printed."""
    from prep_ink.answers import InkOnScreens, MeshOnScreens, Prints, prints_of
    from prep_ink.forecast import ink_on_screens, mesh_on_screens

    return {
        MeshOnScreens: mesh_on_screens,
        InkOnScreens: ink_on_screens,
        Prints: lambda job, ask: prints_of(job.settings, job.setup),  # noqa: ARG005  # the core passes both
    }


@hookimpl
def prep_findings(job: Job, ask: Ask) -> Iterable[Finding]:
    """Say what is worth knowing of ink and mesh."""
    from prep_ink.checks import findings

    return findings(job, ask)


@hookimpl
def prep_sections(job: Job, ask: Ask) -> Iterable[Section]:
    """Give the ink tables of the job page and of each screen."""
    from prep_ink.sheet import sections

    return sections(job, ask)


@hookimpl
def prep_order_sections(jobs: tuple[Job, ...], ask: Callable[[Job], Ask]) -> Iterable[Section]:
    """Give what to mix of each ink over all set-ups."""
    from prep_ink.answers import InkOnScreens, over_all
    from prep_ink.order_page import order_section
    from prep_ink.why import order_why

    forecasts = [(job, ask(job)(InkOnScreens)) for job in jobs]
    return order_section(forecasts), order_why(jobs[0], over_all(forecasts))


@hookimpl
def prep_commands(app: typer.Typer) -> None:
    """Add ``prep ink``."""
    from prep.commands import job_command
    from prep_ink.command import run

    job_command(app, "ink", help="Ink per colour for the run, before mixing.", run=run)
