"""Readings held against what the shop has: nothing is learnt of a mesh or an ink that isn't there."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from prep.errors import SettingsError
from prep.phrases import several
from prep.shop import Shop
from prep_log.entries import Reading


@dataclass(frozen=True, slots=True)
class Stock:
    """Names of what the shop has.

    :param inks: that it lists; where it lists none, an order names its inks, and any name will do
    """

    meshes: tuple[str, ...]
    inks: tuple[str, ...]

    def and_of(self, body: Mapping[str, Any]) -> Stock:
        """Give it with the mesh and ink of a reading that is corrected, which may be sold since."""
        mesh, ink = str(body.get("mesh")), str(body.get("ink"))
        return Stock((*self.meshes, mesh), (*self.inks, ink) if self.inks else ())

    def lacks(self, mesh: object, ink: object) -> str:
        """Say what isn't there, like ``mesh "43T"``; empty where both are or aren't named."""
        if isinstance(mesh, str) and mesh not in self.meshes:
            return f'mesh "{mesh}"'
        named = isinstance(ink, str) and bool(self.inks) and not ink.startswith("#")
        return f'ink "{ink}"' if named and ink not in self.inks else ""


def stock_of(shop: Shop) -> Stock:
    """Give it."""
    return Stock(tuple(mesh.name for mesh in shop.mesh), tuple(ink.name for ink in shop.inks))


def shop_of(shop: Path | None, without: Iterable[str]) -> Shop:
    """Read the shop.

    :param shop: its file; ``None`` = ``shop.toml`` in the current folder, if there is one
    :raises SettingsError: it can't be used
    """
    from prep.hookspecs import SettingsTables
    from prep.plugins import find_plugins
    from prep.settings import load_shop

    tables = dict(find_plugins(without).each("prep_settings", SettingsTables))
    return load_shop(shop, tables, without=without).shop


def not_in_stock(found: Mapping[str, Mapping[str, Any]], stock: Stock) -> tuple[str, ...]:
    """Say which learnt figures no job can use, as their mesh or ink isn't in stock; sentences.

    :param found: table -> key -> figure
    """
    return tuple(
        f"{table}.{key} was measured with {lacks}, which isn't in stock, and isn't used"
        for table, figures in found.items()
        for key, figure in figures.items()
        if (lacks := stock.lacks(figure.get("mesh"), figure.get("ink")))
    )


def check_stock(read: Sequence[Reading], stock: Stock, where: str = "") -> None:
    """Refuse readings of a mesh or an ink that isn't in stock.

    :param where: the file they were read from
    :raises SettingsError: one is, in a line that names what is in stock
    """
    for one in read:
        lacks = stock.lacks(one.body.get("mesh"), one.body.get("ink"))
        if lacks:
            what, table, has = (
                ("mesh", "mesh", stock.meshes)
                if lacks.startswith("mesh")
                else ("ink", "inks", stock.inks)
            )
            listed = several(f'"{name}"' for name in has)
            raise SettingsError(
                f"the shop has no {lacks}",
                where=where,
                do=f"write one of {listed}, or add {what} as [[{table}]] to"
                " shop.toml and name that with --shop",
            )
