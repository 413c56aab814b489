"""What a job costs the shop by its own prices, part by part, with its range; and what would change it."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import TYPE_CHECKING

from prep.hookspecs import SettingsTables, hookimpl

if TYPE_CHECKING:
    import typer

    from prep.job import Ask, Job
    from prep.sections import Section
    from prep.views import View


@hookimpl
def prep_settings() -> SettingsTables:
    """Declare ``[price]`` of shop.toml."""
    from prep_price.settings import Price

    return SettingsTables(shop=Price)


@hookimpl
def prep_sections(job: Job, ask: Ask) -> Iterable[Section]:
    """Say what an order of one set-up costs, where the shop states prices."""
    from prep_price.sheet import sections_of

    return sections_of(job, ask)


@hookimpl
def prep_order_sections(jobs: tuple[Job, ...], ask: Callable[[Job], Ask]) -> Iterable[Section]:
    """Say the same of an order of several, over all of them."""
    from prep_price.sheet import order_sections_of

    return order_sections_of([(job, ask(job)) for job in jobs])


@hookimpl
def prep_views() -> Iterable[View]:
    """Show on the page what would change the price."""
    from prep_price.views import views

    return views()


@hookimpl
def prep_commands(app: typer.Typer) -> None:
    """Add ``prep price``."""
    from prep_price.command import add

    add(app)
