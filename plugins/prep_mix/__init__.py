"""Mixing: recipes scaled to a batch, additives within their makers' maxima, and what a balance can dose."""

from __future__ import annotations

from typing import TYPE_CHECKING

from prep.hookspecs import SettingsTables, hookimpl

if TYPE_CHECKING:
    import typer


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
