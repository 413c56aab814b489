"""Retarder that drying reckons with: weighed where the shop has such an additive, told where it hasn't."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING

from prep_mix.recipes import Wish
from prep_mix.settings import USUAL, MixShop

if TYPE_CHECKING:
    from prep.job import Job

RETARDER = "retarder"
"""An additive whose name holds this is taken for one, as drying does."""


def said_by(job: Job, colour: str, place: str | None = None) -> str:
    """Say who says that a colour's ink holds retarder, of the settings of drying; empty where none does.

    :param place: of the set-up that prints the colour; ``None`` for the job's own
    """
    try:
        from prep_drying.settings import Drying, DryingColour, DryingOrder
    except ModuleNotFoundError:
        return ""
    if place is None:
        own = job.settings(DryingColour, colour).retarder
    else:
        own = job.chosen.get_at(DryingColour, place, colour).retarder
    for said, by in (
        (own, "the order"),
        (job.settings(DryingOrder).retarder, "the order"),
        (job.settings(Drying).retarder, "the shop"),
    ):
        if said is not None:
            return by if said else ""
    return ""


def wished(
    job: Job, ink: str, said: str, wishes: Mapping[str, Wish], origins: Mapping[str, str]
) -> Wish | None:
    """Give the wish for the shop's retarder at its usual share, where drying reckons with it.

    ``None`` where order or recipe say of themselves how much is added, none included, and where the shop
    has no such additive, or states no usual share.

    :param said: see :func:`said_by`
    """
    mix = job.settings(MixShop)
    held = next((recipe.additives for recipe in mix.recipe if recipe.ink == ink), {})
    if not said or any(is_retarder(name) for name in (*wishes, *held)):
        return None
    for one in mix.additive:
        if is_retarder(one.name) and one.usual is not None:
            where = origins.get("drying.retarder", f"{said}'s settings")
            return Wish(one.name, USUAL, "drying.retarder", where)
    return None


def is_retarder(name: str) -> bool:
    """Tell whether an additive is a retarder, by its name."""
    return RETARDER in name.casefold()


def in_already(said: str, names: Iterable[str]) -> str:
    """Say that retarder is taken to be in an ink; empty where it is weighed, or nobody says so.

    :param said: see :func:`said_by`
    :param names: what is weighed
    """
    if not said or any(map(is_retarder, names)):
        return ""
    return f"{RETARDER}: taken to be in the ink already, as {said} says"
