"""Mixing: recipes scaled to a batch, additives within their makers' maxima, and what a balance can dose.

``prep_mix.answers`` holds what other plugins may ask: inks mixed by recipe, their densities, what reacts.
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
    """Declare ``[mix]`` of shop.toml and of order.toml, and ``[print.colour.mix]``."""
    from prep_mix.settings import MixColour, MixOrder, MixShop

    return SettingsTables(shop=MixShop, order=MixOrder, colour=MixColour)


@hookimpl
def prep_commands(app: typer.Typer) -> None:
    """Add ``prep mix``."""
    from prep_mix.command import add

    add(app)


@hookimpl
def prep_answers() -> Mapping[type[Any], Callable[[Job, Ask], Any]]:
    """Answer what is known of inks from recipes and wishes."""
    from prep_mix.answers import Recipes
    from prep_mix.known import recipes

    return {Recipes: recipes}


@hookimpl
def prep_findings(job: Job, ask: Ask) -> Iterable[Finding]:
    """Say which doses the balance can't weigh, and what lacks to mix from."""
    from prep_mix.trouble import findings

    return findings(job, ask)


@hookimpl
def prep_sections(job: Job, ask: Ask) -> Iterable[Section]:
    """Give each screen the table to weigh its ink by, and how that is worked out."""
    from prep_mix.sheet import sections
    from prep_mix.why import why_sections

    yield from sections(job, ask)
    yield from why_sections(job, ask)


@hookimpl
def prep_order_sections(jobs: tuple[Job, ...], ask: Callable[[Job], Ask]) -> Iterable[Section]:
    """Give the tables to weigh by where inks are mixed once for several set-ups."""
    from prep_mix.sheet import order_sections
    from prep_mix.why import order_why_sections

    yield from order_sections(jobs, ask)
    yield from order_why_sections(jobs, ask)
