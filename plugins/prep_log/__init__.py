"""What the shop has measured and what it has printed: its log, and what every next job learns from it."""

from __future__ import annotations

from prep.hookspecs import SettingsTables, hookimpl


@hookimpl
def prep_settings() -> SettingsTables:
    """Declare ``[log]`` of shop.toml."""
    from prep_log.settings import LogShop

    return SettingsTables(shop=LogShop)
