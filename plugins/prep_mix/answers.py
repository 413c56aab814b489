"""What other plugins may ask of mixing. Imports nothing heavy."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Recipes:
    """What is known of inks before anyone reckons how much of them is needed. Asks nobody.

    :param made: names of inks that are mixed by a recipe of the shop; mixing tells what lacks in stock of
        their parts, and doesn't count what is left over of themselves
    :param density_g_per_ml: of each of these, from its parts and its own additives, volumes taken to
        add up; ``None`` where a density lacks
    :param reacts_s: ink -> time after which it is thrown away once mixed, the shortest of several; for inks
        that hold an activator or cross-linker in this set-up, by recipe or by the order's wish
    """

    made: frozenset[str]
    density_g_per_ml: Mapping[str, float | None]
    reacts_s: Mapping[str, float]
