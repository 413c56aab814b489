"""What a weighed transfer says it was weighed with, held against what the shop has."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

from prep.errors import SettingsError
from prep.named_inks import kind_of_named
from prep_ink.hand import Hand
from prep_ink.settings import ShopInk

if TYPE_CHECKING:
    from prep.job import Job


def hand_of(job: Job) -> Hand:
    """Give the parameters in force in a job.

    :raises SettingsError: the transfer was weighed with a mesh or an ink that is not known: it would never
        be that of a screen, and the doubt about it be kept without a word
    """
    shop = job.settings(ShopInk)
    own = shop.transfer
    if own is not None:
        _known(job, "mesh", own.mesh, [mesh.name for mesh in job.shop.mesh], "[[mesh]]")
        if own.ink is not None and kind_of_named(job, own.ink) is None:
            _known(job, "ink", own.ink, [ink.name for ink in job.shop.inks], "[[inks]]")
    return Hand(shop)


def _known(job: Job, what: str, name: str | None, has: Iterable[str], table: str) -> None:
    names = tuple(has)
    if name is None or name in names:
        return
    key = f"ink.transfer.{what}"
    listed = ", ".join(f'"{one}"' for one in names)
    raise SettingsError(
        f'{key} = "{name}": the shop has no such {what}',
        where=job.origins.get(key) or job.origins.get("ink.transfer", "shop.toml"),
        do=f"write one of {listed}, or add it as {table}" if names else f"add it as {table}",
    )
