"""What the shop has measured and what it has printed: its log, and what every next job learns from it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING, Any

from prep.hookspecs import SettingsTables, hookimpl

if TYPE_CHECKING:
    import typer

    from prep.views import View


@hookimpl
def prep_settings() -> SettingsTables:
    """Declare ``[log]`` of shop.toml."""
    from prep_log.settings import LogShop

    return SettingsTables(shop=LogShop)


@hookimpl
def prep_learnt(own: Mapping[str, Any]) -> Mapping[str, Any] | None:
    """Put what was read here in place of guesses."""
    from prep_log.from_log import learnt_here

    return learnt_here(own)


@hookimpl
def prep_views() -> Iterable[View]:
    """Show the log on the page."""
    from prep_log.views import views

    return views()


@hookimpl
def prep_commands(app: typer.Typer) -> None:
    """Add ``prep log`` and ``prep again``."""
    from prep_log.command import add

    add(app)
